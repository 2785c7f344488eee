"""The search for the best grid: where members stand and where boards meet, panel by panel.

Every start of the grid that could be best makes something coincide: a joint with the end of the
clear zone of a jamb, a member with a jamb stud, a first board with its full width, a last strip with
the least strip. Only these starts are tried; the set is the same seen from the right, so a mirrored
wall gets an equally good layout.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from innerleaf.layout.joints import JointPath, Place, boards_for_widths, lay_joints
from innerleaf.layout.panels import Panel
from innerleaf.layout.pieces import GridChoice, Role
from innerleaf.layout.posts import Post, fixed_posts
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Zone, nearest


@dataclass(frozen=True, slots=True)
class PanelGrid:
    """Members and joints of one panel; ``squeezed`` are gaps too narrow for any stud."""

    panel: Panel
    posts: tuple[Post, ...]
    joints: tuple[tuple[int, ...], ...]  # by layer
    choice: GridChoice
    squeezed: tuple[tuple[float, float], ...]


def grid_places(setting: Setting, panel: Panel, origin: int) -> list[int]:
    """Grid positions strictly inside a panel. Board edges are whole boards apart, bays are rounded."""
    board, bays = setting.board_width_mm, setting.bays
    bay = [round(k * board / bays) for k in range(bays)]
    first = (panel.x0 - origin) // board
    last = (panel.x1 - origin) // board
    places = (origin + q * board + offset for q in range(first, last + 1) for offset in bay)
    return [x for x in places if panel.x0 < x < panel.x1]


def candidate_origins(
    setting: Setting, panel: Panel, jambs: Sequence[int], posts: Sequence[Post]
) -> list[int]:
    """Starts worth trying, in ``0 .. spacing``, the same set when the panel is mirrored."""
    rules = setting.rules
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
    return sorted({nearest(mark) % _period(setting) for mark in marks})


def _period(setting: Setting) -> int:
    """After how much a shifted grid is the same again: a bay, or a board where bays are rounded."""
    return int(setting.spacing_mm) if setting.spacing_mm.is_integer() else setting.board_width_mm


def choose_grid(setting: Setting, zone: Zone, panel: Panel) -> PanelGrid:
    """Try every candidate start and keep the best: rules, slivers, waste, then fewest pieces."""
    posts, squeezed = fixed_posts(setting, zone, panel)
    jambs = sorted(x for b in zone.blockers if b.opening for x in (b.x0, b.x1) if panel.x0 < x < panel.x1)
    origins = candidate_origins(setting, panel, jambs, posts)

    def rank(trial: _Trial) -> tuple[tuple[int, ...], int]:
        return trial.cost, (trial.origin - panel.board_x0) % _period(setting)

    trials = [_try_origin(setting, panel, origin, posts, jambs, thorough=False) for origin in origins]
    best = min(trials, key=rank)
    if best.cost[0] or best.cost[1]:  # a rule or a sliver: worth a closer search
        trials += [_try_origin(setting, panel, origin, posts, jambs, thorough=True) for origin in origins]
        best = min(trials, key=rank)
    plain_origin = panel.board_x0 % _period(setting)
    plain = next((trial for trial in trials if trial.origin == plain_origin), best)
    choice = GridChoice(
        from_mm=panel.x0,
        to_mm=panel.x1,
        origin_mm=best.origin,
        spacing_mm=setting.spacing_mm,
        tried=len(origins),
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
    *,
    thorough: bool,
) -> _Trial:
    face = setting.face_mm
    lefts = [p.left for p in fixed]
    grid = []
    for x in grid_places(setting, panel, origin):
        following = bisect_left(lefts, x + face / 2)
        if following == 0 or fixed[following - 1].right <= x - face / 2:
            grid.append(Post(x, face, Role.GRID, setting.studs))
    paths = _all_layers(setting, panel, fixed, grid, jambs, thorough=thorough)
    used = {x for path in paths for x in path.joints}
    extra = sorted({x for path in paths for x in path.extra})
    posts = _space_out(
        setting,
        [
            *fixed,
            *(p for p in grid if p.x in used),
            *(Post(x, face, Role.JOINT, setting.studs) for x in extra),
        ],
        [p for p in grid if p.x not in used],
    )
    widths = []
    for path in paths:
        bounds = (panel.board_x0, *path.joints, panel.board_x1)
        widths += [b - a for a, b in zip(bounds, bounds[1:], strict=False)]
    missed = sum(path.missed_mm for path in paths) + _boxes_hit(setting, posts)
    cost = (
        missed,
        sum(path.sliver_mm for path in paths)
        if panel.board_x1 - panel.board_x0 >= setting.rules.strip_min_mm
        else 0,
        boards_for_widths(widths, setting.board_width_mm),
        len(posts),
        len(widths),
    )
    return _Trial(origin, posts, tuple(path.joints for path in paths), cost)


def _all_layers(
    setting: Setting,
    panel: Panel,
    fixed: Sequence[Post],
    grid: Sequence[Post],
    jambs: Sequence[int],
    *,
    thorough: bool,
) -> list[JointPath]:
    """Joints of every layer. Layers may hinder each other, so ``thorough`` tries more ways round."""
    layers = range(len(setting.boards))
    ways = [(layers, False)]
    if thorough:
        ways += (
            [(layers, True)]
            if len(layers) == 1
            else [(layers[::-1], False), (layers, True), (layers[::-1], True)]
        )
    results = [_in_order(setting, panel, fixed, grid, jambs, order, off_grid) for order, off_grid in ways]
    return min(results, key=lambda paths: sum(path.price for path in paths))


def _in_order(
    setting: Setting,
    panel: Panel,
    fixed: Sequence[Post],
    grid: Sequence[Post],
    jambs: Sequence[int],
    order: Iterable[int],
    off_grid: bool,
) -> list[JointPath]:
    """Lay the joints layer by layer, each with its neighbours already laid kept in mind.

    Members off the grid are offered from the start (``off_grid``), or only where the grid alone would
    break a rule or leave a sliver.
    """
    done: dict[int, JointPath] = {}
    added: list[int] = []
    for layer in order:
        near = sorted(x for k in (layer - 1, layer + 1) if k in done for x in done[k].joints)
        price = _pricing(setting, jambs, near)
        standing = [Place(int(x), price(int(x)), False) for x in sorted([*(p.x for p in grid), *added])]
        path = _shortest(setting, panel, standing, price)
        if off_grid or path.missed_mm or path.sliver_mm:
            taken = [*((p.left, p.right) for p in fixed), *((p.left, p.right) for p in grid)]
            half = setting.face_mm / 2
            taken += [(x - half, x + half) for x in added]
            offered = [
                Place(x, price(x), True) for x in _off_grid(setting, panel, jambs, near, sorted(taken))
            ]
            path = _shortest(setting, panel, sorted([*standing, *offered], key=lambda p: p.x), price)
        done[layer] = path
        added += path.extra
    return [done[layer] for layer in sorted(done)]


def _shortest(setting: Setting, panel: Panel, places: list[Place], price: Callable[[int], int]) -> JointPath:
    board = setting.board_width_mm
    return lay_joints(
        panel.board_x0,
        panel.board_x1,
        _bridge(places, panel, board, price),
        board_mm=board,
        strip_min_mm=setting.rules.strip_min_mm,
    )


def _pricing(setting: Setting, jambs: Sequence[int], near: Sequence[int]) -> Callable[[int], int]:
    """By how much a joint at x would miss its distance to jambs and to joints of the next layer. [mm]"""
    zones = [(x, setting.rules.jamb_clear_mm) for x in jambs] + [(x, setting.layer_offset_mm) for x in near]
    zones.sort()
    lines = [x for x, _ in zones]
    widest = max(setting.rules.jamb_clear_mm, setting.layer_offset_mm)

    def missed(x: int) -> int:
        first, last = bisect_right(lines, x - widest), bisect_left(lines, x + widest)
        return sum(least - abs(x - at) for at, least in zones[first:last] if abs(x - at) < least)

    return missed


def _off_grid(
    setting: Setting,
    panel: Panel,
    jambs: Sequence[int],
    near: Sequence[int],
    taken: Sequence[tuple[float, float]],
) -> list[int]:
    """Where a joint off the grid could help and a member for it could stand."""
    clear, offset, half = setting.rules.jamb_clear_mm, setting.layer_offset_mm, setting.face_mm / 2
    wanted = {x for jamb in jambs for x in (jamb - clear, jamb + clear)}
    wanted |= {x for joint in near for x in (joint - offset, joint + offset)}
    for reach in (setting.board_width_mm, setting.rules.strip_min_mm):
        wanted |= {panel.board_x0 + reach, panel.board_x1 - reach}
    lefts = [left for left, _ in taken]

    def free(x: int) -> bool:
        if not panel.board_x0 < x < panel.board_x1:
            return False
        following = bisect_left(lefts, x + half)
        return following == 0 or taken[following - 1][1] <= x - half

    return [x for x in sorted(wanted) if free(x)]


def _bridge(places: list[Place], panel: Panel, board: int, price: Callable[[int], int]) -> list[Place]:
    """Add places where the lawful ones leave a stretch wider than a board."""
    bridged: list[Place] = []
    at = panel.board_x0
    for nxt in [*places, None]:
        goal = nxt.x if nxt else panel.board_x1
        if goal - at <= board:
            if nxt:
                bridged.append(nxt)
                at = goal
            continue
        count = ceil((goal - at) / board) - 1
        for k in range(1, count + 1):
            x = at + round((goal - at) * k / (count + 1))
            bridged.append(Place(x, price(x), True))
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
            post = Post(nearest(at + (ahead - at) / steps), setting.face_mm, Role.GRID, setting.studs)
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
        return (
            "as good as any start tried; a full board at the left end"
            if best.origin == plain.origin
            else ("as good as a full board at the left end")
        )
    for name, ours, theirs in zip(_COST_NAMES, best.cost, plain.cost, strict=True):
        if ours != theirs:
            unit = " mm" if name in ("rules missed", "slivers") else ""
            return f"{name} {ours}{unit}; with a full board at the left end {theirs}{unit}"
    return ""
