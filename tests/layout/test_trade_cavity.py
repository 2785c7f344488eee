"""Facts of the trade about what lies in the cavity, asked of an everyday wall, both ways to build.

Each number stands here as the trade says it, with how it is known, not as the practice set has it.
"""

from __future__ import annotations

import pytest
import shapely
from tests.layout.plain import (
    BRACKETED,
    FREE,
    bars_of,
    item,
    lining,
    load,
    obstacle,
    plan,
    ring_area,
    runs_of,
    standing_at,
    wall,
)

from innerleaf.layout.pieces import Role, RunKind, WallPlan
from innerleaf.practice.model import ConsumableUse
from innerleaf.survey.wall import InsulationLayer, InsulationPlace, ObstacleKind, Way

both = pytest.mark.parametrize("way", [BRACKETED, FREE])


@both
def test_wool_fills_the_cavity_without_gaps(plans: dict[Way, WallPlan], way: Way) -> None:
    """Slabs as they lie add up to the wall less its openings, to a square millimetre."""
    filled = sum(ring_area(slab.ring) for slab in plans[way].slabs)

    assert filled == pytest.approx(6000 * 2600 - 1200 * 1200 - 1000 * 2050, abs=1)


@both
def test_slabs_are_cut_a_little_wider_than_the_bay(plans: dict[Way, WallPlan], way: Way) -> None:
    """So that they hold themselves; never wider than a slab is made."""
    for slab in plans[way].slabs:
        xs = [x for x, _ in slab.ring]
        assert max(xs) - min(xs) <= slab.width_mm <= 600


def test_two_layers_of_wool_each_fill_the_wall() -> None:
    """Behind the frame in courses with their joints shifted, between the members bay by bay."""
    layers = (
        InsulationLayer(item="wool-40", place=InsulationPlace.BEHIND),
        InsulationLayer(item="wool-75", place=InsulationPlace.BETWEEN),
    )
    some = plan(wall(lining=lining(FREE, insulation=layers)))

    for layer in (1, 2):
        area = sum(ring_area(s.ring) for s in some.slabs if s.layer == layer)
        assert area == pytest.approx(6000 * 2600, abs=1)
    assert some.build_up.frame_back_mm >= 40


@both
def test_the_vapour_control_layer_covers_the_wall_with_laps(plans: dict[Way, WallPlan], way: Way) -> None:
    """Strips of 2 m lapped by 100, each lap taped, all edges sealed: a hole of a millimetre counts."""
    some = plans[way]
    wanted = (
        shapely.box(0, 0, 6000, 2600) - shapely.box(1500, 900, 2700, 2100) - shapely.box(4200, 0, 5200, 2050)
    )
    strips = [shapely.Polygon(strip.ring, strip.holes) for strip in some.membrane]

    assert shapely.union_all(strips).symmetric_difference(wanted).area < 1
    doubled = sum(strip.area for strip in strips) - wanted.area
    laps = runs_of(some, RunKind.MEMBRANE_LAP)
    assert doubled == pytest.approx(100 * sum(run.length_mm for run in laps), rel=1e-6)
    sealed = sum(run.length_mm for run in runs_of(some, RunKind.MEMBRANE_SEAL))
    assert sealed == 2 * (6000 + 2600) + 4 * 1200 + 2 * 2050
    assert all(run.item == item(ConsumableUse.MEMBRANE_TAPE) for run in laps)


def test_a_backing_plate_spans_from_member_to_member_behind_a_hung_load() -> None:
    """Wherever its fixings are there is steel or a plate behind the board."""
    some = plan(wall(loads=(load(1700, 1400, 900),)))
    plates = sorted(bars_of(some, Role.BACKING), key=lambda bar: bar.ax_mm)

    faces = [(m.x_mm - m.face_mm / 2, m.x_mm + m.face_mm / 2) for m in standing_at(some, 1400)]
    covered = sorted([*faces, *((bar.ax_mm, bar.bx_mm) for bar in plates)])
    at = 1700.0
    for a, b in covered:
        if a <= at:
            at = max(at, b)
    assert at >= 2600
    assert {bar.ay_mm for bar in plates} == {1400}
    for bar in plates:
        assert bar.ax_mm in {right for _, right in faces}
        assert bar.bx_mm in {left for left, _ in faces}


def test_a_radiator_is_backed_near_its_top() -> None:
    """It hangs on the lining by its upper edge."""
    some = plan(wall(obstacles=(obstacle(ObstacleKind.RADIATOR, 2000, 150, 1000, 600),)))

    assert bars_of(some, Role.BACKING)
    assert all(150 < bar.ay_mm <= 750 for bar in bars_of(some, Role.BACKING))
