"""Reads the text case of a section: every mistake is said, each with its line.

The format is described in docs/sections.md. Lengths are in millimetres there and become metres here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Final

from innerleaf.errors import FileFaults
from innerleaf.physics.section import AXES, Box, Region, Section, Surrounding, Vector
from innerleaf.reading import Place, Text, read_file
from innerleaf.section_values import Values

_FORMAT: Final = "section 1"
_CELLS: Final = 400_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Accuracy:
    """What is asked of the grid; see ``physics.conduction.solve``."""

    gap: float | None = None
    kelvin: float
    cells: int = _CELLS


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A plain part of the coupling that is not the bridge's: U·A, U·l or psi·l. [SI]"""

    factor: float
    extent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What to draw; ``cut_axis`` and ``cut_at`` [m] are needed in three dimensions only."""

    step: float | None = None
    flows: int = 24
    cut_axis: int | None = None
    cut_at: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A section and what is asked about it.

    ``times``: the section is one of so many equal parts between planes of symmetry; flows, couplings, areas
    and bridges are those of the whole. ``warm`` names the surroundings on the warm side of U, psi and chi;
    empty where the question makes no sense. ``extent`` is the area [m²] (length [m] in 2D) of the U-value.
    ``without`` and ``less`` are the two ways to say what psi or chi is measured against.
    """

    title: str
    section: Section
    points: tuple[tuple[str, Vector], ...]
    times: float
    warm: tuple[str, ...]
    extent: float | None
    without: tuple[str, ...]
    less: tuple[Part, ...] | None
    accuracy: Accuracy
    picture: Picture

    @property
    def cold(self) -> tuple[str, ...]:
        """All surroundings that are not warm."""
        return tuple(each.name for each in self.section.surroundings if each.name not in self.warm)


def read_case(path: Path) -> Case:
    """Read a case file.

    Raises
    ------
    FileFaults
        Anything is wrong with it; all mistakes found are in the error, each with its line.
    """
    return case_of(read_file(path))


def case_of(text: Text) -> Case:
    """The case that a text describes; raises like ``read_case``."""
    reader = _Reader(text.checked())
    case = reader.case()
    if reader.faults or case is None:
        raise FileFaults(reader.sorted_faults())
    return case


