"""What a steady conduction solve is about: boxes of material, the surroundings they touch.

A section has two or three dimensions, SI units throughout. Boxes are painted in order, a later one over
an earlier one; a box without a material takes away what was there. Surroundings touch chosen parts of
the surface; the rest of the surface lets no heat through.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from innerleaf.errors import InputError

Vector = tuple[float, ...]
AXES = "xyz"


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A block of one material between two corners. [m]

    ``material`` is None where the box takes material away; ``name`` lets a case speak of the box.
    """

    material: str | None
    low: Vector
    high: Vector
    name: str = ""

    def __post_init__(self) -> None:
        label = f"box {self.name or self.material or 'of nothing'}"
        if len(self.low) not in (2, 3) or len(self.high) != len(self.low):
            raise InputError(label, given=(self.low, self.high), accepted="two corners of 2 or of 3 numbers")
        if not all(math.isfinite(value) for value in (*self.low, *self.high)):
            raise InputError(label, given=(self.low, self.high), accepted="finite corners")
        for axis, low, high in zip(AXES, self.low, self.high, strict=False):
            if not high - low > 1e-8:
                raise InputError(f"{label}, {axis}", given=(low, high), accepted="a thickness above 0 m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """Faces whose middle lies between two corners; infinite where a side is open. [m]

    ``facing`` limits them to some outward directions, such as ``("-x", "+y")``; empty means all.
    """

    low: Vector
    high: Vector
    facing: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if len(self.low) not in (2, 3) or len(self.high) != len(self.low):
            accepted = "two corners of 2 or of 3 numbers"
            raise InputError("region", given=(self.low, self.high), accepted=accepted)
        if not all(low <= high for low, high in zip(self.low, self.high, strict=True)):
            raise InputError("region", given=(self.low, self.high), accepted="the lower bound first, no NaN")
        directions = [sign + axis for axis in AXES[: len(self.low)] for sign in "-+"]
        for facing in self.facing:
            if facing not in directions:
                raise InputError("region, facing", given=facing, accepted=", ".join(directions))


@dataclass(frozen=True, slots=True, kw_only=True)
class Surrounding:
    """Air (or anything else of one temperature) that touches part of the surface.

    ``surface_resistance`` 0 holds the surface itself at ``temperature``. [degC], [m²·K/W]
    """

    name: str
    temperature: float
    surface_resistance: float
    regions: tuple[Region, ...]

    def __post_init__(self) -> None:
        if not math.isfinite(self.temperature):
            raise InputError(
                f"surrounding {self.name}, temperature", given=self.temperature, accepted="finite, in degC"
            )
        if not 0 <= self.surface_resistance < math.inf:
            raise InputError(
                f"surrounding {self.name}, surface_resistance",
                given=self.surface_resistance,
                accepted="0 m²·K/W or more, finite",
            )
        if not self.regions:
            raise InputError(
                f"surrounding {self.name}, regions", given=self.regions, accepted="at least one region"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Boxes, the conductivities of their materials [W/(m·K)] and the surroundings.

    A face that belongs to regions of two surroundings counts for the later one.
    """

    conductivities: Mapping[str, float]
    boxes: tuple[Box, ...]
    surroundings: tuple[Surrounding, ...]

    def __post_init__(self) -> None:
        for material, conductivity in self.conductivities.items():
            if not 0 < conductivity < math.inf:
                raise InputError(
                    f"material {material}, conductivity",
                    given=conductivity,
                    accepted="above 0 W/(m·K), finite",
                )
        if not any(box.material is not None for box in self.boxes):
            raise InputError("boxes", given=self.boxes, accepted="at least one box of a material")
        dimensions = len(self.boxes[0].low)
        for box in self.boxes:
            if box.material is not None and box.material not in self.conductivities:
                known = ", ".join(sorted(self.conductivities)) or "none is named"
                raise InputError(f"box {box.name}, material", given=box.material, accepted=known)
            if len(box.low) != dimensions:
                raise InputError(
                    f"box {box.name}", given=(box.low, box.high), accepted=f"{dimensions} numbers each"
                )
        for surrounding in self.surroundings:
            for region in surrounding.regions:
                if len(region.low) != dimensions:
                    raise InputError(
                        f"surrounding {surrounding.name}, region",
                        given=(region.low, region.high),
                        accepted=f"{dimensions} numbers each",
                    )
        self._check_surroundings()

    def _check_surroundings(self) -> None:
        names = [surrounding.name for surrounding in self.surroundings]
        for name in names:
            if names.count(name) > 1:
                raise InputError("surroundings", given=name, accepted="each name once")
        if len({surrounding.temperature for surrounding in self.surroundings}) < 2:
            raise InputError(
                "surroundings",
                given=[(each.name, each.temperature) for each in self.surroundings],
                accepted="at least two with different temperatures, or no heat flows",
            )

    @property
    def dimensions(self) -> int:
        """2 or 3."""
        return len(self.boxes[0].low)

    @property
    def temperatures(self) -> Vector:
        """Of the surroundings, in their order. [degC]"""
        return tuple(surrounding.temperature for surrounding in self.surroundings)

    def number(self, name: str) -> int:
        """The place of a surrounding in the order given.

        Raises
        ------
        InputError
            There is none of that name.
        """
        names = [surrounding.name for surrounding in self.surroundings]
        if name not in names:
            raise InputError("surrounding", given=name, accepted=", ".join(names))
        return names.index(name)

    def without(self, names: Iterable[str]) -> Section:
        """The section as it would be if some named boxes were never put in.

        Raises
        ------
        InputError
            No box has one of the names.
        """
        gone = set(names)
        known = {box.name for box in self.boxes if box.name}
        if unknown := sorted(gone - known):
            accepted = ", ".join(sorted(known)) or "no box has a name"
            raise InputError("without", given=unknown[0], accepted=accepted)
        return replace(self, boxes=tuple(box for box in self.boxes if box.name not in gone))
