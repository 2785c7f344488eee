"""Verdicts on walls as set out: sums that can be redone by hand, and laws that any wall keeps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.layout.plain import everyday_wall

from innerleaf.design.buildup import depth_of, transmittance
from innerleaf.design.climate import SiteClimate
from innerleaf.design.heat.assess import RSE, RSI
from innerleaf.design.heat.verdicts import FRSI, U_VALUE
from innerleaf.design.heat.wall import heat_of
from innerleaf.design.moisture.months import moisture_of
from innerleaf.design.moisture.verdicts import GATHERED, LEFT
from innerleaf.design.performance import performance_of
from innerleaf.design.record import record
from innerleaf.design.uncertainty import missed, scatter_of, u_samples
from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.load import load_practice
from innerleaf.survey.wall import ExistingLayer, InsulationLayer, InsulationPlace, Targets, Wall, Way

PRACTICE = load_practice()
# Invented, like a mild inland place: temperature in degC and relative humidity by month.
CLIMATE = SiteClimate(
    (1, 2, 5, 9, 13, 16, 18, 18, 14, 10, 5, 2),
    (0.86, 0.84, 0.79, 0.74, 0.73, 0.74, 0.75, 0.76, 0.80, 0.83, 0.86, 0.87),
)
BRICK = (
    ExistingLayer(material="lime-render", thickness_mm=20),
    ExistingLayer(material="brick-1800", thickness_mm=365),
)


def outer_wall(
    way: Way = Way.STUD_AND_TRACK, *, membrane: str = "membrane-PE-0.25", u_value: float = 0.5
) -> Wall:
    """The everyday wall as an outer wall of brick with 60 mm of wool."""
    wall = everyday_wall(way)
    place = InsulationPlace.BETWEEN if way == Way.STUD_AND_TRACK else InsulationPlace.BEHIND
    lining = replace(
        wall.lining, insulation=(InsulationLayer(item="wool-60", place=place),), membrane=membrane, gap_mm=60
    )
    return replace(
        wall,
        other_side="outside",
        construction=BRICK,
        lining=lining,
        targets=Targets(u_value_w_m2k=u_value, moisture_safe=True),
        humidity_class=3,
    )


@pytest.fixture(scope="module", params=list(Way))
def plan(request: pytest.FixtureRequest) -> WallPlan:
    return plan_wall(outer_wall(request.param), PRACTICE)


def test_the_old_wall_is_the_layered_formula(plan: WallPlan) -> None:
    """ISO 6946 by hand: 0.13 + 0.020/0.8 + 0.365/0.81 + 0.04."""
    heat = heat_of(plan, PRACTICE)

    assert heat.u_before == pytest.approx(1 / (0.13 + 0.020 / 0.8 + 0.365 / 0.81 + 0.04), rel=1e-9)


def test_the_sum_is_that_of_its_lines(plan: WallPlan) -> None:
    """H = sum of U A, psi l and chi; every member and bracket placed is counted."""
    heat = heat_of(plan, PRACTICE)

    assert heat.after == pytest.approx(sum(loss.quantity * loss.coefficient for loss in heat.losses))
    brackets = sum(loss.quantity for loss in heat.losses if loss.what.startswith("bracket"))
    assert brackets == len(plan.brackets)
    area = sum(loss.quantity for loss in heat.losses if loss.what == "clear field")
    assert area == pytest.approx(heat.area_m2)


def test_steel_costs_and_lining_pays(plan: WallPlan) -> None:
    """Members and brackets add to the clear field, edges to both; the lined wall loses less than the old."""
    heat = heat_of(plan, PRACTICE)

    assert heat.u_clear < heat.u_set_out < heat.u_effective
    assert heat.u_set_out < heat.u_before
    assert heat.after < heat.before


def test_studs_through_the_wool_cost_more_than_brackets() -> None:
    """60 mm of wool between studs is worth less than 60 mm behind channels held by brackets."""
    studs, brackets = (
        heat_of(plan_wall(outer_wall(way), PRACTICE), PRACTICE) for way in (Way.STUD_AND_TRACK, Way.BRACKETED)
    )

    assert studs.u_set_out - studs.u_clear > brackets.u_set_out - brackets.u_clear


def test_every_verdict_has_working_margin_and_risk(plan: WallPlan) -> None:
    """A figure without its working cannot be checked by an inspector."""
    performance = performance_of(plan, PRACTICE, CLIMATE)

    assert {v.requirement for v in performance.verdicts} >= {U_VALUE, FRSI, GATHERED, LEFT}
    for verdict in performance.verdicts:
        assert verdict.working
        assert verdict.source
        assert verdict.met == (verdict.margin >= 0)
    missed_ones = {v.requirement for v in performance.verdicts if not v.met}
    assert {finding.rule for finding in performance.findings} == missed_ones


def test_without_a_membrane_more_water_gathers() -> None:
    """The vapour control layer is what keeps the room's air out of the cold part."""
    tight, bare = (
        moisture_of(plan_wall(outer_wall(membrane=name), PRACTICE), PRACTICE, CLIMATE)
        for name in ("membrane-PE-0.25", "")
    )

    assert tight.after.peak < bare.after.peak
    assert tight.risk_gathered <= bare.risk_gathered
    assert bare.after.first


