"""What a wall loses as set out: niches, roofs, columns, brackets by projection, covers; remedies."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.design.test_performance import CLIMATE, PRACTICE, outer_wall
from tests.layout.plain import obstacle, window

from innerleaf.design.buildup import depth_of, insulation_layer, thinned, transmittance
from innerleaf.design.heat.assess import RSE, RSI, assess, bracket_extra, warm_side
from innerleaf.design.heat.details import ROOM, Bridge, Detail
from innerleaf.design.heat.edges import REVEAL, edges_of
from innerleaf.design.heat.verdicts import FRSI
from innerleaf.design.heat.wall import Heat, bracket_class, heat_of, steel_of
from innerleaf.design.performance import performance_of
from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.wall import (
    FlankInsulation,
    Meets,
    ObstacleKind,
    OffsetGrid,
    OpeningKind,
    Wall,
    Way,
)

FOAM = FlankInsulation(item="foam-30", thickness_mm=30, width_mm=500)
# A bowed wall: its face 18 mm nearer at the left than at the right.
BOWED = OffsetGrid(xs_mm=(0, 6000), ys_mm=(0, 2700), offsets_mm=((18, 0), (18, 0)))


def planned(way: Way = Way.BRACKETED, **changes: Any) -> WallPlan:
    wall: Wall = replace(outer_wall(way), openings=(), obstacles=(), boxes=(), loads=())
    return plan_wall(replace(wall, **changes), PRACTICE)


def lost(heat: Heat, what: str) -> tuple[float, float]:
    """(quantity, W/K lined) of all lines so called."""
    lines = [loss for loss in heat.losses if loss.what.startswith(what)]
    return sum(loss.quantity for loss in lines), sum(loss.after for loss in lines)


def test_brackets_are_counted_by_class_of_projection() -> None:
    """Every bracket once, in classes of the rule's width; each chi is that of a direct solve there."""
    plan = planned(offsets=BOWED)
    heat = heat_of(plan, PRACTICE)
    lines = [loss for loss in heat.losses if loss.what.startswith("bracket")]
    wide = PRACTICE.rules.bracket_class_mm

    assert len(lines) > 2
    assert sum(loss.quantity for loss in lines) == len(plan.brackets)
    for loss in lines:
        _, _, at, _, name = loss.what.strip(")").replace("(", "").split()
        placed = [b for b in plan.brackets if abs(b.projection_mm - int(at)) <= wide / 2 and b.item == name]
        assert loss.quantity == len(placed)
        item = PRACTICE.brackets[placed[0].item]
        bridge = Bridge(
            item.strap_mm / 1000, item.sheet_mm / 1000, item.anchor_mm / 1000, item.anchor_depth_mm / 1000
        )
        rise = PRACTICE.rules.bracket_spacing_max_mm / 1000
        direct = bracket_extra(
            depth_of(plan, PRACTICE, int(at)),
            steel_of(plan, PRACTICE),
            bridge,
            plan.grids[0].spacing_mm / 1000,
            rise,
        )
        assert loss.coefficient == direct.chi
    assert any("classes of 5 mm" in note for note in heat.notes)


def test_a_flat_wall_has_one_class_at_its_true_projection() -> None:
    plan = planned()
    (line,) = (loss for loss in heat_of(plan, PRACTICE).losses if loss.what.startswith("bracket"))

    assert line.what.startswith(f"bracket at {plan.brackets[0].projection_mm} mm (")


@pytest.mark.parametrize(("projection", "middle"), [(1, 5), (62, 60), (63, 65), (67.5, 70), (60, 60)])
def test_classes_are_round(projection: float, middle: int) -> None:
    assert bracket_class(projection, 5) == middle


def test_a_bump_squeezes_the_wool_before_it() -> None:
    """60 mm of wool in 48 mm of room is 48 mm of wool; the wall elsewhere is as it was."""
    plan = planned()
    nominal, squeezed = depth_of(plan, PRACTICE), depth_of(plan, PRACTICE, 48)

    assert squeezed.frame_start - squeezed.old_thickness == pytest.approx(0.048)
    assert sum(layer.thickness for layer in squeezed.behind) == pytest.approx(0.048)
    assert depth_of(plan, PRACTICE, plan.build_up.frame_back_mm) == nominal


def test_the_sum_of_losses_is_area_times_effective_u() -> None:
    """With everything that can be counted on one wall."""
    heat = heat_of(crowded(), PRACTICE)

    assert sum(loss.after for loss in heat.losses) == pytest.approx(heat.area_m2 * heat.u_effective)
    assert heat.after < heat.before


def crowded() -> WallPlan:
    """A niche, a window with insulated reveals, a column, a roof overhead, insulated flanks."""
    niche = window(600, width=800, height=900, kind=OpeningKind.NICHE, id="N2", reveal_mm=120)
    opening = window(2000, reveal_insulation="foam-30", reveal_insulation_mm=30)
    return planned(
        openings=(niche, opening),
        obstacles=(obstacle(ObstacleKind.COLUMN, 4200, 0, 300, 2700),),
        meets=(Meets.SCREED, Meets.PARTITION, Meets.ROOF, Meets.MASONRY),
        flank=FOAM,
    )


