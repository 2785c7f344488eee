"""What one wall's layout works with: the bought things its lining names, and the depths they give."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from innerleaf.errors import InputError
from innerleaf.layout.pieces import BuildUp, Gaps
from innerleaf.practice.model import Board, Bracket, Practice, Profile, ProfileUse, Rules
from innerleaf.survey.plane import greatest_offset_mm
from innerleaf.survey.wall import InsulationPlace, Meets, MemberBuild, Wall, Way

_Item = TypeVar("_Item")

# Ends where the lining goes on or stops freely: nothing to be sealed against, so no gap.
FREE_ENDS = frozenset({Meets.OPEN, Meets.OUTER_CORNER, Meets.INNER_CORNER})


@dataclass(frozen=True, slots=True)
class Setting:
    """The catalogue entries and derived sizes for one wall; complete when built."""

    wall: Wall
    rules: Rules
    stud: Profile
    track: Profile
    boards: tuple[Board, ...]
    brackets: tuple[Bracket, ...]  # those allowed, shortest reach first; empty when free-standing
    build_up: BuildUp
    gaps: Gaps

    @property
    def bracketed(self) -> bool:
        """Whether members are held to the old wall by brackets."""
        return self.wall.lining.way == Way.BRACKETED

    @property
    def face_mm(self) -> int:
        """Width of a member that boards can be screwed to."""
        return self.stud.face_mm * (2 if self.wall.lining.build == MemberBuild.DOUBLED else 1)

    @property
    def studs(self) -> int:
        """Profiles in one member as a rule."""
        return 1 if self.wall.lining.build == MemberBuild.SINGLE else 2

    @property
    def short_mm(self) -> int:
        """How much shorter than its clear height a member is cut."""
        return self.rules.channel_short_of_height_mm if self.bracketed else self.rules.stud_short_of_height_mm

    @property
    def short_at_head_mm(self) -> int:
        """The same under the head: where the slab moves, its movement is left free besides the tolerance."""
        return self.short_mm + (self.rules.deflection_head_gap_mm if self.wall.head_moves else 0)

    @property
    def board_width_mm(self) -> int:
        """Width of the boards as bought."""
        return self.boards[0].width_mm

    @property
    def bays(self) -> int:
        """Member bays per board."""
        return self.wall.lining.bays_per_board

    @property
    def spacing_mm(self) -> float:
        """Member spacing on the grid."""
        return self.board_width_mm / self.bays

    @property
    def greatest_spacing_mm(self) -> int:
        """Greatest lawful spacing of members for this lining."""
        lining, rules = self.wall.lining, self.rules
        limit = rules.member_spacing_max_mm
        if self.bracketed:
            limit = min(limit, rules.bracket_row_spacing_max_mm)
        if lining.tiled and len(lining.boards) == 1:
            limit = min(limit, rules.member_spacing_tiled_mm)
        return limit

    @property
    def layer_offset_mm(self) -> int:
        """Least distance between vertical joints of successive layers: one bay, or the rule if less."""
        return min(int(self.spacing_mm), self.rules.layer_joint_offset_min_mm)

    @property
    def screw_band_mm(self) -> int:
        """Clear distance kept between a screw and any edge of its board (the stricter, cut edge)."""
        return max(self.rules.screw_edge_cut_min_mm, self.rules.screw_edge_bound_min_mm)

    def screw_spacing_mm(self, layer: int) -> int:
        """Greatest screw spacing of a board layer."""
        last = layer == len(self.boards)
        return self.rules.screw_spacing_final_max_mm if last else self.rules.screw_spacing_first_max_mm


def setting_for(wall: Wall, practice: Practice) -> Setting:
    """Look up what the lining names.

    Raises
    ------
    InputError
        The catalogue has no such item, or the spacing is wider than the rule allows.
    """
    lining, rules = wall.lining, practice.rules
    stud = _entry(practice.profiles, lining.profile, "lining.profile")
    if stud.use not in (ProfileUse.STUD, ProfileUse.CHANNEL):
        raise InputError("lining.profile", given=lining.profile, accepted="a stud or channel, not a track")
    track = _entry(practice.profiles, stud.fits, "lining.profile")
    boards = tuple(_entry(practice.boards, name, "lining.boards") for name in lining.boards)
    if not boards:
        raise InputError("lining.boards", given=lining.boards, accepted="one board layer or more")
    if len({board.width_mm for board in boards}) > 1:
        raise InputError("lining.boards", given=lining.boards, accepted="boards of one width")
    behind = [
        _entry(practice.insulation, layer.item, "lining.insulation").thickness_mm
        for layer in lining.insulation
        if layer.place == InsulationPlace.BEHIND
    ]
    brackets: tuple[Bracket, ...] = ()
    if lining.way == Way.BRACKETED:
        named = [lining.bracket] if lining.bracket else list(practice.brackets)
        brackets = tuple(
            sorted(
                (_entry(practice.brackets, name, "lining.bracket") for name in named),
                key=lambda b: b.reach_max_mm,
            )
        )
    back = greatest_offset_mm(wall) + max(rules.cavity_clear_min_mm, lining.gap_mm, sum(behind))
    if brackets:
        back = max(back, greatest_offset_mm(wall) + min(b.reach_min_mm for b in brackets))
    packet = sum(board.thickness_mm for board in boards)
    setting = Setting(
        wall=wall,
        rules=rules,
        stud=stud,
        track=track,
        boards=boards,
        brackets=brackets,
        build_up=BuildUp(back, stud.depth_mm, packet, back + stud.depth_mm + packet),
        gaps=Gaps(
            floor_mm=rules.board_gap_floor_mm,
            head_mm=max(rules.board_gap_ceiling_mm, rules.deflection_head_gap_mm if wall.head_moves else 0),
            side_mm=rules.board_gap_side_mm,
            movement_mm=rules.movement_joint_gap_mm,
        ),
    )
    if setting.spacing_mm > setting.greatest_spacing_mm:
        raise InputError(
            "lining.spacing",
            given=f"{setting.spacing_mm:.0f} mm",
            accepted=f"at most {setting.greatest_spacing_mm} mm for this lining",
        )
    return setting


def _entry(catalogue: Mapping[str, _Item], name: str, field: str) -> _Item:
    try:
        return catalogue[name]
    except KeyError:
        raise InputError(field, given=name, accepted=f"one of {', '.join(sorted(catalogue))}") from None
