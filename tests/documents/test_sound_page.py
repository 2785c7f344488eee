"""The sheet on sound and frame draws what was predicted, and says what it means."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from tests.documents.fixture import a_wall, practice

from innerleaf.design.frame.strips import curves_of
from innerleaf.design.performance import Performance, performance_of
from innerleaf.design.sound.verdicts import Sound
from innerleaf.documents.frame_plot import draw_frame
from innerleaf.documents.pages import FIELD_WIDTH_MM
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.schedule import Cell
from innerleaf.documents.sheet import Rect
from innerleaf.documents.sound_cells import frame_cells, sound_cells
from innerleaf.documents.sound_page import (
    path_table,
    rating_table,
    sound_and_frame_page,
    sound_and_frame_svg,
)
from innerleaf.documents.sound_plot import draw_sound
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.survey.separates import Flank, FlankLayer, Separates
from innerleaf.survey.wall import ExistingLayer, Meets, Targets, Wall, Way

BOX: Rect = (0.0, 0.0, 168.0, 76.0)
FLOOR = Flank(
    side="floor",
    mass_kg_m2=420.0,
    junction="rigid cross",
    area_m2=18.0,
    length_mm=4800,
    rw_db=None,
    law="mineral",
    gain_db=0.0,
    gain_beyond_db=0.0,
)


def between_flats(way: Way = Way.STUD_AND_TRACK) -> Wall:
    """One brick of 240 to the neighbour's rooms, no openings."""
    wall = a_wall("party", way)
    return replace(
        wall,
        openings=(),
        other_side="neighbour",
        construction=(ExistingLayer(material="brick-1600", thickness_mm=240),),
        targets=Targets(sound_gain_db=10),
        separates=Separates(area_m2=12.7, volume_m3=45.0, flanks=(FLOOR,)),
    )


@cache
def judged(way: Way = Way.STUD_AND_TRACK) -> tuple[WallPlan, Performance]:
    plan = plan_wall(between_flats(way), practice())
    return plan, performance_of(plan, practice(), None)


def heard(way: Way = Way.STUD_AND_TRACK) -> Sound:
    sound = judged(way)[1].sound
    assert isinstance(sound, Sound)
    return sound


def row(cells: tuple[tuple[Cell, ...], ...], name: str) -> tuple[Cell, ...]:
    return next(each for each in cells if each[0] == name)


@pytest.mark.parametrize("way", list(Way))
def test_the_spectra_are_drawn_band_by_band(way: Way) -> None:
    sound, sheet = heard(way), Recorder()
    panel = draw_sound(sheet, sound, BOX)

    for layer, values in (("BEFORE", sound.predicted.bare), ("AFTER", sound.predicted.lined)):
        (curve,) = [call for call in sheet.of("line", layer) if len(call.points) == len(THIRDS)]
        assert curve.points == tuple(panel.at(k, value) for k, value in enumerate(values))
    first, last = THIRDS.index(100), THIRDS.index(3150)
    references = [call for call in sheet.of("line", "REFERENCE") if len(call.points) > 2]
    for call, rating in zip(references, (sound.before, sound.after), strict=True):
        assert len(call.points) == last - first + 1
        assert call.points[7] == panel.at(THIRDS.index(500), rating.rw)  # the reference at 500 Hz is Rw
    assert sheet.overlaps() == []


@pytest.mark.parametrize("way", list(Way))
def test_words_keep_apart_and_within_the_field(way: Way) -> None:
    frame, sheet = judged(way)[1].frame, Recorder()
    assert frame
    draw_frame(sheet, frame, (174.0, 0.0, FIELD_WIDTH_MM - 2.0, 76.0))

    assert sheet.overlaps() == []
    for call in sheet.of("text"):
        assert call.box
        assert 174.0 <= call.box[0] < call.box[2] <= FIELD_WIDTH_MM


@pytest.mark.parametrize("way", list(Way))
def test_the_member_nearest_its_limit_is_shown_as_it_bends(way: Way) -> None:
    """Nothing is farther up its limit; the curves have the peaks that stand in the verdicts."""
    frame = judged(way)[1].frame
    assert frame
    assert frame.governing
    verdict, outcome = frame.governing
    strained = [
        each for each in frame.verdicts if "member" in each.requirement or "fixing" in each.requirement
    ]
    assert verdict.value / verdict.limit == max(each.value / each.limit for each in strained)
    curves = curves_of(outcome.strip)
    assert max(map(abs, curves.moment)) == pytest.approx(outcome.moment, rel=1e-6)
    held = [at for at, stiffness in outcome.strip.supports if stiffness > 1e12]
    for at, deflection in zip(curves.at, curves.deflection, strict=True):
        assert at not in held or abs(deflection) < 1e-9


