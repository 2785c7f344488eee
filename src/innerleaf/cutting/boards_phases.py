"""Boards cut phase by phase: what is cut in a phase comes from boards bought for it and from offcuts kept."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from innerleaf.cutting.boards import BOUGHT, Board, BoardDemand, BoardPlan, BoardProblem, BoardStock, Place
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
    yard = _Yard(problem, {demand.mark: demand for demand in problem.demands}, least_kept_mm)
    for phase in phases:
        asked = tuple(d for d in problem.demands if phase_of.get(d.mark, 0) == phase)
        stocks = yard.stocks()
        plan = cut_boards(replace(problem, demands=asked, stocks=stocks), limits, seed=seed)
        for cut in plan.boards:
            yard.enter(cut, phase, stocks)
    boards = yard.boards
    cost = sum(board.price for board in boards)
    bound = min(cost, _bound_at_once(problem, limits, seed))
    return BoardPlan(
        boards=tuple(boards), cost=cost, bound=bound, stopped_by=stopped_by(cost, bound, limits), seed=seed
    )


def _bound_at_once(problem: BoardProblem, limits: BoardLimits, seed: int) -> int:
    """What no plan can go below whatever the phases; no plan is looked for."""
    return cut_boards(problem, replace(limits, repairs=0, dives=0), seed=seed).bound


@dataclass(slots=True)
class _Yard:
    """The boards cut so far, how many there are left of those limited, and the offcuts that lie there."""

    problem: BoardProblem
    demands: Mapping[str, BoardDemand]
    least_kept_mm: int
    boards: list[Board] = field(default_factory=list)
    used: Counter[BoardStock] = field(default_factory=Counter)
    rests: dict[str, tuple[int, Offcut]] = field(default_factory=dict)  # by mark: number of the board

    def stocks(self) -> tuple[BoardStock, ...]:
        """What can be cut from now."""
        given = [
            stock if stock.limit is None else replace(stock, limit=stock.limit - self.used[stock])
            for stock in self.problem.stocks
        ]
        return (*given, *(_as_stock(mark, rest) for mark, (_, rest) in self.rests.items()))

    def enter(self, cut: Board, phase: int, stocks: Sequence[BoardStock]) -> None:
        """Take in a board that was cut: what it was cut from is gone, its offcuts are there."""
        stock = next(
            s
            for s in stocks
            if (s.width_mm, s.length_mm, s.price, s.mark or BOUGHT)
            == (cut.width_mm, cut.length_mm, cut.price, cut.source)
            and s.limit != 0
        )
        board = replace(cut, number=len(self.boards) + 1, phase=phase)
        if cut.source in self.rests:
            host, rest = self.rests.pop(cut.source)
            board = replace(
                board,
                source=f"{REST_OF_BOARD}{host}",
                rest_of=host,
                rest_x_mm=rest.x_mm,
                rest_y_mm=rest.y_mm,
            )
        elif stock.limit is not None:
            own = (s for s in self.problem.stocks if replace(s, limit=stock.limit) == stock)
            self.used[next(s for s in own if (s.limit or 0) > self.used[s])] += 1
        self.boards.append(board)
        for number, rest in enumerate(sequence_of(board, self.demands, self.least_kept_mm).offcuts, 1):
            sawn = any(_covers(place, rest) for place in board.places)
            left, right = rest.left and stock.left and not sawn, rest.right and stock.right and not sawn
            self.rests[f"{board.number}/{number}"] = board.number, replace(rest, left=left, right=right)


def _covers(place: Place, rest: Offcut) -> bool:
    return (
        place.x_mm <= rest.x_mm
        and place.y_mm <= rest.y_mm
        and rest.x_mm + rest.width_mm <= place.x_mm + place.width_mm
        and rest.y_mm + rest.length_mm <= place.y_mm + place.length_mm
    )


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
