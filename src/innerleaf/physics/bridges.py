"""U-values and what bridges add, from solved sections."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from innerleaf.errors import InputError
from innerleaf.physics.conduction import solve
from innerleaf.physics.conduction_answer import Interval, Solution
from innerleaf.physics.grid import Lines, feature_lines, paint
from innerleaf.physics.section import Section


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """What some parts add to the thermal coupling: psi of a line in 2D, chi of a point in 3D.

    ``interval`` is guaranteed; ``value`` is its middle and far nearer to the truth than the interval is
    wide, as the errors of section and reference cancel on the same grid lines. [W/(m·K) or W/K]
    """

    interval: Interval
    coupling: Interval
    reference: Interval

    @property
    def value(self) -> float:
        """The best estimate."""
        return self.interval.middle


def u_value(coupling: Interval, area: float) -> Interval:
    """Thermal transmittance of a part with an area [m²], or a length [m] in 2D. [W/(m²·K)]

    Raises
    ------
    InputError
        The area is not above 0.
    """
    if not area > 0:
        raise InputError("area", given=area, accepted="above 0 m² (m in 2D)")
    return coupling * (1 / area)


def temperature_factor(surface: float, inside: float, outside: float) -> float:
    """fRsi = (θsi - θe) / (θi - θe), from temperatures. [degC] -> [-]

    References
    ----------
    ISO 13788:2012 and ISO 10211:2017 define it; the inside surface resistance used has to be said with it.
    """
    if inside == outside:
        raise InputError("temperatures", given=(inside, outside), accepted="two different ones")
    return (surface - outside) / (inside - outside)


def bridge_of_boxes(
    solution: Solution,
    without: Iterable[str],
    warm: Sequence[str],
    cold: Sequence[str],
    *,
    times: float = 1.0,
) -> Bridge:
    """What named boxes add: the coupling as solved, less that of the section without them.

    The reference is solved on the same grid lines, but for an axis along which nothing changes in it: one
    cell is exact there. ``times``: into how many parts like the section planes of symmetry cut the bridge.
    """
    bare = solution.section.without(without)
    reference = solve(bare, lines=_collapsed(bare, solution.grid.lines)).coupling(warm, cold)
    return _bridge(solution.coupling(warm, cold) * times, reference * times)


def bridge_of_parts(coupling: Interval, parts: Iterable[tuple[float, float]]) -> Bridge:
    """The coupling less the sum of U·A, U·l or psi·l of plain parts, each a pair of both factors."""
    plain = sum(first * second for first, second in parts)
    return _bridge(coupling, Interval(plain, plain))


def _bridge(coupling: Interval, reference: Interval) -> Bridge:
    interval = Interval(coupling.low - reference.high, coupling.high - reference.low)
    return Bridge(interval=interval, coupling=coupling, reference=reference)


def _collapsed(section: Section, lines: Lines) -> Lines:
    """Lines with one interval along each axis that the section does not change along."""
    features = feature_lines(section)
    grid = paint(section, features)
    return tuple(
        feature if len(feature) == 2 and not (grid.touching[axis] >= 0).any() else line
        for axis, (feature, line) in enumerate(zip(features, lines, strict=True))
    )
