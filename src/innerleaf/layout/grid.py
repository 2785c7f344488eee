"""The search for the best grid: where members stand and where boards meet, panel by panel.

Every start of the grid that could be best makes something coincide: a joint with the end of the
clear zone of a jamb, a member with a jamb stud, a first board with its full width, a last strip with
the least strip. Only these starts are tried; the set is the same seen from the right, so a mirrored
wall gets an equally good layout.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from innerleaf.layout.joints import JointPath, Place, boards_for_widths, lay_joints
from innerleaf.layout.panels import EndKind, Panel
from innerleaf.layout.pieces import GridChoice, Role
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Blocker, Zone


@dataclass(frozen=True, slots=True)
class Post:
    """A place for a vertical member. ``studs``: how many profiles make it up."""

    x: float
    face: int
    role: Role
    studs: int = 1

    @property
    def left(self) -> float:
        """Left edge of its face."""
        return self.x - self.face / 2

    @property
    def right(self) -> float:
        """Right edge of its face."""
        return self.x + self.face / 2


@dataclass(frozen=True, slots=True)
class PanelGrid:
    """Members and joints of one panel; ``squeezed`` are gaps too narrow for any stud."""

    panel: Panel
    posts: tuple[Post, ...]
    joints: tuple[tuple[int, ...], ...]  # by layer
    choice: GridChoice
    squeezed: tuple[tuple[float, float], ...]


_Side = tuple[float, bool, Role]  # (edge, the lining lies to the right of it, role)


def fixed_posts(setting: Setting, zone: Zone, panel: Panel) -> tuple[list[Post], list[tuple[float, float]]]:
    """Members that the wall itself asks for: ends, jambs, steps, sides of columns."""
    face = setting.face_mm
    studs = 2 if setting.face_mm > setting.stud.face_mm else 1
    sides: list[_Side] = []
    for kind, x, rightwards in ((panel.left, panel.x0, True), (panel.right, panel.x1, False)):
        role = {
            EndKind.STRUCTURE: Role.SIDE_TRACK if setting.bracketed else Role.END,
            EndKind.FREE: Role.END,
            EndKind.POINT: Role.END,
            EndKind.MOVEMENT: Role.MOVEMENT,
            EndKind.OPENING: Role.JAMB,
            EndKind.OBSTACLE: Role.SIDE_TRACK if setting.bracketed else Role.EDGE,
        }[kind]
        sides.append((x, rightwards, role))
    for b in zone.blockers:
        role = Role.JAMB if b.opening else Role.EDGE
        if panel.x0 < b.x0 < panel.x1:
            sides.append((b.x0, False, role))
        if panel.x0 < b.x1 < panel.x1:
            sides.append((b.x1, True, role))
    for x, _, _, rightwards, _ in zone.uprights():
        if panel.x0 < x < panel.x1:
            sides.append((x, rightwards, Role.EDGE))
    return _settle(setting, sides)


def _settle(setting: Setting, sides: Iterable[_Side]) -> tuple[list[Post], list[tuple[float, float]]]:
    """One post at each side; where two would stand in one another, a box of two studs as wide as the pier.

    Two C studs pushed into one another can be drawn out to any width between one and two flanges. A pier
    narrower than one stud takes none and is returned as squeezed.
    """
    face = setting.face_mm
    studs = 2 if face > setting.stud.face_mm else 1
    posts: list[tuple[Post, bool]] = []
    squeezed: list[tuple[float, float]] = []
    seen: set[tuple[float, bool]] = set()
    for edge, rightwards, role in sorted(sides, key=lambda s: (s[0], s[1], s[2] not in (Role.JAMB, Role.MOVEMENT))):
        if (edge, rightwards) in seen:
            continue
        seen.add((edge, rightwards))
        own = setting.track.face_mm if role == Role.SIDE_TRACK else face
        post = Post(
            edge + own / 2 if rightwards else edge - own / 2, own, role, 1 if role == Role.SIDE_TRACK else studs
        )
        before, before_rightwards = posts[-1] if posts else (None, False)
        overlap = before is not None and post.left < before.right
        if before is None or not overlap:
            posts.append((post, rightwards))
            continue
        if before_rightwards and not rightwards and edge - before.left < setting.stud.face_mm:
            squeezed.append((before.left, edge))
            posts.pop()
            continue
        left, right = min(before.left, post.left), max(before.right, post.right)
        if before_rightwards and not rightwards:
            left, right = before.left, edge
        kept = role if before.role in (Role.END, Role.SIDE_TRACK) else before.role
        posts[-1] = (Post((left + right) / 2, int(right - left), kept, 2), rightwards)
    return [post for post, _ in posts], squeezed


def grid_places(setting: Setting, panel: Panel, origin: int) -> list[int]:
    """Grid positions strictly inside a panel. Board edges are whole boards apart, bays are rounded."""
    board, bays = setting.board_width_mm, setting.bays
    bay = [round(k * board / bays) for k in range(bays)]
    first = (panel.x0 - origin) // board
    last = (panel.x1 - origin) // board
    places = (origin + q * board + offset for q in range(first, last + 1) for offset in bay)
    return [x for x in places if panel.x0 < x < panel.x1]


def candidate_origins(setting: Setting, panel: Panel, jambs: Sequence[int], posts: Sequence[Post]) -> list[int]:
    """Starts worth trying, in ``0 .. spacing``, the same set when the panel is mirrored."""
    rules, board = setting.rules, setting.board_width_mm
    strip = rules.strip_min_mm
    middle, half_bay = panel.board_x0 + panel.board_x1, setting.spacing_mm / 2
    marks: list[float] = [
        panel.board_x0,
        panel.board_x1,
        panel.board_x0 + strip,
        panel.board_x1 - strip,
        middle / 2 - 0.25,
        middle / 2 + 0.25,
        middle / 2 + half_bay - 0.25,
        middle / 2 - half_bay + 0.25,
    ]
    for jamb in jambs:
        marks += [jamb - rules.jamb_clear_mm, jamb + rules.jamb_clear_mm]
    marks += [post.x for post in posts if post.role in (Role.JAMB, Role.EDGE)]
    period = int(setting.spacing_mm) if setting.spacing_mm.is_integer() else board
    return sorted({round(mark) % period for mark in marks})


def choose_grid(setting: Setting, zone: Zone, panel: Panel) -> PanelGrid:
    """Try every candidate start and keep the best: rules, slivers, waste, then fewest pieces."""
    posts, squeezed = fixed_posts(setting, zone, panel)
    openings = [b for b in zone.blockers if b.opening]
    jambs = sorted(x for b in openings for x in (b.x0, b.x1) if panel.x0 < x < panel.x1)
    origins = candidate_origins(setting, panel, jambs, posts)
    trials = [_try_origin(setting, panel, origin, posts, jambs, openings) for origin in origins]
    best = min(trials, key=lambda trial: trial.cost)
    plain_origin = panel.board_x0 % (int(setting.spacing_mm) if setting.spacing_mm.is_integer() else setting.board_width_mm)
    plain = next((trial for trial in trials if trial.origin == plain_origin), best)
    choice = GridChoice(
        from_mm=panel.x0,
        to_mm=panel.x1,
        origin_mm=best.origin,
        spacing_mm=setting.spacing_mm,
        tried=len(trials),
        cost=best.cost,
        reason=_reason(best, plain),
    )
    return PanelGrid(panel, best.posts, best.joints, choice, tuple(squeezed))


@dataclass(frozen=True, slots=True)
class _Trial:
    origin: int
    posts: tuple[Post, ...]
    joints: tuple[tuple[int, ...], ...]
    cost: tuple[int, ...]  # rules missed [mm], slivers [mm], boards [1/1000], members, widths of board


def _try_origin(
    setting: Setting,
    panel: Panel,
    origin: int,
    fixed: Sequence[Post],
    jambs: Sequence[int],
    openings: Sequence[Blocker],
) -> _Trial:
    face = setting.face_mm
    grid = [
        Post(x, face, Role.GRID, 2 if face > setting.stud.face_mm else 1)
        for x in grid_places(setting, panel, origin)
        if all(x - face / 2 >= p.right or x + face / 2 <= p.left for p in fixed)
    ]
    paths = _all_layers(setting, panel, fixed, grid, jambs)
    used = {x for path in paths for x in path.joints}
    extra = sorted({x for path in paths for x in path.extra})
    studs = 2 if face > setting.stud.face_mm else 1
    posts = _space_out(
        setting,
        [*fixed, *(p for p in grid if p.x in used), *(Post(x, face, Role.JOINT, studs) for x in extra)],
        [p for p in grid if p.x not in used],
    )
    widths = []
    for path in paths:
        bounds = (panel.board_x0, *path.joints, panel.board_x1)
        widths += [b - a for a, b in zip(bounds, bounds[1:], strict=False)]
    missed = sum(path.missed_mm for path in paths) + _boxes_hit(setting, posts)
    cost = (
        missed,
        sum(path.sliver_mm for path in paths) if panel.board_x1 - panel.board_x0 >= setting.rules.strip_min_mm else 0,
        boards_for_widths(widths, setting.board_width_mm),
        len(posts),
        len(widths),
    )
    return _Trial(origin, posts, tuple(path.joints for path in paths), cost)


def _all_layers(
    setting: Setting, panel: Panel, fixed: Sequence[Post], grid: Sequence[Post], jambs: Sequence[int]
) -> list[JointPath]:
    """Joints of every layer; if the layers hinder each other, the other order is tried too."""
    count = len(setting.boards)
    paths = _in_order(setting, panel, fixed, grid, jambs, range(count))
    if count > 1 and sum(path.missed_mm for path in paths):
        other = _in_order(setting, panel, fixed, grid, jambs, range(count - 1, -1, -1))
        if sum(path.price for path in other) < sum(path.price for path in paths):
            return other
    return paths


def _in_order(
    setting: Setting,
    panel: Panel,
    fixed: Sequence[Post],
    grid: Sequence[Post],
    jambs: Sequence[int],
    order: Iterable[int],
) -> list[JointPath]:
    done: dict[int, JointPath] = {}
    added: list[int] = []
    for layer in order:
        near = [x for k in (layer - 1, layer + 1) if k in done for x in done[k].joints]
        places = _places(setting, panel, fixed, grid, jambs, near, added)
        done[layer] = lay_joints(
            panel.board_x0,
            panel.board_x1,
            places,
            board_mm=setting.board_width_mm,
            strip_min_mm=setting.rules.strip_min_mm,
        )
        added += done[layer].extra
    return [done[layer] for layer in sorted(done)]


def _places(
    setting: Setting,
    panel: Panel,
    fixed: Sequence[Post],
    grid: Sequence[Post],
    jambs: Sequence[int],
    near: Sequence[int],
    added: Sequence[int],
) -> list[Place]:
    """Where a joint of one layer may stand, with the price of standing there."""
    clear, offset = setting.rules.jamb_clear_mm, setting.layer_offset_mm
    board, face = setting.board_width_mm, setting.face_mm

    def place(x: int, extra: bool) -> Place:
        missed = 0
        for jamb in jambs:
            if abs(x - jamb) < clear:
                missed += clear - abs(x - jamb)
        for joint in near:
            if abs(x - joint) < offset:
                missed += offset - abs(x - joint)
        return Place(x, missed, extra)

    standing = [p.x for p in grid] + list(added)
    places = [place(int(x), False) for x in standing]
    wanted = {x for jamb in jambs for x in (jamb - clear, jamb + clear)}
    wanted |= {x for joint in near for x in (joint - offset, joint + offset)}
    if jambs or near:
        wanted |= {panel.board_x0 + board, panel.board_x1 - board}
    taken = [*((p.left, p.right) for p in fixed), *((x - face / 2, x + face / 2) for x in standing)]

    def free(x: int) -> bool:
        return panel.board_x0 < x < panel.board_x1 and all(
            x - face / 2 >= right or x + face / 2 <= left for left, right in taken
        )

    places += [place(x, True) for x in wanted if free(x)]
    places.sort(key=lambda p: p.x)
    return _bridge(places, panel, board, place)


def _bridge(places: list[Place], panel: Panel, board: int, place: Callable[[int, bool], Place]) -> list[Place]:
    """Add places where the lawful ones leave a stretch wider than a board."""
    bridged: list[Place] = []
    at = panel.board_x0
    for nxt in [*places, None]:
        goal = nxt.x if nxt else panel.board_x1
        count = ceil((goal - at) / board) - 1
        bridged += [place(at + round((goal - at) * k / (count + 1)), True) for k in range(1, count + 1)]
        if nxt:
            bridged.append(nxt)
            at = goal
    return bridged


def _space_out(setting: Setting, needed: Sequence[Post], spare: Sequence[Post]) -> tuple[Post, ...]:
    """Needed members, with as few of the spare ones (or new ones) between as the spacing asks for."""
    limit = min(setting.greatest_spacing_mm, ceil(setting.spacing_mm))
    needed = sorted(needed, key=lambda p: p.x)
    chosen: list[Post] = []
    for a, b in zip(needed, [*needed[1:], None], strict=True):
        chosen.append(a)
        if b is None:
            break
        at = a.x
        between = [p for p in spare if a.x < p.x < b.x]
        while b.x - at > limit:
            reach = [p for p in between if at < p.x <= at + limit]
            if reach:
                chosen.append(reach[-1])
                at = reach[-1].x
                continue
            ahead = next((p.x for p in between if p.x > at), b.x)
            steps = ceil((ahead - at) / limit)
            post = Post(round(at + (ahead - at) / steps), setting.face_mm, Role.GRID, a.studs if a.role != Role.SIDE_TRACK else b.studs)
            chosen.append(post)
            at = post.x
    return tuple(chosen)


def _boxes_hit(setting: Setting, posts: Sequence[Post]) -> int:
    """How far boxes are from standing clear of the members, summed. [mm]"""
    missed = 0.0
    clear = setting.rules.box_clear_of_member_mm
    for box in setting.wall.boxes:
        half = box.diameter_mm / 2 + clear
        left, right = box.x_mm - half, box.x_mm + (box.count - 1) * box.pitch_mm + half
        for post in posts:
            if post.left < right and left < post.right:
                missed += min(right - post.left, post.right - left)
    return round(missed)


_COST_NAMES = ("rules missed", "slivers", "boards", "members", "widths of board")


def _reason(best: _Trial, plain: _Trial) -> str:
    """Why this start, against a full board at the left end."""
    if best.cost == plain.cost:
        return "as good as any start tried; a full board at the left end" if best.origin == plain.origin else (
            "as good as a full board at the left end"
        )
    for name, ours, theirs in zip(_COST_NAMES, best.cost, plain.cost, strict=True):
        if ours != theirs:
            unit = " mm" if name in ("rules missed", "slivers") else ""
            return f"{name} {ours}{unit}; with a full board at the left end {theirs}{unit}"
    return ""
