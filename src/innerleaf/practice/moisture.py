"""What building materials do with water, as data with sources (`hygro/*.yaml`).

An entry bears the id of a material, board or insulation of the practice set where there is one of that
name; others stand for kinds of material. Single figures, from which `physics.hygro.porous` makes curves.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.typed import converted
from innerleaf.reading import Text, read_file

SECTION: Final = "moisture"
LIKE: Final = "like"


_PACKAGED: Final = Path(__file__).parent / "hygro" / "materials.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class MoistureMaterial:
    """Figures of a porous material, dry where not said otherwise."""

    id: str
    density_kg_m3: float
    heat_j_kgk: float
    conductivity_w_mk: float
    conductivity_rise_w_mk_per_kg_m3: float  # with water content
    mu_dry: float
    mu_wet: float
    water_80_kg_m3: float  # at 80 % relative humidity
    water_free_kg_m3: float  # at free saturation
    water_most_kg_m3: float  # with all pores full
    absorption_kg_m2_sqrt_s: float = 0.0  # water absorption coefficient; left out: does not suck
    source: str


@functools.cache
def load_moisture() -> dict[str, MoistureMaterial]:
    """The materials that come with the package, by id; raises `FileFaults` naming file, line and column."""
    return read_moisture(_PACKAGED)


def water_of(material: str) -> MoistureMaterial | None:
    """What is known of a material's water: its own figures, or those of a like one (another ``id``)."""
    known = load_moisture()
    return known.get(material) or known.get(_likes().get(material, ""))


@functools.cache
def _likes() -> dict[str, str]:
    """Which material's figures stand in for those that nobody has given."""
    likes: dict[str, str] = read_file(_PACKAGED).checked().value[LIKE]
    return likes


def read_moisture(path: Path) -> dict[str, MoistureMaterial]:
    """Read a file of moisture materials; everything that is wrong is said at once, by `FileFaults`."""
    text = read_file(path).checked()
    entries = text.value.get(SECTION) if isinstance(text.value, dict) else None
    if not isinstance(entries, dict):
        raise FileFaults([f"{path}: the section {SECTION} with an entry for each material is needed."])
    faults: list[str] = []
    found = {}
    for key, fields in entries.items():
        values = _values(text, key, fields, faults)
        if values is not None:
            found[key] = values
    if faults:
        raise FileFaults(faults)
    return found


def _values(text: Text, key: str, fields: object, faults: list[str]) -> MoistureMaterial | None:
    if not isinstance(fields, dict):
        faults.append(text.line((SECTION, key), f"{key}: an entry with fields is needed.", key=True))
        return None
    values: dict[str, object] = {"id": key}
    before = len(faults)
    for field, value in converted(MoistureMaterial, fields):
        if isinstance(value, InputError):
            at = (SECTION, key, field) if field in fields else (SECTION, key)
            faults.append(text.line(at, f"{key}, {value}", key=True))
        values[field] = value
    return MoistureMaterial(**values) if len(faults) == before else None  # type: ignore[arg-type]
