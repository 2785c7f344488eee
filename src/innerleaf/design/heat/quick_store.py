"""Quick families and figures of many linings, each made once: kept on disk for the next run.

A file is named after all that makes it: geometry and limits, and the code that solves it.
It is written beside its place and then put there in one step, and begins with its own check sum; so a file
cut short, or two programs that write at once, cost no more than making it again. Where nothing can be written
there is memory only.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from hashlib import sha256
from pathlib import Path

import numpy as np

from innerleaf.design.heat import details, quick_family
from innerleaf.design.heat.quick_family import Build
from innerleaf.physics import (
    conduction,
    conduction_edges,
    conduction_flux,
    conduction_linear,
    conduction_nodes,
    grid,
    reduced,
    reduced_build,
    reduced_bytes,
    reduced_given,
)
from innerleaf.physics.grid import Floats
from innerleaf.physics.reduced import Reduced
from innerleaf.physics.reduced_build import build
from innerleaf.physics.reduced_bytes import from_bytes, to_bytes

_CODE = (
    conduction,
    conduction_edges,
    conduction_flux,
    conduction_linear,
    conduction_nodes,
    details,
    grid,
    quick_family,
    reduced,
    reduced_build,
    reduced_bytes,
    reduced_given,
)
_SUM = 32  # bytes of the check sum
# By dimensions: designs solved, fields kept, interval of the template on the grid.
EFFORT = {2: (240, 26, 0.0008), 3: (280, 26, 0.004)}


def cache_folder() -> Path:
    """Where families are kept between runs."""
    given = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(given) if given else Path.home() / ".cache") / "innerleaf" / "families"


@cache
def reduced_of(kind: Build) -> Reduced:
    """The family of a way to build, from memory, from disk, or made now."""
    designs, fields, accuracy = EFFORT[3 if kind.bridge else 2]
    family = kind.family()

    def made() -> Reduced:
        return build(family, designs=designs, fields=fields, accuracy=accuracy)

    place = _place(repr((kind.key, designs, fields, accuracy)).encode())
    return from_bytes(family, kept(place, lambda: to_bytes(made()))) if place else made()


def figures_of(key: bytes, rows: int, make: Callable[[], Floats]) -> Floats:
    """An array of so many rows that ``make`` gives and that ``key`` says all of, from disk or made now."""
    place = _place(key)
    if place is None:
        return make()
    return np.frombuffer(kept(place, lambda: make().tobytes())).reshape(rows, -1).copy()


def _place(key: bytes) -> Path | None:
    """Where what a key stands for is kept; None where nothing can be written."""
    try:
        place = cache_folder() / f"{sha256(key + _code()).hexdigest()}"
        place.parent.mkdir(parents=True, exist_ok=True)
    except (OSError, RuntimeError):  # nowhere to write, or nobody's home
        return None
    return place


def kept(place: Path, make: Callable[[], bytes]) -> bytes:
    """The bytes of a whole file there, or those that ``make`` gives, which are left there."""
    try:
        held = place.read_bytes()
    except OSError:
        held = b""
    if len(held) > _SUM and sha256(held[_SUM:]).digest() == held[:_SUM]:
        return held[_SUM:]
    data = make()
    with suppress(OSError):  # a full or read-only disk: the family is good all the same
        with tempfile.NamedTemporaryFile(dir=place.parent, delete=False) as file:
            file.write(sha256(data).digest() + data)
        Path(file.name).replace(place)
    return data


@cache
def _code() -> bytes:
    """All code that a family's numbers come from."""
    return b"".join(Path(str(module.__file__)).read_bytes() for module in _CODE)
