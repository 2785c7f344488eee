"""From boards, frames, wool and walls of the practice set to leaves, cavities and bridges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.base_wall import mass_law
from innerleaf.physics.sound.construction import Bridge, Cavity, Construction, resonance
from innerleaf.physics.sound.heavy import Layer, bonded, critical_frequency, heavy_reduction_index
from innerleaf.physics.sound.leaf import LABORATORY_EDGE_LOSS, Leaf, packet
from innerleaf.physics.sound.ratings import fine_weighted_reduction_index
from innerleaf.physics.sound.transmission import CENTRES
from innerleaf.practice.acoustics import Acoustics, FrameSound, SolidSound, Workmanship
from innerleaf.practice.mass_laws import load_mass_laws

if TYPE_CHECKING:
    from numpy.typing import NDArray

_MILLI: Final = 1e-3
_MICRO: Final = 1e-6
_HEAVIEST_EDGE: Final = 800.0  # kg/m²: EN 12354-1 (C.5) holds up to this mass
_RATED: Final = slice(3, 19)  # 100-3150 Hz of the 21 bands
_NO_GAIN_FROM: Final = 160.0  # Hz: ISO 12354-1 table D.1 has no gain from this resonance on


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLayer:
    """One layer of board: EN 520 type or other kind, thickness, and mass if it is known."""

    kind: str
    thickness_mm: float
    mass_kg_m2: float | None = None


def board_packet(layers: Sequence[BoardLayer], acoustics: Acoustics) -> Leaf:
    """The leaf that boards screwed on one another make; `InputError` for a kind without figures."""
    leaves, frictions = [], []
    for layer in layers:
        kind = acoustics.boards.get(layer.kind)
        if kind is None:
            raise InputError("kind of board", given=layer.kind, accepted=", ".join(acoustics.boards))
        thickness = layer.thickness_mm * _MILLI
        leaves.append(
            Leaf(
                mass=thickness * kind.density_kg_m3 if layer.mass_kg_m2 is None else layer.mass_kg_m2,
                critical_frequency=float(critical_frequency(thickness, kind.wave_speed_m_s)),
                loss_factor=kind.loss_factor,
            )
        )
        frictions.append(kind.friction)
    return packet(leaves, max(frictions, default=0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class SolidLayer:
    """One layer of a solid wall; its mass follows from the material's density if it is not known."""

    material: str
    thickness_mm: float
    mass_kg_m2: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solid:
    """A solid wall: as a leaf of the model, with its own reduction index, (21,). [dB]"""

    leaf: Leaf
    index: NDArray[np.float64]
    working: str


def solid_wall(
    layers: Sequence[SolidLayer], acoustics: Acoustics, at: Workmanship, *, rated: float | None = None
) -> Solid:
    """A wall of bonded solid layers, as in a laboratory.

    ``rated`` is its measured Rw, where one is known: the spectrum is then moved to it. Else it is moved to
    the mean of its material's mass laws.
    """
    plates = []
    for layer in layers:
        solid = acoustics.solids.get(layer.material)
        if solid is None:
            raise InputError("material", given=layer.material, accepted=", ".join(acoustics.solids))
        thickness = layer.thickness_mm * _MILLI
        density = solid.density_kg_m3 if layer.mass_kg_m2 is None else layer.mass_kg_m2 / thickness
        plates.append(
            Layer(
                thickness=thickness,
                density=density,
                wave_speed=solid.wave_speed_m_s,
                loss_factor=solid.loss_factor,
            )
        )
    wall = bonded(plates)
    leaf = Leaf(
        mass=wall.mass,
        critical_frequency=wall.critical_frequency,
        loss_factor=wall.loss_factor,
        edge_loss=min(wall.mass, _HEAVIEST_EDGE) * LABORATORY_EDGE_LOSS,
    )
    index = heavy_reduction_index(
        CENTRES,
        mass=wall.mass,
        critical_frequency=wall.critical_frequency,
        total_loss=leaf.loss_factor + leaf.edge_loss / np.sqrt(CENTRES),
        sides=(at.width_m, at.height_m),
        density=wall.density,
        wave_speed=wall.wave_speed,
    )
    working = f"{wall.mass:.0f} kg/m², fc {wall.critical_frequency:.0f} Hz: ISO 12354-1 annex B"
    main = acoustics.solids[max(layers, key=lambda layer: layer.thickness_mm).material]
    aim, why = (rated, "measured Rw") if rated is not None else _by_laws(main, wall.mass)
    if aim is not None:
        shift = aim - float(fine_weighted_reduction_index(index[_RATED]))
        index = index + shift
        working += f", moved by {shift:+.1f} dB to the {why}"
    return Solid(leaf=leaf, index=index, working=working)


