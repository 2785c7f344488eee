"""What remains to be cut of a job that is partly built, as values and as papers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from innerleaf.cost.model import Order
from innerleaf.documents.cut_list import CutList, cut_list
from innerleaf.documents.cut_papers import cut_files
from innerleaf.documents.labels_page import label_files, labels_of
from innerleaf.documents.title import TitleBlock
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.revise.recut import Issued, Recut, Rest, recut
from innerleaf.revise.stock import ALL, Held, bought_of
from innerleaf.revise.stock_cut import Stocked
from innerleaf.site.replan import AsBuilt
from innerleaf.takeoff.model import CutBar, CutBoard, Takeoff
from innerleaf.takeoff.rules import COMMON_RULES, BuyingRules, InHand


def remaining(
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    stood: Sequence[AsBuilt],
    practice: Practice,
    *,
    rules: BuyingRules = COMMON_RULES,
    order: Order | None = None,
    held: Held | None = None,
) -> Recut:
    """Nest again what is still to be cut of an issued plan.

    Parameters
    ----------
    plans, takeoff
        As issued, with its cut list.
    stood : sequence of AsBuilt
        Its walls as far as they are built.
    rules : BuyingRules
        How the job buys, with its offcuts in hand.
    order : Order, optional
        Of the issued plan.
    held : Held, optional
        What is bought; left out: the whole order, or without one every bar and board of the cut list.
    """
    kept = cut_list(plans, takeoff, practice.rules).kept
    rests = [
        Rest(
            one.number,
            InHand(
                item=one.item,
                mark=one.mark,
                length_mm=one.length_mm,
                width_mm=one.width_mm,
                left_bound="left" in one.edges,
                right_bound="right" in one.edges,
            ),
        )
        for one in kept
    ]
    issued = Issued(plans=plans, takeoff=takeoff, rules=rules, rests=rests)
    return recut(issued, stood, _bought(takeoff, practice, order, held), practice)


def _bought(
    takeoff: Takeoff, practice: Practice, order: Order | None, held: Held | None
) -> dict[Stocked, float]:
    if held is None and order is None:
        stocks: list[CutBar | CutBoard] = [*takeoff.bars, *takeoff.boards]
        counts = Counter((stock.item, stock.stock_mm) for stock in stocks if not stock.source)
        return {key: float(count) for key, count in counts.items()}
    return bought_of(held or Held(deliveries=(ALL,), built={}), order, practice)


def cut_list_of(left: Recut, practice: Practice) -> CutList:
    """The cut list of what remains."""
    return cut_list(left.plans, left.takeoff, practice.rules, first_offcut=left.first_offcut)


def remaining_files(
    left: Recut, practice: Practice, title: TitleBlock, pages: str = ""
) -> list[tuple[str, Callable[[], bytes]]]:
    """Names of the papers of what remains, cut list and labels, and what makes each; none if nothing does."""
    cut = cut_list_of(left, practice)
    if not cut.bars and not cut.boards:
        return []
    return [*cut_files(cut, title), *label_files(labels_of(left.plans, cut, pages), practice.rules, title)]


def words_of(left: Recut) -> list[str]:
    """What remains to be cut, in short."""
    stocks: list[CutBar | CutBoard] = [*left.takeoff.bars, *left.takeoff.boards]
    pieces = sum(len(stock.pieces) for stock in stocks)
    if not pieces:
        return ["Nothing is left to be cut."]
    told = [f"Still to be cut: {pieces} pieces."]
    if left.lying:
        told.append(f"Cut already, to be put up: {len(left.lying)} pieces.")
    more = ", ".join(f"{count} × {item} {length}" for (item, length), count in left.more.items())
    told.append(f"To be bought for it: {more}." if more else "What is in hand will do for it.")
    return told