def test_everything_on_a_crowded_wall_is_counted() -> None:
    """Lengths by hand: 800 x 900 niche, 1200 x 1200 window, both sides of the column, 6 m of roof."""
    plan = crowded()
    heat = heat_of(plan, PRACTICE)
    wall = plan.wall
    thin = thinned(depth_of(plan, PRACTICE).old, 0.12)

    assert lost(heat, "back of a niche")[0] == pytest.approx(0.72)
    (back,) = (loss for loss in heat.losses if loss.what == "back of a niche")
    assert back.coefficient_before == pytest.approx(transmittance(thin, RSI, RSE))
    assert lost(heat, "lined niche")[0] == pytest.approx(3.4)
    assert lost(heat, "insulated reveal")[0] == pytest.approx(4.8)
    assert lost(heat, "edge at a column")[0] == pytest.approx(2 * wall.height_mm / 1000)
    assert lost(heat, "edge at a roof")[0] == pytest.approx(wall.length_mm / 1000)
    assert lost(heat, "edge at a side-wall, insulated flank")[0] == pytest.approx(wall.height_mm / 1000)
    assert lost(heat, "edge at a slab")[0] == pytest.approx(wall.length_mm / 1000)  # the floor stays bare
    assert not any("not assessed" in note for note in heat.notes)
    assert any("roof" in note for note in heat.notes)
    assert any("column" in note for note in heat.notes)


def test_insulating_reveals_and_flanks_saves_heat_and_warms_them() -> None:
    plain = [window(2000)]
    covered = [window(2000, reveal_insulation="foam-30", reveal_insulation_mm=30)]
    bare, warm = (heat_of(planned(openings=tuple(o)), PRACTICE) for o in (plain, covered))

    assert lost(warm, "insulated reveal")[1] < lost(bare, "lined reveal")[1]
    assert warm.after < bare.after
    by_title = {each.detail.title: each.frsi for each in (*bare.details, *warm.details)}
    assert by_title["insulated reveal"] > by_title["lined reveal"] + 0.1


def test_a_niche_deeper_than_the_wall_is_refused() -> None:
    niche = window(600, width=800, height=900, kind=OpeningKind.NICHE, reveal_mm=385)
    with pytest.raises(InputError, match="niche, depth"):
        heat_of(planned(openings=(niche,)), PRACTICE)


def remedy_of(plan: WallPlan) -> str:
    performance = performance_of(plan, PRACTICE, CLIMATE)
    (finding,) = (finding for finding in performance.findings if finding.code == "H103")
    return finding.remedy


def tried_on_reveal(plan: WallPlan, item: str) -> float:
    """fRsi of the plan's reveal with an insulation in it, solved here."""
    depth, steel = depth_of(plan, PRACTICE), steel_of(plan, PRACTICE)
    (edge,) = (edge for edge in edges_of(plan, PRACTICE, depth, steel) if edge.place == REVEAL)
    bought = PRACTICE.insulation[item]
    assert edge.covered
    return warm_side(edge.covered(insulation_layer(bought))).surface(ROOM).least


@pytest.mark.parametrize(("wanted", "named"), [(0.60, "foam-20"), (0.665, "foam-30"), (0.99, "")])
def test_the_remedy_names_the_thinnest_that_is_enough(wanted: float, named: str) -> None:
    """Or, where none is, the best and how far it falls short; the factors said are those solved."""
    targets = replace(outer_wall().targets, frsi=wanted)
    plan = planned(openings=(window(2000),), targets=targets)
    said = next(part for part in remedy_of(plan).split("; ") if part.startswith("lined reveal"))
    factors = {item: tried_on_reveal(plan, item) for item in ("foam-20", "foam-30", "foam-40")}

    if named:
        assert f"{named} in the reveal gives {factors[named]:.3f}" in said
        assert all(value < wanted for item, value in factors.items() if item < named)
        assert factors[named] >= wanted
    else:
        best = max(factors.values())
        assert f"gives {best:.3f}, {wanted - best:.3f} short" in said


def test_what_the_remedy_names_is_enough_when_it_is_built() -> None:
    """Put into the job, the same factor is found at the reveal."""
    targets = replace(outer_wall().targets, frsi=0.60)
    plan = planned(
        openings=(window(2000, reveal_insulation="foam-20", reveal_insulation_mm=20),), targets=targets
    )
    performance = performance_of(plan, PRACTICE, CLIMATE)
    assert performance.heat
    reveal = next(e for e in performance.heat.details if e.detail.title == "insulated reveal")

    assert reveal.frsi == pytest.approx(tried_on_reveal(plan, "foam-20"), abs=1e-9)
    assert reveal.frsi >= 0.60


def test_a_narrow_frame_leaves_no_room_for_insulation() -> None:
    """20 mm of frame less a board of 12.5: nothing fits."""
    targets = replace(outer_wall().targets, frsi=0.60)
    plan = planned(openings=(window(2000, frame_mm=20),), targets=targets)

    assert "leaves no room" in remedy_of(plan)


def test_floors_take_no_strip() -> None:
    targets = replace(outer_wall().targets, frsi=0.99)
    remedy = remedy_of(planned(targets=targets))

    assert "no strip of insulation goes at the floor" in remedy
    assert "on the flank over 500 mm" in remedy


def test_no_remedy_is_told_where_none_is_needed() -> None:
    targets = replace(outer_wall().targets, frsi=0.2)
    performance = performance_of(planned(targets=targets), PRACTICE, CLIMATE)

    assert performance.keep_warm == ""
    assert all(verdict.met for verdict in performance.verdicts if verdict.requirement == FRSI)


def test_details_are_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A second wall of the same layers asks for no solve."""
    plan = crowded()
    heat_of(plan, PRACTICE)

    def again(_detail: Detail, **_more: object) -> None:
        raise AssertionError("solved again")

    monkeypatch.setattr("innerleaf.design.heat.assess.solve", again)
    assert heat_of(replace(plan, wall=replace(plan.wall, id="W-02")), PRACTICE).details
    assert assess(member_detail(plan)).extra > 0


def member_detail(plan: WallPlan) -> Detail:
    return next(each.detail for each in heat_of(plan, PRACTICE).details if each.detail.title == "member")
