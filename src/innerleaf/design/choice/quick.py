"""What steel adds to many linings, by the reduced models of `design.quick_heat`; a few are solved in full."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from innerleaf.design.choice.criteria import Floats, Ints
from innerleaf.design.choice.cross import Cross, Slabs
from innerleaf.design.choice.heat import Bridging, Frames, solved_in_full
from innerleaf.design.quick_heat import Linings, quick_u
from innerleaf.errors import InputError

_FEW = 60  # fewer different sections are solved in full: sooner than a family is made, and exact
_NONE = 1e-9  # m²·K/W


def quick_or_full(cross: Cross, frames: Frames) -> Bridging:
    """psi and chi of every lining; those outside the reduced models are solved in full."""
    count = len(frames.steel)
    if count <= _FEW:
        return solved_in_full(cross, frames)
    found = np.full((5, count), np.nan)
    for rows in _groups(frames):
        for some, values in _within(cross, frames, rows):
            found[:, some] = values
    rest = np.flatnonzero(np.isnan(found[0]))
    if len(rest):
        full = solved_in_full(cross.only(rest), _frames_at(frames, rest))
        found[:, rest] = [full.psi, full.psi_half, full.chi, full.chi_half, full.factor]
    return Bridging(*found)


def _groups(frames: Frames) -> Iterator[Ints]:
    """Linings on one steel, with one bracket or none."""
    pairs = np.stack([frames.steel, frames.bridge])
    kinds, of = np.unique(pairs, axis=1, return_inverse=True)
    for number in range(kinds.shape[1]):
        yield np.flatnonzero(of.reshape(-1) == number)


def _within(cross: Cross, frames: Frames, rows: Ints) -> Iterator[tuple[Ints, Floats]]:
    """What the reduced models say of some linings; halved until those they do not know are found."""
    try:
        yield rows, _reduced(cross.only(rows), frames, rows)
    except InputError:
        if len(rows) > 1:
            for half in np.array_split(rows, 2):
                yield from _within(cross, frames, half)


def _reduced(cross: Cross, frames: Frames, rows: Ints) -> Floats:
    """psi, half, chi, half and factor of linings of one group, (5, linings)."""
    linings = _linings(cross, frames, rows)
    line = quick_u(replace(linings, bridge=None))
    clear, pitch = linings.u_clear, linings.pitch
    psi, psi_half = (line.middle - clear) * pitch, (line.high - line.low) / 2 * pitch
    if linings.bridge is None:
        zero = np.zeros(len(rows))
        return np.stack([psi, psi_half, zero, zero, line.frsi])
    point = quick_u(linings)
    cell = pitch * linings.rise
    chi = (point.middle - line.middle) * cell
    half = (point.high - point.low + line.high - line.low) / 2 * cell
    return np.stack([psi, psi_half, chi, half, np.minimum(line.frsi, point.frsi)])


def _linings(cross: Cross, frames: Frames, rows: Ints) -> Linings:
    """Linings of one group as the reduced models take them; ``cross`` has these rows only."""
    steel, bridge = int(frames.steel[rows[0]]), int(frames.bridge[rows[0]])
    old = np.array([[layer.thickness, layer.conductivity] for layer in cross.old])
    return Linings(
        steel=frames.steels[steel],
        bridge=frames.bridges[bridge] if bridge >= 0 else None,
        old=np.broadcast_to(old, (len(rows), *old.shape)),
        behind=_layers(cross.behind, cross.gap, cross.out),
        frame=_layers(cross.air, cross.inside),
        boards=_layers(cross.boards),
        pitch=frames.pitch[rows],
        rise=np.full(len(rows), frames.rise),
    )


def _layers(*slabs: Slabs) -> Floats:
    """Thickness and conductivity of layers, (linings, layers, 2)."""
    layers = []
    for slab in slabs:
        there = slab.resistance > _NONE
        conductivity = np.where(there, slab.thickness / np.where(there, slab.resistance, 1.0), 0.0)
        layers.append(np.stack([np.where(there, slab.thickness, 0.0), conductivity], axis=1))
    return np.stack(layers, axis=1)


def _frames_at(frames: Frames, rows: Ints) -> Frames:
    return replace(frames, steel=frames.steel[rows], bridge=frames.bridge[rows], pitch=frames.pitch[rows])
