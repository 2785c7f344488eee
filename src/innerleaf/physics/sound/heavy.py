"""Heavy walls of one solid leaf: third-octave sound reduction index by ISO 12354-1 annex B."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.radiation import AIR, Air, checked, forced_efficiency, free_efficiency

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

PLATEAU_AT: Final = 0.02  # loss factor for which the plateau of a thick plate is stated
_BENDING_SPEED: Final = np.sqrt(12.0) / (2 * np.pi)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """A solid layer of a heavy wall: unit, mortar or plaster."""

    thickness: float  # [m]
    density: float  # [kg/m³]
    wave_speed: float  # of quasi-longitudinal waves [m/s]
    loss_factor: float  # internal [-]

    def __post_init__(self) -> None:
        for field in ("thickness", "density", "wave_speed", "loss_factor"):
            checked(f"layer, {field}", getattr(self, field))


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidWall:
    """What layers bonded to one another are as one plate."""

    mass: float  # [kg/m²]
    bending_stiffness: float  # per width [N·m]
    thickness: float  # [m]
    loss_factor: float  # internal [-]

    @property
    def critical_frequency(self) -> float:
        """In standard air. [Hz]"""
        return float(AIR.speed**2 / (2 * np.pi) * np.sqrt(self.mass / self.bending_stiffness))

    @property
    def density(self) -> float:
        """Mean over the thickness. [kg/m³]"""
        return self.mass / self.thickness

    @property
    def wave_speed(self) -> float:
        """Of quasi-longitudinal waves in a homogeneous plate of the same bending stiffness. [m/s]"""
        return float(np.sqrt(12 * self.bending_stiffness / (self.mass * self.thickness**2)))


def bonded(layers: Sequence[Layer]) -> SolidWall:
    """Layers bonded to one another, such as plaster on both faces of brickwork, as one plate.

    Notes
    -----
    Stiffness about the common neutral axis; the internal loss is the mean of the layers' losses weighted with
    their part in the stiffness.

    Examples
    --------
    One layer, sliced or not, is one plate:

    >>> def brick(t): return Layer(thickness=t, density=1800.0, wave_speed=2500.0, loss_factor=0.01)
    >>> [round(bonded(layers).critical_frequency, 1) for layers in ([brick(0.24)], [brick(0.08)] * 3)]
    [108.1, 108.1]
    """
    if not layers:
        raise InputError("layers", given=layers, accepted="at least one layer")
    thickness = np.array([layer.thickness for layer in layers])
    density = np.array([layer.density for layer in layers])
    modulus = density * np.array([layer.wave_speed for layer in layers]) ** 2
    middle = np.cumsum(thickness) - thickness / 2
    axis = (modulus * thickness * middle).sum() / (modulus * thickness).sum()
    parts = modulus * (thickness**3 / 12 + thickness * (middle - axis) ** 2)
    loss = np.array([layer.loss_factor for layer in layers])
    return SolidWall(
        mass=float((density * thickness).sum()),
        bending_stiffness=float(parts.sum()),
        thickness=float(thickness.sum()),
        loss_factor=float((parts * loss).sum() / parts.sum()),
    )


def critical_frequency(thickness: ArrayLike, wave_speed: ArrayLike, air: Air = AIR) -> NDArray[np.float64]:
    """Of a homogeneous plate. [Hz]

    Examples
    --------
    Plasterboard of 12.5 mm with waves of 1810 m/s:

    >>> round(float(critical_frequency(0.0125, 1810.0)))
    2867
    """
    depth, speed = checked("thickness [m]", thickness), checked("wave speed [m/s]", wave_speed)
    return np.asarray(air.speed**2 * _BENDING_SPEED / (speed * depth))


def plateau(density: float, wave_speed: float, total_loss: ArrayLike, air: Air = AIR) -> NDArray[np.float64]:
    """Upper bound on the reduction index of a thick plate. [dB]

    References
    ----------
    ISO 12354-1:2017 annex B (formula from memory; table L.3 reproduced to 0.1 dB).
    """
    loss = checked("total loss factor", total_loss)
    own = checked("density, wave speed", [density, wave_speed])
    thick = 20 * np.log10(1.1 * own.prod() / (4 * air.impedance))
    return np.asarray(thick + 10 * np.log10(loss / PLATEAU_AT))


def heavy_reduction_index(
    frequency: ArrayLike,
    *,
    mass: float,
    critical_frequency: float,
    total_loss: ArrayLike,
    sides: tuple[float, float],
    density: float | None = None,
    wave_speed: float | None = None,
    air: Air = AIR,
) -> NDArray[np.float64]:
    """Sound reduction index of a solid wall in third-octave bands. [dB]

    Parameters
    ----------
    frequency : array_like, shape (bands,)
        Band centres. [Hz]
    mass : float
        [kg/m²]
    critical_frequency : float
        [Hz]
    total_loss : array_like, shape (bands,)
        Total loss factor of the wall as built in: `in_situ.laboratory_loss`, `in_situ.total_loss`. [-]
    sides : tuple of float
        [m]
    density, wave_speed : float, optional
        For the plateau of a thick plate; left out, no plateau. [kg/m³], [m/s]
    air : Air
        `AIR_OF_ISO_12354` reproduces the printed table.

    Raises
    ------
    InputError
        A value not above 0 or not finite.

    References
    ----------
    ISO 12354-1:2017 annex B (formulas from memory). Table L.3 is reproduced to 0.05 dB at and above 1.25
    times the critical frequency and on the plateau; at and below the critical frequency the annex averages
    and its print is up to 4 dB lower.
    """
    f = checked("frequency [Hz]", frequency)
    loss = checked("total loss factor", total_loss)
    m, fc = float(checked("mass", mass)), float(checked("critical frequency", critical_frequency))
    l1, l2 = sides
    free = free_efficiency(f, fc, l1, l2, air)
    resonant = free**2 / loss
    forced = 2 * forced_efficiency(f, l1, l2, air)
    shape = (l1 + l2) ** 2 / (l1**2 + l2**2)
    below = forced + shape * np.sqrt(fc / f) * resonant
    above = np.pi * fc / (2 * f) * resonant
    share = (air.impedance / (np.pi * f * m)) ** 2 * np.where(f > fc, above, below)
    index = -10 * np.log10(share)
    if density is None or wave_speed is None:
        return np.asarray(index)
    return np.asarray(np.minimum(index, plateau(density, wave_speed, loss, air)))
