"""What is checked on site and which points hold the work, as data with sources (`site.yaml`)."""

from __future__ import annotations

import functools
from bisect import bisect_left
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, Final, get_args, get_type_hints

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.gather import Gathered
from innerleaf.practice.typed import converted
from innerleaf.reading import Text, read_file

_PACKAGED: Final = Path(__file__).parent / "site.yaml"
YES: Final = "yes"  # unit of a question
SECTION: Final = "site"  # of a firm's file
_OF_FIRM: Final = ("tolerances", "limits")  # what a firm may change of it
DRYING: Final = "drying"  # the table that is a law: hours by temperature and humidity


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """The greatest deviation by the length it is measured over. [mm]"""

    id: str
    text: str
    between: str  # "line" or "step"
    over_mm: tuple[int, ...]
    most_mm: tuple[float, ...]
    source: str

    def most(self, over_mm: float) -> float:
        """The limit for a length; beyond the ends that of the end. [mm]"""
        at = bisect_left(self.over_mm, over_mm)
        if at == len(self.over_mm):
            return self.most_mm[-1]
        if at == 0 or self.between == "step" or self.over_mm[at] == over_mm:
            return self.most_mm[at]
        (x0, x1), (y0, y1) = self.over_mm[at - 1 : at + 1], self.most_mm[at - 1 : at + 1]
        return float(int(y0 + (y1 - y0) * (over_mm - x0) / (x1 - x0) + 0.5))


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteCheck:
    """Something that is looked at or measured after a step of the work."""

    id: str
    text: str
    how: str
    step: str
    where: str  # what the layout must have: see `site.checks`
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckLimit:
    """A value that a check asks for, with its limit: a figure, a rule and ``more``, or a table."""

    id: str  # check and value: "flatness.gap_mm"
    text: str
    unit: str
    at_most: bool
    limit: float = 0.0
    rule: str = ""
    more: float = 0.0
    table: str = ""
    over: str = ""
    over_text: str = ""
    source: str

    @property
    def check(self) -> str:
        """The check it belongs to."""
        return self.id.partition(".")[0]

    @property
    def value(self) -> str:
        """Name of the value."""
        return self.id.partition(".")[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPoint:
    """A point that holds the step ``before`` which it stands; ``passes``: roles that may pass it."""

    id: str
    text: str
    before: str
    passes: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OnSite:
    """Everything of `site.yaml`, each section by id."""

    tolerances: Mapping[str, Tolerance]
    checks: Mapping[str, SiteCheck]
    limits: Mapping[str, CheckLimit]
    holds: Mapping[str, HoldPoint]


@functools.cache
def load_on_site() -> OnSite:
    """The data that come with the package; raises `FileFaults` naming file, line and column."""
    return read_on_site(_PACKAGED)


def read_on_site(path: Path) -> OnSite:
    """Read a file of such data; everything that is wrong is said at once, by `FileFaults`."""
    said = Gathered(tuple(_classes()))
    said.take_set(read_file(path).checked())
    return _made(said)


def changed_on_site(firm: Text, source: str, rules: Collection[str]) -> OnSite:
    """The package's data with the tolerances and limits of a firm's file; ``rules``: names a limit may give.

    Errors as `read_on_site`.
    """
    said = Gathered(tuple(_classes()))
    said.take_set(read_file(_PACKAGED).checked())
    body = firm.value[SECTION]
    strange = [name for name in body if name not in _OF_FIRM] if isinstance(body, dict) else []
    if strange:
        error = InputError(SECTION, given=", ".join(map(str, strange)), accepted=" or ".join(_OF_FIRM))
        raise FileFaults([firm.line((SECTION, strange[0]), str(error), key=True)])
    said.take_changes(firm, (SECTION,), source)
    if said.faults:
        raise FileFaults(said.faults)
    changed = _made(said)
    for key, one in changed.limits.items():
        if one.rule and one.rule not in rules:
            said.refuse("limits", key, "rule", given=one.rule, accepted="a rule listed in docs/practice.md")
    if said.faults:
        raise FileFaults(said.faults)
    return changed


def _classes() -> dict[str, type]:
    return {name: get_args(hint)[1] for name, hint in get_type_hints(OnSite).items()}


def _made(said: Gathered) -> OnSite:
    made: dict[str, Any] = {
        section: {key: _entry(said, section, key, cls) for key in said.entries[section]}
        for section, cls in _classes().items()
    }
    if not said.faults:
        _agree(said, made)
    if said.faults:
        raise FileFaults(said.faults)
    return OnSite(**made)


def _entry(said: Gathered, section: str, key: str, cls: type) -> Any:
    values: dict[str, object] = {"id": key}
    before = len(said.faults)
    given = dict(said.entries[section][key].fields)
    most = given.pop("most_mm", None)  # two lengths may have one limit: not a list without repeats
    for field, value in converted(cls, given | ({"most_mm": sorted(set(most))} if most else {})):
        if isinstance(value, InputError):
            said.refuse(section, key, field, given=value.given, accepted=value.accepted)
        values[field] = value
    if most:
        values["most_mm"] = tuple(float(one) for one in most)
    return cls(**values) if len(said.faults) == before else None


def _agree(said: Gathered, made: Mapping[str, Any]) -> None:
    """Sections speak of one another: what they name must be there."""
    for key, one in made["tolerances"].items():
        if len(one.over_mm) != len(one.most_mm) or any(b < a for a, b in pairwise(one.most_mm)):
            accepted = f"{len(one.over_mm)} values, none less than the one before"
            said.refuse("tolerances", key, "most_mm", given=list(one.most_mm), accepted=accepted)
    for key, one in made["limits"].items():
        if one.check not in made["checks"]:
            said.refuse("limits", key, "text", given=key, accepted="CHECK.VALUE, of a check there is")
        if one.table and one.table not in (*made["tolerances"], DRYING):
            said.refuse("limits", key, "table", given=one.table, accepted=", ".join(made["tolerances"]))
        if one.table and not one.over:
            said.refuse("limits", key, "over", given=one.over, accepted="the value that the table goes by")
