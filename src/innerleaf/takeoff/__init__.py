"""From placed pieces to quantities: what is there, what to buy for it, what is cut from what."""

from innerleaf.takeoff.model import CutBar, CutBoard, CutPiece, Line, Pack, Purchase, Share, Takeoff
from innerleaf.takeoff.rates import COMMON_RATES, Rates
from innerleaf.takeoff.rules import COMMON_RULES, BuyingRules, InHand, batches_by
from innerleaf.takeoff.take import take_off

__all__ = [
    "COMMON_RATES",
    "COMMON_RULES",
    "BuyingRules",
    "CutBar",
    "CutBoard",
    "CutPiece",
    "InHand",
    "Line",
    "Pack",
    "Purchase",
    "Rates",
    "Share",
    "Takeoff",
    "batches_by",
    "take_off",
]
