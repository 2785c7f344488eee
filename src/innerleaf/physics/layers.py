"""Plane layered walls: resistances, the combined method, air layers and corrections of ISO 6946.

Each function says where it does not hold: a metal part through the insulation is outside all of them and
goes to ``physics.conduction``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from innerleaf.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

HeatFlow = Literal["up", "horizontal", "down"]

# ISO 6946:2017 table 7 (:2007 table 1), from memory and seen quoted. [m²·K/W]
SURFACE_RESISTANCES: dict[HeatFlow, tuple[float, float]] = {
    "up": (0.10, 0.04),
    "horizontal": (0.13, 0.04),
    "down": (0.17, 0.04),
}

# ISO 6946:2017 table 8 (:2007 table 2), from memory: thickness [m]; resistance [m²·K/W].
_AIR_THICKNESS = (0.0, 0.005, 0.007, 0.010, 0.015, 0.025, 0.050, 0.100, 0.300)
_AIR_RESISTANCE: dict[HeatFlow, tuple[float, ...]] = {
    "up": (0.0, 0.11, 0.13, 0.15, 0.16, 0.16, 0.16, 0.16, 0.16),
    "horizontal": (0.0, 0.11, 0.13, 0.15, 0.17, 0.18, 0.18, 0.18, 0.18),
    "down": (0.0, 0.11, 0.13, 0.15, 0.17, 0.19, 0.21, 0.22, 0.23),
}
_VENTS = (500e-6, 1500e-6)  # openings per metre between which an air layer is slightly ventilated [m²/m]
_GAP_LEVELS = (0.00, 0.01, 0.04)  # ISO 6946:2017 annex F, from memory [W/(m²·K)]
_GREATEST_RATIO = 1.5


def layers_resistance(thickness: ArrayLike, conductivity: ArrayLike) -> NDArray[np.float64]:
    """Thermal resistance of plane layers crossed one after the other.

    Parameters
    ----------
    thickness : array_like, shape (..., n_layers)
        Layer thicknesses, room side first. [m]
    conductivity : array_like, shape (..., n_layers)
        Design conductivities; broadcast against ``thickness``. [W/(m·K)]

    Returns
    -------
    ndarray, shape (...)
        Sum of d/λ over the last axis, without surface resistances. [m²·K/W]

    Raises
    ------
    InputError
        A thickness is not finite or is negative; a conductivity is not finite or not positive.

    Notes
    -----
    R = Σ dᵢ/λᵢ, heat flow in one direction. Not for layers bridged by metal: ISO 6946 puts these outside
    its scope, so the framed zone goes to ``physics.conduction``.

    References
    ----------
    ISO 6946:2017, homogeneous layers (scope read; clause number from memory: 6.7.1).

    Examples
    --------
    Board 12.5 mm and wool 50 mm (conductivities chosen for the example):

    >>> float(layers_resistance([0.0125, 0.050], [0.25, 0.04]))
    1.3
    """
    d, conductivities = np.asarray(thickness, float), np.asarray(conductivity, float)
    if not np.all(np.isfinite(d) & (d >= 0)):
        raise InputError("thickness", given=thickness, accepted="0 m or more, finite")
    if not np.all(np.isfinite(conductivities) & (conductivities > 0)):
        raise InputError("conductivity", given=conductivity, accepted="above 0 W/(m·K), finite")
    return np.asarray((d / conductivities).sum(axis=-1))


def layer_temperatures(resistances: ArrayLike, inside: float, outside: float) -> NDArray[np.float64]:
    """Temperatures between resistances in series.

    Parameters
    ----------
    resistances : array_like, shape (n,)
        From inside to outside, surface resistances included. [m²·K/W]
    inside, outside : float
        Temperatures at both ends. [degC]

    Returns
    -------
    ndarray, shape (n + 1,)
        From ``inside`` to ``outside``. [degC]

    Examples
    --------
    >>> [round(float(t), 6) for t in layer_temperatures([0.13, 0.83, 0.04], 20.0, 0.0)]
    [20.0, 17.4, 0.8, 0.0]
    """
    r = np.asarray(resistances, float)
    if not (np.all(np.isfinite(r) & (r >= 0)) and r.sum() > 0):
        raise InputError("resistances", given=resistances, accepted="0 m²·K/W or more, finite, not all 0")
    passed = np.concatenate(([0.0], np.cumsum(r))) / r.sum()
    temperatures: NDArray[np.float64] = inside + (outside - inside) * passed
    return temperatures


def air_layer_resistance(thickness: float, heat_flow: HeatFlow = "horizontal") -> float:
    """Resistance of an air layer without ventilation, both faces of high emissivity. [m²·K/W]

    Parameters
    ----------
    thickness : float
        Across the layer, at most 0.3 m and a tenth of its other dimensions. [m]
    heat_flow : "up", "horizontal" or "down"
        Horizontal within 30 degrees.

    References
    ----------
    ISO 6946:2017 table 8, linear between its values (from memory).

    Examples
    --------
    >>> air_layer_resistance(0.020)
    0.175
    """
    if not 0 <= thickness <= _AIR_THICKNESS[-1]:
        raise InputError("air layer, thickness", given=thickness, accepted="0 to 0.3 m")
    return round(float(np.interp(thickness, _AIR_THICKNESS, _AIR_RESISTANCE[heat_flow])), 12)


def ventilated_resistance(openings: float, unventilated: float, ventilated: float) -> float:
    """Total resistance of a wall whose air layer has openings to the outside. [m²·K/W]

    Parameters
    ----------
    openings : float
        Area per metre of length of a vertical layer. [m²/m]
    unventilated : float
        Total resistance if the layer were closed. [m²·K/W]
    ventilated : float
        Total resistance without the layer and all outside it, with Rse equal to Rsi. [m²·K/W]

    References
    ----------
    ISO 6946:2007 5.3 (from memory): up to 500 mm²/m counts as closed, from 1500 mm²/m as open.

    Examples
    --------
    >>> ventilated_resistance(1000e-6, 3.0, 2.0)
    2.5
    """
    if not openings >= 0:
        raise InputError("openings", given=openings, accepted="0 m²/m or more")
    return float(np.interp(openings, _VENTS, (unventilated, ventilated)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """A layer of one or more paths side by side: share of the area [-] and resistance [m²·K/W] of each.

    ``metal`` says that a path is metal.
    """

    paths: tuple[tuple[float, float], ...]
    metal: bool = False

    def __post_init__(self) -> None:
        shares = [share for share, _ in self.paths]
        if not (all(share > 0 for share in shares) and abs(sum(shares) - 1) < 1e-9):
            raise InputError("layer, shares of the paths", given=shares, accepted="above 0 each, 1 in sum")
        for _, resistance in self.paths:
            if not 0 <= resistance < np.inf:
                raise InputError("layer, resistance", given=resistance, accepted="0 m²·K/W or more, finite")

    @classmethod
    def plain(cls, resistance: float) -> Layer:
        """A layer of one material."""
        return cls(paths=((1.0, resistance),))


@dataclass(frozen=True, slots=True, kw_only=True)
class Combined:
    """A wall by the combined method. [m²·K/W, W/(m²·K)]

    ``does_not_hold`` gives the reasons why the standard does not allow the method here; empty if it does.
    """

    upper: float
    lower: float
    does_not_hold: tuple[str, ...]

    @property
    def resistance(self) -> float:
        """Mean of both limits."""
        return (self.upper + self.lower) / 2

    @property
    def u_value(self) -> float:
        """Thermal transmittance, surfaces included."""
        return 1 / self.resistance

    @property
    def error(self) -> float:
        """Greatest possible error of the resistance as a fraction, as the standard reckons it."""
        return (self.upper - self.lower) / (2 * self.resistance)


def combined_method(
    layers: Sequence[Layer], *, surface_inside: float = 0.13, surface_outside: float = 0.04
) -> Combined:
    """Upper and lower limit of the total resistance of layers with bridges, and their mean.

    Parameters
    ----------
    layers : sequence of Layer
        Room side first. Paths of different layers are independent of each other: any may lie behind any.
    surface_inside, surface_outside : float
        Surface resistances. [m²·K/W]

    Notes
    -----
    Upper limit: heat flows straight through every path, 1/R = Σ f/R of the paths. Lower limit: every plane
    between layers has one temperature, each layer counts 1/R = Σ f/R. The method does not hold where metal
    bridges the insulation, nor where upper/lower is above 1.5: the answer says so and still gives the value.

    References
    ----------
    ISO 6946:2017 6.7.2 (from memory; the exclusion of metal also read).

    Examples
    --------
    Brick 220, wool 50 between battens (a tenth of the area), board:

    >>> insulated = Layer(paths=((0.9, 0.05 / 0.035), (0.1, 0.05 / 0.13)))
    >>> wall = [Layer.plain(0.05), insulated, Layer.plain(0.2 / 0.7)]
    >>> round(combined_method(wall).u_value, 4)
    0.5951
    """
    if not (0 <= surface_inside < np.inf and 0 <= surface_outside < np.inf):
        given = (surface_inside, surface_outside)
        raise InputError("surface resistances", given=given, accepted="0 m²·K/W or more, finite")
    if not layers:
        raise InputError("layers", given=layers, accepted="at least one")
    surfaces = surface_inside + surface_outside
    shares, resistances = np.ones(1), np.full(1, surfaces)
    lower = surfaces
    for layer in layers:
        share, resistance = (np.array(column) for column in zip(*layer.paths, strict=True))
        shares = np.outer(shares, share).ravel()
        resistances = np.add.outer(resistances, resistance).ravel()
        lower += 0.0 if np.any(resistance == 0) else float(1 / np.sum(share / resistance))
    if np.any(resistances == 0):
        given_paths = [layer.paths for layer in layers]
        raise InputError("layers", given=given_paths, accepted="a resistance in every path")
    upper = float(1 / np.sum(shares / resistances))
    metal = any(layer.metal for layer in layers)
    return Combined(upper=upper, lower=lower, does_not_hold=combined_fails(upper, lower, metal=metal))


def combined_fails(upper: float, lower: float, *, metal: bool) -> tuple[str, ...]:
    """Why the standard does not allow the combined method for these limits; empty if it does."""
    reasons = []
    if metal:
        reasons.append("metal bridges the insulation")
    if upper > _GREATEST_RATIO * lower:
        reasons.append(f"upper limit / lower limit is {upper / lower:.2f}, above {_GREATEST_RATIO}")
    return tuple(reasons)


def air_gap_correction(level: Literal[0, 1, 2], insulation: float, total: float) -> float:
    """ΔUg for air gaps in insulation. [W/(m²·K)]

    Parameters
    ----------
    level : 0, 1 or 2
        No gaps that matter; gaps through the insulation; gaps with air moving on the warm side too.
    insulation, total : float
        Resistance of the layer with the gaps, and of the whole wall. [m²·K/W]

    References
    ----------
    ISO 6946:2017 annex F (from memory): ΔUg = ΔU" (R₁/RT)².
    """
    if level not in (0, 1, 2):
        raise InputError("level of air gaps", given=level, accepted="0, 1, 2")
    return _GAP_LEVELS[level] * _part(insulation, total) ** 2


def fixings_correction(
    *,
    conductivity: float,
    section: float,
    per_area: float,
    insulation_thickness: float,
    insulation: float,
    total: float,
    length_in_insulation: float | None = None,
) -> float:
    """ΔUf for metal fixings through an insulation layer. [W/(m²·K)]

    Parameters
    ----------
    conductivity, section, per_area
        Of one fixing [W/(m·K)], its cross-section [m²], and how many there are [1/m²].
    insulation_thickness : float
        Of the layer pierced. [m]
    insulation, total : float
        Resistance of that layer, and of the whole wall. [m²·K/W]
    length_in_insulation : float, optional
        If the fixing is recessed: how far it reaches into the layer. [m]

    Notes
    -----
    ΔUf = α λf Af nf / d₀ · (R₁/RT)², α = 0.8, times d₁/d₀ if recessed. 0 for a conductivity below 1. Not for
    fixings with metal at both ends, and far too high for straps and brackets (seven times, for a strap of
    40 x 2 mm), since board and wall constrict the flow: their chi comes from ``physics.conduction``.

    References
    ----------
    ISO 6946:2017 annex F (from memory).
    """
    for field, value in (
        ("conductivity", conductivity),
        ("section", section),
        ("insulation_thickness", insulation_thickness),
    ):
        if not 0 < value < np.inf:
            raise InputError(f"fixings, {field}", given=value, accepted="above 0, finite")
    if not 0 <= per_area < np.inf:
        raise InputError("fixings, per_area", given=per_area, accepted="0 per m² or more, finite")
    length = insulation_thickness if length_in_insulation is None else length_in_insulation
    if not 0 <= length <= insulation_thickness:
        raise InputError("fixings, length_in_insulation", given=length, accepted="0 to the thickness")
    if conductivity < 1:
        return 0.0
    alpha = 0.8 * length / insulation_thickness
    return alpha * conductivity * section * per_area / insulation_thickness * _part(insulation, total) ** 2


def corrected_u(u_value: float, *corrections: float) -> float:
    """U with its corrections, which are left out if they come to less than 3 % of it. [W/(m²·K)]

    References
    ----------
    ISO 6946:2017 (from memory).
    """
    correction = sum(corrections)
    return u_value + correction if correction >= 0.03 * u_value else u_value


def _part(insulation: float, total: float) -> float:
    if not 0 <= insulation <= total or not total > 0:
        accepted = "0 to the total resistance, and that above 0 m²·K/W"
        raise InputError("insulation, total", given=(insulation, total), accepted=accepted)
    return insulation / total
