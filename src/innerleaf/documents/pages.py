"""The pages of a set: which drawings share a page, at what scale, and what stands beside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from innerleaf.documents import boarding, framing
from innerleaf.documents.cautions import CLOSING, cautions_for
from innerleaf.documents.cuts import SCALE, Sketch, draw_sketches, sketch_svg, sketches_of
from innerleaf.documents.key import draw_key
from innerleaf.documents.legend import draw_legend
from innerleaf.documents.schedule import Table, build_up_table, finding_table, wall_tables
from innerleaf.documents.sections import SHEET_HEIGHT_MM, SHEET_WIDTH_MM, depths_vary, draw_sections
from innerleaf.documents.sheet import text_width
from innerleaf.documents.svg import SvgSheet
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.view import Space, View, fit_parts, fit_scale, make_view
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice

if TYPE_CHECKING:  # heat and moisture load much, and only when they are printed
    from innerleaf.design.performance import Performance

FIELD_WIDTH_MM, FIELD_HEIGHT_MM = 290.0, 272.0  # the drawing field of an A3 page
_SIDE_WIDTH_MM, _SIDE_HEIGHT_MM = 86.0, 196.0  # beside it, above the title block
_LINE_MM, _SIDE_LETTERS = 3.5, 2.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A short text beside a drawing, under a heading of its own or going on under the last one."""

    heading: str = ""
    lead: str = ""
    text: str = ""

    def height_mm(self) -> float:
        """Paper it takes, on the safe side."""
        words = text_width(f"{self.lead} {self.text}", _SIDE_LETTERS) * 1.06
        return (6.5 if self.heading else 0.0) + (int(words / _SIDE_WIDTH_MM) + 1) * _LINE_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page (tables may run on to more): a drawing or tables, notes, and what the title block says."""

    wall: str
    title: str
    subject: str
    scale: str
    svg: str = ""
    tables: tuple[Table, ...] = ()
    sketches: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    contents: bool = False
    wide: bool = False  # tables over the whole field, not in two columns


def subject_of(plan: WallPlan) -> str:
    """What the title block calls the wall."""
    wall = plan.wall
    parts = [f"Wall {wall.id}", wall.name, wall.room, wall.storey]
    return " · ".join(part for part in parts if part)


_QUESTION = "L601"  # the finding that stands for a survey question still open
_DAMP = "H111"  # the finding that forbids lining
_OF_TARGETS = ("H", "S", "F")  # first letters of the codes of verdicts
_LEGEND_MM = 9.0  # least paper for the legend
_SCREEN_SCALE = 50  # drawings of their own are not bound to a paper size


def frame_svg(plan: WallPlan) -> str:
    """The framing elevation as a drawing of its own, whole."""
    view, width, height = own_view(plan, framing.SPACE)
    sheet = SvgSheet(width, height)
    framing.draw_framing(sheet, plan, view)
    return sheet.svg()


def board_svg(plan: WallPlan, layer: int) -> str:
    """The board elevation of one layer as a drawing of its own, whole."""
    view, width, height = own_view(plan, boarding.SPACE)
    sheet = SvgSheet(width, height)
    boarding.draw_boarding(sheet, plan, layer, view)
    return sheet.svg()


def own_view(plan: WallPlan, space: Space) -> tuple[View, float, float]:
    """How a drawing of its own shows the whole wall, and the width and height it takes. [mm]"""
    return make_view(plan.wall, _own_scale(plan, space), space)


def _own_scale(plan: WallPlan, space: Space) -> int:
    scale = fit_scale(plan.wall.length_mm, plan.wall.height_mm, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, space)
    return min(scale, _SCREEN_SCALE)


def placed(plan: WallPlan, scale: int, space: Space, top: float, part: int, parts: int) -> tuple[View, float]:
    """A view in the middle of the field's width (parts: at its left), hung from ``top``; and its bottom."""
    view, width, height = make_view(plan.wall, scale, space, part, parts)
    aside = max(0.0, (FIELD_WIDTH_MM - width) / 2) if parts == 1 else 0.0
    return replace(view, left_mm=view.left_mm + aside, bottom_mm=view.bottom_mm + top - height), top - height


