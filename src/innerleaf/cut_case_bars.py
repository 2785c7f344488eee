"""Bars for `innerleaf cut`: cut, checked on its own, said in words, for programs, and as patterns to draw."""

from __future__ import annotations

import json
import time
from dataclasses import dataclass, replace
from itertools import groupby

from innerleaf.cut_answer import money_of, quality
from innerleaf.cut_file_bars import CutFile
from innerleaf.cutting.assortment import choose_lengths
from innerleaf.cutting.bars import BOUGHT, Bar, BarPlan, BarProblem
from innerleaf.cutting.bars import Piece as BarPiece
from innerleaf.cutting.check_bars import check_bars
from innerleaf.cutting.cuts import Limits
from innerleaf.cutting.phases import cut_bars
from innerleaf.documents.cut_model import BarPart, BarPattern, Piece
from innerleaf.errors import InnerleafError

_MARKS_SHOWN = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class CutAnswer:
    """A file, the problem with the lengths chosen, and the plan, which the checker found right."""

    asked: CutFile
    problem: BarProblem
    plan: BarPlan
    chosen_bound: float | None

    @property
    def net_mm(self) -> int:
        """Length of the pieces. [mm]"""
        return sum(demand.length_mm * demand.count for demand in self.problem.demands)


def run_bars(asked: CutFile, *, seed: int = 0, seconds: float | None = None) -> CutAnswer:
    """Choose lengths if asked to, cut, and check.

    Raises
    ------
    InnerleafError
        The checker does not agree with the plan: a mistake of the program.
    """
    limits = Limits()
    if seconds is not None:
        end = time.monotonic() + seconds
        limits = Limits(go_on=lambda: time.monotonic() < end)
    problem, bound = asked.problem, None
    if asked.choose:
        chosen = choose_lengths(problem, asked.choose[0], charge=asked.choose[1], limits=limits)
        problem, bound = replace(problem, stocks=chosen.stocks), chosen.bound or None
    plan = cut_bars(problem, limits, seed=seed)
    faults = check_bars(plan, problem)
    if faults:
        raise InnerleafError(f"the plan is wrong: {'; '.join(faults[:3])}")
    return CutAnswer(asked=asked, problem=problem, plan=plan, chosen_bound=bound)


# --- for people -----------------------------------------------------------------------------------


def answer_text(answer: CutAnswer) -> str:
    """The plan as a foreman reads it: what to buy, how good that is, bar by bar."""
    plan = answer.plan
    lines = ["To buy"]
    lines += [f"  {count:>6} × {length} mm" for length, count in plan.bought] or ["  nothing"]
    lines += ["", *_quality(answer), ""]
    phases = sorted({bar.phase for bar in plan.bars})
    for phase in phases:
        lines.append(f"Cuts, phase {phase}" if len(phases) > 1 else "Cuts")
        for _, group in groupby((bar for bar in plan.bars if bar.phase == phase), key=_alike):
            lines += _bars(list(group))
    return "\n".join(lines)


def _quality(answer: CutAnswer) -> list[str]:
    plan, net = answer.plan, answer.net_mm
    what = "cost" if answer.asked.priced else "length bought"
    lines = [
        f"{what} {_amount(answer, plan.cost)}; no plan can do with less than {_amount(answer, plan.bound)}"
        f" (gap {plan.gap:.3%}, {plan.stopped_by})",
        f"bars {len(plan.bars)}, patterns {plan.patterns}, pieces {net / 1000:,.3f} m",
    ]
    if plan.bought_mm:
        kept = sum(bar.remainder_mm for bar in plan.bars if bar.kept)
        used = f", of which {kept / 1000:,.3f} m are kept as remainders" if kept else ""
        lines.append(
            f"bought {plan.bought_mm / 1000:,.3f} m, {plan.bought_mm / net - 1:.2%} over the pieces{used}"
        )
    if answer.chosen_bound is not None:
        lengths = ", ".join(str(s.length_mm) for s in answer.problem.stocks if s.limit is None)
        least = _amount(answer, round(answer.chosen_bound))
        lines.append(f"lengths chosen: {lengths} mm; with any choice of those offered at least {least}")
    return lines


