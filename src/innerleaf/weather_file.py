"""Opening weather files: the one place that touches the disk for them."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from innerleaf.errors import FileFaults
from innerleaf.physics.weather import Weather
from innerleaf.physics.weather_epw import parse_epw

LARGEST: Final = 16 * 1024 * 1024  # bytes; a year of hours has about 1.6 million


def read_epw(path: Path) -> Weather:
    """Read an EPW file.

    Raises
    ------
    FileFaults
        It cannot be opened, is too large, or says what cannot be used: each fault names file and line.
    """
    try:
        if path.stat().st_size > LARGEST:
            raise FileFaults([f"{path}: larger than {LARGEST // 2**20} MiB, which no year of weather is."])
        text = path.read_bytes().decode("utf-8", errors="replace")
    except OSError as error:
        raise FileFaults([f"{path}: cannot be read ({error.strerror})."]) from error
    return parse_epw(text.splitlines(), str(path))
