"""What became of each wall: what the survey says otherwise, and what became of its pieces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Final

from innerleaf.layout.pieces import WallPlan
from innerleaf.revise.match import CAME, HOWS, STAYED, WENT, PieceChange, held_together
from innerleaf.revise.pieces import KINDS, Piece, pieces_of
from innerleaf.survey.wall import Wall

SAME, NEW_WALL, GONE_WALL, OTHER = "same", "new", "gone", "changed"
_NAMES: Final = {"outline": "outline", "meets": "edges", "loads": "hung loads", "offsets": "offsets"}


@dataclass(frozen=True, slots=True, kw_only=True)
class WallRevision:
    """One wall of either plan; ``fields`` name what its survey says otherwise, ``words`` say how."""

    wall: str
    name: str
    room: str
    storey: str
    how: str
    fields: tuple[str, ...]
    words: tuple[str, ...]
    pieces: tuple[PieceChange, ...]

    def counts(self) -> dict[tuple[str, str], int]:
        """Pieces by kind and by what became of them, in a fixed order."""
        found = Counter((change.piece.kind, change.how) for change in self.pieces)
        return {(kind, how): found[kind, how] for kind in KINDS for how in HOWS if found[kind, how]}

    @property
    def touched(self) -> tuple[PieceChange, ...]:
        """The pieces that did not stay."""
        return tuple(change for change in self.pieces if change.how != STAYED)


def walls_held_together(before: Sequence[WallPlan], after: Sequence[WallPlan]) -> tuple[WallRevision, ...]:
    """Every wall of either plan, in the order of the plan after; walls that went come last."""
    olds = {plan.wall.id: plan for plan in before}
    news = {plan.wall.id: plan for plan in after}
    return (
        *(_wall(olds.get(name), plan) for name, plan in news.items()),
        *(_wall(plan, None) for name, plan in olds.items() if name not in news),
    )


def _wall(before: WallPlan | None, after: WallPlan | None) -> WallRevision:
    plan = after or before
    assert plan is not None
    if before and after:
        pieces = held_together(pieces_of(before), pieces_of(after))
        words = tuple(_differences(before.wall, after.wall))
        touched = words or any(change.how != STAYED or change.renamed for change in pieces)
        how = OTHER if touched else SAME
    else:
        how = NEW_WALL if after else GONE_WALL
        pieces, words = tuple(_alone(piece, how) for piece in pieces_of(plan)), ()
    return WallRevision(
        wall=plan.wall.id,
        name=plan.wall.name,
        room=plan.wall.room,
        storey=plan.wall.storey,
        how=how,
        fields=tuple(dict.fromkeys(name for name, _ in words)),
        words=tuple(sentence for _, sentence in words),
        pieces=pieces,
    )


def _alone(piece: Piece, how: str) -> PieceChange:
    return PieceChange(CAME, None, piece) if how == NEW_WALL else PieceChange(WENT, piece, None)


def _differences(old: Wall, new: Wall) -> Iterator[tuple[str, str]]:
    """Fields of the survey that differ, each with what differs in words."""
    for field in fields(Wall):
        a, b = getattr(old, field.name), getattr(new, field.name)
        if a == b:
            continue
        name = _NAMES.get(field.name, field.name.removesuffix("_mm").replace("_", " "))
        if field.name in ("openings", "obstacles", "boxes", "loads"):
            for sentence in _listed(a, b):
                yield name, sentence
        elif field.name in ("lining", "targets"):
            for part, was, now in _parts(a, b):
                yield name, f"{name}, {part}: {_said(was)} → {_said(now)}"
        elif field.name in ("outline", "meets", "offsets", "construction", "separates", "questions"):
            yield name, f"{name}: as surveyed anew"
        else:
            yield name, f"{name}: {_said(a)} → {_said(b)}"


def _listed(old: Sequence[object], new: Sequence[object]) -> Iterator[str]:
    """Things on a wall that came, went or changed: those that are the same but for their id stay."""
    olds, news = _by_id(old), _by_id(new)
    same = {id(a): id(b) for a in old for b in new if not any(_parts(a, b))}
    olds = {name: thing for name, thing in olds.items() if id(thing) not in same}
    news = {name: thing for name, thing in news.items() if id(thing) not in same.values()}
    for name, thing in news.items():
        if name not in olds:
            yield f"{_kind(thing)} {name} is new{_at(thing)}"
            continue
        parts = [f"{part} {_said(a)} → {_said(b)}" for part, a, b in _parts(olds[name], thing)]
        if parts:
            yield f"{_kind(thing)} {name}: {', '.join(parts)}"
    for name, thing in olds.items():
        if name not in news:
            yield f"{_kind(thing)} {name} is gone"


def _at(thing: object) -> str:
    return f", at {getattr(thing, 'x_mm', 0)} / {getattr(thing, 'y_mm', getattr(thing, 'sill_mm', 0))}"


def _by_id(things: Sequence[object]) -> Mapping[str, object]:
    return {str(getattr(thing, "id", number)): thing for number, thing in enumerate(things)}


def _kind(thing: object) -> str:
    kind = getattr(thing, "kind", None)
    return str(kind) if kind else {"Box": "electric box", "HungLoad": "hung load"}[type(thing).__name__]


def _parts(old: object, new: object) -> Iterator[tuple[str, object, object]]:
    for field in fields(old):  # type: ignore[arg-type]  # dataclasses of the survey, all of them
        a, b = getattr(old, field.name), getattr(new, field.name)
        if a != b and field.name != "id":
            yield field.name.removesuffix("_mm").replace("_", " "), a, b


def _said(value: object) -> str:
    if value is None or value == () or value == "":
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " + ".join(str(getattr(part, "item", part)) for part in value)
    return f"{value:g}" if isinstance(value, float) else str(value)
