"""Joints of tracks that are longer than a bar, put where the whole building is cut from fewest bars."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from innerleaf.cutting.bars import BarDemand, Splice
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.track_joints import LongTrack, long_tracks, with_joints
from innerleaf.practice.model import Practice
from innerleaf.takeoff.buy import bar_problem, bars_by_item, cut_problem, lengths_chosen, stock_lengths
from innerleaf.takeoff.model import Takeoff
from innerleaf.takeoff.rates import COMMON_RATES, Rates
from innerleaf.takeoff.rules import COMMON_RULES, PROFILE, BuyingRules
from innerleaf.takeoff.take import take_off


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """Walls with joints moved, what is bought for them, how many tracks that touched, bars saved [mm]."""

    plans: tuple[WallPlan, ...]
    takeoff: Takeoff
    tracks: int = 0
    saved_mm: float = 0.0


def with_joints_moved(
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    practice: Practice,
    rates: Rates = COMMON_RATES,
    rules: BuyingRules = COMMON_RULES,
) -> Joined:
    """The walls with joints of long tracks where they cut best; as they are where that saves no bar.

    No track gets a joint more than the length of bars makes necessary: one more costs a cut and two fixings,
    which is seldom worth what it saves.
    """
    lengths: dict[str, tuple[int, ...]] = {}
    for item, bars in bars_by_item(plans).items():
        tracks = [track for plan in plans for track in long_tracks(plan, practice) if track.item == item]
        if tracks:
            bought = next(p.bought for p in takeoff.purchases if (p.group, p.item) == ("frame", item))
            stocks = stock_lengths(practice, item)
            problem, _ = bar_problem(item, bars, stocks, rates, rules)
            problem, _ = lengths_chosen(problem, rules.most(item, PROFILE))
            demands = _joined(problem.demands, tracks, practice.rules.short_piece_min_mm)
            plan = cut_problem(replace(problem, demands=demands))
            parts: dict[str, list[int]] = defaultdict(list)
            for piece in (piece for bar in plan.bars for piece in bar.pieces if piece.part):
                parts[piece.mark].append(piece.length_mm)
            if plan.bought_mm < bought:
                lengths |= {
                    track.mark: tuple(sorted(parts[track.mark], reverse=True))
                    for track in tracks
                    if len(parts[track.mark]) == len(track.bars)
                }
    drawn = tuple(with_joints(plan, practice, lengths) for plan in plans)
    taken = take_off(drawn, practice, rates, rules) if lengths else takeoff
    saved = _bars(takeoff) - _bars(taken)
    if saved <= 0:
        return Joined(plans=tuple(plans), takeoff=takeoff)
    before = {track for plan in plans for track in long_tracks(plan, practice)}
    moved = sum(track not in before for plan in drawn for track in long_tracks(plan, practice))
    return Joined(plans=drawn, takeoff=taken, tracks=moved, saved_mm=saved)


def _joined(
    demands: Sequence[BarDemand], tracks: Sequence[LongTrack], least_mm: int
) -> tuple[BarDemand, ...]:
    """The pieces of each long track as one that may be parted anywhere."""
    by_mark = {demand.mark: demand for demand in demands}
    parts = {bar.mark for track in tracks for bar in track.bars}
    splice = Splice(overlap_mm=0, least_mm=least_mm)
    return (
        *(demand for demand in demands if demand.mark not in parts),
        *(
            replace(by_mark[track.mark], length_mm=track.length_mm, splice=splice)
            for track in tracks
            if track.mark in by_mark
        ),
    )


def _bars(takeoff: Takeoff) -> float:
    return sum(purchase.bought for purchase in takeoff.purchases if purchase.group == "frame")
