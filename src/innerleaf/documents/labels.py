"""Places for words: pushed apart along a line, or beside the thing they name without covering others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from innerleaf.documents.sheet import Anchor, Place, Rect, text_box

_CELL_MM = 12.0


def spread(wanted: Sequence[float], gap: float, low: float = -1e9, high: float = 1e9) -> list[float]:
    """Positions at least ``gap`` apart, in the given (ascending) order, as near to the wanted ones as can be.

    Least sum of squares, found by joining neighbours that press on each other into blocks. The row is
    kept within ``low .. high`` where it fits.

    >>> spread([0.0, 1.0, 10.0], 3)
    [-1.0, 2.0, 10.0]
    """
    blocks: list[tuple[float, int]] = []  # (mean of wanted - k * gap, count)
    for k, value in enumerate(wanted):
        mean, count = value - k * gap, 1
        while blocks and blocks[-1][0] > mean:
            before, n = blocks.pop()
            mean, count = (before * n + mean * count) / (n + count), n + count
        blocks.append((mean, count))
    room = max(low, high - gap * max(0, len(wanted) - 1))
    flat = [min(max(mean, low), room) for mean, count in blocks for _ in range(count)]
    return [value + k * gap for k, value in enumerate(flat)]


def around(box: Rect) -> Iterator[Place]:
    """Places above and below a thing, the nearest first, then to its sides and further away."""
    left, bottom, right, top = box
    middle = (left + right) / 2
    for reach in (1.9, 4.7, 7.5, 10.3, 13.1, 15.9, 18.7):
        for aside in (0, 4, -4, 8, -8, 12, -12):
            yield middle + aside, top + reach
            yield middle + aside, bottom - reach


_Cells = dict[tuple[int, int], list[Rect]]


class Labels:
    """Remembers what is taken on a drawing and finds free places for words, inside ``bounds`` if given.

    Upright members are taken lightly: words may cover them when there is no other place.
    """

    def __init__(self, bounds: Rect | None = None) -> None:
        self._bounds = bounds
        self._taken: _Cells = {}
        self._lightly: _Cells = {}

    def _keys(self, box: Rect) -> list[tuple[int, int]]:
        x0, y0 = int(box[0] // _CELL_MM), int(box[1] // _CELL_MM)
        x1, y1 = int(box[2] // _CELL_MM), int(box[3] // _CELL_MM)
        if x0 == x1:
            return [(x0, y0)] if y0 == y1 else [(x0, j) for j in range(y0, y1 + 1)]
        return [(i, j) for i in range(x0, x1 + 1) for j in range(y0, y1 + 1)]

    def take(self, box: Rect, *, lightly: bool = False) -> None:
        """Mark a rectangle as taken."""
        cells = self._lightly if lightly else self._taken
        for key in self._keys(box):
            cells.setdefault(key, []).append(box)

    def free(self, box: Rect, *, over: bool = False) -> bool:
        """Whether a rectangle is inside the bounds and clear; with ``over``, of what is not taken lightly."""
        left, bottom, right, top = box
        edge = self._bounds
        if edge and (left < edge[0] or right > edge[2] or bottom < edge[1] or top > edge[3]):
            return False
        for key in self._keys(box):
            for a, b, c, d in self._taken.get(key, ()):
                if left < c and a < right and bottom < d and b < top:
                    return False
            if over:
                continue
            for a, b, c, d in self._lightly.get(key, ()):
                if left < c and a < right and bottom < d and b < top:
                    return False
        return True

    def place(
        self,
        words: str,
        size: float,
        tries: Iterable[Place],
        anchor: Anchor = "middle",
        *,
        upright: bool = False,
        over: bool = False,
        clear: float = 0.0,
    ) -> Place | None:
        """The first of ``tries`` where the words fit; their rectangle is then taken. None if nowhere.

        ``clear`` is what they need round them: the white behind words that hide what is below.
        """
        for at in tries:
            left, bottom, right, top = text_box(at, words, size, anchor, upright=upright)
            box = left - clear, bottom - clear, right + clear, top + clear
            if self.free(box, over=over):
                self.take(box)
                return at
        return None

    def place_near(self, words: str, size: float, box: Rect, *, clear: float = 0.0) -> Place | None:
        """A place around a thing, clear of everything if there is one, else over a member."""
        for over in (False, True):
            at = self.place(words, size, around(box), over=over, clear=clear)
            if at:
                return at
        return None
