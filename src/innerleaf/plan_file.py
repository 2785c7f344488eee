"""plan.json: a whole plan as one file that any program can read. Format: ``docs/plan-json.md``.

Objects carry the names of our own values, lengths are millimetres, and the same plan always gives
the same bytes: no date, no path, floats rounded to 0.001 mm.
"""

from __future__ import annotations

import json
import types
import typing
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from enum import StrEnum
from operator import attrgetter
from pathlib import Path
from typing import Any, Final, Protocol

import innerleaf
from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import (
    Board,
    Bracket,
    Consumable,
    Insulation,
    Material,
    Membrane,
    Practice,
    Profile,
    Rules,
    Screw,
)
from innerleaf.takeoff import CutBar, CutBoard, Line, Purchase, Rates, Takeoff

if typing.TYPE_CHECKING:  # heat and moisture load much, and only when they are asked for
    from innerleaf.cost.model import Order
    from innerleaf.cost.price_report import PriceReport
    from innerleaf.design.choice.building import BuildingChoice
    from innerleaf.design.performance import Performance
    from innerleaf.programme.model import Programme
    from innerleaf.takeoff.together import TogetherReport

FORMAT: Final = "innerleaf-plan"
VERSION: Final = 1
UNITS: Final = {"length": "mm", "area": "mm2", "mass": "kg", "angle": "degree"}

CATALOGUE: Final[dict[str, type]] = {
    "profiles": Profile,
    "boards": Board,
    "insulation": Insulation,
    "brackets": Bracket,
    "membranes": Membrane,
    "screws": Screw,
    "consumables": Consumable,
    "materials": Material,
}
# Types that JSON takes as they are; our words (each a ``StrEnum``) join them when first met.
_ATOMS: Final[set[type]] = {int, str, bool, type(None)}
# Field names of each dataclass met (all have two fields or more), and a quick way to their values.
_SHAPES: Final[dict[type, tuple[tuple[str, ...], Callable[[Any], tuple[Any, ...]]]]] = {}


class JobHead(Protocol):
    """What a plan says of its job."""

    @property
    def name(self) -> str:
        """Name of the building."""

    @property
    def site_place(self) -> str:
        """Where it stands."""

    @property
    def firm(self) -> str:
        """Who builds."""


def plan_document(
    job: JobHead,
    practice: Practice,
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    performances: Sequence[Performance] = (),
    price: PriceReport | None = None,
    choice: BuildingChoice | None = None,
    order: Order | None = None,
    together: TogetherReport | None = None,
    programme: Programme | None = None,
) -> dict[str, Any]:
    """The plan as plain values, ready for JSON; walls in the order of the job."""
    document = _parts(job, practice, plans, takeoff, performances, price, choice, order, together, programme)
    document["walls"] = [plain(plan) for plan in plans]
    return document


