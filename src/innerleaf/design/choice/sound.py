"""Sound of many options from their layers, by the model of `physics.sound`; each construction once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from innerleaf.design.choice.criteria import Flags, Floats, Ints
from innerleaf.design.choice.cross import Cross
from innerleaf.design.choice.options import Options
from innerleaf.design.sound.model import BoardLayer, Solid, board_packet, lined_wall
from innerleaf.design.sound.old_wall import old_wall
from innerleaf.errors import InputError
from innerleaf.physics.sound.construction import Arrays, as_arrays
from innerleaf.physics.sound.leaf import Leaf
from innerleaf.physics.sound.ratings import fine_weighted_reduction_index
from innerleaf.physics.sound.transmission import decibels, improved, transmission
from innerleaf.practice.acoustics import Acoustics, Workmanship, load_acoustics
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Wall

_RATED = slice(3, 19)  # 100 to 3150 Hz of the 21 bands
_NO_GAIN_FROM = 160.0  # Hz: ISO 12354-1 table D.1 has no gain from this resonance on
_THREADS = 2
_STEP = 1e-3  # m and kg/m²: what differs by less is one construction


@dataclass(frozen=True, slots=True, eq=False)
class SoundFigures:
    """Improvement of Rw by the lining, and Rw of the lined wall, of each option. [dB]

    ``method`` names what they come from; ``spread`` is a standard uncertainty, infinite where none is known.
    """

    gain: Floats
    reduction: Floats
    method: str
    spread: float


class SoundModel(Protocol):
    """Anything that tells the sound of linings on a wall; None if it cannot for this wall."""

    def __call__(self, wall: Wall, options: Options, cross: Cross, practice: Practice) -> SoundFigures | None:
        """Gain and reduction of each option."""
        ...


def from_layers(wall: Wall, options: Options, cross: Cross, practice: Practice) -> SoundFigures | None:
    """Rw before and after from the layers, in tenths; None for an old wall that the model does not know.

    As in a laboratory: what goes round the wall is left out. Where the frame is rigid on the wall, or the
    resonance lies at 160 Hz or above, a gain is not promised, only a loss.
    """
    acoustics = load_acoustics()
    at = acoustics.workmanship["laboratory"]
    base = _base(wall, practice, acoustics, at)
    if base is None:
        return None
    leaves, packet = _packets(options, practice, acoustics)
    depth = np.sum([part.thickness for part in cross.lining[:-1]], axis=0)
    fill = cross.behind.thickness + cross.out.thickness + cross.inside.thickness
    frame = np.array([1 if system.bracketed else 0 for system in options.systems])[options.system]
    spacing = np.array([system.spacing_mm for system in options.systems])[options.system]
    rows = np.stack([packet[options.packet], frame, spacing, depth / _STEP, fill / _STEP], axis=1)
    kinds, of = np.unique(np.rint(rows).astype(np.int64), axis=0, return_inverse=True)
    arrays, none = _constructions(base, leaves, kinds, acoustics, at)
    gain = _gains(base, arrays)
    promised = np.where(none, np.minimum(gain, 0.0), gain)[of.reshape(-1)]
    bare = _rated(base.index[None, :])[0]
    spread = acoustics.uncertainty["lining-one-side"]
    return SoundFigures(promised, bare + promised, "from the layers", spread.rating_db)


def _base(wall: Wall, practice: Practice, acoustics: Acoustics, at: Workmanship) -> Solid | None:
    """The old wall; None if soft layers part it that are not known, or a material is not."""
    try:
        return old_wall(wall.construction, practice, acoustics, at).solid
    except InputError:
        return None


def _packets(options: Options, practice: Practice, acoustics: Acoustics) -> tuple[list[Leaf], Ints]:
    """Different board packets as leaves, and which each packet of the options is."""
    leaves: dict[Leaf, int] = {}
    of = []
    for packet in options.packets:
        boards = [practice.boards[name] for name in sorted(packet)]
        layers = [
            BoardLayer(kind=b.type, thickness_mm=b.thickness_mm, mass_kg_m2=b.mass_kg_m2) for b in boards
        ]
        of.append(leaves.setdefault(board_packet(layers, acoustics), len(leaves)))
    return list(leaves), np.array(of)


def _constructions(
    base: Solid, leaves: list[Leaf], kinds: Ints, acoustics: Acoustics, at: Workmanship
) -> tuple[Arrays, Flags]:
    """Lined walls, and of which no gain is promised. Rows of ``kinds``: leaf, bracketed, and lengths in mm.

    Each frame and cavity is made once, with the first leaf, and then gets the leaf of every row; its
    resonance goes with the root of 1/m' + 1/m''.
    """
    hollows, of = np.unique(kinds[:, 1:], axis=0, return_inverse=True)
    walls = [
        lined_wall(
            base.leaf,
            leaves[0],
            acoustics,
            at,
            depth_mm=int(depth),
            fill_mm=int(min(fill, depth)),
            spacing_mm=int(spacing),
            bracketed=bool(bracketed),
        )
        for bracketed, spacing, depth, fill in hollows
    ]
    few, back = as_arrays([wall.construction for wall in walls]), of.reshape(-1)
    rows = few.leaves[back].copy()
    rows[:, 1] = np.array([leaf.row() for leaf in leaves])[kinds[:, 0]]
    light = 1 / base.leaf.mass + 1 / np.array([leaf.mass for leaf in leaves])
    f0 = np.array([wall.resonance for wall in walls])[back] * np.sqrt(light / light[0])[kinds[:, 0]]
    rigid = np.array([wall.frame.rigid_to_wall for wall in walls])[back]
    arrays = Arrays(rows, few.cavities[back], few.bridges[back], few.area[back], few.leak[back])
    return arrays, np.asarray(rigid | (f0 >= _NO_GAIN_FROM))


def _gains(base: Solid, arrays: Arrays) -> Floats:
    """Rw lined less Rw bare, in tenths. [dB]"""
    shares = transmission(arrays, threads=_THREADS)
    gain = decibels((shares.by_air + shares.by_bridges) / shares.alone[..., 0])
    lined = improved(base.index, gain, arrays.leak[:, None])
    return np.asarray(np.round(_rated(lined) - _rated(base.index[None, :]), 1))


def _rated(index: Floats) -> Floats:
    return np.asarray(fine_weighted_reduction_index(index[:, _RATED]))
