"""The job file that people start from."""

from __future__ import annotations

from importlib.resources import files


def starter_text() -> str:
    """A commented job file without faults: a small flat of our own invention."""
    return files("innerleaf.job").joinpath("starter.yaml").read_text(encoding="utf-8")
