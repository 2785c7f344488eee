"""From room to room by third-octave band: what goes through the wall and round it, before and after lining.

The detailed model of ISO 12354-1, where the job says of what at least one flank is made. A flank of which
only the sound reduction is known gets the spectrum that ISO 717-1 rates linings on, moved to its Rw.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from innerleaf.design.sound.flanks import Ready, Surroundings
from innerleaf.design.sound.model import Solid
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.elements import element_in_building
from innerleaf.physics.sound.flanking import Element, Junction, SeparatingWall, joined
from innerleaf.physics.sound.in_situ import SPEED_OF_SOUND, edge_absorption
from innerleaf.physics.sound.junctions import junction_indices
from innerleaf.physics.sound.lining_effect import LiningEffect, effect_of_lining
from innerleaf.physics.sound.radiation import free_efficiency
from innerleaf.physics.sound.rating_record import REFERENCE_ELEMENTS
from innerleaf.physics.sound.ratings import fine_weighted_reduction_index

if TYPE_CHECKING:
    from numpy.typing import NDArray

_HEAVY_FROM: Final = 150.0  # kg/m²: heavy walls of EN 12354-1 annex B
_HEAVIEST: Final = 800.0  # kg/m²: what its loss factor in a laboratory holds for
_MOST_ABSORBED: Final = 0.5  # by an edge of which nothing is known [-]
_BANDS: Final = np.array(THIRDS, float)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Heard:
    """The answer by band, and how each element came about."""

    effect: LiningEffect
    working: tuple[str, ...]


def heard_by_band(
    name: str, wall: Solid, gain: Sequence[float], rooms: Surroundings, *, one_leaf: bool = True
) -> Heard | str:
    """What arrives in the next room, by band; or why that cannot be told.

    Parameters
    ----------
    name : str
    wall : Solid
        Without lining, as in a laboratory.
    gain : sequence of float, 21
        By the lining, on the receiving side. [dB]
    rooms : Surroundings
    one_leaf : bool
        Whether the wall is one plate, as the loss factors in the building ask for.
    """
    known = [flank for flank in rooms.flanks if flank.solid is not None]
    if not known:
        return "by single numbers: of no flank does the job say what it is made of"
    if not one_leaf:
        return "by single numbers: the wall is of two leaves"
    heaviest = max(wall.leaf.mass, *(flank.solid.leaf.mass for flank in known if flank.solid))
    if heaviest > _HEAVIEST:
        return f"by single numbers: {heaviest:.0f} kg/m² is more than the 800 that loss factors are known for"
    separating = _in_building(name, wall, rooms.area, _rim_of_wall(wall, rooms, known))
    ready = [_junction(flank, wall) for flank in rooms.flanks]
    effect = effect_of_lining(
        SeparatingWall(
            name=name,
            r=separating.r,
            area=rooms.area,
            absorption_length=separating.absorption_length,
        ),
        [junction for junction, _ in ready],
        improvement=tuple(gain),
        side="receiving",
        bands=THIRDS,
    )
    return Heard(effect=effect, working=tuple(words for _, words in ready))


def _junction(flank: Ready, wall: Solid) -> tuple[Junction, str]:
    if flank.solid is None:
        element: Literal["heavy wall", "light wall"] = (
            "heavy wall" if flank.mass >= _HEAVY_FROM else "light wall"
        )
        reference = np.array(REFERENCE_ELEMENTS[element])
        r = reference + flank.rw - float(fine_weighted_reduction_index(reference))
        bare = Element(name=flank.name, r=tuple(r.tolist()), area=flank.area)
        words = f"{flank.name}: by band like the {element} of ISO 717-1, moved to Rw {flank.rw:.1f} dB"
    else:
        bare = _in_building(flank.name, flank.solid, flank.area, _rim_of_flank(flank, flank.solid, wall))
        here = float(fine_weighted_reduction_index(bare.r))
        words = f"{flank.name}: by band from its layers; with its losses in the building Rw {here:.1f} dB"

    def lined(by: float) -> Element:
        return Element(
            name=bare.name,
            r=bare.r,
            area=bare.area,
            improvement=(by,),
            absorption_length=bare.absorption_length,
        )

    junction = joined(
        flank.kind,
        wall_mass=wall.leaf.mass,
        flank_mass=flank.mass,
        length=flank.length,
        source=lined(flank.gain_beyond),
        receiving=lined(flank.gain),
        bands=THIRDS,
    )
    return junction, words


def _in_building(name: str, solid: Solid, area: float, edges: NDArray[np.float64]) -> Element:
    """A solid element with the losses it has here; ``edges``: sum of length times absorption. [m]"""
    leaf, side = solid.leaf, float(np.sqrt(area))
    return element_in_building(
        name,
        solid.index,
        THIRDS,
        area=area,
        mass=leaf.mass,
        internal_loss=leaf.loss_factor,
        critical_frequency=leaf.critical_frequency,
        radiation=free_efficiency(_BANDS, leaf.critical_frequency, side, side),
        edges=edges,
    )


def _rim_of_wall(wall: Solid, rooms: Surroundings, known: Sequence[Ready]) -> NDArray[np.float64]:
    by_edges = np.sum([flank.length * _edge_of_wall(flank, wall) for flank in known], axis=0)
    length = sum(flank.length for flank in known)
    return np.asarray(by_edges + _elsewhere(wall, rooms.area, known[0].length, length))


def _edge_of_wall(flank: Ready, wall: Solid) -> NDArray[np.float64]:
    """Absorption at the wall's edge: into the flank on either side, and on beyond where the two cross."""
    assert flank.solid
    turning = junction_indices(
        flank.kind, wall_mass=wall.leaf.mass, flank_mass=flank.mass, frequency=_BANDS
    ).flank_wall
    indices, critical = [turning, turning], [flank.solid.leaf.critical_frequency] * 2
    if flank.kind == "rigid cross":
        crossed = junction_indices("rigid cross", wall_mass=flank.mass, flank_mass=wall.leaf.mass)
        indices.append(crossed.flank_flank)
        critical.append(wall.leaf.critical_frequency)
    return _absorbed(indices, critical)


