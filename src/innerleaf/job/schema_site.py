"""The shape of a job file where it speaks of the site and the firm; `schema` has the rest."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from innerleaf.job.words import Address, Direction, Id, Line, Months, Number


class Part(BaseModel):
    """A part of the file: no unknown fields, never changed once read."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Climate(Part):
    """The design climate of the place, month by month from January."""

    temperature: Annotated[tuple[float, ...], Months(-60, 60, "°C")] = Field(
        description="mean outdoor temperature of each month, January first [°C]"
    )
    humidity: Annotated[tuple[float, ...], Months(0, 100, "%")] | None = Field(
        None, description="mean outdoor relative humidity of each month [%]"
    )
    sun: Annotated[tuple[float, ...], Months(0, 500, "W/m²")] | None = Field(
        None, description="mean irradiance on level ground, night included [W/m²]; needs `latitude`"
    )
    rain: Annotated[tuple[float, ...], Months(0, 2_000, "mm")] | None = Field(
        None, description="rain of each month [mm]; needs `wind`"
    )
    wind: Annotated[tuple[float, ...], Months(0, 40, "m/s")] | None = Field(
        None, description="mean wind speed of each month [m/s]"
    )
    wind_from: Annotated[int, Direction()] = Field(
        240, description="where the wind mostly comes from: 240 [degrees from north]"
    )


class Site(Part):
    """The building and where it stands."""

    name: Line = Field(description="name of the building")
    place: Line = Field("", description="where it stands")
    practice: Id = Field("en_metric", description="practice set: the rules and the catalogue that hold")
    climate: Climate | None = Field(None, description="design climate by month")
    weather: Line = Field("", description="EPW file with a year of hourly weather, beside the job file")
    latitude: Annotated[float, Number(-66, 66, "degrees")] | None = Field(
        None, description="of the site, north positive, for the sun of an hourly climate made from months"
    )
    pages: Annotated[str, Address()] = Field(
        "", description="address where the firm puts the folder of the plan; codes on labels lead there"
    )


class Firm(Part):
    """Who builds, with the firm's own rules and prices."""

    name: Line = Field("", description="name of the firm")
    practice: Line = Field(
        "", description="file with the firm's changes to the practice set, beside the job file"
    )
    prices: Line = Field("", description="file with the firm's price list, beside the job file")
    supply: Line = Field("", description="file with what can be bought from whom, beside the job file")
    rates: Line = Field(
        "", description="file with the firm's rates of labour, plant and mark-ups, beside the job file"
    )