class _Reader(Values):
    axes = AXES[:2]

    def case(self) -> Case | None:
        known = [
            "format", "title", "materials", "boxes", "surroundings", "points", "times",
            "warm", "u_value", "psi", "chi", "accuracy", "picture",
        ]  # fmt: skip
        top = self.attempt((), lambda: self.group((), self.text.value, known, "case"))
        if top is None:
            return None
        if top.get("format") != _FORMAT:
            self.wrong(("format",), "format", top.get("format"), _FORMAT)
        for needed in ("materials", "boxes", "surroundings"):
            if needed not in top:
                self.fault((), f"{needed}: given nothing, accepted: a list or group of them.")
        return None if self.faults else self.attempt(("surroundings",), lambda: self.filled(top))

    def filled(self, top: dict[str, Any]) -> Case | None:
        given = top["boxes"]
        if isinstance(given, list) and any(isinstance(box, dict) and "z" in box for box in given):
            self.axes = AXES
        self.group(("materials",), top["materials"], None, "materials")
        self.group(("surroundings",), top["surroundings"], None, "surroundings")
        self.group(("points",), top.get("points", {}), None, "points")
        conductivities = self.each(("materials",), top["materials"], "materials", self.material)
        box = partial(self.box, materials=list(top["materials"]))
        boxes = self.each(("boxes",), given, "boxes", box)
        surroundings = self.each(("surroundings",), top["surroundings"], "surroundings", self.surrounding)
        points = self.each(("points",), top.get("points", {}), "points", self.point)
        if self.faults:
            return None
        section = Section(
            conductivities=dict(conductivities), boxes=tuple(boxes), surroundings=tuple(surroundings)
        )
        return self.asked(top, section, tuple(points))

    def material(self, place: Place, value: Any) -> tuple[str, float]:
        name = str(place[-1])
        return name, self.positive(place, value, f"material {name}, conductivity", "W/(m·K)")

    def asked(self, top: dict[str, Any], section: Section, points: tuple[tuple[str, Vector], ...]) -> Case:
        flat = section.dimensions == 2
        warm = self.warm(top, section)
        extent = None
        for key, size in (("u_value", None), ("psi", 2), ("chi", 3)):
            if key in top and not warm:
                accepted = "with `warm: [...]`, since there are more than two temperatures"
                raise self.wrong((key,), key, top[key], accepted)
            if key in top and size not in (None, section.dimensions):
                raise self.wrong(
                    (key,), key, top[key], f"a section in {size}D; this one is {section.dimensions}D"
                )
        if "u_value" in top:
            unit = "length_mm" if flat else "area_m2"
            asked = self.group(("u_value",), top["u_value"], [unit], "u_value")
            extent = self.positive(("u_value", unit), asked.get(unit), f"u_value, {unit}", unit[-2:])
            extent = extent / 1000 if flat else extent
        without, less = self.bridge(top, "psi" if flat else "chi", section)
        times = 1.0
        if "times" in top:
            times = self.positive(("times",), top["times"], "times", "")
        return Case(
            title=self.word(("title",), top["title"], "title") if "title" in top else "",
            section=section,
            points=points,
            times=times,
            warm=warm,
            extent=extent,
            without=without,
            less=less,
            accuracy=self.accuracy(top, flat),
            picture=self.picture(top, flat),
        )

    def box(self, place: Place, value: Any, materials: list[str]) -> Box:
        box = self.group(place, value, ["material", "name", *self.axes], "box")
        material = self.word((*place, "material"), box.get("material"), "box, material")
        if material != "nothing" and material not in materials:
            accepted = ", ".join([*materials, "nothing"])
            raise self.wrong((*place, "material"), "box, material", material, accepted)
        spans = [self.span((*place, axis), box.get(axis), f"box of {material}, {axis}") for axis in self.axes]
        name = self.word((*place, "name"), box["name"], "box, name") if "name" in box else ""
        return Box(
            material=None if material == "nothing" else material,
            low=tuple(low for low, _ in spans),
            high=tuple(high for _, high in spans),
            name=name,
        )

    def span(self, place: Place, value: Any, field: str) -> tuple[float, float]:
        if not isinstance(value, list) or len(value) != 2:
            raise self.wrong(place, field, value, "[from, to] in mm")
        low, high = (self.length((*place, index), end, field) for index, end in enumerate(value))
        if not low < high:
            raise self.wrong(place, field, value, "[from, to] in mm, a thickness above 0")
        return low, high

    def surrounding(self, place: Place, value: Any) -> Surrounding:
        name = str(place[-1])
        field = f"surrounding {name}"
        known = ["temperature", "surface_resistance", "touches"]
        given = self.group(place, value, known, field)
        temperature, resistance = (
            self.number((*place, key), given.get(key), f"{field}, {key}", accepted, good)
            for key, accepted, good in (
                ("temperature", "degC, above -273.15, finite", lambda v: -273.15 < v < 1e6),
                ("surface_resistance", "0 m²·K/W or more, finite", lambda v: 0 <= v < math.inf),
            )
        )
        touches = (*place, "touches")
        regions = self.each(touches, given.get("touches"), f"{field}, touches", self.region)
        return Surrounding(
            name=name, temperature=temperature, surface_resistance=resistance, regions=tuple(regions)
        )

    def region(self, place: Place, value: Any) -> Region:
        region = self.group(place, value, [*self.axes, "facing"], "region")
        low, high = [], []
        for axis in self.axes:
            span = region.get(axis)
            if span is None:
                bounds = (-math.inf, math.inf)
            elif isinstance(span, list):
                if len(span) != 2:
                    raise self.wrong((*place, axis), f"region, {axis}", span, "a place or [from, to] in mm")
                ends = [
                    sign * math.inf if end is None else self.length((*place, axis, i), end, f"region, {axis}")
                    for i, (end, sign) in enumerate(zip(span, (-1, 1), strict=True))
                ]
                bounds = (ends[0], ends[1])
            else:
                bounds = (self.length((*place, axis), span, f"region, {axis}"),) * 2
            low.append(bounds[0])
            high.append(bounds[1])
        facing = self.words((*place, "facing"), region["facing"], "facing") if "facing" in region else ()
        return Region(low=tuple(low), high=tuple(high), facing=facing)

    def point(self, place: Place, value: Any) -> tuple[str, Vector]:
        point = self.group(place, value, self.axes, f"point {place[-1]}")
        return str(place[-1]), tuple(
            self.length((*place, axis), point.get(axis), f"point {place[-1]}, {axis}") for axis in self.axes
        )

    def warm(self, top: dict[str, Any], section: Section) -> tuple[str, ...]:
        names = [each.name for each in section.surroundings]
        if "warm" in top:
            warm = self.words(("warm",), top["warm"], "warm")
            if not set(warm) < set(names):
                raise self.wrong(("warm",), "warm", list(warm), f"some, not all, of {', '.join(names)}")
            return warm
        levels = sorted(set(section.temperatures))
        if len(levels) != 2:
            return ()
        return tuple(each.name for each in section.surroundings if each.temperature == levels[1])

    def bridge(
        self, top: dict[str, Any], key: str, section: Section
    ) -> tuple[tuple[str, ...], tuple[Part, ...] | None]:
        if key not in top:
            return (), None
        asked = self.group((key,), top[key], ["without", "less"], key)
        if len(asked) != 1:
            raise self.wrong((key,), key, list(asked), "either `without` or `less`")
        if "without" in asked:
            without = self.words((key, "without"), asked["without"], f"{key}, without")
            self.attempt((key, "without"), lambda: section.without(without))
            return without, None
        return (), tuple(self.each((key, "less"), asked["less"], f"{key}, less", self.part))

    def part(self, place: Place, value: Any) -> Part:
        known = ["u", "psi", "area_m2", "length_mm"]
        part = self.group(place, value, known, "part")
        factors = [key for key in ("u", "psi") if key in part]
        extents = [key for key in ("area_m2", "length_mm") if key in part]
        if len(factors) != 1 or len(extents) != 1:
            accepted = "u with area_m2 (3D) or length_mm (2D), or psi with length_mm"
            raise self.wrong(place, "part", list(part), accepted)
        factor, extent = (
            self.number((*place, key), part[key], f"part, {key}", "finite", math.isfinite)
            for key in (factors[0], extents[0])
        )
        return Part(factor=factor, extent=extent / 1000 if extents[0] == "length_mm" else extent)

    def accuracy(self, top: dict[str, Any], flat: bool) -> Accuracy:
        kelvin = 0.01 if flat else 0.02
        if "accuracy" not in top:
            return Accuracy(kelvin=kelvin)
        asked = self.group(("accuracy",), top["accuracy"], ["gap_percent", "kelvin", "cells"], "accuracy")
        found = {
            key: self.positive(("accuracy", key), asked[key], f"accuracy, {key}", unit)
            for key, unit in (("gap_percent", "%"), ("kelvin", "K"), ("cells", "cells"))
            if key in asked
        }
        return Accuracy(
            gap=found["gap_percent"] / 100 if "gap_percent" in found else None,
            kelvin=found.get("kelvin", kelvin),
            cells=int(found.get("cells", _CELLS)),
        )

    def picture(self, top: dict[str, Any], flat: bool) -> Picture:
        if "picture" not in top:
            return Picture()
        known = ["isotherm_step", "flow_lines"] if flat else ["isotherm_step", "cut"]
        asked = self.group(("picture",), top["picture"], known, "picture")
        step = None
        if "isotherm_step" in asked:
            step = self.positive(("picture", "isotherm_step"), asked["isotherm_step"], "isotherm_step", "K")
        place: Place = ("picture", "flow_lines")
        flows = self.number(
            place, asked.get("flow_lines", 24), "flow_lines", "0 to 60", lambda v: 0 <= v <= 60
        )
        if "cut" not in asked:
            return Picture(step=step, flows=int(flows))
        cut = self.group(("picture", "cut"), asked["cut"], self.axes, "cut")
        if len(cut) != 1:
            raise self.wrong(("picture", "cut"), "cut", cut, "one of x, y, z with its place in mm")
        axis, at = next(iter(cut.items()))
        where = self.length(("picture", "cut", axis), at, f"cut, {axis}")
        return Picture(step=step, flows=int(flows), cut_axis=self.axes.index(axis), cut_at=where)
