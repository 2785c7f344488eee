"""What the working of frames needs, as data with sources (`structure.yaml`): steel, loads, anchors.

A firm's own file may change fields of an entry and add entries, under `structure`; its anchors come first.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, get_args, get_type_hints

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.gather import Gathered
from innerleaf.practice.typed import converted
from innerleaf.reading import Text, read_file

if TYPE_CHECKING:
    from innerleaf.practice.model import Practice

SECTION: Final = "structure"  # of a firm's file
_PACKAGED: Final = Path(__file__).parent / "structure.yaml"


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
    return read_structure(_PACKAGED)


def structure_of(practice: Practice) -> Structure:
    """The figures of a practice: those of the package, with the firm's changes where it makes any."""
    return practice.structure or load_structure()


def read_structure(path: Path) -> Structure:
    """Read a file of such figures; everything that is wrong is said at once, by `FileFaults`."""
    said = Gathered(tuple(_classes()))
    said.take_set(read_file(path).checked())
    return _structure(said, path)


def changed_structure(firm: Text, source: str) -> Structure:
    """The package's figures with what a firm's file says of them; errors as `read_structure`."""
    said = Gathered(tuple(_classes()))
    said.take_set(read_file(_PACKAGED).checked())
    said.take_changes(firm, (SECTION,), source)
    changed, packaged = _structure(said, _PACKAGED), load_structure().anchors
    return replace(
        changed, anchors=dict(sorted(changed.anchors.items(), key=lambda item: item[0] in packaged))
    )


def _classes() -> dict[str, type]:
    return {name: get_args(hint)[1] for name, hint in get_type_hints(Structure).items()}


def _structure(said: Gathered, path: Path) -> Structure:
    sections: dict[str, Any] = {
        name: {key: _entry(said, name, key, cls) for key in said.entries[name]}
        for name, cls in _classes().items()
    }
    said.faults += [
        f"{path}: the section {name} is missing." for name, found in sections.items() if not found
    ]
    if said.faults:
        raise FileFaults(said.faults)
    return Structure(**sections)


def _entry(said: Gathered, section: str, key: str, cls: type) -> Any:
    """One entry, or None with its faults noted."""
    values: dict[str, object] = {fields(cls)[0].name: key}
    before = len(said.faults)
    for field, value in converted(cls, said.entries[section][key].fields):
        if isinstance(value, InputError):
            said.refuse(section, key, field, given=value.given, accepted=value.accepted)
        values[field] = value
    return cls(**values) if len(said.faults) == before else None
