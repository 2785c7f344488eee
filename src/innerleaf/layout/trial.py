"""One trial of the search: members and joints of a stretch for one start of the grid. Numbers only."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, floor, inf

from innerleaf.layout.joints import JointPath, boards_for_widths, lay_joints
from innerleaf.layout.pairs import PairPlaces, lay_pair
from innerleaf.layout.zone import nearest

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruling:
    """Sizes and distances that the search keeps, the same for every panel of a wall. [mm]"""

    board: int
    bays: tuple[int, ...]  # members within one board, from its left edge
    face: int
    spacing_max: int
    jamb_clear: int
    layer_offset: int
    strip_min: int
    layers: int

    @property
    def period(self) -> int:
        """After how much a shifted grid is the same again: a bay, or a board where bays are rounded."""
        bay = self.board // len(self.bays)
        return bay if bay * len(self.bays) == self.board else self.board


@dataclass(frozen=True, slots=True)
class Stretch:
    """A panel as numbers: its ends, the members it has anyway, jambs of openings, boxes with clearance."""

    x0: int
    x1: int
    board_x0: int
    board_x1: int
    fixed: tuple[Interval, ...]  # faces of the members, left to right
    jambs: tuple[int, ...]
    boxes: tuple[Interval, ...]

    def mirrored(self) -> Stretch:
        """The stretch seen from the other side."""
        ends = self.x0 + self.x1
        return Stretch(
            self.x0,
            self.x1,
            ends - self.board_x1,
            ends - self.board_x0,
            tuple((ends - b, ends - a) for a, b in reversed(self.fixed)),
            tuple(ends - x for x in reversed(self.jambs)),
            tuple((ends - b, ends - a) for a, b in self.boxes),
        )


@dataclass(frozen=True, slots=True)
class Trial:
    """Members and joints for one start of the grid, with what they cost.

    ``cost``: rules missed [mm], slivers [mm], boards, members, widths of board, in order of importance.
    ``ambiguous``: seen from the other side an equally cheap path might have been taken.
    """

    origin: int
    grid: tuple[int, ...]  # members on the grid, or between to keep the spacing
    extra: tuple[int, ...]  # members for joints off the grid
    joints: tuple[tuple[int, ...], ...]
    cost: tuple[int, ...]
    ambiguous: bool

    def mirrored(self, ends: int, period: int) -> Trial:
        """The same seen from the other side; ``ends`` is the sum of both ends."""

        def turned(places: Sequence[int]) -> tuple[int, ...]:
            return tuple(ends - x for x in reversed(places))

        return Trial(
            (ends - self.origin) % period,
            turned(self.grid),
            turned(self.extra),
            tuple(turned(joints) for joints in self.joints),
            self.cost,
            self.ambiguous,
        )


def try_origin(ruling: Ruling, stretch: Stretch, origin: int, *, thorough: bool) -> Trial:
    """Set out one stretch with the grid at ``origin``.

    Where several layouts cost the shortest path the same, one is taken; the trial then says so, and
    the caller tries the mirror image too.
    """
    grid = standing_at(ruling, stretch, origin)
    return trial_of(ruling, stretch, origin, grid, _all_layers(ruling, stretch, grid, thorough=thorough))


def trial_of(
    ruling: Ruling, stretch: Stretch, origin: int, grid: Sequence[int], paths: Sequence[JointPath]
) -> Trial:
    """Members for joints that are laid, as few as the spacing asks for, and what all of it costs."""
    extra = sorted({x for path in paths for x in path.extra})
    used = {x for path in paths for x in path.joints}
    added, unclear = _space_out(ruling, stretch, sorted(used), [x for x in grid if x not in used])
    members = sorted([*(x for x in used if x not in extra), *added])
    widths = [
        b - a for path in paths for a, b in pairwise((stretch.board_x0, *path.joints, stretch.board_x1))
    ]
    narrow = stretch.board_x1 - stretch.board_x0 < ruling.strip_min
    cost = (
        sum(path.missed_mm for path in paths) + _boxes_hit(ruling, stretch, [*members, *extra]),
        0 if narrow else sum(path.sliver_mm for path in paths),
        boards_for_widths(widths, ruling.board),
        len(stretch.fixed) + len(members) + len(extra),
        len(widths),
    )
    ambiguous = unclear or any(path.ambiguous for path in paths)
    return Trial(origin, tuple(members), tuple(extra), tuple(p.joints for p in paths), cost, ambiguous)


def standing_at(ruling: Ruling, stretch: Stretch, origin: int) -> list[int]:
    """Grid members of a stretch that stand clear of the members it has anyway."""
    half = ruling.face / 2
    lefts = [left for left, _ in stretch.fixed]
    grid = []
    for board in range((stretch.x0 - origin) // ruling.board, (stretch.x1 - origin) // ruling.board + 1):
        for bay in ruling.bays:
            x = origin + board * ruling.board + bay
            if stretch.x0 < x < stretch.x1:
                following = bisect_left(lefts, x + half)
                if following == 0 or stretch.fixed[following - 1][1] <= x - half:
                    grid.append(x)
    return grid


def _all_layers(ruling: Ruling, stretch: Stretch, grid: list[int], *, thorough: bool) -> list[JointPath]:
    """Joints of every layer. Layers may hinder each other, so ``thorough`` tries more ways round."""
    layers = range(ruling.layers)
    ways = [(layers, False)]
    if thorough:
        ways.append((layers, True))
    if thorough and ruling.layers > 1:
        ways += [(layers[::-1], False), (layers[::-1], True)]
    results = [_in_order(ruling, stretch, grid, order, wide, {}) for order, wide in ways]
    best = min(results, key=_price)
    if thorough and ruling.layers > 1 and any(path.missed_mm or path.sliver_mm for path in best):
        best = min([best, *_in_pairs(ruling, stretch, grid, _price(best))], key=_price)
    return best


def _price(paths: Sequence[JointPath]) -> int:
    return sum(path.price for path in paths)


def _in_pairs(ruling: Ruling, stretch: Stretch, grid: list[int], below: int) -> list[list[JointPath]]:
    """The first two layers laid together, either way round where a third one follows; none if no cheaper."""
    offered = off_grid(ruling, stretch, grid, grid)
    offered = off_grid(ruling, stretch, [*grid, *offered], grid)
    new = [*offered, *bridges_over(ruling, stretch, sorted([*grid, *offered]))]
    places = sorted([*grid, *new])
    pair = lay_pair(
        PairPlaces(
            xs=(stretch.board_x0, *places, stretch.board_x1),
            missed=(0, *missed_at(places, ((ruling.jamb_clear, stretch.jambs),)), 0),
            extra=frozenset(new),
            board_mm=ruling.board,
            strip_min_mm=ruling.strip_min,
            offset_mm=ruling.layer_offset,
            face_mm=ruling.face,
        ),
        below=below,
    )
    if not pair:
        return []
    later = range(2, ruling.layers)
    orders = (pair, pair[::-1]) if later else (pair,)
    return [_in_order(ruling, stretch, grid, later, True, dict(enumerate(order))) for order in orders]


def _in_order(
    ruling: Ruling,
    stretch: Stretch,
    grid: list[int],
    order: Iterable[int],
    wide: bool,
    laid: Mapping[int, JointPath],
) -> list[JointPath]:
    """Lay the joints layer by layer, each with its neighbours already laid kept in mind.

    Members off the grid are offered from the start (``wide``), or only where the grid alone would
    break a rule or leave a sliver.
    """
    done = dict(laid)
    added = [x for path in laid.values() for x in path.extra]
    for layer in order:
        near = [x for k in (layer - 1, layer + 1) if k in done for x in done[k].joints]
        standing = sorted([*grid, *added]) if added else grid
        path = _shortest(ruling, stretch, standing, [], near)
        if wide or path.missed_mm or path.sliver_mm:
            offered = off_grid(ruling, stretch, near, standing)
            wider = _shortest(ruling, stretch, standing, offered, near)
            # Seen from the right the grid alone might have been good enough.
            path = replace(wider, ambiguous=wider.ambiguous or path.ambiguous)
        done[layer] = path
        added += path.extra
    return [done[layer] for layer in sorted(done)]


def _shortest(
    ruling: Ruling, stretch: Stretch, standing: list[int], offered: list[int], near: Sequence[int]
) -> JointPath:
    """The cheapest joints of one layer among members that stand and members that could be added."""
    bridges = bridges_over(ruling, stretch, sorted([*standing, *offered]) if offered else standing)
    new = [*offered, *bridges]
    places = sorted([*standing, *new]) if new else standing
    path = lay_joints(
        stretch.board_x0,
        stretch.board_x1,
        places,
        missed_at(places, ((ruling.jamb_clear, stretch.jambs), (ruling.layer_offset, near))),
        frozenset(new),
        board_mm=ruling.board,
        strip_min_mm=ruling.strip_min,
    )
    return replace(path, ambiguous=True) if bridges else path  # from the right they would stand elsewhere


def missed_at(places: Sequence[int], rules: Iterable[tuple[int, Sequence[int]]]) -> list[int]:
    """By how much each place is too near to lines; a rule is the least distance and its lines."""
    missed = [0] * len(places)
    for least, lines in rules:
        for line in lines:
            for k in range(bisect_right(places, line - least), bisect_left(places, line + least)):
                missed[k] += least - abs(places[k] - line)
    return missed


def off_grid(ruling: Ruling, stretch: Stretch, near: Sequence[int], standing: Sequence[int]) -> list[int]:
    """Where a joint off the grid could help and a member for it could stand."""
    wanted = {x for jamb in stretch.jambs for x in (jamb - ruling.jamb_clear, jamb + ruling.jamb_clear)}
    wanted |= {x for joint in near for x in (joint - ruling.layer_offset, joint + ruling.layer_offset)}
    for reach in (ruling.board, ruling.strip_min):
        wanted |= {stretch.board_x0 + reach, stretch.board_x1 - reach}
    taken = _taken(ruling, stretch, standing)
    return [
        x
        for x in sorted(wanted)
        if stretch.board_x0 < x < stretch.board_x1 and _in_the_way(taken, x, ruling.face / 2) is None
    ]


def _taken(ruling: Ruling, stretch: Stretch, standing: Sequence[int]) -> list[Interval]:
    half = ruling.face / 2
    return sorted([*stretch.fixed, *((x - half, x + half) for x in standing)])


def _in_the_way(taken: Sequence[Interval], x: float, half: float) -> Interval | None:
    """The member that one at ``x`` would stand in, if any."""
    following = bisect_left(taken, (x + half, -inf))
    before = taken[following - 1] if following else None
    return before if before and before[1] > x - half else None


def bridges_over(ruling: Ruling, stretch: Stretch, places: Sequence[int]) -> list[int]:
    """Places to add where those at hand leave a stretch wider than a board: as far on as a board reaches."""
    added: list[int] = []
    half = ruling.face / 2
    for a, b in pairwise((stretch.board_x0, *places, stretch.board_x1)):
        at = a
        while b - at > ruling.board:
            x = at + ruling.board
            taken = _taken(ruling, stretch, [*places, *added])
            while (member := _in_the_way(taken, x, half)) and member[0] - half > at:
                x = floor(member[0] - half)
            added.append(x)
            at = x
    return added


def _space_out(
    ruling: Ruling, stretch: Stretch, used: Sequence[int], spare: Sequence[int]
) -> tuple[list[int], bool]:
    """As few of the spare members (or new ones) as the spacing asks for, and whether there is a choice."""
    lines: list[float] = sorted([*((a + b) / 2 for a, b in stretch.fixed), *used])
    chosen: list[int] = []
    unclear = False
    for a, b in pairwise(lines):
        if b - a <= ruling.spacing_max:
            continue
        between = spare[bisect_right(spare, a) : bisect_left(spare, b)]
        from_left = _fill(a, b, between, ruling.spacing_max)
        from_right = [-x for x in _fill(-b, -a, [-x for x in reversed(between)], ruling.spacing_max)]
        unclear = unclear or from_left != from_right[::-1]
        chosen += from_left
    return chosen, unclear


def _fill(a: float, b: float, spare: Sequence[int], limit: int) -> list[int]:
    """Members between two lines: the farthest spare one within reach each time, else a new one."""
    chosen: list[int] = []
    at = a
    while b - at > limit:
        reach = bisect_right(spare, at + limit)
        if reach and spare[reach - 1] > at:
            at = spare[reach - 1]
        else:
            ahead = spare[reach] if reach < len(spare) else b
            at = nearest(at + (ahead - at) / ceil((ahead - at) / limit))
        chosen.append(int(at))
    return chosen


def _boxes_hit(ruling: Ruling, stretch: Stretch, members: Sequence[int]) -> int:
    """How far boxes are from standing clear of the members that could stand elsewhere, summed. [mm]"""
    half, missed = ruling.face / 2, 0.0
    for left, right in stretch.boxes:
        for x in members:
            if x - half < right and left < x + half:
                missed += min(right - x + half, x + half - left)
    return ceil(missed)
