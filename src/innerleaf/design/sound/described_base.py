"""Old walls told in words: blocks, brick, concrete, of one leaf or of two with a cavity."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from innerleaf.design.sound.cavity_wall import Ties, cavity_wall
from innerleaf.design.sound.model import Solid, SolidLayer, solid_wall
from innerleaf.errors import InputError
from innerleaf.physics.sound.transmission import decibels
from innerleaf.practice.acoustics import Acoustics

_BLOCK_MASS: Final = 14.0  # kg/m² of wall for each kg of a block 190 by 390 mm: 12.5 blocks and mortar
# Modular thickness of blocks, a joint thicker than they are. [mm]
_NOMINAL: Final = (100.0, 150.0, 200.0, 250.0, 300.0)
_JOINT: Final = 10.0  # mm
_INCH: Final = 25.0  # mm, in modular sizes
_SOLIDS: Final = {
    "aerated": "aac-500",
    "breeze": "lightweight-block",
    "clinker": "lightweight-block",
    "calcium silicate": "calcium-silicate-1800",
    "brick": "brick-1800",
    "tile": "brick-1600",
    "sandstone": "sandstone",
    "limestone": "limestone-hard",
    "gypsum": "gypsum-plaster-1000",
    "concrete": "concrete-2400",
}
_HOLLOW: Final = ("hollow-block-normal", "hollow-block-light")
_NOT_HOLLOW: Final = ("aerated", "solid", "gypsum", "calcium silicate")  # kinds of block
_UNSEALED: Final = ("unpainted", "unplastered", "unsealed")
_LIGHT_TIES: Final = ("wire", "butterfl", "expanded")


def described_base(
    words: str, thickness_mm: float | None, surface_mass: float | None, acoustics: Acoustics
) -> Solid:
    """The wall that words tell of; `InputError` where they name none that is known. [mm, kg/m²]"""
    thickness = thickness_mm or _thickness(words)
    if "cavity wall" in words:
        return _of_two_leaves(words, thickness, surface_mass, acoustics)
    material, mass = _material(words), surface_mass
    if material in _HOLLOW:
        thickness -= _JOINT if thickness in _NOMINAL else 0.0
        each = re.search(r"([\d.]+) kg per block", words)
        mass = mass or (float(each.group(1)) * _BLOCK_MASS if each else None)
    wall = _solid(material, thickness, mass, acoustics)
    pores = acoustics.solids[material].unsealed_leak_db
    if pores and any(word in words for word in _UNSEALED):
        index = decibels(10 ** (-wall.index / 10) + 10 ** (-pores / 10))
        wall = replace(wall, index=index, working=f"{wall.working}; by its open pores {pores:g} dB")
    return wall


def _of_two_leaves(words: str, thickness: float, mass: float | None, acoustics: Acoustics) -> Solid:
    stated = re.search(r"(\d+) mm cavity|cavity (\d+) mm", words)
    if not stated:
        accepted = "the depth of the cavity, as in: brick cavity wall 56 mm cavity wire ties"
        raise InputError("base_wall", given=words, accepted=accepted)
    depth = float(stated.group(1) or stated.group(2))
    if not thickness > depth:
        raise InputError("thickness_mm", given=thickness, accepted=f"more than the cavity of {depth:g} mm")
    ties: Ties = "light" if any(word in words for word in _LIGHT_TIES) else "stiff"
    material = _material(words)
    one = _solid(material, thickness - depth, mass, acoustics)
    leaf = _solid(material, (thickness - depth) / 2, one.leaf.mass / 2, acoustics)
    at = acoustics.workmanship["laboratory"]
    return cavity_wall(leaf, leaf, one, acoustics, at, depth_mm=depth, ties=ties)


def _solid(material: str, thickness: float, mass: float | None, acoustics: Acoustics) -> Solid:
    layer = SolidLayer(material=material, thickness_mm=thickness, mass_kg_m2=mass)
    return solid_wall([layer], acoustics, acoustics.workmanship["laboratory"])


def _material(words: str) -> str:
    if re.search(r"\bblocks?\b|masonry unit", words) and not any(word in words for word in _NOT_HOLLOW):
        light = any(word in words for word in ("lightweight", "cinder"))
        return "hollow-block-light" if light else "hollow-block-normal"
    named = [name for word, name in _SOLIDS.items() if word in words]
    if not named:
        raise InputError("base_wall", given=words, accepted="blocks, " + ", ".join(_SOLIDS))
    return named[0]


def _thickness(words: str) -> float:
    found = re.search(r"(\d+) (mm|in)\b", words)
    if not found:
        raise InputError("base_wall", given=words, accepted="a thickness, in the words or as thickness_mm")
    return float(found.group(1)) * (_INCH if found.group(2) == "in" else 1.0)
