"""The frame of one wall as set out, by calculation: the working beside the tables that govern.

Each member as a beam on what holds it, under level loads, pressure and what hangs on the lining. It is a
check of plausibility: a tested table of the real lining and local codes decide, and so does a licensed
designer wherever something bears load or must resist fire.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from innerleaf.design.frame.hung import Hung, hung_on
from innerleaf.design.frame.profile import Bar, bar_of
from innerleaf.design.frame.remedies import remedies_for
from innerleaf.design.frame.strips import Outcome, outcomes_of, strips_of
from innerleaf.design.frame.verdicts import (
    CODES,
    DEFLECTION,
    HUNG_LOAD,
    anchor_of,
    hung_verdict,
    member_verdicts,
    pull_verdict,
    shear_verdict,
    through_verdict,
)
from innerleaf.errors import InputError
from innerleaf.findings import Finding
from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.practice.model import Practice
from innerleaf.practice.structure import FinishLimit, LoadCase, Structure, structure_of
from innerleaf.survey.wall import Wall, Way
from innerleaf.verdicts import Verdict

USUAL_CASES: Final = ("area-1",)
CROWD_CASES: Final = ("area-2",)


@dataclass(frozen=True, slots=True)
class Frame:
    """What the frame of a wall does. ``workings``: every free member in every load case that touches it.

    ``governing`` is what the verdict nearest its limit, or farthest beyond, speaks of: a verdict and the
    member under its load; None where no member is loaded.
    """

    wall: str
    cases: tuple[str, ...]
    finish: str
    verdicts: tuple[Verdict, ...]
    workings: tuple[Outcome, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]
    governing: tuple[Verdict, Outcome] | None = None


@dataclass(frozen=True, slots=True)
class _Judged:
    """Verdicts, each with the member it speaks of (None: of none), and members that nothing holds."""

    verdicts: tuple[tuple[Verdict, Outcome | None], ...]
    outcomes: tuple[Outcome, ...]
    loose: tuple[str, ...]


def cases_of(wall: Wall) -> tuple[str, ...]:
    """The load cases that the use of its room asks for (DIN 4103-1)."""
    return CROWD_CASES if wall.crowd else USUAL_CASES


def frame_of(
    plan: WallPlan,
    practice: Practice,
    *,
    cases: Sequence[str] | None = None,
    structure: Structure | None = None,
) -> Frame:
    """Judge the frame of a wall as it is set out.

    Parameters
    ----------
    plan : WallPlan
    practice : Practice
        The one the plan was made with.
    cases : sequence of str, optional
        Load cases of the structure's figures, taken by turns; left out, those of the wall. Hung loads come
        as a case of their own (DIN 4103-1 does not add them to the line load).
    structure : Structure, optional
        Figures of steel, loads and anchors; those of the practice if left out.

    Raises
    ------
    InputError
        There is no such load case.
    """
    figures = structure or structure_of(practice)
    cases = cases_of(plan.wall) if cases is None else cases
    wanted = [_case(name, figures) for name in cases]
    if not wanted:
        raise InputError("load cases", given=cases, accepted=f"one or more of {', '.join(figures.cases)}")
    finish = figures.finishes["tiled" if plan.wall.lining.tiled else "painted"]

    def missed(other: WallPlan, by: Practice, posts: int = 1) -> Collection[str]:
        again = _judge(other, by, figures, wanted, finish, posts=posts)
        return {verdict.requirement for verdict, _ in again.verdicts if not verdict.met}

    judged = _judge(plan, practice, figures, wanted, finish)
    findings, tried = [], dict[str, Collection[str]]()
    for verdict, outcome in judged.verdicts:
        if not verdict.met and not _told_by_layout(verdict, plan, practice):
            changes = remedies_for(plan, practice, verdict.requirement, missed, tried)
            if CODES[verdict.requirement] == "F105" and verdict.requirement not in missed(plan, practice, 2):
                changes = ("posts beside openings doubled or boxed", *changes)
            findings.append(_finding(plan, verdict, outcome, changes, figures))
    findings += [_loose(plan, mark) for mark in judged.loose]
    return Frame(
        wall=plan.wall.id,
        cases=tuple(cases),
        finish=finish.id,
        verdicts=tuple(verdict for verdict, _ in judged.verdicts),
        workings=judged.outcomes,
        findings=tuple(findings),
        notes=tuple(_notes(plan, figures)),
        governing=max(
            ((verdict, outcome) for verdict, outcome in judged.verdicts if outcome),
            key=lambda found: found[0].value / found[0].limit,
            default=None,
        ),
    )


def frame_verdicts(plan: WallPlan, practice: Practice) -> tuple[Verdict, ...]:
    """The verdicts of `frame_of` alone, by the load cases of the wall and the figures of the practice."""
    figures = structure_of(practice)
    wanted = [_case(name, figures) for name in cases_of(plan.wall)]
    finish = figures.finishes["tiled" if plan.wall.lining.tiled else "painted"]
    return tuple(verdict for verdict, _ in _judge(plan, practice, figures, wanted, finish).verdicts)


def _case(name: str, structure: Structure) -> LoadCase:
    if name not in structure.cases:
        raise InputError("load case", given=name, accepted=" or ".join(structure.cases))
    return structure.cases[name]


def _judge(
    plan: WallPlan,
    practice: Practice,
    structure: Structure,
    cases: Sequence[LoadCase],
    finish: FinishLimit,
    *,
    posts: int = 1,
) -> _Judged:
    """All verdicts on one plan, its posts beside openings made of so many profiles at least."""
    bars = bars_of(plan, practice, structure, posts)
    stiffness = {mark: bar.stiffness for mark, bar in bars.items()}
    strips, loose = strips_of(plan, structure, cases, stiffness)
    outcomes = outcomes_of(strips)
    rules = practice.rules
    verdicts: list[tuple[Verdict, Outcome | None]] = [*member_verdicts(outcomes, bars, finish, structure)]
    hung = hung_verdict(hung_on(plan), len(plan.wall.lining.boards), rules, structure)
    through = through_verdict(plan, cases, rules, structure)
    verdicts += [(verdict, None) for verdict in (hung, through) if verdict]
    anchor = anchor_of(plan, structure) if plan.wall.lining.way == Way.BRACKETED else None
    pulled = pull_verdict(outcomes, anchor, structure) if anchor else None
    sheared = shear_verdict(outcomes, plan, rules, structure)
    verdicts += [found for found in (pulled, sheared) if found]
    return _Judged(tuple(verdicts), tuple(outcomes), loose)


def bars_of(plan: WallPlan, practice: Practice, structure: Structure, posts: int = 1) -> dict[str, Bar]:
    """What each member is made of, by its mark; posts beside openings of ``posts`` profiles at least."""
    doubled = {bar.member for bar in plan.bars if bar.mark.startswith(f"{bar.member}R")}
    profile = practice.profiles[plan.wall.lining.profile]
    counts = {m.mark: 2 if m.mark in doubled else posts if m.role == Role.JAMB else 1 for m in plan.members}
    made = {count: bar_of(profile, structure, count) for count in set(counts.values())}
    return {mark: made[count] for mark, count in counts.items()}


def _told_by_layout(verdict: Verdict, plan: WallPlan, practice: Practice) -> bool:
    """Whether the layout's own check of hung loads says it already (L402, without the lever arm)."""
    limit = practice.rules.hung_load_max_n_m
    heavy = [thing for thing in hung_on(plan) if thing.per_metre > limit and not thing.radiator]
    return verdict.requirement == HUNG_LOAD and bool(heavy)


