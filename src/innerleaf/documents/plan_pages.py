"""The key plan of a set: one page for each storey of which the job says more than lengths of walls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from innerleaf.documents.dimensions import draw_heading
from innerleaf.documents.pages import FIELD_HEIGHT_MM, FIELD_WIDTH_MM, Note, Page
from innerleaf.documents.plan_view import State, draw_north, draw_states, draw_storey
from innerleaf.documents.svg import SvgSheet
from innerleaf.documents.view import View
from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.room_outline import Basis
from innerleaf.survey.storey_plan import StoreyPlan
from innerleaf.survey.wall import Wall

_SCALES = (25, 50, 100, 200, 250, 500, 1000, 2000)
_FOOT_MM, _HEAD_MM, _SIDE_MM = 24.0, 16.0, 8.0


def is_surveyed(storey: StoreyPlan) -> bool:
    """Whether the job says where a room lies, or gives measured sides."""
    return any(room.given or room.outline.basis is Basis.MEASURED for room in storey.rooms)


def plan_pages(storeys: Sequence[StoreyPlan], plans: Sequence[WallPlan], walls: Sequence[Wall]) -> list[Page]:
    """A key plan for each surveyed storey with a wall of these plans; ``walls`` are all of the job.

    Flats without such a wall are left out.
    """
    states = {plan.wall.id: State.FINDINGS if plan.findings else State.READY for plan in plans}
    known = {wall.id: wall for wall in walls}
    shown = [_part(one, states) for one in storeys if is_surveyed(one)]
    return [_page(one, states, known) for one in shown if one.rooms]


def _part(storey: StoreyPlan, states: dict[str, State]) -> StoreyPlan:
    flats = {
        room.room.flat
        for room in storey.rooms
        for side in room.outline.sides
        for lined in side.walls
        if lined.wall in states
    }
    return replace(storey, rooms=tuple(room for room in storey.rooms if room.room.flat in flats))


def _page(storey: StoreyPlan, states: dict[str, State], walls: dict[str, Wall]) -> Page:
    left, low, right, high = storey.box
    wide, tall = FIELD_WIDTH_MM - 2 * _SIDE_MM, FIELD_HEIGHT_MM - _FOOT_MM - _HEAD_MM
    fits = (s for s in _SCALES if (right - left) / s <= wide and (high - low) / s <= tall)
    scale = next(fits, _SCALES[-1])
    aside = (wide - (right - left) / scale) / 2
    under = (tall - (high - low) / scale) / 2
    view = View(scale, _SIDE_MM + aside - left / scale, _FOOT_MM + under - low / scale)
    sheet = SvgSheet(FIELD_WIDTH_MM, FIELD_HEIGHT_MM)
    draw_storey(sheet, view, storey, walls, states)
    draw_states(sheet, (4, 9), (State.READY, State.FINDINGS, State.WAITING))
    if storey.north_deg is not None:
        draw_north(sheet, (FIELD_WIDTH_MM - 16, FIELD_HEIGHT_MM - 12), storey.north_deg)
    name = storey.storey or "all rooms"
    draw_heading(sheet, (2, 2), f"Plan: {name}", scale)
    return Page(
        wall="", title="Plan", subject=name, scale=f"1:{scale}", svg=sheet.svg(), notes=_notes(storey)
    )


def _notes(storey: StoreyPlan) -> tuple[Note, ...]:
    sketched = [room.room.name for room in storey.rooms if room.outline.basis is Basis.SKETCH]
    put = [room.room.name for room in storey.rooms if not room.given]
    left_out = [wall for room in storey.rooms for wall in room.outline.left_out]
    missed = [
        f"{room.room.name} {room.outline.miss_mm} mm" for room in storey.rooms if room.outline.miss_mm > 0
    ]
    notes = [
        Note(
            heading="Reading the plan",
            text="Thick lines are walls to be lined, with their marks; gaps in them are openings. Areas lie"
            " between the old walls. Thicknesses are not to scale.",
        )
    ]
    told = (
        ("Sketch, not measured", sketched),
        ("Put beside the others, no place given", put),
        ("Missed closing, shared out", missed),
        ("Walls on no side that was measured", left_out),
        ("Over one another as placed", [" and ".join(pair) for pair in storey.clashes]),
    )
    notes += [Note(lead=f"{lead}:", text=", ".join(names) + ".") for lead, names in told if names]
    return tuple(notes)
