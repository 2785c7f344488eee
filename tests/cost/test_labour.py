"""Labour: what is counted of a wall set out by hand, and how hours and money follow from it."""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from math import cos, pi, sin

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.cost.by_hand import PRACTICE, basis_of, rates, two_walls
from tests.documents import fixture

from innerleaf.cost.labour import crew_days, labour_of, summed
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.prices import Operation
from innerleaf.practice.rates import UNITS, Extra, Figure, FirmRates
from innerleaf.survey.wall import ExistingLayer, Way
from innerleaf.takeoff import take_off
from innerleaf.takeoff.count import ring_area
from innerleaf.takeoff.work import Work, _share_above, base_of, work_of


def with_figure(name: str, value: float) -> FirmRates:
    """The rates with one single number changed."""
    return replace(rates(), figures={**rates().figures, name: Figure(id=name, value=value, source="test")})


def total(work: Work, name: str) -> float:
    """All of one work."""
    return sum(one.amount for one in work.amounts if one.work == name)


@pytest.fixture(scope="module")
def work() -> Work:
    """The work of the two walls set out by hand."""
    return basis_of(two_walls()).work


def test_what_is_counted_is_what_the_drawing_shows(work: Work) -> None:
    """Typed from the drawing of `small_plan`: 3600 × 2500 with a window 1200 × 1200, two layers of board."""
    face = (3.590 * 2.485 - 1.2 * 1.2) * 2  # gaps 5, 10 and 5 mm; two walls

    assert total(work, Operation.SETTING_OUT) == pytest.approx(7.2)
    assert total(work, Operation.TRACK) == pytest.approx(14.4)
    assert total(work, Operation.BOARD) == pytest.approx(2 * face)
    assert total(work, Extra.CLEARING) == pytest.approx(face)
    assert total(work, Extra.NOTCH) == 8  # two boards of each layer are notched round the window
    assert total(work, Operation.BOX) == 2
    assert total(work, Extra.BEAD) == pytest.approx(2 * 4.8)
    assert total(work, Operation.JOINT) == pytest.approx(2 * (2 * 4.8 + 2 * 2 * (3.590 + 2.485) + joints()))
    assert total(work, Extra.SCREW_HEADS) == pytest.approx(2 * face)  # Q2: two coats
    assert total(work, Operation.SKIM) == 0
    assert total(work, Operation.SEALANT) == pytest.approx(2 * (3.6 + 2.5))


def joints() -> float:
    """Coat-metres of the joints of one wall: the hidden layer is filled once, the seen one twice."""
    beside, split = 2.485, 0.890 + 0.395
    return (2 * beside + split) + 2 * (2 * beside + 2 * split)


def test_every_cut_of_the_cut_plan_is_counted_once() -> None:
    """A piece that ends with its bar needs no cut, and each skew end is one more."""
    plans = (fixture.a_gable(),)
    takeoff = take_off(plans, PRACTICE)
    counted = work_of(plans, takeoff, PRACTICE, reach_mm=2700, one_lifts_kg=25, holds_from_mm=50)
    pieces = [piece for bar in takeoff.bars for piece in bar.pieces]

    assert total(counted, Extra.BAR_CUT) == len(pieces) - sum(bar.remainder_mm == 0 for bar in takeoff.bars)
    assert total(counted, Extra.SKEW_CUT) == sum(
        (piece.skew_a_deg != 0) + (piece.skew_b_deg != 0) for piece in pieces
    )
    straight = sum(not cut.sawn for board in takeoff.boards for cut in board.cuts)
    raked = sum(one.amount for one in counted.amounts if one.kind == "raked")
    assert total(counted, Extra.BOARD_CUT) == pytest.approx(straight + raked)
    assert raked > 0


@pytest.mark.parametrize(
    "plan",
    [
        fixture.a_plan(),
        fixture.a_plan("W-04", Way.BRACKETED),
        fixture.a_gable(),
        fixture.a_corridor(),
        *two_walls(),
    ],
    ids=lambda plan: plan.wall.id,
)
def test_parts_are_no_more_than_the_whole(plan: WallPlan) -> None:
    """Whatever the wall: nothing negative, nothing above reach or heavy that is not there at all."""
    low, high = (
        work_of(
            (plan,), take_off((plan,), PRACTICE), PRACTICE, reach_mm=reach, one_lifts_kg=25, holds_from_mm=50
        )
        for reach in (1000, 5000)
    )

    assert [(one.work, one.kind, one.amount) for one in low.amounts] == [
        (one.work, one.kind, one.amount) for one in high.amounts
    ]
    for one in low.amounts:
        assert one.amount > 0
        assert -1e-9 <= one.above <= one.amount + 1e-9
        assert 0 <= one.heavy <= one.amount
    assert all(one.above == 0 for one in high.amounts)
    assert {one.work for one in low.amounts} >= {Operation.BOARD, Operation.TRACK, Extra.BAR_CUT}
    assert low.sizes[0].mass_t > 0


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0.2, 1.0), min_size=3, max_size=12),
    st.floats(-1.2, 1.2),
)
def test_the_share_above_reach_is_that_of_a_general_library(radii: list[float], reach: float) -> None:
    step = 2 * pi / len(radii)
    ring = tuple((1000 * r * cos(k * step), 1000 * r * sin(k * step)) for k, r in enumerate(radii))
    above = shapely.Polygon(ring).intersection(shapely.box(-2000, 1000 * reach, 2000, 2000))

    assert _share_above(ring, 1000 * reach) * ring_area(ring) == pytest.approx(above.area, abs=1.0)


