"""Boards cut at least cost: from the problem to a plan of placed pieces."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from innerleaf.cutting.boards import (
    BOUGHT,
    Board,
    BoardDemand,
    BoardPlan,
    BoardProblem,
    Notch,
    Place,
    notches_of,
)
from innerleaf.cutting.boards_coarse import coarse_bound
from innerleaf.cutting.boards_fit import RIGHT
from innerleaf.cutting.boards_job import Job, Leaves, job_of, usable_notches
from innerleaf.cutting.boards_leaves import Filled, wanted_only
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_whole import cut_whole_boards
from innerleaf.errors import InputError

PROVED, CLOSE, STOPPED, BY_CLOCK = "proved cheapest", "close enough", "limit of the search", "time limit"


def cut_boards(problem: BoardProblem, limits: BoardLimits | None = None, *, seed: int = 0) -> BoardPlan:
    """Cut all pieces from boards at least cost; the same problem gives the same plan, however it is ordered.

    Raises
    ------
    InputError
        The boards there are do not suffice for the pieces.
    """
    limits = limits or BoardLimits()
    if not any(d.count for d in problem.demands):
        return BoardPlan(boards=(), cost=0, bound=0, stopped_by=PROVED, seed=seed)
    job = job_of(problem)
    known = 0 if len(job.demand) <= limits.types else coarse_bound(problem, limits)
    whole = cut_whole_boards(job, limits, bound=known, seed=seed)
    filled = wanted_only(job, whole.filled, job.demand)
    boards = _boards(job, filled, problem)
    cut = sum(len(board.places) for board in boards)
    wanted = int(job.demand.sum())
    if cut < wanted:
        raise InputError(
            "limits of the boards",
            given=f"boards for {cut} of {wanted} pieces",
            accepted="more boards, or larger ones",
        )
    cost = sum(board.price for board in boards)
    bound = min(whole.bound, cost)
    return BoardPlan(
        boards=tuple(boards),
        cost=cost,
        bound=bound,
        stopped_by=stopped_by(cost, bound, limits),
        seed=seed,
    )


def stopped_by(cost: int, bound: int, limits: BoardLimits) -> str:
    """How good a plan is, or why the search went no further."""
    if cost <= bound:
        return PROVED
    if cost <= bound * (1 + limits.close):
        return CLOSE
    return STOPPED if limits.go_on() else BY_CLOCK


def _boards(job: Job, filled: Iterable[Filled], problem: BoardProblem) -> list[Board]:
    """The boards with pieces of the demands in their order, boards cut alike one after the other."""
    waiting = [deque(d for d in demands for _ in range(d.count)) for demands in job.demands]
    hands = [deque(_marks(job, k)) for k in range(len(job.stocks))]
    order = sorted(filled, key=lambda f: (-int(job.sheets.length[f[0]]), f[0], [a.tolist() for a in f[1]]))
    boards = []
    for number, (sheet, leaves) in enumerate(order, 1):
        stock = job.stocks[sheet][0]
        given = [waiting[t].popleft() for t in job.shapes.type[leaves.shape].tolist()]
        boards.append(
            Board(
                number=number,
                width_mm=stock.width_mm,
                length_mm=stock.length_mm,
                price=stock.price,
                source=hands[sheet].popleft() if hands[sheet] else BOUGHT,
                places=tuple(_places(job, leaves, given, problem.least_strip_mm)),
            )
        )
    return boards


def _marks(job: Job, sheet: int) -> list[str]:
    """The name of each board there is a limited number of."""
    return [stock.mark or BOUGHT for stock in job.stocks[sheet] for _ in range(stock.limit or 0)]


def _places(job: Job, leaves: Leaves, given: list[BoardDemand], least_mm: int) -> list[Place]:
    """The leaves as places on the board, hosts before what is cut from their notches."""
    across, along = job.unit
    places: list[Place] = []
    for i, demand in enumerate(given):
        s, host = int(leaves.shape[i]), int(leaves.host[i])
        x, y = int(leaves.x[i]) * across, int(leaves.y[i]) * along
        if host >= 0:
            notch = _lying(given[host], places[host], least_mm)[int(leaves.notch[i])]
            x, y = x + notch.x_mm, y + notch.y_mm
        width, length = int(job.shapes.width[s]) * across, int(job.shapes.length[s]) * along
        turned = 0
        if (width, length) != (demand.width_mm, demand.length_mm):
            turned = 90
        elif demand.left != demand.right and demand.right == (leaves.side[i] != RIGHT):
            turned = 180
        places.append(
            Place(
                mark=demand.mark,
                x_mm=x,
                y_mm=y,
                width_mm=width,
                length_mm=length,
                turned_deg=turned,
                within=host + 1,
            )
        )
    return places


def _lying(demand: BoardDemand, place: Place, least_mm: int) -> list[Notch]:
    """The notches worth cutting from as they lie on the board, in the order of the shapes."""
    where = dict(zip(demand.notches, notches_of(demand, place), strict=True))
    return [where[notch] for notch in usable_notches(demand, least_mm)]
