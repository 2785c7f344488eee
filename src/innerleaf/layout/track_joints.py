"""Tracks longer than a bar: where their butt joints lie, and the same wall with joints elsewhere.

A joint must be somewhere; where it is makes no difference to the lining as long as no piece is shorter than
the rule allows. So the building may choose the places that it cuts best.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from innerleaf.layout.pieces import Bar, FixingLine, Role, Run, RunKind, WallPlan
from innerleaf.layout.tracks import spread
from innerleaf.layout.zone import nearest
from innerleaf.practice.model import Practice

_NEAR_MM = 50  # wider than the gap of a movement joint
_TRACKS = (Role.FLOOR_TRACK, Role.HEAD_TRACK)


@dataclass(frozen=True, slots=True)
class LongTrack:
    """The pieces of one level track, joined end to end, from the left."""

    item: str
    bars: tuple[Bar, ...]

    @property
    def mark(self) -> str:
        """That of its first piece."""
        return self.bars[0].mark

    @property
    def length_mm(self) -> int:
        """Of all its pieces."""
        return sum(bar.length_mm for bar in self.bars)


def long_tracks(plan: WallPlan, practice: Practice) -> Iterator[LongTrack]:
    """Level floor and head tracks of a wall that are butted of several pieces."""
    tracks = (bar for bar in plan.bars if bar.role in _TRACKS and bar.ay_mm == bar.by_mm)
    for (_, item, _), some in groupby(tracks, key=lambda bar: (bar.role, bar.item, bar.ay_mm)):
        if practice.profiles[item].splice_overlap_mm:
            continue
        run: list[Bar] = []
        for bar in some:
            if run and (run[-1].bx_mm != bar.ax_mm or _moves(plan, bar.ax_mm)):
                yield from [LongTrack(item, tuple(run))] if len(run) > 1 else []
                run = []
            run.append(bar)
        if len(run) > 1:
            yield LongTrack(item, tuple(run))


def _moves(plan: WallPlan, x_mm: float) -> bool:
    """Whether a joint is there because the wall moves: it stays."""
    return any(abs(x_mm - joint) < _NEAR_MM for joint in plan.movement_joints_mm)


def with_joints(plan: WallPlan, practice: Practice, lengths: Mapping[str, Sequence[int]]) -> WallPlan:
    """The wall with the pieces of its long tracks as long as said, by the mark of their first piece.

    Pieces keep their marks; bars, their fixings and the strip under them follow.
    """
    moved: dict[str, Bar] = {}
    for track in long_tracks(plan, practice):
        at, last = track.bars[0].ax_mm, track.bars[-1]
        for bar, length in zip(track.bars, lengths.get(track.mark, ()), strict=False):
            end = last.bx_mm if bar is last else nearest(at + length)
            moved[bar.mark] = replace(bar, ax_mm=nearest(at), bx_mm=end, length_mm=length)
            at += length
    return replace(
        plan,
        bars=tuple(moved.get(bar.mark, bar) for bar in plan.bars),
        fixings=tuple(_fixed(line, moved.get(line.bar), practice) for line in plan.fixings),
        runs=tuple(_sealed(run, moved.get(run.note)) for run in plan.runs),
    )


def _fixed(line: FixingLine, bar: Bar | None, practice: Practice) -> FixingLine:
    if bar is None:
        return line
    rules, y = practice.rules, line.places_mm[0][1]
    along = spread(bar.length_mm, rules.track_fixing_spacing_max_mm, rules.fixing_end_distance_mm)
    return replace(line, places_mm=tuple((nearest(bar.ax_mm + d), y) for d in along))


def _sealed(run: Run, bar: Bar | None) -> Run:
    if bar is None or run.kind != RunKind.SEALING_STRIP:
        return run
    return replace(run, ax_mm=bar.ax_mm, bx_mm=bar.bx_mm, length_mm=bar.length_mm)
