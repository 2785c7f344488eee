"""Material functions of the transient solver, as tables over the dryness of the pore air.

Everything a material does with water is a function of φ alone, the relative humidity its pore water is
in balance with. Tables run over y = ln(-ln φ), the logarithm of suction in units of ρ·R·T (135.2 MPa at
293.15 K): evenly good from nearly dry to nearly soaked. The suction of a given φ is taken at 293.15 K
throughout, as EN 15026 Annex A does.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError

Values = NDArray[np.float64]
Function = Callable[[Values], Values]

Y_LOW: Final = -17.0  # φ = 1 - 4e-8, suction of 6 Pa
Y_HIGH: Final = 2.0  # φ = 0.06 %
PER_Y: Final = 16
SUCTION_UNIT: Final = 1000.0 * (8.314 / 0.018) * 293.15  # Pa; EN 15026 Annex A
OVER_GAP: Final = 1e-6  # -ln φ at which half of the pores that capillarity leaves empty are filled
OVER_DRIVE: Final = 0.02  # share of the liquid potential that those pores add
RUN_OFF_Y: Final = -16.0  # where a place can hold no more
RUN_OFF_PHI: Final = 0.02  # oversaturation per unit of y beyond: what cannot be held is kept away
FILM: Final = 0.2  # kg/m² of drops that the two faces of a sheet hold; common practice, no source
WATER_MOST: Final = 1000.0  # kg/m3


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Hygro:
    """A material for the transient solver: what it holds, lets through and conducts.

    ``table`` has, for each interval of y, the four coefficients of a cubic for each of: water content
    [kg/m³], liquid potential (the integral of conductivity over suction) [kg/(m·s)], φ [-], vapour
    permeability over that of still air [-], thermal conductivity [W/(m·K)].
    """

    name: str
    heat_capacity: float  # dry, by volume [J/(m³·K)]
    table: Values  # (intervals, 4, 5)

    def at(self, humidity: ArrayLike) -> Values:
        """The five functions at relative humidities between 0.06 and 1; shape (..., 5)."""
        return look_up(self.table, dryness(humidity))

    def water(self, humidity: ArrayLike) -> Values:
        """Water content at a relative humidity. [kg/m³]"""
        return np.asarray(self.at(humidity)[..., 0])

    def humidity_at(self, water: ArrayLike) -> Values:
        """Relative humidity in balance with a water content [kg/m³]; raises `InputError` beyond it."""
        w = np.asarray(water, float)
        y = np.linspace(Y_LOW, Y_HIGH, 20 * PER_Y * int(Y_HIGH - Y_LOW) + 1)
        held = look_up(self.table, y)[:, 0]
        if not np.all((w >= held[-1]) & (w <= held[0])):
            raise InputError(
                f"{self.name}, water content",
                given=float(np.max(w)),
                accepted=f"{held[-1]:.3g} to {held[0]:.4g} kg/m³",
            )
        return np.asarray(np.exp(-np.exp(np.interp(w, held[::-1], y[::-1]))))


def dryness(humidity: ArrayLike) -> Values:
    """Y = ln(-ln φ), kept within the tables."""
    phi = np.clip(np.asarray(humidity, float), np.exp(-np.exp(Y_HIGH)), np.exp(-np.exp(Y_LOW)))
    return np.asarray(np.log(-np.log(phi)))


def look_up(table: Values, y: ArrayLike) -> Values:
    """All functions of a table at y, going on straight beyond its ends; shape (..., 5)."""
    at = (np.asarray(y, float) - Y_LOW) * PER_Y
    k = np.clip(at.astype(int), 0, len(table) - 1)
    s = (at - k)[..., None]
    c = np.clip(s, 0.0, 1.0)
    a0, a1, a2, a3 = (table[k, power] for power in range(4))
    slope = a1 + c * (2 * a2 + c * 3 * a3)
    return np.asarray(a0 + c * (a1 + c * (a2 + c * a3)) + slope * (s - c))


def tabulated(
    name: str,
    *,
    heat_capacity: float,
    water: Function,
    liquid: Function,
    vapour: Function,
    conductivity: Function,
) -> Hygro:
    """A material from its functions of the suction number h = -ln φ.

    Parameters
    ----------
    water, liquid, vapour, conductivity : callable
        As in `Hygro`; ``water`` and ``liquid`` fall (or stay) as h grows.

    Raises
    ------
    InputError
        A function is not finite, or negative, or rises where it must not.
    """
    positive(f"{name}, heat capacity", heat_capacity, "J/(m³·K)")
    intervals = int(Y_HIGH - Y_LOW) * PER_Y
    y = np.linspace(Y_LOW, Y_HIGH, intervals + 1)
    functions = (water, liquid, _humidity, vapour, conductivity)
    # The slopes come from the functions themselves, so that a cubic is good to the fourth order.
    near = 1e-4
    value = np.stack([np.broadcast_to(f(np.exp(y)), y.shape) for f in functions], axis=-1)
    after = np.stack([np.broadcast_to(f(np.exp(y + near)), y.shape) for f in functions], axis=-1)
    before = np.stack([np.broadcast_to(f(np.exp(y - near)), y.shape) for f in functions], axis=-1)
    slope = (after - before) / (2 * near) / PER_Y
    for column, what in enumerate(("water content", "liquid potential")):
        if not np.all(np.isfinite(value[:, column])) or np.any(np.diff(value[:, column]) > 1e-12):
            raise InputError(f"{name}, {what}", given="a curve that turns", accepted="rising with humidity")
    for column, what in ((3, "vapour permeability"), (4, "conductivity")):
        if not np.all(np.isfinite(value[:, column]) & (value[:, column] > 0)):
            raise InputError(f"{name}, {what}", given=float(value[:, column].min()), accepted="above 0")
    rise = value[1:] - value[:-1]
    table = np.stack(
        [value[:-1], slope[:-1], 3 * rise - 2 * slope[:-1] - slope[1:], slope[:-1] + slope[1:] - 2 * rise],
        axis=1,
    )
    return Hygro(name=name, heat_capacity=heat_capacity, table=np.ascontiguousarray(table))


def _humidity(h: Values) -> Values:
    """Humidity φ; a little above 1 where a place can hold no more, so that dew stops as if it ran off."""
    over = np.logaddexp(0.0, 3 * (RUN_OFF_Y - np.log(h))) / 3
    return np.asarray(np.exp(-h) + RUN_OFF_PHI * over)


def porous(
    name: str,
    *,
    density: float,
    heat: float,
    conductivity: float,
    conductivity_rise: float,
    mu_dry: float,
    mu_wet: float,
    water_80: float,
    water_free: float,
    water_most: float,
    absorption: float,
) -> Hygro:
    """A building material from the few figures that are usually known.

    Parameters
    ----------
    name : str
        What errors call it.
    density, heat, conductivity : float
        Dry. [kg/m³], [J/(kg·K)], [W/(m·K)]
    conductivity_rise : float
        Rise of the conductivity with water content. [W/(m·K) per kg/m³]
    mu_dry, mu_wet : float
        Vapour resistance factors of the dry-cup (26 %) and wet-cup (72 %) test.
    water_80, water_free, water_most : float
        Water content at 80 %, at free saturation (long suction), with all pores full. [kg/m³]
    absorption : float
        Water absorption coefficient; 0 for what does not suck. [kg/(m²·√s)]

    Raises
    ------
    InputError
        A figure that no material has, or figures that contradict each other.

    Notes
    -----
    Storage w = w_f (b-1) φ/(b-φ) with b from w_80, and liquid diffusivity
    D = 3.8 (A/w_f)² 1000^(w/w_f - 1): H. M. Künzel, Simultaneous heat and moisture transport in building
    components, 1995 (from memory). D rises so steeply that its integral over w, which the fluxes use, is
    taken in closed form. Above w_f, water fills the rest of the pores within a suction of a few hundred
    Pa, and adds two hundredths to the drive of suction, so that A stays what it is. The vapour
    permeability goes in a straight line of
    permeability over φ between the two cup tests and is constant beyond. Redistribution after rain is
    as quick as suction, which overrates drying of the face.
    """
    positive(f"{name}, density", density, "kg/m³")
    positive(f"{name}, specific heat", heat, "J/(kg·K)")
    positive(f"{name}, conductivity", conductivity, "W/(m·K)")
    not_negative(f"{name}, rise of conductivity", conductivity_rise, "W/(m·K) per kg/m³")
    for which, mu in (("dry", mu_dry), ("wet", mu_wet)):
        if not 1 <= mu < np.inf:
            accepted = "1 (still air) or more, finite"
            raise InputError(f"{name}, vapour resistance factor {which}", given=mu, accepted=accepted)
    positive(f"{name}, water at 80 %", water_80, "kg/m³")
    if not 0.8 * water_free > water_80:
        raise InputError(
            f"{name}, water at free saturation",
            given=water_free,
            accepted=f"more than {1.25 * water_80:g} kg/m³, water at 80 % over 0.8",
        )
    if not water_free < water_most <= WATER_MOST:
        raise InputError(
            f"{name}, water with all pores full",
            given=water_most,
            accepted=f"more than the {water_free:g} of free saturation, at most {WATER_MOST:g} kg/m³",
        )
    not_negative(f"{name}, water absorption", absorption, "kg/(m²·√s)")
    b = 0.8 * (water_free - water_80) / (0.8 * water_free - water_80)
    d_free = 3.8 * (absorption / water_free) ** 2
    scale = water_free / np.log(1000.0)

    def capillary(h: Values) -> Values:
        phi = np.exp(-h)
        # b - φ = (b - 1) + (1 - φ), without cancellation near saturation
        return np.asarray(water_free * (b - 1) * phi / ((b - 1) - np.expm1(-h)))

    def over(h: Values) -> Values:
        return np.asarray((water_most - water_free) / (1 + h / OVER_GAP))

    def liquid(h: Values) -> Values:
        steep = scale * (np.exp((capillary(h) / water_free - 1) * np.log(1000.0)) - 1e-3)
        return np.asarray(d_free * (steep + OVER_DRIVE * scale * over(h) / (water_most - water_free)))

    def vapour(h: Values) -> Values:
        share = np.clip((np.exp(-h) - 0.26) / (0.72 - 0.26), 0.0, 1.0)
        return np.asarray(1 / mu_dry + (1 / mu_wet - 1 / mu_dry) * share)

    return tabulated(
        name,
        heat_capacity=density * heat,
        water=lambda h: capillary(h) + over(h),
        liquid=liquid,
        vapour=vapour,
        conductivity=lambda h: conductivity + conductivity_rise * (capillary(h) + over(h)),
    )


def sheet(
    name: str, *, sd: Sequence[tuple[float, float]] | float, thickness: float, conductivity: float
) -> Hygro:
    """A membrane or an air layer: lets vapour through, holds nothing but some drops when wet.

    Parameters
    ----------
    sd : float or pairs
        Vapour resistance as a layer of still air; or (φ, sd) pairs, φ rising, for a membrane that opens
        when damp (φ is the mean of the humidities on both sides). [m]
    thickness : float
        Of the layer it is used as. [m]
    conductivity : float
        Thickness over thermal resistance. [W/(m·K)]

    Raises
    ------
    InputError
        An sd below the thickness (still air), a humidity out of order.
    """
    pairs = [(0.5, sd)] if isinstance(sd, int | float) else list(sd)
    positive(f"{name}, thickness", thickness, "m")
    positive(f"{name}, conductivity", conductivity, "W/(m·K)")
    if not pairs:
        raise InputError(f"{name}, sd", given=pairs, accepted="at least one pair of humidity and sd")
    phi, resistance = (np.asarray(column, float) for column in zip(*pairs, strict=True))
    if not (np.all((phi >= 0) & (phi <= 1)) and np.all(np.diff(phi) > 0)):
        raise InputError(f"{name}, humidities of sd", given=phi.tolist(), accepted="0 to 1, rising")
    good = np.isfinite(resistance) & (resistance >= thickness * (1 - 1e-9))
    if not np.all(good):
        accepted = f"at least its thickness of {thickness:g} m (still air), finite"
        raise InputError(f"{name}, sd", given=float(resistance[~good][0]), accepted=accepted)
    return tabulated(
        name,
        heat_capacity=1000.0,
        water=lambda h: 1e-3 * np.exp(-h) + FILM / thickness / (1 + h / OVER_GAP),
        liquid=np.zeros_like,
        vapour=lambda h: thickness / np.interp(np.exp(-h), phi, resistance),
        conductivity=lambda h: np.full_like(h, conductivity),
    )


def positive(field: str, value: float, unit: str) -> None:
    """Refuse what is not above 0 and finite."""
    if not 0 < value < np.inf:
        raise InputError(field, given=value, accepted=f"above 0 {unit}, finite")


def not_negative(field: str, value: float, unit: str) -> None:
    """Refuse what is below 0 or not finite."""
    if not 0 <= value < np.inf:
        raise InputError(field, given=value, accepted=f"0 {unit} or more, finite")
