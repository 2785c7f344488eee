"""Laws of the transient solver: closed forms, balances, convergence, mirrored and sliced walls."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import erf, sqrt
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.physics.walls_wet import invented_year, lined_wall, material

from innerleaf.errors import InputError
from innerleaf.physics.hygro import sheet, tabulated
from innerleaf.physics.hygro_grid import WetLayer, build_grid
from innerleaf.physics.moist_air import saturation_pressure
from innerleaf.physics.transient import TransientRun, contents, exposure, kernel_arrays, run, saturation_table
from innerleaf.physics.transient_kernel import AIR_PERMEABILITY, Model, Scratch, State, newton_pass

Values = NDArray[np.float64]

YEAR = 8760
MILD: dict[str, Any] = {"outside": 5.0, "outside_humidity": 0.8, "inside": 20.0, "inside_humidity": 0.5}

STONE = tabulated(
    "stone",
    heat_capacity=2e6,
    water=lambda h: 1e-3 * np.exp(-h),
    liquid=np.zeros_like,
    vapour=lambda h: np.full_like(h, 1e-6),
    conductivity=lambda h: np.full_like(h, 1.5),
)


# thermal-step values: λ 1.5, ρc 2e6, 20 to 0 °C; T = 20 erf(x / 2√(at)), evaluated apart
@pytest.mark.parametrize(
    ("x", "hours", "published"), [(0.05, 1, 10.0752), (0.1, 6, 8.4297), (0.2, 24, 8.4297), (0.5, 168, 8.0077)]
)
def test_temperature_step(x: float, hours: int, published: float) -> None:
    """A step of the face: within 0.2 K in the very hour, 0.01 K afterwards."""
    assert published == pytest.approx(20 * erf(x / (2 * sqrt(0.75e-6 * 3600 * hours))), abs=1e-4)
    inner = (*0.005 * np.arange(1, 61), *np.geomspace(0.31, 18, 40))
    climate = exposure(
        outside=0.0, outside_humidity=0.5, outside_heat=1e8, outside_vapour=0.0,
        inside=20.0, inside_humidity=0.5, inside_heat=0.1, inside_vapour=0.0,
    )  # fmt: skip
    ours = run(
        [WetLayer(material=STONE, thickness=20.0, x=inner)],
        climate,
        hours=hours,
        start_humidity=0.5,
        start_temperature=20.0,
        every=1,
    )

    assert ours.temperature_at([x])[hours, 0] == pytest.approx(published, abs=0.2 if hours == 1 else 0.01)
    assert abs(ours.balance.heat_error) < 1e-12


def test_steady_vapour_and_heat_are_the_layered_formulas() -> None:
    """At rest, without liquid: sd and R in series, pressures and temperatures at every interface."""

    def plain(name: str, mu: float, lam: float) -> WetLayer:
        return WetLayer(
            material=tabulated(
                name,
                heat_capacity=1e4,
                water=lambda h: 1e-4 * np.exp(-h),
                liquid=np.zeros_like,
                vapour=lambda h: np.full_like(h, 1 / mu),
                conductivity=lambda h: np.full_like(h, lam),
            ),
            thickness=0.1,
        )

    layers = [plain("a", 10, 0.8), plain("b", 1.5, 0.04), plain("c", 40, 0.2)]
    climate = exposure(
        outside=5.0,
        outside_humidity=0.8,
        outside_heat=25.0,
        inside=20.0,
        inside_humidity=0.4,
        inside_heat=8.0,
    )
    end = run(layers, climate, hours=500, start_temperature=10.0, every=500)
    at = end.grid.first
    r = np.cumsum([1 / 25, 0.1 / 0.8, 0.1 / 0.04, 0.1 / 0.2, 1 / 8])
    temperature = 5 + 15 * r[:4] / r[4]
    z = np.cumsum([1 / (25 * 7e-9), *(0.1 * np.array([10, 1.5, 40]) / AIR_PERMEABILITY), 1 / (8 * 7e-9)])
    p_out, p_in = 0.8 * saturation_pressure(5.0), 0.4 * saturation_pressure(20.0)

    # the latent heat of the little vapour that passes warms by less than 0.02 K
    assert end.temperature[-1, at] == pytest.approx(temperature, abs=0.02)
    pressure = end.humidity[-1, at] * saturation_pressure(end.temperature[-1, at])
    assert pressure == pytest.approx(p_out + (p_in - p_out) * z[:4] / z[4], rel=1e-6)


def test_water_and_heat_are_neither_made_nor_lost() -> None:
    balance = run(lined_wall(), invented_year(), hours=YEAR).balance

    assert balance.rain > 50
    assert abs(balance.water_error) < 1e-9
    assert abs(balance.heat_error) < 1e-9
    assert balance.rejected_steps < 0.3 * YEAR


def test_jacobian_is_the_derivative_of_the_residual() -> None:
    """Full Newton: from a small error, one step leaves an error of its square."""
    grid = build_grid(lined_wall(), 40)
    rng = np.random.default_rng(5)
    count = len(grid.x)
    y = np.interp(np.arange(count), [0, count / 2, count], [-3.0, -1.5, -0.6])
    t = np.linspace(2, 18, count)
    elements, of, tables, saturation = kernel_arrays(grid)
    model = Model(np.array([7.7, 5e-8]), elements, of, tables, -17.0, 16.0, saturation)
    hour = np.array([3.0, 700.0, 25.0, 2e-7, 1e-5, 3.0, 20.0, 1200.0])
    g = 600.0

    def error_after_one(size: float, direction: Values) -> float:
        """Distance from the solution after one step that begins ``size`` away from it."""
        water, heat = contents(grid, y, t)
        state = State(y.copy(), t.copy(), water, heat)
        scratch = Scratch(np.zeros((count, 11)), np.zeros(14), np.zeros((6, count)))
        for _ in range(12):  # the solution itself
            newton_pass(state, g, hour, model, scratch)
            state.y[:] += np.clip(scratch.work[:, 9], -1, 1)
            state.t[:] += scratch.work[:, 10]
        away = State(state.y + size * direction[0], state.t + size * direction[1], water, heat)
        newton_pass(away, g, hour, model, scratch)
        return float(
            np.abs(away.y + scratch.work[:, 9] - state.y).max()
            + np.abs(away.t + scratch.work[:, 10] - state.t).max()
        )

    direction = rng.uniform(-1, 1, (2, count))
    coarse, fine = error_after_one(1e-2, direction), error_after_one(1e-3, direction)

    assert fine < 2e-2 * coarse


def total_error(**changes: int | float) -> float:
    """Largest error of the total water over 60 rainy days, against a fine run. [-]"""
    layers, climate = lined_wall(), invented_year(3)
    fine = run(layers, climate, hours=1440, start_hour=6500, cells=280, parts=8).layer_water().sum(axis=1)
    coarse = run(layers, climate, hours=1440, start_hour=6500, **changes).layer_water().sum(axis=1)  # type: ignore[arg-type]
    return float(np.abs(coarse / fine - 1).max())


def test_hourly_steps_and_seventy_cells_are_enough() -> None:
    """Space 0.5 % and time 0.3 % are asked for; both together stay within 0.5 %."""
    assert total_error() < 5e-3


def test_second_order_in_time() -> None:
    """Steady climate, no step cut: a quarter of the step has at most a tenth of the error."""
    climate = exposure(outside=5.0, outside_humidity=0.6, inside=20.0, inside_humidity=0.5)

    def end(parts: int) -> Values:
        end = run(lined_wall(), climate, hours=48, parts=parts, every=48, cells=30, step_error=1e9)
        return np.asarray(end.temperature[-1])

    best = end(64)

    assert np.abs(end(4) - best).max() < 0.1 * np.abs(end(1) - best).max()


def test_a_mirrored_wall_is_mirrored() -> None:
    """Swap the faces and the climates: the same profiles, from the other end."""
    layers = [
        WetLayer(material=material(name), thickness=0.1) for name in ("brick-1600", "aac-500", "brick-1600")
    ]
    uneven = [*layers[:2], replace(layers[2], thickness=0.05)]
    kwargs = {"outside_heat": 8.0, "inside_heat": 8.0}
    there = run(
        uneven,
        exposure(outside=0.0, outside_humidity=0.8, inside=20.0, inside_humidity=0.5, **kwargs),
        hours=480,
    )
    back = run(
        uneven[::-1],
        exposure(outside=20.0, outside_humidity=0.5, inside=0.0, inside_humidity=0.8, **kwargs),
        hours=480,
    )

    # the grids differ (most cells outside), so the profiles agree to what a grid is good for
    places = np.linspace(0, 0.25, 26)
    assert back.temperature_at(0.25 - places)[-1] == pytest.approx(there.temperature_at(places)[-1], abs=0.02)
    assert back.layer_water()[-1][::-1] == pytest.approx(there.layer_water()[-1], rel=2e-3)


def test_a_sliced_layer_is_the_same_layer() -> None:
    """Two layers of one material in perfect contact, on the same nodes, give the same numbers."""
    nodes = 0.005 * np.arange(1, 40)
    brick = material("brick-1600")
    whole = [WetLayer(material=brick, thickness=0.2, x=tuple(nodes))]
    sliced = [
        WetLayer(material=brick, thickness=0.08, x=tuple(nodes[:15])),
        WetLayer(material=brick, thickness=0.12, x=tuple(nodes[16:] - 0.08)),
    ]
    one, two = (run(layers, invented_year(), hours=300) for layers in (whole, sliced))

    assert two.temperature[-1] == pytest.approx(one.temperature[-1], abs=1e-9)
    assert two.layer_water().sum(axis=1) == pytest.approx(one.layer_water().sum(axis=1), rel=1e-9)


def test_starts_where_it_is_told_and_repeats_the_climate() -> None:
    climate = invented_year()
    whole = run(lined_wall(), climate, hours=200, start_hour=8700, watch=(0, -1))

    assert whole.seen.shape == (200, 2, 2)
    assert len(whole.y) == 200 // 24 + 1
    assert whole.humidity[0] == pytest.approx(0.8)


def test_nothing_happens_in_balance() -> None:
    """The same temperature and humidity on both sides and in the pores."""
    still = exposure(outside=15.0, outside_humidity=0.7, inside=15.0, inside_humidity=0.7)
    end = run(lined_wall(), still, hours=240, start_humidity=0.7, start_temperature=15.0)

    assert end.temperature == pytest.approx(15.0, abs=1e-4)
    assert end.humidity == pytest.approx(0.7, abs=1e-4)


def test_condensation_in_wool_is_followed() -> None:
    """A tight outer face, no retarder, winter: wool holds more than its fibres, no step fails."""
    cold = exposure(outside=-5.0, outside_humidity=0.9, inside=22.0, inside_humidity=0.65)
    tight = WetLayer(
        material=sheet("steel", sd=1500.0, thickness=0.001, conductivity=50.0), thickness=0.001, whole=True
    )
    end = run([tight, *lined_wall(None)[3:]], cold, hours=24 * 30)

    assert end.layer_water()[-1, 1] > 2.0
    assert end.balance.rejected_steps < 10
    assert abs(end.balance.water_error) < 1e-9


@pytest.mark.parametrize("sheets_outside", [True, False])
def test_dew_and_rain_on_a_bare_sheet_run_off(sheets_outside: bool) -> None:
    """A coat of paint or a foil as the face can hold some drops only; the solver still finds its way."""
    film = WetLayer(
        material=sheet("coat", sd=5.0, thickness=0.0005, conductivity=0.2), thickness=0.0005, whole=True
    )
    board = WetLayer(material=material("timber-500"), thickness=0.05)
    wet = exposure(**(MILD | {"outside_humidity": 1.0, "inside_humidity": 0.95}), radiation=-60.0, rain=1e-4)
    end = run([film, film, board] if sheets_outside else [board, film], wet, hours=24 * 20)

    assert end.layer_water().max() < 60
    assert end.balance.rejected_steps < 100
    assert abs(end.balance.water_error) < 1e-9


def test_a_retarder_that_opens_dries_better_than_a_tight_one() -> None:
    climate = invented_year(2, rain=0.0)
    wet = [0.8, 0.999, 0.9, 0.8, 0.8, 0.6]
    smart = run(lined_wall(), climate, hours=YEAR, start_humidity=wet)
    tight = run(lined_wall(100.0), climate, hours=YEAR, start_humidity=wet)

    assert smart.balance.inside_vapour < tight.balance.inside_vapour
    assert smart.layer_water()[-1].sum() < tight.layer_water()[-1].sum()


def test_saturation_table_is_the_formula() -> None:
    t = np.linspace(-59.9, 119.9, 3001)
    at = (t + 60) * 2
    table = saturation_table()
    k = at.astype(int)
    s = (at - k)[:, None]
    ours = (table[k] * s ** np.arange(4)).sum(axis=1)

    assert ours == pytest.approx(saturation_pressure(t), rel=1e-6)


Change = Callable[[], object]


def an_hour(**changes: Any) -> TransientRun:
    return run(lined_wall(), invented_year(), **({"hours": 1} | changes))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda: exposure(outside=[1.0, 2.0], outside_humidity=[0.5] * 3, inside=20.0, inside_humidity=0.5),
         "accepted: as many hours of each"),
        (lambda: exposure(**(MILD | {"outside_humidity": 80.0})),
         "outside humidity: given 80.0, accepted: 0 to 1"),
        (lambda: exposure(**(MILD | {"outside": float("nan")})),
         "outside temperature: given nan, accepted: -60 to 60 °C"),
        (lambda: exposure(**MILD, rain=-1.0),
         "rain: given -1.0, accepted: 0 to 0.1"),
        (lambda: exposure(**MILD, inside_vapour=-1.0),
         "inside vapour transfer: given -1.0"),
        (lambda: run([], invented_year(), hours=1), "layers: given [], accepted: at least one layer"),
        (lambda: an_hour(hours=0), "hours: given 0"),
        (lambda: an_hour(cells=2), "cells: given 2, accepted: at least 10"),
        (lambda: an_hour(watch=(999,)), "watched nodes: given [999]"),
        (lambda: an_hour(start_humidity=1.2), "start humidity: given 1.2"),
        (lambda: an_hour(start_humidity=[0.5, 0.6]), "one for each of 6 layers"),
        (lambda: WetLayer(material=STONE, thickness=0.0), "stone, thickness: given 0.0, accepted: above 0 m"),
        (lambda: WetLayer(material=STONE, thickness=0.1, x=(0.2,)), "stone, nodes: given (0.2,)"),
        (lambda: WetLayer(material=STONE, thickness=365.0), "stone, thickness: given 365.0, accepted: at"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said(change: Change, words: str) -> None:
    with pytest.raises(InputError) as error:
        change()

    assert words in str(error.value)
