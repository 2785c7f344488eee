"""The invented demo building, wherever the program is installed."""

from __future__ import annotations

from pathlib import Path

_INSTALLED = Path(__file__).parents[1] / "demo"  # laid there when the package is built
_CHECKOUT = Path(__file__).parents[3] / "examples" / "demo"


def demo_files() -> dict[str, str]:
    """The files of the demo job by name."""
    folder = _INSTALLED if _INSTALLED.is_dir() else _CHECKOUT
    return {file.name: file.read_text(encoding="utf-8") for file in sorted(folder.glob("*.yaml"))}
