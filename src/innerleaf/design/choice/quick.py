"""What steel adds to many linings, by the reduced models of `design.quick_heat`; a few are solved in full."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from innerleaf.design.choice.criteria import Floats, Ints
from innerleaf.design.choice.cross import Cross, Slabs
from innerleaf.design.choice.heat import Bridging, Frames, solved_in_full
from innerleaf.design.choice.wanted import first_least
from innerleaf.design.heat.quick import Linings, quick_u
from innerleaf.errors import InputError

_FEW = 60  # fewer different sections are solved in full: sooner than a family is made, and exact
_NONE = 1e-9  # m²·K/W


def quick_or_full(cross: Cross, frames: Frames) -> Bridging:
    """psi and chi of every lining; of cavities that the reduced models do not know by a few full solves."""
    count = len(frames.steel)
    if count <= _FEW:
        return solved_in_full(cross, frames)
    found = np.full((5, count), np.nan)
    for rows in _groups(frames):
        for some, values in _known(cross, frames, rows):
            found[:, some] = values
    rest = np.isnan(found[0])
    for rows in _groups(frames):
        for some in _alike_in_cavity(cross, rows[rest[rows]], kinds=False):
            found[:, some] = _from_few(cross, frames, some)
    return Bridging(*found)


def _from_few(cross: Cross, frames: Frames, rows: Ints) -> Floats:
    """Solved in full at the corners of board resistance and pitch; between these a plane: an estimate.

    Half of the interval is at least what the plane misses at its corners. (5, linings)
    """
    board, pitch = cross.boards.resistance[rows], frames.pitch[rows]
    corners = {first_least(p * pitch, b * board) for p in (1, -1) for b in (1, -1)}
    few = rows[sorted(corners)]
    full = solved_in_full(cross.only(few), _frames_at(frames, few))
    values = np.stack([full.psi, full.psi_half, full.chi, full.chi_half, full.factor])
    if len(few) == len(rows):
        return values
    known, asked = (
        np.stack([np.ones(len(k)), cross.boards.resistance[k], 1 / frames.pitch[k]], axis=1)
        for k in (few, rows)
    )
    plane = np.linalg.lstsq(known, values.T, rcond=None)[0]
    off = np.abs(known @ plane - values.T).max(axis=0)
    found = (asked @ plane).T
    found[1], found[3] = np.maximum(found[1], 0) + off[0], np.maximum(found[3], 0) + off[2]
    return np.asarray(found)


def _groups(frames: Frames) -> Iterator[Ints]:
    """Linings on the same steel, with one bracket or none."""
    alike = np.array([frames.steels.index(steel) for steel in frames.steels])
    pairs = np.stack([alike[frames.steel], frames.bridge])
    kinds, of = np.unique(pairs, axis=1, return_inverse=True)
    for number in range(kinds.shape[1]):
        yield np.flatnonzero(of.reshape(-1) == number)


def _known(cross: Cross, frames: Frames, rows: Ints) -> Iterator[tuple[Ints, Floats]]:
    """What the reduced models say of linings of one group, without those that they do not know.

    What they do not know is a kind of cavity, a thickness in it, or a packet: where they refuse, the linings
    are parted by that, and at last halved.
    """
    for some in _alike_in_cavity(cross, rows, kinds=True):
        try:
            yield some, _reduced(cross.only(some), frames, some)
        except InputError:
            for fewer in _alike_in_cavity(cross, some, kinds=False):
                if any(True for _ in _within(cross, frames, fewer[:1])):
                    yield from _within(cross, frames, fewer)


def _alike_in_cavity(cross: Cross, rows: Ints, *, kinds: bool) -> Iterator[Ints]:
    """Linings whose cavities have the same layers, or (not ``kinds``) these of the same thickness too."""
    columns = np.round(np.stack([part.thickness[rows] for part in cross.lining[:-1]], axis=1), 6)
    _, of = np.unique(columns > 0 if kinds else columns, axis=0, return_inverse=True)
    for number in range(int(of.max(initial=-1)) + 1):
        yield rows[of.reshape(-1) == number]


def _within(cross: Cross, frames: Frames, rows: Ints) -> Iterator[tuple[Ints, Floats]]:
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
