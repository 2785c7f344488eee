"""Boards that line the reveals of openings, from the frame of the window out to the new face."""

from __future__ import annotations

from math import ceil, floor

from innerleaf.layout.pieces import BoardPiece
from innerleaf.layout.setting import Setting
from innerleaf.survey.wall import Opening, OpeningKind


def line_reveals(setting: Setting, first_number: int) -> list[BoardPiece]:
    """One layer of the innermost board on every reveal that is to be lined.

    A reveal board runs from the frame (or from the board on the back of a niche) to the face of the
    lining; the face boards end flush with the opening, a corner bead covers the edge. The boards of one
    opening do not share corners: left and right run the full height, head and sill fit between them and
    are shorter than the opening is wide by two board thicknesses.
    """
    pieces: list[BoardPiece] = []
    for opening in setting.wall.openings:
        if not opening.reveal_lined:
            continue
        for plane, across, along in _planes(setting, opening):
            pieces += _sheet(setting, f"{opening.id} {plane}", across, along, first_number + len(pieces))
    return pieces


def _planes(setting: Setting, opening: Opening) -> list[tuple[str, int, int]]:
    """(side, depth across, length along) of the surfaces to be lined."""
    board = setting.boards[0].thickness_mm
    backed = opening.kind == OpeningKind.NICHE
    depth = ceil(opening.reveal_mm + setting.build_up.total_mm - (board if backed else 0))
    between = floor(opening.width_mm - 2 * board)
    planes = [
        ("left", depth, opening.height_mm),
        ("right", depth, opening.height_mm),
        ("head", depth, between),
    ]
    if opening.kind != OpeningKind.DOOR:
        planes.append(("sill", depth, between))
    if backed:
        planes.append(("back", opening.width_mm, opening.height_mm))
    return planes


def _sheet(setting: Setting, plane: str, across: int, along: int, number: int) -> list[BoardPiece]:
    """One surface in pieces no wider and no longer than a board."""
    board = setting.boards[0]
    longest = max(board.lengths_mm)
    columns, rows = ceil(across / board.width_mm), ceil(along / longest)
    pieces: list[BoardPiece] = []
    for c in range(columns):
        for r in range(rows):
            x0, x1 = round(across * c / columns), round(across * (c + 1) / columns)
            y0, y1 = round(along * r / rows), round(along * (r + 1) / rows)
            pieces.append(
                BoardPiece(
                    mark=f"{setting.wall.id}/R{number + len(pieces):02d}",
                    layer=1,
                    plane=plane,
                    item=board.id,
                    ring=((x0, y0), (x1, y0), (x1, y1), (x0, y1)),
                    holes=(),
                    cutouts=(),
                    width_mm=x1 - x0,
                    length_mm=y1 - y0,
                    stock_length_mm=min(s for s in board.lengths_mm if s >= y1 - y0),
                    left_bound=False,
                    right_bound=x1 - x0 == board.width_mm,
                    purpose=f"lines the {plane.rpartition(' ')[2]} of {plane.rpartition(' ')[0]}",
                )
            )
    return pieces
