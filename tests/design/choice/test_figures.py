"""Quick figures of options against those of a lining set out and judged in full on its own."""

from __future__ import annotations

from dataclasses import replace
from math import isnan
from random import Random

import numpy as np
import pytest
from tests.design.choice.small import CLIMATE, PRICES, brick_wall, setting, small_practice

from innerleaf.design.buildup import depth_of, transmittance
from innerleaf.design.choice import criteria as by
from innerleaf.design.choice.catalogue import buyable
from innerleaf.design.choice.consider import Considered, consider
from innerleaf.design.choice.cross import cross_of
from innerleaf.design.choice.evaluate import evaluate
from innerleaf.design.choice.finalists import finalise
from innerleaf.design.choice.generate import Extent, generate
from innerleaf.design.choice.heat import edge_factors
from innerleaf.design.choice.moist import moisture_many
from innerleaf.design.heat.wall import heat_of
from innerleaf.design.moisture.months import moisture_of
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.prices import Operation
from innerleaf.survey.wall import Targets, Wall
from innerleaf.survey.wish import Wish

FEW = Extent(board_layers=2, slabs_in_a_place=1, spacings=1, air_mm=())
STEEL = Wish(boards=("board-A-12.5", "board-D-12.5"), membrane="membrane-variable", insulation_behind=())


@pytest.fixture(scope="module")
def wall() -> Wall:
    return brick_wall()


@pytest.fixture(scope="module")
def unknown() -> Wall:
    """A wall of which nobody knows the layers: no heat is solved for it."""
    return brick_wall(construction=())


@pytest.fixture(scope="module")
def considered(wall: Wall) -> Considered:
    return consider(wall, STEEL, buyable(small_practice(), PRICES), setting(), FEW)


def test_cost_hours_and_mass_are_near_those_of_the_lining_itself(considered: Considered) -> None:
    """2 % of cost, 1 % of hours, 3 % of mass: offcuts of one wall alone differ from board to board."""
    for option in Random(3).sample(range(len(considered.evaluated.options)), 2):
        found = finalise(considered, option, setting())

        for criterion, off in ((by.COST, 0.02), (by.HOURS, 0.01), (by.MASS, 0.03)):
            assert found.quick[criterion.key] == pytest.approx(found.exact[criterion.key], rel=off)
        assert found.quick[by.THICKNESS.key] == found.exact[by.THICKNESS.key]


def test_u_is_that_of_the_wall_as_set_out(considered: Considered, wall: Wall) -> None:
    """psi and chi of every member and bracket, on the trial's metres and pieces: here the wall's own."""
    options = considered.evaluated.options
    u = considered.evaluated.figures[by.U_VALUE]
    for option in Random(4).sample(range(len(options)), 2):
        plan = plan_wall(options.wall(wall, option), small_practice())

        assert u[option] == pytest.approx(heat_of(plan, small_practice()).u_set_out, rel=2e-3)


def test_clear_u_is_exactly_that_of_the_layers(wall: Wall) -> None:
    practice = small_practice(insulation=("wool-50", "wool-60", "wool-100"))
    options = generate(wall, Wish(), buyable(practice, PRICES), practice)
    clear = cross_of(wall, options, practice).transmittance()

    for option in Random(5).sample(range(len(options)), 20):
        depth = depth_of(plan_wall(options.wall(wall, option), practice), practice)
        assert clear[option] == pytest.approx(transmittance(depth.layers, 0.13, 0.04), rel=1e-12)


def test_water_is_that_of_the_monthly_method(wall: Wall) -> None:
    """With fewer cuts through thick layers the most water gathered differs by less than 1 %."""
    practice = small_practice(
        insulation=("wool-50", "wool-100"), membranes=("membrane-variable", "membrane-PE-0.15")
    )
    options = generate(wall, Wish(), buyable(practice, PRICES), practice)
    peak, left = moisture_many(wall, options, cross_of(wall, options, practice), practice, CLIMATE)

    assert (peak == 0).any()
    assert (peak > 0).any()
    for option in Random(6).sample(range(len(options)), 10):
        after = moisture_of(plan_wall(options.wall(wall, option), practice), practice, CLIMATE).after
        assert peak[option] == pytest.approx(after.peak, rel=0.01, abs=1e-6)
        assert left[option] == pytest.approx(after.left, rel=0.01, abs=1e-4)


