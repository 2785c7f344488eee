"""Sections that several tests solve."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from innerleaf.physics.section import Box, Region, Section, Surrounding, Vector

ANY = math.inf


def box(material: str | None, *spans: tuple[float, float], name: str = "") -> Box:
    """A box from its extent along each axis. [mm]"""
    return Box(
        material=material,
        low=tuple(low / 1000 for low, _ in spans),
        high=tuple(high / 1000 for _, high in spans),
        name=name,
    )


def plane(axis: int, at: float, dimensions: int = 2) -> Region:
    """All faces in a plane across an axis. [mm]"""
    low, high = [-ANY] * dimensions, [ANY] * dimensions
    low[axis] = high[axis] = at / 1000
    return Region(low=tuple(low), high=tuple(high))


def surrounding(name: str, temperature: float, resistance: float, *regions: Region) -> Surrounding:
    return Surrounding(name=name, temperature=temperature, surface_resistance=resistance, regions=regions)


def inside_outside(axis: int, inner: float, outer: float, dimensions: int = 2) -> tuple[Surrounding, ...]:
    """20 and 0 degC with the usual surface resistances, in two planes. [mm]"""
    return (
        surrounding("inside", 20, 0.13, plane(axis, inner, dimensions)),
        surrounding("outside", 0, 0.04, plane(axis, outer, dimensions)),
    )


def stud_wall(
    wall: Sequence[tuple[float, float]] = ((240, 0.77),),
    *,
    depth: float = 50,
    thickness: float = 0.6,
    pitch: float = 600,
    cavity: float = 0.035,
    board: float = 12.5,
    flange: float = 50,
    lip: float = 6,
) -> Section:
    """One pitch of a stud lining; ``wall`` holds thickness [mm] and conductivity from outside."""
    across = (-pitch / 2, pitch / 2)
    conductivities = {"cavity": cavity, "steel": 50.0, "board": 0.25}
    boxes, y = [], 0.0
    for index, (d, conductivity) in enumerate(wall):
        conductivities[f"wall {index}"] = conductivity
        boxes.append(box(f"wall {index}", across, (y, y + d)))
        y += d
    top = y + depth
    boxes += [
        box("cavity", across, (y, top)),
        box("steel", (0, thickness), (y, top), name="stud"),
        box("steel", (0, flange), (y, y + thickness), name="stud"),
        box("steel", (0, flange), (top - thickness, top), name="stud"),
        box("steel", (flange - thickness, flange), (y, y + lip), name="stud"),
        box("steel", (flange - thickness, flange), (top - lip, top), name="stud"),
        box("board", across, (top, top + board)),
    ]
    return Section(
        conductivities=conductivities,
        boxes=tuple(boxes),
        surroundings=inside_outside(1, top + board, 0),
    )


def strap_wall() -> Section:
    """A quarter of 600 x 600 mm with one steel strap of 40 x 2 mm straight through 60 mm of insulation."""
    across = ((0.0, 300.0), (0.0, 300.0))
    return Section(
        conductivities={"brick": 0.77, "insulation": 0.035, "board": 0.25, "steel": 50.0},
        boxes=(
            box("brick", *across, (0, 240)),
            box("insulation", *across, (240, 300)),
            box("steel", (0, 20), (0, 1), (240, 300), name="strap"),
            box("board", *across, (300, 312.5)),
        ),
        surroundings=inside_outside(2, 312.5, 0, 3),
    )


def mirrored(section: Section, axis: int) -> Section:
    """The section seen in a mirror across an axis."""

    def turned(low: Vector, high: Vector) -> tuple[Vector, Vector]:
        first, last = list(low), list(high)
        first[axis], last[axis] = -high[axis], -low[axis]
        return tuple(first), tuple(last)

    def region(each: Region) -> Region:
        low, high = turned(each.low, each.high)
        return replace(each, low=low, high=high)

    boxes = []
    for each in section.boxes:
        low, high = turned(each.low, each.high)
        boxes.append(replace(each, low=low, high=high))
    return replace(
        section,
        boxes=tuple(boxes),
        surroundings=tuple(
            replace(each, regions=tuple(region(one) for one in each.regions)) for each in section.surroundings
        ),
    )
