"""The linings that a wall may get: looked at as plot and table, compared, and one of them chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Final

from fastapi import APIRouter, Query, Response
from markupsafe import Markup

from innerleaf.errors import InputError
from innerleaf.job.amend import differences
from innerleaf.job.begin import id_of
from innerleaf.reading import value_at
from innerleaf.store.runs import RunState, run_of
from innerleaf.units import show_figure
from innerleaf.web.answers import ConflictAnswer
from innerleaf.web.api import REFUSED, Key, WallId
from innerleaf.web.desk import Desk, Opened
from innerleaf.web.manner import manner
from innerleaf.web.option_plot import option_plot, points_of
from innerleaf.web.page import page
from innerleaf.web.part_answers import OptionAsked, OptionChosen
from innerleaf.web.people import Action, OfDesk, Who, may
from innerleaf.web.reports import read_report
from innerleaf.web.runs import OPTIONS, folder_of
from innerleaf.web.words import words_of
from innerleaf.writing import Change, Put, Remove, changed

router = APIRouter(prefix="/api", responses=REFUSED, dependencies=[may(Action.LOOK), may(Action.EDIT)])
pages_router = APIRouter(include_in_schema=False, dependencies=[may(Action.LOOK), may(Action.MONEY)])

_FIRST: Final = ("thickness", "cost")  # what is plotted until somebody wants something else
_MOST_COMPARED: Final = 3
Figure = Annotated[str, Query(max_length=40)]


@router.put("/jobs/{job}/walls/{wall}/option", responses={409: {"model": ConflictAnswer}})
def choose_option(desk: OfDesk, who: Who, job: Key, wall: WallId, asked: OptionAsked) -> OptionChosen:
    """Make an option the lining of the wall: one value, or a lining more in the job if none is like it."""
    known = run_of(desk.engine, asked.run)
    if known.document != job or known.subject != wall:
        raise InputError("run", given=asked.run, accepted="a run of the options of this wall")
    row = _row(_choice(desk, asked.run), asked.number)
    opened = desk.open(job, asked.base)
    name, changes = _changes(opened, wall, row["written"], asked.name)
    text, _ = changed(opened.revision.text, opened.said, changes)
    saved = desk.write(job, asked.base, text, who=who, what=f"wall {wall}: lining {name} chosen")
    return OptionChosen(revision=saved.number, before=opened.number, lining=name)


@pages_router.get("/runs/{run}/options")
def show_options(
    desk: OfDesk,
    run: Key,
    x: Figure = "",
    y: Figure = "",
    n: Annotated[list[int] | None, Query(max_length=9)] = None,
) -> Response:
    """The plot of two figures, the table, and those of the numbers beside each other; part of a page."""
    choice = _choice(desk, run)
    keys = [one["key"] for one in choice["criteria"]]
    first = [key for key in _FIRST if key in keys] + [key for key in keys if key not in _FIRST]
    x, y = (x if x in keys else first[0]), (y if y in keys else first[min(1, len(first) - 1)])
    words = words_of(manner().language)
    named = {name: str(words.texts[f"options.{name}"]) for name in ("option", "given", "other", "target")}
    plot = option_plot(choice, x, y, unit=manner().unit, words=named)
    compared = [row for row in choice["rows"] if row["number"] in (n or ())][:_MOST_COMPARED]
    return page(
        "options_part",
        choice=choice,
        plot=Markup(plot),  # noqa: S704 - ours
        x=x,
        y=y,
        points=_table(choice),
        compared=_beside(choice, compared),
        numbers=[row["number"] for row in compared],
        show=_shown,
    )


def _choice(desk: Desk, run: str) -> Mapping[str, Any]:
    """What the run found for its wall."""
    known = run_of(desk.engine, run)
    if known.kind != OPTIONS or known.state is not RunState.DONE:
        raise InputError("run", given=run, accepted="a run of options that is done")
    found = read_report(folder_of(desk.folder, run)).get("options") or []
    if not found:
        raise InputError("run", given=run, accepted="a run of this version; ask for the options again")
    choice = found[0]
    assert isinstance(choice, dict)
    return choice


def _row(choice: Mapping[str, Any], number: int) -> Mapping[str, Any]:
    rows: Sequence[Mapping[str, Any]] = choice["rows"]
    found = next((row for row in rows if row["number"] == number), None)
    if found is None:
        known = ", ".join(str(row["number"]) for row in rows if row["number"])
        raise InputError("number", given=number, accepted=f"one of {known}")
    return found


def _changes(
    opened: Opened, wall: str, written: Mapping[str, Any], name: str
) -> tuple[str, tuple[Change, ...]]:
    """The name of the lining, and what makes it that of the wall."""
    value = opened.said.value
    linings: Mapping[str, Any] = value.get("linings") or {}
    changes: list[Change] = []
    found = next((known for known, lining in linings.items() if lining == written), "")
    if found and name in ("", found):
        name = found
    else:
        name = name or id_of(f"{written['way']} {written['profile']}", [*linings], "lining")
        if name in linings:
            raise InputError("name", given=name, accepted="a name that no lining of the job has")
        added = {**written}
        changes.append(Put(("linings", name), added) if linings else Put(("linings",), {name: added}))
    place = opened.written(wall).place
    changes += differences((*place, "lining"), value_at(value, (*place, "lining")), name)
    if value_at(value, (*place, "lining_changes")) is not None:
        changes.append(Remove((*place, "lining_changes")))
    return name, tuple(changes)


def _table(choice: Mapping[str, Any]) -> list[tuple[int, bool, list[str]]]:
    """Every point of the plot as a row: its number, whether it is the job's lining, its figures."""
    return [
        (point.number, point.given, [_shown(one, point.at(one["key"])) for one in choice["criteria"]])
        for point in points_of(choice)
    ]


def _beside(
    choice: Mapping[str, Any], rows: Sequence[Mapping[str, Any]]
) -> list[tuple[str, list[tuple[str, bool]]]]:
    """A line for each figure: each option's, and whether it is the best of those compared."""
    lines = []
    for one in choice["criteria"] if len(rows) > 1 else ():
        values = [row["full"].get(one["key"]) for row in rows]
        known = [value for value in values if value is not None]
        best = (min(known) if one["less"] else max(known)) if known else None
        same = len(set(known)) < 2
        lines.append((one["title"], [(_shown(one, v), v == best and not same) for v in values]))
    return lines


def _shown(criterion: Mapping[str, Any], value: float | None) -> str:
    if value is None:
        return "–"
    digits = max(0, len(f"{criterion['step']:.6f}".rstrip("0").partition(".")[2]))
    if manner().unit == "in":
        shown = show_figure(value, criterion["unit"], "in", digits=4)
        if shown != show_figure(value, criterion["unit"], digits=4):
            return shown
    unit = "" if criterion["unit"] == "-" else criterion["unit"]
    return f"{words_of(manner().language).number(round(value, digits), digits)} {unit}".rstrip()
