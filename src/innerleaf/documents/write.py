"""Elevations for the screen and the workbook, written into one folder."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from innerleaf.documents.boarding import layers_of
from innerleaf.documents.pages import board_svg, frame_svg
from innerleaf.documents.title import TitleBlock
from innerleaf.layout.pieces import WallPlan
from innerleaf.takeoff.model import Takeoff

if TYPE_CHECKING:
    from innerleaf.cost.model import Order
    from innerleaf.cost.price_model import Price
    from innerleaf.design.performance import Performance
    from innerleaf.documents.cut_list import CutList
    from innerleaf.takeoff.together import TogetherReport

# As the file systems that keep them say: CON, PRN, AUX, NUL, COM0-9, LPT0-9, before any point (from memory).
_DEVICE: Final = re.compile(r"\A(?:con|prn|aux|nul|(?:com|lpt)[0-9¹²³])(?=\.|\Z)", re.IGNORECASE)

Progress = Callable[[str, int, int], None]  # what is being done, how many are done, of how many


def silent(_doing: str, _done: int, _of: int) -> None:
    """Progress that nobody watches."""


def file_stem(wall: str) -> str:
    """A wall's id as part of a file name: letters, digits, dot, dash and underscore stay.

    Names that some systems keep for devices, with whatever ending, get an underscore.

    >>> file_stem("Flat 3/W-01")
    'Flat-3-W-01'
    >>> file_stem("con"), file_stem("Aux.2"), file_stem("com10")
    ('con_', 'Aux_.2', 'com10')
    """
    stem = re.sub(r"[^\w.-]+", "-", wall).strip("-.") or "wall"
    return _DEVICE.sub(r"\g<0>_", stem)


def file_stems(walls: Sequence[str]) -> list[str]:
    """File names for walls, different also where only letters' case or odd signs differ."""
    stems: list[str] = []
    taken: set[str] = set()
    for wall in walls:
        stem, number = file_stem(wall), 2
        while stem.lower() in taken:
            stem, number = f"{file_stem(wall)}-{number}", number + 1
        taken.add(stem.lower())
        stems.append(stem)
    return stems


def write_elevations_and_workbook(
    folder: Path,
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    title: TitleBlock,
    *,
    performances: Mapping[str, Performance] = MappingProxyType({}),
    cut: CutList | None = None,
    price: Price | None = None,
    order: Order | None = None,
    together: TogetherReport | None = None,
    progress: Progress = silent,
) -> list[Path]:
    """Write ``svg/``, ``walls/`` and ``takeoff.xlsx`` into ``folder``; say what was written.

    ``performances`` go by wall id.
    """
    from innerleaf.documents.wall_page import wall_page

    written: list[Path] = []

    def put(path: Path, content: bytes) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        written.append(path)

    stems = file_stems([plan.wall.id for plan in plans])
    for k, (plan, stem) in enumerate(zip(plans, stems, strict=True)):
        progress("elevations", k, len(plans))
        frame = frame_svg(plan)
        boards = {layer: board_svg(plan, layer) for layer in layers_of(plan)}
        put(folder / "svg" / f"{stem}-frame.svg", frame.encode())
        for layer, drawing in boards.items():
            put(folder / "svg" / f"{stem}-boards-{layer}.svg", drawing.encode())
        put(folder / "walls" / f"{stem}.html", wall_page(plan, frame, boards, title).encode())
    progress("elevations", len(plans), len(plans))
    from innerleaf.documents.xlsx import takeoff_xlsx

    book = takeoff_xlsx(
        plans, takeoff, title, performances=performances, cut=cut, price=price, order=order, together=together
    )
    put(folder / "takeoff.xlsx", book)
    return written
