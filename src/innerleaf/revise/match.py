"""Which pieces of a wall stayed, moved, changed, came and went.

A mark is a piece's order along its wall, so a new stud renames those after it. Pieces are therefore found
again by what they are: first those at the same place with the same cut, then those of the same cut
elsewhere on the wall (the nearest first), then those that take much of the same place with another cut, and
at last those of the same mark. What is left came or went. Old and new play the same part in each step, so
holding them the other way round gives the same pairs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from innerleaf.revise.pieces import BAR, Piece

STAYED, MOVED, CHANGED, CAME, WENT = "stayed", "moved", "changed", "came", "went"
HOWS: Final = (STAYED, MOVED, CHANGED, CAME, WENT)
_LEAST_SHARED: Final = 0.3  # of the area both take: less is another piece (our own choice)

Pairs = list[tuple[Piece, Piece]]
Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class PieceChange:
    """What became of one piece: before, after; None where it is only in one of the plans."""

    how: str
    before: Piece | None
    after: Piece | None

    @property
    def piece(self) -> Piece:
        """The piece as it is now, else as it was."""
        found = self.after or self.before
        assert found is not None
        return found

    @property
    def renamed(self) -> bool:
        """Whether it is the same piece under another mark."""
        return bool(self.before and self.after and self.before.mark != self.after.mark)


def held_together(before: Sequence[Piece], after: Sequence[Piece]) -> tuple[PieceChange, ...]:
    """Every piece of both plans of one wall once, in the order of the plan after, those that went last."""
    left = _Left(before, after)
    pairs = [(STAYED, pair) for pair in left.same(lambda p: (*_sort(p), p.shape, p.place))]
    pairs += [(MOVED, pair) for pair in left.nearest(lambda p: (*_sort(p), p.shape))]
    pairs += [(CHANGED, pair) for pair in left.on_top(_spot)]
    pairs += [(CHANGED, pair) for pair in left.same(lambda p: (*_spot(p), p.mark))]
    found = {id(new): PieceChange(how, old, new) for how, (old, new) in pairs}
    in_order = [found.get(id(piece)) or PieceChange(CAME, None, piece) for piece in after]
    return (*in_order, *(PieceChange(WENT, piece, None) for piece in left.before))


def _sort(piece: Piece) -> Key:
    return piece.kind, piece.what, piece.item


def _spot(piece: Piece) -> Key:
    """What may stand for one another at one place: bars of any role, else pieces of one layer."""
    return piece.kind, piece.plane, "" if piece.kind == BAR else piece.what


class _Left:
    """Pieces that are not paired yet; each step takes pairs out."""

    def __init__(self, before: Sequence[Piece], after: Sequence[Piece]) -> None:
        self.before, self.after = list(before), list(after)

    def same(self, key: Callable[[Piece], Key]) -> Pairs:
        """Pieces with equal keys, in the order of their marks where several are equal."""
        olds, news = _grouped(self.before, key), _grouped(self.after, key)
        pairs = [pair for name in olds for pair in zip(olds[name], news.get(name, []), strict=False)]
        return self._taken(pairs)

    def nearest(self, key: Callable[[Piece], Key]) -> Pairs:
        """Pieces with equal keys, the nearest first."""
        return self._taken(self._greedy(key, lambda old, new: old.away_mm(new)))

    def on_top(self, key: Callable[[Piece], Key]) -> Pairs:
        """Pieces with equal keys that share enough of their place, those that share most first."""

        def badness(old: Piece, new: Piece) -> float | None:
            shared = old.overlap(new)
            return -shared if shared >= _LEAST_SHARED else None

        return self._taken(self._greedy(key, badness))

    def _greedy(self, key: Callable[[Piece], Key], badness: Callable[[Piece, Piece], float | None]) -> Pairs:
        olds, news = _grouped(self.before, key), _grouped(self.after, key)
        pairs: Pairs = []
        for name, group in olds.items():
            tries = [
                ((round(bad, 6), *sorted((_name(old), _name(new)))), old, new)
                for old in group
                for new in news.get(name, [])
                for bad in (badness(old, new),)
                if bad is not None
            ]
            taken: set[int] = set()
            for _, old, new in sorted(tries, key=lambda one: one[0]):
                if id(old) not in taken and id(new) not in taken:
                    taken |= {id(old), id(new)}
                    pairs.append((old, new))
        return pairs

    def _taken(self, pairs: Pairs) -> Pairs:
        gone = {id(piece) for pair in pairs for piece in pair}
        self.before = [piece for piece in self.before if id(piece) not in gone]
        self.after = [piece for piece in self.after if id(piece) not in gone]
        return pairs


def _name(piece: Piece) -> str:
    """Tells pieces of one plan apart and puts them in an order."""
    return f"{piece.mark} {piece.place} {piece.shape}"


def _grouped(pieces: Sequence[Piece], key: Callable[[Piece], Key]) -> dict[Key, list[Piece]]:
    groups: dict[Key, list[Piece]] = defaultdict(list)
    for piece in sorted(pieces, key=_name):
        groups[key(piece)].append(piece)
    return groups
