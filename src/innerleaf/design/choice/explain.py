"""Trades in plain words: what one option gives and takes against the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from innerleaf.design.choice.criteria import Criterion


def trade(one: Mapping[str, float], other: Mapping[str, float], criteria: Sequence[Criterion]) -> str:
    """How one option differs from another: "12 mm thinner, 3.1 dB less, 41.20 EUR cheaper"."""
    words = [difference(c, one[c.key], other[c.key]) for c in criteria if c.key in one and c.key in other]
    return ", ".join(word for word in words if word) or "no difference"


def difference(criterion: Criterion, one: float, other: float) -> str:
    """How one figure differs from another; "" if by less than a step, or if either is not known."""
    if not (np.isfinite(one) and np.isfinite(other)):
        return ""
    steps = round((one - other) / criterion.step)
    if steps == 0:
        return ""
    better = (steps < 0) == criterion.less_is_better
    amount = criterion.show(abs(steps) * criterion.step)
    word = criterion.better if better else criterion.worse
    return f"{amount} {_plain(criterion, word)}"


def _plain(criterion: Criterion, word: str) -> str:
    """A word that needs its noun gets it: "0.02 W/(m²·K) less U-value"."""
    nouns = {
        "u_value": "U-value",
        "hours": "labour",
        "carbon": "carbon",
        "frsi": "temperature factor",
        "sound_gain": "sound improvement",
        "waste": "waste",
        "floor": "floor lost",
    }
    noun = nouns.get(criterion.key)
    return f"{word} {noun}" if noun else word
