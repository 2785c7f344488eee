"""Sheets for `innerleaf cut`: cut, checked on its own, said in words, for programs, as patterns to draw."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import wrap

from innerleaf.cut_answer import money_of, quality
from innerleaf.cut_file_sheets import SheetFile
from innerleaf.cutting.boards import BOUGHT, Board, BoardDemand, BoardPlan, Place, notches_of
from innerleaf.cutting.boards_cut import cut_boards
from innerleaf.cutting.boards_limits import BoardLimits
from innerleaf.cutting.boards_order import CutOrder, Offcut, sequence_of
from innerleaf.cutting.check_boards import check_boards
from innerleaf.documents.cut_list import steps_of
from innerleaf.documents.cut_model import (
    BoardPart,
    BoardPattern,
    Left,
    Piece,
    Ring,
    Step,
    letter_of,
    marks_of,
    number_ranges,
)
from innerleaf.errors import InnerleafError
from innerleaf.takeoff.model import BoardCut

_LINE = 110  # letters on a line of the cuts


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSheet:
    """A sheet of the plan with its cuts in order and the marks of the offcuts that are kept of it."""

    board: Board
    order: CutOrder
    kept: tuple[str, ...]  # one for each offcut, "" for waste


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetAnswer:
    """A file and the plan, which the checker found right, sheet by sheet."""

    asked: SheetFile
    plan: BoardPlan
    sheets: tuple[CutSheet, ...]

    @property
    def net_mm2(self) -> int:
        """Area of the pieces, notches taken off. [mm2]"""
        return sum(demand.net_mm2 * demand.count for demand in self.asked.problem.demands)


def run_sheets(asked: SheetFile, *, seed: int = 0, seconds: float | None = None) -> SheetAnswer:
    """Cut and check.

    Raises
    ------
    InnerleafError
        The checker does not agree with the plan: a mistake of the program.
    """
    limits = BoardLimits()
    if seconds is not None:
        end = time.monotonic() + seconds
        limits = BoardLimits(go_on=lambda: time.monotonic() < end)
    plan = cut_boards(asked.problem, limits, seed=seed)
    faults = check_boards(plan, asked.problem)
    if faults:
        raise InnerleafError(f"the plan is wrong: {'; '.join(faults[:3])}")
    return SheetAnswer(asked=asked, plan=plan, sheets=tuple(_in_order(asked, plan)))


def _in_order(asked: SheetFile, plan: BoardPlan) -> Iterator[CutSheet]:
    demands = {demand.mark: demand for demand in asked.problem.demands}
    number = 0
    for board in plan.boards:
        order = sequence_of(board, demands, asked.problem.least_strip_mm)
        marks = []
        for offcut in order.offcuts:
            worth = asked.keep is not None and _is_worth(offcut, asked.keep)
            number += worth
            marks.append(f"K-{number}" if worth else "")
        yield CutSheet(board=board, order=order, kept=tuple(marks))


def _is_worth(offcut: Offcut, keep: tuple[int, int]) -> bool:
    sides = offcut.width_mm, offcut.length_mm
    return min(sides) >= keep[0] and max(sides) >= keep[1]


# --- as patterns, which words and drawings show ---------------------------------------------------


def sheet_patterns(answer: SheetAnswer) -> list[BoardPattern]:
    """Sheets cut alike, in the order of their numbers."""
    demands = {demand.mark: demand for demand in answer.asked.problem.demands}
    alike: dict[tuple[object, ...], list[CutSheet]] = {}
    for sheet in answer.sheets:
        places = tuple(
            (p.x_mm, p.y_mm, p.width_mm, p.length_mm, p.turned_deg, p.within, demands[p.mark].notches)
            for p in sheet.board.places
        )
        source = sheet.board.source if sheet.board.source != BOUGHT else ""
        key = (sheet.board.width_mm, sheet.board.length_mm, source, places)
        alike.setdefault(key, []).append(sheet)
    return [_pattern(answer, sheets, demands) for sheets in alike.values()]


def _pattern(answer: SheetAnswer, sheets: list[CutSheet], demands: dict[str, BoardDemand]) -> BoardPattern:
    first = sheets[0]
    order, board = first.order.order, first.board
    parts = []
    for number in order:
        place = board.places[number]
        parts.append(
            BoardPart(
                width_mm=place.width_mm,
                length_mm=place.length_mm,
                rings=_rings(place, demands[place.mark]),
                pieces=tuple(Piece(sheet.board.places[number].mark) for sheet in sheets),
                turned_deg=place.turned_deg,
                host=order.index(place.within - 1) if place.within else -1,
            )
        )
    cuts = [BoardCut(c.x1_mm, c.y1_mm, c.x2_mm, c.y2_mm, c.sawn) for c in first.order.cuts]
    lefts = []
    for k, offcut in enumerate(first.order.offcuts):
        marks = tuple(sheet.kept[k] for sheet in sheets if sheet.kept[k])
        lefts.append(Left(offcut.x_mm, offcut.y_mm, offcut.width_mm, offcut.length_mm, marks))
    return BoardPattern(
        item="",
        width_mm=board.width_mm,
        stock_mm=board.length_mm,
        numbers=tuple(sheet.board.number for sheet in sheets),
        parts=tuple(parts),
        steps=steps_of(cuts, ()),
        lefts=tuple(lefts),
        bound=_bound(answer, board),
        source="" if board.source == BOUGHT else board.source,
    )


def _rings(place: Place, demand: BoardDemand) -> tuple[Ring, ...]:
    """A piece as it lies, its notches as holes."""
    notches = notches_of(demand, place)
    return (
        _ring(place.x_mm, place.y_mm, place.width_mm, place.length_mm),
        *(_ring(n.x_mm, n.y_mm, n.width_mm, n.length_mm) for n in notches),
    )


def _ring(x: int, y: int, width: int, length: int) -> Ring:
    return (x, y), (x + width, y), (x + width, y + length), (x, y + length)


def _bound(answer: SheetAnswer, board: Board) -> tuple[bool, bool]:
    stock = next(
        s
        for s in answer.asked.problem.stocks
        if (s.width_mm, s.length_mm, s.price, s.mark or BOUGHT)
        == (board.width_mm, board.length_mm, board.price, board.source)
    )
    return stock.left, stock.right


# --- for people -----------------------------------------------------------------------------------


def answer_text(answer: SheetAnswer) -> str:
    """The plan as a foreman reads it: what to buy, how good that is, sheet by sheet with its cuts."""
    plan = answer.plan
    lines = ["To buy"]
    lines += [f"  {n:>6} × {width} × {length} mm" for (width, length), n in plan.bought] or ["  nothing"]
    what = "cost" if answer.asked.priced else "area bought"
    cost, bound = _amount(answer, plan.cost), _amount(answer, plan.bound)
    lines += [
        "",
        f"{what} {cost}; no plan can do with less than {bound} (gap {plan.gap:.3%}, {plan.stopped_by})",
        f"sheets {len(plan.boards)}, pieces {answer.net_mm2 / 1e6:,.3f} m²",
    ]
    if plan.bought_mm2 and answer.net_mm2:
        over = plan.bought_mm2 / answer.net_mm2 - 1
        lines.append(f"bought {plan.bought_mm2 / 1e6:,.3f} m², {over:.2%} over the pieces")
    lines += ["", "Cuts, from the lower left corner"]
    for pattern in sheet_patterns(answer):
        lines += _pattern_lines(pattern)
    return "\n".join(lines)


def _amount(answer: SheetAnswer, value: int) -> str:
    if not answer.asked.priced:
        return f"{value / 1e6:,.3f} m²"
    return f"{value / 10**answer.asked.decimals:,.{max(2, answer.asked.decimals)}f}"


def _pattern_lines(pattern: BoardPattern) -> Iterator[str]:
    yield f"{len(pattern.numbers):>6} × {pattern.width_mm} × {pattern.stock_mm} mm"
    indent = " " * 9
    yield f"{indent}{pattern.source or f'sheet {number_ranges(pattern.numbers)}'}"
    for k, part in enumerate(pattern.parts):
        at = ", ".join(str(round(c)) for c in part.rings[0][0])
        turned = f", turned {part.turned_deg}°" if part.turned_deg else ""
        inside = f", out of a notch of {letter_of(part.host)}" if part.host >= 0 else ""
        size = f"{part.width_mm:.0f} × {part.length_mm:.0f}"
        yield f"{indent}{letter_of(k)}  {size} at {at}{turned}{inside}: {marks_of(part.pieces)}"
    if pattern.steps:
        cuts = f"cuts: {'; '.join(map(_step, pattern.steps))}"
        yield from wrap(cuts, _LINE, initial_indent=indent, subsequent_indent=f"{indent}      ")
    for left in pattern.lefts:
        if left.kept:
            at = f"{left.x_mm}, {left.y_mm}"
            yield f"{indent}keep {left.width_mm} × {left.length_mm} at {at}: {', '.join(left.kept)}"


def _step(step: Step) -> str:
    """One cut in words: along a line right across, or the sides of a notch."""
    if step.how == "saw":
        first = step.lines[0]
        corners = [first[:2], *(line[2:] for line in step.lines)]
        return f"{step.number} saw " + " to ".join(f"{x:.0f}, {y:.0f}" for x, y in corners)
    ax, ay, bx, by = step.lines[0]
    low, high, at = (ax, bx, ay) if ay == by else (ay, by, ax)
    return f"{step.number} {'across' if ay == by else 'along'} at {at:.0f} ({low:.0f} to {high:.0f})"


# --- for programs ---------------------------------------------------------------------------------


def answer_json(answer: SheetAnswer) -> str:
    """The plan for programs; sizes in mm, money as in the file."""
    plan, money = answer.plan, money_of(answer.asked)
    found = quality(answer.asked, plan) | {
        "net_mm2": answer.net_mm2,
        "bought_mm2": plan.bought_mm2,
        "bought": [{"width": width, "length": length, "count": n} for (width, length), n in plan.bought],
        "sheets": [
            {
                "number": sheet.board.number,
                "width": sheet.board.width_mm,
                "length": sheet.board.length_mm,
                "source": sheet.board.source,
                "price": money(sheet.board.price),
                "pieces": [_piece(sheet, number) for number in sheet.order.order],
                "cuts": [
                    {"from": [c.x1_mm, c.y1_mm], "to": [c.x2_mm, c.y2_mm], "sawn": c.sawn}
                    for c in sheet.order.cuts
                ],
                "offcuts": [
                    {
                        "x": offcut.x_mm,
                        "y": offcut.y_mm,
                        "width": offcut.width_mm,
                        "length": offcut.length_mm,
                        "left": offcut.left,
                        "right": offcut.right,
                        "mark": mark,
                    }
                    for offcut, mark in zip(sheet.order.offcuts, sheet.kept, strict=True)
                ],
            }
            for sheet in answer.sheets
        ],
    }
    return json.dumps(found, ensure_ascii=False, indent=1)


def _piece(sheet: CutSheet, number: int) -> dict[str, object]:
    place = sheet.board.places[number]
    return {
        "mark": place.mark,
        "x": place.x_mm,
        "y": place.y_mm,
        "width": place.width_mm,
        "length": place.length_mm,
        "turned": place.turned_deg,
        "within": sheet.order.order.index(place.within - 1) + 1 if place.within else 0,
    }
