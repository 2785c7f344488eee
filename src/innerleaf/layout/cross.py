"""Cross (butt) joints: where boards end on one another because the wall is higher than the board.

Neighbouring columns of board and successive layers must not have their cross joints in line. Each
column has a few sensible ways to be divided; the cheapest set of choices along the wall is a
shortest path, layer by layer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Blocker, nearest

# Prices: rules in mm missed, pieces too short in mm missed, joints through a box, then board bought [mm],
# then pieces.
_RULE, _SHORT, _BOX, _PIECE = 10**9, 10**5, 500, 50


@dataclass(frozen=True, slots=True)
class Column:
    """One width of board in one layer: its sides and the heights it covers."""

    left: float
    right: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Division:
    """Cross joints of one column and the rules missed because of it, in mm by code."""

    joints: tuple[int, ...]
    head_mm: int
    stagger_mm: int
    layer_mm: int
    short_mm: int


_WHOLE = Division((), 0, 0, 0, 0)


def divide_columns(
    setting: Setting,
    columns: Sequence[Column],
    below: Sequence[tuple[Column, Division]],
    openings: Sequence[Blocker],
    layer: int,
) -> list[Division]:
    """Choose the cross joints of one layer's columns, given those of the layer below."""
    lengths = setting.boards[layer - 1].lengths_mm
    longest = max(lengths)
    if all(column.high - column.low <= longest for column in columns):
        return [_WHOLE] * len(columns)
    stagger = setting.rules.cross_joint_stagger_min_mm
    options = [_options(setting, column, lengths) for column in columns]
    own = [
        [_own_price(setting, column, way, below, openings, lengths) for way in ways]
        for column, ways in zip(columns, options, strict=True)
    ]
    price = [cost for cost, _ in own[0]]
    came: list[list[int]] = []
    near: dict[tuple[tuple[int, ...], tuple[int, ...]], int] = {}  # columns repeat: each pair once
    for k in range(1, len(columns)):
        for way in options[k]:
            for before in options[k - 1]:
                if (way, before) not in near:
                    near[way, before] = _missed(way, before, stagger) * _RULE
        touching = columns[k].left <= columns[k - 1].right
        new_price, back = [], []
        for way, (cost, _) in zip(options[k], own[k], strict=True):
            steps = [
                cost_before + (near[way, before] if touching else 0)
                for cost_before, before in zip(price, options[k - 1], strict=True)
            ]
            least = min(range(len(steps)), key=steps.__getitem__)
            new_price.append(steps[least] + cost)
            back.append(least)
        price = new_price
        came.append(back)
    at = min(range(len(price)), key=price.__getitem__)
    chosen = [at]
    for back in reversed(came):
        at = back[at]
        chosen.append(at)
    chosen.reverse()
    result = []
    for k, pick in enumerate(chosen):
        _, division = own[k][pick]
        in_line = 0
        if k and columns[k].left <= columns[k - 1].right:
            in_line = _missed(options[k][pick], options[k - 1][chosen[k - 1]], stagger)
        result.append(replace(division, stagger_mm=in_line))
    return result


def _missed(one: Sequence[int], two: Sequence[int], least: int) -> int:
    """By how much joints at these heights are too close, summed. [mm]"""
    return sum(least - abs(a - b) for a in one for b in two if abs(a - b) < least)


def _options(setting: Setting, column: Column, lengths: Sequence[int]) -> list[tuple[int, ...]]:
    """Ways to divide one column: whole boards up from a first piece, first pieces of many heights."""
    longest, shortest = max(lengths), setting.rules.piece_height_min_mm
    height = column.high - column.low
    if height <= longest:
        return [()]
    if column.low != int(column.low) or column.high != int(column.high):
        longest -= 1  # joints are whole millimetres, raked ends are not
    step = setting.rules.cross_joint_stagger_min_mm
    ways: set[tuple[int, ...]] = set()
    least_pieces = ceil(height / longest)
    for pieces in (least_pieces, least_pieces + 1):
        low = max(shortest, ceil(height - (pieces - 1) * longest))
        high = min(longest, int(height) - shortest)
        firsts = {low, high, *range(low, high, step), *range(high, low, -step)}
        firsts |= {length for length in lengths if low <= length <= high}
        firsts |= {round(height - length) for length in lengths if low <= height - length <= high}
        for first in firsts:
            joints = [nearest(column.low + first)]
            rest = height - first
            while rest > longest:
                # Whole boards, but leave the last piece long enough to be a piece.
                take = longest if rest - longest >= shortest else round(rest - shortest)
                joints.append(joints[-1] + take)
                rest -= take
            ways.add(tuple(joints))
    return sorted(ways)


def _own_price(
    setting: Setting,
    column: Column,
    way: tuple[int, ...],
    below: Sequence[tuple[Column, Division]],
    openings: Sequence[Blocker],
    lengths: Sequence[int],
) -> tuple[int, Division]:
    """Price of one way to divide one column, without its neighbours."""
    rules = setting.rules
    head = sum(
        rules.head_clear_mm - abs(y - level)
        for b in openings
        if b.x0 <= column.right and b.x1 >= column.left
        for level in (b.y0, b.y1)
        for y in way
        if abs(y - level) < rules.head_clear_mm
    )
    layer = sum(
        _missed(way, division.joints, rules.cross_joint_stagger_min_mm)
        for other, division in below
        if division.joints and other.left < column.right and column.left < other.right
    )
    bounds = (column.low, *way, column.high)
    bought, short = 0, 0
    for a, b in zip(bounds, bounds[1:], strict=False):
        piece = b - a
        bought += min((length for length in lengths if length >= piece), default=max(lengths))
        short += max(0, ceil(rules.piece_height_min_mm - piece))
    cut = sum(
        1
        for box in setting.wall.boxes
        for y in way
        if abs(y - box.y_mm) < box.diameter_mm
        and column.left < box.x_mm + (box.count - 1) * box.pitch_mm + box.diameter_mm
        and box.x_mm - box.diameter_mm < column.right
    )
    price = (head + layer) * _RULE + short * _SHORT + cut * _BOX + bought + _PIECE * len(way)
    return price, Division(way, head, 0, layer, short)
