"""What is wrong with a plan of boards, knowing nothing of how it was found. Bars: ``check_bars``."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from innerleaf.cutting.boards import BoardPlan, BoardRect, Placed

TOLERANCE_MM = 1e-3


def check_boards(plan: BoardPlan, rects: Sequence[BoardRect], stock_lengths_mm: Sequence[int]) -> list[str]:
    """Every rectangle once, inside its board, clear of the others, with its factory edges, and snappable."""
    faults = []
    if Counter(p.rect for board in plan.patterns for p in board.places) != Counter(rects):
        faults.append("pieces cut are not the pieces asked for")
    for number, board in enumerate(plan.patterns, 1):
        if board.stock_mm not in stock_lengths_mm:
            faults.append(f"board {number}: {board.stock_mm} mm cannot be bought")
        if not board.places:
            faults.append(f"board {number}: nothing is cut from it")
        for place in board.places:
            inside = (
                place.x_mm >= -TOLERANCE_MM
                and place.y_mm >= -TOLERANCE_MM
                and place.x_mm + place.rect.width_mm <= plan.width_mm + TOLERANCE_MM
                and place.y_mm + place.rect.length_mm <= board.stock_mm + TOLERANCE_MM
            )
            if not inside:
                faults.append(f"board {number}: piece {place.rect.id} lies outside")
            at_edge = (abs(place.x_mm) <= TOLERANCE_MM) + (
                abs(place.x_mm + place.rect.width_mm - plan.width_mm) <= TOLERANCE_MM
            )
            if at_edge < place.rect.edges:
                faults.append(f"board {number}: piece {place.rect.id} is not at a factory edge")
        if not _snappable(list(board.places)):
            faults.append(f"board {number}: cannot be cut by cuts from side to side")
    if plan.bought_mm2 != sum(board.stock_mm for board in plan.patterns) * plan.width_mm:
        faults.append(f"area bought said {plan.bought_mm2} mm2")
    if plan.bought_mm2 < plan.lower_bound_mm2 - 1:
        faults.append(f"bought {plan.bought_mm2} mm2, less than the bound {plan.lower_bound_mm2} mm2")
    return faults


def _snappable(places: list[Placed]) -> bool:
    """True if the rectangles come apart by cuts right across; overlapping ones never do."""
    if len(places) <= 1:
        return True
    across = [(p.x_mm, p.x_mm + p.rect.width_mm, p) for p in places]
    along = [(p.y_mm, p.y_mm + p.rect.length_mm, p) for p in places]
    for spans in (across, along):
        spans.sort(key=lambda span: span[0])
        reach = spans[0][1]
        for at in range(1, len(spans)):
            if spans[at][0] >= reach - TOLERANCE_MM:
                halves = spans[:at], spans[at:]
                return all(_snappable([place for _, _, place in half]) for half in halves)
            reach = max(reach, spans[at][1])
    return False
