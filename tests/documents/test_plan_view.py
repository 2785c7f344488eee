"""The plan of a storey on paper: rooms, areas, gaps, states, north, and pages of their own."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from shapely.geometry import Polygon, box
from tests.documents.small_house import house

from innerleaf.documents.pdf import sheets_pdf
from innerleaf.documents.plan_pages import is_surveyed, plan_pages
from innerleaf.documents.plan_view import (
    LINE_MM,
    State,
    Stretch,
    band,
    draw_north,
    draw_storey,
    lined_of,
    middle_of,
    opened,
    stretches,
)
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.sheet import Hatch
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.view import View
from innerleaf.survey.room_outline import Basis

VIEW = View(50, 100, 150)


def _drawn(states: dict[str, State]) -> Recorder:
    sheet = Recorder()
    draw_storey(sheet, VIEW, house().storey, house().walls, states)
    return sheet


def test_rooms_stand_with_name_and_area_between_the_old_walls() -> None:
    """By hand: 4.2 x 3.6 m = 15.12 m2, 3 x 3.6 m = 10.8 m2."""
    words = _drawn({}).words()
    assert {"net room", "15.1 m²", "cord room", "10.8 m²"} <= set(words)
    assert "N-1" in words
    assert _drawn({}).overlaps() == []


@pytest.mark.parametrize("wall", ["N-1", "N-2", "N-3", "C-2"])
def test_thick_lines_lie_inside_their_room_and_leave_openings_out(wall: str) -> None:
    for room in house().storey.rooms:
        for side, lined, surveyed in lined_of(room, house().walls):
            if lined.wall != wall:
                continue
            inside = Polygon(room.ring).buffer(1)
            parts = stretches(lined, surveyed)
            for part in parts:
                assert inside.contains(Polygon(band(room, side, part, 0, LINE_MM)))
            gaps = sum(gap.end_mm - gap.start_mm for gap, _ in opened(lined, surveyed))
            lines = sum(part.end_mm - part.start_mm for part in parts)
            assert lines + gaps == surveyed.length_mm
            assert gaps == sum(one.width_mm for one in surveyed.openings)


def test_a_state_is_told_by_a_filling() -> None:
    states = {"N-1": State.READY, "N-2": State.FINDINGS, "N-3": State.CHOOSE}
    used = {call.words for call in _drawn(states).of("polygon", "OUTLINE")}
    assert {Hatch.BLACK.value, Hatch.BRICK.value, Hatch.PLASTER.value, Hatch.WHITE.value} <= used


def test_a_name_stands_inside_also_of_a_room_round_a_corner() -> None:
    room = house().storey.rooms[0]
    assert box(*room.box).contains(Polygon([middle_of(room), (0, 0), (1, 0)]).centroid)
    left, low, right, high = room.box
    x, y = middle_of(room)
    assert left < x < right
    assert low < y < high


def test_the_band_beside_a_side_is_as_deep_as_said() -> None:
    room = house().storey.rooms[0]
    ring = band(room, room.outline.sides[0], Stretch(1000, 2000), 0, 150)
    assert ring == ((1000, 0), (2000, 0), (2000, -150), (1000, -150))


def test_the_arrow_looks_north() -> None:
    sheet = Recorder()
    draw_north(sheet, (100, 100), 90)
    (arrow,) = sheet.of("polygon")
    assert arrow.points[0] == pytest.approx((105, 100))


def test_a_set_has_a_plan_for_each_surveyed_storey_and_none_for_sketches() -> None:
    import pypdf

    plans, walls = list(house().plans.values()), list(house().walls.values())
    (page,) = plan_pages([house().storey], plans, walls)
    assert (page.title, page.subject, page.scale) == ("Plan", "ground floor", "1:50")
    said = " ".join(f"{note.lead} {note.text}" for note in page.notes)
    assert "Put beside" not in said
    sketched = replace(
        house().storey,
        rooms=tuple(
            replace(room, given=False, outline=replace(room.outline, basis=Basis.SKETCH))
            for room in house().storey.rooms
        ),
    )
    assert not is_surveyed(sketched)
    assert plan_pages([sketched], plans, walls) == []
    title = TitleBlock(project="Net loft (invented)", firm="", place="")
    data = sheets_pdf(plans[-1:], house().practice, title, key=[page])
    texts = [one.extract_text() for one in pypdf.PdfReader(io.BytesIO(data)).pages]
    assert "net room" in texts[2]
    assert "15.1 m²" in texts[2]


def test_rooms_over_one_another_are_said_on_the_sheet() -> None:
    storey = replace(house().storey, clashes=(("net", "cord"),))
    (page,) = plan_pages([storey], list(house().plans.values()), list(house().walls.values()))
    assert any("net and cord" in note.text for note in page.notes)
