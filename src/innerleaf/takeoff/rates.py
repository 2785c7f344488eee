"""How much of the small things goes with the large ones.

These are quantities per piece that no drawing shows one by one. Each is common practice, no source,
unless said otherwise; a firm hands in its own ``Rates``.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """Consumption per piece or per area."""

    kerf_mm: int = 2
    """Width of one saw or shear cut through a bar. [mm]"""
    least_strip_mm: int = 100
    """A strip of board narrower than this is waste: not kept, and not cut from where sawn out. [mm]"""
    least_kept_bar_mm: int = 600
    """What is left of a bar is kept if it is this long. [mm]"""
    least_kept_board_mm: int = 300
    """What is left of a board is kept for a later delivery if neither side is shorter. [mm]"""
    screws_per_stud_end: int = 1
    """Crimps or screws that hold a stud (channel) end in its track; none at a head that moves."""
    screws_per_level_end: int = 2
    """Screws at each end of a head, sill, nogging or backing piece."""
    screws_per_splice: int = 4
    """Screws through an overlapped or connected splice of studs or channels."""
    screws_per_bracket: int = 2
    """Screws from a bracket's legs into its channel."""
    fixings_per_bracket: int = 1
    """Anchors of one bracket into the old wall."""
    strip_per_bracket_mm: int = 100
    """Sealing strip under the foot of one bracket, at least as wide as its straps. [mm]"""
    skim_kg_m2: float = 1.0
    """Compound of a skim over the whole face, about 1 mm thick (from memory). [kg/m2]"""
    bedding_kg_m2: float = 3.0
    """Compound that a reveal board is bedded in, about 3 mm thick all over (from memory). [kg/m2]"""
    head_spot_mm: int = 30
    """Diameter of the spot of compound over a screw head, each coat. [mm]"""

    basis: str = "common practice, no source"


COMMON_RATES = Rates()
