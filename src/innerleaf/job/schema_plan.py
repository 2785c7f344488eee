"""The shape of a job file where it speaks of plan: where a room lies on its storey, and its sides."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from innerleaf.job.schema_site import Part
from innerleaf.job.words import Id, Number, Place, Size

Turn = Annotated[float, Number(-360, 360, "degrees")]


class RoomPlace(Part):
    """Where a room lies on the plan of its storey; in a flat type, on the plan of the flat."""

    x: Place = Field(description="of its first corner, to the right on the plan [mm]")
    y: Place = Field(description="of its first corner, up the plan [mm]")
    turn: Turn = Field(0.0, description="of its first side, clockwise from pointing to the right [degrees]")


class RoomSide(Part):
    """One side of a room, from its left end to its right end as one looks at it."""

    length: Size | None = Field(None, description="left out: that of its wall [mm]")
    turn: Turn = Field(90.0, description="how far one turns to the right at its end [degrees]")
    wall: Id | None = Field(None, description="id of the wall on this side; left out: none that is lined")
    beyond: Id | None = Field(None, description="id of the room on the other side")


Sides = Annotated[tuple[RoomSide, ...], Field(min_length=3, max_length=60)]
