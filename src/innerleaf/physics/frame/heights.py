"""Greatest height of a stud and greatest span of a channel by calculation: a check of plausibility.

The stud alone between floor and head, its boards not counted. Tested tables and local codes govern: they
know impact, and boards that help. Every argument may be an array. SI units.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError
from innerleaf.physics.frame.beam import Bent, Force, Spread, Support, bend

Values = NDArray[np.float64]

CRITERIA: Final = ("deflection", "moment", "range")
_HALVINGS: Final = 60
_MOST_BAYS: Final = 12  # more bays bend a channel no more, to the sixth digit
_END_BAY: Final = 0.2  # from the first bracket to the end, in bays: 300 of 1500 mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What is put on a lining: a level line load at a height, or an even pressure, or both by turns.

    ``line_load`` [N/m] at ``at`` [m] above the foot; ``pressure`` [Pa]; ``load_factor`` for the moment.
    """

    line_load: float = 0.0
    at: float = 0.9
    pressure: float = 0.0
    load_factor: float = 1.5

    def __post_init__(self) -> None:
        loads = (self.line_load, self.pressure)
        if not (all(0 <= load < np.inf for load in loads) and sum(loads) > 0):
            raise InputError("loads", given=loads, accepted="0 or more, finite, one of them above 0")
        if not (0 < self.at < np.inf and 0 < self.load_factor < np.inf):
            raise InputError("height, load factor", given=(self.at, self.load_factor), accepted="above 0")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Greatest:
    """The greatest length, and which of `CRITERIA` ends it, by its number."""

    length: Values  # [m]
    governs: NDArray[np.int64]


def height_by_pressure(stiffness: ArrayLike, load: ArrayLike, ratio: ArrayLike) -> Values:
    """Height at which an even load deflects a member by 1/``ratio`` of it: (384 EI / 5 w k)^(1/3). [m]

    Parameters
    ----------
    stiffness : array_like
        EI. [N·m²]
    load : array_like
        Along the member. [N/m]
    ratio : array_like
        Height over deflection: 240, 360 and so on.

    Examples
    --------
    >>> float(height_by_pressure(2.0e4, 0.24e3 * 0.6, 240.0).round(2))
    3.54
    """
    ei, w, k = _above("stiffness", stiffness), _above("load", load), _above("ratio", ratio)
    return np.asarray(np.cbrt(384 * ei / (5 * w * k)))


def height_by_line_load(
    stiffness: ArrayLike, force: ArrayLike, at: ArrayLike, ratio: ArrayLike, most: ArrayLike
) -> Values:
    """Height at which a force ``at`` above the foot deflects a member by 1/``ratio`` of it. [m]

    ``most`` [m] is the greatest height looked at; the answer is never more. Arguments as
    `height_by_pressure`, the force in N.

    Notes
    -----
    δ = F b (H² - b²)^1.5 / (9 √3 EI H) with b the lesser distance of the force from an end; δ/H grows with
    H, so halving finds the height.
    """
    ei, put, a = _above("stiffness", stiffness), _above("force", force), _above("height of the load", at)
    k, top = _above("ratio", ratio), _above("greatest height", most)
    ei, put, a, k, top = np.broadcast_arrays(ei, put, a, k, top)
    low, high = np.zeros(ei.shape), top.copy()
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        near = np.clip(np.minimum(a, middle - a), 0.0, None)
        tall = np.maximum(middle, 1e-12)
        part = put * near * (tall**2 - near**2) ** 1.5 / (9 * np.sqrt(3) * ei * tall**2)
        stands = part <= 1 / k
        low, high = np.where(stands, middle, low), np.where(stands, high, middle)
    return low


