"""The hand-over pack as one PDF for the archive (PDF/A-3b: it carries files), repeatable to the byte."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any, Final

from innerleaf.documents.handover_files import Attached
from innerleaf.documents.handover_model import HandoverPack, WallPack
from innerleaf.documents.handover_tables import (
    Section,
    document_table,
    material_table,
    sections_of,
    summary_table,
)
from innerleaf.documents.pages import Note, board_pages, fitting, frame_page, section_page
from innerleaf.documents.pdf import typeset
from innerleaf.documents.price_sheet import PAPER, paper
from innerleaf.documents.revision_drawing import drawings_of
from innerleaf.documents.revision_pages import cloud_notes
from innerleaf.documents.tables import block_of
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.revise.match import held_together
from innerleaf.revise.pieces import pieces_of

ARCHIVE: Final = "a-3b"
DATA: Final = "handover.json"
_WIDTH_MM: Final = 168.0
_PLEASE_NOTE: Final = (
    "Structural, fire, electrical and moisture decisions follow local codes and licensed practice; this pack"
    " is a basis for them, not a substitute. Performance is calculated, not measured. Times are those at"
    " which records arrived, UTC."
)
_SIGNING: Final = (
    "The linings named in this pack are handed over and taken over as recorded in it; what is listed as open"
    " stays open."
)


def handover_pdf(
    pack: HandoverPack,
    drawn: Mapping[str, WallPlan],
    built: Mapping[str, WallPlan],
    practice: Practice,
    photos: Mapping[str, bytes],
    attached: Sequence[Attached],
    data: bytes,
) -> bytes:
    """The pack to PDF; ``drawn`` and ``built`` plans by wall, ``photos`` by digest, ``data`` its JSON."""
    files = [
        {"path": DATA, "relationship": "data", "media": "application/json", "title": "This pack as data"},
        *(
            {
                "path": f"documents/{one.about.file}",
                "relationship": "supplement",
                "media": one.about.media,
                "title": one.about.title,
            }
            for one in attached
        ),
    ]
    given = {
        "project": pack.project,
        "place": pack.place,
        "firm": pack.firm,
        "date": pack.date,
        "day": [int(part) for part in pack.date.split("-")],
        "statement": pack.statement,
        "head": _head(pack),
        "summary": [asdict(block_of(summary_table(pack), _WIDTH_MM))],
        "open": pack.open_points,
        "please-note": _PLEASE_NOTE,
        "walls": [
            _wall(wall, drawn[wall.wall], built[wall.wall], practice, frozenset(photos))
            for wall in pack.walls
        ],
        "parts": _parts(pack),
        "files": files,
        "signing": _SIGNING,
        "signatures": pack.signatures,
    }
    folder = {"pack.json": json.dumps(given, ensure_ascii=False).encode(), PAPER: paper(), DATA: data}
    folder |= {_photo_file(digest): raw for digest, raw in photos.items()}
    folder |= {f"documents/{one.about.file}": one.content for one in attached}
    return typeset("handover.typ", folder, standards=(ARCHIVE,))


def _photo_file(digest: str) -> str:
    return f"photo-{digest[:32]}.jpg"


def _head(pack: HandoverPack) -> list[tuple[str, str]]:
    chain = pack.chain
    rows = [
        ("for", ", ".join(pack.client)),
        ("date", pack.date),
        ("walls", f"{len(pack.walls)} in this pack"),
        ("walls of the job without records", ", ".join(pack.not_in_it)),
        (
            "records",
            f"{chain.records}, the last with digest {chain.last_digest}" if chain.records else "none",
        ),
        (
            "chain of records",
            "; ".join(chain.faults) if chain.faults else "whole: no record changed, missing or out of order",
        ),
    ]
    return [row for row in rows if row[1]]


def _wall(
    wall: WallPack, drawn: WallPlan, built: WallPlan, practice: Practice, photos: frozenset[str]
) -> dict[str, Any]:
    name = "" if wall.name == wall.wall else wall.name
    return {
        "title": " · ".join(filter(None, (wall.wall, name))),
        "head": [("room", ", ".join(filter(None, (wall.room, wall.storey)))), *wall.build_up],
        "sections": [_section(section, photos) for section in sections_of(wall)],
        "drawings": _drawings(drawn, built, practice),
    }


def _section(section: Section, photos: frozenset[str] = frozenset()) -> dict[str, Any]:
    return {
        "title": section.title,
        "words": section.words,
        "lines": section.lines,
        "tables": [asdict(block_of(table, _WIDTH_MM)) for table in section.tables if table.rows],
        "photos": [
            {"file": _photo_file(digest) if digest in photos else "", "caption": caption}
            for digest, caption in section.photos
        ],
    }


def _drawings(drawn: WallPlan, built: WallPlan, practice: Practice) -> list[dict[str, Any]]:
    """Frame, boards and sections as built; clouds stand round what is not as it was drawn."""
    changes = [
        change for change in held_together(pieces_of(drawn), pieces_of(built)) if change.how != "stayed"
    ]
    clouded = {drawing.title: drawing for drawing in drawings_of(built, changes)} if changes else {}
    pages = [frame_page(built), *board_pages(built)[0], section_page(built, practice)]
    shown = []
    for page in pages:
        marked = clouded.pop(page.title, None)
        notes = fitting([*cloud_notes(marked.clouds), *page.notes], "") if marked else page.notes
        shown.append(
            _drawing(
                page.title,
                page.scale if marked is None else f"1:{marked.scale}",
                marked.svg if marked else page.svg,
                notes,
            )
        )
    rest = [
        _drawing(one.title, f"1:{one.scale}", one.svg, cloud_notes(one.clouds)) for one in clouded.values()
    ]
    return [*shown, *rest]


def _drawing(title: str, scale: str, svg: str, notes: Sequence[Note]) -> dict[str, Any]:
    return {
        "title": f"{title}, as built",
        "scale": f"{scale} on A3" if scale.startswith("1:") else scale,
        "svg": svg,
        "notes": [asdict(note) for note in notes],
    }


def _parts(pack: HandoverPack) -> list[dict[str, Any]]:
    """What is the same for all walls."""
    care = Section(title="Care", lines=tuple(f"{topic}: {text}" for topic, text in pack.care))
    cautions = Section(title="Please note", lines=tuple(f"{topic}. {text}" for topic, text in pack.cautions))
    parts = [
        (
            "Materials and documents",
            [Section(title="Materials", tables=(material_table(pack),)), _documents(pack)],
        ),
        ("Care and fixing", [care]),
        ("Cautions", [cautions]),
    ]
    return [
        {"title": title, "sections": [_section(section) for section in sections if not section.empty]}
        for title, sections in parts
    ]


def _documents(pack: HandoverPack) -> Section:
    words = f"The whole pack as data is in this file too, as {DATA}." if pack.documents else ""
    return Section(title="Documents", words=(words,) if words else (), tables=(document_table(pack),))
