"""Interstitial condensation by the month, ISO 13788: where water gathers in a wall and whether it dries.

Any number of interfaces may be wet at once. All of it works on many walls together: arrays have the
shape (walls, …), and a thousand variants cost little more than one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError
from innerleaf.physics.moist_air import saturation_pressure
from innerleaf.physics.monthly import DAYS, monthly_values

Values = NDArray[np.float64]
Indices = NDArray[np.int64]

DELTA: Final = 2e-10  # kg/(m·s·Pa), still air, ISO 13788
OUTSIDE_RESISTANCE: Final = 0.04  # m²·K/W
INSIDE_RESISTANCE: Final = 0.13
SPLIT: Final = 0.25  # m²·K/W: layers above are cut into equal parts at most so large
NOTHING: Final = 1e-9  # kg/m², below rounding of what a month brings
PASCAL_SLACK: Final = 1e-7  # of saturation pressure, for telling which interfaces the line touches


@dataclass(frozen=True, slots=True, kw_only=True)
class VapourLayer:
    """A plane layer of the monthly method, outside first."""

    name: str
    resistance: float  # thermal [m²·K/W]; 0 for a membrane
    sd: float  # vapour resistance as a layer of still air [m]
    thickness: float = 0.0  # m; 0: not known, the sd is not held against it

    def __post_init__(self) -> None:
        if not 0 <= self.resistance < np.inf:
            raise InputError(
                f"layer {self.name}, thermal resistance", given=self.resistance, accepted="0 m²·K/W or more"
            )
        if not 0 <= self.thickness < np.inf:
            raise InputError(f"layer {self.name}, thickness", given=self.thickness, accepted="0 m or more")
        if not (0 < self.sd < np.inf and self.sd >= self.thickness * (1 - 1e-9)):
            accepted = (
                f"at least its thickness of {self.thickness:g} m (still air), finite"
                if self.thickness
                else "above 0 m, finite"
            )
            raise InputError(f"layer {self.name}, sd", given=self.sd, accepted=accepted)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CondensateYear:
    """A year of condensation and drying; the months run from ``start`` on.

    ``interfaces`` names the inner faces between parts, outside first. All water in kg/m².
    """

    interfaces: tuple[str, ...]
    start: Indices  # (walls,) first month with condensation, 0 is January; -1: no condensation
    months: Indices  # (walls, 12) month of each column
    gained: Values  # (walls, 12, interfaces) in that month; negative: dried
    held: Values  # (walls, 12, interfaces) at its end

    @property
    def peak(self) -> Values:
        """Most water held at once, all interfaces together, (walls,)."""
        return np.asarray(self.held.sum(axis=2).max(axis=1))

    @property
    def left(self) -> Values:
        """Still held after the twelfth month, (walls,); above zero it gathers from year to year."""
        return np.asarray(self.held[:, -1].sum(axis=1))

    @property
    def dry_again(self) -> Indices:
        """Month (0 is January) at whose end all stays dry; -1: never wet; -2: never dry."""
        total = self.held.sum(axis=2)
        wet = total > NOTHING
        last = 11 - np.argmax(wet[:, ::-1], axis=1)
        after = np.take_along_axis(self.months, np.minimum(last + 1, 11)[:, None], axis=1)[:, 0]
        return np.where(~wet.any(axis=1), -1, np.where(last == 11, -2, after))


def condensate_year(
    layers: Sequence[VapourLayer],
    *,
    outside: ArrayLike,
    outside_pressure: ArrayLike,
    room: ArrayLike,
    room_pressure: ArrayLike,
    resistances: ArrayLike | None = None,
    sds: ArrayLike | None = None,
    outside_resistance: float = OUTSIDE_RESISTANCE,
    inside_resistance: float = INSIDE_RESISTANCE,
) -> CondensateYear:
    """A year of condensation in a wall, or in many variants of it.

    Parameters
    ----------
    layers : sequence of VapourLayer
        Outside first.
    outside, outside_pressure, room, room_pressure : array_like, 12 values or (walls, 12)
        Monthly means. [°C], [Pa]
    resistances, sds : array_like, shape (walls, layers), optional
        Variants of the layers' values; how the layers are split is decided by ``layers``. [m²·K/W], [m]

    Returns
    -------
    CondensateYear

    Raises
    ------
    InputError
        No layers, a month missing, a value that cannot be.

    Notes
    -----
    Each month is steady. Between dry faces the vapour pressure is the taut line below saturation over
    sd (the lower hull): where it touches, water gathers by the change of its slope. A face that still
    holds water stays at saturation; what leaves it is cut to what was there. The year begins with the
    first month of condensation after a dry one; where every month condenses, with the month that
    gains most. Liquid transport, moving air and built-in water are outside the method.
    """
    names, r, sd = _parts(layers, resistances, sds)
    climate = [
        np.atleast_2d(monthly_values(name, np.broadcast_to(np.asarray(given, float), _shape(given))))
        for name, given in (
            ("outside temperature", outside),
            ("outside vapour pressure", outside_pressure),
            ("room temperature", room),
            ("room vapour pressure", room_pressure),
        )
    ]
    walls = max(len(r), *(len(part) for part in climate))
    t_e, p_e, t_i, p_i = (np.broadcast_to(part, (walls, 12)) for part in climate)
    r, sd = (np.broadcast_to(part, (walls, r.shape[1])) for part in (r, sd))
    depth = np.concatenate([np.zeros((walls, 1)), np.cumsum(sd, axis=1)], axis=1)
    through = outside_resistance + np.cumsum(r, axis=1)[:, :-1]
    total = outside_resistance + r.sum(axis=1, keepdims=True) + inside_resistance
    saturated = saturation_pressure(
        t_e[:, None, :] + (through / total)[:, :, None] * (t_i - t_e)[:, None, :]
    )  # (walls, faces, 12)

    def month(which: Indices, wet: NDArray[np.bool_]) -> Values:
        """What each face gains in a month when some are wet already. [kg/m²]"""
        at = which[:, None]
        limit = np.take_along_axis(saturated, which[:, None, None], axis=2)[:, :, 0]
        low, high = (np.take_along_axis(p, at, axis=1) for p in (p_e, p_i))
        points = np.concatenate([low, limit, high], axis=1)
        line = _taut(depth, points, wet)
        slope = np.diff(line, axis=1) / sd
        seconds = np.asarray(DAYS, float)[which, None] * 86400
        gain = DELTA * np.diff(slope, axis=1) * seconds
        touches = line[:, 1:-1] >= limit * (1 - PASCAL_SLACK)
        gain = np.where(wet | (touches & (gain > NOTHING)), gain, 0.0)
        return np.asarray(gain)

    dry = np.zeros((walls, len(names)), bool)
    fresh = np.stack([month(np.full(walls, m), dry).sum(axis=1) for m in range(12)], axis=1)
    start = _start(fresh)
    months = (np.maximum(start, 0)[:, None] + np.arange(12)) % 12
    gained, held = np.zeros((walls, 12, len(names))), np.zeros((walls, 12, len(names)))
    now = np.zeros((walls, len(names)))
    for k in range(12):
        gained[:, k] = month(months[:, k], now > NOTHING)
        after = np.maximum(now + gained[:, k], 0.0)
        now = np.where(after > NOTHING, after, 0.0)
        held[:, k] = now
    return CondensateYear(interfaces=names, start=start, months=months, gained=gained, held=held)


def steady_flux(
    layers: Sequence[VapourLayer], outside_pressure: float, room_pressure: float
) -> tuple[float, Values]:
    """Vapour flux outwards [kg/(m²·s)] and pressure at each inner face [Pa], without condensation."""
    sd = np.array([layer.sd for layer in layers])
    flux = DELTA * (room_pressure - outside_pressure) / sd.sum()
    return float(flux), outside_pressure + flux / DELTA * np.cumsum(sd)


def _shape(given: ArrayLike) -> tuple[int, ...]:
    shape = np.shape(given)
    return shape or (12,)


def _parts(
    layers: Sequence[VapourLayer], resistances: ArrayLike | None, sds: ArrayLike | None
) -> tuple[tuple[str, ...], Values, Values]:
    """Names of the faces between parts, and R and sd of the parts, (walls, parts)."""
    if not layers:
        raise InputError("layers", given=[], accepted="at least one layer")
    cuts = [max(1, int(np.ceil(layer.resistance / SPLIT - 1e-9))) for layer in layers]
    given = []
    for what, own, variants in (
        ("thermal resistances", [layer.resistance for layer in layers], resistances),
        ("sd values", [layer.sd for layer in layers], sds),
    ):
        value = np.atleast_2d(np.asarray(own if variants is None else variants, float))
        if value.shape[1] != len(layers):
            raise InputError(what, given=value.shape, accepted=f"one column for each of {len(layers)} layers")
        if not np.all(np.isfinite(value) & (value >= 0)):
            raise InputError(what, given=float(value[~(value >= 0)][0]), accepted="0 or more, finite")
        given.append(np.repeat(value / cuts, cuts, axis=1))
    if not np.all(given[1] > 0):
        raise InputError("sd values", given=0.0, accepted="above 0 m")
    names = [
        f"{layer.name} inner face" if part == count else f"{layer.name} {part}/{count}"
        for layer, count in zip(layers, cuts, strict=True)
        for part in range(1, count + 1)
    ]
    walls = max(len(value) for value in given)
    r, sd = (np.broadcast_to(value, (walls, value.shape[1])) for value in given)
    return tuple(names[:-1]), r, sd


def _taut(depth: Values, points: Values, wet: NDArray[np.bool_]) -> Values:
    """The taut line from end to end that stays below the points and passes through the wet ones.

    Each value is the least of all chords over it that no wet point interrupts. (walls, points)
    """
    x, p = np.ascontiguousarray(depth.T), np.ascontiguousarray(points.T)  # walls last: they lie together
    line = p.copy()
    wets = np.concatenate([np.zeros((2, len(points)), int), np.cumsum(wet.T, axis=0)])  # before each point
    for i in range(len(p) - 2):
        for j in range(i + 2, len(p)):
            between = slice(i + 1, j)
            chord = p[i] + (p[j] - p[i]) / (x[j] - x[i]) * (x[between] - x[i])
            chord[:, wets[j] != wets[i + 1]] = np.inf
            np.minimum(line[between], chord, out=line[between])
    return line.T


def _start(fresh: Values) -> Indices:
    """First month that condenses after one that does not, (walls,); -1: none does."""
    condenses = fresh > NOTHING
    begins = condenses & ~np.roll(condenses, 1, axis=1)
    # where several spells begin, the year starts after the longest dry time: no water is carried over
    run = np.zeros(fresh.shape, int)
    for back in range(1, 12):
        run += np.all(np.stack([~np.roll(condenses, b, axis=1) for b in range(1, back + 1)]), axis=0)
    first = np.argmax(np.where(begins, run, -1), axis=1)
    always = condenses.all(axis=1)
    first = np.where(always, np.argmax(fresh, axis=1), first)
    return np.where(condenses.any(axis=1), first, -1)
