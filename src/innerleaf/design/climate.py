"""The climate of a site as verdicts need it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SiteClimate:
    """Monthly means outside, January first: temperature [degC], relative humidity [0 to 1]."""

    temperature: tuple[float, ...]
    humidity: tuple[float, ...]
