"""Vertical joints of a stretch laid by what the boards between them weigh, for other layouts as good.

As `trial` does, layer by layer, but the shortest path pays for the boards themselves: the rectangle round
each piece, less a part of what is sawn out of it, and a little for joints and members. Each view weighs a
little differently, the same for equal pieces wherever they lie, so a mirrored wall gets mirrored layouts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from zlib import crc32

from innerleaf.layout.boards import box_of
from innerleaf.layout.joints import JointPath
from innerleaf.layout.setting import Setting
from innerleaf.layout.shapes import Area, area_mm2
from innerleaf.layout.trial import (
    Ruling,
    Stretch,
    Trial,
    bridges_over,
    missed_at,
    off_grid,
    standing_at,
    trial_of,
)
from innerleaf.layout.zone import Zone

_RULE, _SLIVER = 1e12, 1e9  # a millimetre missed, in mm2 of board: more than any wall has
_JOINT, _HIDDEN_JOINT = 100.0, 30.0  # a millimetre of joint weighs as much as so many mm2 of board
_MEMBER = 190.0  # a millimetre of member that only a joint needs
_SPREAD = 0.4  # by how much a square metre of board may weigh more in one view than in another


@dataclass(frozen=True, slots=True)
class View:
    """One way to weigh boards: a number, and the share of what is sawn out that counts as used."""

    number: int
    used: float

    def weight_mm2(self, layer: int, width: float, length: float, net: float) -> float:
        """What one piece weighs: the same number for equal pieces."""
        kind = f"{self.number}/{layer}/{round(width)}/{round(length)}/{round(net)}"
        odd = crc32(kind.encode()) / 2**32
        return width * length - self.used * (width * length - net) + odd * _SPREAD * 1e6


@dataclass(slots=True)
class Columns:
    """What columns of board weigh on one wall; each is cut once."""

    setting: Setting
    zone: Zone
    area: Area
    _pieces: dict[tuple[int, int], list[tuple[float, float, float]]] = field(default_factory=dict)
    _weights: dict[tuple[View, int, int, int], float] = field(default_factory=dict)
    _heights: dict[int, float] = field(default_factory=dict)

    def weight(self, view: View, layer: int, left: int, right: int) -> float:
        """All pieces between two joints. [mm2 of board]"""
        key = view, layer, left, right
        if key not in self._weights:
            self._weights[key] = sum(view.weight_mm2(layer, *p) for p in self._pieces_of(left, right))
        return self._weights[key]

    def height_mm(self, x: int) -> float:
        """How long a joint at x is."""
        if x not in self._heights:
            self._heights[x] = sum(high - low for low, high in self.zone.clear(x, x))
        return self._heights[x]

    def _pieces_of(self, left: int, right: int) -> list[tuple[float, float, float]]:
        """(width, length, net area) of the pieces of a column."""
        if (left, right) not in self._pieces:
            (parts,) = self.area.cells([(left, self.zone.y0 - 1, right, self.zone.y1 + 1)])
            boxes = [(box_of(part[0]), area_mm2(part)) for part in parts]
            self._pieces[left, right] = [(r - a, t - b, net) for (a, b, r, t), net in boxes]
        return self._pieces[left, right]


def try_view(
    ruling: Ruling, stretch: Stretch, origin: int, columns: Columns, view: View
) -> Iterator[tuple[float, Trial]]:
    """Layouts with the grid at ``origin`` as a view sees them, layers in either order, with their weight."""
    layers = range(ruling.layers)
    grid = standing_at(ruling, stretch, origin)
    for order in (layers, layers[::-1]) if ruling.layers > 1 else (layers,):
        laid = _lay(ruling, stretch, grid, order, columns, view)
        if laid:
            weight, paths = laid
            yield weight, trial_of(ruling, stretch, origin, grid, paths)


def _lay(
    ruling: Ruling,
    stretch: Stretch,
    grid: Sequence[int],
    order: Sequence[int],
    columns: Columns,
    view: View,
) -> tuple[float, list[JointPath]] | None:
    done: dict[int, JointPath] = {}
    added: list[int] = []
    total = 0.0
    for layer in order:
        near = [x for k in (layer - 1, layer + 1) if k in done for x in done[k].joints]
        standing = sorted({*grid, *added})
        offered = off_grid(ruling, stretch, near, standing)
        offered += bridges_over(ruling, stretch, sorted([*standing, *offered]))
        places, new = sorted([*standing, *offered]), frozenset(offered)
        missed = missed_at(places, ((ruling.jamb_clear, stretch.jambs), (ruling.layer_offset, near)))
        joint = _HIDDEN_JOINT if layer < ruling.layers - 1 else _JOINT
        prices = [
            by * _RULE + columns.height_mm(x) * (joint + (_MEMBER if x in new else 0))
            for x, by in zip(places, missed, strict=True)
        ]
        at = _cheapest(ruling, stretch, places, prices, _weigher(columns, view, layer))
        if at is None:
            return None
        weight, joints = at
        done[layer] = _path(ruling, stretch, joints, dict(zip(places, missed, strict=True)), new)
        added += done[layer].extra
        total += weight
    return total, [done[layer] for layer in sorted(done)]


def _weigher(columns: Columns, view: View, layer: int) -> Callable[[int, int], float]:
    return lambda left, right: columns.weight(view, layer, left, right)


def _cheapest(
    ruling: Ruling,
    stretch: Stretch,
    places: Sequence[int],
    prices: Sequence[float],
    weigh: Callable[[int, int], float],
) -> tuple[float, tuple[int, ...]] | None:
    """The lightest way from one end to the other, no width beyond a board."""
    xs, at_joint = [stretch.board_x0, *places, stretch.board_x1], [0.0, *prices, 0.0]
    paid: list[float | None] = [0.0] + [None] * (len(xs) - 1)
    came = [0] * len(xs)
    low = 0
    for j in range(1, len(xs)):
        while xs[j] - xs[low] > ruling.board:
            low += 1
        for i in range(low, j):
            before, width = paid[i], xs[j] - xs[i]
            if before is None:
                continue
            price = before + at_joint[j] + max(0, ruling.strip_min - width) * _SLIVER + weigh(xs[i], xs[j])
            best = paid[j]
            if best is None or price < best:
                paid[j], came[j] = price, i
    last = paid[-1]
    if last is None:
        return None
    joints, k = [], came[-1]
    while k > 0:
        joints.append(xs[k])
        k = came[k]
    return last, tuple(reversed(joints))


def _path(
    ruling: Ruling, stretch: Stretch, joints: tuple[int, ...], missed: dict[int, int], new: frozenset[int]
) -> JointPath:
    widths = [b - a for a, b in pairwise((stretch.board_x0, *joints, stretch.board_x1))]
    return JointPath(
        joints=joints,
        missed_mm=sum(missed[x] for x in joints),
        sliver_mm=sum(max(0, ruling.strip_min - width) for width in widths),
        extra=tuple(x for x in joints if x in new),
        price=0,
        ambiguous=True,
    )
