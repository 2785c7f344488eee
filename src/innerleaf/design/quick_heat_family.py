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
from innerleaf.design.details import OUTSIDE, ROOM, STEEL, Bridge, Steel, bracket_point, member_line
from innerleaf.physics.grid import Floats
from innerleaf.physics.reduced import Family, Shapes

RSE = 0.04  # outer surface resistance, ISO 6946 [m²·K/W]
# Least and greatest of every parameter; metres, W/(m·K), m²·K/W.
THICK = {
    "old outer": (0.02, 0.80),
    "old middle": (0.015, 0.15),
    "old inner": (0.004, 0.045),
    "behind": (0.005, 0.20),
    "boards": (0.008, 0.075),
}
CONDUCTIVE = {"old": (0.10, 3.0), "behind": (0.018, 0.65), "frame": (0.018, 0.65), "boards": (0.10, 0.45)}
PITCH, RISE, RSI = (0.30, 0.65), (0.50, 1.50), (0.13, 0.25)
OLD = ("old outer", "old middle", "old inner")


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """What a family is of: steel, brackets if any, and how many layers lie where."""

    steel: Steel
    bridge: Bridge | None
    behind: int
    frame: int

    @property
    def key(self) -> str:
        """All that makes the family, as text."""
        bridge = astuple(self.bridge) if self.bridge else None
        numbers = (astuple(self.steel), bridge, self.behind, self.frame)
        return repr((numbers, RSE, THICK, CONDUCTIVE, PITCH, RISE, RSI))

    @property
    def names(self) -> tuple[str, ...]:
        """Of the parameters, in their order; λ before a name means its conductivity."""
        behind = [f"behind {k}" for k in range(self.behind)]
        frame = [f"frame {k}" for k in range(self.frame)]
        outer = OLD if self.bridge is None else (OLD[0], OLD[2])  # its middle ends where the anchor does
        thick = [*outer, *behind, *frame[:-1], "boards"]
        conductive = [f"λ {name}" for name in (*OLD, *behind, *frame, "boards")]
        return (*thick, *conductive, "pitch", *(["rise"] if self.bridge else []), "room resistance")

    def limits(self, name: str) -> tuple[float, float]:
        """Least and greatest of a parameter."""
        if name in ("pitch", "rise", "room resistance"):
            return {"pitch": PITCH, "rise": RISE, "room resistance": RSI}[name]
        if name.startswith("λ "):
            return CONDUCTIVE[name.split()[1]]
        if name.startswith("frame"):  # air between members ends clear of the edges of the steel
            edge = 1.2 * max(self.steel.sheet, 0.0 if self.steel.channel else self.steel.lip)
            return edge, self.steel.depth - edge
        return THICK[name if name in THICK else name.split()[0]]

    def family(self) -> Family:
        """The family. Its parameters are logarithms, so that thin layers count as much as thick ones."""
        low, high = np.log([self.limits(name) for name in self.names]).T
        apart = 1 + 0.01 * np.arange(len(low))  # or layers that meet would be one in the template
        template = self.detail(np.exp((low + high) / 2) * apart).section(RSI[0], RSE)
        return Family(template=template, low=low, high=high, shapes=self._shapes)

    def detail_values(self, values: Floats) -> dict[str, Floats]:
        """Parameters by name, with the thicknesses that follow from others; shape (designs,) each."""
        of = dict(zip(self.names, np.atleast_2d(values).T, strict=True))
        if self.bridge is not None:
            of[OLD[1]] = self.bridge.anchor_depth - of[OLD[2]]
        last = f"frame {self.frame - 1}"
        of[last] = self.steel.depth - sum(
            (of[f"frame {k}"] for k in range(self.frame - 1)), np.zeros(len(of["pitch"]))
        )
        return of

    def detail(self, values: Floats):  # type: ignore[no-untyped-def]
        """The detail of one design, as it is solved in full."""
        of = {name: float(value[0]) for name, value in self.detail_values(values).items()}

        def layers(*names: str) -> tuple[Layer, ...]:
            return tuple(Layer(name, of[name], of[f"λ {name}"]) for name in names)

        depth = Depth(
            layers(*OLD),
            layers(*(f"behind {k}" for k in range(self.behind))),
            layers(*(f"frame {k}" for k in range(self.frame))),
            layers("boards"),
        )
        if self.bridge is None:
            return member_line(depth, self.steel, of["pitch"])
        return bracket_point(depth, self.steel, self.bridge, of["pitch"], of["rise"])

    def _shapes(self, parameters: Floats) -> Shapes:
        of = self.detail_values(np.exp(parameters))
        zero = np.zeros(len(parameters))
        layers = [
            *OLD,
            *(f"behind {k}" for k in range(self.behind)),
            *(f"frame {k}" for k in range(self.frame)),
        ]
        ends = np.cumsum([zero, *(of[name] for name in (*layers, "boards"))], axis=0)
        back, front = ends[len(OLD) + self.behind], ends[-2]
        steel = self.steel
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
            conductivities={
                **{name: of[f"λ {name}"] for name in (*layers, "boards")},
                STEEL: zero + self.steel.conductivity,
            },
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
