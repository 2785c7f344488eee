"""What the job says of floor, ceiling and side walls, as flanks of the wall between two rooms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from innerleaf.physics.sound.base_wall import mass_law
from innerleaf.physics.sound.flanking import Element, Junction, joined
from innerleaf.physics.sound.junctions import Kind
from innerleaf.practice.mass_laws import load_mass_laws
from innerleaf.survey.separates import Flank, Separates

_NAMES = {"floor": "floor", "ceiling": "ceiling", "left": "left side wall", "right": "right side wall"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Flanks ready to be reckoned with, the area both rooms share [m²], and how each flank came about."""

    junctions: tuple[Junction, ...]
    area: float
    volume: float | None  # of the lined room [m³]
    working: tuple[str, ...]
    missing: tuple[str, ...]  # sides of which the job says nothing


def surroundings_of(separates: Separates, wall_mass: float) -> Surroundings:
    """The flanks of a wall of this mass without linings. [kg/m²]

    The lined room is the receiving one; by the other way round the sum is the same.
    """
    ready = [_joined(flank, wall_mass) for flank in separates.flanks]
    said = {flank.side for flank in separates.flanks}
    return Surroundings(
        junctions=tuple(junction for junction, _ in ready),
        area=separates.area_m2,
        volume=separates.volume_m3,
        working=tuple(words for _, words in ready),
        missing=tuple(name for side, name in _NAMES.items() if side not in said),
    )


def _joined(flank: Flank, wall_mass: float) -> tuple[Junction, str]:
    name = _NAMES[flank.side]
    if flank.rw_db is None:
        law = load_mass_laws()[flank.law]
        rw = float(mass_law(flank.mass_kg_m2, law.slope_db, -law.less_db))
        how = f"by the law {law.id}: {law.slope_db:g}·lg {flank.mass_kg_m2:.0f} − {law.less_db:g}"
    else:
        rw, how = flank.rw_db, "as the job says"

    def element(gain: float) -> Element:
        return Element(name=name, r=(rw,), area=flank.area_m2, improvement=(gain,))

    junction = joined(
        cast("Kind", flank.junction),
        wall_mass=wall_mass,
        flank_mass=flank.mass_kg_m2,
        length=flank.length_mm / 1000,
        source=element(flank.gain_beyond_db),
        receiving=element(flank.gain_db),
    )
    words = (
        f"{name}: {flank.mass_kg_m2:.0f} kg/m², Rw {rw:.1f} dB ({how}), {flank.junction} over"
        f" {flank.length_mm / 1000:.2f} m, Kij {junction.k_ff[0]:.1f} along it,"
        f" {junction.k_fd[0]:.1f} dB round the edge"
    )
    return junction, words