def frame_page(plan: WallPlan) -> Page:
    """Framing elevation with the lining's build-up and the rules not kept beside it."""
    scale, parts = fit_parts(plan.wall, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, framing.SPACE)
    sheet = SvgSheet(FIELD_WIDTH_MM, FIELD_HEIGHT_MM)
    top = FIELD_HEIGHT_MM
    for part in range(parts):
        view, top = placed(plan, scale, framing.SPACE, top, part, parts)
        framing.draw_framing(sheet, plan, view)
    if top > _LEGEND_MM:
        draw_legend(sheet, plan, (4, top - 5), FIELD_WIDTH_MM - 8)
    notes = [
        Note(
            heading="Lining, from the old wall to the room" if k == 0 else "",
            lead=f"{row[0]}:",
            text=str(row[1]),
        )
        for k, row in enumerate(build_up_table(plan).rows)
    ]
    if CLOSING.applies(plan):
        notes.append(Note(heading="Hold point", text=CLOSING.text))
    notes.append(
        Note(
            heading="Setting out",
            text="All figures in mm. x from the left end of the wall as seen from the room, y from the floor"
            " at that end: the circles. Below: middle of each stud with its mark. Above: corners of the"
            " outline, edges of openings, middle of boxes. Left: the old wall. Right: head and sill members"
            " at the edge that faces the opening; noggings, backing, brackets and boxes at their middle."
            " A, B: where the sections are cut; arrows point the way they look.",
        )
    )
    notes += [
        Note(lead=f"Grid from {grid.origin_mm} at {grid.spacing_mm:.4g}:", text=grid.reason)
        for grid in plan.grids[:4]
    ]
    notes += _finding_notes(plan)
    return Page(
        wall=plan.wall.id,
        title="Frame",
        subject=subject_of(plan),
        scale=f"1:{scale}",
        svg=sheet.svg(),
        notes=fitting(notes, "More: see the schedules."),
    )


def _finding_notes(plan: WallPlan) -> list[Note]:
    """What must be answered first, then the rules not kept, then the targets not met."""
    ask = [sentence(f.text) for f in plan.findings if f.code == _QUESTION]
    targets = [f for f in plan.findings if f.code.startswith(_OF_TARGETS) and f.code != _DAMP]
    kept = [f for f in plan.findings if f.code not in (_QUESTION, _DAMP) and f not in targets]
    notes = [Note(heading="To be answered before work starts")] if ask else []
    notes += [Note(text=text) for text in ask]
    none = "" if kept else "None: every rule of the practice set is kept."
    notes.append(Note(heading="Rules not kept", text=none))
    for f in kept:
        lead = f"{f.code}, layer {f.layer}:" if f.layer else f"{f.code}:"
        remedy = sentence(f.remedy[:1].upper() + f.remedy[1:])
        text = f"at {f.x_mm:.0f} / {f.y_mm:.0f}: {sentence(f.text)} {remedy}"
        notes.append(Note(lead=lead, text=text))
    if targets:
        notes.append(Note(heading="Targets not met (see the sheets that follow)"))
        notes += [Note(lead=f"{f.code}:", text=sentence(f.text)) for f in targets]
    return notes


def _forbidden(plan: WallPlan) -> list[Note]:
    """What stands first on every sheet of a wall that is damp."""
    return [
        Note(
            heading="DAMP: DO NOT LINE THIS WALL YET", lead=f"{f.code}:", text=f"{sentence(f.text)} {remedy}"
        )
        for f in plan.findings
        if f.code == _DAMP
        for remedy in [sentence(f.remedy[:1].upper() + f.remedy[1:])]
    ]


def sentence(text: str) -> str:
    """The text with a full stop, if it has no end yet."""
    return text if text.endswith((".", "?", "!")) else f"{text}."