def _by_laws(solid: SolidSound, mass: float) -> tuple[float | None, str]:
    """Rw by the mean of the material's mass laws that hold, and its name; None where none does. [dB]"""
    laws = [law for law in map(load_mass_laws().__getitem__, solid.laws) if law.holds(mass)]
    if not laws:
        return None, ""
    found = [float(mass_law(mass, law.slope_db, law.constant_db, law.linear_db)) for law in laws]
    names = " and ".join(law.id for law in laws)
    if len(laws) == 1:
        return found[0], f"mass law {names}"
    return sum(found) / len(found), f"mean of the mass laws {names}, {min(found):.0f} to {max(found):.0f} dB"


def cavity(
    depth_mm: float, fill_mm: float, acoustics: Acoustics, *, density_kg_m3: float | None = None
) -> Cavity:
    """A cavity with mineral wool of this thickness, 0 for none; of usual density if none is stated."""
    damping, wool = acoustics.cavities["framed"], acoustics.fibres["mineral-wool"]
    density = wool.usual_density_kg_m3 if density_kg_m3 is None else density_kg_m3
    if not depth_mm > 0:
        raise InputError("cavity_mm", given=depth_mm, accepted="above 0 mm")
    return Cavity(
        depth=depth_mm * _MILLI,
        fill=fill_mm * _MILLI,
        flow_resistivity=wool.flow_resistivity(density),
        drag=damping.drag_pa_s_m2 * float(np.sqrt(damping.drag_depth_mm / depth_mm)),
        fill_loss=damping.fill_loss,
        air_loss=damping.air_loss,
    )


def bridges(
    frame: FrameSound,
    rim: FrameSound,
    at: Workmanship,
    *,
    spacing_mm: float | None = None,
    depth_mm: float | None = None,
    sheet_mm: float | None = None,
) -> tuple[Bridge, ...]:
    """What ties the leaves of a cavity: its frame, if it touches both, and the rim of the wall."""
    spacing = (frame.spacing_mm if spacing_mm is None else spacing_mm) * _MILLI
    bay = (spacing, at.height_m)
    tied = [_bridge(rim, rim.spacing_mm * _MILLI, bay, at, 1.0)]
    if frame.kind != "none":
        grown = 1.0
        if frame.reference_depth_mm and depth_mm is not None:
            grown *= depth_mm / frame.reference_depth_mm
        if frame.reference_sheet_mm and sheet_mm is not None:
            grown *= (frame.reference_sheet_mm / sheet_mm) ** frame.sheet_exponent
        tied.insert(0, _bridge(frame, spacing, bay, at, grown))
    return tuple(tied)


def tie(frame: FrameSound, at: Workmanship) -> Bridge:
    """What ties two solid leaves, each of which vibrates as a whole."""
    spacing = frame.spacing_mm * _MILLI
    return _bridge(frame, spacing, (at.width_m, at.height_m), at, 1.0)


def _bridge(
    frame: FrameSound, spacing: float, bay: tuple[float, float], at: Workmanship, grown: float
) -> Bridge:
    kind: Literal["line", "point"] = "point" if frame.kind == "point" else "line"
    return Bridge(
        kind=kind,
        spacing=spacing,
        compliance=frame.compliance * _MICRO * grown,
        exponent=-frame.stiffening,
        fixing=frame.fixing * _MICRO,
        bay=bay,
        free_share=at.free_share,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinedWall:
    """A solid wall lined on one side; ``no_gain`` are reasons why none is promised. [Hz]"""

    construction: Construction
    resonance: float
    frame: FrameSound
    no_gain: tuple[str, ...]


def lined_wall(
    wall: Leaf,
    boards: Leaf,
    acoustics: Acoustics,
    at: Workmanship,
    *,
    depth_mm: float,
    fill_mm: float,
    spacing_mm: float,
    bracketed: bool,
) -> LinedWall:
    """A solid wall with a lining: boards on a frame, ``depth_mm`` from wall to boards, wool in between."""
    frame = acoustics.frames["bracketed-channel" if bracketed else "none"]
    hollow = cavity(depth_mm, fill_mm, acoustics)
    rim = acoustics.frames["rim-on-wall"]
    f0 = resonance(hollow.depth, wall.mass, boards.mass, filled=fill_mm > depth_mm / 2)
    no_gain = ["the frame is fixed to the wall"] if frame.rigid_to_wall else []
    if f0 >= _NO_GAIN_FROM:
        no_gain.append(f"resonance at {f0:.0f} Hz, from 160 Hz on ISO 12354-1 table D.1 knows no gain")
    return LinedWall(
        construction=Construction(
            leaves=(wall, boards),
            cavities=(hollow,),
            bridges=(bridges(frame, rim, at, spacing_mm=spacing_mm, depth_mm=depth_mm),),
            area=at.width_m * at.height_m,
            leak=10 ** (-at.leak_db / 10),
        ),
        resonance=f0,
        frame=frame,
        no_gain=tuple(no_gain),
    )
