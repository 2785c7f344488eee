"""Two revisions of a job held against each other: which walls changed, in what, and how it looks."""

from __future__ import annotations

from dataclasses import dataclass, fields
from html import escape

from innerleaf.documents import framing
from innerleaf.documents.framing import draw_framing
from innerleaf.documents.view import View, make_view
from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.wall import Wall
from innerleaf.web.desk import Opened
from innerleaf.web.drawing import SCALE, PageSheet


@dataclass(frozen=True, slots=True)
class WallChange:
    """A wall that is not the same in two revisions; ``fields`` are named as the survey names them."""

    wall: str
    how: str  # new, gone, changed
    fields: tuple[str, ...] = ()


def wall_changes(before: Opened, after: Opened) -> list[WallChange]:
    """Walls that came, went or changed, in the order of the later revision."""
    found = []
    for name, wall in after.walls.items():
        old = before.walls.get(name)
        if old is None:
            found.append(WallChange(name, "new"))
        elif old != wall:
            found.append(WallChange(name, "changed", _differing(old, wall)))
    return [*found, *(WallChange(name, "gone") for name in before.walls if name not in after.walls)]


def _differing(old: Wall, new: Wall) -> tuple[str, ...]:
    names = (field.name for field in fields(Wall) if getattr(old, field.name) != getattr(new, field.name))
    return tuple(name.removesuffix("_mm").replace("_", " ") for name in names)


def piece_changes(before: WallPlan, after: WallPlan) -> list[tuple[str, int, int]]:
    """Numbers of pieces that differ: what they are, how many before, how many after."""
    kinds = ("members", "bars", "brackets", "boards", "slabs", "membrane", "findings")
    counts = ((kind, len(getattr(before, kind)), len(getattr(after, kind))) for kind in kinds)
    return [(kind, old, new) for kind, old, new in counts if old != new]


def overlay(before: WallPlan, after: WallPlan) -> str:
    """The frame of both, datum on datum: the earlier one below, in a colour and dashes of its own."""
    new, new_view, (width, height) = _drawn(after)
    old, old_view, _ = _drawn(before)
    aside = new_view.left_mm - old_view.left_mm
    down = (height - new_view.bottom_mm) - (old.height_mm - old_view.bottom_mm)
    label = escape(f"Wall {after.wall.id}, two revisions over each other")
    moved = f"translate({aside:.2f} {down:.2f})"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{label}" class="overlay"'
        f' viewBox="0 0 {width:.2f} {height:.2f}"><g class="before" transform="{moved}">'
        f'{_inside(old)}</g><g class="after">{_inside(new)}</g></svg>'
    )


def _drawn(plan: WallPlan) -> tuple[PageSheet, View, tuple[float, float]]:
    view, width, height = make_view(plan.wall, SCALE, framing.SPACE)
    sheet = PageSheet(width, height)
    draw_framing(sheet, plan, view)
    return sheet, view, (width, height)


def _inside(sheet: PageSheet) -> str:
    """The drawing without what is round it, and without clips: two of them would share their names."""
    whole = sheet.plain()
    return whole[whole.index(">") + 1 : whole.rindex("</svg>")].replace(' clip-path="url(#clip-0)"', "")
