"""Nodes of a wall for the transient solver: on every face and interface, closer together near them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from innerleaf.errors import InputError
from innerleaf.physics.hygro import Hygro, positive

Values = NDArray[np.float64]
Indices = NDArray[np.int64]

CELLS: Final = 70
FEWEST_CELLS: Final = 10
FIRST_CELL: Final = 0.5e-3  # m, at the faces of layers that suck, with `CELLS` cells
THICKEST: Final = 100.0  # m


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class WetLayer:
    """A layer for the transient solver.

    ``whole`` keeps it one element (membranes, air layers); ``x`` sets its inner nodes by hand, counted
    from its outer face [m].
    """

    material: Hygro
    thickness: float  # m
    whole: bool = False
    x: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        positive(f"{self.material.name}, thickness", self.thickness, "m")
        if self.thickness > THICKEST:
            accepted = f"at most {THICKEST:g} m"
            raise InputError(f"{self.material.name}, thickness", given=self.thickness, accepted=accepted)
        inner = np.asarray((0.0, *self.x, self.thickness))
        if not np.all(np.diff(inner) > 0):
            raise InputError(f"{self.material.name}, nodes", given=self.x, accepted="rising, inside it")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HygroGrid:
    """Nodes and elements of a wall, outside first."""

    x: Values  # nodes, from the outer face [m]
    layer: Indices  # of each element
    first: Indices  # node at the outer face of each layer, and the last node of all
    materials: tuple[Hygro, ...]  # of each layer

    @property
    def lengths(self) -> Values:
        """Of the elements. [m]"""
        return np.asarray(np.diff(self.x))


def build_grid(layers: Sequence[WetLayer], cells: int = CELLS) -> HygroGrid:
    """A grid of about so many elements.

    Raises `InputError` for no layers, or fewer than 10 cells.
    """
    if not layers:
        raise InputError("layers", given=[], accepted="at least one layer")
    if cells < FEWEST_CELLS:
        raise InputError("cells", given=cells, accepted=f"at least {FEWEST_CELLS}")
    free = [layer for layer in layers if not (layer.whole or layer.x)]
    share = {id(layer): _appetite(layer, outermost=layer is layers[0]) for layer in free}
    fixed = sum(len(layer.x) + 1 for layer in layers if layer.whole or layer.x)
    total = sum(share.values()) or 1.0
    x, owner, first = [0.0], [], [0]
    for index, layer in enumerate(layers):
        if layer.whole or layer.x:
            inner = np.asarray(layer.x)
        else:
            count = max(3, round((cells - fixed) * share[id(layer)] / total))
            inner = _graded(layer, count, FIRST_CELL * CELLS / cells)
        begin = x[-1]
        x += [begin + at for at in (*inner, layer.thickness)]
        owner += [index] * (len(inner) + 1)
        first.append(len(x) - 1)
    return HygroGrid(
        x=np.asarray(x),
        layer=np.asarray(owner, np.int64),
        first=np.asarray(first, np.int64),
        materials=tuple(layer.material for layer in layers),
    )


def sucks(material: Hygro) -> bool:
    """Whether a material moves liquid."""
    return bool(np.any(material.table[:, 0, 1] > 0))


def _appetite(layer: WetLayer, *, outermost: bool) -> float:
    """How many elements a layer wants, relative to others: most where rain soaks in and dries out."""
    want = 2.0 if outermost else 1.0 if sucks(layer.material) else 0.5
    return want * float(layer.thickness**0.25)


def _graded(layer: WetLayer, count: int, first: float) -> Values:
    """Inner nodes, closer together at both faces; evenly where even spacing is fine enough."""
    even = layer.thickness / count
    if not sucks(layer.material):
        first = even / 2
    if first >= even:
        return np.linspace(0, layer.thickness, count + 1)[1:-1]
    low, high = 1e-3, 12.0
    xi = np.linspace(-1, 1, count + 1)

    def nodes(stretch: float) -> Values:
        return np.asarray(layer.thickness * 0.5 * (1 + np.tanh(stretch * xi) / np.tanh(stretch)))

    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if nodes(middle)[1] > first else (low, middle)
    return nodes(low)[1:-1]
