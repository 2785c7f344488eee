"""The plan that the site builds from: sheets issued before work began; and what of it remains to be cut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from innerleaf.layout.pieces import WallPlan
from innerleaf.plan_read import of_layout, plan_values
from innerleaf.site.records import Kind, standing
from innerleaf.store.runs import RunState, runs_of
from innerleaf.survey.wall import UNCHOSEN
from innerleaf.takeoff import Takeoff, take_off
from innerleaf.takeoff.wishes import rules_of
from innerleaf.web.kept import Kept
from innerleaf.web.runs import SHEETS, folder_of

if TYPE_CHECKING:
    from pathlib import Path

    from innerleaf.cost.model import Order
    from innerleaf.revise.recut import Recut
    from innerleaf.site.records import Record
    from innerleaf.site.replan import AsBuilt
    from innerleaf.survey.wall import Wall
    from innerleaf.web.desk import Desk, Opened

_PLAN: Final = "plan.json"
_BUILT: Final = (Kind.DONE, Kind.DEVIATION)  # what is said with the marks of a plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets:
    """A plan of the whole building as it was issued; ``run`` is the work that made it."""

    run: str
    plans: Mapping[str, WallPlan]
    takeoff: Takeoff
    order: Order | None

    def of(self, wall: Wall) -> WallPlan | None:
        """The plan of a wall that is as it was, the lining chosen where it was to be chosen; else None."""
        plan = self.plans.get(wall.id)
        if plan is None:
            return None
        was = replace(plan.wall, lining=UNCHOSEN) if wall.lining is UNCHOSEN else plan.wall
        return plan if was == wall else None


_sheets: Kept[Sheets] = Kept(4)
_taken_off: Kept[Takeoff] = Kept(8)
_recut: Kept[Recut] = Kept(16)


def plan_issued(desk: Desk, job: str, told: Sequence[Record]) -> Path | None:
    """plan.json of the newest sheets asked for before anything was built or found elsewhere; None: none were.

    Later sheets do not count: the marks on site are those of the sheets it began with.
    """
    begun = next((record.server_time for record in told if record.entry.kind in _BUILT), None)
    for run in runs_of(desk.engine, job):
        file = folder_of(desk.folder, run.id) / _PLAN
        made = run.kind == SHEETS and not run.subject and run.state is RunState.DONE
        if made and (begun is None or run.asked_at <= begun) and file.is_file():
            return file
    return None


def sheets_of(desk: Desk, job: str, told: Sequence[Record]) -> Sheets | None:
    """The same, read."""
    file = plan_issued(desk, job, told)
    return _sheets.get(str(file), lambda: _read(file)) if file else None


def _read(file: Path) -> Sheets:
    read = plan_values(file)
    return Sheets(
        run=file.parent.name,
        plans={plan.wall.id: of_layout(plan) for plan in read.plans},
        takeoff=read.takeoff,
        order=read.order,
    )


def drawn(desk: Desk, opened: Opened, wall: str, sheets: Sheets | None) -> WallPlan:
    """A wall as it was issued, or by itself where it was not or has changed since; errors as `Desk.plan`."""
    opened.written(wall)
    issued = sheets.of(opened.walls[wall]) if sheets else None
    return issued or desk.plan(opened, wall)


def is_ready(opened: Opened, wall: str, sheets: Sheets | None) -> bool:
    """Whether a wall has a lining to be built."""
    surveyed = opened.walls[wall]
    return surveyed.lining is not UNCHOSEN or bool(sheets and sheets.of(surveyed))


def still_to_cut(
    desk: Desk, opened: Opened, stood: Sequence[AsBuilt], sheets: Sheets | None, told: Sequence[Record]
) -> Recut:
    """What remains to be cut of all walls; without sheets from the cut list of the walls by themselves."""
    from innerleaf.remaining import remaining

    place = str(opened.file), sheets.run if sheets else ""
    walls = [one.plan.wall.id for one in stood]

    def alone() -> Takeoff:
        plans = [drawn(desk, opened, wall, sheets) for wall in walls]
        return take_off(plans, opened.practice, rules=rules_of(opened.job.buying, plans))

    def made() -> Recut:
        plans = list(sheets.plans.values()) if sheets else [drawn(desk, opened, wall, None) for wall in walls]
        takeoff = sheets.takeoff if sheets else _taken_off.get(place, alone)
        return remaining(
            plans,
            takeoff,
            stood,
            opened.practice,
            rules=rules_of(opened.job.buying, plans),
            order=sheets.order if sheets else None,
        )

    built = tuple(one.entry.id for one in standing(told) if one.entry.kind in _BUILT)
    return _recut.get((*place, built), made)
