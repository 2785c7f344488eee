"""What is measured on site flows back: what is still to come of a wall is set out around what is built.

`as_built` goes through the records of a wall in the order of their arrival. What is ticked off stands; a
deviation moves it, or changes the wall; then the rest is set out anew around it (`layout.built`). A mark
never changes its meaning, so that a tablet that was offline may tick off a board of a plan that is no longer
the newest: the board hangs as it was drawn there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from innerleaf.findings import Finding
from innerleaf.layout.boards import box_of
from innerleaf.layout.built import plan_around
from innerleaf.layout.built_parts import Built, Hung, hung
from innerleaf.layout.pieces import FACE, BoardPiece, Member, Role, WallPlan
from innerleaf.practice.model import Practice
from innerleaf.programme import steps
from innerleaf.site.bearing import bearing_findings
from innerleaf.site.deviations import (
    ADDED,
    BOARD,
    DEVIATIONS,
    LEFT_OUT,
    MOVED,
    OPENING,
    on_wall,
    wall_as_found,
)
from innerleaf.site.records import Kind, Record, standing
from innerleaf.site.steps import layer_of

_SHORTER_MM: Final = 50  # a member that the plan has shorter by more than this would have to be cut


@dataclass(frozen=True, slots=True, kw_only=True)
class AsBuilt:
    """A wall as far as it is built: the plan that holds now, and what of it stands.

    Attributes
    ----------
    plan : WallPlan
        What is built, as built, and what is still to come.
    members, boards : frozenset of str
        Marks of the members that stand and of the boards that hang (also those of reveals).
    steps : frozenset of str
        Steps done as a whole.
    findings : tuple of Finding
        W301: the edge of a board still to come has no member behind it. W302: what is built is in the way of
        what was found. W303: a record speaks of a piece or a kind of deviation that is not known.
    times : int
        How often the rest was set out anew.
    """

    plan: WallPlan
    members: frozenset[str]
    boards: frozenset[str]
    steps: frozenset[str]
    findings: tuple[Finding, ...]
    times: int

    @property
    def to_come(self) -> WallPlan:
        """The plan without what is built: what is still to be bought, cut and put up."""
        rest = {one.mark for one in self.plan.boards} - self.boards
        tracks = (Role.FLOOR_TRACK, Role.HEAD_TRACK)
        return replace(
            self.plan,
            members=tuple(one for one in self.plan.members if one.mark not in self.members),
            bars=tuple(
                one
                for one in self.plan.bars
                if (one.member not in self.members if one.member else not self._level_done(one.role, tracks))
            ),
            boards=tuple(one for one in self.plan.boards if one.mark in rest),
            screws=tuple(one for one in self.plan.screws if one.board in rest),
            brackets=() if steps.BRACKETS in self.steps else self.plan.brackets,
            fixings=() if steps.TRACKS in self.steps else self.plan.fixings,
            slabs=() if steps.INSULATION in self.steps else self.plan.slabs,
            membrane=() if steps.VAPOUR in self.steps else self.plan.membrane,
        )

    def _level_done(self, role: Role, tracks: tuple[Role, ...]) -> bool:
        return (steps.TRACKS if role in tracks else steps.FRAME) in self.steps


def replan(plan: WallPlan, practice: Practice, records: Iterable[Record]) -> WallPlan:
    """The plan of a wall around what the records say is built (see `as_built`)."""
    return as_built(plan, practice, records).plan


def as_built(plan: WallPlan, practice: Practice, records: Iterable[Record]) -> AsBuilt:
    """Go through the records of a wall; a pure function of its arguments.

    Parameters
    ----------
    plan : WallPlan
        As first drawn. Records of other walls are passed over.

    Raises
    ------
    InputError
        The lining names something the practice does not have.
    """
    wall = _Wall(plan, practice)
    for record in standing(records):
        if record.entry.wall == plan.wall.id:
            wall.take(record)
    return wall.now()


@dataclass(slots=True)
class _Wall:
    """A wall while its records are gone through."""

    plan: WallPlan
    practice: Practice
    known_members: dict[str, Member] = field(default_factory=dict)
    known_boards: dict[str, tuple[BoardPiece, WallPlan]] = field(default_factory=dict)
    members: dict[str, Member] = field(default_factory=dict)
    boards: dict[str, Hung] = field(default_factory=dict)
    reveals: set[str] = field(default_factory=set)
    dropped: set[str] = field(default_factory=set)
    added: set[str] = field(default_factory=set)
    steps: set[str] = field(default_factory=set)
    findings: list[Finding] = field(default_factory=list)
    times: int = 0
    changed: bool = False

    def __post_init__(self) -> None:
        self._learn()

    def take(self, record: Record) -> None:
        """What one record changes."""
        entry = record.entry
        if entry.kind == Kind.DONE:
            self._catch_up()
            self._done(record)
        elif entry.kind == Kind.DEVIATION:
            self._deviation(record)

    def now(self) -> AsBuilt:
        """The wall after all of them."""
        self._catch_up()
        planned = {one.mark: one for one in self.plan.members}
        findings = [
            *self.findings,
            *(
                self._undone(member)
                for mark, member in sorted(self.members.items())
                if mark not in planned or self._too_high(member, planned[mark])
            ),
            *bearing_findings(self.plan, frozenset(self.boards)),
        ]
        return AsBuilt(
            plan=self.plan,
            members=frozenset(self.members),
            boards=frozenset(self.boards) | self.reveals,
            steps=frozenset(self.steps),
            findings=tuple(findings),
            times=self.times,
        )

    def _catch_up(self) -> None:
        """Set out the rest anew if something changed."""
        if not self.changed:
            return
        built = Built(tuple(self.members.values()), tuple(self.boards.values()), frozenset(self.dropped))
        taken = frozenset(self.known_members) | frozenset(self.known_boards)
        fresh = plan_around(self.plan.wall, self.practice, self.plan, built, taken)
        if steps.INSULATION in self.steps:  # what lies in the cavity is not taken out again
            fresh = replace(fresh, slabs=self.plan.slabs)
        if steps.VAPOUR in self.steps:
            fresh = replace(fresh, membrane=self.plan.membrane)
        self.plan, self.changed = fresh, False
        self.times += 1
        self._learn()

    def _learn(self) -> None:
        for member in self.plan.members:
            self.known_members.setdefault(member.mark, member)
        for board in self.plan.boards:
            self.known_boards.setdefault(board.mark, (board, self.plan))

    def _done(self, record: Record) -> None:
        entry = record.entry
        if not entry.mark:
            self.steps.add(entry.what)
            if entry.what == steps.FRAME:
                for member in self.plan.members:
                    self._stands(member.mark)
            for board in self.plan.boards if layer_of(entry.what) else ():
                if board.layer == layer_of(entry.what):
                    self._hangs(board.mark)
        elif entry.mark in self.known_members:
            self._stands(entry.mark)
        elif entry.mark in self.known_boards:
            self._hangs(entry.mark)
        elif entry.mark.rpartition("/")[2][:1] in ("S", "B"):
            self._not_known(record, f"{entry.mark} is in no plan of this wall")

    def _stands(self, mark: str) -> None:
        if mark not in self.members:
            self.members[mark] = self.known_members[mark]
            self.changed |= all(one.mark != mark for one in self.plan.members)

    def _hangs(self, mark: str) -> None:
        board, of_plan = self.known_boards[mark]
        if board.plane != FACE:
            self.reveals.add(mark)
        elif mark not in self.boards:
            self.boards[mark] = hung(board, of_plan)
            self.changed |= all(one.mark != mark for one in self.plan.boards)

    def _deviation(self, record: Record) -> None:
        entry = record.entry
        values = dict(entry.values)
        wanted = DEVIATIONS.get(entry.what)
        if wanted is None or (entry.what != OPENING and any(name not in values for name in wanted)):
            self._not_known(record, f"deviation {entry.what!r} with {', '.join(values) or 'no value'}")
            return
        if entry.what in (MOVED, ADDED, BOARD) and not on_wall(self.plan.wall, values["x_mm"]):
            self._not_known(record, f"x = {values['x_mm']:g} mm is not on this wall")
            return
        if entry.what in (MOVED, LEFT_OUT):
            self._member_differs(record, values)
        elif entry.what == ADDED:
            self._added(values["x_mm"])
        elif entry.what == BOARD:
            self._board_differs(record, values["x_mm"])
        else:
            self._wall_differs(record, values)

    def _member_differs(self, record: Record, values: Mapping[str, float]) -> None:
        """A member, and those in its line above and below an opening, stand elsewhere or not at all."""
        drawn = self.members.get(record.entry.mark) or self.known_members.get(record.entry.mark)
        if drawn is None:
            self._not_known(record, f"{record.entry.mark} is in no plan of this wall")
            return
        self._catch_up()
        line = [one for one in self.plan.members if one.x_mm == drawn.x_mm] or [drawn]
        for one in line:
            if record.entry.what == LEFT_OUT:
                self.members.pop(one.mark, None)
                self.dropped.add(one.mark)
            else:
                self.members[one.mark] = replace(one, x_mm=_whole(values["x_mm"]))
        self.changed = True

    def _added(self, x_mm: float) -> None:
        """A stud more than drawn: as the others of the grid, from floor to head."""
        self._catch_up()
        like = next((one for one in self.plan.members if one.role in (Role.GRID, Role.JOINT)), None)
        like = like or self.plan.members[0]
        numbers = [mark.rpartition("/S")[2] for mark in self.known_members]
        number = max(int(one) for one in numbers if one.isdigit()) + 1
        mark = f"{self.plan.wall.id}/S{number:02d}"
        self.members[mark] = replace(like, mark=mark, role=Role.JOINT, x_mm=_whole(x_mm))
        self.known_members[mark] = self.members[mark]
        self.added.add(mark)
        self.changed = True

    def _board_differs(self, record: Record, x_mm: float) -> None:
        mark = record.entry.mark
        if mark not in self.known_boards or self.known_boards[mark][0].plane != FACE:
            self._not_known(record, f"{mark} is in no plan of this wall")
            return
        self._catch_up()
        there = self.boards.get(mark) or hung(*self.known_boards[mark])
        by = _whole(x_mm) - box_of(there.piece.ring)[0]
        self.boards[mark] = Hung(
            replace(
                there.piece,
                ring=tuple((x + by, y) for x, y in there.piece.ring),
                holes=tuple(tuple((x + by, y) for x, y in hole) for hole in there.piece.holes),
            ),
            there.left_mm + by,
            there.right_mm + by,
        )
        self.changed = True

    def _wall_differs(self, record: Record, values: Mapping[str, float]) -> None:
        """An opening or box elsewhere, a pipe that nobody knew of."""
        found = wall_as_found(self.plan.wall, record.entry.what, record.entry.mark, values)
        if found is None or found == self.plan.wall:
            named = record.entry.mark or record.entry.what
            self._not_known(record, f"{named}: not on this wall, or where it was drawn")
            return
        self._catch_up()
        self.plan = replace(self.plan, wall=found)
        self.changed = True

    def _too_high(self, member: Member, planned: Member) -> bool:
        """Whether one that stands would have to be cut; one added on site was cut for its place."""
        return member.mark not in self.added and _height(planned) < _height(member) - _SHORTER_MM

    def _undone(self, member: Member) -> Finding:
        return self._finding(
            "W302",
            f"{member.mark} stands at x = {member.x_mm:g} mm, in the way of what was found there",
            "take it out or cut it, and record it as left out",
            member.x_mm,
        )

    def _not_known(self, record: Record, text: str) -> None:
        remedy = "withdraw the record and enter it again"
        self.findings.append(self._finding("W303", f"record {record.number}: {text}", remedy, 0))

    def _finding(self, code: str, text: str, remedy: str, x_mm: float) -> Finding:
        return Finding(
            code=code, wall=self.plan.wall.id, rule="as built", text=text, remedy=remedy, x_mm=x_mm
        )


def _height(member: Member) -> float:
    return member.top_mm - member.bottom_mm


def _whole(value: float) -> float:
    return int(value) if value == int(value) else value