def greatest_height(
    stiffness: ArrayLike,
    resistance: ArrayLike,
    spacing: ArrayLike,
    ratio: ArrayLike,
    use: Use,
    most: ArrayLike,
) -> Greatest:
    """The greatest height of studs between floor and head.

    Parameters
    ----------
    stiffness : array_like
        EI. [N·m²]
    resistance : array_like
        Moment that a stud bears. [N·m]
    spacing : array_like
        Of the studs. [m]
    ratio : array_like
        Least height over deflection.
    use : Use
    most : array_like
        Heights beyond this are not looked at: then "range" governs. [m]

    Raises
    ------
    InputError
        A number is not above 0 and finite.
    """
    ei, bears = _above("stiffness", stiffness), _above("resistance", resistance)
    apart, top = _above("spacing", spacing), _above("greatest height", most)
    bending: list[Values] = []
    breaking: list[Values] = []
    if use.pressure:
        load = use.pressure * apart
        bending.append(height_by_pressure(ei, load, ratio))
        breaking.append(np.sqrt(8 * bears / (use.load_factor * load)))
    if use.line_load:
        force = use.line_load * apart
        bending.append(height_by_line_load(ei, force, use.at, ratio, top))
        # F a (H - a) / H is borne at every height where F a is.
        foot = use.load_factor * force * use.at
        over = foot - bears
        breaking.append(np.where(over > 0, foot * use.at / np.where(over > 0, over, 1.0), np.inf))
    return _least(bending, breaking, top)


def greatest_span(
    stiffness: ArrayLike,
    resistance: ArrayLike,
    spacing: ArrayLike,
    ratio: ArrayLike,
    use: Use,
    most: ArrayLike,
) -> Greatest:
    """The greatest distance of brackets along channels; arguments as `greatest_height`.

    The channel runs through brackets that do not give way, and a little beyond into floor and head
    channel; the line load stands where it is worst, in the middle of a bay.
    """
    ei, bears = _above("stiffness", stiffness), _above("resistance", resistance)
    apart, k = _above("spacing", spacing), _above("ratio", ratio)
    through = _running_through()
    bending: list[Values] = []
    breaking: list[Values] = []
    if use.pressure:
        load = use.pressure * apart
        bending.append(np.cbrt(ei / (k * load * through.sag_by_spread)))
        breaking.append(np.sqrt(bears / (use.load_factor * load * through.moment_by_spread)))
    if use.line_load:
        force = use.line_load * apart
        bending.append(np.sqrt(ei / (k * force * through.sag_by_force)))
        breaking.append(bears / (use.load_factor * force * through.moment_by_force))
    return _least(bending, breaking, _above("greatest span", most))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Through:
    """Moments and deflections over spans of a channel in bays of 1 m, EI 1, under 1 N or 1 N/m."""

    moment_by_force: float
    sag_by_force: float
    moment_by_spread: float
    sag_by_spread: float


@functools.cache
def _running_through() -> _Through:
    """The worst of channels with one bay or more, every bay loaded by turns."""
    forces, spreads = [], []
    for bays in range(1, _MOST_BAYS + 1):
        brackets = [_END_BAY + k for k in range(bays + 1)]
        end = brackets[-1] + _END_BAY
        held = [Support(at) for at in (0.0, *brackets, end)]
        forces += [_worst(bend(end, 1.0, held, [Force(at + 0.5, 1.0)])) for at in brackets[:-1]]
        spreads.append(_worst(bend(end, 1.0, held, [Spread(0.0, end, 1.0)])))
    return _Through(
        moment_by_force=max(moment for moment, _ in forces),
        sag_by_force=max(sag for _, sag in forces),
        moment_by_spread=max(moment for moment, _ in spreads),
        sag_by_spread=max(sag for _, sag in spreads),
    )


def _worst(bent: Bent) -> tuple[float, float]:
    """Greatest moment and greatest deflection over span."""
    return abs(float(bent.greatest_moment().value)), abs(float(bent.greatest_sag().value))


def _least(bending: list[Values], breaking: list[Values], most: Values) -> Greatest:
    limits = np.stack(
        np.broadcast_arrays(
            np.minimum.reduce(np.broadcast_arrays(*bending)),
            np.minimum.reduce(np.broadcast_arrays(*breaking)),
            most,
        ),
        axis=-1,
    )
    # The end of the range governs where halving ran up to it.
    limits[..., 0] = np.where(limits[..., 0] >= limits[..., 2] * (1 - 1e-12), np.inf, limits[..., 0])
    return Greatest(length=limits.min(axis=-1), governs=limits.argmin(axis=-1))


def _above(field: str, given: ArrayLike) -> Values:
    value = np.asarray(given, float)
    if not np.all(np.isfinite(value) & (value > 0)):
        raise InputError(field, given=given, accepted="above 0, finite")
    return value