def _finding(
    plan: WallPlan,
    verdict: Verdict,
    outcome: Outcome | None,
    changes: Sequence[str],
    structure: Structure,
) -> Finding:
    thing = _heaviest(plan, structure) if verdict.requirement == HUNG_LOAD else None
    member = outcome.strip.member if outcome else None
    name = member.mark if member else thing.id if thing else "every screw"
    at = outcome.at * 1000 if outcome else 0.0
    return Finding(
        code=CODES[verdict.requirement],
        wall=plan.wall.id,
        rule=verdict.requirement,
        text=f"{name}: {verdict.requirement} {verdict.value:.4g} {verdict.unit}, {verdict.limit:.4g} may be",
        remedy=_remedy(verdict, changes, thing),
        x_mm=member.x_mm if member else thing.x0 if thing else 0,
        y_mm=round(member.bottom_mm + at) if member else thing.y if thing else 0,
        by_mm=-verdict.margin if verdict.unit == "mm" else 0,
    )


def _heaviest(plan: WallPlan, structure: Structure) -> Hung:
    reach = structure.hung["lever"].reach_mm
    return max(hung_on(plan), key=lambda thing: thing.counted(reach))


def _remedy(verdict: Verdict, changes: Sequence[str], thing: Hung | None) -> str:
    """What would do, in figures."""
    if thing:
        part = verdict.limit / verdict.value
        return (
            f"at most {thing.mass * part:.0f} kg on {thing.width:.0f} mm, or share {thing.mass:g} kg over"
            f" {thing.width / part:.0f} mm; or hang it on the old wall or a frame of its own"
        )
    said = (
        f"by calculation {' or '.join(changes)} would do"
        if changes
        else "no single change of the catalogue does"
    )
    if CODES[verdict.requirement] == "F104":
        safety = verdict.value / verdict.limit
        return (
            f"{said}; or a fixing declared for {safety:.2f} times as much; prove it by pull-out tests on site"
        )
    return f"{said}; a tested table for this lining governs"


def _loose(plan: WallPlan, mark: str) -> Finding:
    member = next(m for m in plan.members if m.mark == mark)
    return Finding(
        code=CODES[DEFLECTION],
        wall=plan.wall.id,
        rule=DEFLECTION,
        text=f"{mark} is held at one end only",
        remedy="hold its free end by a bracket, or take posts fixed to the floor; have it proved",
        x_mm=member.x_mm,
        y_mm=member.top_mm,
    )


def _notes(plan: WallPlan, structure: Structure) -> Iterator[str]:
    """What is assumed, and what is not judged and why."""
    yield "members alone, boards not counted; splices as stiff as the profile; no impact"
    if plan.wall.lining.way == Way.BRACKETED and anchor_of(plan, structure) is None:
        what = (
            "its layers are not in the job" if not plan.wall.construction else "no anchor is declared for it"
        )
        yield f"pull on anchors in the old wall is not judged: {what}; test on site"
    if plan.wall.head_moves:
        yield "the head track holds the members across; they slide in it as the slab moves"
    if plan.wall.targets.fire_class:
        yield "fire asks for a tested system and a licensed designer: not judged here"
