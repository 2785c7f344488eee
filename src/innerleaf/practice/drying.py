"""How coats dry and which air they need, as data with sources (`drying.yaml`)."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, Final, get_args, get_type_hints

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.gather import Gathered
from innerleaf.reading import read_file

_PACKAGED: Final = Path(__file__).parent / "drying.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingLaw:
    """What one coat takes at one air, from which other air follows."""

    id: str
    hours: float  # in dry air of ``at_c``
    at_c: float
    at_mm: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Coat:
    """What is put on: so thick, waiting so long at least. Thickness 0: by the clock alone."""

    id: str
    thickness_mm: float
    least_h: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkAir:
    """The air that coats may be put on in; ``usual`` is what inside air is taken to be without a forecast."""

    id: str
    least_c: float
    most_rh: float
    best_rh: float
    usual_c: float
    usual_rh: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRow:
    """A row of a published chart: hours of one coat."""

    id: str
    rh: float
    temperature_f: float
    hours: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drying:
    """Everything of `drying.yaml`, each section by id."""

    law: Mapping[str, DryingLaw]
    coats: Mapping[str, Coat]
    climate: Mapping[str, WorkAir]
    table: Mapping[str, ChartRow]

    @property
    def compound(self) -> DryingLaw:
        """The law of jointing compound that dries."""
        return self.law["compound"]

    @property
    def air(self) -> WorkAir:
        """The air that coats may be put on in."""
        return self.climate["work"]


@functools.cache
def load_drying() -> Drying:
    """The figures that come with the package; raises `FileFaults` naming file, line and column."""
    return read_drying(_PACKAGED)


def read_drying(path: Path) -> Drying:
    """Read a file of such figures; everything that is wrong is said at once, by `FileFaults`."""
    classes = {name: get_args(hint)[1] for name, hint in get_type_hints(Drying).items()}
    said = Gathered(tuple(classes))
    said.take_set(read_file(path).checked())
    made: dict[str, Any] = {}
    for section, cls in classes.items():
        made[section] = {key: _entry(said, section, key, cls) for key in said.entries[section]}
        if not made[section]:
            said.faults.append(f"{path}: the section {section} is missing.")
    if said.faults:
        raise FileFaults(said.faults)
    return Drying(**made)


def _entry(said: Gathered, section: str, key: str, cls: type) -> Any:
    """One entry, or None with its faults noted."""
    given = said.entries[section][key].fields
    before = len(said.faults)
    values: dict[str, Any] = {"id": key}
    known = [field.name for field in fields(cls)[1:]]
    for name in dict.fromkeys((*known, *given)):
        try:
            values[name] = _value(name, known, given)
        except InputError as error:
            said.refuse(section, key, name, given=error.given, accepted=error.accepted)
    return cls(**values) if len(said.faults) == before else None


def _value(name: str, known: list[str], given: Mapping[str, Any]) -> Any:
    if name not in known:
        raise InputError(name, given=name, accepted=", ".join(known))
    if name not in given:
        raise InputError(name, given=None, accepted="a value; it is missing")
    value = given[name]
    if name == "source":
        if not isinstance(value, str) or not value.strip():
            raise InputError(name, given=value, accepted="a text that is not empty")
        return value.strip()
    low, high = (-60, 150) if name.endswith(("_c", "_f")) else (0, 100) if name.endswith("rh") else (0, 2000)
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise InputError(name, given=value, accepted=f"a number from {low} to {high}")
    return float(value)
