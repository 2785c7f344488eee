"""The EPW text of hourly weather, an open format: header lines, then a line for each hour.

Lines in, `Weather` out; files are opened in `weather_file.py`. Everything that is wrong is said at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from innerleaf.errors import FileFaults
from innerleaf.physics.monthly import DAYS
from innerleaf.physics.weather import HOURS, Weather

Values = NDArray[np.float64]

HEADER_LINES: Final = 8
LEAST_COLUMNS: Final = 22  # up to the wind; rain stands far behind and is often left out
LONGEST_GAP: Final = 6  # hours that a straight line may bridge
MOST_FAULTS: Final = 20
RAIN_COLUMN: Final = 33


@dataclass(frozen=True, slots=True, kw_only=True)
class _Column:
    name: str
    index: int
    low: float
    high: float
    missing: float  # from here on the value stands for none
    unit: str
    needed: bool


_COLUMNS: Final = (
    _Column(name="dry bulb temperature", index=6, low=-70, high=60, missing=99.9, unit="°C", needed=True),
    _Column(name="relative humidity", index=8, low=0, high=110, missing=999, unit="%", needed=True),
    _Column(name="sky radiation", index=12, low=0, high=700, missing=9999, unit="W/m²", needed=False),
    _Column(
        name="direct normal radiation", index=14, low=0, high=1500, missing=9999, unit="W/m²", needed=False
    ),
    _Column(name="diffuse radiation", index=15, low=0, high=1000, missing=9999, unit="W/m²", needed=False),
    _Column(name="wind direction", index=20, low=0, high=360, missing=999, unit="degrees", needed=False),
    _Column(name="wind speed", index=21, low=0, high=60, missing=999, unit="m/s", needed=False),
    _Column(name="rain", index=RAIN_COLUMN, low=0, high=500, missing=999, unit="mm", needed=False),
)


def parse_epw(lines: Sequence[str], name: str = "weather file") -> Weather:
    """Read the lines of an EPW file.

    Parameters
    ----------
    lines : sequence of str
        With or without line ends.
    name : str
        What faults call the file.

    Returns
    -------
    Weather
        29 February of a leap year is left out. Gaps of at most six hours are bridged by a straight line, for
        the direction of the wind by the hour before; sun, sky, wind or rain with a longer gap count
        as not given.

    Raises
    ------
    FileFaults
        The file is cut short, has lines out of order or too short, values no weather has, or temperature or
        humidity missing for more than six hours. Each fault names the line.
    """
    faults: list[str] = []
    head = _header(lines, name, faults)
    rows = [(number, line) for number, line in enumerate(lines, 1) if number > HEADER_LINES and line.strip()]
    hours: dict[int, tuple[int, list[str]]] = {}
    for number, line in rows:
        cells = line.strip().split(",")
        if len(cells) < LEAST_COLUMNS:
            faults.append(
                f"{name}, line {number}: {len(cells)} columns, at least {LEAST_COLUMNS} are needed"
                " (up to the wind speed)."
            )
            continue
        _place(cells, number, name, hours, faults)
    if len(rows) < HOURS:
        last = rows[-1][0] if rows else min(len(lines), HEADER_LINES)
        faults.append(
            f"{name}: cut short after line {last}: {len(rows)} hours, a whole year of {HOURS} is needed."
        )
    elif not faults and len(hours) < HOURS:
        faults.append(f"{name}: {len(hours)} of {HOURS} hours of the year, each is needed once.")
    ordered = [hours[hour] for hour in sorted(hours)]
    found = {column.name: _read(column, ordered, name, faults) for column in _COLUMNS}
    if faults:
        raise FileFaults(_first(faults))
    temperature, humidity = found["dry bulb temperature"], found["relative humidity"]
    assert temperature is not None
    assert humidity is not None
    return Weather(
        place=head[0],
        latitude=head[1],
        longitude=head[2],
        zone=head[3],
        temperature=temperature,
        humidity=np.minimum(humidity / 100, 1.0),
        wind=found["wind speed"],
        wind_from=found["wind direction"],
        sun_direct=found["direct normal radiation"],
        sun_diffuse=found["diffuse radiation"],
        sky=found["sky radiation"],
        rain=found["rain"],
        estimate=False,
        source=name,
    )


def _header(lines: Sequence[str], name: str, faults: list[str]) -> tuple[str, float, float, float]:
    """Place, latitude, longitude, zone of the first line."""
    cells = lines[0].strip().split(",") if lines else []
    if not cells or cells[0].strip().upper() != "LOCATION":
        faults.append(
            f"{name}, line 1: begins with {(cells or [''])[0][:30]!r}, an EPW file begins with LOCATION."
        )
        return "", 0.0, 0.0, 0.0
    numbers = []
    for index, what, limit in ((6, "latitude", 90.0), (7, "longitude", 180.0), (8, "time zone", 14.0)):
        given = cells[index] if len(cells) > index else ""
        value = _number(given)
        if value is None or not abs(value) <= limit:
            faults.append(
                f"{name}, line 1: {what} is {given!r}, a number from {-limit:g} to {limit:g} is needed."
            )
            value = 0.0
        numbers.append(value)
    return cells[1].strip(), numbers[0], numbers[1], numbers[2]


def _place(
    cells: list[str], number: int, name: str, hours: dict[int, tuple[int, list[str]]], faults: list[str]
) -> None:
    """Put a line at its hour of the year."""
    month, day, hour = (int(cell) if cell.strip().isdigit() else 0 for cell in cells[1:4])
    if month == 2 and day == 29:
        return
    if not (1 <= month <= 12 and 1 <= day <= DAYS[month - 1] and 1 <= hour <= 24):
        faults.append(
            f"{name}, line {number}: month, day, hour are {', '.join(cells[1:4])};"
            " a date of the year and an hour from 1 to 24 are needed."
        )
        return
    at = (sum(DAYS[: month - 1]) + day - 1) * 24 + hour - 1
    if at in hours:
        faults.append(f"{name}, line {number}: the same hour as line {hours[at][0]}.")
        return
    hours[at] = (number, cells)


def _read(column: _Column, rows: list[tuple[int, list[str]]], name: str, faults: list[str]) -> Values | None:
    """The hours of a column, short gaps bridged; None if it is not given throughout."""
    values = np.full(len(rows), np.nan)
    for at, (number, cells) in enumerate(rows):
        given = cells[column.index].strip() if len(cells) > column.index else ""
        value = _number(given)
        if value is None and given:
            faults.append(f"{name}, line {number}: {column.name} is {given!r}, a number is needed.")
        elif value is not None and value < column.missing:
            if not column.low <= value <= column.high:
                faults.append(
                    f"{name}, line {number}: {column.name} is {given} {column.unit},"
                    f" accepted: {column.low:g} to {column.high:g}."
                )
            values[at] = value
    gap, begin = _longest_gap(np.isnan(values))
    if gap > LONGEST_GAP:
        if column.needed:
            faults.append(
                f"{name}, line {rows[begin][0]}: {column.name} is missing for {gap} hours,"
                f" at most {LONGEST_GAP} can be bridged."
            )
        return None
    known = np.flatnonzero(~np.isnan(values))
    if not known.size:
        return None
    if column.unit == "degrees":  # a straight line from 350 to 10 would go by the south
        return values[known[np.maximum(np.searchsorted(known, np.arange(len(values)), side="right") - 1, 0)]]
    return np.asarray(np.interp(np.arange(len(values)), known, values[known]))


def _longest_gap(missing: NDArray[np.bool_]) -> tuple[int, int]:
    """Length and beginning of the longest run of missing hours."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], missing, [False]]).astype(int)))
    begins, ends = edges[::2], edges[1::2]
    if not begins.size:
        return 0, 0
    longest = int(np.argmax(ends - begins))
    return int(ends[longest] - begins[longest]), int(begins[longest])


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if np.isfinite(value) else None


def _first(faults: list[str]) -> list[str]:
    more = len(faults) - MOST_FAULTS
    return faults[:MOST_FAULTS] + ([f"and {more} more faults of this kind."] if more > 0 else [])
