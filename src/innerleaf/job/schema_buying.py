"""The shape of a job file where it speaks of buying; `docs/buying.md` says what is made of it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from innerleaf.job.schema_site import Part
from innerleaf.job.words import Id, Length, Line, Number

BatchesWord = Literal["building", "storey", "room"]
DeliveriesWord = Literal["building", "storeys", "storeys and phases"]
Amount = Annotated[float, Number(0.001, 1_000_000)]
Count = Annotated[int, Number(1, 1_000_000, whole=True)]
Kilograms = Annotated[float, Number(1, 100_000, "kg")]
Share = Annotated[float, Number(0, 1)]


class InHand(Part):
    """Something that is in the van or the store already."""

    article: Id = Field(description="article of the practice set")
    length: Annotated[int, Length(10, 100_000)] | None = Field(
        None, description="of the bars or boards, as bought; no offcuts [mm]"
    )
    count: Count | None = Field(None, description="bars, boards, slabs, rolls of membrane or pieces")
    amount: Amount | None = Field(None, description="of what goes by length or mass [m or kg]")


class Offcut(Part):
    """An offcut that lies in the store: of a bar by its length, of a board by both sides."""

    article: Id = Field(description="profile or board of the practice set")
    mark: Line = Field(description="what is written on it")
    length: Annotated[int, Length(50, 100_000)] = Field(description="of a board along its factory edges [mm]")
    width: Annotated[int, Length(50, 10_000)] | None = Field(None, description="of a board only [mm]")
    edges: Literal["none", "left", "right", "both"] = Field(
        "none", description="which long edges of a board are factory edges: none"
    )
    count: Count = Field(1, description="of one kind: 1")


class Allowance(Part):
    """What is bought beyond what is needed, and why."""

    share: Share | None = Field(None, description="of what is needed: 0.05 for five in a hundred")
    amount: Amount | None = Field(None, description="bars, boards, slabs, rolls, pieces; else m or kg")
    reason: Line = Field(description="stands in the order beside it")


class Lift(Part):
    """What brings material up to a storey, and what that storey bears."""

    most_kg: Kilograms = Field(description="that go up at a time [kg]")
    floor_kg: Kilograms | None = Field(None, description="that may be set down in one place [kg]")


class Buying(Part):
    """How the material of this job is bought."""

    in_hand: Annotated[tuple[InHand, ...], Field(max_length=1_000)] = Field(
        (), description="what there is already"
    )
    offcuts: Annotated[tuple[Offcut, ...], Field(max_length=2_000)] = Field(
        (), description="bars and boards left over from elsewhere, cut from before anything is bought"
    )
    batches: BatchesWord = Field(
        "building", description="what is cut comes from what has arrived for the building, storey or room"
    )
    most_lengths: dict[Id, Annotated[int, Number(1, 20, whole=True)]] = Field(
        {}, description="most lengths to order, by article or for every `profile` or `board`"
    )
    allowances: dict[Id, Allowance] = Field({}, description="by article: what is bought beyond the need")
    deliveries: DeliveriesWord = Field("building", description="what comes together: building")
    storeys: Annotated[tuple[Line, ...], Field(max_length=500)] = Field(
        (), description="in the order of the work; left out: as walls of the job name them"
    )
    lifts: dict[Line, Lift] = Field({}, description="by storey; one that is left out needs no lift")
    leave_out: Annotated[tuple[Line, ...], Field(max_length=100)] = Field(
        (), description="suppliers from whom nothing is bought"
    )
    prefer: dict[Line, Share] = Field(
        {}, description="by supplier: the share by which his prices count as lower in the choice"
    )
    order_date: Line = Field(
        "", description="day of the order, such as 2026-02-02: offers that have ended are left out"
    )
