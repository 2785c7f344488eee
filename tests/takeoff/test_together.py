"""Layout and cutting together: never dearer than as first drawn, the rules kept, all of it told."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from tests.independent import check_plan
from tests.layout.plain import BRACKETED, FREE, PRACTICE, door, wall, window
from tests.layout.test_invariants import JOB, mirrored

from innerleaf.documents.cut_list import cut_list
from innerleaf.documents.cut_papers import cut_sheets
from innerleaf.documents.together_sheet import together_words
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.layout.variants import plan_variant, variants_of
from innerleaf.pipeline import plan_job
from innerleaf.plan_file import plan_document
from innerleaf.practice.prices import load_prices
from innerleaf.survey.wall import Wall
from innerleaf.takeoff import take_off
from innerleaf.takeoff.together import Effort, Together, lay_out_together
from innerleaf.takeoff.track_joints import with_joints_moved

PRICES = load_prices(PRACTICE)
EFFORT = Effort(layouts=8, steps=400, least=10_000)


def building() -> list[Wall]:
    """Some walls of a made-up flat, the first of them twice."""
    walls = [
        wall(4300, 2650, FREE, openings=(door(3050, 900, 2030),)),
        wall(4300, 2650, FREE, openings=(door(3050, 900, 2030),)),
        wall(3900, 2650, BRACKETED, openings=(window(1500, 1000, 900, 1250),)),
        wall(3400, 2650, BRACKETED),
        wall(2600, 2650, BRACKETED, openings=(window(750, 1100, 750, 1450),)),
    ]
    return [replace(each, id=f"W-{number:02d}") for number, each in enumerate(walls, 1)]


def together(walls: list[Wall], effort: Effort = EFFORT) -> Together:
    plans = [plan_wall(each, PRACTICE) for each in walls]
    return lay_out_together(plans, take_off(plans, PRACTICE), PRACTICE, PRICES, effort=effort)


@pytest.fixture(scope="module")
def made() -> Together:
    return together(building())


def test_it_saves_and_says_how_much(made: Together) -> None:
    report = made.report

    assert report.cost_chosen < report.cost_first
    assert report.board_chosen_mm2 < report.board_first_mm2
    assert report.board_chosen_mm2 == sum(p.bought for p in made.takeoff.purchases if p.group == "boards")
    assert report.board_least_mm2 <= report.board_chosen_mm2
    assert report.bar_least_mm <= report.bar_chosen_mm
    prices = {"boards": ("boards", 1e6), "frame": ("profiles", 1e3)}
    assert report.cost_least == pytest.approx(
        sum(
            p.lower_bound / prices[p.group][1] * PRICES.price(prices[p.group][0], p.item)
            for p in made.takeoff.purchases
            if p.group in prices
        )
    )
    assert report.cost_least <= report.cost_chosen
    assert report.kinds == 4
    assert report.walls == sum(
        plan != plan_wall(each, PRACTICE) for plan, each in zip(made.plans, building(), strict=True)
    )
    assert [step.kept for step in report.rounds] == [True]
    assert 0 < report.board_gain < 1


def test_the_first_sheet_of_the_cut_list_says_what_it_was_worth(made: Together) -> None:
    """Before, after, least, and the working; also where nothing was searched."""
    cut, report = cut_list(made.plans, made.takeoff, PRACTICE.rules), made.report
    first, bare = cut_sheets(cut, report)[0], cut_sheets(cut)[0]
    table = first.tables[1]
    boards, bars, cost = ([float(str(v).replace(",", "")) for v in row[1:4]] for row in table.rows)

    assert boards == [round(v / 1e6, 2) for v in (report.board_first_mm2, report.board_chosen_mm2)] + [
        pytest.approx((report.board_chosen_mm2 - report.board_first_mm2) / 1e6, abs=0.005)
    ]
    assert bars[1] == round(report.bar_chosen_mm / 1e3, 2)
    assert cost[1] == pytest.approx(report.cost_chosen, abs=0.005)
    assert table.rows[2][-1] == f"{report.cost_least:,.2f}"
    assert "Round 1:" in first.notes[0].text
    assert table.title not in {each.title for each in bare.tables}
    assert together_words(replace(report, left_out="r")).startswith("Not chosen together: r.")


def test_what_it_draws_keeps_every_promise(made: Together) -> None:
    document = plan_document(JOB, PRACTICE, made.plans, made.takeoff, together=made.report)

    assert check_plan.check(check_plan.as_read(document)) == []
    assert document["together"]["board_gain"] == round(made.report.board_gain, 6)


def test_the_takeoff_is_that_of_the_plans(made: Together) -> None:
    assert made.takeoff == take_off(made.plans, PRACTICE)


def test_the_same_walls_get_the_same_layouts(made: Together) -> None:
    assert together(building()) == made


@pytest.mark.parametrize("seed", range(4))
def test_never_dearer_however_little_is_searched(seed: int) -> None:
    """A search of no worth proposes what it likes; what is dearer is not taken."""
    plans = [plan_wall(each, PRACTICE) for each in building()[1:]]
    first = take_off(plans, PRACTICE)
    effort = Effort(layouts=6, steps=1, least=40, most=40)

    made = lay_out_together(plans, first, PRACTICE, PRICES, effort=effort, seed=seed)

    assert made.report.cost_chosen <= made.report.cost_first
    if not any(step.kept for step in made.report.rounds):
        joined = with_joints_moved(plans, first, PRACTICE)
        assert (made.plans, made.takeoff) == (joined.plans, joined.takeoff)


def test_as_good_as_every_choice_there_is() -> None:
    """Three walls with up to three layouts: all choices taken off, none is cheaper."""
    walls = building()[2:]
    effort = replace(EFFORT, layouts=3)
    offered = [variants_of(each, PRACTICE, 3) for each in walls]
    costs = []
    for choice in product(*offered):
        plans = [plan_variant(each, PRACTICE, variant) for each, variant in zip(walls, choice, strict=True)]
        costs.append(cost(together_of_first(plans)))

    assert cost(together(walls, effort)) == pytest.approx(min(costs))


def together_of_first(plans: list[WallPlan]) -> Together:
    """Plans as they are, taken off and priced."""
    taken = take_off(plans, PRACTICE)
    return lay_out_together(plans, taken, PRACTICE, PRICES, effort=Effort(walls=0))


def cost(made: Together) -> float:
    return made.report.cost_chosen


def test_mirrored_walls_are_cut_from_as_much() -> None:
    there, back = together(building()[2:]), together([mirrored(each) for each in building()[2:]])

    assert there.report.board_chosen_mm2 == back.report.board_chosen_mm2


def test_more_different_walls_than_asked_for_are_left_as_they_are() -> None:
    made = together(building(), Effort(walls=3))

    assert made.report.left_out == "more than 3 different walls"
    assert made.report.board_gain == 0
    assert made.plans == tuple(plan_wall(each, PRACTICE) for each in building())


def test_a_wall_named_is_drawn_as_in_the_building(tmp_path: Path) -> None:
    """A sheet printed again for one wall must be the sheet that hangs on site."""
    job = tmp_path / "job.yaml"
    job.write_text(
        "format: 1\n"
        "site: {name: Test house (invented)}\n"
        "linings: {thin: {way: bracketed, profile: CD-60-27, boards: [board-A-12.5]}}\n"
        "rooms: [{id: R1}]\n"
        "walls:\n"
        "  - {id: W-01, room: R1, length: 3400, height: 2650, lining: thin}\n"
        "  - {id: W-02, room: R1, length: 3900, height: 2650, lining: thin}\n",
        encoding="utf-8",
    )

    every = plan_job(job, together=True)
    named = plan_job(job, only=["W-02"], together=True)

    assert named.plans == every.plans[1:]
    assert every.together is not None
    assert plan_job(job).together is None