def test_a_dearer_board_makes_a_dearer_lining_by_just_its_boards(unknown: Wall) -> None:
    """A euro more for a square metre of board costs a euro for every square metre bought."""
    options = generate(unknown, STEEL, buyable(small_practice(), PRICES), small_practice(), FEW)
    dear = dict(PRICES.prices)
    dear["boards", "board-D-12.5"] += 1.0
    base, more = (
        evaluate(unknown, options, setting(prices=prices, climate=None)).figures[by.COST]
        for prices in (PRICES, replace(PRICES, prices=dear))
    )

    assert np.ptp(more - base) < 2.0  # board bought differs with the grid alone
    assert (more - base >= 7.0).all()  # a window of 1.44 m² in a wall of 10.9 m²


def test_hours_follow_the_minutes_of_the_price_list(unknown: Wall) -> None:
    """Twice the minutes for membranes add hours where there is a membrane, and nothing elsewhere."""
    wish = replace(STEEL, membrane=None)
    options = generate(unknown, wish, buyable(small_practice(), PRICES), small_practice(), FEW)
    minutes = PRICES.work[Operation.MEMBRANE]
    slow = dict(PRICES.work)
    slow[Operation.MEMBRANE] = replace(minutes, fitter=2 * minutes.fitter, helper=2 * minutes.helper)
    base, more = (
        evaluate(unknown, options, setting(prices=prices, climate=None)).figures[by.HOURS]
        for prices in (PRICES, replace(PRICES, work=slow))
    )

    assert ((more > base + 0.5) == options.membrane_given).all()
    assert np.allclose(more[~options.membrane_given], base[~options.membrane_given])


def test_carbon_without_a_figure_is_not_known(unknown: Wall) -> None:
    """It is left open for linings with that board, and counted for the others."""
    wish = replace(STEEL, boards=None)
    options = generate(unknown, wish, buyable(small_practice(), PRICES), small_practice(), FEW)
    gone = {key: kg for key, kg in PRICES.carbon.items() if key != ("boards", "board-D-12.5")}
    carbon = evaluate(unknown, options, setting(prices=replace(PRICES, carbon=gone))).figures[by.CARBON]

    for option in range(len(options)):
        assert isnan(carbon[option]) == ("board-D-12.5" in options.lining(option).boards)


def test_a_lining_that_needs_an_article_without_a_price_is_no_option(unknown: Wall) -> None:
    """Without a price for the long screw, two layers of board cannot be had, one can."""
    wish = Wish(membrane="")
    gone = {key: price for key, price in PRICES.prices.items() if key != ("screws", "screw-35")}
    options = generate(unknown, wish, buyable(small_practice(), PRICES), small_practice(), FEW)
    left = evaluate(unknown, options, setting(prices=replace(PRICES, prices=gone), climate=None)).options

    assert {len(left.lining(option).boards) for option in range(len(left))} == {1}


def test_without_layers_of_the_old_wall_nothing_is_said_of_heat() -> None:
    bare = brick_wall(construction=(), targets=Targets(u_value_w_m2k=0.3))
    considered = consider(bare, STEEL, buyable(small_practice(), PRICES), setting(), FEW)

    assert by.U_VALUE not in considered.evaluated.figures
    assert any("what the old wall is made of" in note for note in considered.notes)
    assert any(note.startswith("U-value as set out at most 0.300") for note in considered.notes)


def test_the_coldest_edge_is_estimated_near_its_full_solve() -> None:
    """Within 0.015 of the temperature factor, for linings whose own edges were not among those solved."""
    wall = brick_wall(targets=Targets(frsi=0.7))
    practice = small_practice(
        profiles=("CW-50", "UW-50", "CW-75", "UW-75"), insulation=("wool-50", "wool-100")
    )
    options = generate(wall, replace(STEEL, insulation_behind=None), buyable(practice, PRICES), practice)
    factors = edge_factors(wall, options, cross_of(wall, options, practice), practice)

    for option in Random(7).sample(range(len(options)), 3):
        plan = plan_wall(options.wall(wall, option), practice)
        assert factors[option] == pytest.approx(heat_of(plan, practice).coldest.frsi, abs=0.015)
