"""Linings against what can be bought, and walls against what their lining can do."""

from __future__ import annotations

from collections.abc import Mapping

from innerleaf.job.faults import Report, Said, StandIn, one_of
from innerleaf.job.model import JobLining, JobWall
from innerleaf.job.outline import greatest_chord
from innerleaf.job.schema import JobFile
from innerleaf.practice.model import Practice, Profile, ProfileUse
from innerleaf.reading import Place

_USE = {"bracketed": ProfileUse.CHANNEL, "stud and track": ProfileUse.STUD}


def check_materials(report: Report, file: JobFile, practice: Practice) -> None:
    """Are the materials of existing walls known?"""
    for name, layers in file.constructions.items():
        for index, layer in enumerate(layers):
            if layer.material not in practice.materials and not isinstance(layer.material, StandIn):
                place: Place = ("constructions", name, index, "material")
                accepted = one_of(practice.materials, layer.material, what="materials of the practice set")
                report.add(place, given=layer.material, accepted=accepted)


def check_lining(report: Report, lining: JobLining, practice: Practice) -> None:
    """Can everything in a lining be bought, and does it go together?"""
    look = _Look(report, lining, practice)
    look.names()
    look.boards()
    look.insulation()
    look.bracket()


def check_height(report: Report, wall: JobWall, practice: Practice) -> None:
    """Is the wall higher than its profile may stand?"""
    lining = wall.lining
    profile = practice.profiles.get(lining.profile) if lining else None
    if lining is None or profile is None or not wall.outline or profile.use != _USE[lining.way]:
        return
    if lining.doubtful & {"way", "profile", "build"}:
        return
    high, doubled = round(greatest_chord(wall.outline)), lining.build != "single"
    limit = _limit(profile, doubled=doubled)
    if not limit or high <= limit:
        return
    others = [p for p in practice.profiles.values() if p.use == profile.use]
    fit = [p.id for p in others if _limit(p, doubled=doubled) >= high or not _limit(p, doubled=doubled)]
    if not doubled and not fit:
        fit = [f"doubled {p.id}" for p in others if _limit(p, doubled=True) >= high]
    remedy = f"; high enough: {', '.join(fit)}" if fit else "; no profile of the practice set is high enough"
    field = next((field for field in ("outline", "height") if field in wall.places), "height")
    report.add(
        wall.at(field),
        given=Said(f"{high} mm for the tallest stud"),
        accepted=f"{limit} mm or less with {lining.build} {profile.id}{remedy}",
        subject=wall.place,
        steps=(field,),
    )


def _limit(profile: Profile, *, doubled: bool) -> int:
    return profile.greatest_height_doubled_mm if doubled else profile.greatest_height_mm


