"""Families of lined walls that differ in numbers only, for `physics.reduced`.

A family is one way to build on one steel: a framed lining (2D, one pitch) or a bracketed one (3D, a quarter
of the cell round a bracket), with so many layers behind the frame and between its members. All else is a
parameter: thickness and conductivity of every layer, pitch, rise of the brackets, surface resistance of the
room. The old wall is always cut into three slabs, the boards are one packet.
"""

from __future__ import annotations

from dataclasses import astuple, dataclass
from math import pi, sqrt

import numpy as np

from innerleaf.design.buildup import Depth, Layer
from innerleaf.design.heat.assess import RSE, RSI, RSI_CORNER
from innerleaf.design.heat.details import (
    OUTSIDE,
    ROOM,
    STEEL,
    Bridge,
    Detail,
    Steel,
    bracket_point,
    member_line,
)
from innerleaf.physics.grid import Floats
from innerleaf.physics.reduced import Family, Shapes

SLAB, AIR = "slab", "air"  # what a layer behind the frame or between members is
# Least and greatest of every parameter; metres, W/(m·K), m²·K/W.
THICK = {
    "old outer": (0.04, 1.20),
    "old middle": (0.012, 0.125),
    "old inner": (0.004, 0.04),
    SLAB: (0.02, 0.20),
    AIR: (0.004, 0.10),
    "boards": (0.008, 0.07),
}
CONDUCTIVE = {"old": (0.10, 3.0), SLAB: (0.02, 0.05), "boards": (0.10, 0.45)}
AIR_RESISTANCE = (0.09, 0.20)
PITCH, RISE = (0.30, 0.625), (0.50, 1.50)
ROOM_RESISTANCE = (RSI, RSI_CORNER)
OLD = ("old outer", "old middle", "old inner")
BOARDS = ("boards", "boards in front")


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """What a family is of: steel, brackets if any, and what lies behind the frame and between its members.

    ``behind`` and ``frame`` list `SLAB` or `AIR` from the old wall towards the room; ``boards`` is the number
    of slabs of boards, 2 where two kinds conduct differently.
    """

    steel: Steel
    bridge: Bridge | None
    behind: tuple[str, ...]
    frame: tuple[str, ...]
    boards: int = 1

    @property
    def key(self) -> str:
        """All that makes the family, as text."""
        bridge = astuple(self.bridge) if self.bridge else None
        numbers = (astuple(self.steel), bridge, self.behind, self.frame, self.boards)
        return repr((numbers, RSE, THICK, CONDUCTIVE, AIR_RESISTANCE, PITCH, RISE, ROOM_RESISTANCE))

    @property
    def lining(self) -> tuple[tuple[str, str], ...]:
        """Name and kind of the layers behind the frame and between its members."""
        behind = [(f"behind {k}", kind) for k, kind in enumerate(self.behind)]
        return (*behind, *((f"frame {k}", kind) for k, kind in enumerate(self.frame)))

    @property
    def layers(self) -> tuple[str, ...]:
        """All layers, outside first."""
        return (*OLD, *(name for name, _ in self.lining), *BOARDS[: self.boards])

    @property
    def names(self) -> tuple[str, ...]:
        """Of the parameters, in their order: layers (thickness), "λ " or "R " and a layer, and the rest."""
        outer = OLD if self.bridge is None else (OLD[0], OLD[2])  # its middle ends where the anchor does
        boards = BOARDS[: self.boards]
        thick = [*outer, *(name for name, _ in self.lining[:-1]), *boards]
        lets_through = [("λ " if kind == SLAB else "R ") + name for name, kind in self.lining]
        old = [f"λ {name}" for name in OLD]
        rise = ["rise"] if self.bridge else []
        through = (*old, *lets_through, *(f"λ {name}" for name in boards))
        return (*thick, *through, "pitch", *rise, "room resistance")

    def limits(self, name: str) -> tuple[float, float]:
        """Least and greatest of a parameter."""
        if name in ("pitch", "rise", "room resistance"):
            return {"pitch": PITCH, "rise": RISE, "room resistance": ROOM_RESISTANCE}[name]
        if name.startswith("R "):
            return AIR_RESISTANCE
        layer = name.removeprefix("λ ")
        kind = dict(self.lining).get(layer, layer)
        if layer != name:
            return CONDUCTIVE[layer.split()[0] if layer in (*OLD, *BOARDS) else kind]
        if name.startswith("frame"):  # air between members ends clear of the edges of the steel
            edge = 1.2 * max(self.steel.sheet, 0.0 if self.steel.channel else self.steel.lip)
            return edge, self.steel.depth - edge
        return THICK["boards" if layer in BOARDS else kind]

    def family(self) -> Family:
        """The family. Its parameters are logarithms, so that thin layers count as much as thick ones."""
        low, high = np.log([self.limits(name) for name in self.names]).T
        apart = 1 + 0.01 * np.arange(len(low))  # or layers that meet would be one in the template
        template = self.detail(np.exp((low + high) / 2) * apart).section(RSI, RSE)
        return Family(template=template, low=low, high=high, shapes=self._shapes)

    def _layers_of(self, values: Floats) -> tuple[dict[str, Floats], dict[str, Floats], dict[str, Floats]]:
        """Thickness and conductivity of every layer, and all parameters by name; shape (designs,) each."""
        of = dict(zip(self.names, np.atleast_2d(values).T, strict=True))
        thick = {name: of[name] for name in self.layers if name in of}
        if self.bridge is not None:
            thick[OLD[1]] = self.bridge.anchor_depth - of[OLD[2]]
        *others, last = [f"frame {k}" for k in range(len(self.frame))]
        thick[last] = self.steel.depth - sum((of[name] for name in others), np.zeros(len(of["pitch"])))
        conductive = {
            name: of[f"λ {name}"] if f"λ {name}" in of else thick[name] / of[f"R {name}"]
            for name in self.layers
        }
        return thick, conductive, of

    def detail(self, values: Floats) -> Detail:
        """The detail of one design, as it is solved in full. ``values`` has one parameter after another."""
        thick, conductive, of = self._layers_of(values)
        layers = [Layer(name, float(thick[name][0]), float(conductive[name][0])) for name in self.layers]
        begin, end = len(OLD), len(OLD) + len(self.behind)
        depth = Depth(
            tuple(layers[:begin]),
            tuple(layers[begin:end]),
            tuple(layers[end : -self.boards]),
            tuple(layers[-self.boards :]),
        )
        pitch = float(of["pitch"][0])
        if self.bridge is None:
            return member_line(depth, self.steel, pitch)
        return bracket_point(depth, self.steel, self.bridge, pitch, float(of["rise"][0]))

    def _shapes(self, parameters: Floats) -> Shapes:
        thick, conductive, of = self._layers_of(np.exp(parameters))
        zero = np.zeros(len(parameters))
        ends = np.cumsum([zero, *(thick[name] for name in self.layers)], axis=0)
        back, front, steel = ends[len(OLD) + len(self.behind)], ends[-1 - self.boards], self.steel
        lines = [*ends, back + steel.sheet, front - steel.sheet]
        if not steel.channel:
            lines += [back + steel.lip, front - steel.lip]
        if self.bridge is not None:
            lines.append(ends[len(OLD)] + self.bridge.sheet)
        axes = [self._along(of["pitch"]), np.sort(np.stack(lines, axis=1), axis=1)]
        if self.bridge is not None:
            rod = self.bridge.anchor * sqrt(pi) / 4
            axes.append(np.stack([zero, zero + rod, zero + self.bridge.strap / 2, of["rise"] / 2], axis=1))
        return Shapes(
            lines=tuple(axes),
            conductivities={**conductive, STEEL: zero + steel.conductivity},
            resistances={ROOM: of["room resistance"], OUTSIDE: zero + RSE},
        )

    def _along(self, pitch: Floats) -> Floats:
        """Lines along the wall: edges of the steel, and the cuts."""
        steel, half = self.steel, self.steel.face / 2
        if self.bridge is not None:
            rod = self.bridge.anchor * sqrt(pi) / 4
            fixed = [0.0, rod, half - steel.lip, half - steel.sheet, half, half + self.bridge.sheet]
            return np.stack([*(np.full(len(pitch), at) for at in fixed), pitch / 2], axis=1)
        if steel.channel:
            right = [half - steel.lip, half - steel.sheet, half]
            fixed = [*(-at for at in reversed(right)), *right]
        else:
            right = [0.0, steel.sheet, steel.face - steel.sheet, steel.face]
            fixed = right if steel.studs == 1 else [*(-at for at in reversed(right[1:])), *right]
        return np.stack([-pitch / 2, *(np.full(len(pitch), at) for at in fixed), pitch / 2], axis=1)