def _amount(answer: CutAnswer, value: int) -> str:
    if not answer.asked.priced:
        return f"{value / 1000:,.3f} m"
    return f"{value / 10**answer.asked.decimals:,.{max(2, answer.asked.shown)}f}"


def _alike(bar: Bar) -> tuple[object, ...]:
    lengths = tuple(piece.length_mm for piece in bar.pieces)
    return bar.length_mm, bar.source if bar.source != BOUGHT else "", lengths


def _bars(bars: list[Bar]) -> list[str]:
    bar = bars[0]
    parts = [f"{len(list(g))} × {length}" for length, g in groupby(p.length_mm for p in bar.pieces)]
    rest = f"rest {bar.remainder_mm}{' kept' if bar.kept else ''}"
    what = "" if bar.source == BOUGHT else f" ({bar.source})"
    numbers = f"{bars[0].number}" if len(bars) == 1 else f"{bars[0].number} to {bars[-1].number}"
    marks = [_mark(piece) for one in bars for piece in one.pieces]
    several = [mark if (n := len(list(g))) == 1 else f"{n} × {mark}" for mark, g in groupby(sorted(marks))]
    shown = ", ".join(several[:_MARKS_SHOWN])
    more = f" and {len(several) - _MARKS_SHOWN} more" if len(several) > _MARKS_SHOWN else ""
    cut = f"{len(bars):>6} × {bar.length_mm} mm{what}: {' + '.join(parts)}, {rest}"
    return [cut, f"{'':>9}bar {numbers}: {shown}{more}"]


# --- for programs ---------------------------------------------------------------------------------


def answer_json(answer: CutAnswer) -> str:
    """The plan for programs; lengths in mm, money as in the file."""
    plan, money = answer.plan, money_of(answer.asked)
    found = quality(answer.asked, plan) | {
        "net_mm": answer.net_mm,
        "bought_mm": plan.bought_mm,
        "bought": [{"length": length, "count": count} for length, count in plan.bought],
        "patterns": plan.patterns,
        "chosen_bound": None if answer.chosen_bound is None else money(round(answer.chosen_bound)),
        "bars": [
            {
                "number": bar.number,
                "phase": bar.phase,
                "length": bar.length_mm,
                "source": bar.source,
                "price": money(bar.price),
                "pieces": [
                    {"mark": piece.mark, "length": piece.length_mm, "part": piece.part}
                    for piece in bar.pieces
                ],
                "remainder": bar.remainder_mm,
                "kept": bar.kept,
            }
            for bar in plan.bars
        ],
    }
    return json.dumps(found, ensure_ascii=False, indent=1)


# --- as a drawing ---------------------------------------------------------------------------------


def bar_patterns(answer: CutAnswer) -> list[BarPattern]:
    """Bars cut alike as the cut list draws them; remainders that are kept get a mark each."""
    plan = answer.plan
    phases = {bar.phase for bar in plan.bars}
    kept = 0
    patterns = []
    for _, group in groupby(plan.bars, key=lambda bar: (bar.phase, *_alike(bar))):
        bars = list(group)
        first, marks = bars[0], []
        for _bar in bars if first.kept else ():
            kept += 1
            marks.append(f"K-{kept}")
        parts = [
            BarPart(length_mm=pieces[0].length_mm, pieces=tuple(Piece(_mark(piece)) for piece in pieces))
            for pieces in zip(*(bar.pieces for bar in bars), strict=True)
        ]
        begin = first.trim_mm // 2
        patterns.append(
            BarPattern(
                item="",
                stock_mm=first.length_mm,
                numbers=tuple(bar.number for bar in bars),
                kerf_mm=answer.problem.kerf_mm,
                parts=tuple(parts),
                rest_mm=first.remainder_mm,
                kept=tuple(marks),
                trim_mm=begin,
                source="" if first.source == BOUGHT else first.source,
                heading=f"Phase {first.phase}" if len(phases) > 1 else "",
            )
        )
    return patterns


def _mark(piece: BarPiece) -> str:
    return f"{piece.mark} part {piece.part}" if piece.part else piece.mark
