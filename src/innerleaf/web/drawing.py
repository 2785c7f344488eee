"""Elevations for a page: the drawings of the sheets, with layers to switch and pieces to point at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from html import escape

from innerleaf.documents import boarding, framing
from innerleaf.documents.boarding import draw_boarding, layers_of
from innerleaf.documents.framing import bar_corners, draw_framing
from innerleaf.documents.sheet import Pen
from innerleaf.documents.svg import SvgSheet
from innerleaf.documents.view import Space, View, make_view
from innerleaf.layout.pieces import FACE, Ring, WallPlan
from innerleaf.survey.wall import Wall
from innerleaf.web.manner import manner

FRAME, _BOARDS = "frame", "boards-"
_NOTE_AFTER_FEET_MM = 14.0  # where the figures are feet, inches and sixteenths
_BESIDE_FEET_MM = 12.0  # more paper all round for them
SCALE = 25  # of the drawing's own paper; a page zooms
_LEAST_TARGET_MM = 60  # what is pointed at is at least so broad on the wall


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of the lining, or a thing of the old wall, as a page names it."""

    kind: str  # bar, board, slab, bracket, opening, box, obstacle, load
    mark: str
    what: str
    ring: Ring
    layer: int = 0
    item: str = ""
    length_mm: float = 0
    width_mm: float = 0


class PageSheet(SvgSheet):
    """A sheet whose lines carry the name of their drawing layer, without style of its own."""

    def _style_of(self, pen: Pen) -> str:
        return f' class="on-{pen.layer.lower()}"{super()._style_of(pen)}'

    def plain(self) -> str:
        """The drawing without style of its own, which our pages would refuse."""
        return self.svg().replace("<style>text{fill:#000;stroke:none}</style>", "").rstrip()

    def on_page(self, view: View, label: str, targets: Iterable[str]) -> str:
        """The drawing with what can be pointed at on top, and where the wall lies on it."""
        whole = self.plain()
        start = whole.index(" viewBox")
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" role="group" aria-label="{escape(label)}"'
            f' data-scale="{view.scale}" data-left="{view.left_mm:.2f}"'
            f' data-floor="{self.height_mm - view.bottom_mm:.2f}"'
        )
        body = whole[start : whole.rindex("</svg>")]
        if manner().unit == "in":
            pad, (w, h) = _BESIDE_FEET_MM, (self.width_mm, self.height_mm)
            usual = f'viewBox="0 0 {w:.2f} {h:.2f}"'
            body = body.replace(usual, f'viewBox="{-pad} {-pad} {w + 2 * pad:.2f} {h + 2 * pad:.2f}"', 1)
        return f'{head}{body}<g class="targets">{"".join(targets)}</g></svg>'


def frame_drawing(plan: WallPlan) -> str:
    """The frame as an elevation, its pieces and the things of the wall to point at."""
    view, width, height = _view(plan.wall, framing.SPACE)
    sheet = PageSheet(width, height)
    draw_framing(sheet, plan, view)
    pieces = [*slabs(plan), *bars(plan), *brackets(plan), *things(plan.wall)]
    return sheet.on_page(view, f"Frame of wall {plan.wall.id}", _targets(sheet, view, pieces))


def board_drawing(plan: WallPlan, layer: int) -> str:
    """One layer of boards as an elevation."""
    view, width, height = _view(plan.wall, boarding.SPACE)
    sheet = PageSheet(width, height)
    draw_boarding(sheet, plan, layer, view)
    pieces = [*boards(plan, layer), *things(plan.wall)]
    return sheet.on_page(view, f"Boards of wall {plan.wall.id}, layer {layer}", _targets(sheet, view, pieces))


def _view(wall: Wall, space: Space) -> tuple[View, float, float]:
    """The view of a wall, with room for figures as whoever asks reads them."""
    view, width, height = make_view(wall, SCALE, space)
    long = manner().unit == "in"
    return (replace(view, note_mm=_NOTE_AFTER_FEET_MM) if long else view), width, height


def views_of(plan: WallPlan) -> list[str]:
    """Names of the elevations of a wall."""
    return [FRAME, *(f"{_BOARDS}{layer}" for layer in layers_of(plan))]


def drawings(plan: WallPlan, view: str = "") -> dict[str, str]:
    """The elevations of a wall by name: all of them, or one; the frame where there is none of that name."""
    known = views_of(plan)
    wanted = known if not view else [view if view in known else FRAME]
    return {name: _drawing(plan, name) for name in wanted}


