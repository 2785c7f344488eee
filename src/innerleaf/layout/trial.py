"""One trial of the search: members and joints of a stretch for one start of the grid."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil

from innerleaf.layout.joints import JointPath, Place, boards_for_widths, lay_joints
from innerleaf.layout.pieces import Role
from innerleaf.layout.posts import Post
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import nearest


@dataclass(frozen=True, slots=True)
class Stretch:
    """A panel as numbers: its ends, the members it has anyway, jambs of openings, boxes with clearance."""

    x0: int
    x1: int
    board_x0: int
    board_x1: int
    fixed: tuple[Post, ...]
    jambs: tuple[int, ...]
    boxes: tuple[tuple[float, float], ...]

    def mirrored(self) -> Stretch:
        """The stretch seen from the other side."""
        ends = self.x0 + self.x1
        return Stretch(
            self.x0,
            self.x1,
            ends - self.board_x1,
            ends - self.board_x0,
            tuple(replace(p, x=ends - p.x) for p in reversed(self.fixed)),
            tuple(ends - x for x in reversed(self.jambs)),
            tuple((ends - right, ends - left) for left, right in self.boxes),
        )


@dataclass(frozen=True, slots=True)
class Trial:
    """Members and joints for one start of the grid, with what they cost."""

    origin: int
    posts: tuple[Post, ...]
    joints: tuple[tuple[int, ...], ...]
    cost: tuple[int, ...]  # rules missed [mm], slivers [mm], boards, members, widths of board

    def mirrored(self, ends: int, period: int) -> Trial:
        """The same seen from the other side; ``ends`` is the sum of both ends."""
        return Trial(
            (ends - self.origin) % period,
            tuple(replace(p, x=ends - p.x) for p in reversed(self.posts)),
            tuple(tuple(ends - x for x in reversed(joints)) for joints in self.joints),
            self.cost,
        )


def try_origin(setting: Setting, stretch: Stretch, origin: int, *, thorough: bool) -> Trial:
    """Set out one stretch with the grid at ``origin``.

    Where several layouts cost the shortest path the same, the first found stays; so the caller tries
    the mirror image too and takes the better of both.
    """
    face = setting.face_mm
    lefts = [p.left for p in stretch.fixed]
    grid = []
    for x in grid_places(setting, stretch, origin):
        following = bisect_left(lefts, x + face / 2)
        if following == 0 or stretch.fixed[following - 1].right <= x - face / 2:
            grid.append(Post(x, face, Role.GRID, setting.studs))
    paths = _all_layers(setting, stretch, grid, thorough=thorough)
    used = {x for path in paths for x in path.joints}
    extra = sorted({x for path in paths for x in path.extra})
    posts = _space_out(
        setting,
        [
            *stretch.fixed,
            *(p for p in grid if p.x in used),
            *(Post(x, face, Role.JOINT, setting.studs) for x in extra),
        ],
        [p for p in grid if p.x not in used],
    )
    widths = []
    for path in paths:
        bounds = (stretch.board_x0, *path.joints, stretch.board_x1)
        widths += [b - a for a, b in zip(bounds, bounds[1:], strict=False)]
    missed = sum(path.missed_mm for path in paths) + _boxes_hit(stretch, posts)
    cost = (
        missed,
        sum(path.sliver_mm for path in paths)
        if stretch.board_x1 - stretch.board_x0 >= setting.rules.strip_min_mm
        else 0,
        boards_for_widths(widths, setting.board_width_mm),
        len(posts),
        len(widths),
    )
    return Trial(origin, posts, tuple(path.joints for path in paths), cost)


def _all_layers(
    setting: Setting, stretch: Stretch, grid: Sequence[Post], *, thorough: bool
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
    results = [_in_order(setting, stretch, grid, order, off_grid) for order, off_grid in ways]
    return min(results, key=lambda paths: sum(path.price for path in paths))


def _in_order(
    setting: Setting, stretch: Stretch, grid: Sequence[Post], order: Iterable[int], off_grid: bool
) -> list[JointPath]:
    """Lay the joints layer by layer, each with its neighbours already laid kept in mind.

    Members off the grid are offered from the start (``off_grid``), or only where the grid alone would
    break a rule or leave a sliver.
    """
    done: dict[int, JointPath] = {}
    added: list[int] = []
    for layer in order:
        near = sorted(x for k in (layer - 1, layer + 1) if k in done for x in done[k].joints)
        price = _pricing(setting, stretch.jambs, near)
        standing = [Place(int(x), price(int(x)), False) for x in sorted([*(p.x for p in grid), *added])]
        path = _shortest(setting, stretch, standing, price)
        if off_grid or path.missed_mm or path.sliver_mm:
            taken = [*((p.left, p.right) for p in stretch.fixed), *((p.left, p.right) for p in grid)]
            half = setting.face_mm / 2
            taken += [(x - half, x + half) for x in added]
            offered = [Place(x, price(x), True) for x in _off_grid(setting, stretch, near, sorted(taken))]
            path = _shortest(setting, stretch, sorted([*standing, *offered], key=lambda p: p.x), price)
        done[layer] = path
        added += path.extra
    return [done[layer] for layer in sorted(done)]


def _shortest(
    setting: Setting, stretch: Stretch, places: list[Place], price: Callable[[int], int]
) -> JointPath:
    board = setting.board_width_mm
    return lay_joints(
        stretch.board_x0,
        stretch.board_x1,
        _bridge(places, stretch, board, price),
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
    setting: Setting, stretch: Stretch, near: Sequence[int], taken: Sequence[tuple[float, float]]
) -> list[int]:
    """Where a joint off the grid could help and a member for it could stand."""
    clear, offset, half = setting.rules.jamb_clear_mm, setting.layer_offset_mm, setting.face_mm / 2
    wanted = {x for jamb in stretch.jambs for x in (jamb - clear, jamb + clear)}
    wanted |= {x for joint in near for x in (joint - offset, joint + offset)}
    for reach in (setting.board_width_mm, setting.rules.strip_min_mm):
        wanted |= {stretch.board_x0 + reach, stretch.board_x1 - reach}
    lefts = [left for left, _ in taken]

    def free(x: int) -> bool:
        if not stretch.board_x0 < x < stretch.board_x1:
            return False
        following = bisect_left(lefts, x + half)
        return following == 0 or taken[following - 1][1] <= x - half

    return [x for x in sorted(wanted) if free(x)]


def _bridge(places: list[Place], stretch: Stretch, board: int, price: Callable[[int], int]) -> list[Place]:
    """Add places where the lawful ones leave a stretch wider than a board."""
    bridged: list[Place] = []
    at = stretch.board_x0
    for nxt in [*places, None]:
        goal = nxt.x if nxt else stretch.board_x1
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


def _boxes_hit(stretch: Stretch, posts: Sequence[Post]) -> int:
    """How far boxes are from standing clear of the members, summed. [mm]"""
    missed = 0.0
    for left, right in stretch.boxes:
        for post in posts:
            if post.left < right and left < post.right:
                missed += min(right - post.left, post.right - left)
    return ceil(missed)


def grid_places(setting: Setting, stretch: Stretch, origin: int) -> list[int]:
    """Grid positions strictly inside a stretch. Board edges are whole boards apart, bays are rounded."""
    board, bays = setting.board_width_mm, setting.bays
    bay = [round(k * board / bays) for k in range(bays)]
    first = (stretch.x0 - origin) // board
    last = (stretch.x1 - origin) // board
    places = (origin + q * board + offset for q in range(first, last + 1) for offset in bay)
    return [x for x in places if stretch.x0 < x < stretch.x1]
