"""Job files of any number of varied walls, from a seed.

The walls are invented: outlines, openings and things on them are drawn at random within what a
building shows; the same seed gives the same file, and its first walls are those of a shorter one.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from random import Random
from typing import Any

Fields = dict[str, Any]

_HEAD: Fields = {
    "format": 1,
    "site": {"name": "Benchmark, invented", "practice": "en_metric"},
    "constructions": {
        "brick": [
            {"material": "brick-1800", "thickness": 365},
            {"material": "gypsum-plaster-1300", "thickness": 15},
        ],
    },
    "linings": {
        "thin": {
            "way": "bracketed",
            "profile": "CD-60-27",
            "boards": ["board-A-12.5"],
            "insulation": ["wool-40"],
            "gap": 40,
        },
        "thick": {
            "way": "stud and track",
            "profile": "CW-75",
            "boards": ["board-A-12.5", "board-A-12.5"],
            "insulation": ["wool-75"],
            "membrane": "membrane-variable",
            "gap": 20,
        },
        "tall": {
            "way": "stud and track",
            "profile": "CW-100",
            "boards": ["board-A-12.5", "board-A-12.5"],
            "insulation": ["wool-100"],
            "gap": 10,
        },
    },
}


def job_text(walls: int, *, seed: int = 1) -> str:
    """A job file of so many walls, four to a room."""
    rooms = [{"id": f"R-{number + 1:04d}", "storey": "ground"} for number in range(-(-walls // 4))]
    fields = [_wall(number, Random(f"{seed}/{number}")) for number in range(walls)]
    lines = [f"{key}: {_flow(value)}" for key, value in _HEAD.items()]
    for key, items in (("rooms", rooms), ("walls", fields)):
        lines += [f"{key}:", *(f"  - {_flow(item)}" for item in items)]
    return "\n".join(lines) + "\n"


def _flow(value: object) -> str:
    """JSON is YAML too, and one line per wall keeps the file readable."""
    return json.dumps(value)


def _wall(number: int, draw: Random) -> Fields:
    length, height = draw.randrange(900, 9001, 10), draw.randrange(2350, 3301, 5)
    wall: Fields = {
        "id": f"W-{number + 1:04d}",
        "room": f"R-{number // 4 + 1:04d}",
        "construction": "brick",
        "lining": draw.choice(["thin", "thick"] if height <= 3000 else ["thin", "tall"]),
        "meets": {
            "left": draw.choice(["masonry", "partition", "internal corner", "external corner"]),
            "right": draw.choice(["masonry", "partition", "internal corner", "external corner"]),
            "floor": draw.choice(["screed", "concrete slab"]),
            "ceiling": draw.choice(["concrete slab", "existing ceiling"]),
        },
    }
    rake = draw.random() < 0.15
    if rake:
        wall["outline"] = draw.choice([_gable, _stair])(length, height, draw)
    else:
        wall |= {"length": length, "height": height}
    # under a rake, only what stays below its foot
    clear = int(height * 0.5) if rake else height
    things: tuple[tuple[float, Callable[[int, int, Random], Fields]], ...] = (
        (0.75, _openings),
        (0.15, _column),
        (0.5, _boxes),
        (0.15, _load),
    )
    for share, make in things:
        if draw.random() < share:
            wall |= make(length, clear, draw)
    return wall


def _gable(length: int, height: int, draw: Random) -> list[list[int]]:
    foot, ridge = int(height * 0.6), int(length * draw.uniform(0.3, 0.7))
    return [[0, 0], [length, 0], [length, foot], [ridge, height], [0, foot]]


def _stair(length: int, height: int, draw: Random) -> list[list[int]]:
    low = int(height * draw.uniform(0.55, 0.8))
    return [[0, 0], [length, 0], [length, low], [0, height]]


def _openings(length: int, clear: int, draw: Random) -> Fields:
    """Windows and at most one door, side by side, each in its own part of the wall."""
    count = min(draw.choice([1, 1, 1, 2, 2, 3]), length // 1800)
    door = draw.randrange(count) if count and clear > 2200 and draw.random() < 0.35 else -1
    openings = []
    for place in range(count):
        left, right = length * place // count, length * (place + 1) // count
        width = 900 if place == door else draw.randrange(600, min(1800, right - left - 800) + 1, 5)
        x = draw.randrange(left + 400, right - 400 - width + 1, 5)
        reveal = {"reveal": draw.choice([0, 120, 180, 240]), "reveal_lined": draw.random() < 0.5}
        if place == door:
            opening = {"kind": "door", "x": x, "width": width, "height": 2050}
        else:
            sill = draw.choice([300, 600, 850])
            height = min(draw.randrange(700, 1501, 5), clear - sill - 250)
            if height < 300:
                continue
            opening = {"kind": "window", "x": x, "width": width, "sill": sill, "height": height}
        openings.append(opening | reveal)
    return {"openings": openings}


def _column(length: int, _clear: int, draw: Random) -> Fields:
    """A chimney breast or column against the right end, where no opening is within 400 mm."""
    width = draw.randrange(150, 351, 10)
    return {"obstacles": [{"kind": "column", "x": length - width, "width": width, "projection": 200}]}


def _boxes(_length: int, _clear: int, draw: Random) -> Fields:
    count = draw.randrange(1, 4)
    return {"boxes": [{"x": draw.randrange(150, 331), "y": 300 + 400 * index} for index in range(count)]}


def _load(length: int, clear: int, draw: Random) -> Fields:
    return {
        "loads": [
            {
                "x": length // 3,
                "y": clear - 150,
                "width": length // 4,
                "mass": draw.randrange(10, 60),
                "depth": 180,
            }
        ]
    }
