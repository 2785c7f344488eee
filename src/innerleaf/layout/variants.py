"""Other layouts of one wall that are no worse than the first: for whoever looks at the whole building.

The first is what `plan_wall` draws. Another is offered only if by the layout's own judgement it is as good:
no rule missed by more, no strip or piece smaller than it should be, no finding that the first does not have,
no more seen joint and no more of it between cut edges, and members and hidden joints within the little
that the rules of the practice set allow. What it takes of bars and boards is not looked at here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from innerleaf.errors import about
from innerleaf.findings import Finding
from innerleaf.layout.boards import Boarding, board_area, lay_boards
from innerleaf.layout.brackets import place_brackets
from innerleaf.layout.edges import cross_joints, upright_joints
from innerleaf.layout.frame import build_frame
from innerleaf.layout.grid import Ground, PanelGrid, grid_of, ground_of, ruling_for, set_out_panels
from innerleaf.layout.infill import place_noggings
from innerleaf.layout.judge import judge
from innerleaf.layout.pieces import Bar, BoardPiece, RunKind, WallPlan
from innerleaf.layout.plan import plan_grids
from innerleaf.layout.reveals import line_reveals
from innerleaf.layout.setting import Setting, setting_for
from innerleaf.layout.shapes import Area
from innerleaf.layout.trial import Ruling, Trial
from innerleaf.layout.variants_joints import Columns, View, Weights, try_view
from innerleaf.layout.zone import Zone, nearest
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Wall

_VIEWS = (View(0, 0.0), View(1, 0.5), View(2, 0.0), View(3, 0.5))
_STEPS = 3  # starts a view tries in one period of the grid from either end, beside those of the first search
_LOOKED_AT = 1.5  # times the variants wanted: so many layouts are judged


@dataclass(frozen=True, slots=True)
class Variant:
    """A layout as far as others need it to compare: the grids, what is cut, and what a crew would notice.

    ``hidden_cut``: pieces of hidden layers narrower than a board may have cut edges at their joints.
    """

    movement_joints_mm: tuple[int, ...]
    grids: tuple[PanelGrid, ...]
    hidden_cut: bool
    boards: tuple[BoardPiece, ...]
    bars: tuple[Bar, ...]
    seen_joints_mm: int
    seen_cut_mm: int
    hidden_joints_mm: int
    misses: tuple[tuple[str, int, float], ...]  # code of finding, how many, by how much altogether


def variants_of(wall: Wall, practice: Practice, most: int) -> tuple[Variant, ...]:
    """The layout as first drawn, then others no worse, at most so many in all.

    A pure function of its arguments; the others do not depend on marks and names.

    Raises
    ------
    InputError
        The lining names something the practice does not have, or asks for what no rule allows.
    """
    with about(f"wall {wall.id} ({wall.room})"):
        setting = setting_for(wall, practice)
        return tuple(_Search(setting, practice).variants(most))


def plan_variant(wall: Wall, practice: Practice, variant: Variant) -> WallPlan:
    """The whole wall as a variant has it; of the first one the same as `plan_wall` gives."""
    setting = setting_for(wall, practice)
    joints, grids = variant.movement_joints_mm, variant.grids
    return plan_grids(setting, practice, joints, grids, hidden_cut=variant.hidden_cut)


class _Search:
    """The first layout of a wall, and what every other one of it shares."""

    def __init__(self, setting: Setting, practice: Practice) -> None:
        self.setting, self.practice, self.zone = setting, practice, Zone(setting.wall)
        joints, grids = set_out_panels(setting, self.zone)
        self.joints, self.grids = tuple(joints), tuple(grids)
        self.area: Area = board_area(setting, self.zone, grids)
        self.reveals = tuple(line_reveals(setting))

    def variants(self, most: int) -> Iterator[Variant]:
        """The first, then others no worse; each cuts other boards."""
        first, allowed = self.variant(self.grids, hidden_cut=False), self.practice.rules.variant_members_more
        assert first is not None
        yield first
        seen, found = {_cut_from(first)}, 1
        for number, grids in enumerate(self.layouts(int(_LOOKED_AT * most)) if most > 1 else ()):
            if found >= most:
                return
            if number and any(_crowded(a, b, allowed) for a, b in zip(grids, self.grids, strict=True)):
                continue
            other = self.variant(grids, hidden_cut=len(self.setting.boards) > 1, like=first)
            if other and _cut_from(other) not in seen and self.as_good(other, first):
                seen.add(_cut_from(other))
                found += 1
                yield other

    def layouts(self, most: int) -> Iterator[tuple[PanelGrid, ...]]:
        """Grids to be judged: the first ones, for their hidden layers; then the next of each panel."""
        yield self.grids
        ruling = ruling_for(self.setting)
        columns = Columns(self.zone, self.area)
        by_panel = [self.others(ruling, grid, columns, most) for grid in self.grids]
        for row in zip_longest(*by_panel):
            yield tuple(other or first for other, first in zip(row, self.grids, strict=True))

    def others(self, ruling: Ruling, grid: PanelGrid, columns: Columns, most: int) -> list[PanelGrid]:
        """Other grids of one panel that miss no rule by more, the lightest of each view first."""
        ground = ground_of(self.setting, ruling, self.zone, grid.panel)
        best, more = grid.choice.cost, self.practice.rules.variant_members_more
        seen = {grid.joints}
        by_view: list[list[Trial]] = []
        for view in _VIEWS:
            weights = Weights(columns, view)
            tried = [
                found
                for origin in _starts(ruling, ground, view.number)
                for found in try_view(ruling, ground.stretch, origin, weights)
                if found[1].cost[:2] <= best[:2] and found[1].cost[3] <= best[3] + more
            ]
            tried.sort(key=lambda found: (found[0], found[1].cost))
            by_view.append([trial for _, trial in tried])
        chosen: list[PanelGrid] = []
        for trial in _in_turn(by_view):
            if trial.joints not in seen and len(chosen) < most:
                seen.add(trial.joints)
                chosen.append(grid_of(self.setting, ground, trial, _REASON))
        return chosen

    def variant(
        self, grids: tuple[PanelGrid, ...], *, hidden_cut: bool, like: Variant | None = None
    ) -> Variant | None:
        """What one choice of grids comes to; none if it has more joints than one to be ``like``."""
        setting, zone = self.setting, self.zone
        boarding = lay_boards(setting, zone, grids, area=self.area, hidden_cut=hidden_cut)
        seen, cut, hidden = _joint_lengths(setting, grids, boarding)
        if like and not self.no_more_joints(like, seen, cut, hidden):
            return None
        frame = build_frame(setting, self.practice, zone, grids)
        noggings = place_noggings(setting, zone, frame.members, boarding.cross_joints)
        held = place_brackets(setting, frame.members)[1] if setting.bracketed else []
        findings = [
            *frame.findings,
            *boarding.findings,
            *held,
            *judge(setting, zone, grids, frame.members, boarding),
        ]
        return Variant(
            movement_joints_mm=self.joints,
            grids=tuple(grids),
            hidden_cut=hidden_cut,
            boards=(*boarding.pieces, *self.reveals),
            bars=(*frame.bars, *noggings),
            seen_joints_mm=seen,
            seen_cut_mm=cut,
            hidden_joints_mm=hidden,
            misses=_misses(findings),
        )

    def no_more_joints(self, first: Variant, seen: int, cut: int, hidden: int) -> bool:
        """Whether joints are as short as the first's, hidden ones nearly."""
        share = self.practice.rules.variant_hidden_joint_more_percent / 100
        more = max(share * first.hidden_joints_mm, self.zone.y1 - self.zone.y0)
        return (
            seen <= first.seen_joints_mm
            and cut <= first.seen_cut_mm
            and hidden <= first.hidden_joints_mm + more
        )

    def as_good(self, other: Variant, first: Variant) -> bool:
        """No finding that the first does not have, none missed by more."""
        known = {code: (count, by) for code, count, by in first.misses}
        return all(
            count <= known.get(code, (0, 0.0))[0] and by <= known[code][1] + 1e-6
            for code, count, by in other.misses
        )


