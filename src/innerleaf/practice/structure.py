"""What the working of frames needs, as data with sources (`structure.yaml`): steel, loads, anchors."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, get_args, get_type_hints

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.typed import converted
from innerleaf.reading import Text, read_file


@dataclass(frozen=True, slots=True, kw_only=True)
class StripSteel:
    """Steel strip that profiles are rolled from; zinc on both faces together."""

    id: str
    elasticity_n_mm2: float
    yield_least_n_mm2: float
    yield_mean_n_mm2: float
    yield_spread_n_mm2: float  # standard deviation
    zinc_g_m2: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """How a profile of a use (its id) is folded, beyond what the catalogue says of each."""

    id: str
    inner_radius_mm: float
    web_short_mm: float = 0.0  # the web is this much less than the nominal depth
    flanges_differ_sheets: float = 0.0  # in thicknesses of the sheet
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCase:
    """What a lining has to bear: a level line load at a height, or a pressure."""

    id: str
    text: str
    line_load_n_m: float = 0.0
    height_mm: int = 900
    pressure_pa: float = 0.0
    load_factor: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishLimit:
    """Least span over deflection under a finish."""

    id: str
    ratio: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HungRule:
    """How hung loads are counted: greatest reach from the face, arm of the reaction, distance of anchors."""

    id: str
    reach_mm: int
    arm_mm: int
    anchors_apart_mm: int
    load_factor: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanger:
    """What one cavity anchor carries on boards of so many layers."""

    id: str
    layers: int
    load_n: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringOf:
    """How stiff a support is."""

    id: str
    stiffness_n_mm: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WallAnchor:
    """An anchor in old walls of the materials it holds in: characteristic resistance, safety factor."""

    id: str
    holds: tuple[str, ...]
    pull_n: float
    shear_n: float
    safety: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PerimeterFixing:
    """A fixing of a track: characteristic resistance to shear, load and safety factor."""

    id: str
    shear_n: float
    load_factor: float
    safety: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardScrew:
    """A board screw in so many layers: characteristic pull-through, safety factor."""

    id: str
    layers: int
    pull_through_n: float
    safety: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Structure:
    """Everything of `structure.yaml`, each section by id."""

    steel: Mapping[str, StripSteel]
    folds: Mapping[str, Fold]
    cases: Mapping[str, LoadCase]
    finishes: Mapping[str, FinishLimit]
    hung: Mapping[str, HungRule]
    hangers: Mapping[str, Hanger]
    springs: Mapping[str, SpringOf]
    anchors: Mapping[str, WallAnchor]
    perimeter: Mapping[str, PerimeterFixing]
    screws: Mapping[str, BoardScrew]


@functools.cache
def load_structure() -> Structure:
    """The figures that come with the package; raises `FileFaults` naming file, line and column."""
    return read_structure(Path(__file__).parent / "structure.yaml")


def read_structure(path: Path) -> Structure:
    """Read a file of such figures; everything that is wrong is said at once, by `FileFaults`."""
    text = read_file(path).checked()
    classes = {name: get_args(hint)[1] for name, hint in get_type_hints(Structure).items()}
    said = text.value if isinstance(text.value, dict) else {}
    faults = [
        text.line((name,), f"{name}: not known; {', '.join(classes)} are.", key=True)
        for name in said
        if name not in classes
    ]
    sections = {}
    for name, cls in classes.items():
        entries = said.get(name)
        if not isinstance(entries, dict) or not entries:
            faults.append(text.line((name,), f"the section {name} with an entry or more is needed."))
            continue
        sections[name] = {key: _entry(text, (name, key), cls, body, faults) for key, body in entries.items()}
    if faults:
        raise FileFaults(faults)
    return Structure(**sections)


def _entry(text: Text, place: tuple[str, str], cls: type, body: object, faults: list[str]) -> Any:
    """One entry, or None with its faults noted."""
    if not isinstance(body, dict):
        faults.append(text.line(place, f"{'.'.join(place)}: an entry with fields is needed.", key=True))
        return None
    values: dict[str, object] = {fields(cls)[0].name: place[1]}
    before = len(faults)
    for field, value in converted(cls, body):
        if isinstance(value, InputError):
            at = (*place, field) if field in body else place
            faults.append(text.line(at, f"{'.'.join(place)}, {value}", key=True))
        values[field] = value
    return cls(**values) if len(faults) == before else None
