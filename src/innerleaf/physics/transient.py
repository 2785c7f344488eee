"""Heat and moisture through a wall over years of hourly climate, EN 15026.

Vapour by diffusion, liquid by suction, heat by conduction with water-dependent conductivity, latent
heat and the heat that moving water carries; rain, sun and sky on the outer face. One dimension. The
compiled inner loop lies in `transient_kernel.py`, which is loaded only when a wall is run.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError
from innerleaf.physics.hygro import PER_Y, Y_LOW, dryness, look_up, positive
from innerleaf.physics.hygro_grid import CELLS, HygroGrid, WetLayer, build_grid
from innerleaf.physics.moist_air import saturation_pressure, saturation_slope

Values = NDArray[np.float64]

VAPOUR_PER_HEAT: Final = 7e-9  # s/m per W/(m²·K): vapour by heat transfer of still air at a face; from memory
STEP_ERROR: Final = 0.05  # kg/m² of disagreement of the two stages above which a step is cut
TOLERANCE: Final = (
    0.07  # of y (of T ten times, in K) in the last Newton step, whose own error goes with its square
)
HOURS_OF_YEAR: Final = 8760


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Exposure:
    """What both faces of a wall meet, hour by hour, used again from its start when it ends.

    ``hours`` has a row per hour and the columns: outside temperature with sun and sky in it [°C],
    vapour pressure [Pa], heat transfer [W/(m²·K)], vapour transfer [s/m], rain [kg/(m²·s)], its
    temperature [°C]; room temperature [°C] and vapour pressure [Pa].
    """

    hours: Values
    inside_heat: float  # transfer coefficient at the room side [W/(m²·K)]
    inside_vapour: float  # [s/m]


def exposure(
    *,
    outside: ArrayLike,
    outside_humidity: ArrayLike,
    inside: ArrayLike,
    inside_humidity: ArrayLike,
    outside_heat: ArrayLike = 25.0,
    inside_heat: float = 1 / 0.13,
    outside_vapour: ArrayLike | None = None,
    inside_vapour: float | None = None,
    radiation: ArrayLike = 0.0,
    rain: ArrayLike = 0.0,
) -> Exposure:
    """Hours of climate at both faces.

    Parameters
    ----------
    outside, inside : array_like
        Air temperatures; arrays are broadcast against each other. [°C]
    outside_humidity, inside_humidity : array_like
        0 to 1.
    outside_heat, inside_heat : array_like, float
        Surface heat transfer coefficients, ISO 6946 resistances if left out. [W/(m²·K)]
    outside_vapour, inside_vapour : array_like, float, optional
        Vapour transfer coefficients; 7e-9 times the heat transfer if left out. [s/m]
    radiation : array_like
        Sun taken up less heat lost to the sky, at air temperature. [W/m²]
    rain : array_like
        Water that the outer face could take in. [kg/(m²·s)]

    Raises
    ------
    InputError
        Values no climate has, or arrays whose lengths differ.
    """
    h_out = np.asarray(outside_heat, float)
    beta_out = VAPOUR_PER_HEAT * h_out if outside_vapour is None else np.asarray(outside_vapour, float)
    given = {
        "outside temperature": np.asarray(outside, float),
        "outside humidity": np.asarray(outside_humidity, float),
        "outside heat transfer": h_out,
        "outside vapour transfer": beta_out,
        "rain": np.asarray(rain, float),
        "room temperature": np.asarray(inside, float),
        "room humidity": np.asarray(inside_humidity, float),
        "radiation": np.asarray(radiation, float),
    }
    lengths = {name: value.size for name, value in given.items() if value.ndim}
    if len({size for size in lengths.values() if size != 1}) > 1:
        raise InputError("climate", given=lengths, accepted="as many hours of each")
    ranges = {
        "temperature": (-60.0, 60.0, "°C"),
        "humidity": (0.0, 1.0, "(1 is 100 %)"),
        "heat transfer": (0.1, 1e9, "W/(m²·K)"),
        "vapour transfer": (0.0, 1e3, "s/m"),
        "rain": (0.0, 0.1, "kg/(m²·s)"),
        "radiation": (-500.0, 1500.0, "W/m²"),
    }
    for name, value in given.items():
        low, high, unit = next(limits for ending, limits in ranges.items() if name.endswith(ending))
        bad = ~((value >= low) & (value <= high))
        if np.any(bad):
            raise InputError(name, given=float(value[bad].flat[0]), accepted=f"{low:g} to {high:g} {unit}")
    for name, number in (("inside heat transfer", inside_heat), ("inside vapour transfer", inside_vapour)):
        if number is not None and not 0 <= number <= 1e9:
            raise InputError(name, given=number, accepted="0 or more")
    t_out, t_in = given["outside temperature"], given["room temperature"]
    columns = np.broadcast_arrays(
        t_out + given["radiation"] / h_out,
        given["outside humidity"] * saturation_pressure(t_out),
        h_out,
        beta_out,
        given["rain"],
        np.maximum(t_out, 0.0),
        t_in,
        given["room humidity"] * saturation_pressure(t_in),
    )
    return Exposure(
        hours=np.ascontiguousarray(np.stack([np.atleast_1d(column) for column in columns], axis=-1)),
        inside_heat=inside_heat,
        inside_vapour=VAPOUR_PER_HEAT * inside_heat if inside_vapour is None else inside_vapour,
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Balance:
    """What went through the faces, and how well it agrees with what the wall gained."""

    rain: float  # taken in [kg/m²]
    outside_vapour: float  # into the wall [kg/m²]
    inside_vapour: float  # [kg/m²]
    water_gained: float  # by the difference of contents [kg/m²]
    water_error: float  # gained less passed, over all that passed either way [-]
    heat_error: float  # likewise
    time_steps: int
    newton_steps: int
    rejected_steps: int


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class TransientRun:
    """A wall through the years."""

    grid: HygroGrid
    every: int  # hours between profiles
    y: Values  # (profiles, nodes), the first at the start; see `hygro`
    temperature: Values  # (profiles, nodes) [°C]
    watched: tuple[int, ...]  # nodes
    seen: Values  # (hours, watched, 2): temperature [°C] and φ at the end of each hour
    balance: Balance

    @property
    def humidity(self) -> Values:
        """Relative humidity of the pores, (profiles, nodes). [-]"""
        return np.asarray(np.exp(-np.exp(self.y)))

    def layer_water(self) -> Values:
        """Water in each layer, (profiles, layers). [kg/m²]"""
        out = np.zeros((len(self.y), len(self.grid.materials)))
        lengths = self.grid.lengths
        for layer, material in enumerate(self.grid.materials):
            low, high = self.grid.first[layer], self.grid.first[layer + 1]
            w = look_up(material.table, self.y[:, low : high + 1])[..., 0]
            out[:, layer] = (0.5 * (w[:, :-1] + w[:, 1:]) * lengths[low:high]).sum(axis=1)
        return out

    def water_at(self, layer: int, x: ArrayLike) -> Values:
        """Water content at places in a layer (from its outer face [m]), (profiles, places). [kg/m³]"""
        low, high = self.grid.first[layer], self.grid.first[layer + 1]
        at = self.grid.x[low : high + 1] - self.grid.x[low]
        w = look_up(self.grid.materials[layer].table, self.y[:, low : high + 1])[..., 0]
        return np.stack([np.interp(np.asarray(x, float), at, row) for row in w])

    def temperature_at(self, x: ArrayLike) -> Values:
        """Temperature at places of the wall (from its outer face [m]), (profiles, places). [°C]"""
        places = np.asarray(x, float)
        return np.stack([np.interp(places, self.grid.x, row) for row in self.temperature])


def run(
    layers: Sequence[WetLayer],
    climate: Exposure,
    *,
    hours: int,
    start_humidity: float | Sequence[float] = 0.8,
    start_temperature: float = 15.0,
    start_hour: int = 0,
    every: int = 24,
    watch: Sequence[int] = (),
    cells: int = CELLS,
    parts: int = 1,
    step_error: float = STEP_ERROR,
    after: TransientRun | None = None,
) -> TransientRun:
    """March a wall through its climate.

    Parameters
    ----------
    layers : sequence of WetLayer
        Outside first.
    climate : Exposure
    hours : int
        How long; the climate repeats.
    start_humidity : float or one per layer
        Relative humidity of the pores at the start (built-in water: `Hygro.humidity_at`). [-]
    start_temperature : float
        [°C]
    start_hour : int
        Hour of the climate at the start, 0 for its first.
    every : int
        Hours between profiles kept.
    watch : sequence of int
        Nodes seen each hour; -1 is the room face (`HygroGrid.first` has those of the layers).
    cells : int
        About so many elements.
    parts : int
        Time steps an hour to begin with; 1 is enough but for studies.
    step_error : float
        Disagreement of the two stages of a step above which it is cut, down to a minute: the cheap guard
        where rain sets in. [kg/m²]
    after : TransientRun, optional
        A run of the same wall, from whose end this one goes on; a start is then not asked for.

    Returns
    -------
    TransientRun

    Raises
    ------
    InputError
        Values that cannot be, or a wall the solver cannot follow.
    """
    grid = build_grid(layers, cells)
    for name, given, least in (
        ("hours", hours, 1),
        ("hours between profiles", every, 1),
        ("parts", parts, 1),
    ):
        if given < least:
            raise InputError(name, given=given, accepted=f"{least} or more")
    positive("step error", step_error, "kg/m²")
    count = len(grid.x)
    if not all(-count <= node < count for node in watch):
        raise InputError("watched nodes", given=list(watch), accepted=f"{-count} to {count - 1}")
    watched = tuple(int(node) % count for node in watch)
    if after is not None and len(after.grid.x) != count:
        raise InputError("run before", given=f"{len(after.grid.x)} nodes", accepted=f"{count} nodes")
    if after is None:
        y, t = _start(grid, start_humidity), np.full(count, float(start_temperature))
    else:
        y, t = after.y[-1].copy(), after.temperature[-1].copy()
    return _march(grid, climate, y, t, watched, hours, start_hour, every, parts, step_error)


def _start(grid: HygroGrid, humidity: float | Sequence[float]) -> Values:
    """Dryness of the nodes; a node between two layers takes the mean of theirs."""
    given = [float(humidity)] if isinstance(humidity, int | float) else [float(one) for one in humidity]
    layers = len(grid.materials)
    if len(given) not in (1, layers):
        raise InputError(
            "start humidity", given=given, accepted=f"one value, or one for each of {layers} layers"
        )
    for value in given:
        if not 0 < value <= 1:
            raise InputError("start humidity", given=value, accepted="above 0, at most 1 (1 is 100 %)")
    of_layer = dryness(given * (layers // len(given)))
    elements = of_layer[grid.layer]
    return np.asarray(0.5 * (np.append(elements[0], elements) + np.append(elements, elements[-1])))


def kernel_arrays(grid: HygroGrid) -> tuple[Values, NDArray[np.int64], Values, Values]:
    """What the compiled loop reads of a grid: elements, material of each, tables, saturation table."""
    lengths = grid.lengths
    capacity = np.array([material.heat_capacity for material in grid.materials])
    elements = np.stack([1 / lengths, 0.5 * lengths, 0.5 * lengths * capacity[grid.layer]], axis=-1)
    tables = np.ascontiguousarray(np.stack([material.table for material in grid.materials]))
    return np.ascontiguousarray(elements), grid.layer, tables, saturation_table()


def saturation_table() -> Values:
    """Cubics of the saturation pressure each half kelvin from -60 to 120 °C."""
    t = np.arange(-120, 241) / 2
    value = saturation_pressure(t)
    slope = saturation_slope(t) / 2
    below = saturation_slope(np.minimum(t[1:], -1e-12)) / 2
    ending = np.where(t[1:] == 0, below, slope[1:])
    rise = np.diff(value)
    return np.ascontiguousarray(
        np.stack(
            [value[:-1], slope[:-1], 3 * rise - 2 * slope[:-1] - ending, slope[:-1] + ending - 2 * rise], -1
        )
    )


def contents(grid: HygroGrid, y: Values, t: Values) -> tuple[Values, Values]:
    """Water [kg/m²] and heat above 0 °C [J/m²] that belong to each node."""
    from innerleaf.physics.transient_kernel import WATER_HEAT

    elements, layer, tables, _ = kernel_arrays(grid)
    water, dry = np.zeros_like(y), np.zeros_like(y)
    for index in range(len(grid.materials)):
        own = np.flatnonzero(layer == index)
        for node in (own, own + 1):
            np.add.at(water, node, elements[own, 1] * look_up(tables[index], y[node])[:, 0])
            np.add.at(dry, node, elements[own, 2])
    return water, (dry + WATER_HEAT * water) * t


def _march(
    grid: HygroGrid,
    climate: Exposure,
    y: Values,
    t: Values,
    watched: tuple[int, ...],
    hours: int,
    start_hour: int,
    every: int,
    parts: int,
    step_error: float,
) -> TransientRun:
    from innerleaf.physics import transient_kernel as kernel

    elements, material, tables, saturation = kernel_arrays(grid)
    water, heat = contents(grid, y, t)
    before = water.sum(), heat.sum()
    seen = np.zeros((hours, len(watched), 2))
    profiles = np.zeros((hours // every + 1, 2, len(y)))
    profiles[0] = y, t
    book = np.zeros(kernel.BOOK_ROWS)
    done = kernel.march(
        kernel.State(y, t, water, heat),
        kernel.Model(
            inside=np.array([climate.inside_heat, climate.inside_vapour]),
            elements=elements,
            material=material,
            tables=tables,
            y_low=Y_LOW,
            per_y=float(PER_Y),
            saturation=saturation,
        ),
        climate.hours,
        start_hour,
        hours,
        parts,
        TOLERANCE,
        step_error,
        np.asarray(watched, np.int64),
        every,
        seen,
        profiles,
        book,
    )
    if done < hours:
        raise InputError(
            "wall and climate",
            given=f"no solution in hour {done + 1}",
            accepted="material functions and climate that can be followed in steps of 0.01 s",
        )
    water, heat = contents(grid, y, t)
    gained = float(water.sum() - before[0])
    passed = book[kernel.BOOK_OUT_VAPOUR] + book[kernel.BOOK_RAIN] + book[kernel.BOOK_IN_VAPOUR]
    heat_passed = book[kernel.BOOK_OUT_HEAT] + book[kernel.BOOK_IN_HEAT]
    tiny = np.finfo(float).tiny
    return TransientRun(
        grid=grid,
        every=every,
        y=profiles[:, 0],
        temperature=profiles[:, 1],
        watched=watched,
        seen=seen,
        balance=Balance(
            rain=float(book[kernel.BOOK_RAIN]),
            outside_vapour=float(book[kernel.BOOK_OUT_VAPOUR]),
            inside_vapour=float(book[kernel.BOOK_IN_VAPOUR]),
            water_gained=gained,
            water_error=float((gained - passed) / max(book[kernel.BOOK_WATER_PASSED], tiny)),
            heat_error=float(
                (heat.sum() - before[1] - heat_passed) / max(book[kernel.BOOK_HEAT_PASSED], tiny)
            ),
            time_steps=int(book[kernel.BOOK_STEPS]),
            newton_steps=int(book[kernel.BOOK_NEWTON]),
            rejected_steps=int(book[kernel.BOOK_REJECTED]),
        ),
    )
