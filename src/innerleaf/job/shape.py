"""From the values of a text to `JobFile`: every fault said, and as much kept as can be.

What has the wrong shape is left out, or something stands in for it where the thing it belongs to (an
opening, a wall) could not be without it, so that the rest of the job is still checked in the same run.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Final, get_args, get_origin

from pydantic import BaseModel, ValidationError

from innerleaf.job.faults import NOTHING, Report, Said, StandIn, nearest, one_of
from innerleaf.job.schema import JobFile
from innerleaf.job.words import NOT_ACCEPTED
from innerleaf.reading import Place

_KEY: Final = "[key]"  # the last step of the place of a key, as pydantic says it
_SOME: Final = StandIn("some")
# Fields that cannot be left out.
_FIELDS: Final[Mapping[str, Mapping[str, Any]]] = {
    "JobFile": {"site": {"name": "some"}},
    "Site": {"name": "some"},
    "Layer": {"material": _SOME, "thickness": 1},
    "Lining": {"way": "bracketed", "profile": _SOME, "boards": [_SOME]},
    "Opening": {"x": 0},
    "Box": {"x": 0},
    "Obstacle": {"kind": "pipe"},
    "Load": {"x": 0, "y": 0, "width": 10, "mass": 0, "depth": 0},
    "Wall": {"id": _SOME, "room": _SOME},
    "Programme": {"start": "2000-01-01"},
}
# Items of lists whose order counts, by the field of the list.
_ITEMS: Final[Mapping[str, Any]] = {
    "outline": [0, 0],
    "edges": "masonry",
    "boards": _SOME,
    "insulation": _SOME,
    "insulation_behind": _SOME,
    "x": 0,
    "y": 0,
}
_KINDS: Final = {
    "missing": "a value, it cannot be left out",
    "tuple_type": "a list",
    "dict_type": "a group of fields (name: value)",
    "model_type": "a group of fields (name: value)",
}


def shaped(report: Report) -> JobFile | None:
    """The job as far as it has the right shape; faults go into the report. None: nothing is left."""
    removed: set[Place] = set()
    instead: dict[Place, Any] = {}
    cut: set[Place] = set()  # lists that were too long: what is wrong in them comes to light only then
    first = True
    while () not in removed:
        value, original = (report.text.value, {}) if first else _mended(report.text.value, removed, instead)
        try:
            job = JobFile.model_validate(value)
        except ValidationError as error:
            for found in error.errors(include_url=False):
                place, key, missing = _place(found)
                if found["type"] == "too_short" and len(found["input"]) >= found["ctx"]["min_length"]:
                    continue  # only without its bad items, each of which is a fault of its own
                where = original.get(place[:-1], place[:-1]) if missing else original.get(place, place)
                where = (*where, place[-1]) if missing else where
                too_long = found["type"] == "too_long"
                if first or too_long or any(where[: len(list_)] == list_ for list_ in cut):
                    _say(report, where, key, found)
                stands_in = _stand_in(where, missing)
                if too_long:
                    cut.add(where)
                    stands_in = found["input"][: found["ctx"]["max_length"]]
                if stands_in is not None and where not in instead:
                    instead[where] = stands_in
                    continue
                unusable = where[:-1] if missing else where
                while unusable and unusable in removed:  # so that each round leaves out more
                    unusable = unusable[:-1]
                removed.add(unusable)
            first = False
        else:
            report.original = original
            return job
    return None


def _place(error: Any) -> tuple[Place, bool, bool]:
    """Place of the value that is wrong; is it the key; is it not there at all."""
    place: Place = error["loc"]
    if place and place[-1] == _KEY:
        return place[:-1], True, False
    return place, error["type"] == "extra_forbidden", error["type"] == "missing"


def _say(report: Report, place: Place, key: bool, error: Any) -> None:
    kind, context = error["type"], error.get("ctx", {})
    given: object = error["input"]
    if kind == NOT_ACCEPTED:
        accepted = str(context["accepted"])
    elif kind == "extra_forbidden":
        known = _fields(place[:-1])
        given, accepted = Said("an unknown field"), one_of(known, place[-1], most=40)
        report.spoil((*place[:-1], nearest(known, place[-1])))
    elif kind == "literal_error":
        accepted = one_of(_words(context["expected"]), given, most=20)
    elif kind in ("too_long", "too_short"):
        given = Said(f"a list of {context['actual_length']}")
        least, most = context.get("min_length"), context.get("max_length")
        accepted = f"a list of {most} or fewer" if least is None else f"a list of {least} or more"
    else:
        accepted = _KINDS.get(kind, str(error["msg"]))
        if kind == "missing":
            given = NOTHING
    report.spoil(place)
    if len(place) > 1 and isinstance(place[-1], int) and place[-2] in _ITEMS:
        report.spoil(place[:-1])
    if key and kind != "extra_forbidden":  # a name that cannot be used: which names there are is not known
        report.spoil(place[:-1])
    report.add(place, given=given, accepted=accepted, key=key)


def _words(expected: str) -> list[str]:
    """The words of pydantic's list ``'a', 'b' or 'c'``."""
    return expected.strip("'").replace("' or '", "', '").split("', '")


def _stand_in(place: Place, missing: bool) -> Any:
    """What can stand in for the value at a place; None: nothing can."""
    if missing:
        return _FIELDS.get(_kind(place[:-1]).__name__, {}).get(str(place[-1]))
    match place:
        case (*_, "rows", int()):
            return []
        case (*_, "rows", int(), int()):
            return 0
        case (*_, str(field), int()):
            return _ITEMS.get(field)
    return None


def _fields(place: Place) -> list[str]:
    """Names of the fields that may stand at a place."""
    return list(_kind(place).model_fields)


def _kind(place: Place) -> Any:
    """The part of a job that stands at a place."""
    kind: Any = JobFile
    for step in place:
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            kind = _bare(kind.model_fields[str(step)].annotation)
        else:
            kind = _bare(get_args(kind)[0] if get_origin(kind) is tuple else get_args(kind)[1])
    return kind


def _bare(kind: Any) -> Any:
    """A type without what surrounds it (Annotated, or None)."""
    while get_origin(kind) is Annotated or type(None) in get_args(kind):
        kind = next(part for part in get_args(kind) if part is not type(None))
    return kind


def _mended(
    value: Any, removed: set[Place], instead: Mapping[Place, Any]
) -> tuple[Any, Mapping[Place, Place]]:
    """The value less the places removed, with what stands in; and for each place, where it stood before."""
    original: dict[Place, Place] = {}
    added: dict[Place, dict[str | int, Any]] = {}
    for place, stands_in in instead.items():
        added.setdefault(place[:-1], {})[place[-1]] = stands_in

    def keep(part: Any, before: Place, after: Place) -> Any:
        original[after] = before
        part = instead.get(before, part)
        if isinstance(part, dict):
            part = {**part, **added.get(before, {})}
            names = [name for name in part if (*before, name) not in removed or (*before, name) in instead]
            return {name: keep(part[name], (*before, name), (*after, name)) for name in names}
        if isinstance(part, list):
            left = [index for index in range(len(part)) if (*before, index) not in removed]
            return [keep(part[index], (*before, index), (*after, n)) for n, index in enumerate(left)]
        return part

    return keep(value, (), ()), original