def test_hours_and_money_follow_from_the_printed_figures(work: Work) -> None:
    """Each line again in decimals, rounded half up at every step that is printed."""
    for line in labour_of(work, rates(), {"ground": 2}):
        hours = Decimal(str(line.amount)) * Decimal(str(line.minutes)) * (1 + Decimal(str(line.extras))) / 60
        hours = hours.quantize(Decimal("0.01"), ROUND_HALF_UP)
        cost = (hours * Decimal(line.rate) / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)

        assert Decimal(str(line.hours)) == hours, line.working
        assert Decimal(line.total) == 100 * cost, line.working
        assert sum(line.shares) == line.total
        assert min(line.shares) >= 0


def test_extras_add_up(work: Work) -> None:
    """All above reach, in small rooms, every board heavy: 0.30 + 0.12 + 0.20 as the rates say."""
    low = with_figure("reach", 1000)
    plans = two_walls()
    counted = work_of(
        plans, take_off(plans, PRACTICE), PRACTICE, reach_mm=0, one_lifts_kg=0.001, holds_from_mm=50
    )
    boards = [line for line in labour_of(counted, low, {}) if line.work == Operation.BOARD]

    assert {line.extras for line in boards} == {0.62}
    assert "above reach 0.300, small rooms 0.120, heavy boards 0.200" in boards[0].working


def test_a_room_with_enough_lining_is_not_small(work: Work) -> None:
    assert {line.extras for line in labour_of(work, with_figure("small room", 5), {})} == {0.0}


def test_brackets_take_longer_in_hard_walls() -> None:
    """By the layer that the anchor holds in: the brick behind 15 mm of render, and concrete."""
    plan = fixture.a_plan("W-04", Way.BRACKETED)
    hard = replace(
        plan,
        wall=replace(
            plan.wall,
            construction=(
                ExistingLayer(material="reinforced-concrete-1", thickness_mm=200),
                ExistingLayer(material="gypsum-plaster-1300", thickness_mm=15),
            ),
        ),
    )
    minutes = [
        next(line.minutes for line in labour_of(of(one), rates(), {}) if line.work == Operation.BRACKET)
        for one in (plan, hard)
    ]

    assert base_of(plan, 50) == "brick-1800"
    assert base_of(hard, 50) == "reinforced-concrete-1"
    assert base_of(hard, 15) == "gypsum-plaster-1300"  # a firm that trusts an anchor in 15 mm of plaster
    assert minutes == [3.0, 4.5]  # three minutes, in concrete 1.5 times


def of(plan: WallPlan) -> Work:
    """The work of one wall."""
    plans = (plan,)
    return work_of(
        plans, take_off(plans, PRACTICE), PRACTICE, reach_mm=2700, one_lifts_kg=25, holds_from_mm=50
    )


def test_what_is_carried_up_is_mass_times_storeys(work: Work) -> None:
    lines = {line.work: line for line in labour_of(work, rates(), {"ground": 3})}
    mass = sum(size.mass_t for size in work.sizes)

    assert lines[Extra.CARRYING].amount == pytest.approx(3 * mass, abs=5e-4)
    assert Extra.CARRYING not in {line.work for line in labour_of(work, rates(), {"attic": 3})}


def test_jointing_is_the_jointers_and_nobody_elses(work: Work) -> None:
    by_trade = {line.work: line.trade for line in labour_of(work, rates(), {}) if line.trade != "helper"}

    assert by_trade[Operation.JOINT] == by_trade[Extra.SANDING] == "jointer"
    assert by_trade[Operation.BOARD] == by_trade[Operation.TRACK] == "fitter"


def test_days_are_those_of_the_longest_trade(work: Work) -> None:
    """Two fitters, one helper, one jointer of eight hours; half the jointer's days run beside the others."""
    lines = labour_of(work, rates(), {})
    crew = crew_days(lines, summed(work, rates(), {}), rates())
    longest = max(crew.fitter_hours / 16, crew.helper_hours / 8)

    assert crew.days - 1 < longest + crew.jointer_hours / 8 / 2 <= crew.days
    longer = crew_days(labour_of(work, rates(), {}, extra_days=2), summed(work, rates(), {}), rates(), 2)
    assert longer.days == crew.days + 2
    assert longer.hours == pytest.approx(crew.hours + 2 * 8 * 4)


def test_each_work_has_a_unit_and_minutes() -> None:
    assert set(UNITS) == {*Operation, *Extra} == set(rates().minutes)