def _starts(ruling: Ruling, ground: Ground, number: int) -> list[int]:
    """Starts a view tries: those of the first search, and some evenly spread from either end."""
    step = ruling.period / (_STEPS * len(_VIEWS))
    ways = ((ground.stretch.board_x0, 1), (ground.stretch.board_x1, -1))
    spread = {
        end + way * nearest((k * len(_VIEWS) + number) * step) for end, way in ways for k in range(_STEPS)
    }
    return sorted({*ground.origins, *(start % ruling.period for start in spread)})


_REASON = "as good by the rules, and what it cuts fits the other walls of the building better"


def _crowded(grid: PanelGrid, first: PanelGrid, more: int) -> bool:
    return len(grid.posts) > len(first.posts) + more


def _in_turn(lists: Sequence[Sequence[Trial]]) -> Iterator[Trial]:
    """One of each list, then the next of each."""
    for row in zip_longest(*lists):
        yield from (each for each in row if each is not None)


def _cut_from(variant: Variant) -> tuple[object, ...]:
    """What is cut, whatever its place and mark."""
    pieces = Counter(
        (p.item, p.width_mm, p.length_mm, p.left_bound + p.right_bound, _shape(p)) for p in variant.boards
    )
    return tuple(sorted(pieces.items(), key=repr))


def _shape(piece: BoardPiece) -> tuple[object, ...]:
    x0, y0 = min(x for x, _ in piece.ring), min(y for _, y in piece.ring)
    return tuple(
        tuple((round(x - x0, 3), round(y - y0, 3)) for x, y in ring) for ring in (piece.ring, *piece.holes)
    )


def _joint_lengths(setting: Setting, grids: Sequence[PanelGrid], boarding: Boarding) -> tuple[int, int, int]:
    """Seen joints, those of them where an edge is cut, and hidden joints. [mm]"""
    seen = cut = hidden = 0
    for run in (*upright_joints(setting, grids, boarding), *cross_joints(boarding)):
        length = round(run.length_mm)
        if run.layer < len(setting.boards):
            hidden += length
        else:
            seen += length
            cut += length * (run.kind != RunKind.JOINT_TAPERED)
    return seen, cut, hidden


def _misses(findings: Iterable[Finding]) -> tuple[tuple[str, int, float], ...]:
    by_code: dict[str, tuple[int, float]] = {}
    for finding in findings:
        count, by = by_code.get(finding.code, (0, 0.0))
        by_code[finding.code] = count + 1, by + (finding.by_mm or 0.0)
    return tuple((code, count, by) for code, (count, by) in sorted(by_code.items()))
