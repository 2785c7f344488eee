"""One wall as DXF: model space 1:1 in millimetres, the wall's datum at the origin, real dimension entities.

The frame stands at the origin; the board layers stand below it, each with its own datum. Letters and
symbols are sized for plotting at the scale the sheet names.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from innerleaf.documents import boarding, framing
from innerleaf.documents.sheet import TEXT, Anchor, Axis, Hatch, Pen, Place, Rect
from innerleaf.documents.view import View
from innerleaf.errors import InnerleafError
from innerleaf.layout.pieces import WallPlan

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts import Modelspace

PLOT_SCALE = 25
_LAYERS = {  # name: colour index, line weight in hundredths of a millimetre
    "OUTLINE": (7, 70),
    "OPENING": (7, 35),
    "OBSTACLE": (8, 25),
    "FRAME": (5, 35),
    "BRACKET": (6, 25),
    "FIXING": (6, 35),
    "JOINT-BEHIND": (8, 18),
    "MOVEMENT": (1, 25),
    "SCREW": (8, 25),
    "BOX": (1, 35),
    "LOAD": (1, 25),
    "HATCH": (8, 13),
    "DIM": (7, 18),
    "TEXT": (7, 18),
}
_PATTERNS = {
    Hatch.BOARD_1: ("ANSI31", 0.0),
    Hatch.BOARD_2: ("ANSI31", 90.0),
    Hatch.BOARD_3: ("ANSI31", 45.0),
    Hatch.OBSTACLE: ("ANSI31", 90.0),
}
_ATTACH: dict[Anchor, str] = {"start": "MIDDLE_LEFT", "middle": "MIDDLE_CENTER", "end": "MIDDLE_RIGHT"}
_CAPITALS = 0.66  # height of capitals as a share of the letter size
_WEIGHTS = (13, 18, 25, 35, 50, 70)


class DxfSheet:
    """Draws in model space: paper is turned back into wall millimetres, moved down by ``drop_mm``."""

    def __init__(self, space: Modelspace, view: View, drop_mm: float = 0.0) -> None:
        self._space, self._view, self._drop = space, view, drop_mm

    def _at(self, place: Place) -> Place:
        view = self._view
        x, y = (place[0] - view.left_mm) * view.scale, (place[1] - view.bottom_mm) * view.scale
        return round(x, 3), round(y - self._drop, 3)

    def _look(self, pen: Pen) -> dict[str, Any]:
        weight = min(_WEIGHTS, key=lambda w: abs(w - pen.width_mm * 100))
        look: dict[str, Any] = {"layer": pen.layer, "lineweight": weight}
        if pen.dash:
            look["linetype"] = "DASHED" if len(pen.dash) == 2 else "CENTER"
            look["ltscale"] = self._view.scale * 4.0
        return look

    def clip(self, box: Rect | None) -> None:
        """Model space shows whole walls."""

    def line(self, pen: Pen, a: Place, b: Place) -> None:
        """A straight line."""
        self._space.add_line(self._at(a), self._at(b), self._look(pen))

    def polyline(self, pen: Pen, points: Sequence[Place]) -> None:
        """An open line."""
        self._space.add_lwpolyline([self._at(p) for p in points], dxfattribs=self._look(pen))

    def polygon(self, pen: Pen, rings: Sequence[Sequence[Place]], hatch: Hatch = Hatch.NONE) -> None:
        """Closed outlines, hatched where the filling is a pattern."""
        turned = [[self._at(p) for p in ring] for ring in rings]
        if hatch in _PATTERNS:
            name, angle = _PATTERNS[hatch]
            fill = self._space.add_hatch(dxfattribs={"layer": "HATCH", "lineweight": 13})
            fill.set_pattern_fill(name, scale=self._view.scale * 3, angle=angle)
            for k, ring in enumerate(turned):
                fill.paths.add_polyline_path(ring, is_closed=True, flags=1 if k == 0 else 16)
        for ring in turned:
            self._space.add_lwpolyline(ring, close=True, dxfattribs=self._look(pen))

    def rect(self, pen: Pen, box: Rect, hatch: Hatch = Hatch.NONE) -> None:
        """An upright rectangle."""
        left, bottom, right, top = box
        self.polygon(pen, [[(left, bottom), (right, bottom), (right, top), (left, top)]], hatch)

    def circle(self, pen: Pen, centre: Place, radius: float, hatch: Hatch = Hatch.NONE) -> None:
        """A circle."""
        self._space.add_circle(self._at(centre), radius * self._view.scale, self._look(pen))

    def dots(self, pen: Pen, points: Iterable[Place]) -> None:
        """Points."""
        for point in points:
            self._space.add_point(self._at(point), {"layer": pen.layer})

    def text(
        self,
        at: Place,
        words: str,
        size: float,
        anchor: Anchor = "middle",
        *,
        upright: bool = False,
        bold: bool = False,
        masked: bool = False,
    ) -> None:
        """Words, as a line of text."""
        from ezdxf.enums import TextEntityAlignment

        look = {
            "layer": TEXT.layer,
            "height": size * _CAPITALS * self._view.scale,
            "rotation": 90 if upright else 0,
            "style": "INNERLEAF",
        }
        align = TextEntityAlignment[_ATTACH[anchor]]
        self._space.add_text(words, dxfattribs=look).set_placement(self._at(at), align=align)

    def dimension(self, a: Place, b: Place, base: float, axis: Axis, words: str) -> None:
        """A linear dimension entity."""
        at = (a[0], base) if axis == "x" else (base, a[1])
        self._space.add_linear_dim(
            base=self._at(at),
            p1=self._at(a),
            p2=self._at(b),
            angle=0 if axis == "x" else 90,
            dimstyle="INNERLEAF",
            dxfattribs={"layer": "DIM"},
        ).render()

    def running(
        self, axis: Axis, origin: Place, feature: Place, base: float, text_at: Place, words: str
    ) -> None:
        """An ordinate dimension entity: the distance from the datum along one axis."""
        start, end, zero = self._at(feature), self._at(text_at), self._at(origin)
        offset = (end[0] - start[0], end[1] - start[1])
        add = self._space.add_ordinate_x_dim if axis == "x" else self._space.add_ordinate_y_dim
        add(start, offset, origin=zero, dimstyle="INNERLEAF", dxfattribs={"layer": "DIM"}).render()


_BOARD_COLOURS = (3, 4, 2)


def _new_document(board_layers: Sequence[int]) -> Drawing:
    import ezdxf
    from ezdxf import units

    document = ezdxf.new("R2018", setup=["linetypes"], units=units.MM)
    document.header["$MEASUREMENT"] = 1
    document.styles.add("INNERLEAF", font="arial.ttf")
    for name, (colour, weight) in _LAYERS.items():
        document.layers.add(name, color=colour, lineweight=weight)
    for layer in board_layers:
        colour = _BOARD_COLOURS[(layer - 1) % len(_BOARD_COLOURS)]
        document.layers.add(f"BOARD-{layer}", color=colour, lineweight=50)
    style = document.dimstyles.duplicate_entry("STANDARD", "INNERLEAF")
    letters = 3.0 * _CAPITALS * PLOT_SCALE
    values = {
        "dimtxt": letters,
        "dimexe": 1.2 * PLOT_SCALE,
        "dimexo": 1.0 * PLOT_SCALE,
        "dimgap": 0.6 * PLOT_SCALE,
        "dimasz": 1.5 * PLOT_SCALE,
        "dimtsz": 0.7 * PLOT_SCALE,
        "dimdec": 0,
        "dimtad": 1,
        "dimzin": 8,
        "dimlfac": 1.0,
        "dimscale": 1.0,
        "dimrnd": 1.0,
        "dimtxsty": "INNERLEAF",
    }
    for name, value in values.items():
        style.set_dxf_attrib(name, value)
    return document


def wall_drawing(plan: WallPlan) -> Drawing:
    """The frame and every board layer of a wall in one DXF document."""
    document = _new_document(boarding.layers_of(plan))
    space = document.modelspace()
    view = View(PLOT_SCALE, 0.0, 0.0)
    framing.draw_framing(DxfSheet(space, view), plan, view)
    ys = [y for _, y in plan.wall.outline]
    step = max(ys) - min(ys) + (boarding.SPACE.below + boarding.SPACE.above + 20) * PLOT_SCALE
    for k, layer in enumerate(boarding.layers_of(plan), 1):
        boarding.draw_boarding(DxfSheet(space, view, drop_mm=k * step), plan, layer, view)
    return document


def wall_dxf(plan: WallPlan) -> str:
    """DXF text of one wall, audited; the same plan gives the same text.

    Raises
    ------
    InnerleafError
        The audit found a fault: a mistake of ours, never a matter of the job.
    """
    from io import StringIO

    from ezdxf import options

    options.write_fixed_meta_data_for_testing = True  # no clock, no random ids in the header
    document = wall_drawing(plan)
    # Class records are written in the order of registration; the library registers them from a set.
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)
    auditor = document.audit()
    if auditor.has_errors or auditor.has_fixes:
        raise InnerleafError(f"wall {plan.wall.id}: the DXF audit found {auditor.errors or auditor.fixes}")
    text = StringIO()
    document.write(text)
    return text.getvalue()
