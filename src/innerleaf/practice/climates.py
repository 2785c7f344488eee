"""Climates by month to begin with, until those of the place are known."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from innerleaf.reading import read_file

MONTHLY = ("temperature", "humidity", "rain", "wind")


@dataclass(frozen=True, slots=True, kw_only=True)
class TypicalClimate:
    """Months of a kind of place, January first: [degC], [%], [mm], [m/s], with their source."""

    id: str
    title: str
    source: str
    temperature: tuple[float, ...]
    humidity: tuple[float, ...]
    rain: tuple[float, ...]
    wind: tuple[float, ...]

    def as_written(self) -> dict[str, list[float]]:
        """As a job file writes a climate."""
        return {name: [*getattr(self, name)] for name in MONTHLY}


@cache
def typical_climates() -> dict[str, TypicalClimate]:
    """All of them by id.

    Raises
    ------
    FileFaults
        The package's own file is broken.
    """
    told = read_file(Path(__file__).parent / "climates.yaml").checked().value["climates"]
    return {
        key: TypicalClimate(
            id=key,
            title=said["title"],
            source=said["source"],
            temperature=tuple(said["temperature"]),
            humidity=tuple(said["humidity"]),
            rain=tuple(said["rain"]),
            wind=tuple(said["wind"]),
        )
        for key, said in told.items()
    }
