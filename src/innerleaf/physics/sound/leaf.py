"""One leaf of a wall: a plate, a packet of boards, or a solid wall behind a lining."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.radiation import AIR, Air, checked, forced_efficiency

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

LABORATORY_EDGE_LOSS: Final = 1 / 485.0  # per mass, of heavy walls in a test opening: EN 12354-1:2000 (C.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """A leaf that bends as one plate; loss factor at f is loss_factor + edge_loss/√f."""

    mass: float  # [kg/m²]
    critical_frequency: float  # [Hz]
    loss_factor: float  # [-]
    edge_loss: float = 0.0  # [√Hz]

    def __post_init__(self) -> None:
        for field in ("mass", "critical_frequency", "loss_factor"):
            checked(f"leaf, {field}", getattr(self, field))
        if not 0 <= self.edge_loss < np.inf:
            raise InputError("leaf, edge_loss", given=self.edge_loss, accepted="0 or more, finite")

    @property
    def bending_stiffness(self) -> float:
        """Per width. [N·m]"""
        return self.mass * (AIR.speed**2 / (2 * np.pi * self.critical_frequency)) ** 2

    def row(self) -> tuple[float, float, float, float]:
        """As the kernel takes it."""
        return self.mass, self.critical_frequency, self.loss_factor, self.edge_loss


def packet(layers: Sequence[Leaf], friction: float = 0.0) -> Leaf:
    """Boards screwed to one another, not glued: they slide, so that their bending stiffnesses add.

    Parameters
    ----------
    layers : sequence of Leaf
        Alike or different, in any order.
    friction : float
        Added to the loss factor where there are two layers or more. [-]

    Notes
    -----
    The loss factor is the layers' mean weighted with stiffness. Layers alike keep their critical frequency.

    Examples
    --------
    >>> board = Leaf(mass=9.0, critical_frequency=2700.0, loss_factor=0.02)
    >>> double = packet([board, board], friction=0.01)
    >>> double.mass, round(double.critical_frequency), round(double.loss_factor, 3)
    (18.0, 2700, 0.03)
    """
    if not layers:
        raise InputError("layers of the packet", given=layers, accepted="at least one layer")
    if not 0 <= friction < np.inf:
        raise InputError("friction", given=friction, accepted="0 or more, finite")
    stiffness = np.array([layer.bending_stiffness for layer in layers])
    mass = sum(layer.mass for layer in layers)
    return Leaf(
        mass=mass,
        critical_frequency=float(AIR.speed**2 / (2 * np.pi) * np.sqrt(mass / stiffness.sum())),
        loss_factor=float(np.dot(stiffness, [layer.loss_factor for layer in layers]) / stiffness.sum())
        + (friction if len(layers) > 1 else 0.0),
        edge_loss=float(np.dot(stiffness, [layer.edge_loss for layer in layers]) / stiffness.sum()),
    )


def limp_panel(
    frequency: ArrayLike, mass: ArrayLike, l1: float, l2: float, air: Air = AIR
) -> NDArray[np.float64]:
    """Sound reduction index of a panel without stiffness, l1 by l2, in a diffuse field. [dB]

    References
    ----------
    The forced part of ISO 12354-1:2017 annex B; ISO 15186-3 table A.1 lists it for 10 kg/m² and 10 m².

    Examples
    --------
    >>> round(float(limp_panel(100.0, 10.0, 3.65, 2.74)), 1)
    14.8
    """
    f, m = checked("frequency [Hz]", frequency), checked("mass [kg/m²]", mass)
    share = (air.impedance / (np.pi * f * m)) ** 2 * 2 * forced_efficiency(f, l1, l2, air)
    return np.asarray(-10 * np.log10(share))
