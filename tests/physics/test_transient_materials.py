"""Material functions: what the figures mean, and figures that contradict each other."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.physics.walls_wet import material

from innerleaf.errors import FileFaults, InputError
from innerleaf.physics.hygro import porous, sheet, tabulated
from innerleaf.practice.moisture import load_moisture, read_moisture

BRICK = {
    "density": 1700.0, "heat": 850.0, "conductivity": 0.6, "conductivity_rise": 0.0035,
    "mu_dry": 10.0, "mu_wet": 8.0,
    "water_80": 8.0, "water_free": 200.0, "water_most": 370.0, "absorption": 0.2,
}  # fmt: skip


def test_the_given_points_lie_on_the_curves() -> None:
    brick = porous("brick", **BRICK)

    assert brick.water(0.8) == pytest.approx(8.0, rel=2e-4)
    assert brick.water(1 - 1e-4) == pytest.approx(200.0, rel=0.02)
    assert brick.water(1.0) == pytest.approx(370.0, rel=0.05)
    assert brick.at([0.26, 0.72])[:, 3] == pytest.approx([1 / 10, 1 / 8], rel=1e-3)
    assert brick.at(0.8)[4] == pytest.approx(0.6 + 8 * 0.0035, rel=1e-5)
    assert brick.humidity_at(100.0) == pytest.approx(brick.humidity_at(brick.water(brick.humidity_at(100.0))))
    assert brick.water(brick.humidity_at([5.0, 100.0, 250.0])) == pytest.approx([5.0, 100.0, 250.0], rel=2e-3)


@pytest.mark.parametrize("name", load_moisture())
def test_every_material_of_the_package_makes_curves(name: str) -> None:
    """Water and liquid rise with humidity at every point of the tables, not only at their nodes."""
    ours = material(name)
    phi = np.exp(-np.exp(np.linspace(2, -17, 5000)))
    functions = ours.at(phi)

    assert np.all(np.diff(functions[:, 0]) > -1e-9)
    assert np.all(np.diff(functions[:, 1]) >= -1e-15)
    assert np.all(functions[:, 3:] > 0)
    assert "memory" in load_moisture()[name].source


def test_suction_draws_what_the_absorption_coefficient_says() -> None:
    """Water at the face of a dry, long brick rises with √t. Künzel's diffusivity gives A to about a tenth."""
    from innerleaf.physics.hygro_grid import WetLayer
    from innerleaf.physics.transient import exposure, run

    brick = porous("brick", **BRICK)
    inner = (*0.0005 * np.arange(1, 41), *np.geomspace(0.0206, 0.39, 80))
    rain = exposure(
        outside=20.0, outside_humidity=1.0, outside_heat=1e6, outside_vapour=0.0, rain=0.02,
        inside=20.0, inside_humidity=0.5, inside_vapour=0.0,
    )  # fmt: skip
    soak = run(
        [WetLayer(material=brick, thickness=0.4, x=inner)],
        rain,
        hours=4,
        start_humidity=0.5,
        start_temperature=20.0,
        every=1,
        parts=30,
    )
    gained = soak.layer_water()[1:, 0] - soak.layer_water()[0, 0]

    assert gained / np.sqrt(3600 * np.arange(1, 5)) == pytest.approx(0.2, rel=0.15)


def test_a_variable_sheet_has_its_resistances() -> None:
    film = sheet("film", sd=((0.3, 10.0), (0.9, 0.2)), thickness=0.001, conductivity=0.2)

    assert 0.001 / film.at([0.1, 0.3, 0.6, 0.9, 0.99])[:, 3] == pytest.approx(
        [10, 10, 5.1, 0.2, 0.2], rel=0.01
    )


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"conductivity": 0.0}, "brick, conductivity: given 0.0, accepted: above 0 W/(m·K)"),
        ({"density": -1.0}, "brick, density: given -1.0"),
        ({"mu_dry": 0.5}, "vapour resistance factor dry: given 0.5, accepted: 1 (still air) or more"),
        ({"mu_wet": float("nan")}, "vapour resistance factor wet: given nan"),
        ({"water_80": 180.0}, "water at free saturation: given 200.0, accepted: more than 225 kg/m³"),
        (
            {"water_most": 150.0},
            "all pores full: given 150.0, accepted: more than the 200 of free saturation",
        ),
        ({"absorption": -0.1}, "water absorption: given -0.1"),
        ({"conductivity_rise": -0.1}, "rise of conductivity: given -0.1"),
    ],
)
def test_figures_no_material_has(changes: dict[str, float], words: str) -> None:
    with pytest.raises(InputError) as error:
        porous("brick", **(BRICK | changes))

    assert words in str(error.value)


def test_sheets_that_cannot_be() -> None:
    with pytest.raises(InputError, match=r"film, sd: given 0.01, accepted: at least its thickness of 0.02 m"):
        sheet("film", sd=0.01, thickness=0.02, conductivity=0.2)
    with pytest.raises(InputError, match=r"film, humidities of sd: given .*, accepted: 0 to 1, rising"):
        sheet("film", sd=((0.9, 1.0), (0.3, 5.0)), thickness=0.001, conductivity=0.2)
    with pytest.raises(InputError, match=r"film, sd: given"):
        sheet("film", sd=(), thickness=0.001, conductivity=0.2)


def test_functions_that_turn_are_refused() -> None:
    flat = {"liquid": np.zeros_like, "vapour": np.ones_like, "conductivity": np.ones_like}
    with pytest.raises(InputError, match=r"odd, water content: given 'a curve that turns'"):
        tabulated("odd", heat_capacity=1e6, water=lambda h: 100 * h, **flat)
    with pytest.raises(InputError, match=r"odd, vapour permeability: given 0"):
        tabulated("odd", heat_capacity=1e6, water=lambda h: np.exp(-h), **(flat | {"vapour": np.zeros_like}))


def test_water_beyond_the_pores_is_refused() -> None:
    with pytest.raises(InputError, match=r"brick, water content: given 500.0, accepted: .* to 363.2 kg/m³"):
        porous("brick", **BRICK).humidity_at(500.0)


def test_faults_of_a_file_come_together_with_their_lines(tmp_path: Path) -> None:
    path = tmp_path / "own.yaml"
    path.write_text(
        "moisture:\n  mud:\n    density_kg_m3: 0\n    colour: brown\n    source: own test\n", encoding="utf-8"
    )
    with pytest.raises(FileFaults) as error:
        read_moisture(path)

    assert f"{path}:3:5: mud, density_kg_m3: given 0, accepted: above 0." in error.value.faults
    assert any("mud, colour: given 'colour'" in fault and ":4:" in fault for fault in error.value.faults)
    assert any(
        "mu_dry: given None, accepted: a value; it is missing" in fault for fault in error.value.faults
    )
    path.write_text("materials: 3\n", encoding="utf-8")
    with pytest.raises(FileFaults, match=r"the section moisture"):
        read_moisture(path)
