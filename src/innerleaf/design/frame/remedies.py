"""What would make a frame pass: the wall set out again with one thing changed, and judged again."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, MutableMapping
from dataclasses import replace
from typing import Final

from innerleaf.design.frame.verdicts import CODES
from innerleaf.errors import InputError
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import MemberBuild, Wall, Way

_BRACKET_SPACINGS_MM: Final = (1250, 1000, 800, 600)  # tried from the widest
_MOST_NAMED: Final = 3

Missed = Callable[[WallPlan, Practice], Collection[str]]  # requirements that a plan misses


def remedies_for(
    plan: WallPlan,
    practice: Practice,
    requirement: str,
    missed: Missed,
    tried: MutableMapping[str, Collection[str]],
) -> tuple[str, ...]:
    """Single changes with which the wall meets a requirement, the smallest of each kind.

    ``tried`` keeps what the wall misses with each change, for its next requirement.
    """
    found = []
    done: set[str] = set()
    for kind, words, wall, changed in _changes(plan.wall, practice):
        if kind in done:
            continue
        if words not in tried:
            try:
                tried[words] = missed(plan_wall(wall, changed), changed)
            except InputError:  # boards, bays or brackets do not go with it
                tried[words] = CODES
        if requirement not in tried[words]:
            done.add(kind)
            found.append(words)
    return tuple(found[:_MOST_NAMED])


def _changes(wall: Wall, practice: Practice) -> Iterator[tuple[str, str, Wall, Practice]]:
    """Kind, words, wall and practice of each change, the smallest first."""
    lining, rules = wall.lining, practice.rules
    bracketed = lining.way == Way.BRACKETED
    if bracketed:
        for spacing in _BRACKET_SPACINGS_MM:
            if spacing < rules.bracket_spacing_max_mm:
                closer = replace(practice, rules=replace(rules, bracket_spacing_max_mm=spacing))
                yield "brackets", f"brackets at most {spacing} mm apart", wall, closer
    width = practice.boards[lining.boards[0]].width_mm
    bays = lining.bays_per_board + 1
    while width / bays >= _closest_mm(practice):
        denser = replace(wall, lining=replace(lining, bays_per_board=bays))
        yield "spacing", f"members at {width / bays:.0f} mm", denser, practice
        bays += 1
    if bracketed:
        return
    own = practice.profiles[lining.profile]
    deeper = sorted(
        (p for p in practice.profiles.values() if p.use == own.use and p.depth_mm > own.depth_mm),
        key=lambda p: p.depth_mm,
    )
    for profile in deeper:
        yield "profile", profile.id, replace(wall, lining=replace(lining, profile=profile.id)), practice
    if lining.build == MemberBuild.SINGLE:
        boxed = replace(wall, lining=replace(lining, build=MemberBuild.BOXED))
        yield "build", "every stud boxed", boxed, practice


def _closest_mm(practice: Practice) -> int:
    """The least spacing a firm may set."""
    return next(note.low for note in practice.rule_notes if note.name == "member_spacing_max_mm")
