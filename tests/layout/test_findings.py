"""Every finding can happen, and says where and by how much."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.layout.plain import (
    BRACKETED,
    FREE,
    PRACTICE,
    RULES,
    box,
    lining,
    load,
    obstacle,
    plan,
    wall,
    window,
)

from innerleaf.findings import FINDING_CODES, Finding
from innerleaf.layout.pieces import RunKind
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Meets, MemberBuild, ObstacleKind, OffsetGrid, Opening, Wall


def slots(first: int, count: int, width: int = 250) -> tuple[Opening, ...]:
    """Narrow windows side by side, so close that no joint between is clear of a jamb."""
    return tuple(window(first + 2 * width * k, width, id=f"N{k}") for k in range(count))


def shelves(low: int, high: int, pitch: int = 200, height: int = 60) -> tuple[Opening, ...]:
    """Low wide niches one over the other, so close that no cross joint is clear of a head or sill."""
    return tuple(window(600, 2000, y, height, id=f"N{y}") for y in range(low, high, pitch))


def short_boards(*lengths: int) -> Practice:
    """A firm that can only buy boards of these lengths."""
    boards = {name: replace(board, lengths_mm=lengths) for name, board in PRACTICE.boards.items()}
    return replace(PRACTICE, boards=boards)


HOLLOW = OffsetGrid(xs_mm=(0, 3000, 6000), ys_mm=(0, 1300), offsets_mm=((0, 0, 0), (0, -190, 0)))
STAGGER_FAR = replace(PRACTICE, rules=replace(RULES, cross_joint_stagger_min_mm=1250))

# A wall that provokes each code, with the practice it is set out by.
PROVOKED: dict[str, tuple[Wall, Practice]] = {
    "L102": (wall(height=4000), PRACTICE),
    "L103": (wall(openings=(window(1000, 1000, id="N1"), window(2030, 1000, id="N2"))), PRACTICE),
    "L105": (wall(way=BRACKETED, head_moves=True), PRACTICE),
    "L106": (wall(meets=(Meets.SLAB, Meets.OUTER_CORNER, Meets.SLAB, Meets.MASONRY)), PRACTICE),
    "L201": (wall(4000, layers=1, openings=slots(800, 5)), PRACTICE),
    "L202": (wall(3300, 3300, BRACKETED, 1, openings=shelves(250, 3100)), PRACTICE),
    "L203": (wall(1260, layers=1, openings=slots(330, 2)), PRACTICE),
    "L204": (
        wall(
            3300, 3300, BRACKETED, 2, openings=(*shelves(250, 1500, 100, 50), *shelves(1900, 3100, 100, 50))
        ),
        PRACTICE,
    ),
    "L205": (wall(6000, 6000, BRACKETED), STAGGER_FAR),
    "L206": (wall(3000, 535, layers=1), short_boards(500)),
    "L301": (wall(way=BRACKETED, offsets=HOLLOW), PRACTICE),
    "L401": (wall(openings=(window(2000),), boxes=(box(1960, 1500),)), PRACTICE),
    "L402": (wall(loads=(load(2000, 1400, mass=40),)), PRACTICE),
    "L403": (wall(openings=(window(2000),), boxes=(box(2500, 1500),)), PRACTICE),
    "L501": (wall(22_000, openings=(window(6000, 10_000),)), PRACTICE),
    "L601": (wall(questions=("is the wall dry at the foot?",)), PRACTICE),
}


def findings(code: str) -> list[Finding]:
    some, practice = PROVOKED[code]
    return [finding for finding in plan_wall(some, practice).findings if finding.code == code]


def test_every_code_can_be_provoked() -> None:
    """A code that no wall provokes is dead: a rule that nobody checks."""
    assert {*PROVOKED} == {code for code in FINDING_CODES if code.startswith("L")}


@pytest.mark.parametrize("code", list(PROVOKED))
def test_each_code_can_happen(code: str) -> None:
    """A code that no wall provokes is dead: a rule that nobody checks."""
    assert findings(code)


@pytest.mark.parametrize("code", list(PROVOKED))
def test_each_finding_points_into_the_wall_and_is_a_sentence_for_a_person(code: str) -> None:
    """Somebody has to find the place with a tape from the datum, and know what to do."""
    some, _ = PROVOKED[code]

    for finding in findings(code):
        assert finding.wall == some.id
        assert 0 <= finding.x_mm <= some.length_mm
        assert 0 <= finding.y_mm <= some.height_mm
        assert 0 <= finding.layer <= len(some.lining.boards)
        assert finding.by_mm >= 0
        assert finding.text
        assert finding.remedy
        assert finding.rule


@pytest.mark.parametrize("code", list(FINDING_CODES))
def test_a_plain_wall_has_none(code: str) -> None:
    """A finding that is always there is no finding."""
    for way in (BRACKETED, FREE):
        assert code not in {finding.code for finding in plan(wall(way=way)).findings}


def test_height_is_missed_by_what_the_stud_is_too_long() -> None:
    """CW 75 up to 3500 (from memory, low confidence: DIN 18183-1); studs of 3990 are 490 over."""
    assert {finding.by_mm for finding in findings("L102")} == {3990 - 3500}


def test_under_a_moving_slab_the_leg_of_the_track_counts() -> None:
    """Legs of 27, members 10 + 15 short: 2 mm are left of the 10 wanted."""
    (found,) = findings("L105")

    assert (found.by_mm, found.y_mm) == (8, 2600)


def test_an_upright_joint_is_missed_by_its_distance_from_the_jamb() -> None:
    """What the nearest jamb lacks of 150."""
    some, _ = PROVOKED["L201"]
    jambs = [x for o in some.openings for x in (o.x_mm, o.right_mm)]

    for finding in findings("L201"):
        assert 150 - finding.by_mm in [abs(finding.x_mm - x) for x in jambs]


def test_a_cross_joint_is_missed_by_its_distance_from_that_below() -> None:
    """What the nearest cross joint of the layer below lacks of 400, where the boards overlap."""
    joints = [run for run in plan_wall(*PROVOKED["L204"]).runs if run.kind == RunKind.JOINT_CROSS]

    for finding in findings("L204"):
        (own,) = [r for r in joints if (r.layer, r.ax_mm, r.ay_mm) == (2, finding.x_mm, finding.y_mm)]
        near = [
            400 - abs(own.ay_mm - below.ay_mm)
            for below in joints
            if below.layer == 1 and below.ax_mm < own.bx_mm and own.ax_mm < below.bx_mm
        ]
        assert finding.by_mm >= max(near) > 0


def test_a_sliver_is_missed_by_what_it_is_too_narrow() -> None:
    """The place is the left edge of the strip, the miss what it lacks of 300."""
    (found,) = findings("L203")
    layout = plan_wall(*PROVOKED["L203"])

    widths = {min(x for x, _ in p.ring): p.width_mm for p in layout.boards if p.plane == "face"}
    assert found.by_mm == 300 - widths[int(found.x_mm)] > 0


def test_a_box_in_a_stud_is_told_how_far_to_move() -> None:
    """Socket of 68 with 10 mm around it, 15 mm off the middle of a stud of 50: 54 mm to the left."""
    (found,) = findings("L401")

    assert (found.x_mm, found.y_mm, found.by_mm) == (1960, 1500, 34 + 10 + 25 - 15)
    assert "54 mm to the left" in found.remedy


def test_a_box_moved_as_told_is_clear() -> None:
    """The remedy is one."""
    moved = wall(openings=(window(2000),), boxes=(box(1960 - 54, 1500),))

    assert "L401" not in {finding.code for finding in plan(moved).findings}


@pytest.mark.parametrize(("mass", "found"), [(24, False), (25, True)])
def test_a_hung_load_above_04_kn_per_metre_needs_proof(mass: int, found: bool) -> None:
    """A handbook after DIN 18183-1 with DIN 4103-1 (read): 0.4 kN/m; 24.5 kg on 600 mm are 0.4 kN/m."""
    some = plan(wall(loads=(load(2000, 1400, 600, mass),)))

    assert ("L402" in {finding.code for finding in some.findings}) is found


def test_a_hung_load_over_a_window_is_listed() -> None:
    """Nothing is there to hang it on."""
    some = plan(wall(openings=(window(2000),), loads=(load(2300, 1400),)))

    assert [f.x_mm for f in some.findings if f.code == "L402"] == [2300]


def test_a_pipe_beside_the_wall_is_listed() -> None:
    """Its hole would be half off the board."""
    some = plan(wall(obstacles=(obstacle(ObstacleKind.PIPE, 5970, 300, 60, 60),)))

    assert "L403" in {finding.code for finding in some.findings}


def test_a_hollow_is_missed_by_what_the_longest_bracket_lacks() -> None:
    """Brackets reach 200 mm."""
    layout = plan_wall(*PROVOKED["L301"])

    lacking = [b.projection_mm - 200 for b in layout.brackets if b.projection_mm > 200]
    assert [finding.by_mm for finding in findings("L301")] == lacking


def test_open_questions_are_handed_on_word_for_word() -> None:
    """Moisture, cables, asbestos: to be answered before anyone drills."""
    assert [finding.text for finding in findings("L601")] == ["is the wall dry at the foot?"]


def test_a_doubled_stud_may_be_higher() -> None:
    """Two studs are twice as stiff: the limit of the pair is the one that counts."""
    boxed = plan(wall(height=4000, lining=lining(build=MemberBuild.BOXED)))

    assert "L102" not in {finding.code for finding in boxed.findings}
