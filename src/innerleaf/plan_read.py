"""plan.json back into values: what `plan_file` wrote, as the frozen objects it was made of."""

from __future__ import annotations

import types
import typing
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.plan_file import CATALOGUE, read_plan
from innerleaf.practice.load import load_practice, practice_sets
from innerleaf.practice.model import Practice, Rules
from innerleaf.takeoff import CutBar, CutBoard, Line, Purchase, Rates, Takeoff

if TYPE_CHECKING:
    from innerleaf.cost.model import Order
    from innerleaf.cost.price_model import Price

Value = TypeVar("Value")
_JUDGED = ("C", "F", "H", "S")  # first letters of findings that are not of the layout
_HINTS: dict[type, tuple[tuple[str, Any, bool], ...]] = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRead:
    """A plan as it was written. ``practice`` has the rules and articles of the plan in it.

    What the plan does not use is as the package has it, whatever the firm's own file said.
    """

    name: str
    place: str
    firm: str
    practice: Practice
    plans: tuple[WallPlan, ...]
    takeoff: Takeoff
    price: Price | None
    order: Order | None


def plan_values(path: Path) -> PlanRead:
    """Read plan.json.

    Raises
    ------
    InputError
        The file cannot be read, is no plan of this version, or something in it is not as it was written.
    """
    from innerleaf.cost.model import Order
    from innerleaf.cost.price_model import Price

    document = read_plan(path)
    try:
        price, taken = document["price"], document["takeoff"]
        return PlanRead(
            name=document["job"]["name"],
            place=document["job"]["place"],
            firm=document["job"]["firm"],
            practice=_practice(document["practice"]),
            plans=_list(WallPlan, document["walls"]),
            takeoff=Takeoff(
                lines=_list(Line, taken["lines"]),
                purchases=_list(Purchase, taken["purchases"]),
                bars=_list(CutBar, taken["bars"]),
                boards=_list(CutBoard, taken["boards"]),
                rates=_made(Rates, taken["rates"]),
            ),
            price=_made(Price, price["price"]) if price else None,
            order=_made(Order, document["order"]) if document["order"] else None,
        )
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
        accepted = f"a plan as `innerleaf plan` wrote it ({type(error).__name__}: {error})"
        raise InputError("plan file", given=path.name, accepted=accepted) from error


def of_layout(plan: WallPlan) -> WallPlan:
    """The plan without findings that whoever chooses or judges says anew."""
    found = tuple(finding for finding in plan.findings if not finding.code.startswith(_JUDGED))
    return replace(plan, findings=found)


def _practice(given: dict[str, Any]) -> Practice:
    """The set that the plan names, with the rules and articles that the plan went by."""
    if given["id"] not in practice_sets():
        accepted = f"one of {', '.join(practice_sets())}"
        raise InputError("practice of the plan file", given=given["id"], accepted=accepted)
    known = load_practice(given["id"])
    catalogues: dict[str, Any] = {
        name: {
            **getattr(known, name),
            **{article: _made(kind, entry) for article, entry in given[name].items()},
        }
        for name, kind in CATALOGUE.items()
    }
    return replace(known, title=given["title"], rules=_made(Rules, given["rules"]), **catalogues)


def _list(kind: type[Value], given: list[Any]) -> tuple[Value, ...]:
    return tuple(_made(kind, one) for one in given)


def _made(kind: type[Value], given: Any) -> Value:
    """A dataclass of plain values; what the file has beyond its fields was reckoned from them.

    A field with a default may be missing: it came later than the file.
    """
    said = {name: _value(hint, given[name]) for name, hint, needed in _hints(kind) if needed or name in given}
    made: Value = kind(**said)
    return made


def _hints(kind: type) -> tuple[tuple[str, Any, bool], ...]:
    """Name, type of each field of a dataclass, and whether it has no default."""
    if kind not in _HINTS:
        hints = typing.get_type_hints(kind)
        _HINTS[kind] = tuple(
            (field.name, hints[field.name], field.default is MISSING and field.default_factory is MISSING)
            for field in fields(kind)
        )
    return _HINTS[kind]


def _value(kind: Any, given: Any) -> Any:
    if kind in (int, float, str, bool) or given is None:
        return given
    origin, parts = typing.get_origin(kind), typing.get_args(kind)
    if origin in (types.UnionType, typing.Union):
        return _value(next(part for part in parts if part is not type(None)), given)
    if origin is tuple:
        if parts[-1] is Ellipsis:
            inner = parts[0]
            return tuple(given) if inner in (int, float, str) else tuple(_value(inner, one) for one in given)
        return tuple(_value(part, one) for part, one in zip(parts, given, strict=True))
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return kind(given)
    if is_dataclass(kind) and isinstance(kind, type):
        return _made(kind, given)
    raise TypeError(f"no way to read {kind}")
