"""What steel adds to many linings at once: their own sections bound together; a few are solved in full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from math import inf
from typing import Final, TypedDict

import numpy as np

from innerleaf.design.buildup import transmittance
from innerleaf.design.choice.criteria import Floats
from innerleaf.design.choice.cross import Cross
from innerleaf.design.choice.heat import Bridging, Frames, depth_at, solved_in_full
from innerleaf.design.heat.assess import RSE, RSI, RSI_CORNER
from innerleaf.design.heat.details import bracket_point, member_line
from innerleaf.design.heat.quick_store import figures_of
from innerleaf.physics.reduced import Bounds
from innerleaf.physics.reduced_given import bounds_of_given, makes_of
from innerleaf.physics.section import Section
from innerleaf.work import run_tasks


class _Fineness(TypedDict, total=False):
    accuracy: float
    spread: float
    kelvin: float


_FEW: Final = 12  # so many sections are sooner solved one by one
# Interval wanted on the heat of a template, how far bounds may lie apart, and by how much surfaces may still
# move. The middle of the bounds is some ten times nearer to a full solve.
_LINES: Final[_Fineness] = {"accuracy": 0.002, "spread": 0.004, "kelvin": 0.004}
_POINTS: Final[_Fineness] = {"accuracy": 0.008, "spread": 0.012, "kelvin": 0.008}
_COARSE: Final[_Fineness] = {"kelvin": inf}


def quick_or_full(cross: Cross, frames: Frames, *, surfaces: bool = True, workers: int = 1) -> Bridging:
    """psi and chi of every lining, between bounds that hold its full solve; kept for the next run.

    Without ``surfaces`` their temperatures are left coarse.
    """
    if len(frames.steel) <= _FEW:
        return solved_in_full(cross, frames)
    numbers = [frames.steel, frames.bridge, frames.pitch]
    numbers += [part for slab in cross.lining for part in (slab.thickness, slab.resistance)]
    fine = (_POINTS, _LINES) if surfaces else (_POINTS | _COARSE, _LINES | _COARSE)
    said = repr((cross.old, frames.steels, frames.bridges, frames.rise, RSI, RSE, RSI_CORNER, fine))
    key = said.encode() + b"".join(np.round(np.asarray(each, float), 12).tobytes() for each in numbers)
    return Bridging(*figures_of(key, 5, lambda: _bounded(cross, frames, fine, workers)))


def _bounded(cross: Cross, frames: Frames, fine: tuple[_Fineness, _Fineness], workers: int) -> Floats:
    """psi, half of its interval, chi, half of its, least factor; (5, linings)."""
    count, on = len(frames.steel), np.flatnonzero(frames.bridge >= 0)
    depths = [depth_at(cross, option) for option in range(count)]
    clear = np.array([transmittance(depth.layers, RSI, RSE) for depth in depths])
    steels = [frames.steels[k] for k in frames.steel]
    points = [
        bracket_point(
            depths[k],
            replace(steels[k], studs=1),
            frames.bridges[frames.bridge[k]],
            float(frames.pitch[k]),
            frames.rise,
        ).section(RSI, RSE)
        for k in on
    ]
    lines = [
        member_line(depth, steel, float(pitch)).section(RSI, RSE)
        for depth, steel, pitch in zip(depths, steels, frames.pitch, strict=True)
    ]
    point, line = _bounds(list(zip((points, lines), fine, strict=True)), workers)
    psi, psi_half = line.middle - clear * frames.pitch, (line.high - line.low) / 2
    chi, chi_half, factor = np.zeros(count), np.zeros(count), line.factor.copy()
    chi[on] = 4 * point.middle - line.middle[on] * frames.rise
    chi_half[on] = 2 * (point.high - point.low) + psi_half[on] * frames.rise
    factor[on] = np.minimum(factor[on], point.factor)
    return np.stack([psi, psi_half, chi, chi_half, factor])


def _bounds(asked: Sequence[tuple[Sequence[Section], _Fineness]], workers: int) -> list[Bounds]:
    """Bounds of sections of several kinds, each kind as fine as it needs, make by make."""
    rows = [makes_of(sections) for sections, _ in asked]
    tasks = [
        partial(bounds_of_given, [sections[k] for k in make], cautious=RSI_CORNER, **fineness)
        for (sections, fineness), makes in zip(asked, rows, strict=True)
        for make in makes
    ]
    results = run_tasks(tasks, workers=workers)
    found = []
    for (sections, _), makes in zip(asked, rows, strict=True):
        low, high, factor = (np.zeros(len(sections)) for _ in range(3))
        for make in makes:
            part = next(results)
            low[make], high[make], factor[make] = part.low, part.high, part.factor
        found.append(Bounds(low=low, high=high, factor=factor))
    return found
