"""How high each stud of the catalogue may stand by calculation, and how far apart channels may be held.

A check of plausibility beside the catalogue's limits: tested tables and local codes govern.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor
from typing import Final

import numpy as np

from innerleaf.design.frame.profile import bar_of
from innerleaf.physics.frame.heights import CRITERIA, Use, greatest_height, greatest_span
from innerleaf.practice.model import Practice, Profile, ProfileUse
from innerleaf.practice.structure import LoadCase, Structure

_MOST_MM: Final = 10_000  # heights beyond this are not looked at
_STEP_MM: Final = 10  # lengths are rounded down to this


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightRow:
    """One entry of the table: the height of studs, or for channels the distance of their brackets. [mm]

    ``length_mm`` is the least of what the calculation gives and what catalogue and rules allow;
    ``governs`` says which: "deflection", "moment", "catalogue" (of studs) or "rule" (of brackets).
    """

    profile: str
    channel: bool
    count: int  # profiles in one member
    spacing_mm: float
    case: str
    finish: str
    length_mm: int
    governs: str
    calculated_mm: int  # at most 10 m


def height_rows(practice: Practice, structure: Structure) -> list[HeightRow]:
    """Every stud and channel, single and double, at every spacing the boards allow, by case and finish."""
    profiles = [p for p in practice.profiles.values() if p.use in (ProfileUse.STUD, ProfileUse.CHANNEL)]
    return [row for profile in profiles for row in _rows(profile, practice, structure)]


def spacings_of(practice: Practice) -> tuple[float, ...]:
    """Member spacings that go with the boards of a practice set and its rules, widest first. [mm]"""
    note = next(note for note in practice.rule_notes if note.name == "member_spacing_max_mm")
    widths = {board.width_mm for board in practice.boards.values()}
    found = {
        width / bays
        for width in widths
        for bays in range(1, 1 + width // note.low)
        if note.low <= width / bays <= practice.rules.member_spacing_max_mm
    }
    return tuple(sorted(found, reverse=True))


def _rows(profile: Profile, practice: Practice, structure: Structure) -> Iterator[HeightRow]:
    channel = profile.use == ProfileUse.CHANNEL
    spacings, finishes = spacings_of(practice), tuple(structure.finishes.values())
    longest = greatest_span if channel else greatest_height
    limits = {1: profile.greatest_height_mm, 2: profile.greatest_height_doubled_mm}
    if channel:
        limits = {1: practice.rules.bracket_spacing_max_mm}
    for count in (1,) if channel else (1, 2):
        bar, limit = bar_of(profile, structure, count), limits[count]
        for case in structure.cases.values():
            found = longest(
                bar.stiffness,
                bar.resistance,
                np.array(spacings)[:, None] / 1000,
                np.array([finish.ratio for finish in finishes]),
                use_of(case),
                _MOST_MM / 1000,
            )
            for i, spacing in enumerate(spacings):
                for j, finish in enumerate(finishes):
                    worked = _STEP_MM * floor(float(found.length[i, j]) * 1000 / _STEP_MM + 1e-6)
                    calculation = CRITERIA[int(found.governs[i, j])]
                    held = limit > 0 and limit <= worked
                    yield HeightRow(
                        profile=profile.id,
                        channel=channel,
                        count=count,
                        spacing_mm=spacing,
                        case=case.id,
                        finish=finish.id,
                        length_mm=limit if held else worked,
                        governs=("rule" if channel else "catalogue") if held else calculation,
                        calculated_mm=worked,
                    )


def use_of(case: LoadCase) -> Use:
    """A load case of the figures as `physics.frame.heights` takes it."""
    return Use(
        line_load=case.line_load_n_m,
        at=case.height_mm / 1000,
        pressure=case.pressure_pa,
        load_factor=case.load_factor,
    )