def test_a_warm_neighbour_takes_no_heat(plan: WallPlan) -> None:
    """Walls against heated rooms are not counted, and the record says why."""
    inner = replace(plan, wall=replace(plan.wall, other_side="neighbour"))
    performance = performance_of(inner, PRACTICE, CLIMATE)

    assert performance.heat is None
    assert "neighbour" in performance.notes[0]


def test_beyond_a_stair_the_surface_is_warmer(plan: WallPlan) -> None:
    """Half the temperature difference, half the distance of the factor from 1."""
    stair = performance_of(replace(plan, wall=replace(plan.wall, other_side="stair")), PRACTICE, CLIMATE)
    outside = performance_of(plan, PRACTICE, CLIMATE)

    (warm,), (cold,) = ([v.value for v in p.verdicts if v.requirement == FRSI] for p in (stair, outside))
    assert 1 - warm == pytest.approx((1 - cold) * PRACTICE.rules.loss_share_stair_percent / 100)
    assert stair.moisture is None


def test_no_climate_is_said_not_guessed(plan: WallPlan) -> None:
    performance = performance_of(plan, PRACTICE, None)

    assert performance.moisture is None
    assert any("no monthly temperature" in note for note in performance.notes)


def test_wool_thicker_than_its_room_is_refused(plan: WallPlan) -> None:
    """Compressed wool is no wool of that thickness."""
    lining = replace(
        plan.wall.lining, insulation=(InsulationLayer(item="wool-100", place=InsulationPlace.BEHIND),)
    )
    with pytest.raises(InputError, match="100 mm behind"):
        heat_of(replace(plan, wall=replace(plan.wall, lining=lining)), PRACTICE)


def test_samples_scatter_round_the_figure(plan: WallPlan) -> None:
    """Without gaps and scatter every sample is the figure itself; with them the mean stays near it."""
    depth = depth_of(plan, PRACTICE)
    scatter = scatter_of(PRACTICE.rules)
    none = replace(scatter, old=0, new=0, mu=0, bridges=0, surface=0, gap=0)
    figure = transmittance(depth.layers, RSI, RSE) + 0.05

    assert np.allclose(u_samples(depth, RSI, RSE, 0.05, none), figure)
    drawn = u_samples(depth, RSI, RSE, 0.05, scatter)
    assert drawn.mean() == pytest.approx(figure, rel=0.05)
    assert missed(drawn, 0.0, at_most=True) == 1.0
    assert missed(drawn, 9.9, at_most=True) == 0.0


def test_the_record_repeats_to_the_digit(plan: WallPlan) -> None:
    """Same wall, same practice, same climate: same figures."""
    assert record(performance_of(plan, PRACTICE, CLIMATE)) == record(performance_of(plan, PRACTICE, CLIMATE))