def fitting(notes: Sequence[Note], more: str) -> tuple[Note, ...]:
    """As many notes as the side takes; the last line says so when some are left out."""
    kept: list[Note] = []
    room = _SIDE_HEIGHT_MM
    for note in notes:
        room -= note.height_mm()
        if room < 2 * _LINE_MM:
            return (*kept, Note(text=more))
        kept.append(note)
    return tuple(kept)


def board_pages(plan: WallPlan) -> tuple[list[Page], list[Sketch]]:
    """Board elevations, with sketches of shaped boards below them; and the sketches that found no room.

    All layers share one page where that costs no scale.
    """
    wall, layers = plan.wall, boarding.layers_of(plan)
    scale, parts = fit_parts(wall, FIELD_WIDTH_MM, FIELD_HEIGHT_MM, boarding.SPACE)
    each = FIELD_HEIGHT_MM / max(1, len(layers))
    shared, _ = fit_parts(wall, FIELD_WIDTH_MM, each, boarding.SPACE)
    together = shared == scale
    groups = [layers] if together else [[layer] for layer in layers]
    pages: list[Page] = []
    left_over: list[Sketch] = []
    for group in groups:
        sheet = SvgSheet(FIELD_WIDTH_MM, FIELD_HEIGHT_MM)
        top = FIELD_HEIGHT_MM
        for layer in group:
            for part in range(parts):
                view, top = placed(plan, scale, boarding.SPACE, top, part, parts)
                boarding.draw_boarding(sheet, plan, layer, view)
        shaped = [sketch for sketch in sketches_of(plan) if sketch.layer in group]
        left_over += draw_sketches(sheet, shaped, (4, 0, FIELD_WIDTH_MM, top - 4))
        named = "s" if len(group) > 1 else ""
        pages.append(
            Page(
                wall=wall.id,
                title=f"Boards, layer{named} {' and '.join(map(str, group))}",
                subject=subject_of(plan),
                scale=f"1:{scale}",
                svg=sheet.svg(),
                notes=fitting(_board_notes(plan), "More: see the schedules."),
            )
        )
    return pages, left_over


def _board_notes(plan: WallPlan) -> list[Note]:
    last = max(boarding.layers_of(plan), default=0)
    notes = [
        Note(
            heading="Reading the boards",
            text="Seen from the room. Full lines: boards of this layer; dashed: joints of the layer below;"
            " chain lines: middle of studs; dots: screws. Sizes are width × length of the cut piece."
            " Below: upright edges; above: opening edges and middle of cut-outs; left: level edges;"
            " right: cut-outs.",
        )
    ]
    for layer in range(1, last + 1):
        lines = [s for s in plan.screws if s.layer == layer]
        if lines:
            steps = [b - a for s in lines for a, b in zip(s.places_mm, s.places_mm[1:], strict=False)]
            count = sum(len(s.places_mm) for s in lines)
            widest = f", at most {max(steps)} apart" if steps else ""
            notes.append(
                Note(
                    heading="Screws" if layer == 1 else "",
                    lead=f"Layer {layer}:",
                    text=f"{count} of {lines[0].item}{widest}",
                )
            )
    gaps = plan.gaps
    moving = f"; {gaps.movement_mm} at movement joints" if plan.movement_joints_mm else ""
    stops = f"{gaps.floor_mm} above the floor, {gaps.head_mm} below the head, {gaps.side_mm} from the sides"
    notes.append(Note(heading="Gaps", text=f"Boards stop {stops}{moving}; gaps are sealed."))
    if sketches_of(plan):
        notes.append(
            Note(
                heading="Cut to shape",
                text="Boards that are more than a rectangle, seen from the room, dimensioned from their own"
                " lower left corner; heavy edges are factory edges. All other boards are plain rectangles.",
            )
        )
    if plan.penetrations:
        pierced = [p.of for p in plan.penetrations if p.pierces_membrane]
        text = ", ".join(dict.fromkeys(p.of for p in plan.penetrations))
        tail = f" These pierce the membrane: {', '.join(dict.fromkeys(pierced))}." if pierced else ""
        notes.append(Note(heading="Seal round", text=text + "." + tail))
    return notes


