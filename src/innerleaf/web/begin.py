"""A job begun step by step: site, room, first wall, targets, lining. Each step is saved; any can be left.

What a step says goes into the job file at once, so that leaving and coming back needs nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Path, Request
from fastapi.responses import RedirectResponse, Response

from innerleaf.errors import FileFaults, InputError
from innerleaf.job.begin import STEPS, next_step, suggestions
from innerleaf.job.read import JobFaults
from innerleaf.job.words import DIRECTIONS
from innerleaf.practice.climates import typical_climates
from innerleaf.practice.load import load_practice, practice_sets
from innerleaf.reading import read_text
from innerleaf.store.model import ChangedMeanwhile
from innerleaf.web.api import Key
from innerleaf.web.begin_forms import (
    LAYERS,
    OPENINGS,
    SIDES,
    fields_of,
    first_text,
    side_lengths,
    text_after,
)
from innerleaf.web.desk import JOB_FILE, Opened
from innerleaf.web.manner import manner
from innerleaf.web.page import page
from innerleaf.web.people import Action, OfDesk, Who, may
from innerleaf.web.typed import Form
from innerleaf.web.words import words_of

router = APIRouter(include_in_schema=False, dependencies=[may(Action.LOOK), may(Action.EDIT)])

_MORE = 2  # rows added at a press
Step = Annotated[Literal["site", "room", "wall", "targets", "lining"], Path()]


async def _form(request: Request) -> Form:
    said = await request.form(max_fields=400, max_files=0)
    return Form({name: text for name, text in said.items() if isinstance(text, str)})


Typed = Annotated[Form, Depends(_form)]


@router.get("/jobs/new")
def new() -> Response:
    """The first step: there is no job yet."""
    return _page("site", None, {"practice": practice_sets()[0], "climate": "lowland"})


@router.post("/jobs/new")
def create(desk: OfDesk, who: Who, form: Typed) -> Response:
    """A job with its site; on to the first room."""
    try:
        made = desk.take_in({JOB_FILE: first_text(form)}, who=who, what="begun")
    except FileFaults as error:
        return _page("site", None, form.said, error=error)
    return RedirectResponse(f"/jobs/{made.line.document}/begin/room", status_code=303)


@router.get("/jobs/{job}/begin")
def go_on(desk: OfDesk, job: Key) -> Response:
    """To the step that is next."""
    step = next_step(desk.open(job).said.value)
    return RedirectResponse(f"/jobs/{job}/begin/{step}" if step else f"/jobs/{job}", status_code=303)


@router.get("/jobs/{job}/begin/{step}")
def show(desk: OfDesk, job: Key, step: Step) -> Response:
    """A step, with what is said already."""
    opened = desk.open(job)
    missing = _missing_before(step, opened.said.value)
    if missing:
        return RedirectResponse(f"/jobs/{job}/begin/{missing}", status_code=303)
    return _page(step, opened, fields_of(step, opened.said.value))


@router.post("/jobs/{job}/begin/{step}")
def take(desk: OfDesk, who: Who, job: Key, step: Step, form: Typed) -> Response:
    """Save a step and go on; what cannot be is said beside its field, and nothing is saved."""
    if form.text("more"):
        return _page(step, desk.open(job), form.said, more=_MORE)
    opened = desk.open(job, _base(form))
    if _missing_before(step, opened.said.value):
        return RedirectResponse(f"/jobs/{job}/begin", status_code=303)
    text = text_after(step, opened.revision.text, opened.said, form)
    if form.errors:
        return _page(step, opened, form.said, errors=form.errors)
    try:
        opened = desk.write(job, opened.number, text, who=who, what=f"begun: {step}")
    except ChangedMeanwhile:
        again = words_of(manner().language)("begin.meanwhile")
        return _page(step, desk.open(job), form.said, faults=[again])
    except FileFaults as error:
        said = read_text(text, JOB_FILE)
        fields = form.said if said.faults else fields_of(step, said.value)
        return _page(step, opened, fields, error=error)
    return RedirectResponse(_after(opened, job, step), status_code=303)


def _after(opened: Opened, job: str, step: str) -> str:
    """Where the way leads from a step: to the next, at the end to the wall or to its options."""
    if step != STEPS[-1]:
        return f"/jobs/{job}/begin/{STEPS[STEPS.index(step) + 1]}"
    wall = opened.said.value["walls"][0]
    return f"/jobs/{job}/walls/{wall['id']}" + ("/options" if wall.get("lining") == "choose" else "")


def _base(form: Form) -> int:
    number = form.number("base")
    if not isinstance(number, int) or not 0 < number < 2**31:
        raise InputError("base", given=form.said.get("base", ""), accepted="the number of a revision")
    return number


def _missing_before(step: str, value: Any) -> str:
    """The step that has to come first; "" if there is none."""
    first = next_step(value)
    return first if first in ("room", "wall") and STEPS.index(step) > STEPS.index(first) else ""


def _page(
    step: str,
    opened: Opened | None,
    fields: Mapping[str, str],
    *,
    error: FileFaults | None = None,
    errors: Mapping[str, str] | None = None,
    faults: list[str] | None = None,
    more: int = 0,
) -> Response:
    value = opened.said.value if opened else {}
    beside, above = _placed(step, error)
    job = {} if opened is None else {"job": opened.job, "key": opened.revision.line.document}
    refused = bool(error or errors or faults)
    return page(
        "begin",
        status=422 if refused else 200,
        **job,
        here="building",
        step=step,
        steps=STEPS,
        reached=_reached(value),
        base=opened.number if opened else 0,
        fields=fields,
        errors={**beside, **(errors or {})},
        faults=[*(faults or []), *above],
        rows=_rows(step, fields, more),
        choices=_choices(step, opened),
    )


def _reached(value: Any) -> list[str]:
    """Steps that can be gone to."""
    last = next_step(value) if value else "site"
    return [*STEPS] if last in ("", "targets", "lining") else [*STEPS[: STEPS.index(last) + 1]]


def _placed(step: str, error: FileFaults | None) -> tuple[dict[str, str], list[str]]:
    """Faults that belong beside a field of the step, and the others."""
    beside: dict[str, str] = {}
    above: list[str] = []
    words = words_of(manner().language)
    for detail in error.details if isinstance(error, JobFaults) else ():
        said = words("begin.refused", given=detail.given, accepted=detail.accepted)
        if detail.field and (step == "site" or detail.wall or detail.room or detail.field.startswith("[")):
            beside.setdefault(detail.field, said)
        else:
            above.append(detail.sentence.partition(": ")[2] or detail.sentence)
    if error and not isinstance(error, JobFaults):
        above += error.faults
    return beside, above


def _rows(step: str, fields: Mapping[str, str], more: int) -> dict[str, int]:
    """How many rows of each kind a form has."""
    form = Form(dict(fields))
    kinds = {"room": {"sides": SIDES}, "wall": {"": LAYERS, "openings": OPENINGS}}.get(step, {})
    return {
        name: max(least, max(form.rows(name), default=-1) + (2 if name != "sides" else 1)) + more
        for name, least in kinds.items()
    }


def _choices(step: str, opened: Opened | None) -> dict[str, Any]:
    """What the fields of a step can be set to."""
    if opened is None or step == "site":
        return {"practice": practice_sets(), "climates": typical_climates().values()}
    value = opened.said.value
    if step == "wall":
        return {
            "materials": list(load_practice(opened.job.practice, opened.job.practice_override).materials),
            "directions": DIRECTIONS,
            "sides": side_lengths(value),
            "constructions": suggestions()["constructions"],
        }
    if step == "lining":
        return {"linings": {**suggestions()["linings"], **(value.get("linings") or {})}}
    return {}
