"""The shape of a job file where it speaks of sound: a wall between two rooms, and what surrounds it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from innerleaf.job.schema_site import Part
from innerleaf.job.words import Extent, Id, Number

# Words of `physics.sound.junctions`; a test holds the two together.
JunctionWord = Literal[
    "rigid cross",
    "rigid T",
    "flexible flank",
    "flexible wall",
    "light facade",
    "double-leaf flank",
    "double-leaf wall",
    "double-leaf both",
]
Area = Annotated[float, Number(0.1, 10_000, "m²")]
Gain = Annotated[float, Number(-20, 50, "dB")]


class Flank(Part):
    """A floor, ceiling or side wall along which sound goes round the wall."""

    mass: Annotated[float, Number(1, 3_000, "kg/m²")] | None = Field(
        None, description="without linings; left out: that of its construction [kg/m²]"
    )
    construction: Id | None = Field(None, description="one of `constructions`, for its mass")
    junction: JunctionWord | None = Field(None, description="how flank and wall meet")
    area: Area | None = Field(None, description="of the flank in this room [m²]")
    length: Extent | None = Field(
        None, description="of the edge at which they meet; left out: the wall's width or height [mm]"
    )
    rw: Annotated[float, Number(10, 100, "dB")] | None = Field(
        None, description="sound reduction of the flank alone; left out: by `law` [dB]"
    )
    law: Id | None = Field(None, description="mass law of the practice data that gives it")
    gain: Gain | None = Field(None, description="improvement by a lining on it in this room: 0 [dB]")
    gain_beyond: Gain | None = Field(None, description="the same in the other room: 0 [dB]")


class Flanks(Part):
    """What surrounds a wall between two rooms."""

    floor: Flank | None = None
    ceiling: Flank | None = None
    left: Flank | None = None
    right: Flank | None = None


class Separates(Part):
    """That a wall parts two rooms, for what sound does between them."""

    area: Area | None = Field(None, description="of the wall that both share; left out: all of it [m²]")
    volume: Annotated[float, Number(1, 100_000, "m³")] | None = Field(
        None, description="of this room, for DnT,w [m³]"
    )
    flanks: Flanks | None = Field(None, description="floor, ceiling, left and right")
