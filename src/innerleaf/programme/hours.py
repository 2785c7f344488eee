"""The hours of the price, wall by wall and step by step: each hundredth of an hour is somewhere, none is new.

The labour lines of the price are shared out among the walls as there; what a line holds of one wall goes to
the steps it is part of: a saw cut to the tracks or to the frame, a coat of joints to its coat, a straight
cut of a board to the layers by area.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from innerleaf.cost.labour import LabourLine
from innerleaf.cost.price_money import share_out
from innerleaf.layout.pieces import FACE, Role, RunKind, WallPlan
from innerleaf.practice.prices import Operation
from innerleaf.practice.rates import FITTER, HELPER, Extra
from innerleaf.programme import steps
from innerleaf.takeoff.count import COATS, JOINT_KINDS, sheet_area
from innerleaf.takeoff.model import Takeoff
from innerleaf.takeoff.work import Work

Weights = Mapping[str, float]  # by step
_TRACKS = (Role.FLOOR_TRACK, Role.HEAD_TRACK, Role.SIDE_TRACK)
_ON_BOARDS = ("boards", "joints", "jointing", "beads")  # groups of material of the second delivery


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Hours of each trade. [hundredths of an hour]"""

    fitter: int = 0
    helper: int = 0
    jointer: int = 0

    @property
    def total(self) -> int:
        """Of all trades together. [hundredths of an hour]"""
        return self.fitter + self.helper + self.jointer

    def plus(self, trade: str, hundredths: int) -> Hours:
        """With more of one trade."""
        return Hours(
            fitter=self.fitter + (hundredths if trade == FITTER else 0),
            helper=self.helper + (hundredths if trade == HELPER else 0),
            jointer=self.jointer + (hundredths if trade not in (FITTER, HELPER) else 0),
        )

    def __add__(self, other: Hours) -> Hours:
        return Hours(
            fitter=self.fitter + other.fitter,
            helper=self.helper + other.helper,
            jointer=self.jointer + other.jointer,
        )


def hours_by_step(
    plans: Sequence[WallPlan], takeoff: Takeoff, lines: Sequence[LabourLine]
) -> dict[tuple[str, str], Hours]:
    """Hours by wall and step; ``lines`` are those of the price, shared among the same walls."""
    found: dict[tuple[str, str], Hours] = {}
    walls = [_Wall(plan, takeoff) for plan in plans]
    for line in lines:
        of_walls = share_out(round(line.hours * 100), line.shares)
        for wall, hundredths in zip(walls, of_walls, strict=True):
            if not hundredths:
                continue
            weights = wall.weights(line.work, line.kind)
            parts = share_out(hundredths, list(weights.values()))
            for step, part in zip(weights, parts, strict=True):
                if part:
                    key = (wall.plan.wall.id, step)
                    found[key] = found.get(key, Hours()).plus(line.trade, part)
    return found


