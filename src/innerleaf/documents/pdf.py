"""The set of sheets as one PDF: our drawings inside pages, tables and title blocks set by the typesetter."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from importlib.resources import files

from innerleaf.documents.pages import Page, cover_pages, wall_pages
from innerleaf.documents.title import TitleBlock
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice


def set_pdf(pages: Sequence[Page], title: TitleBlock, rooms: dict[str, str]) -> bytes:
    """Pages to PDF; the same pages give the same bytes. ``rooms`` names the room of each wall."""
    import typst

    listed = []
    wall = None
    for page in pages:
        listed.append(asdict(page) | {"first": page.wall != wall or not page.wall, "room": rooms.get(page.wall, "")})
        wall = page.wall
    data = json.dumps({"title": asdict(title), "pages": listed}, ensure_ascii=False)
    template = files("innerleaf.documents").joinpath("set.typ").read_bytes()
    fonts = files("font_source_sans_pro") / "files"
    pdf: bytes = typst.compile(
        {"main": template, "set.json": data.encode()}, font_paths=[str(fonts)], ignore_system_fonts=True, timestamp=0
    )
    return pdf


def sheets_pdf(plans: Sequence[WallPlan], practice: Practice, title: TitleBlock) -> bytes:
    """The whole set: cover, list of sheets, then every wall's pages."""
    pages = cover_pages(plans, title)
    for plan in plans:
        pages += wall_pages(plan, practice)
    return set_pdf(pages, title, {plan.wall.id: plan.wall.room for plan in plans})


def wall_pdf(plan: WallPlan, practice: Practice, title: TitleBlock) -> bytes:
    """One wall's pages alone, for a quick look."""
    return set_pdf(wall_pages(plan, practice), title, {plan.wall.id: plan.wall.room})
