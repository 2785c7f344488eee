"""A bound for very many kinds of pieces: sizes rounded down, and one price for all of nearly one size.

Whoever can cut the pieces can cut smaller ones, so what no plan of the smaller ones can go below, no plan
of the pieces can either. Boards stay as they are. A notch may be rounded down as well: all that is cut from
it is then a multiple of the grid.
"""

from __future__ import annotations

from dataclasses import replace

from innerleaf.cutting.boards import BoardProblem, Notch
from innerleaf.cutting.boards_columns import mix
from innerleaf.cutting.boards_groups import groups_of
from innerleaf.cutting.boards_job import job_of, usable_notches
from innerleaf.cutting.boards_leaves import leaves_of
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_mend import pieces_of, start
from innerleaf.cutting.boards_pool import BoardPool


def coarse_bound(problem: BoardProblem, limits: BoardLimits) -> int:
    """What no plan can go below, from sizes rounded down to a grid; 0 if nothing is left of them."""
    job = job_of(_rounded(problem, limits.grid_mm))
    if not len(job.demand):
        return 0
    pool = BoardPool(job)
    pieces = pieces_of(job, job.demand)
    for number in range(len(job.sheets.width)):
        for sheet, leaves in leaves_of(*start(job, pieces, job.sheets.limit, number, 0)):
            pool.add(sheet, leaves)
    groups = groups_of(job, limits.groups)
    return mix(
        job, job.demand, job.sheets.limit, pool, limits, rounds=limits.coarse_rounds, groups=groups
    ).bound


def _rounded(problem: BoardProblem, grid: int) -> BoardProblem:
    whole = {stock.width_mm for stock in problem.stocks}

    def down(size: int, kept: bool = False) -> int:
        return size if kept else size // grid * grid

    def inner(notch: Notch) -> Notch:
        return Notch(
            x_mm=down(notch.x_mm),
            y_mm=down(notch.y_mm),
            width_mm=down(notch.width_mm, notch.width_mm in whole),
            length_mm=down(notch.length_mm),
        )

    demands = []
    for d in problem.demands:
        width, length = down(d.width_mm, d.width_mm in whole and not d.turns), down(d.length_mm)
        notches = [inner(notch) for notch in usable_notches(d, problem.least_strip_mm)]
        notches = [n for n in notches if n.width_mm and n.length_mm]
        # pieces of which nothing is left are left out
        if width and length and all((n.width_mm, n.length_mm) != (width, length) for n in notches):
            demands.append(replace(d, width_mm=width, length_mm=length, notches=tuple(notches)))
    return replace(problem, demands=tuple(demands), least_strip_mm=0)
