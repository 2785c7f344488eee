"""What is settled beforehand about a lining that is still to be chosen."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.survey.wall import MemberBuild, Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What the job fixes of a lining to be chosen; None: free to choose.

    ``membrane`` "" wants none. Insulation is listed from the old wall on.
    """

    tiled: bool = False
    finish: str = "Q2"
    way: Way | None = None
    profile: str | None = None
    spacing_mm: int | None = None
    build: MemberBuild | None = None
    boards: tuple[str, ...] | None = None
    board_width_mm: int | None = None
    insulation: tuple[str, ...] | None = None
    insulation_behind: tuple[str, ...] | None = None
    membrane: str | None = None
    bracket: str | None = None
    gap_mm: int | None = None