class _Wall:
    """Which steps of one wall a work belongs to, and in what proportion."""

    def __init__(self, plan: WallPlan, takeoff: Takeoff) -> None:
        self.plan, self.takeoff = plan, takeoff
        self.last = len(plan.wall.lining.boards)
        self.coats = COATS[plan.wall.lining.finish]

    def weights(self, work: str, kind: str) -> Weights:
        """Steps with their weights, one at least."""
        return _STEPS[work](self, kind)

    def boards(self, kind: str) -> Weights:
        """``kind`` ends with the layer, or with where in a reveal or flank: those go with the last layer."""
        layer = kind.rpartition(", ")[2].removeprefix("layer ")
        return {steps.board_layer(int(layer) if layer.isdigit() else self.last): 1.0}

    def by_area(self, _kind: str) -> Weights:
        """All layers, by their area."""
        found: dict[str, float] = {}
        for board in self.plan.boards:
            layer = board.layer if board.plane == FACE else self.last
            step = steps.board_layer(layer)
            found[step] = found.get(step, 0.0) + sheet_area(board)
        return dict(sorted(found.items())) or {steps.board_layer(self.last): 1.0}

    def cuts(self, kind: str) -> Weights:
        """Cuts of bars: to the tracks or to the frame, as many pieces as each takes of that article."""
        of_tracks = sum(bar.item == kind and bar.role in _TRACKS for bar in self.plan.bars)
        of_frame = sum(bar.item == kind and bar.role not in _TRACKS for bar in self.plan.bars)
        if not of_tracks + of_frame:
            return {steps.FRAME: 1.0}
        return {steps.TRACKS: float(of_tracks), steps.FRAME: float(of_frame)}

    def seals(self, kind: str) -> Weights:
        """Strip with the tracks, tape and seals of the membrane with it, sealant with the last layer."""
        if kind == RunKind.SEALING_STRIP:
            return {steps.TRACKS: 1.0}
        if kind in (RunKind.MEMBRANE_LAP, RunKind.MEMBRANE_SEAL):
            return {steps.VAPOUR: 1.0}
        return {steps.board_layer(self.last): 1.0}

    def joints(self, kind: str) -> Weights:
        """Metres by coat; those of layers that others cover are filled once, before the next layer."""
        found: dict[str, float] = {}
        for run in self.plan.runs:
            if run.kind.value != kind:
                continue
            if run.kind in JOINT_KINDS and 0 < run.layer < self.last:
                step = steps.fill(run.layer)
                found[step] = found.get(step, 0.0) + run.length_mm
                continue
            for step in self.every_coat(kind):
                found[step] = found.get(step, 0.0) + run.length_mm
        return found or self.every_coat(kind)

    def every_coat(self, _kind: str) -> Weights:
        """All coats of the finish alike."""
        return {steps.coat(number): 1.0 for number in range(1, max(1, self.coats) + 1)}

    def material(self, _kind: str) -> Weights:
        """By mass: what the frame takes, what comes with the boards."""
        mass = {steps.BRING_FRAME: 0.0, steps.BRING_BOARDS: 0.0}
        for line in self.takeoff.lines:
            step = steps.BRING_BOARDS if line.group in _ON_BOARDS else steps.BRING_FRAME
            for share in line.by_wall:
                if share.place == self.plan.wall.id and line.quantity:
                    mass[step] += line.mass_kg * share.quantity / line.quantity
        return mass


def _one(step: str) -> Callable[[_Wall, str], Weights]:
    def of(_wall: _Wall, _kind: str) -> Weights:
        return {step: 1.0}

    return of


_STEPS: Mapping[str, Callable[[_Wall, str], Weights]] = {
    Operation.SETTING_OUT: _one(steps.MARK_OUT),
    Operation.TRACK: _one(steps.TRACKS),
    Operation.MEMBER: _one(steps.FRAME),
    Operation.BRACKET: _one(steps.BRACKETS),
    Operation.INSULATION: _one(steps.INSULATION),
    Operation.MEMBRANE: _one(steps.VAPOUR),
    Operation.BOARD: _Wall.boards,
    Operation.BOX: lambda wall, _kind: {steps.board_layer(wall.last): 1.0},
    Operation.JOINT: _Wall.joints,
    Operation.SKIM: _one(steps.SKIM),
    Operation.SEALANT: _Wall.seals,
    Extra.BAR_CUT: _Wall.cuts,
    Extra.SKEW_CUT: _Wall.cuts,
    Extra.INSULATION_CUT: _one(steps.INSULATION),
    Extra.BOARD_CUT: _Wall.by_area,
    Extra.NOTCH: _Wall.by_area,
    Extra.REVEAL: lambda wall, _kind: {steps.board_layer(wall.last): 1.0},
    Extra.BEAD: _one(steps.TAPE),
    Extra.SCREW_HEADS: _Wall.every_coat,
    Extra.SANDING: _one(steps.SANDING),
    Extra.HANDLING: _Wall.material,
    Extra.CARRYING: _Wall.material,
    Extra.CLEARING: _one(steps.CLEAR),
}


def steps_above_reach(plans: Sequence[WallPlan], takeoff: Takeoff, work: Work) -> frozenset[tuple[str, str]]:
    """Wall and step of all work of which some lies above reach."""
    walls = {plan.wall.id: _Wall(plan, takeoff) for plan in plans}
    return frozenset(
        (amount.wall, step)
        for amount in work.amounts
        if amount.above > 0
        for step, weight in walls[amount.wall].weights(amount.work, amount.kind).items()
        if weight
    )


def steps_too_heavy(work: Work) -> frozenset[tuple[str, str]]:
    """Wall and step of boarding with pieces that one person does not lift."""
    return frozenset(
        (amount.wall, steps.board_layer(int(layer)))
        for amount in work.amounts
        if amount.heavy > 0 and (layer := amount.kind.rpartition("layer ")[2]).isdigit()
    )