class _Look:
    def __init__(self, report: Report, lining: JobLining, practice: Practice) -> None:
        self.report = report
        self.lining = lining
        self.practice = practice

    def say(self, field: str, *steps: int, given: object, accepted: str) -> None:
        place = self.lining.places.get(field)
        if place is None:
            self.report.add(
                ("linings", self.lining.named), given=given, accepted=accepted, steps=(field, *steps)
            )
        else:
            self.report.add((*place, *steps), given=given, accepted=accepted)

    def names(self) -> None:
        lining, practice = self.lining, self.practice
        uses = _USE.values() if "way" in lining.doubtful else (_USE[lining.way],)
        fitting = {name: p for name, p in practice.profiles.items() if p.use in uses}
        what = f"{' and '.join(f'{use}s' for use in uses)} of the practice set"
        self._known("profile", (lining.profile,), fitting, what, single=True)
        self._known("boards", lining.boards, practice.boards, "boards of the practice set")
        for field, items in (
            ("insulation", lining.insulation),
            ("insulation_behind", lining.insulation_behind),
        ):
            self._known(field, items, practice.insulation, "insulation of the practice set")
        for field, item, catalogue in (
            ("membrane", lining.membrane, practice.membranes),
            ("bracket", lining.bracket, practice.brackets),
        ):
            if item:
                self._known(field, (item,), catalogue, f"{field}s of the practice set", single=True)

    def _known(
        self,
        field: str,
        items: tuple[str, ...],
        there: Mapping[str, object],
        what: str,
        *,
        single: bool = False,
    ) -> None:
        for index, item in enumerate(items):
            if item not in there and not isinstance(item, StandIn):
                steps = () if single else (index,)
                self.say(field, *steps, given=item, accepted=one_of(there, item, what=what))

    def boards(self) -> None:
        widths = [
            (index, self.practice.boards[name].width_mm)
            for index, name in enumerate(self.lining.boards)
            if name in self.practice.boards
        ]
        if not widths:
            self._any_board()
            return
        first, width = widths[0]
        for index, other in widths[1:]:
            if other != width:
                given = Said(f"{self.lining.boards[index]}, {other} mm wide")
                layer = "the first layer" if first == 0 else self.lining.boards[first]
                self.say("boards", index, given=given, accepted=f"boards as wide as {layer}, {width} mm")
        wanted, spacing = self.lining.board_width_mm, self.lining.spacing_mm
        if wanted is not None and wanted != width:
            accepted = f"{width} mm, the width of {self.lining.boards[first]}"
            if wanted > self._on_sale[-1]:
                accepted += f" (the widest board that can be bought has {self._on_sale[-1]} mm)"
            self.say("board_width", given=wanted, accepted=accepted)
        if spacing is not None and bays(width, spacing) is None:
            accepted = f"a whole part of the board width {width} mm: {_parts(width)}"
            self.say("spacing", given=spacing, accepted=accepted)

    @property
    def _on_sale(self) -> list[int]:
        return sorted({board.width_mm for board in self.practice.boards.values()})

    def _any_board(self) -> None:
        """What no board could mend, where the boards wanted are not known."""
        wanted, spacing, on_sale = self.lining.board_width_mm, self.lining.spacing_mm, self._on_sale
        if wanted is not None and wanted not in on_sale:
            accepted = f"the width of a board that can be bought: {', '.join(map(str, on_sale))} mm"
            self.say("board_width", given=wanted, accepted=accepted)
        if spacing is not None and all(bays(width, spacing) is None for width in on_sale):
            accepted = f"a whole part of a board width: {' or '.join(map(_parts, on_sale))}"
            self.say("spacing", given=spacing, accepted=accepted)

    def insulation(self) -> None:
        lining = self.lining
        profile = self.practice.profiles.get(lining.profile)
        behind = self._thickness(lining.insulation_behind)
        if behind > lining.gap_mm and "gap" not in lining.doubtful:
            accepted = f"{lining.gap_mm} mm or less, the gap behind the frame"
            self.say("insulation_behind", given=Said(f"{behind} mm"), accepted=accepted)
        between = self._thickness(lining.insulation)
        if profile is None or not between or profile.use != _USE[lining.way]:
            return
        if lining.doubtful & {"way", "profile", "gap"}:
            return
        room, what = profile.depth_mm, f"the depth of {profile.id}"
        if lining.way == "bracketed":
            room += max(0, lining.gap_mm - behind)
            what += " and the gap behind it"
        if between > room:
            self.say("insulation", given=Said(f"{between} mm"), accepted=f"{room} mm or less, {what}")

    def _thickness(self, items: tuple[str, ...]) -> int:
        return sum(self.practice.insulation[i].thickness_mm for i in items if i in self.practice.insulation)

    def bracket(self) -> None:
        lining, brackets = self.lining, self.practice.brackets
        if "way" in lining.doubtful:
            return
        if lining.way != "bracketed":
            if lining.bracket:
                self.say("bracket", given=lining.bracket, accepted="no bracket in a stud-and-track lining")
            return
        if "gap" in lining.doubtful:
            return
        gap = max(lining.gap_mm, self.practice.rules.cavity_clear_min_mm)
        longest = max(brackets.values(), key=lambda b: b.reach_max_mm)
        chosen = brackets.get(lining.bracket)
        if chosen is None and gap > longest.reach_max_mm:
            accepted = f"{longest.reach_max_mm} mm or less, the reach of the longest bracket {longest.id}"
            self.say("gap", given=gap, accepted=accepted)
        elif chosen is not None and gap > chosen.reach_max_mm:
            fit = [b.id for b in brackets.values() if b.reach_min_mm <= gap <= b.reach_max_mm]
            accepted = (
                f"a bracket that reaches over the gap of {gap} mm ({', '.join(fit) or 'there is none'})"
            )
            given = Said(f"{chosen.id}, which reaches {chosen.reach_max_mm} mm")
            self.say("bracket", given=given, accepted=accepted)


def _parts(width: int) -> str:
    return f"{', '.join(f'{width / n:.0f}' for n in (1, 2, 3, 4))} mm"


def bays(board_width: int, spacing: int) -> int | None:
    """How many bays of a spacing make a board width; None where it does not go up within 1 mm."""
    count = max(1, round(board_width / spacing))
    return count if abs(board_width / count - spacing) <= 1 else None
