"""From what a job says of buying to the rules of its takeoff."""

from __future__ import annotations

from collections.abc import Sequence

from innerleaf.job.schema_buying import Buying
from innerleaf.layout.pieces import WallPlan
from innerleaf.takeoff.rules import BuyingRules, InHand, batches_by


def rules_of(buying: Buying, plans: Sequence[WallPlan]) -> BuyingRules:
    """How the job wants its bars and boards ordered and cut."""
    offcuts = tuple(
        InHand(
            item=offcut.article,
            mark=offcut.mark,
            length_mm=offcut.length,
            width_mm=offcut.width or 0,
            left_bound=offcut.edges in ("left", "both"),
            right_bound=offcut.edges in ("right", "both"),
            count=offcut.count,
        )
        for offcut in buying.offcuts
    )
    batch_of = batches_by(buying.batches, plans, buying.storeys)
    return BuyingRules(batch_of=batch_of, most_lengths=buying.most_lengths, in_hand=offcuts)