def test_the_ratings_have_their_working_and_the_estimate_beside() -> None:
    sound = heard()
    rows = rating_table(sound).rows

    assert row(rows, "old wall alone")[1] == str(sound.before.rw)
    assert f"{sound.before.sum_of_deficiencies:.1f} dB short" in str(row(rows, "old wall alone")[-1])
    assert f"counted +{sound.gain:.1f} ± {sound.predicted.gain_uncertainty:.1f} dB" in str(rows[2][-1])
    assert str(rows[3][-1]).startswith("✓ holds")


def test_the_estimate_is_marked_where_it_does_not_hold() -> None:
    rows = rating_table(heard(Way.BRACKETED)).rows

    assert "no gain is promised: the frame is fixed to the wall" in str(rows[2][-1])
    assert str(rows[3][-1]).startswith("× DOES NOT HOLD: the frame is fixed to the wall")


def test_each_way_stands_with_what_it_carries() -> None:
    """Shares of the wall and its flanks make a hundred; R'w is what arrives."""
    sound = heard()
    assert sound.effect
    assert sound.rooms
    rows = path_table(sound.rooms).rows
    shares = [str(each[-1]).removesuffix(" %").split(" → ") for each in rows if each[-1]]

    assert [each[0] for each in rows[:2]] == ["wall party", "floor"]
    assert all(sum(int(share[k]) for share in shares) in (99, 100, 101) for k in (0, 1))
    said = row(rows, "R'w between the rooms")[1]
    assert said == f"{sound.effect.before.rw:.1f} → {sound.effect.after.rw:.1f}"
    assert row(rows, "DnT,w in 45 m³")[1]


def test_where_flanks_are_known_by_layers_the_rooms_are_drawn_by_band() -> None:
    """Two curves more, and the table names its method and the single numbers beside it."""
    floor = replace(FLOOR, layers=(FlankLayer(material="reinforced-concrete-1", thickness_mm=180),))
    separates = Separates(area_m2=12.7, volume_m3=45.0, flanks=(floor,))
    plan = plan_wall(replace(between_flats(), separates=separates), practice())
    sound, sheet = performance_of(plan, practice(), None).sound, Recorder()
    assert isinstance(sound, Sound)
    assert sound.rooms
    panel = draw_sound(sheet, sound, BOX)
    curves = [call for call in sheet.of("line", "ROOMS") if len(call.points) == len(THIRDS)]
    table = path_table(sound.rooms)

    for call, state in zip(curves, (sound.rooms.effect.before, sound.rooms.effect.after), strict=True):
        assert call.points == tuple(panel.at(k, value) for k, value in enumerate(state.r))
    assert sheet.overlaps() == []
    assert "third-octave bands, then rated" in table.title
    single = sound.rooms.single
    assert (
        row(table.rows, "the same by single numbers")[1] == f"{single.before.rw:.1f} → {single.after.rw:.1f}"
    )


def test_the_page_says_what_arrives_and_what_governs() -> None:
    plan, performance = judged()
    page = sound_and_frame_page(plan, performance)
    text = " ".join(f"{note.heading} {note.lead} {note.text}" for note in page.notes)

    assert [table.title.split(" ")[0] for table in page.tables] == ["Ratings", "From", "Verdicts"]
    assert "Tested tables of the real lining, local codes and licensed practice govern" in text
    assert "Even a perfect lining there ends at R'w" in text
    assert "by the law mineral" in text
    for finding in performance.findings:
        assert finding.code in text
    assert "More:" not in text


def test_a_wall_that_is_not_heard_has_its_reason_and_its_frame() -> None:
    plan = plan_wall(replace(between_flats(), construction=()), practice())
    performance = performance_of(plan, practice(), None)
    page = sound_and_frame_page(plan, performance)

    assert [table.title for table in page.tables] == ["Verdicts"]
    assert any("Sound is not judged" in note.text for note in page.notes)
    assert sound_cells(performance.sound) == ("",) * 8
    assert frame_cells(performance.frame)[0] == "area-1"
    assert "Nearest its limit" in page.svg


def test_a_wall_without_frame_under_load_is_not_drawn() -> None:
    """A dado whose members end below the level load, with nothing hung on it."""
    meets = (Meets.SCREED, Meets.MASONRY, Meets.ROOF, Meets.MASONRY)
    outline = ((0, 0), (4800, 0), (4800, 800), (0, 800))
    low = replace(
        between_flats(), outline=outline, meets=meets, loads=(), obstacles=(), boxes=(), separates=None
    )
    frame = performance_of(plan_wall(low, practice()), practice(), None).frame
    assert frame

    assert frame.governing is None
    assert "Nearest" not in sound_and_frame_svg(None, frame)
    assert frame_cells(frame) == ("area-1", "", "")


def test_the_workbook_says_what_goes_round() -> None:
    sound = heard()
    cells = sound_cells(sound)

    assert cells[:3] == (sound.before.rw, sound.after.rw, sound.gain)
    assert str(cells[-1]).startswith("floor (")
