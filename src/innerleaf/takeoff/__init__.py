"""From placed pieces to quantities: what is there, what to buy for it, what is cut from what."""

from innerleaf.takeoff.model import CutBar, CutBoard, CutPiece, Line, Pack, Purchase, Share, Takeoff
from innerleaf.takeoff.rates import COMMON_RATES, Rates
from innerleaf.takeoff.take import take_off

__all__ = [
    "COMMON_RATES",
    "CutBar",
    "CutBoard",
    "CutPiece",
    "Line",
    "Pack",
    "Purchase",
    "Rates",
    "Share",
    "Takeoff",
    "take_off",
]