def _rim_of_flank(flank: Ready, solid: Solid, wall: Solid) -> NDArray[np.float64]:
    """The edge at the wall, into the flank beyond it and into the wall, and the rest of its rim."""
    here = junction_indices(flank.kind, wall_mass=wall.leaf.mass, flank_mass=flank.mass, frequency=_BANDS)
    walls = 2 if flank.kind == "rigid cross" else 1
    indices = [here.flank_flank, *[here.flank_wall] * walls]
    critical = [solid.leaf.critical_frequency, *[wall.leaf.critical_frequency] * walls]
    by_edge = flank.length * _absorbed(indices, critical)
    return np.asarray(by_edge + _elsewhere(solid, flank.area, flank.length, flank.length))


def _elsewhere(solid: Solid, area: float, side: float, known: float) -> float:
    """What the edges pass on of which the job says nothing, as length times absorption. [m]

    A whole rim in a building adds 1/√f to the loss factor on the mean (Craik, Sound Transmission through
    Buildings, 1996; from memory), here with absorption of at most 0.5 (EN 12354-1 annex C has 0.05 to 0.5,
    from memory); ``known`` is the length of the edges reckoned with otherwise. [m]
    """
    rim = 2 * (side + area / side)
    whole = np.pi**2 * area * np.sqrt(solid.leaf.critical_frequency) / SPEED_OF_SOUND
    return float(min(whole / rim, _MOST_ABSORBED) * max(rim - known, 0.0))


def _absorbed(indices: Sequence[NDArray[np.float64]], critical: Sequence[float]) -> NDArray[np.float64]:
    columns = [np.broadcast_to(index, _BANDS.shape) for index in indices]
    return edge_absorption(np.stack(columns, axis=-1), np.array(critical))
