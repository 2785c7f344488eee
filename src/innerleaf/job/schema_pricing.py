"""The shape of a job file where it speaks of the price: for whom, until when, on what terms."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from innerleaf.job.schema_site import Part
from innerleaf.job.words import Day, Id, Line, Number

Percent = Annotated[float, Number(0, 100, "%")]
Money = Annotated[float, Number(0, 100_000_000)]
_Lines = Annotated[tuple[Line, ...], Field(max_length=50)]


class Client(Part):
    """Who asked for the price."""

    name: Line = Field(description="person or firm")
    address: Annotated[tuple[Line, ...], Field(max_length=6)] = Field((), description="line by line")


class MarginFields(Part):
    """The margin of this job."""

    percent: Percent = Field(description="[%]")
    of: Literal["cost", "price"] = Field("price", description="what it is a share of: cost or price; price")


class Discount(Part):
    """Something taken off the price; either in per cent or as an amount."""

    text: Line = Field(description="what the client reads")
    percent: Percent | None = Field(None, description="of the price before any discount [%]")
    amount: Money | None = Field(None, description="[currency of the rates]")
    reason: Line = Field(description="why, for the internal sheet")


class FreeLine(Part):
    """A cost that no wall shows: something extra, before overhead and margin."""

    text: Line = Field(description="what it is")
    quantity: Annotated[float, Number(0, 1_000_000)] = Field(1, description="how many units: 1")
    unit: Line = Field("sum", description="what is counted: sum")
    each: Money = Field(description="cost of one unit [currency of the rates]")
    wall: Id | None = Field(None, description="wall that it belongs to; left out: all walls")
    reason: Line = Field(description="why, for the internal sheet")


class RiskLine(Part):
    """Money set aside for what may happen."""

    text: Line = Field(description="what may happen")
    amount: Money = Field(description="[currency of the rates]")
    reason: Line = Field(description="why so much")


class Pricing(Part):
    """What a price and its quotation need beyond walls and rates."""

    client: Client | None = Field(None, description="for whom; left out: not named")
    number: Line = Field("", description="of the quotation")
    date: Annotated[str, Day()] | None = Field(None, description="of the quotation, such as 2026-02-27")
    valid_days: Annotated[int, Number(1, 3_650, whole=True)] | None = Field(
        None, description="how long the offer holds; left out: as the rates say"
    )
    margin: MarginFields | None = Field(None, description="left out: as the rates say")
    overhead: Percent | None = Field(None, description="of the cost; left out: as the rates say [%]")
    vat: Percent | None = Field(None, description="left out: as the rates say for the date [%]")
    carried: dict[Line, Annotated[int, Number(0, 200, whole=True)]] = Field(
        {}, description="by storey of the rooms: storeys that material is carried up by hand; left out: none"
    )
    discounts: Annotated[tuple[Discount, ...], Field(max_length=20)] = ()
    extras: Annotated[tuple[FreeLine, ...], Field(max_length=200)] = ()
    risks: Annotated[tuple[RiskLine, ...], Field(max_length=50)] = ()
    included: _Lines = Field((), description="further sentences on what is included")
    not_included: _Lines = Field((), description="further sentences on what is not")
    terms: _Lines = Field((), description="further terms")
