"""What the JSON side takes and gives of rooms: their places on plan, and their pieces in space."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from innerleaf.web.answers import Number


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class PlaceAsked(_Part):
    """Where a room lies on the plan of its storey, or of its flat."""

    x: Annotated[int, Field(ge=-1_000_000, le=1_000_000)]
    y: Annotated[int, Field(ge=-1_000_000, le=1_000_000)]
    turn: Annotated[float, Field(ge=-360, le=360)] = 0.0


class PlacesAsked(_Part):
    """Places of rooms by id, changed in revision ``base``; null takes a place away."""

    base: Number
    places: Annotated[dict[str, PlaceAsked | None], Field(min_length=1, max_length=1_000)]


class RoomOnPlan(_Part):
    """A room on plan; x, y and turn are as the job file writes them, the box as the drawing has it. [mm]

    ``area`` and ``missed`` (by how much sides missed closing, "" if they did not) are as people read them.
    """

    id: str
    name: str
    flat: str
    x: int
    y: int
    turn: float
    given: bool
    area_m2: float
    area: str
    basis: str
    missed: str
    box: tuple[int, int, int, int]


class StoreyAnswer(_Part):
    """A storey on plan, as a drawing and in figures."""

    name: str
    drawing: str
    rooms: list[RoomOnPlan]
    clashes: list[list[str]]
    left_out: list[str]


class PlanAnswer(_Part):
    """All storeys of a revision on plan."""

    revision: int
    storeys: list[StoreyAnswer]


class LookLayer(_Part):
    """Pieces of a wall that are switched together, in whole mm.

    ``solids`` are eights: x from and to along the wall, underside at both, top at both, depth from and to.
    ``edges`` are outlines: depth, then x and y of each corner. ``points``: x, y and depth of screws.
    """

    name: str
    step: int
    solids: list[int]
    edges: list[list[int]]
    points: list[int]


class LookWall(_Part):
    """A wall in its room: where its x = 0 lies on plan, and which way it goes; the room is to the right."""

    id: str
    origin: list[int]
    along: list[float]
    layers: list[LookLayer]


class LookAnswer(_Part):
    """A room in space; ``before`` and ``after`` are its outlines on plan without and with linings.

    The floors are solids like those of a wall, x and y on plan, depth up.
    """

    revision: int
    room: str
    height: int
    before: list[int]
    after: list[int]
    floor_before: list[int]
    floor_after: list[int]
    before_m2: float
    after_m2: float
    walls: list[LookWall]
