"""A cut list by saw set-up (what is cut at one stop together), its sums, what is kept: as plain tables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from innerleaf.documents.cut_list import CutList, Kept
from innerleaf.documents.cut_model import BarPattern, BoardPattern, Piece, marks_of, number_ranges
from innerleaf.documents.schedule import Cell, Table, end_cut


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """Pieces cut at one stop: all of one item, size and end cut.

    ``width_mm`` is 0 for bars; ``sources`` are (stock length, numbers of the bars or boards).
    """

    item: str
    width_mm: float
    length_mm: float
    ends: str
    pieces: tuple[Piece, ...]
    sources: tuple[tuple[int, tuple[int, ...]], ...]

    @property
    def taken_from(self) -> str:
        """Stock lengths and the numbers of what is cut."""
        return "; ".join(f"{stock}: {number_ranges(numbers)}" for stock, numbers in self.sources)


_Key = tuple[str, float, float, str]


def bar_setups(cut: CutList) -> list[Setup]:
    """Set-ups of the saw, item by item, the longest first."""
    found: dict[_Key, list[tuple[Piece, int, int]]] = defaultdict(list)
    for bar in cut.bars:
        for part in bar.parts:
            key = (bar.item, 0, part.length_mm, end_cut(part.skew_a_deg, part.skew_b_deg))
            found[key] += _lines(bar, part.pieces)
    return _setups(found, cut.walls)


def board_setups(cut: CutList) -> list[Setup]:
    """Sizes of pieces of board, item by item, the longest first."""
    found: dict[_Key, list[tuple[Piece, int, int]]] = defaultdict(list)
    for board in cut.boards:
        for part in board.parts:
            shape = "" if _is_rectangle(part.rings) else "to shape"
            key = (board.item, round(part.width_mm, 1), round(part.length_mm, 1), shape)
            found[key] += _lines(board, part.pieces)
    return _setups(found, cut.walls)


def _is_rectangle(rings: Sequence[Sequence[tuple[float, float]]]) -> bool:
    sides = [{corner[axis] for corner in rings[0]} for axis in (0, 1)]
    return len(rings) == 1 and len(rings[0]) == 4 and all(len(side) == 2 for side in sides)


def _lines(pattern: BarPattern | BoardPattern, pieces: Sequence[Piece]) -> list[tuple[Piece, int, int]]:
    """Pieces, each with the stock length and the number of what it is cut from."""
    times = len(pieces) // len(pattern.numbers)  # a file may ask for several of one mark
    numbers = [number for number in pattern.numbers for _ in range(times)]
    return [(piece, pattern.stock_mm, number) for piece, number in zip(pieces, numbers, strict=True)]


def _setups(found: dict[_Key, list[tuple[Piece, int, int]]], walls: Sequence[str]) -> list[Setup]:
    order = {wall: k for k, wall in enumerate(walls)}
    setups = []
    for (item, width, length, ends), lines in sorted(
        found.items(), key=lambda f: (f[0][0], -f[0][2], -f[0][1], f[0][3])
    ):
        lines.sort(key=lambda line: (order.get(line[0].wall, 0), line[0].mark))
        sources: dict[int, set[int]] = defaultdict(set)
        for _, stock, number in lines:
            sources[stock].add(number)
        setups.append(
            Setup(
                item=item,
                width_mm=width,
                length_mm=length,
                ends=ends,
                pieces=tuple(piece for piece, _, _ in lines),
                sources=tuple((stock, tuple(sorted(numbers))) for stock, numbers in sorted(sources.items())),
            )
        )
    return setups


def setup_tables(cut: CutList) -> list[Table]:
    """The two tables of set-ups for printing; those without rows are left out."""
    bars = bar_setups(cut)
    boards = board_setups(cut)
    found = [
        Table(
            "Bars by set-up of the saw",
            ("profile", "stop", "n", "end cut", "marks", "from bars"),
            tuple(
                (s.item, round(s.length_mm), len(s.pieces), s.ends, marks_of(s.pieces), s.taken_from)
                for s in bars
            ),
            ("stop", "n"),
            _ruled(bars),
        ),
        Table(
            "Pieces of board by size",
            ("board", "width × length", "n", "cut", "marks", "from boards"),
            tuple(
                (
                    s.item,
                    f"{s.width_mm:g} × {s.length_mm:g}",
                    len(s.pieces),
                    s.ends,
                    marks_of(s.pieces),
                    s.taken_from,
                )
                for s in boards
            ),
            ("width × length", "n"),
            _ruled(boards),
        ),
    ]
    return [table for table in found if table.rows]


def _ruled(setups: Sequence[Setup]) -> tuple[int, ...]:
    """Where the next item begins."""
    return tuple(k for k in range(1, len(setups)) if setups[k].item != setups[k - 1].item)


def kept_table(kept: Iterable[Kept]) -> Table:
    """Offcuts to keep, by the mark written on them."""
    rows = [
        (
            k.mark,
            k.item,
            f"{k.width_mm} × {k.length_mm}" if k.width_mm else str(k.length_mm),
            k.edges,
            k.number,
        )
        for k in kept
    ]
    columns = ("mark", "item", "size", "factory edges", "from bar or board")
    return Table("Offcuts to keep", columns, tuple(rows), ("size", "from bar or board"))


def sum_table(cut: CutList) -> Table:
    """How many bars and boards of each stock length, what is cut from them, what is kept, what is waste."""
    rows: list[tuple[Cell, ...]] = []
    for patterns in (cut.bars, cut.boards):
        by_stock: dict[tuple[str, int, bool], list[BarPattern | BoardPattern]] = defaultdict(list)
        for pattern in patterns:
            by_stock[pattern.item, pattern.stock_mm, not pattern.source].append(pattern)
        for (item, stock, bought), some in sorted(by_stock.items()):
            number = sum(len(pattern.numbers) for pattern in some)
            pieces = sum(len(part.pieces) for pattern in some for part in pattern.parts)
            kept = sum(_kept(pattern) for pattern in some)
            waste = f"{sum(map(_waste, some)) / _whole(some):.1%}"
            whence = "to be bought" if bought else "in hand"
            rows.append((item, stock, number, pieces, kept or "", waste, some[0].comes_as, whence))
    columns: tuple[str, ...] = ("item", "length", "bars or boards", "pieces", "offcuts kept", "waste")
    ruled = tuple(k for k in range(1, len(rows)) if rows[k][0] != rows[k - 1][0])
    right, shown = columns[1:], list(range(len(columns)))
    for at, name, wanted in (
        (6, "may come as", any(row[6] for row in rows)),
        (7, "from", any(row[7] == "in hand" for row in rows)),
    ):
        if wanted:
            columns, shown = (*columns, name), [*shown, at]
    return Table("To be cut", columns, tuple(tuple(row[at] for at in shown) for row in rows), right, ruled)


def _kept(pattern: BarPattern | BoardPattern) -> int:
    if isinstance(pattern, BarPattern):
        return len(pattern.kept)
    return sum(len(left.kept) for left in pattern.lefts)


def _whole(patterns: Iterable[BarPattern | BoardPattern]) -> float:
    """What is there before cutting: length of bars [mm] or area of boards [mm2]."""
    return sum(
        len(p.numbers) * p.stock_mm * (p.width_mm if isinstance(p, BoardPattern) else 1) for p in patterns
    )


def _waste(pattern: BarPattern | BoardPattern) -> float:
    """What is neither piece nor kept, of all that are cut alike; in the measure of `_whole`."""
    times = len(pattern.numbers)
    if isinstance(pattern, BarPattern):
        used = sum(part.length_mm for part in pattern.parts) + (pattern.rest_mm if pattern.kept else 0)
        return times * (pattern.stock_mm - used)
    area = sum(_area(part.rings[0]) - sum(map(_area, part.rings[1:])) for part in pattern.parts)
    area += sum(left.width_mm * left.length_mm for left in pattern.lefts if left.kept)
    return times * (pattern.width_mm * pattern.stock_mm - area)


def _area(ring: Sequence[tuple[float, float]]) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))) / 2
