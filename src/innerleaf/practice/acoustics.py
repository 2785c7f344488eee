"""What building materials and frames do with sound, as data with sources (`acoustics/*.yaml`).

Boards go by their EN 520 type, solid materials by the id of the practice set's material where there is one.
Values found by fitting say so: one set for all walls, no value for a single wall (docs/sound.md).
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Final

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice.typed import converted
from innerleaf.reading import Text, read_file

FOLDER: Final = Path(__file__).parent / "acoustics"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardSound:
    """A kind of board: EN 520 type, or another material.

    Where it is not stated otherwise by a board's own mass, ``density_kg_m3`` serves.
    """

    id: str
    density_kg_m3: float
    wave_speed_m_s: float  # of quasi-longitudinal waves
    loss_factor: float  # of one layer screwed to a frame
    friction: float  # loss added where layers lie on one another, not glued
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameSound:
    """What ties two leaves: a compliance at 250 Hz that falls with f^-stiffening, and that of its fixings.

    ``compliance`` and ``fixing`` are per length of line [1e-6 m²/N] or of a point [1e-6 m/N]. It grows
    with depth where ``reference_depth_mm`` is given, and falls with sheet thickness to the power
    ``sheet_exponent`` where ``reference_sheet_mm`` is. ``spacing_mm`` is the spacing where none is
    stated. ``rigid_to_wall`` marks frames for which no gain is promised.
    """

    id: str
    kind: str  # line, point or none
    spacing_mm: float
    compliance: float = 0.0
    stiffening: float = 0.0
    fixing: float = 0.0
    reference_depth_mm: float = 0.0
    reference_sheet_mm: float = 0.0
    sheet_exponent: float = 0.0
    rigid_to_wall: bool = False
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CavitySound:
    """Damping of cavities; the drag of an empty one of ``drag_depth_mm``, falling with the root of depth."""

    id: str
    drag_pa_s_m2: float
    drag_depth_mm: float
    fill_loss: float
    air_loss: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FibreSound:
    """Flow resistivity of fibres: coefficient·density^exponent/diameter². [kg/m³, m]"""

    id: str
    coefficient: float
    exponent: float
    diameter_um: float
    usual_density_kg_m3: float  # of wool whose density is not stated
    source: str

    def flow_resistivity(self, density_kg_m3: float) -> float:
        """Of wool of this density. [Pa·s/m²]"""
        if not density_kg_m3 > 0:
            raise InputError("density_kg_m3", given=density_kg_m3, accepted="above 0 kg/m³")
        return float(self.coefficient * density_kg_m3**self.exponent / (self.diameter_um * 1e-6) ** 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidSound:
    """A material of solid walls, with the mass laws (`mass_laws.yaml`) whose mean its level follows.

    Without a law that holds for the mass, ISO 12354-1 annex B stands alone. ``unsealed_leak_db`` is what goes
    through the pores where neither face is plastered or painted; 0: none.
    """

    id: str
    density_kg_m3: float
    wave_speed_m_s: float
    loss_factor: float
    laws: tuple[str, ...] = ()
    unsealed_leak_db: float = 0.0
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Workmanship:
    """What goes by leaks and flanks even in a good laboratory, and the specimen there."""

    id: str
    leak_db: float  # reduction index of all leaks together
    width_m: float
    height_m: float
    free_share: float  # of what vibrates freely in a bay between supports and radiates from its rim
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertainty:
    """Standard uncertainty of a prediction, by kind of construction. [dB]"""

    id: str
    rating_db: float  # of Rw or STC
    band_db: float  # of a third-octave band
    walls: int  # from how many measured
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Acoustics:
    """All of it; each by id."""

    boards: Mapping[str, BoardSound]
    frames: Mapping[str, FrameSound]
    cavities: Mapping[str, CavitySound]
    fibres: Mapping[str, FibreSound]
    solids: Mapping[str, SolidSound]
    workmanship: Mapping[str, Workmanship]
    uncertainty: Mapping[str, Uncertainty]


_SECTIONS: Final[dict[str, type]] = {
    "boards": BoardSound,
    "frames": FrameSound,
    "cavities": CavitySound,
    "fibres": FibreSound,
    "solids": SolidSound,
    "workmanship": Workmanship,
    "uncertainty": Uncertainty,
}


@functools.cache
def load_acoustics() -> Acoustics:
    """The figures that come with the package; raises `FileFaults` naming file, line and column."""
    return read_acoustics(FOLDER)


def read_acoustics(folder: Path) -> Acoustics:
    """Read a folder with one file for each section; all that is wrong is said at once, by `FileFaults`."""
    faults: list[str] = []
    found = {
        section: _section(folder / f"{section}.yaml", section, kind, faults)
        for section, kind in _SECTIONS.items()
    }
    if faults:
        raise FileFaults(faults)
    return Acoustics(**found)  # type: ignore[arg-type]


def _section(path: Path, section: str, kind: type, faults: list[str]) -> dict[str, object]:
    text = read_file(path).checked()
    entries = text.value.get(section) if isinstance(text.value, dict) else None
    if not isinstance(entries, dict):
        faults.append(f"{path}: the section {section} with an entry for each is needed.")
        return {}
    found = {}
    for key, given in entries.items():
        entry = _entry(text, (section, key), kind, given, faults)
        if entry is not None:
            found[key] = entry
    return found


def _entry(text: Text, place: tuple[str, str], kind: type, given: object, faults: list[str]) -> object | None:
    key = place[1]
    if not isinstance(given, dict):
        faults.append(text.line(place, f"{key}: an entry with fields is needed.", key=True))
        return None
    values: dict[str, object] = {fields(kind)[0].name: key}
    before = len(faults)
    for field, value in converted(kind, given):
        if isinstance(value, InputError):
            faults.append(
                text.line((*place, field) if field in given else place, f"{key}, {value}", key=True)
            )
        values[field] = value
    return kind(**values) if len(faults) == before else None
