"""Reading a practice set: a folder of YAML files, and a firm's own file laid over it.

Every file holds sections (``rules``, ``profiles``, ``boards`` and so on, as in `SECTIONS`); a set has
each of them, in whichever files. The fields of an entry are those of its class in ``model.py``;
nothing else is accepted, and everything that is wrong is said at once. A firm's file names its
``source``; it may move rules within their range, change fields of an entry, and add entries, also of
what frames are worked out with (``structure``).
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from typing import Any, Final

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.checks import disagreements, gaps
from innerleaf.practice.gather import HEAD, Gathered
from innerleaf.practice.model import (
    Board,
    Bracket,
    Consumable,
    Insulation,
    Junction,
    Material,
    Membrane,
    Practice,
    Profile,
    RuleNote,
    Rules,
    Screw,
)
from innerleaf.practice.site import SECTION as ON_SITE
from innerleaf.practice.site import OnSite, changed_on_site
from innerleaf.practice.structure import SECTION as STRUCTURE
from innerleaf.practice.structure import Structure, changed_structure
from innerleaf.practice.typed import converted, identity
from innerleaf.reading import Text, read_file

CATALOGUES: Final[dict[str, type]] = {
    "profiles": Profile,
    "boards": Board,
    "insulation": Insulation,
    "brackets": Bracket,
    "membranes": Membrane,
    "screws": Screw,
    "consumables": Consumable,
    "materials": Material,
    "junctions": Junction,
}
ELSEWHERE: Final = ("prices.yaml", "rates.yaml", "supply.yaml")  # of a set; read elsewhere
SECTIONS: Final[dict[str, type]] = {"rules": RuleNote, **CATALOGUES}


def practice_sets() -> tuple[str, ...]:
    """Names of the practice sets that come with the package."""
    return tuple(sorted(found.parent.name for found in Path(__file__).parent.glob("*/practice.yaml")))


def load_practice(name: str = "en_metric", override: Path | None = None) -> Practice:
    """Load a practice set of the package, with a firm's own file laid over it.

    Parameters
    ----------
    name : str
        One of `practice_sets`.
    override : Path, optional
        The firm's file; ``docs/practice.md`` shows one.

    Raises
    ------
    InputError
        There is no set of that name.
    FileFaults
        A file cannot be read or says what cannot be used; all faults, each with file, line and column.
    """
    if name not in practice_sets():
        raise InputError("practice", given=name, accepted=" or ".join(practice_sets()))
    if override is None:
        return _packaged(name)
    try:
        content = override.read_bytes()
    except (OSError, ValueError):  # what is wrong with it is said where it is read
        return read_practice(_folder(name), override)
    return _changed(name, _FirmFile(override, content))


def read_practice(folder: Path, override: Path | None = None) -> Practice:
    """Read a practice set from any folder, whose name it bears; errors as `load_practice`."""
    files = sorted(path for path in folder.glob("*.yaml") if path.name not in ELSEWHERE)
    if not files:
        raise FileFaults([f"{folder}: there is no practice set here (a folder of .yaml files)."])
    texts = [read_file(path) for path in files]
    firm = read_file(override) if override else None
    unreadable = [line for text in (*texts, firm) if text for line in text.lines()]
    if unreadable:
        raise FileFaults(unreadable)
    said = Gathered(tuple(SECTIONS))
    for text in texts:
        said.take_set(text)
    structure = on_site = None
    if firm:
        said.take_firm(firm, apart=(STRUCTURE, ON_SITE))
        structure, on_site = _structure(firm, said), _on_site(firm, said)
    return replace(_practice(folder, said, structure), on_site=on_site)


def _structure(firm: Text, said: Gathered) -> Structure | None:
    """The figures for frames with a firm's changes; None where it changes none, or has faults."""
    if not said.firm or STRUCTURE not in firm.value:
        return None
    try:
        return changed_structure(firm, said.firm)
    except FileFaults as error:
        said.faults += error.faults
        return None


def _on_site(firm: Text, said: Gathered) -> OnSite | None:
    """What is checked on site with a firm's tolerances; None where it changes none, or has faults."""
    if not said.firm or ON_SITE not in firm.value:
        return None
    try:
        return changed_on_site(firm, said.firm, [field.name for field in fields(Rules)])
    except FileFaults as error:
        said.faults += error.faults
        return None


@functools.cache
def _packaged(name: str) -> Practice:
    return read_practice(_folder(name))


@dataclass(frozen=True)
class _FirmFile:
    """A firm's file: what it says counts, not where it lies."""

    path: Path = field(compare=False)
    content: bytes


@functools.lru_cache(maxsize=32)
def _changed(name: str, firm: _FirmFile) -> Practice:
    return read_practice(_folder(name), firm.path)


def _folder(name: str) -> Path:
    return Path(__file__).parent / name


def _practice(folder: Path, said: Gathered, structure: Structure | None) -> Practice:
    """The practice set that the files make."""
    faults = said.faults
    faults += [f"{folder}: practice.{field} is missing." for field in HEAD if field not in said.head]
    notes = _entries(said, "rules", RuleNote)
    _check_rules(folder, said, notes)
    catalogues: dict[str, Any] = {
        section: _entries(said, section, cls) for section, cls in CATALOGUES.items()
    }
    faults += [
        f"{folder}: the section {section} is missing." for section in SECTIONS if not said.entries[section]
    ]
    if faults:
        raise FileFaults(faults)
    practice = Practice(
        id=folder.name,
        title=f"{said.head['title']}, as changed by: {said.firm}" if said.firm else said.head["title"],
        display_unit=said.head["display_unit"],
        rules=Rules(**{name: note.value for name, note in notes.items()}),
        rule_notes=tuple(notes.values()),
        structure=structure,
        **catalogues,
    )
    for wrong in disagreements(practice):
        said.refuse(wrong.section, wrong.key, wrong.field, given=wrong.given, accepted=wrong.accepted)
    faults += [f"{folder}: {sentence}" for sentence in gaps(practice)]
    if faults:
        raise FileFaults(faults)
    return practice


def _check_rules(folder: Path, said: Gathered, notes: dict[str, RuleNote]) -> None:
    """Note rules that are missing or not known, and what is wrong with their units and values."""
    names = [field.name for field in fields(Rules)]
    said.faults += [
        f"{folder}: the rule {name} is missing." for name in names if name not in said.entries["rules"]
    ]
    for name, entry in said.entries["rules"].items():
        unit = entry.fields.get("unit")
        if name not in names:
            said.refuse("rules", name, "", given=name, accepted="a rule listed in docs/practice.md")
        elif unit is not None and name.endswith("_mm") != (unit == "mm"):
            accepted = "mm" if unit != "mm" else "the unit of the rule, which is no length"
            said.refuse("rules", name, "unit", given=unit, accepted=accepted)
    for name, note in notes.items():
        if not note.low <= note.value <= note.high:
            accepted = f"{note.low} to {note.high} {note.unit} ({note.source})"
            said.refuse("rules", name, "value", given=note.value, accepted=accepted)


def _entries(said: Gathered, section: str, cls: type) -> dict[str, Any]:
    """The entries of a section as values of their class; faulty ones are noted and left out."""
    made = {}
    for key, entry in said.entries[section].items():
        values, good = {identity(cls): key}, True
        for name, value in converted(cls, entry.fields):
            if isinstance(value, InputError):
                said.refuse(section, key, name, given=value.given, accepted=value.accepted)
                good = False
            values[name] = value
        if good:
            made[key] = cls(**values)
    return made
