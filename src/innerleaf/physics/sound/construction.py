"""A wall of leaves with cavities between them and what bridges each cavity, as plain numbers.

Sound goes through the air of the cavities and through the bridges; both add as energies. A wall may have
one, two or three leaves: a solid wall, a partition or a lined wall, a wall lined on both sides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.leaf import Leaf
from innerleaf.physics.sound.radiation import AIR, PRESSURE, checked

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_LEAVES: Final = 3
MOST_BRIDGES: Final = 2  # per cavity: the frame, and the rim of the wall
COMPLIANCE_AT: Final = 250.0  # Hz: where the compliance of a bridge is stated
LOWEST_RESISTIVITY: Final = 1000.0  # Pa·s/m²; below, the formulas for fibres do not hold
_ADIABATIC: Final = 1.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Cavity:
    """Space between two leaves, empty or with a porous layer against one of them.

    ``drag`` stands for all that damps sound in the air of an empty space (rims, faces, studs), as a flow
    resistivity; the losses for what damps its spring beyond that, as loss factors.
    """

    depth: float  # [m]
    fill: float = 0.0  # thickness of the porous layer [m]
    flow_resistivity: float = 5000.0  # of the porous layer [Pa·s/m²]
    drag: float = 100.0  # [Pa·s/m²]
    fill_loss: float = 0.0  # [-]
    air_loss: float = 0.0  # [-]
    fill_first: bool = True  # the porous layer lies against the first of the two leaves

    def __post_init__(self) -> None:
        checked("cavity, depth [m]", self.depth)
        checked("cavity, drag [Pa·s/m²]", self.drag)
        if not 0 <= self.fill <= self.depth:
            raise InputError("cavity, fill", given=self.fill, accepted=f"0 to {self.depth} m")
        if not LOWEST_RESISTIVITY <= self.flow_resistivity < np.inf:
            accepted = f"{LOWEST_RESISTIVITY:g} Pa·s/m² or more, finite"
            raise InputError("cavity, flow_resistivity", given=self.flow_resistivity, accepted=accepted)
        if not (0 <= self.fill_loss < np.inf and 0 <= self.air_loss < np.inf):
            given = (self.fill_loss, self.air_loss)
            raise InputError("cavity, losses", given=given, accepted="0 or more, finite")

    def row(self) -> tuple[float, ...]:
        """As the kernel takes it."""
        losses = self.fill_loss, self.air_loss
        return self.depth, self.fill, self.flow_resistivity, self.drag, *losses, float(self.fill_first)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """What ties two leaves across a cavity: in lines (studs, battens) or in points (brackets).

    ``spacing`` is the distance between lines, or the side of the square each point has to itself.
    Compliance at f is fixing + compliance·(f/250 Hz)^exponent; 0 is rigid. ``bay`` is the piece of a
    leaf between supports, whose rim radiates what vibrates freely in it; ``free_share`` how much of that
    counts.
    """

    kind: Literal["line", "point"]
    spacing: float  # [m]
    compliance: float = 0.0  # lines: per length [m²/N]; points [m/N]
    exponent: float = 0.0
    fixing: float = 0.0  # of the screws, the same at all frequencies; unit as compliance
    bay: tuple[float, float] = (0.6, 2.5)  # [m]
    free_share: float = 1.0  # [-]

    def __post_init__(self) -> None:
        if self.kind not in ("line", "point"):
            raise InputError("bridge, kind", given=self.kind, accepted="line or point")
        checked("bridge, spacing and bay [m]", [self.spacing, *self.bay])
        for field in ("compliance", "fixing", "free_share"):
            given = getattr(self, field)
            if not 0 <= given < np.inf:
                raise InputError(f"bridge, {field}", given=given, accepted="0 or more, finite")
        if not np.isfinite(self.exponent):
            raise InputError("bridge, exponent", given=self.exponent, accepted="finite")

    def row(self) -> tuple[float, ...]:
        """As the kernel takes it; kind 1 is a line, 2 a point, 0 no bridge."""
        kind = 1.0 if self.kind == "line" else 2.0
        return kind, self.spacing, self.compliance, self.exponent, *self.bay, self.free_share, self.fixing


CAVITY_FIELDS: Final = 7
BRIDGE_FIELDS: Final = 8
NO_BRIDGE: Final = (0.0, 1.0, 0.0, 0.0, 1.0, 1.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Construction:
    """Leaves in order, the cavities between them, and the bridges of each cavity."""

    leaves: tuple[Leaf, ...]
    cavities: tuple[Cavity, ...] = ()
    bridges: tuple[tuple[Bridge, ...], ...] = ()  # for each cavity; left out: none anywhere
    area: float = 10.0  # [m²]
    leak: float = 0.0  # share of sound energy that goes by leaks and workmanship [-]

    def __post_init__(self) -> None:
        gaps = len(self.leaves) - 1
        if not 1 <= len(self.leaves) <= MOST_LEAVES:
            raise InputError("leaves", given=len(self.leaves), accepted=f"1 to {MOST_LEAVES}")
        if len(self.cavities) != gaps:
            raise InputError("cavities", given=len(self.cavities), accepted=f"{gaps}, one between two leaves")
        if self.bridges and len(self.bridges) != gaps:
            raise InputError("bridges", given=len(self.bridges), accepted=f"{gaps}, those of each cavity")
        if any(len(tied) > MOST_BRIDGES for tied in self.bridges):
            raise InputError("bridges of a cavity", given=self.bridges, accepted=f"up to {MOST_BRIDGES}")
        checked("area [m²]", self.area)
        if not 0 <= self.leak < 1:
            raise InputError("leak", given=self.leak, accepted="0 to below 1")

    def turned(self) -> Construction:
        """The same wall seen from the other side."""
        return Construction(
            leaves=self.leaves[::-1],
            cavities=tuple(replace(each, fill_first=not each.fill_first) for each in self.cavities[::-1]),
            bridges=self.bridges[::-1],
            area=self.area,
            leak=self.leak,
        )


class Arrays(NamedTuple):
    """Many constructions with equally many leaves, as the kernel takes them."""

    leaves: NDArray[np.float64]  # (n, leaves, 4): `Leaf.row`
    cavities: NDArray[np.float64]  # (n, leaves - 1, 7): `Cavity.row`
    bridges: NDArray[np.float64]  # (n, leaves - 1, 2, 8): `Bridge.row`
    area: NDArray[np.float64]  # (n,)
    leak: NDArray[np.float64]  # (n,)


def as_arrays(constructions: Sequence[Construction]) -> Arrays:
    """Pack constructions with equally many leaves; `InputError` if they have not, or there is none."""
    counts = {len(each.leaves) for each in constructions}
    if len(counts) != 1:
        raise InputError("constructions", given=sorted(counts), accepted="some, with equally many leaves")
    gaps = counts.pop() - 1
    n = len(constructions)
    bridges = np.empty((n, gaps, MOST_BRIDGES, BRIDGE_FIELDS))
    bridges[:] = NO_BRIDGE
    for i, each in enumerate(constructions):
        for j, tied in enumerate(each.bridges):
            for k, bridge in enumerate(tied):
                bridges[i, j, k] = bridge.row()
    return Arrays(
        np.array([[leaf.row() for leaf in each.leaves] for each in constructions]),
        np.array([[cavity.row() for cavity in each.cavities] for each in constructions]).reshape(
            n, gaps, CAVITY_FIELDS
        ),
        bridges,
        np.array([each.area for each in constructions]),
        np.array([each.leak for each in constructions]),
    )


def resonance(depth: float, m1: float, m2: float, *, filled: bool = False) -> float:
    """Mass-spring-mass resonance at normal incidence; the air of a filled cavity is isothermal. [Hz]

    Examples
    --------
    >>> round(resonance(0.05, 300.0, 8.5), 1), round(resonance(0.05, 300.0, 8.5, filled=True), 1)
    (93.2, 78.8)
    """
    checked("depth [m], masses [kg/m²]", [depth, m1, m2])
    spring = PRESSURE * (1.0 if filled else _ADIABATIC) / depth
    return float(np.sqrt(spring * (1 / m1 + 1 / m2)) / (2 * np.pi))


def mass_law(frequency: float, mass: float) -> float:
    """Reduction index of a mass alone at normal incidence. [dB]

    >>> round(mass_law(500.0, 10.0), 1)
    31.6
    """
    return float(10 * np.log10(1 + (np.pi * frequency * mass / AIR.impedance) ** 2))
