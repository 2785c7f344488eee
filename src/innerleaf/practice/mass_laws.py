"""Mass laws of heavy walls, as data with sources and ranges (`acoustics/mass_laws.yaml`)."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.typed import converted
from innerleaf.reading import Text, read_file

SECTION: Final = "mass_laws"


@dataclass(frozen=True, slots=True, kw_only=True)
class MassLaw:
    """Rw = slope·lg m' + linear·m' + plus - less, within a range of mass. [dB, kg/m²]"""

    id: str
    materials: str
    slope_db: float = 0.0
    linear_db: float = 0.0  # [dB·m²/kg]
    plus_db: float = 0.0
    less_db: float = 0.0
    from_kg_m2: float
    to_kg_m2: float
    source: str

    @property
    def constant_db(self) -> float:
        """What does not depend on mass. [dB]"""
        return self.plus_db - self.less_db

    @property
    def formula(self) -> str:
        """The law in one line, m' in kg/m²."""
        parts = [f"{self.slope_db:g}·lg m'"] if self.slope_db else []
        parts += [f"{self.linear_db:g}·m'"] if self.linear_db else []
        sign = "−" if self.constant_db < 0 else "+"
        return f"{' + '.join(parts)} {sign} {abs(self.constant_db):g}"

    def holds(self, mass_kg_m2: float) -> bool:
        """Whether a wall of this mass lies in the law's range, ends included."""
        return self.from_kg_m2 <= mass_kg_m2 <= self.to_kg_m2


@functools.cache
def load_mass_laws() -> dict[str, MassLaw]:
    """The laws that come with the package, by id; raises `FileFaults` naming file, line and column."""
    return read_mass_laws(Path(__file__).parent / "acoustics" / "mass_laws.yaml")


def read_mass_laws(path: Path) -> dict[str, MassLaw]:
    """Read a file of mass laws; everything that is wrong is said at once, by `FileFaults`."""
    text = read_file(path).checked()
    entries = text.value.get(SECTION) if isinstance(text.value, dict) else None
    if not isinstance(entries, dict):
        raise FileFaults([f"{path}: the section {SECTION} with an entry for each law is needed."])
    faults: list[str] = []
    laws = {key: law for key, fields in entries.items() if (law := _law(text, key, fields, faults))}
    if faults:
        raise FileFaults(faults)
    return laws


def _law(text: Text, key: str, fields: object, faults: list[str]) -> MassLaw | None:
    if not isinstance(fields, dict):
        faults.append(text.line((SECTION, key), f"{key}: an entry with fields is needed.", key=True))
        return None
    before = len(faults)
    values: dict[str, object] = {"id": key}
    for field, value in converted(MassLaw, fields):
        if isinstance(value, InputError):
            at = (SECTION, key, field) if field in fields else (SECTION, key)
            faults.append(text.line(at, f"{key}, {value}", key=True))
        values[field] = value
    if len(faults) > before:
        return None
    law = MassLaw(**values)  # type: ignore[arg-type]
    if not (law.slope_db or law.linear_db):
        error = InputError(
            "slope_db", given=None, accepted="this, or linear_db: the law must ask for the mass"
        )
        faults.append(text.line((SECTION, key), f"{key}, {error}", key=True))
    if law.from_kg_m2 >= law.to_kg_m2:
        error = InputError("to_kg_m2", given=law.to_kg_m2, accepted="above from_kg_m2")
        faults.append(text.line((SECTION, key, "to_kg_m2"), f"{key}, {error}", key=True))
    return law