def section_page(plan: WallPlan, practice: Practice) -> Page:
    """Horizontal and vertical sections with the cautions that apply to this wall."""
    sheet = SvgSheet(SHEET_WIDTH_MM, SHEET_HEIGHT_MM)
    draw_sections(sheet, plan, practice)
    varies = depths_vary(plan)
    depth = (Note(heading="Depth", text=varies),) if varies else ()
    return Page(
        wall=plan.wall.id,
        title="Sections",
        subject=subject_of(plan),
        scale="as shown",
        svg=sheet.svg(),
        notes=(*depth, *_caution_notes([plan])),
    )


def _caution_notes(plans: Sequence[WallPlan]) -> tuple[Note, ...]:
    return tuple(
        Note(heading="Cautions" if k == 0 else "", lead=f"{caution.topic}.", text=caution.text)
        for k, caution in enumerate(cautions_for(plans))
    )


def schedule_page(plan: WallPlan, sketches: Sequence[Sketch] = ()) -> Page:
    """All pieces of the wall in tables, every rule not kept, and the sketches that found no room before."""
    tables = wall_tables(plan)
    if plan.findings:
        tables.append(finding_table([plan]))
    note = Note(
        heading="Reading the schedules",
        text="Lengths in mm. Marks are those on the elevations; on pieces write them with the wall"
        f" before: {plan.wall.id}. End cut: angle from square, seen from the room; positive rises to the"
        " right. From: length of the board it is cut from.",
    )
    return Page(
        wall=plan.wall.id,
        title="Schedules",
        subject=subject_of(plan),
        scale=f"sketches 1:{SCALE}" if sketches else "",
        tables=tuple(tables),
        sketches=tuple(sketch_svg(sketch) for sketch in sketches),
        notes=(note,),
    )


def wall_pages(plan: WallPlan, practice: Practice, performance: Performance | None = None) -> list[Page]:
    """All pages of one wall, in their order; with its performance where there is something to say."""
    boards, sketches = board_pages(plan)
    pages = [frame_page(plan), *boards, section_page(plan, practice)]
    if performance and (performance.heat or performance.climate):
        from innerleaf.documents.performance import performance_page

        pages.append(performance_page(plan, performance))
    if performance and plan.wall.id in performance.case_walls[:1]:
        from innerleaf.documents.moisture_page import moisture_page

        pages.append(moisture_page(plan, performance, practice))
    if performance and (performance.sound or performance.frame):
        from innerleaf.documents.sound_page import sound_and_frame_page

        pages.append(sound_and_frame_page(plan, performance))
    pages.append(schedule_page(plan, sketches))
    first = _forbidden(plan)
    more = "More: see the plan file."
    return [replace(page, notes=fitting([*first, *page.notes], more)) for page in pages] if first else pages


def cover_pages(plans: Sequence[WallPlan], title: TitleBlock) -> list[Page]:
    """The cover with key and cautions, then the list of sheets."""
    sheet = SvgSheet(FIELD_WIDTH_MM, FIELD_HEIGHT_MM - 24)
    draw_key(sheet, plans, FIELD_WIDTH_MM - 2, FIELD_HEIGHT_MM - 24)
    statement = (Note(heading="Please note", text=title.statement),) if title.statement else ()
    listing = finding_table(plans)
    return [
        Page(
            wall="",
            title="Cover",
            subject="Key and cautions",
            scale="",
            svg=sheet.svg(),
            notes=(*statement, *_caution_notes(plans)),
        ),
        Page(
            wall="",
            title="List of sheets",
            subject="All walls",
            scale="",
            contents=True,
            tables=(listing,) if listing.rows else (),
            notes=statement,
        ),
    ]