def _parts(
    job: JobHead,
    practice: Practice,
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    performances: Sequence[Performance],
    price: PriceReport | None,
    choice: BuildingChoice | None,
    order: Order | None,
    together: TogetherReport | None,
    programme: Programme | None,
) -> dict[str, Any]:
    """The document in its order, walls still to be filled in."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "made_by": f"innerleaf {innerleaf.__version__}",
        "units": dict(UNITS),
        "job": {"name": job.name, "place": job.site_place, "firm": job.firm},
        "practice": _practice(practice, plans, takeoff),
        "walls": [],
        "takeoff": _takeoff(takeoff),
        "performance": _performance(performances),
        "moisture_cases": _moisture_cases(performances),
        "order": plain(order),
        "price": plain(price),
        "choice": _choice(choice),
        "together": _together(together),
        "programme": plain(programme),
    }


def write_plan(
    path: Path,
    job: JobHead,
    practice: Practice,
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    performances: Sequence[Performance] = (),
    price: PriceReport | None = None,
    choice: BuildingChoice | None = None,
    order: Order | None = None,
    together: TogetherReport | None = None,
    programme: Programme | None = None,
) -> None:
    """Write plan.json, one wall per line (never all in memory), the same bytes for the same plan."""
    encode = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode
    with path.open("w", encoding="utf-8", newline="\n") as file:
        parts = _parts(job, practice, plans, takeoff, performances, price, choice, order, together, programme)
        for key, value in parts.items():
            file.write(f"{'{' if key == 'format' else ','}\n{encode(key)}:")
            if key != "walls":
                file.write(encode(value))
                continue
            for number, plan in enumerate(plans):
                file.write(f"{',' if number else '['}\n{encode(plain(plan))}")
            file.write("\n]" if plans else "[]")
        file.write("\n}\n")


def read_plan(path: Path) -> dict[str, Any]:
    """Read plan.json back as plain values.

    Raises
    ------
    InputError
        The file cannot be read, is no JSON, or is of another format or version.
    """
    try:
        document = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise InputError("plan file", given=path.name, accepted=f"readable JSON ({error})") from error
    given = (document.get("format"), document.get("version")) if isinstance(document, dict) else None
    if given != (FORMAT, VERSION):
        raise InputError("plan file", given=given, accepted=f"format {FORMAT!r}, version {VERSION}")
    return typing.cast("dict[str, Any]", document)


def _practice(practice: Practice, plans: Sequence[WallPlan], takeoff: Takeoff) -> dict[str, Any]:
    """Every rule, and the catalogue entries that the plan uses."""
    used = {line.item for line in takeoff.lines}
    for plan in plans:
        lining = plan.wall.lining
        used |= {lining.profile, lining.membrane, lining.bracket, *lining.boards}
        used |= {layer.item for layer in lining.insulation}
        used |= {opening.reveal_insulation for opening in plan.wall.openings}
        used |= {plan.wall.flank.item} if plan.wall.flank else set()
        used |= {layer.material for layer in plan.wall.construction}
    return {
        "id": practice.id,
        "title": practice.title,
        "display_unit": practice.display_unit,
        "rules": plain(practice.rules),
    } | {name: _entries(getattr(practice, name), used) for name in CATALOGUE}


def _entries(catalogue: Mapping[str, object], used: Iterable[str]) -> dict[str, Any]:
    return {name: plain(catalogue[name]) for name in sorted(used) if name in catalogue}


def _takeoff(takeoff: Takeoff) -> dict[str, Any]:
    purchases = [plain(p) | {"waste": round(p.waste, 6), "gap": round(p.gap, 6)} for p in takeoff.purchases]
    return {
        "lines": plain(takeoff.lines),
        "purchases": purchases,
        "bars": plain(takeoff.bars),
        "boards": plain(takeoff.boards),
        "rates": plain(takeoff.rates),
        "mass_kg": _number(takeoff.mass_kg),
    }


def _performance(performances: Sequence[Performance]) -> list[Any]:
    if not performances:
        return []
    from innerleaf.design.record import record

    return [figures(record(performance)) for performance in performances]


def _together(report: TogetherReport | None) -> Any:
    if report is None:
        return None
    gains = {"board_gain": round(report.board_gain, 6), "cost_gain": round(report.cost_gain, 6)}
    return plain(report) | gains


def _choice(choice: BuildingChoice | None) -> Any:
    if choice is None:
        return None
    from innerleaf.design.choice.record import record_choice

    return figures(record_choice(choice))


def _moisture_cases(performances: Sequence[Performance]) -> list[Any]:
    if not performances:
        return []
    from innerleaf.design.record import record_cases

    return [figures(case, digits=4) for case in record_cases(performances)]


def figures(value: Any, digits: int = 6) -> Any:
    """Like ``plain``, for physical figures, whose size is anything: so many significant digits."""
    if type(value) is float:
        return float(f"{value:.{digits}g}")
    if type(value) is tuple:
        return [figures(item, digits) for item in value]
    if is_dataclass(value):
        return {field.name: figures(getattr(value, field.name), digits) for field in fields(value)}
    return value


def _number(value: float) -> float:
    """Rounded to 0.001, whole numbers as integers, so that equal plans give equal bytes."""
    near = value if value.is_integer() else round(value, 3)
    return int(near) if near.is_integer() else near


def plain(value: Any) -> Any:
    """A frozen value as dicts, lists and atoms. Unlike ``dataclasses.asdict`` it copies no atom."""
    kind = type(value)
    if kind in _ATOMS:
        return value
    if kind is float:
        return _number(value)
    if kind is tuple:
        if _ATOMS.issuperset(map(type, value)):
            return list(value)
        return [plain(item) for item in value]
    if kind not in _SHAPES:
        if isinstance(value, StrEnum):
            _ATOMS.add(kind)
            return value
        names = tuple(field.name for field in fields(kind))
        _SHAPES[kind] = names, attrgetter(*names)
    names, values_of = _SHAPES[kind]
    return {
        name: item if type(item) in _ATOMS else plain(item)
        for name, item in zip(names, values_of(value), strict=True)
    }


def plan_schema() -> dict[str, Any]:
    """JSON Schema of plan.json, made from the values themselves; committed in ``schema/``."""
    from innerleaf.cost.model import Order
    from innerleaf.cost.price_report import PriceReport
    from innerleaf.design.choice.record import ChoiceRecord
    from innerleaf.design.record import CaseRecord, PerformanceRecord
    from innerleaf.programme.model import Programme
    from innerleaf.takeoff.together import TogetherReport

    definitions: dict[str, Any] = {}
    text, number = {"type": "string"}, {"type": "number"}
    catalogue = {
        name: {"type": "object", "additionalProperties": schema_of(kind, definitions)}
        for name, kind in CATALOGUE.items()
    }
    schema_of(Purchase, definitions)
    for share in ("waste", "gap"):
        definitions["Purchase"]["properties"][share] = number
        definitions["Purchase"]["required"].append(share)
    schema_of(TogetherReport, definitions)
    for gain in ("board_gain", "cost_gain"):
        definitions["TogetherReport"]["properties"][gain] = number
        definitions["TogetherReport"]["required"].append(gain)
    properties = {
        "format": {"const": FORMAT},
        "version": {"const": VERSION},
        "made_by": text,
        "units": {"const": UNITS},
        "job": closed({"name": text, "place": text, "firm": text}),
        "practice": closed(
            {"id": text, "title": text, "display_unit": text, "rules": schema_of(Rules, definitions)}
            | catalogue
        ),
        "walls": {"type": "array", "items": schema_of(WallPlan, definitions)},
        "takeoff": closed(
            {
                name: {"type": "array", "items": schema_of(kind, definitions)}
                for name, kind in (
                    ("lines", Line),
                    ("purchases", Purchase),
                    ("bars", CutBar),
                    ("boards", CutBoard),
                )
            }
            | {"rates": schema_of(Rates, definitions), "mass_kg": number}
        ),
        "performance": {"type": "array", "items": schema_of(PerformanceRecord, definitions)},
        "moisture_cases": {"type": "array", "items": schema_of(CaseRecord, definitions)},
        "order": {"anyOf": [schema_of(Order, definitions), {"type": "null"}]},
        "price": {"anyOf": [schema_of(PriceReport, definitions), {"type": "null"}]},
        "choice": {"anyOf": [schema_of(ChoiceRecord, definitions), {"type": "null"}]},
        "together": {"anyOf": [schema_of(TogetherReport, definitions), {"type": "null"}]},
        "programme": {"anyOf": [schema_of(Programme, definitions), {"type": "null"}]},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Plan of linings",
        "description": "Everything that innerleaf set out for one job; lengths in mm. See docs/plan-json.md.",
        **closed(properties),
        "$defs": dict(sorted(definitions.items())),
    }


def closed(properties: dict[str, Any]) -> dict[str, Any]:
    """Schema of an object that has these properties, all of them and no others."""
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def schema_of(kind: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    """Schema of a type used in the values; dataclasses become definitions."""
    origin, parts = typing.get_origin(kind), typing.get_args(kind)
    if origin in (types.UnionType, typing.Union):
        return {"anyOf": [schema_of(part, definitions) for part in parts]}
    if origin is tuple and parts[-1] is Ellipsis:
        return {"type": "array", "items": schema_of(parts[0], definitions)}
    if origin is tuple:
        items = [schema_of(part, definitions) for part in parts]
        return {"type": "array", "prefixItems": items, "items": False, "minItems": len(items)}
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return {"enum": [word.value for word in kind]}
    if is_dataclass(kind) and isinstance(kind, type):
        name = kind.__name__
        if name not in definitions:
            definitions[name] = {}  # reserves the name while the fields are looked at
            hints = typing.get_type_hints(kind)
            definitions[name] = {
                "description": (kind.__doc__ or "").partition("\n")[0],
                **closed({field.name: schema_of(hints[field.name], definitions) for field in fields(kind)}),
            }
        return {"$ref": f"#/$defs/{name}"}
    words = {int: "integer", float: "number", str: "string", bool: "boolean", type(None): "null"}
    return {"type": words[kind]}
