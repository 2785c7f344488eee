"""The set of sheets as one PDF: our drawings inside pages, tables and title blocks set by the typesetter."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from innerleaf.documents.pages import Page, cover_pages, wall_pages
from innerleaf.documents.tables import block_of
from innerleaf.documents.title import TitleBlock
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice

if TYPE_CHECKING:
    from innerleaf.design.performance import Performance

_WHOLE_MM, _COLUMN_MM = 288.0, 141.0  # paper for a table: over the whole field, in one of two columns
_KINDS = ("Frame", "Boards", "Sections", "Performance", "Moisture", "Sound and frame", "Schedules")


def set_pdf(pages: Sequence[Page], plans: Sequence[WallPlan], title: TitleBlock) -> bytes:
    """Pages to PDF; the same pages give the same bytes. ``plans`` are the walls the list of sheets names."""
    first: dict[tuple[str, str], int] = {}
    begins: list[bool] = []
    for index, page in enumerate(pages):
        begins.append(not page.wall or page.wall != pages[index - 1].wall or index == 0)
        first.setdefault((page.wall, page.title.split(",")[0]), index)
    kinds = [kind for kind in _KINDS if any(kind == of for _, of in first)]
    walls = [
        {
            "id": plan.wall.id,
            "name": plan.wall.name,
            "room": ", ".join(part for part in (plan.wall.room, plan.wall.storey) if part),
            "lining": f"{plan.wall.lining.way.value}, {plan.wall.lining.profile}",
            "pages": [first.get((plan.wall.id, kind)) for kind in kinds],
        }
        for plan in plans
    ]
    listed = [_page(page) | {"first": begin} for page, begin in zip(pages, begins, strict=True)]
    of_set = {"title": asdict(title), "pages": listed, "walls": walls, "kinds": [k.lower() for k in kinds]}
    return typeset("set.typ", {"set.json": json.dumps(of_set, ensure_ascii=False).encode()})


def typeset(template: str, given: Mapping[str, bytes], *, standards: Sequence[str] = ()) -> bytes:
    """A template of this folder to PDF, with the files it reads; the same files give the same bytes.

    ``standards`` are parts of PDF/A, such as "a-3b", that the file must conform to; only then may the files
    be pictures and the like.
    """
    main = files("innerleaf.documents").joinpath(template).read_bytes()
    if not standards:
        return _compiled({"main": main, **given}, ())
    with TemporaryDirectory() as folder:  # files that are no text it reads from a disk only
        for name, content in {"main.typ": main, **given}.items():
            path = Path(folder) / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(content)
        return _compiled(str(Path(folder) / "main.typ"), standards)


def _compiled(given: Mapping[str, bytes] | str, standards: Sequence[str]) -> bytes:
    import typst

    fonts = files("font_source_sans_pro") / "files"
    set_pages: Any = typst.compile  # its types know only one file; it takes a folder of them
    pdf: bytes = set_pages(
        given,
        font_paths=[str(fonts)],
        ignore_system_fonts=True,
        timestamp=0,
        pdf_standards=list(standards),
        pdf_tags=False,  # tags would treble the file and the time
    )
    return pdf


def _page(page: Page) -> dict[str, Any]:
    """A page as the template takes it."""
    width = _WHOLE_MM if page.contents or page.wide else _COLUMN_MM
    return asdict(page) | {"tables": [asdict(block_of(table, width)) for table in page.tables]}


def sheets_pdf(
    plans: Sequence[WallPlan],
    practice: Practice,
    title: TitleBlock,
    *,
    performances: Mapping[str, Performance] = MappingProxyType({}),
    key: Sequence[Page] = (),
) -> bytes:
    """The whole set: cover, list of sheets, plans of the storeys (``key``), then every wall's pages.

    ``performances`` go by wall id.
    """
    pages = [*cover_pages(plans, title), *key]
    for plan in plans:
        pages += wall_pages(plan, practice, performances.get(plan.wall.id))
    return set_pdf(pages, plans, title)


def wall_pdf(plan: WallPlan, practice: Practice, title: TitleBlock) -> bytes:
    """One wall's pages alone, for a quick look."""
    return set_pdf(wall_pages(plan, practice), [plan], title)
