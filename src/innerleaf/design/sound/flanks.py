"""What the job says of floor, ceiling and side walls, as flanks of the wall between two rooms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from innerleaf.design.sound.model import Solid, SolidLayer, solid_wall
from innerleaf.design.sound.old_wall import SOLID_FROM
from innerleaf.errors import InputError
from innerleaf.physics.sound.base_wall import mass_law
from innerleaf.physics.sound.flanking import Element, Junction, joined
from innerleaf.physics.sound.junctions import Kind
from innerleaf.practice.acoustics import Acoustics
from innerleaf.practice.mass_laws import load_mass_laws
from innerleaf.practice.model import Practice
from innerleaf.survey.separates import Flank, Separates

_NAMES = {"floor": "floor", "ceiling": "ceiling", "left": "left side wall", "right": "right side wall"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ready:
    """A flank with its Rw, how it is known, and the solid wall or floor it is; None where that is not known.

    ``solid`` is moved to the Rw that the job states or names a law for. [kg/m², dB, m², m]
    """

    name: str
    kind: Kind
    mass: float
    rw: float
    how: str
    area: float
    length: float
    gain: float
    gain_beyond: float
    solid: Solid | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Flanks ready to be reckoned with, the area both rooms share [m²], and how each flank came about."""

    flanks: tuple[Ready, ...]
    junctions: tuple[Junction, ...]  # by single numbers
    area: float
    volume: float | None  # of the lined room [m³]
    working: tuple[str, ...]
    missing: tuple[str, ...]  # sides of which the job says nothing


def surroundings_of(
    separates: Separates, wall_mass: float, practice: Practice, acoustics: Acoustics
) -> Surroundings:
    """The flanks of a wall of this mass without linings. [kg/m²]

    The lined room is the receiving one; by the other way round the sum is the same.
    """
    flanks = tuple(_ready(flank, practice, acoustics) for flank in separates.flanks)
    joints = [_joined(flank, wall_mass) for flank in flanks]
    said = {flank.side for flank in separates.flanks}
    return Surroundings(
        flanks=flanks,
        junctions=tuple(junction for junction, _ in joints),
        area=separates.area_m2,
        volume=separates.volume_m3,
        working=tuple(words for _, words in joints),
        missing=tuple(name for side, name in _NAMES.items() if side not in said),
    )


def _ready(flank: Flank, practice: Practice, acoustics: Acoustics) -> Ready:
    if flank.rw_db is None:
        law = load_mass_laws()[flank.law]
        rw = float(mass_law(flank.mass_kg_m2, law.slope_db, law.constant_db, law.linear_db))
        how = f"by the law {law.id}: {law.formula}"
    else:
        rw, how = flank.rw_db, "as the job says"
    return Ready(
        name=_NAMES[flank.side],
        kind=cast("Kind", flank.junction),
        mass=flank.mass_kg_m2,
        rw=rw,
        how=how,
        area=flank.area_m2,
        length=flank.length_mm / 1000,
        gain=flank.gain_db,
        gain_beyond=flank.gain_beyond_db,
        solid=_solid(flank, rw, practice, acoustics),
    )


def _solid(flank: Flank, rw: float, practice: Practice, acoustics: Acoustics) -> Solid | None:
    """The flank as one plate; None where its layers are not said, soft, or without acoustic figures."""
    layers = [
        SolidLayer(
            material=layer.material,
            thickness_mm=layer.thickness_mm,
            mass_kg_m2=practice.materials[layer.material].density_kg_m3 * layer.thickness_mm / 1000,
        )
        for layer in flank.layers
    ]
    soft = any(practice.materials[layer.material].density_kg_m3 < SOLID_FROM for layer in flank.layers)
    if not layers or soft:
        return None
    try:
        return solid_wall(layers, acoustics, acoustics.workmanship["laboratory"], rated=rw)
    except InputError:  # a material without acoustic figures
        return None


def _joined(flank: Ready, wall_mass: float) -> tuple[Junction, str]:
    def element(gain: float) -> Element:
        return Element(name=flank.name, r=(flank.rw,), area=flank.area, improvement=(gain,))

    junction = joined(
        flank.kind,
        wall_mass=wall_mass,
        flank_mass=flank.mass,
        length=flank.length,
        source=element(flank.gain_beyond),
        receiving=element(flank.gain),
    )
    words = (
        f"{flank.name}: {flank.mass:.0f} kg/m², Rw {flank.rw:.1f} dB ({flank.how}), {flank.kind} over"
        f" {flank.length:.2f} m, Kij {junction.k_ff[0]:.1f} along it,"
        f" {junction.k_fd[0]:.1f} dB round the edge"
    )
    return junction, words
