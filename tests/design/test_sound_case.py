"""A wall of a plan as sound sees it: masses and depths that can be added up by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.layout.plain import PRACTICE, lining, wall

from innerleaf.design.sound.case import SoundCase, sound_case
from innerleaf.errors import InputError
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.wall import ExistingLayer, InsulationLayer, InsulationPlace, Way

BRICK = (
    ExistingLayer(material="lime-render", thickness_mm=20),
    ExistingLayer(material="brick-1800", thickness_mm=240),
)
SPLIT = (
    ExistingLayer(material="brick-1800", thickness_mm=115),
    ExistingLayer(material="mineral-wool", thickness_mm=60),
    ExistingLayer(material="brick-1600", thickness_mm=175),
)


def case(way: Way = Way.STUD_AND_TRACK, construction: tuple[ExistingLayer, ...] = BRICK) -> SoundCase:
    return sound_case(plan_wall(wall(way=way, construction=construction), PRACTICE), PRACTICE)


def test_masses_by_hand() -> None:
    """0.020·1600 + 0.240·1800 = 464 kg/m²; two boards of 12.5 mm."""
    found = case()

    assert found.wall_mass == pytest.approx(464)
    assert found.boards_mass == 2 * PRACTICE.boards["board-A-12.5"].mass_kg_m2


def test_the_cavity_reaches_from_the_old_wall_to_the_boards() -> None:
    """20 mm clear and a stud of 75, 50 mm of it wool."""
    found = case()

    assert found.cavity == pytest.approx(0.095)
    assert found.fill == pytest.approx(0.050)
    assert found.fill_density == PRACTICE.insulation["wool-50"].density_kg_m3
    assert not found.rigid
    assert found.spacing == pytest.approx(0.6)


def test_brackets_fix_the_frame_to_the_wall() -> None:
    found = case(Way.BRACKETED)

    assert found.rigid
    assert "the frame is fixed to the wall" in found.estimate(55, 6e3).does_not_hold[0]


def test_an_empty_cavity_has_no_absorber() -> None:
    bare = wall(construction=BRICK, lining=lining(insulation=()))
    found = sound_case(plan_wall(bare, PRACTICE), PRACTICE)

    assert found.fill == 0
    assert any("no absorber" in reason for reason in found.estimate(55, 6e3).does_not_hold)


def test_soft_layers_of_the_old_wall_do_not_count() -> None:
    found = case(construction=SPLIT)

    assert [layer.material for layer in found.wall] == ["brick-1800", "brick-1600"]


def test_a_wall_that_is_not_described_is_refused() -> None:
    with pytest.raises(InputError, match=r"construction: .*one of them solid"):
        case(construction=())
    with pytest.raises(InputError, match=r"construction"):
        case(construction=SPLIT[1:2])


def test_foam_that_carries_a_board_does_not_count_as_absorber() -> None:
    foam = next(item.id for item in PRACTICE.insulation.values() if item.carries_board)
    behind = InsulationLayer(item=foam, place=InsulationPlace.BEHIND)
    planned = plan_wall(wall(construction=BRICK), PRACTICE)
    with_foam = replace(
        planned, wall=replace(planned.wall, lining=replace(planned.wall.lining, insulation=(behind,)))
    )

    assert sound_case(with_foam, PRACTICE).fill == 0
