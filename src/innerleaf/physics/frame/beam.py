"""A stud or channel as an Euler beam on the supports it really has, exact in every piece.

The deflection is a straight line plus, for every force F at a, F |x - a|³ / (12 EI): with all forces in
equilibrium that is the exact answer, and the reactions are the solution of a small, well-conditioned
system (supports + 2). Couples and spread loads are its derivative and integral. Nothing is subdivided,
so supports and loads may coincide, and many members of one pattern are solved together: every number may
be an array, broadcast over the members.

SI units. x runs along the member from its foot; loads, deflections and the forces that supports give back
against them are positive one way across it. Moments are positive where the member sags under the load.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Final, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError

Values = NDArray[np.float64]

RIGID: Final = np.inf
_HALVINGS: Final = 60  # finds a place to the last bits of its interval
_SAME_PLACE: Final = 1e-9  # of the length: rigid supports no farther apart are one


@dataclass(frozen=True, slots=True, eq=False)
class Support:
    """Holds the member across: RIGID, or a spring. [m, N/m]"""

    at: ArrayLike
    stiffness: ArrayLike = RIGID


@dataclass(frozen=True, slots=True, eq=False)
class Force:
    """A force across the member. [m, N]"""

    at: ArrayLike
    force: ArrayLike


@dataclass(frozen=True, slots=True, eq=False)
class Couple:
    """A couple; positive: a force with the loads just above, one against them just below. [m, N·m]"""

    at: ArrayLike
    couple: ArrayLike


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """An even load from ``start`` to ``end``. [m, m, N/m]"""

    start: ArrayLike
    end: ArrayLike
    load: ArrayLike


Load = Force | Couple | Spread
_Thing = TypeVar("_Thing", bound=Support | Load)


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """Loads that come together, with their load factors in the two limit states."""

    loads: tuple[Load, ...]
    ultimate: float = 1.5
    service: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Peak:
    """The value of greatest size along a member, with its sign, and the height where it is. [m]"""

    value: Values
    at: Values


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bent:
    """A member under its loads; ``reactions`` has one column for each support, as they were given. [N]"""

    length: Values
    stiffness: Values
    supports: tuple[Support, ...]
    forces: tuple[Load, ...]  # loads, and reactions against them
    reactions: Values
    start: Values  # of the straight part of the deflection [m]
    tilt: Values

    def deflection(self, x: ArrayLike) -> Values:
        """Deflection at heights ``x``: one for all members, or shape (..., heights). [m]"""
        return self._at(x, lambda p: self._sum(p, 0) / self._ei + self.start[..., None] + self._tilt * p)

    def slope(self, x: ArrayLike) -> Values:
        """Slope at heights ``x``."""
        return self._at(x, lambda p: self._sum(p, 1) / self._ei + self._tilt)

    def moment(self, x: ArrayLike, side: int = 0) -> Values:
        """Moment at heights ``x``; just below (``side`` -1) or above (1) a couple that stands there. [N·m]"""
        return self._at(x, lambda p: -self._sum(p, 2, side))

    def shear(self, x: ArrayLike, side: int = 0) -> Values:
        """Shear force dM/dx at heights ``x``; just below (``side`` -1) or above (1) a force. [N]"""
        return self._at(x, lambda p: -self._sum(p, 3, side))

    def greatest_shear(self) -> Peak:
        """The greatest shear force: at an end of a piece."""
        low, high = self._pieces()
        return _peak([(low, self.shear(low, 1)), (high, self.shear(high, -1))])

    def greatest_moment(self) -> Peak:
        """The greatest moment: at an end of a piece, or where its shear force is nought."""
        low, high = self._pieces()
        v, v_high = self.shear(low, 1), self.shear(high, -1)
        inner = np.clip(low + (high - low) * _ratio(v, v - v_high), low, high)
        ends = [(low, self.moment(low, 1)), (high, self.moment(high, -1))]
        return _peak([*ends, (inner, self.moment(inner))])

    def greatest_deflection(self) -> Peak:
        """The greatest deflection: at an end of the member, or where the slope is nought."""
        at = self._still_places()
        return _peak([(at, self.deflection(at))])

    def greatest_sag(self) -> Peak:
        """The greatest deflection over its span, support to support; of an overhang: twice its length."""
        at = self._still_places()
        held = np.stack(np.broadcast_arrays(self.length, *(np.asarray(s.at) for s in self.supports))[1:], -1)
        places = held[..., None, :]
        below = np.max(np.where(places <= at[..., None], places, -np.inf), axis=-1)
        above = np.min(np.where(places >= at[..., None], places, np.inf), axis=-1)
        on_support = np.isclose(above, below, rtol=0, atol=_SAME_PLACE)
        over = np.where(np.isinf(below), 2 * above, 2 * (self.length[..., None] - below))
        span = np.where(np.isinf(below) | np.isinf(above), over, above - below)
        sag = np.where(on_support, 0.0, _ratio(self.deflection(at), span))
        return _peak([(at, sag)])

    @property
    def _ei(self) -> Values:
        return self.stiffness[..., None]

    @property
    def _tilt(self) -> Values:
        return self.tilt[..., None]

    def _at(self, x: ArrayLike, curve: Callable[[Values], Values]) -> Values:
        places = np.asarray(x, float)
        return curve(places) if places.ndim else curve(places[None])[..., 0]

    def _sum(self, places: Values, order: int, side: int = 0) -> Values:
        shapes = (_kernel(force, places, order, side) for force in self.forces)
        return sum(shapes, np.zeros(np.broadcast_shapes(places.shape, self._ei.shape)))

    def _pieces(self) -> tuple[Values, Values]:
        """Ends of the pieces in which the curve keeps its formula; some may have no length."""
        places = [np.zeros(()), self.length, self.stiffness * 0]
        places += [np.asarray(at) for force in self.forces for at in _places(force)]
        breaks = np.sort(np.stack(np.broadcast_arrays(*places), axis=-1), axis=-1)
        return breaks[..., :-1], breaks[..., 1:]

    def _still_places(self) -> Values:
        """Ends of pieces and the heights without slope.

        In a piece M = m + v s - q s²/2 from its lower end. Between two heights without moment the slope
        runs one way only, so halving finds where it is nought.
        """
        low, high = self._pieces()
        m, v, slope = self.moment(low, 1), self.shear(low, 1), self.slope(low)
        q = _ratio(v - self.shear(high, -1), high - low)
        root = v + np.where(v < 0, -1, 1) * np.sqrt(np.maximum(v**2 + 2 * q * m, 0))
        turns = (_ratio(root, q), -_ratio(2 * m, root))
        whole = high - low
        ends = np.sort(np.stack([0 * whole, *(np.clip(t, 0, whole) for t in turns), whole], -1), -1)
        m, v, q, slope = (value[..., None] for value in (m, v, q, slope))

        def sign(s: Values) -> Values:
            return np.asarray(np.sign(slope - s * (m + s * (v / 2 - s * q / 6)) / self._ei[..., None]))

        a, b = ends[..., :-1], ends[..., 1:]
        begins = sign(a)
        for _ in range(_HALVINGS):
            middle = (a + b) / 2
            same = sign(middle) == begins
            a, b = np.where(same, middle, a), np.where(same, b, middle)
        places = low[..., None] + np.concatenate([ends, a], axis=-1)
        return np.asarray(places.reshape(*places.shape[:-2], -1))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LimitStates:
    """A member with the load factors of both limit states."""

    ultimate: Bent  # for moments, shear and reactions
    service: Bent  # for deflections


def both_states(
    length: ArrayLike, stiffness: ArrayLike, supports: Sequence[Support], actions: Sequence[Action]
) -> LimitStates:
    """Bend a member under actions with their factors; arguments and errors as `bend`."""
    ultimate, service = (
        [scaled(load, getattr(action, state)) for action in actions for load in action.loads]
        for state in ("ultimate", "service")
    )
    return LimitStates(
        ultimate=bend(length, stiffness, supports, ultimate),
        service=bend(length, stiffness, supports, service),
    )


def scaled(load: Load, factor: ArrayLike) -> Load:
    """A load times a factor."""
    if isinstance(load, Force):
        return replace(load, force=np.multiply(load.force, factor))
    if isinstance(load, Couple):
        return replace(load, couple=np.multiply(load.couple, factor))
    return replace(load, load=np.multiply(load.load, factor))


def bend(length: ArrayLike, stiffness: ArrayLike, supports: Sequence[Support], loads: Sequence[Load]) -> Bent:
    """Bend a member.

    Parameters
    ----------
    length : array_like
        Of the member. [m]
    stiffness : array_like
        EI across the wall. [N·m²]
    supports : sequence of Support
        Two at least, at different heights.
    loads : sequence of Load
        May be empty.

    Raises
    ------
    InputError
        A number is not finite or a height not on the member; fewer than two supports hold it, or two rigid
        ones stand at one height.

    Notes
    -----
    Euler's beam: plane sections, small deflections. Shear of the web is left out; under an even load it
    would add 9.6 EI / (G A_web H²), 0.9 % for a CW 75 of 2.6 m.

    Examples
    --------
    A stud of 3 m, line load 0.3125 kN at 0.9 m (DIN 4103-1, 0.5 kN/m at 0.625 m centres):

    >>> stud = bend(3.0, 210e9 * 105868.8e-12, [Support(0), Support(3.0)], [Force(0.9, 312.5)])
    >>> round(float(stud.greatest_moment().value), 1), stud.reactions.round(2).tolist()
    (196.9, [218.75, 93.75])
    >>> round(float(stud.greatest_deflection().value) * 1000, 2)
    6.34
    """
    long, ei = _number("length", length), _number("stiffness", stiffness)
    if not (np.all(long > 0) and np.all(ei > 0)):
        raise InputError("length, stiffness", given=(length, stiffness), accepted="above 0, finite")
    held = tuple(_checked(support, long) for support in supports)
    pressed = tuple(_checked(load, long) for load in loads)
    _check_supports(held, long)
    shape = np.broadcast_shapes(
        long.shape, ei.shape, *(np.shape(v) for t in (*held, *pressed) for v in _values(t))
    )
    long, ei = np.broadcast_to(long, shape), np.broadcast_to(ei, shape)
    at = np.stack([np.broadcast_to(support.at, shape) for support in held], -1) / long[..., None]
    soft = np.stack([ei / long**3 / np.asarray(support.stiffness) for support in held], -1)
    count = len(held)
    matrix = np.zeros((*shape, count + 2, count + 2))
    matrix[..., :count, :count] = np.abs(at[..., :, None] - at[..., None, :]) ** 3 / 12
    matrix[..., range(count), range(count)] += soft
    matrix[..., :count, count] = matrix[..., count, :count] = 1
    matrix[..., :count, count + 1] = matrix[..., count + 1, :count] = at
    right = np.zeros((*shape, count + 2))
    for load in pressed:
        right[..., :count] += _kernel(load, at * long[..., None], 0) / long[..., None] ** 3
        force, moment = _resultant(load)
        right[..., count] += force
        right[..., count + 1] += moment / long
    solved = np.linalg.solve(matrix, right[..., None])[..., 0]
    reactions = solved[..., :count]
    back = [Force(support.at, -reactions[..., i]) for i, support in enumerate(held)]
    return Bent(
        length=long,
        stiffness=ei,
        supports=held,
        forces=(*pressed, *back),
        reactions=reactions,
        start=-solved[..., count] * long**3 / ei,
        tilt=-solved[..., count + 1] * long**2 / ei,
    )


def _kernel(load: Load, places: Values, order: int, side: int = 0) -> Values:
    """EI times the deflection of a load without end, or its derivative of an order up to 3."""
    if isinstance(load, Spread):
        from_start, from_end = (places - np.asarray(p)[..., None] for p in (load.start, load.end))
        return np.asarray(load.load)[..., None] * (
            _power(from_start, 4 - order) - _power(from_end, 4 - order)
        )
    away = places - np.asarray(load.at)[..., None]
    if isinstance(load, Force):
        return np.asarray(load.force)[..., None] * _power(away, 3 - order, side)
    return -np.asarray(load.couple)[..., None] * _power(away, 2 - order, side)


def _power(u: Values, power: int, side: int = 0) -> Values:
    """Integrals of sign(u)/2, each of the one before: sign/2, |u|/2, u|u|/4, |u|³/12, u|u|³/48."""
    if power < 0:
        return np.zeros_like(u)  # a couple has no shear force but in its own place
    if power == 0:
        return np.where(u == 0, side, np.sign(u)) / 2
    size = np.abs(u)
    return (size / 2, u * size / 4, size**3 / 12, u * size**3 / 48)[power - 1]


def _resultant(load: Load) -> tuple[Values, Values]:
    """Force of a load, and its moment about the foot."""
    if isinstance(load, Couple):
        return np.zeros(()), np.asarray(load.couple)
    if isinstance(load, Force):
        return np.asarray(load.force), np.multiply(load.force, load.at)
    force = np.multiply(load.load, np.subtract(load.end, load.start))
    return force, force * np.add(load.start, load.end) / 2


def _places(load: Load) -> tuple[ArrayLike, ...]:
    return (load.start, load.end) if isinstance(load, Spread) else (load.at,)


def _ratio(a: Values, b: Values) -> Values:
    """a / b, and 0 where b is 0."""
    return np.divide(a, b, out=np.zeros(np.broadcast_shapes(a.shape, b.shape)), where=b != 0)


def _peak(candidates: Sequence[tuple[Values, Values]]) -> Peak:
    """The candidate of greatest size, member by member."""
    at = np.concatenate([place for place, _ in candidates], axis=-1)
    values = np.concatenate([value for _, value in candidates], axis=-1)
    at = np.broadcast_to(at, values.shape)
    best = np.argmax(np.abs(values), axis=-1)[..., None]
    return Peak(
        value=np.take_along_axis(values, best, -1)[..., 0], at=np.take_along_axis(at, best, -1)[..., 0]
    )


def _number(field: str, given: ArrayLike) -> Values:
    value = np.asarray(given, float)
    if not np.all(np.isfinite(value)):
        raise InputError(field, given=given, accepted="finite")
    return value


def _values(thing: Support | Load) -> Iterator[ArrayLike]:
    return (getattr(thing, field.name) for field in fields(thing))


def _checked(thing: _Thing, length: Values) -> _Thing:
    """The same with its numbers as arrays; heights must lie on the member."""
    kind = type(thing).__name__.lower()
    numbers = {field.name: np.asarray(getattr(thing, field.name), float) for field in fields(thing)}
    for name, value in numbers.items():
        if name == "stiffness":
            if not np.all(value > 0):
                raise InputError(f"{kind}, {name}", given=value.tolist(), accepted="above 0 N/m, or RIGID")
        elif not np.all(np.isfinite(value)):
            raise InputError(f"{kind}, {name}", given=value.tolist(), accepted="finite")
        elif name in ("at", "start", "end") and not np.all((value >= 0) & (value <= length)):
            raise InputError(f"{kind}, {name}", given=value.tolist(), accepted="0 to the member's length")
    return replace(thing, **numbers)  # type: ignore[arg-type]


def _check_supports(held: Sequence[Support], length: Values) -> None:
    """Two supports at different heights at least, rigid ones all at different heights."""
    if len(held) < 2:
        raise InputError("supports", given=len(held), accepted="two or more")
    places = np.stack(np.broadcast_arrays(*(np.asarray(s.at) / length for s in held)), -1)
    hard = np.stack(np.broadcast_arrays(*(np.isinf(np.asarray(s.stiffness)) for s in held)), -1)
    near = np.abs(places[..., :, None] - places[..., None, :]) <= _SAME_PLACE
    both = near & hard[..., :, None] & hard[..., None, :]
    if np.any(both & ~np.eye(len(held), dtype=bool)):
        raise InputError("supports", given=places.tolist(), accepted="rigid ones at different heights")
    if np.any(near.all(axis=(-1, -2))):
        raise InputError("supports", given=places.tolist(), accepted="two at different heights")
