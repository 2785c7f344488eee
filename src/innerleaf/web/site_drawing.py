"""Drawings for a tablet held in gloves: those of the sheets, their words larger; what is built is marked."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import Final

from innerleaf.documents import boarding, framing
from innerleaf.documents.boarding import draw_boarding, layers_of
from innerleaf.documents.framing import draw_framing
from innerleaf.documents.view import View, make_view
from innerleaf.layout.pieces import Ring
from innerleaf.site.replan import AsBuilt
from innerleaf.web.drawing import PageSheet, bars, boards

_SCALE: Final = 50  # twice that of the wall's page: words are as large again beside what they name


def site_drawings(built: AsBuilt) -> dict[str, str]:
    """The frame and each layer of boards, by the name of what they show."""
    plan = built.plan
    found = {}
    view, width, height = make_view(plan.wall, _SCALE, framing.SPACE)
    sheet = PageSheet(width, height)
    draw_framing(sheet, plan, view)
    places = [(one.mark, one.ring, _member_of(built, one.mark) in built.members) for one in bars(plan)]
    found["frame"] = sheet.on_page(view, f"Frame of wall {plan.wall.id}", _targets(sheet, view, places))
    for layer in layers_of(plan):
        view, width, height = make_view(plan.wall, _SCALE, boarding.SPACE)
        sheet = PageSheet(width, height)
        draw_boarding(sheet, plan, layer, view)
        places = [(one.mark, one.ring, one.mark in built.boards) for one in boards(plan, layer)]
        label = f"Boards of wall {plan.wall.id}, layer {layer}"
        found[f"boards-{layer}"] = sheet.on_page(view, label, _targets(sheet, view, places))
    return found


def _member_of(built: AsBuilt, bar: str) -> str:
    return next((one.member for one in built.plan.bars if one.mark == bar), "")


def _targets(sheet: PageSheet, view: View, places: list[tuple[str, Ring, bool]]) -> Iterator[str]:
    """What can be pointed at; a list beside the drawing says the same to those who do not point."""
    for mark, ring, done in places:
        path = "L".join(f"{x:.2f} {sheet.height_mm - y:.2f}" for x, y in view.ring(ring))
        state = " built" if done else ""
        yield f'<path class="target{state}" d="M{path}z" data-mark="{escape(mark)}" aria-hidden="true"/>'
