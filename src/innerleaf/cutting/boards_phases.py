"""Boards cut phase by phase: what is cut in a phase comes from boards bought for it and from offcuts kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from innerleaf.cutting.boards import BOUGHT, Board, BoardPlan, BoardProblem, BoardStock
from innerleaf.cutting.boards_cut import cut_boards, stopped_by
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_order import Offcut, sequence_of

REST_OF_BOARD = "rest of board "


def cut_boards_in_phases(
    problem: BoardProblem,
    phase_of: Mapping[str, int],
    least_kept_mm: int,
    limits: BoardLimits | None = None,
    *,
    seed: int = 0,
) -> BoardPlan:
    """Cut each phase as cheaply as the boards and the offcuts kept by then allow.

    ``phase_of``: the phase of a piece by its mark, 0 if left out. An offcut of which no side is shorter than
    ``least_kept_mm`` is kept for later phases. The bound is that of everything cut at once, so the gap tells
    what the phases cost, and a part of it may be the search's.
    """
    limits = limits or BoardLimits()
    phases = sorted({phase_of.get(d.mark, 0) for d in problem.demands if d.count})
    if len(phases) < 2:
        plan = cut_boards(problem, limits, seed=seed)
        return replace(plan, boards=tuple(replace(b, phase=p) for b in plan.boards for p in phases))
    demands = {demand.mark: demand for demand in problem.demands}
    boards: list[Board] = []
    rests: dict[str, tuple[int, Offcut]] = {}
    limited = {stock: stock.limit for stock in problem.stocks if stock.limit is not None}
    for phase in phases:
        asked = tuple(d for d in problem.demands if phase_of.get(d.mark, 0) == phase)
        stocks = [s for s in problem.stocks if s.limit is None]
        stocks += [replace(s, limit=left) for s, left in limited.items() if left]
        stocks += [_as_stock(mark, rest) for mark, (_, rest) in rests.items()]
        plan = cut_boards(replace(problem, demands=asked, stocks=tuple(stocks)), limits, seed=seed)
        for cut in plan.boards:
            board = _numbered(cut, len(boards) + 1, phase, rests)
            boards.append(board)
            for stock in limited:
                if cut.source == (stock.mark or BOUGHT) and _size(cut) == _size(stock):
                    limited[stock] = max(0, (limited[stock] or 0) - (cut.price == stock.price))
                    break
            for number, rest in enumerate(sequence_of(board, demands, least_kept_mm).offcuts, 1):
                rests[f"{REST_OF_BOARD}{board.number}/{number}"] = board.number, rest
    cost = sum(board.price for board in boards)
    bound = min(cost, _bound_at_once(problem, limits, seed))
    return BoardPlan(
        boards=tuple(boards), cost=cost, bound=bound, stopped_by=stopped_by(cost, bound, limits), seed=seed
    )


def _bound_at_once(problem: BoardProblem, limits: BoardLimits, seed: int) -> int:
    """What no plan can go below whatever the phases; no plan is looked for."""
    return cut_boards(problem, replace(limits, repairs=0, dives=0), seed=seed).bound


def _as_stock(mark: str, rest: Offcut) -> BoardStock:
    return BoardStock(
        width_mm=rest.width_mm,
        length_mm=rest.length_mm,
        price=0,
        limit=1,
        left=rest.left,
        right=rest.right,
        mark=mark,
    )


def _numbered(cut: Board, number: int, phase: int, rests: dict[str, tuple[int, Offcut]]) -> Board:
    """A board with its number in the whole plan; a rest that is cut from is no longer there."""
    if cut.source not in rests:
        return replace(cut, number=number, phase=phase)
    host, rest = rests.pop(cut.source)
    return replace(
        cut,
        number=number,
        phase=phase,
        source=f"{REST_OF_BOARD}{host}",
        rest_of=host,
        rest_x_mm=rest.x_mm,
        rest_y_mm=rest.y_mm,
    )


def _size(one: Board | BoardStock) -> tuple[int, int]:
    return one.width_mm, one.length_mm

