"""What cannot be solved is refused with words that say what was given and what is accepted."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.physics.sections import ANY, box, inside_outside, plane, stud_wall, surrounding

from innerleaf.errors import InputError
from innerleaf.physics.bridges import bridge_of_boxes, temperature_factor, u_value
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_answer import Interval
from innerleaf.physics.section import Box, Region, Section, Surrounding

WALL = box("brick", (0, 100), (0, 200))
ROUND = inside_outside(1, 200, 0)


def made(**changes: object) -> Section:
    parts: dict[str, object] = {"conductivities": {"brick": 0.8}, "boxes": (WALL,), "surroundings": ROUND}
    return Section(**{**parts, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize("conductivity", [0.0, -1.0, float("nan"), float("inf")])
def test_conductivity(conductivity: float) -> None:
    with pytest.raises(InputError, match=r"material brick, conductivity.*above 0 W/\(m·K\)"):
        made(conductivities={"brick": conductivity})


@pytest.mark.parametrize("ends", [(100, 100), (100, 50), (0, float("nan")), (0, ANY)])
def test_thickness(ends: tuple[float, float]) -> None:
    with pytest.raises(InputError, match="box"):
        box("brick", ends, (0, 200))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"boxes": (box("stone", (0, 1), (0, 1)),)}, "material: given 'stone', accepted: brick"),
        ({"boxes": ()}, "at least one box of a material"),
        ({"boxes": (box(None, (0, 1), (0, 1)),)}, "at least one box of a material"),
        ({"boxes": (WALL, box("brick", (0, 1), (0, 1), (0, 1)))}, "2 numbers each"),
        ({"surroundings": ()}, "at least two with different temperatures"),
        ({"surroundings": ROUND[:1]}, "at least two with different temperatures"),
        ({"surroundings": (ROUND[0], replace(ROUND[0], temperature=5.0))}, "each name once"),
        ({"surroundings": (ROUND[0], surrounding("out", 0, 0.04, plane(1, 0, 3)))}, "2 numbers each"),
    ],
)
def test_section(changes: dict[str, object], words: str) -> None:
    with pytest.raises(InputError, match=words):
        made(**changes)


def test_surrounding_that_touches_nothing() -> None:
    section = made(surroundings=(ROUND[0], surrounding("outside", 0, 0.04, plane(1, 50))))
    with pytest.raises(InputError, match=r"surrounding outside, regions.*part of the surface"):
        solve(section)


def test_piece_that_floats() -> None:
    """A block that touches no surrounding has no temperature of its own."""
    section = made(boxes=(WALL, box("brick", (300, 400), (50, 100))))
    with pytest.raises(InputError, match="none that touches the piece around"):
        solve(section)


def test_point_in_the_air() -> None:
    with pytest.raises(InputError, match="a place inside the section"):
        solve(made()).temperature_at((0.5, 0.5))


@pytest.mark.parametrize("accuracy", [0.0, -1.0, float("nan")])
def test_accuracy(accuracy: float) -> None:
    with pytest.raises(InputError, match="accuracy"):
        solve(made(), accuracy=accuracy)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: surrounding("air", float("nan"), 0.13, plane(0, 0)),
        lambda: surrounding("air", 20, -0.1, plane(0, 0)),
        lambda: surrounding("air", 20, ANY, plane(0, 0)),
        lambda: Surrounding(name="air", temperature=20, surface_resistance=0.13, regions=()),
        lambda: Region(low=(1.0, 0.0), high=(0.0, 0.0)),
        lambda: Region(low=(0.0,), high=(1.0,)),
        lambda: Region(low=(0.0, 0.0), high=(1.0, 1.0), facing=("+z",)),
        lambda: Box(material="brick", low=(0.0,), high=(1.0,)),
        lambda: stud_wall().without(["bracket"]),
        lambda: u_value(Interval(1, 1), 0),
        lambda: temperature_factor(10, 5, 5),
        lambda: solve(made()).coupling(["inside"], ["inside"]),
        lambda: solve(made()).coupling(["inside"], ["cellar", "outside"]),
        lambda: solve(made()).flow("cellar"),
        lambda: solve(made()).mutual_coupling("inside", "inside"),
        lambda: solve(made(), points=[(5.0, 5.0)]),
        lambda: bridge_of_boxes(solve(made()), ["stud"], ["inside"], ["outside"]),
    ],
)
def test_other_nonsense(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match="accepted"):
        wrong()