def _drawing(plan: WallPlan, view: str) -> str:
    return frame_drawing(plan) if view == FRAME else board_drawing(plan, int(view.removeprefix(_BOARDS)))


def pieces_of(plan: WallPlan) -> list[Piece]:
    """Everything that a page lists of a wall set out."""
    boarded = [piece for layer in layers_of(plan) for piece in boards(plan, layer)]
    return [*bars(plan), *brackets(plan), *slabs(plan), *boarded, *things(plan.wall)]


def bars(plan: WallPlan) -> Iterator[Piece]:
    """Tracks, studs, channels and what lies level between them."""
    for bar in plan.bars:
        yield Piece(
            kind="bar",
            mark=bar.mark,
            what=bar.role,
            ring=tuple(bar_corners(bar, _LEAST_TARGET_MM)),
            item=bar.item,
            length_mm=bar.length_mm,
        )


def boards(plan: WallPlan, layer: int) -> Iterator[Piece]:
    """Boards of one layer of the face; those of reveals are not in the elevation."""
    for board in plan.boards:
        if board.layer == layer and board.plane == FACE:
            yield Piece(
                kind="board",
                mark=board.mark,
                what=f"board, layer {layer}",
                ring=board.ring,
                layer=layer,
                item=board.item,
                length_mm=board.length_mm,
                width_mm=board.width_mm,
            )


def slabs(plan: WallPlan) -> Iterator[Piece]:
    """Pieces of insulation in the lining itself."""
    for slab in plan.slabs:
        if slab.plane == FACE:
            yield Piece(
                kind="slab",
                mark=slab.mark,
                what=f"insulation, layer {slab.layer}",
                ring=slab.ring,
                layer=slab.layer,
                item=slab.item,
                length_mm=slab.length_mm,
                width_mm=slab.width_mm,
            )


def brackets(plan: WallPlan) -> Iterator[Piece]:
    """Brackets, each with how far it stands off the wall."""
    for bracket in plan.brackets:
        half = _LEAST_TARGET_MM / 2
        yield Piece(
            kind="bracket",
            mark=bracket.mark,
            what="bracket",
            ring=_square(bracket.x_mm - half, bracket.y_mm - half, 2 * half, 2 * half),
            item=bracket.item,
            length_mm=bracket.projection_mm,
        )


def things(wall: Wall) -> Iterator[Piece]:
    """What is on the old wall or is to hang on the lining; it can be moved on the page."""
    for opening in wall.openings:
        ring = _square(opening.x_mm, opening.sill_mm, opening.width_mm, opening.height_mm)
        yield Piece(kind="opening", mark=opening.id, what=opening.kind, ring=ring)
    for obstacle in wall.obstacles:
        ring = _square(obstacle.x_mm, obstacle.y_mm, obstacle.width_mm, obstacle.height_mm)
        yield Piece(kind="obstacle", mark=obstacle.id, what=obstacle.kind, ring=ring)
    for load in wall.loads:
        ring = _square(load.x_mm, load.y_mm - _LEAST_TARGET_MM, load.width_mm, 2 * _LEAST_TARGET_MM)
        yield Piece(kind="load", mark=load.id, what=f"hung load of {load.mass_kg:g} kg", ring=ring)
    for box in wall.boxes:
        half = box.diameter_mm / 2
        width = box.diameter_mm + (box.count - 1) * box.pitch_mm
        ring = _square(box.x_mm - half, box.y_mm - half, width, box.diameter_mm)
        yield Piece(kind="box", mark=box.id, what="box", ring=ring)


def _square(x: float, y: float, width: float, height: float) -> Ring:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def _targets(sheet: SvgSheet, view: View, pieces: Sequence[Piece]) -> Iterator[str]:
    for piece in pieces:
        places = (f"{x:.2f} {sheet.height_mm - y:.2f}" for x, y in view.ring(piece.ring))
        moves = piece.kind in ("opening", "obstacle", "box", "load")
        label = escape(f"{piece.what} {piece.mark}")
        said = f' tabindex="0" role="button" aria-label="{label}"' if moves else ' aria-hidden="true"'
        yield (
            f'<path class="target {piece.kind}" d="M{"L".join(places)}z" data-kind="{piece.kind}"'
            f' data-mark="{escape(piece.mark)}"{said}/>'
        )
