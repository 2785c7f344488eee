"""What the elevations say, read off a recorder."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

import pytest
from tests.documents.fixture import a_corridor, a_gable, a_plan, a_wall, bare, practice
from tests.layout.walls import random_wall

from innerleaf.documents import boarding, framing
from innerleaf.documents.pages import FIELD_HEIGHT_MM, FIELD_WIDTH_MM
from innerleaf.documents.recorder import Recorder
from innerleaf.documents.view import SCALES, fit_parts, fit_scale, make_view, short
from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.wall import Meets, OffsetGrid, Way

PLANS = [a_plan(), a_plan("W-04", Way.BRACKETED), a_gable(), a_corridor()]


def frames_of(plan: WallPlan) -> list[Recorder]:
    """The framing elevation, part by part, as the paper has it."""
    scale, parts = fit_parts(plan.wall, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, framing.SPACE)
    found = []
    for part in range(parts):
        sheet = Recorder()
        framing.draw_framing(sheet, plan, make_view(plan.wall, scale, framing.SPACE, part, parts)[0])
        found.append(sheet)
    return found


def boards_of(plan: WallPlan, layer: int) -> list[Recorder]:
    """The board elevation of one layer, part by part."""
    scale, parts = fit_parts(plan.wall, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, boarding.SPACE)
    found = []
    for part in range(parts):
        sheet = Recorder()
        boarding.draw_boarding(
            sheet, plan, layer, make_view(plan.wall, scale, boarding.SPACE, part, parts)[0]
        )
        found.append(sheet)
    return found


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_every_stud_is_dimensioned_once_from_the_datum(plan: WallPlan) -> None:
    """An installer reads running dimensions: each stud once, counted from zero, below the wall."""
    said: list[str] = []
    for sheet in frames_of(plan):
        lowest = min(y for call in sheet.of("polygon", "OUTLINE") for _, y in call.points)
        said += [c.words for c in sheet.of("running") if c.axis == "x" and c.points[1][1] < lowest]

    wanted = Counter({f"{member.x_mm:.0f}" for member in plan.members})

    assert Counter(word for word in said if word in wanted) == wanted


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_every_bar_is_named_on_the_frame(plan: WallPlan) -> None:
    words = {
        mark for sheet in frames_of(plan) for text in sheet.words() for mark in text.replace(",", " ").split()
    }
    marks = {short(bar.member or bar.mark, plan.wall.id) for bar in plan.bars}

    assert marks <= words


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_every_board_is_named_on_its_layer(plan: WallPlan) -> None:
    for layer in boarding.layers_of(plan):
        words = {text.split()[0] for sheet in boards_of(plan, layer) for text in sheet.words()}
        marks = {short(b.mark, plan.wall.id) for b in plan.boards if b.layer == layer and b.plane == "face"}

        assert marks <= words


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_board_edges_and_cut_outs_are_dimensioned(plan: WallPlan) -> None:
    for layer in boarding.layers_of(plan):
        said = {c.words for sheet in boards_of(plan, layer) for c in sheet.of("running") if c.axis == "x"}
        pieces = [b for b in plan.boards if b.layer == layer and b.plane == "face"]
        joints = {
            f"{a[0]:.0f}" for b in pieces for a, c in zip(b.ring, b.ring[1:], strict=False) if a[0] == c[0]
        }
        boxes = {f"{cut.x_mm:.0f}" for b in pieces for cut in b.cutouts}

        assert joints | boxes <= said


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_words_do_not_overlap(plan: WallPlan) -> None:
    sheets = [*frames_of(plan), *(s for layer in boarding.layers_of(plan) for s in boards_of(plan, layer))]

    assert [sheet.overlaps() for sheet in sheets] == [[] for _ in sheets]


@pytest.mark.parametrize("seed", range(60))
def test_words_do_not_overlap_and_nothing_is_unnamed_on_any_wall(seed: int) -> None:
    plan = plan_wall(random_wall(Random(seed)), practice())
    frames = frames_of(plan)
    words = {mark for sheet in frames for text in sheet.words() for mark in text.replace(",", " ").split()}

    assert {short(bar.member or bar.mark, plan.wall.id) for bar in plan.bars} <= words
    for layer in boarding.layers_of(plan):
        sheets = boards_of(plan, layer)
        named = {text.split()[0] for sheet in sheets for text in sheet.words()}
        pieces = {short(b.mark, plan.wall.id) for b in plan.boards if b.layer == layer and b.plane == "face"}
        assert pieces <= named
        assert not any(sheet.overlaps() for sheet in sheets)
    assert not any(sheet.overlaps() for sheet in frames)


def test_openings_are_named_with_their_size() -> None:
    words = frames_of(a_plan())[0].words()

    assert {"window O1", "1310 × 1250", "sill 900 · reveal 180", "door O2", "885 × 2010"} <= set(words)


def test_everything_on_the_wall_is_named() -> None:
    words = " ".join(frames_of(a_plan())[0].words())

    for name in ("radiator R1", "load H1, 40 kg", "E1", "E2", "O1", "O2"):
        assert name in words


def test_every_bracket_is_drawn() -> None:
    plan = a_plan("W-04", Way.BRACKETED)

    drawn = frames_of(plan)[0].of("polygon", "BRACKET")

    assert len(drawn) == len(plan.brackets) > 0


def test_every_bracket_says_its_projection_where_they_differ() -> None:
    """On a bowed wall the fitter sets each bracket to its own figure."""
    wall = a_wall("W-07", Way.BRACKETED)
    xs, ys = tuple(range(0, 4801, 600)), (0, 1300, 2650)
    bow = tuple(tuple((x * (4800 - x)) // 200_000 + y // 200 for x in xs) for y in ys)
    plan = plan_wall(replace(wall, offsets=OffsetGrid(xs_mm=xs, ys_mm=ys, offsets_mm=bow)), practice())
    said = Counter(frames_of(plan)[0].words())
    wanted = Counter(str(bracket.projection_mm) for bracket in plan.brackets)

    assert len(wanted) > 5
    assert all(said[words] >= count for words, count in wanted.items())


def test_every_screw_of_a_layer_is_drawn() -> None:
    plan = a_plan()

    for layer in boarding.layers_of(plan):
        drawn = sum(len(call.points) for call in boards_of(plan, layer)[0].of("dots", "SCREW"))
        assert drawn == sum(len(line.places_mm) for line in plan.screws if line.layer == layer) > 0


def test_a_long_wall_comes_in_parts_that_miss_nothing() -> None:
    plan = a_corridor()
    scale, parts = fit_parts(plan.wall, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, framing.SPACE)

    assert (scale, parts) == (50, 2)
    said = [c.words for s in frames_of(plan) for c in s.of("running") if c.axis == "x"]
    assert "22000" in said
    assert all(f"{x}" in said for x in plan.movement_joints_mm)


def test_the_scale_is_the_largest_that_fits() -> None:
    wall = a_wall()
    scale = fit_scale(wall.length_mm, wall.height_mm, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, framing.SPACE)
    larger = SCALES[SCALES.index(scale) - 1]

    assert scale == 20
    assert wall.length_mm / larger + framing.SPACE.left + framing.SPACE.right > FIELD_WIDTH_MM


def test_a_drawing_stays_inside_its_paper() -> None:
    """Nothing of a wall that fits its scale is drawn outside the field."""
    for plan in PLANS[:3]:
        scale = fit_scale(
            plan.wall.length_mm, plan.wall.height_mm, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, framing.SPACE
        )
        view, width, height = make_view(plan.wall, scale, framing.SPACE)
        sheet = Recorder()
        framing.draw_framing(sheet, plan, view)

        boxes = [call.box for call in sheet.of("text") if call.box]
        assert all(b[0] >= 0 and b[2] <= width and b[1] >= 0 and b[3] <= height for b in boxes)


def test_backing_and_noggings_are_drawn_as_bars() -> None:
    plan = a_plan()
    backing = [bar for bar in plan.bars if bar.role is Role.BACKING]

    assert backing
    assert len(frames_of(plan)[0].of("polygon", "FRAME")) == len(plan.bars)


@pytest.mark.parametrize("seed", range(150))
def test_no_bar_sticks_out_of_the_wall(seed: int) -> None:
    """Raked studs end as they are cut, sloping tracks lie along the rafter: no corner outside."""
    import shapely

    plan = plan_wall(random_wall(Random(seed)), practice())
    outline = shapely.Polygon(plan.wall.outline).buffer(0.5)
    bars = [bar for bar in plan.bars if bar.role not in (Role.BACKING, Role.NOGGING)]

    out = [bar.mark for bar in bars if not outline.covers(shapely.MultiPoint(framing.bar_corners(bar)))]
    assert out == []


def test_a_raked_stud_is_drawn_as_it_is_cut() -> None:
    plan = a_gable()
    stud = next(bar for bar in plan.bars if bar.member and 0 < bar.ax_mm < 2000 and bar.skew_b_deg)
    foot_right, top_right, top_left, foot_left = framing.bar_corners(stud)

    assert foot_right[1] == foot_left[1]
    assert top_right[1] - top_left[1] == pytest.approx(stud.face_mm * 1900 / 2400, abs=0.2)
    assert max(top_right[1], top_left[1]) - foot_left[1] == pytest.approx(stud.length_mm, abs=1)


def test_corners_of_the_outline_are_dimensioned() -> None:
    """Ridge and foot of the slopes: along above, up at the left."""
    outline = ((0, 0), (4800, 0), (4800, 2000), (3900, 2900), (1200, 2900), (1200, 2400), (0, 2400))
    meets = (Meets.SCREED, Meets.MASONRY, Meets.ROOF, Meets.SLAB, Meets.SLAB, Meets.SLAB, Meets.MASONRY)
    plan = plan_wall(bare(a_wall("W-10"), outline, meets), practice())
    (sheet,) = frames_of(plan)
    edges = [place for call in sheet.of("polygon", "OUTLINE") for place in call.points]
    highest, leftmost = max(y for _, y in edges), min(x for x, _ in edges)
    above = {c.words for c in sheet.of("running") if c.axis == "x" and c.points[1][1] > highest}
    left = {c.words for c in sheet.of("running") if c.axis == "y" and c.points[1][0] < leftmost}

    assert {"1200", "3900"} <= above
    assert {"2000", "2400", "2900"} <= left


def test_level_members_are_dimensioned_at_the_edge_that_faces_the_opening() -> None:
    plan = a_plan()
    (sheet,) = frames_of(plan)
    right = max(x for call in sheet.of("polygon", "OUTLINE") for x, _ in call.points)
    said = {c.words for c in sheet.of("running") if c.axis == "y" and c.points[1][0] > right}
    plates = {f"{bar.ay_mm:.0f}" for bar in plan.bars if bar.role is Role.BACKING}

    assert {"900", "2150", "2010"} <= said  # sill and head of the window, head of the door
    assert plates
    assert plates <= said


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.wall.id)
def test_the_frame_says_where_the_sections_are_cut(plan: WallPlan) -> None:
    words = Counter(word for sheet in frames_of(plan) for word in sheet.words())

    assert (words["A"], words["B"]) == (2, 2)


@pytest.mark.parametrize("upright", [False, True])
def test_the_name_of_a_board_is_moved_aside_but_stays_inside(upright: bool) -> None:
    """A board of 24 x 30 mm of paper and a name of 23 mm: 3.5 mm is as far as it goes upright."""
    box = (10.0, 20.0, 34.0, 50.0)
    places = boarding._places_inside(box, 23.0, 3.0, upright=upright)

    assert places[0] == (22.0, 35.0)
    assert len(set(places)) > 2
    for x, y in places:
        wide, tall = (1.5, 11.5) if upright else (11.5, 1.5)
        assert box[0] <= x - wide < x + wide <= box[2]
        assert box[1] <= y - tall < y + tall <= box[3]
