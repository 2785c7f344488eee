"""Fewer patterns at the same cost: every new pattern is a new setting of the stop."""

from __future__ import annotations

from innerleaf.cutting.bars_whole import Whole
from innerleaf.cutting.columns import Batch
from innerleaf.cutting.cuts import Cut


def fewer_patterns(batch: Batch, whole: Whole) -> tuple[Cut, ...]:
    return whole.cuts
