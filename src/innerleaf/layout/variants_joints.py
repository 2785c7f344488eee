"""Vertical joints of a stretch laid by what the boards between them weigh, for other layouts as good.

As `trial` does, layer by layer, but the shortest path pays for the boards themselves: the rectangle round
each piece, less a part of what is sawn out of it, and a little for joints and members. Each view weighs a
little differently, the same for equal pieces wherever they lie, so a mirrored wall gets mirrored layouts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from zlib import crc32

from innerleaf.layout.boards import box_of
from innerleaf.layout.joints import JointPath
from innerleaf.layout.pieces import Ring
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
from innerleaf.layout.zone import Span, Zone, spans_over

_RULE, _SLIVER = 1e12, 1e9  # a millimetre missed, in mm2 of board: more than any wall has
_JOINT, _HIDDEN_JOINT = 100.0, 30.0  # a millimetre of joint weighs as much as so many mm2 of board
_MEMBER = 190.0  # a millimetre of member that only a joint needs
_OFF_MIDDLE = 1e-3  # of paths that weigh the same the one nearer to the middle, from whichever side one looks
_SPREAD = 1.0  # by how much a square metre of board may weigh more in one view than in another


_Piece = tuple[float, float, float]  # width, length, net area


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


class Columns:
    """What columns of board weigh on one wall, seen by one view; each is cut once."""

    def __init__(self, zone: Zone, area: Area) -> None:
        self._zone, self._area = zone, area
        rings = [ring for part in area.parts() for ring in (part[0], *part[1])]
        level = all(
            a[0] == b[0] or a[1] == b[1] for r in rings for a, b in zip(r, r[1:] + r[:1], strict=True)
        )
        self._strips = _strips(rings) if level else None
        self._pieces: dict[tuple[int, int], list[_Piece]] = {}
        self._heights: dict[int, float] = {}

    def pieces(self, left: int, right: int) -> list[_Piece]:
        """(width, length, net area) of the pieces between two joints."""
        key = left, right
        if key not in self._pieces:
            self._pieces[key] = self._between(left, right)
        return self._pieces[key]

    def height_mm(self, x: int) -> float:
        """How long a joint at x is."""
        if x not in self._heights:
            self._heights[x] = sum(high - low for low, high in self._zone.clear(x, x))
        return self._heights[x]

    def _between(self, left: int, right: int) -> list[_Piece]:
        if self._strips is not None:
            return _joined(self._strips, left, right)
        (parts,) = self._area.cells([(left, self._zone.y0 - 1, right, self._zone.y1 + 1)])
        boxes = [(box_of(part[0]), area_mm2(part)) for part in parts]
        return [(r - a, t - b, net) for (a, b, r, t), net in boxes]


def _strips(rings: Sequence[Ring]) -> list[tuple[float, float, list[Span]]]:
    """An area whose edges are level or plumb, cut at every plumb edge: (from, to, spans)."""
    cuts = sorted({x for ring in rings for x, _ in ring})
    return [(a, b, spans_over(rings, a, b)) for a, b in pairwise(cuts)]


def _joined(strips: Sequence[tuple[float, float, list[Span]]], left: int, right: int) -> list[_Piece]:
    """What of the strips hangs together between two joints."""
    open_: list[list[float]] = []  # left, right, low, high, area of what reaches to the strip before
    touch: list[tuple[Span, list[float]]] = []
    for a, b, spans in strips:
        a, b = max(a, left), min(b, right)
        if a >= b:
            continue
        here: list[tuple[Span, list[float]]] = []
        for low, high in spans:
            piece = [a, b, low, high, (b - a) * (high - low)]
            for (low_, high_), other in touch:
                if other is not piece and low_ < high and low < high_:
                    _merge(piece, other)
                    open_ = [each for each in open_ if each is not other]
                    touch = [(span, piece if each is other else each) for span, each in touch]
                    here = [(span, piece if each is other else each) for span, each in here]
            open_.append(piece)
            here.append(((low, high), piece))
        touch = here
    return [(r - a, t - c, net) for a, r, c, t, net in open_]


def _merge(piece: list[float], other: list[float]) -> None:
    piece[0], piece[1] = min(piece[0], other[0]), max(piece[1], other[1])
    piece[2], piece[3] = min(piece[2], other[2]), max(piece[3], other[3])
    piece[4] += other[4]


class Weights:
    """What one view makes of the columns of a wall."""

    def __init__(self, columns: Columns, view: View) -> None:
        self.columns, self._view = columns, view
        self._known: dict[int, dict[tuple[int, int], float]] = {}

    def of_layer(self, layer: int) -> Callable[[int, int], float]:
        """Weight of all pieces between two joints. [mm2 of board]"""
        known = self._known.setdefault(layer, {})

        def weigh(left: int, right: int) -> float:
            key = left, right
            weight = known.get(key)
            if weight is None:
                pieces = self.columns.pieces(left, right)
                weight = known[key] = sum(self._view.weight_mm2(layer, *piece) for piece in pieces)
            return weight

        return weigh


def try_view(
    ruling: Ruling, stretch: Stretch, origin: int, weights: Weights
) -> Iterator[tuple[float, Trial]]:
    """Layouts with the grid at ``origin`` as one view weighs them, layers in either order."""
    layers = range(ruling.layers)
    grid = standing_at(ruling, stretch, origin)
    for order in (layers, layers[::-1]) if ruling.layers > 1 else (layers,):
        laid = _lay(ruling, stretch, grid, order, weights)
        if laid:
            weight, paths = laid
            yield weight, trial_of(ruling, stretch, origin, grid, paths)


def _lay(
    ruling: Ruling,
    stretch: Stretch,
    grid: Sequence[int],
    order: Sequence[int],
    weights: Weights,
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
            by * _RULE
            + weights.columns.height_mm(x) * (joint + (_MEMBER if x in new else 0))
            + abs(2 * x - stretch.x0 - stretch.x1) * _OFF_MIDDLE
            for x, by in zip(places, missed, strict=True)
        ]
        at = _cheapest(ruling, stretch, places, prices, weights.of_layer(layer))
        if at is None:
            return None
        weight, joints = at
        done[layer] = _path(ruling, stretch, joints, dict(zip(places, missed, strict=True)), new)
        added += done[layer].extra
        total += weight
    return total, [done[layer] for layer in sorted(done)]


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
