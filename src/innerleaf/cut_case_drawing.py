"""The drawing of `innerleaf cut`: one tall SVG, or sheets of A3 as a PDF."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from innerleaf.documents.cut_model import BarPattern, BoardPattern
from innerleaf.documents.cut_pages import bar_layouts, board_layouts, layout_svg
from innerleaf.documents.cut_papers import cut_pdf, drawn_sheets
from innerleaf.documents.title import TitleBlock
from innerleaf.errors import InputError
from innerleaf.folder import CannotWrite

_ENDINGS: Final = (".svg", ".pdf")


def check_drawing(path: Path) -> None:
    """Refuse what cannot be drawn before anything is cut.

    Raises
    ------
    InputError
        The name ends otherwise.
    """
    if path.suffix.lower() not in _ENDINGS:
        raise InputError("drawing", given=str(path), accepted="a file ending in .svg or .pdf")


def write_drawing(path: Path, name: str, bars: Sequence[BarPattern], boards: Sequence[BoardPattern]) -> None:
    """Draw what is cut; ``name`` stands in the title block.

    Raises
    ------
    CannotWrite
        The file cannot be written there.
    """
    if path.suffix.lower() == ".svg":
        layouts = [*bar_layouts(bars, one=True), *board_layouts(boards, one=True)]
        data = "".join(map(layout_svg, layouts)).encode()
    else:
        data = cut_pdf(drawn_sheets(bars, boards), TitleBlock(project=name))
    try:
        path.write_bytes(data)
    except OSError as error:
        accepted = f"a file that can be written ({error.strerror})"
        raise CannotWrite("drawing", given=str(path), accepted=accepted) from error
