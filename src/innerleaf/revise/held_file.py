"""What is bought and built already, from the file a person wrote."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final, TypeGuard

from innerleaf.cost.model import Order
from innerleaf.errors import FileFaults
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.measures import Measure, measure_of
from innerleaf.practice.model import Practice
from innerleaf.reading import Place, Text
from innerleaf.revise.pieces import pieces_of
from innerleaf.revise.stock import ALL, Held, Lying

_FIELDS: Final = ("format", "deliveries", "bought", "built")
_OF_BOUGHT: Final = ("article", "length", "count", "amount")
_PER: Final = {"mm": 1000.0}  # people write metres
_MOST: Final = 1e9


def held_of(text: Text, plans: Sequence[WallPlan], order: Order | None, practice: Practice) -> Held:
    """The deliveries called off, what is bought beside them, and the pieces built, by wall.

    Raises
    ------
    FileFaults
        It is not such a file, or names a delivery, article, wall or mark that is not there; all faults.
    """
    text.checked()
    faults: list[str] = []
    reader = _Reader(text, faults)
    said = reader.part((), text.value, _FIELDS)
    if said.get("format") != 1:
        reader.refuse(("format",), said.get("format"), "1")
    held = Held(
        deliveries=tuple(_deliveries(reader, said.get("deliveries"), order)),
        bought=tuple(_bought(reader, said.get("bought"), practice)),
        built=dict(_built(reader, said.get("built"), plans)),
    )
    if faults:
        raise FileFaults(faults)
    return held


class _Reader:
    """Says where in the text something is wrong."""

    def __init__(self, text: Text, faults: list[str]) -> None:
        self.text, self.faults = text, faults

    def refuse(self, place: Place, given: object, accepted: str) -> None:
        """Add a fault."""
        name = ".".join(map(str, place))
        sentence = f"{name}: given {given!r}, accepted: {accepted}."
        self.faults.append(self.text.line(place, sentence))

    def part(self, place: Place, value: object, names: Sequence[str]) -> dict[str, Any]:
        """A mapping with no other names than these."""
        if value is None:
            return {}
        if not isinstance(value, dict):
            self.refuse(place, value, f"a mapping of {', '.join(names)}")
            return {}
        for name in value:
            if name not in names:
                self.refuse((*place, name), name, f"one of {', '.join(names)}")
        return value

    def listed(self, place: Place, value: object) -> list[Any]:
        """A list; nothing where nothing is said."""
        if value is None:
            return []
        if not isinstance(value, list):
            self.refuse(place, value, "a list")
            return []
        return value


def _deliveries(reader: _Reader, value: object, order: Order | None) -> Iterator[str]:
    known = [delivery.id for delivery in order.deliveries] if order else []
    if value == ALL:
        yield ALL
        return
    for number, name in enumerate(reader.listed(("deliveries",), value)):
        if name in known:
            yield str(name)
        else:
            accepted = f"{ALL}, or some of {', '.join(known)}" if known else "an earlier plan with an order"
            reader.refuse(("deliveries", number), name, accepted)


def _bought(reader: _Reader, value: object, practice: Practice) -> Iterator[Lying]:
    for number, one in enumerate(reader.listed(("bought",), value)):
        place: Place = ("bought", number)
        said = reader.part(place, one, _OF_BOUGHT)
        article = said.get("article")
        measure = measure_of(practice, article) if isinstance(article, str) else None
        if measure is None or article is None:
            reader.refuse((*place, "article"), article, "an article of the practice set")
            continue
        length = said.get("length", measure.length_mm) if measure.by_length else 0
        name = "amount" if measure.unit in ("mm", "kg") and not measure.by_length else "count"
        amount = said.get(name)
        if measure.by_length and not (_number(length) and length > 0):
            reader.refuse((*place, "length"), length, "the length it was bought in, in mm")
        elif not _number(amount):
            reader.refuse((*place, name), amount, _how_many(measure, name))
        else:
            per = _PER.get(measure.unit, 1.0) if name == "amount" else 1.0
            yield Lying(article, int(length), float(amount) * per)


def _number(value: object) -> TypeGuard[float]:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= _MOST


def _how_many(measure: Measure, name: str) -> str:
    return f"how many {measure.piece}s" if name == "count" else "how much, in m or kg"


def _marks(plan: WallPlan) -> dict[str, list[str]]:
    """Pieces by what a person may call them: their own mark, or that of the stud they are part of."""
    found = {piece.mark: [piece.mark] for piece in pieces_of(plan)}
    for bar in plan.bars:
        if bar.member and bar.member != bar.mark:
            found.setdefault(bar.member, []).append(bar.mark)
    return found


def _built(
    reader: _Reader, value: object, plans: Sequence[WallPlan]
) -> Iterator[tuple[str, tuple[str, ...]]]:
    known = {plan.wall.id: plan for plan in plans}
    said = reader.part(("built",), value, list(known))
    for wall, marks in said.items():
        if wall not in known:
            continue
        if marks == ALL:
            yield wall, (ALL,)
            continue
        of_wall = _marks(known[wall])
        found: list[str] = []
        for number, mark in enumerate(reader.listed(("built", wall), marks)):
            whole = str(mark) if mark in of_wall else f"{wall}/{mark}"
            if whole in of_wall:
                found += of_wall[whole]
            else:
                some = ", ".join(each.removeprefix(f"{wall}/") for each in list(of_wall)[:3])
                accepted = f"{ALL}, or marks of this wall's pieces, such as {some}"
                reader.refuse(("built", wall, number), mark, accepted)
        yield wall, tuple(found)
