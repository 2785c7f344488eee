"""A wall between two rooms and what surrounds it, for the sound that goes round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from innerleaf.job.model import JobWall
from innerleaf.job.sound import mass_of
from innerleaf.practice.model import Practice


@dataclass(frozen=True, slots=True, kw_only=True)
class FlankLayer:
    """One layer of a flank."""

    material: str
    thickness_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Flank:
    """A floor, ceiling or side wall that meets the wall along ``length_mm``. ``rw_db`` None: by ``law``.

    ``layers`` are those of its construction; none where the job gives its mass alone.
    """

    side: str  # floor, ceiling, left, right
    mass_kg_m2: float
    junction: str
    area_m2: float
    length_mm: int
    rw_db: float | None
    law: str
    gain_db: float  # by a lining on it in the lined room
    gain_beyond_db: float  # in the other room
    layers: tuple[FlankLayer, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Separates:
    """Two rooms: the area of the wall they share, the volume of the lined room (None: not said), flanks."""

    area_m2: float
    volume_m3: float | None
    flanks: tuple[Flank, ...]


def separates_of(wall: JobWall, practice: Practice) -> Separates | None:
    """What the job says, with the wall's own sizes where it says none."""
    said = wall.separates
    if said is None:
        return None
    xs, ys = zip(*wall.outline, strict=True)
    along = {"floor": max(xs) - min(xs), "left": max(ys) - min(ys)}
    along |= {"ceiling": along["floor"], "right": along["left"]}
    return Separates(
        area_m2=_area_m2(wall.outline) if said.area_m2 is None else said.area_m2,
        volume_m3=said.volume_m3,
        flanks=tuple(
            Flank(
                side=flank.side,
                mass_kg_m2=mass_of(flank, practice) or 0.0,
                junction=flank.junction,
                area_m2=flank.area_m2,
                length_mm=flank.length_mm or along[flank.side],
                rw_db=flank.rw_db,
                law=flank.law,
                gain_db=flank.gain_db,
                gain_beyond_db=flank.gain_beyond_db,
                layers=tuple(
                    FlankLayer(material=layer.material, thickness_mm=layer.thickness)
                    for layer in flank.construction
                ),
            )
            for flank in said.flanks
        ),
    )


def _area_m2(outline: Sequence[tuple[int, int]]) -> float:
    """Of a simple polygon in mm."""
    ends = zip(outline, [*outline[1:], outline[0]], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in ends)) / 2e6
