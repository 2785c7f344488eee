"""What is settled beforehand about a lining that is still to be chosen."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.survey.wall import InsulationPlace, Lining, MemberBuild, Way


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

    @classmethod
    def for_just(cls, lining: Lining, board_width_mm: int) -> Wish:
        """The wish that leaves one lining, whose boards are so wide."""

        def stack(place: InsulationPlace) -> tuple[str, ...]:
            return tuple(layer.item for layer in lining.insulation if layer.place == place)

        return cls(
            tiled=lining.tiled,
            finish=lining.finish,
            way=lining.way,
            profile=lining.profile,
            spacing_mm=round(board_width_mm / lining.bays_per_board),
            build=lining.build,
            boards=lining.boards,
            board_width_mm=board_width_mm,
            insulation=stack(InsulationPlace.BETWEEN),
            insulation_behind=stack(InsulationPlace.BEHIND),
            membrane=lining.membrane,
            bracket=lining.bracket or None,
            gap_mm=lining.gap_mm,
        )

    def as_written(self) -> dict[str, object]:
        """As a job file writes the lining that the wish leaves; what is usual is left out."""
        said: dict[str, object] = {
            "way": str(self.way),
            "profile": self.profile,
            "spacing": self.spacing_mm,
            "build": None if self.build in (None, MemberBuild.SINGLE) else str(self.build),
            "boards": [*(self.boards or ())],
            "insulation": [*(self.insulation or ())],
            "insulation_behind": [*(self.insulation_behind or ())],
            "membrane": self.membrane,
            "bracket": self.bracket,
            "gap": self.gap_mm,
            "tiled": self.tiled,
            "finish": None if self.finish == "Q2" else self.finish,
        }
        return {key: value for key, value in said.items() if value}
