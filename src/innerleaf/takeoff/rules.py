"""How a job is bought: what comes in which delivery, how many lengths, which offcuts lie there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from innerleaf.layout.pieces import WallPlan

BatchWord = Literal["building", "storey", "room"]
PROFILE, BOARD = "profile", "board"


@dataclass(frozen=True, slots=True, kw_only=True)
class InHand:
    """An offcut that lies there: of a bar by its length, of a board by its sides and factory edges.

    ``price`` is what taking it counts, where one that is bought counts its length (mm) or area (mm²).
    """

    item: str
    mark: str
    length_mm: int
    width_mm: int = 0
    left_bound: bool = False
    right_bound: bool = False
    count: int = 1
    price: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyingRules:
    """How a job is bought.

    ``batch_of``: number of the delivery for a wall, 0 the first and for walls left out; what is cut for a
    wall comes from that delivery or from what was left of earlier ones. ``most_lengths``: how many lengths of
    an article are ordered at most, by article or for every "profile" or "board"; 0 or left out: any number.
    """

    batch_of: Mapping[str, int] = field(default_factory=dict)
    most_lengths: Mapping[str, int] = field(default_factory=dict)
    in_hand: tuple[InHand, ...] = ()

    def most(self, item: str, kind: str) -> int:
        """How many lengths of an article may be ordered, 0: any number."""
        return self.most_lengths.get(item, self.most_lengths.get(kind, 0))

    def batches(self, walls: Sequence[str]) -> int:
        """How many deliveries some walls come in."""
        return len({self.batch_of.get(wall, 0) for wall in walls})


COMMON_RULES = BuyingRules()


def batches_by(word: BatchWord, plans: Sequence[WallPlan], storeys: Sequence[str] = ()) -> dict[str, int]:
    """The delivery of each wall: one for the building, or one for each storey or room, as the work goes.

    The order is that of ``storeys``, then that in which the walls come.
    """
    if word == "building":
        return {}
    places = [
        plan.wall.storey if word == "storey" else f"{plan.wall.storey}/{plan.wall.room}" for plan in plans
    ]
    rank = {storey: number for number, storey in enumerate(storeys)}
    first = {plan.wall.storey: len(rank) for plan in plans} | rank
    order = sorted(
        dict.fromkeys(zip((plan.wall.storey for plan in plans), places, strict=True)),
        key=lambda place: first[place[0]],
    )
    number = {place: at for at, (_, place) in enumerate(order)}
    return {plan.wall.id: number[place] for plan, place in zip(plans, places, strict=True)}
