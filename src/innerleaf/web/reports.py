"""Reports that pages show: tables, notes and drawings of the printed sheets, in the folder of a run.

A report is a JSON file of parts and the drawings beside it; a part belongs to one tab of its page.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict
from math import isfinite
from pathlib import Path
from typing import Any

from innerleaf.design.choice.report import SHOWN, WallOptions
from innerleaf.documents.cut_list import cut_list
from innerleaf.documents.cut_papers import cut_pages, cut_sheets
from innerleaf.documents.order_page import order_pages
from innerleaf.documents.pages import Note, Page, wall_pages
from innerleaf.documents.price_tables import price_tables
from innerleaf.documents.schedule import Table
from innerleaf.documents.tabs import SheetTable
from innerleaf.documents.takeoff_tabs import purchase_sheet, takeoff_sheet
from innerleaf.folder import whole_folder
from innerleaf.pipeline import Planned, bought, judged, options_of, plan_job, priced
from innerleaf.verdicts import Verdict
from innerleaf.web.desk import Opened

REPORT = "report.json"
Progress = Callable[[str, int, int], None]


def write_numbers(opened: Opened, folder: Path, tell: Progress) -> None:
    """What the whole building takes: material, cuts, order, price."""
    planned = priced(bought(plan_job(opened.file, together=True, progress=tell)))
    _write(folder, _numbers(planned))


def write_proof(opened: Opened, wall: str, folder: Path, tell: Progress) -> None:
    """What one wall does: verdicts with their working, sections, heat, moisture, sound, frame."""
    planned = judged(plan_job(opened.file, only=(wall,), progress=tell), progress=tell)
    (plan,), (performance,) = planned.plans, planned.performances
    pages = wall_pages(plan, planned.practice, performance)
    parts = [_of_page("", page) for page in pages if page.title in _PROOFS]
    _write(folder, parts, verdicts=[_verdict(one) for one in performance.verdicts])


def write_options(opened: Opened, wall: str, folder: Path, tell: Progress) -> None:
    """Every lining that can be bought for one wall: the best judged in full, and what the others miss."""
    told, left_out = options_of(opened.file, only=(wall,), progress=tell)
    parts = [part for one in told for part in _of_options(one)]
    sentences = [Note(text=f"{finding.code}: {finding.text}") for finding in left_out]
    if sentences:
        parts.append(_part("", "Articles left out", notes=sentences))
    _write(folder, parts, options=[_choice_of(one) for one in told])


def _of_options(told: WallOptions) -> Iterable[dict[str, Any]]:
    """What the linings trade, and the targets."""
    trades = [Note(lead=f"{row.number}:", text=row.trade) for row in told.rows if row.trade]
    trades += [Note(text=text) for text in (*told.fell, told.change, *told.give_up, *told.notes) if text]
    if trades:
        yield _part("", "How they differ", notes=trades)
    targets = Table(
        title="What the targets rule out",
        columns=("target", "asked by", "miss it", "miss it alone"),
        rows=tuple((row.target, row.source, row.missed, row.missed_alone) for row in told.targets),
        right=("miss it", "miss it alone"),
    )
    yield _part("", targets.title, tables=[_of_table(targets)])


def _choice_of(told: WallOptions) -> dict[str, Any]:
    """The linings themselves, for a page on which one is chosen; what is not known is None."""
    rows = (*told.rows, *([told.given] if told.given else []))
    known = [by for by in SHOWN if any(by.key in row.full for row in rows)]
    return {
        "wall": told.wall,
        "objective": told.objective,
        "options": told.options,
        "passed": told.passed,
        "criteria": [
            {"key": by.key, "title": by.title, "unit": by.unit, "step": by.step, "less": by.less_is_better}
            for by in known
        ],
        "rows": [
            {
                "number": row.number,
                "lining": row.lining,
                "full": {key: _known(value) for key, value in row.full.items()},
                "misses": [*row.misses],
                "written": dict(row.written),
            }
            for row in rows
        ],
        "front": {key: [_known(value) for value in values] for key, values in told.front.items()},
        "picked": [*told.picked],
        "limits": dict(told.limits),
    }


def _known(value: float) -> float | None:
    return float(value) if isfinite(value) else None


_PROOFS = ("Sections", "Performance", "Sound and frame")


def _numbers(planned: Planned) -> list[dict[str, Any]]:
    material = [purchase_sheet(planned.takeoff), takeoff_sheet(planned.takeoff)]
    parts = [_part("material", sheet.name, tables=[_of_sheet(sheet)]) for sheet in material]
    cut = cut_list(planned.plans, planned.takeoff, planned.practice.rules, planned.order)
    parts += [_of_page("cut", page) for page in cut_pages(cut_sheets(cut))]
    if planned.order:
        parts += [_of_page("order", page) for page in order_pages(planned.order)]
    if planned.priced:
        tables = [table for table in price_tables(planned.priced.report) if table.rows]
        parts += [_part("price", table.title, tables=[_of_table(table)]) for table in tables]
    return parts


def _write(folder: Path, parts: list[dict[str, Any]], **more: Any) -> None:
    with whole_folder(folder, replace=True) as made:
        for number, part in enumerate(parts):
            if part["svg"]:
                (made / f"{number:03d}.svg").write_text(part["svg"], encoding="utf-8")
                part["svg"] = f"{number:03d}.svg"
        text = json.dumps({"parts": parts, **more}, ensure_ascii=False)
        (made / REPORT).write_text(text, encoding="utf-8")


def read_report(folder: Path) -> Mapping[str, Any]:
    """A report as it was written."""
    made = json.loads((folder / REPORT).read_text(encoding="utf-8"))
    assert isinstance(made, dict)
    return made


def _of_page(tab: str, page: Page) -> dict[str, Any]:
    title = f"{page.title}: {page.subject}" if page.subject and not page.wall else page.title
    return _part(tab, title, svg=page.svg, tables=map(_of_table, page.tables), notes=page.notes)


def _part(
    tab: str,
    title: str,
    *,
    svg: str = "",
    tables: Iterable[dict[str, Any]] = (),
    notes: Iterable[Note] = (),
) -> dict[str, Any]:
    return {
        "tab": tab,
        "title": title,
        "svg": svg,
        "tables": [*tables],
        "notes": [asdict(note) for note in notes],
    }


def _of_table(table: Table) -> dict[str, Any]:
    right = [column in table.right for column in table.columns]
    return {"title": table.title, "columns": table.columns, "right": right, "rows": table.rows}


def _of_sheet(sheet: SheetTable) -> dict[str, Any]:
    columns = [column.name for column in sheet.columns]
    right = [bool(column.form) for column in sheet.columns]
    return {"title": "", "columns": columns, "right": right, "rows": sheet.rows}


def _verdict(verdict: Verdict) -> dict[str, Any]:
    return asdict(verdict) | {"margin": verdict.margin, "met": verdict.met}
