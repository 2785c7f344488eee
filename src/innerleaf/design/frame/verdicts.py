"""Verdicts on the frame of one wall: what its worst member, load, bracket and fixing do, with the working."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import erfc, sqrt
from typing import Final

from innerleaf.design.frame.hung import Hung
from innerleaf.design.frame.profile import Bar
from innerleaf.design.frame.strips import HUNG, Outcome
from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.physics.frame.anchors import (
    anchors_needed,
    anchors_that_fit,
    check,
    fixing_shear,
    pulls,
    screw_pull,
)
from innerleaf.practice.model import Rules
from innerleaf.practice.structure import FinishLimit, LoadCase, Structure, WallAnchor
from innerleaf.verdicts import Verdict

DEFLECTION: Final = "deflection of the weakest member"
MOMENT: Final = "moment in the most strained member (plausibility)"
HUNG_LOAD: Final = "hung load to a metre of lining"
PULL_OUT: Final = "pull on the most strained bracket anchor"
SHEAR: Final = "shear on the most strained track fixing"
PULL_THROUGH: Final = "pull on a board screw by pressure from behind"
JAMB_DEFLECTION: Final = "deflection of the weakest jamb post"
JAMB_MOMENT: Final = "moment in the most strained jamb post (plausibility)"
CODES: Final = {
    DEFLECTION: "F101",
    MOMENT: "F102",
    HUNG_LOAD: "F103",
    PULL_OUT: "F104",
    SHEAR: "F104",
    PULL_THROUGH: "F104",
    JAMB_DEFLECTION: "F105",
    JAMB_MOMENT: "F105",
}


def member_verdicts(
    outcomes: Sequence[Outcome], bars: Mapping[str, Bar], finish: FinishLimit, structure: Structure
) -> Iterator[tuple[Verdict, Outcome]]:
    """Deflection and moment of the worst member and of the worst post beside an opening."""
    for jamb, deflection, moment in ((False, DEFLECTION, MOMENT), (True, JAMB_DEFLECTION, JAMB_MOMENT)):
        group = [o for o in outcomes if (o.strip.member.role == Role.JAMB) == jamb]
        if group:
            softest = max(group, key=lambda o: o.sag)
            yield (
                _deflection(softest, bars[softest.strip.member.mark], finish, structure, deflection),
                softest,
            )
            worst = max(group, key=lambda o: _designed(o) / bars[o.strip.member.mark].resistance)
            yield _moment(worst, bars[worst.strip.member.mark], structure, moment), worst


def _designed(outcome: Outcome) -> float:
    """Moment with its load factor. [N·m]"""
    return outcome.moment * outcome.strip.load_factor


def _source(case: str, structure: Structure) -> str:
    return structure.hung["lever"].source if case == HUNG else structure.cases[case].source


def _loads(outcome: Outcome, structure: Structure) -> Iterator[str]:
    """Member, supports and loads, as somebody who redoes it needs them."""
    strip = outcome.strip
    foot = f"{strip.member.mark} ({strip.member.role}), {strip.length:.3f} m long, held at "
    yield foot + ", ".join(f"{at:.3f}" for at in sorted(at for at, _ in strip.supports)) + " m from its foot"
    forces = [f"{force:.1f} N at {at:.3f} m" for at, force in strip.forces]
    if any(strip.borne):
        left, right = strip.borne
        forces[0] = (
            f"{structure.cases[strip.case].line_load_n_m:g} N/m × ({left:.3f} + {right:.3f}) m = {forces[0]}"
        )
    forces += [f"{load:.1f} N/m from {low:.3f} to {high:.3f} m" for low, high, load in strip.spreads]
    yield f"{strip.case}: {'; '.join(forces)}"


def _by_hand(outcome: Outcome) -> tuple[float, float, float] | None:
    """P, a, H of a member between foot and head under one force, for which there are closed formulas."""
    strip = outcome.strip
    if len(strip.supports) == 2 and len(strip.forces) == 1 and not strip.spreads and not strip.brackets:
        (at, force), long = strip.forces[0], strip.length
        return force, min(at, long - at), long
    return None


def _deflection(
    outcome: Outcome, bar: Bar, finish: FinishLimit, structure: Structure, requirement: str
) -> Verdict:
    steel, span = structure.steel["strip"], outcome.span * 1000
    lines = [*_loads(outcome, structure)]
    lines.append(
        f"{bar.name}: I = {bar.second_moment * 1e12:.0f} mm⁴ (core {bar.core * 1000:.3f} mm),"
        f" E = {steel.elasticity_n_mm2:.0f} N/mm²; alone, its boards not counted"
    )
    if hand := _by_hand(outcome):
        force, a, h = hand
        lines.append(f"P a (H² − a²)^1.5 / (9 √3 E I H) with P {force:.1f} N, a {a:.3f} m, H {h:.3f} m")
    lines.append(
        f"{outcome.deflection * 1000:.2f} mm at {outcome.at:.3f} m, span {span:.0f} mm:"
        f" 1/{1 / outcome.sag:.0f} of it; 1/{finish.ratio:.0f} may be"
        if outcome.sag
        else "no deflection"
    )
    return Verdict(
        requirement=requirement,
        value=outcome.deflection * 1000,
        limit=span / finish.ratio,
        unit="mm",
        at_most=True,
        working=tuple(lines),
        source=f"limit {finish.source}; load {_source(outcome.strip.case, structure)}",
    )


def _moment(outcome: Outcome, bar: Bar, structure: Structure, requirement: str) -> Verdict:
    steel, strip, value = structure.steel["strip"], outcome.strip, _designed(outcome)
    lines = [*_loads(outcome, structure)]
    if hand := _by_hand(outcome):
        lines.append("P a (H − a) / H with P {:.1f} N, a {:.3f} m, H {:.3f} m".format(*hand))
    lines += [
        f"{outcome.moment:.1f} N·m at {outcome.moment_at:.3f} m × {strip.load_factor:g} = {value:.1f} N·m",
        f"{bar.name}: effective modulus {bar.modulus * 1e9:.0f} mm³ × {steel.yield_mean_n_mm2:.0f} N/mm²"
        f" = {bar.resistance:.0f} ± {bar.resistance_spread:.0f} N·m, the yield to be expected",
        f"with the least yield allowed, {steel.yield_least_n_mm2:.0f} N/mm²: {bar.resistance_least:.0f} N·m,"
        f" which {'would' if value <= bar.resistance_least else 'would not'} do",
    ]
    if bar.outside:
        lines.append(f"outside EN 1993-1-3 ({'; '.join(bar.outside)}): plausibility only, no resistance")
    lines.append("a tested table for the real lining governs: boards help, impact asks more")
    return Verdict(
        requirement=requirement,
        value=value,
        limit=bar.resistance,
        unit="N·m",
        at_most=True,
        working=tuple(lines),
        source=f"EN 1993-1-3, EN 1993-1-5; load {_source(strip.case, structure)}",
        uncertainty=bar.resistance_spread,
        risk=erfc((bar.resistance - value) / bar.resistance_spread / sqrt(2)) / 2,
    )


def hung_verdict(hung: Sequence[Hung], layers: int, rules: Rules, structure: Structure) -> Verdict | None:
    """The heaviest thing to a metre of lining, its lever arm counted; None where nothing hangs."""
    if not hung:
        return None
    rule = structure.hung["lever"]
    worst = max(hung, key=lambda thing: thing.counted(rule.reach_mm))
    value = worst.counted(rule.reach_mm)
    lines = [
        f"{worst.id}: {worst.mass:g} kg × 9.81 / {worst.width / 1000:.2f} m = {worst.per_metre:.0f} N/m,"
        f" its centre of mass {worst.reach:.0f} mm from the face",
    ]
    if worst.reach > rule.reach_mm:
        lines.append(
            f"× {worst.reach:.0f} / {rule.reach_mm} = {value:.0f} N/m, as if it hung {rule.reach_mm} mm out"
        )
    lines.append(
        f"upper fixings pull {worst.pull(rule.arm_mm):.0f} N:"
        f" {worst.weight:.0f} N × {worst.reach:.0f} / {rule.arm_mm} mm"
    )
    hangers = [h for h in structure.hangers.values() if h.layers <= layers]
    if hangers:
        best = max(hangers, key=lambda h: h.layers)
        needed = int(anchors_needed(worst.weight, best.load_n))
        room = int(anchors_that_fit(worst.width, rule.anchors_apart_mm))
        lines.append(
            f"cavity anchors in {best.layers} × board, {best.load_n:.0f} N each: {needed} needed, at least"
            f" {rule.anchors_apart_mm} mm apart ({room} find room); {best.source}"
        )
    return Verdict(
        requirement=HUNG_LOAD,
        value=value,
        limit=rules.hung_load_max_n_m,
        unit="N/m",
        at_most=True,
        working=tuple(lines),
        source=rule.source,
    )


def anchor_of(plan: WallPlan, structure: Structure) -> WallAnchor | None:
    """The anchor for the innermost layer of the old wall that one holds in (plaster holds none).

    What pull-out tests of the survey found counts before what is declared; where no anchor is declared for
    the wall, with the greatest safety factor of any.
    """
    anchors = structure.anchors.values()
    layers = reversed(plan.wall.construction)
    found = next((a for layer in layers for a in anchors if layer.material in a.holds), None)
    tested = plan.wall.anchor_pull_n
    if tested is None:
        return found
    safest = found or max(anchors, key=lambda anchor: anchor.safety)
    source = f"pull-out tests of the survey; safety factor of {safest.id}: {safest.source}"
    return replace(safest, id="as tested on site", pull_n=tested, source=source)


def pull_verdict(
    outcomes: Sequence[Outcome], anchor: WallAnchor, structure: Structure
) -> tuple[Verdict, Outcome] | None:
    """The bracket whose anchor is pulled most."""
    pulled = [
        (float(pull) * o.strip.load_factor, float(pull), mark, o)
        for o in outcomes
        for mark, pull in zip(o.strip.brackets, pulls(o.reactions)[-len(o.strip.brackets) :], strict=False)
    ]
    if not pulled:
        return None
    _, pull, mark, outcome = max(pulled, key=lambda found: found[0])
    factor = outcome.strip.load_factor
    held = check(pull, anchor.pull_n, load_factor=factor, safety=anchor.safety)
    verdict = Verdict(
        requirement=PULL_OUT,
        value=float(held.force),
        limit=float(held.allowed),
        unit="N",
        at_most=True,
        working=(
            *_loads(outcome, structure),
            f"{mark}: pulled by {pull:.0f} N × {factor:g} = {float(held.force):.0f} N",
            f"{anchor.id}: {anchor.pull_n:.0f} N / {anchor.safety:g} = {float(held.allowed):.0f} N",
        ),
        source=f"anchor: {anchor.source}; load {_source(outcome.strip.case, structure)}",
    )
    return verdict, outcome


def shear_verdict(
    outcomes: Sequence[Outcome], plan: WallPlan, rules: Rules, structure: Structure
) -> tuple[Verdict, Outcome] | None:
    """The track fixing that takes most, from the reactions at feet and heads."""
    fixing, spacing = structure.perimeter["track-fixing"], plan.grids[0].spacing_mm if plan.grids else 0.0
    ends = [
        (max(abs(r) for r in o.reactions[: len(o.reactions) - len(o.strip.brackets)]), o)
        for o in outcomes
        if len(o.reactions) > len(o.strip.brackets)
    ]
    if not ends or not spacing:
        return None
    reaction, outcome = max(ends, key=lambda found: found[0] * found[1].strip.load_factor)
    shear = float(fixing_shear(reaction, spacing / 1000, rules.track_fixing_spacing_max_mm / 1000))
    held = check(shear, fixing.shear_n, load_factor=outcome.strip.load_factor, safety=fixing.safety)
    verdict = Verdict(
        requirement=SHEAR,
        value=float(held.force),
        limit=float(held.allowed),
        unit="N",
        at_most=True,
        working=(
            *_loads(outcome, structure),
            f"{reaction:.0f} N from each member at {spacing:.0f} mm, fixings at most"
            f" {rules.track_fixing_spacing_max_mm} mm apart: {shear:.0f} N × {outcome.strip.load_factor:g}"
            f" = {float(held.force):.0f} N",
            f"{fixing.shear_n:.0f} N / {fixing.safety:g} = {float(held.allowed):.0f} N",
        ),
        source=f"fixing: {fixing.source}; load {_source(outcome.strip.case, structure)}",
    )
    return verdict, outcome


def through_verdict(
    plan: WallPlan, cases: Sequence[LoadCase], rules: Rules, structure: Structure
) -> Verdict | None:
    """The heads of the board screws under the greatest pressure from behind; None where there is none."""
    case = max(cases, key=lambda case: case.pressure_pa * case.load_factor)
    layers = len(plan.wall.lining.boards)
    fitting = [screw for screw in structure.screws.values() if screw.layers <= layers]
    if not (case.pressure_pa and fitting and plan.grids):
        return None
    screw = max(fitting, key=lambda screw: screw.layers)
    spacing, along = plan.grids[0].spacing_mm, rules.screw_spacing_final_max_mm
    pull = float(screw_pull(case.pressure_pa, spacing / 1000, along / 1000))
    held = check(pull, screw.pull_through_n, load_factor=case.load_factor, safety=screw.safety)
    return Verdict(
        requirement=PULL_THROUGH,
        value=float(held.force),
        limit=float(held.allowed),
        unit="N",
        at_most=True,
        working=(
            f"{case.pressure_pa:g} Pa × {spacing / 1000:.3f} m × {along / 1000:.3f} m × {case.load_factor:g}"
            f" = {float(held.force):.1f} N",
            f"{screw.id}: {screw.pull_through_n:.0f} N / {screw.safety:g} = {float(held.allowed):.0f} N",
        ),
        source=f"screw: {screw.source}; load {case.source}",
    )
