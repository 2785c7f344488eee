"""From the values of a text to `JobFile`: every fault said, and as much kept as can be.

What has the wrong shape is left out with the smallest thing it belongs to (an opening, a wall), so
that the rest of the job is still checked in the same run.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Final, get_args, get_origin

from pydantic import BaseModel, ValidationError

from innerleaf.job.faults import NOTHING, Report, Said, nearest, one_of
from innerleaf.job.schema import JobFile
from innerleaf.job.words import NOT_ACCEPTED
from innerleaf.reading import Place

_KEY: Final = "[key]"  # the last step of the place of a key, as pydantic says it
_KINDS: Final = {
    "missing": "a value, it cannot be left out",
    "tuple_type": "a list",
    "dict_type": "a group of fields (name: value)",
    "model_type": "a group of fields (name: value)",
}


def shaped(report: Report) -> JobFile | None:
    """The job as far as it has the right shape; faults go into the report. None: nothing is left."""
    removed: set[Place] = set()
    first = True
    while () not in removed:
        value, original = (report.text.value, {}) if first else _without(report.text.value, removed)
        try:
            job = JobFile.model_validate(value)
        except ValidationError as error:
            for found in error.errors(include_url=False):
                place, key, missing = _place(found)
                if first:
                    _say(report, place, key, found)
                unusable = place[:-1] if missing else place
                unusable = original.get(unusable, unusable)
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
        report.spoilt.add((*place[:-1], nearest(known, place[-1])))
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
    report.spoilt.add(place)
    report.add(place, given=given, accepted=accepted, key=key)


def _words(expected: str) -> list[str]:
    """The words of pydantic's list ``'a', 'b' or 'c'``."""
    return expected.strip("'").replace("' or '", "', '").split("', '")


def _fields(place: Place) -> list[str]:
    """Names of the fields that may stand at a place."""
    kind: Any = JobFile
    for step in place:
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            kind = _bare(kind.model_fields[str(step)].annotation)
        else:
            kind = _bare(get_args(kind)[0] if get_origin(kind) is tuple else get_args(kind)[1])
    return list(kind.model_fields)


def _bare(kind: Any) -> Any:
    """A type without what surrounds it (Annotated, or None)."""
    while get_origin(kind) is Annotated or type(None) in get_args(kind):
        kind = next(part for part in get_args(kind) if part is not type(None))
    return kind


def _without(value: Any, removed: set[Place]) -> tuple[Any, Mapping[Place, Place]]:
    """The value less the places removed; and for each place left, where it stood before."""
    original: dict[Place, Place] = {}

    def keep(part: Any, before: Place, after: Place) -> Any:
        original[after] = before
        if isinstance(part, dict):
            names = [name for name in part if (*before, name) not in removed]
            return {name: keep(part[name], (*before, name), (*after, name)) for name in names}
        if isinstance(part, list):
            left = [index for index in range(len(part)) if (*before, index) not in removed]
            return [keep(part[index], (*before, index), (*after, n)) for n, index in enumerate(left)]
        return part

    return keep(value, (), ()), original
