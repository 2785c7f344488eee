"""Insulated reveals and flanks against what can be bought, and against the window's frame."""

from __future__ import annotations

from innerleaf.job.faults import Report, Said, StandIn, one_of
from innerleaf.job.model import JobOpening, JobWall
from innerleaf.practice.model import Practice
from innerleaf.reading import Place

NARROWEST_MM = 100  # of an opening between its reveals: less is a slip of the pen


def check_cover(report: Report, wall: JobWall, practice: Practice) -> None:
    """Can what covers reveals and flanks be bought, does it carry boards, and is there room for it?"""
    look = _Look(report, wall, practice)
    for opening in wall.openings:
        if not opening.doubtful & {"reveal_lined", "reveal_insulation", "frame"}:
            look.opening(opening)
    if wall.flank_insulation and "flank_insulation" not in wall.doubtful:
        look.known(("flank_insulation",), wall.flank_insulation)


class _Look:
    def __init__(self, report: Report, wall: JobWall, practice: Practice) -> None:
        self.report = report
        self.wall = wall
        boards = practice.boards
        first = wall.lining.boards[0] if wall.lining and wall.lining.boards else ""
        self.board_mm = boards[first].thickness_mm if first in boards else 0.0
        self.bonded = {name: item for name, item in practice.insulation.items() if item.carries_board}
        self.insulation = practice.insulation

    def say(self, steps: Place, *, given: object, accepted: str) -> None:
        place = self.wall.at(str(steps[0]), *steps[1:])
        self.report.add(place, given=given, accepted=accepted, subject=self.wall.place, steps=steps)

    def known(self, steps: Place, item: str) -> bool:
        """Whether something can be bought and carries a board bonded to it."""
        if isinstance(item, StandIn) or item in self.bonded:
            return item in self.bonded
        what = "insulation of the practice set that carries a board"
        self.say(steps, given=item, accepted=one_of(self.bonded, item, what=what))
        return False

    def opening(self, opening: JobOpening) -> None:
        """Lined reveals cover so much of the frame, and leave so much of the opening."""
        at: Place = ("openings", opening.index)
        item = opening.reveal_insulation
        if item and not self.known((*at, "reveal_insulation"), item):
            return
        if item and not opening.reveal_lined:
            accepted = "a reveal that is lined (reveal_lined: true), or no insulation in it"
            self.say((*at, "reveal_insulation"), given=item, accepted=accepted)
            return
        thick = self.insulation[item].thickness_mm if item else 0
        cover = thick + self.board_mm if opening.reveal_lined else 0
        if opening.frame_mm is not None and cover > opening.frame_mm:
            given = Said(f"{opening.frame_mm} mm of frame, covered by {cover:g} mm")
            room = opening.frame_mm - self.board_mm
            fits = [name for name, other in self.bonded.items() if other.thickness_mm <= room]
            instead = ", ".join(fits) or "none of the practice set"
            accepted = f"{cover:g} mm or more, or thinner insulation in the reveal ({instead})"
            self.say((*at, "frame"), given=given, accepted=accepted)
        sizes = {"width", "height"} - opening.doubtful
        for field, size in (("width", opening.width_mm), ("height", opening.height_mm)):
            if field in sizes and thick and size - 2 * cover < NARROWEST_MM:
                accepted = f"{NARROWEST_MM + 2 * cover:g} mm or more, with {cover:g} mm on each side"
                self.say((*at, field), given=size, accepted=accepted)
