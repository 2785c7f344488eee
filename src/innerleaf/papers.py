"""All papers of a plan into one folder, the slow ones in several processes.

A set of many walls is printed in parts: the typesetter keeps some 9 MiB for each wall until its
process ends, and a file of thousands of pages is of use to nobody.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from innerleaf.documents.cut_list import cut_list
from innerleaf.documents.cut_papers import cut_files
from innerleaf.documents.labels_page import label_files, labels_of
from innerleaf.documents.plan_pages import plan_pages
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.write import file_stems, write_elevations_and_workbook
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.takeoff.model import Takeoff
from innerleaf.work import run_tasks

if TYPE_CHECKING:  # heat and moisture load much, and only when they are asked for
    from innerleaf.cost.model import Order
    from innerleaf.cost.price_job import Priced
    from innerleaf.design.choice.building import BuildingChoice
    from innerleaf.design.performance import Performance
    from innerleaf.documents.pages import Page
    from innerleaf.programme.model import Programme
    from innerleaf.survey.storey_plan import StoreyPlan
    from innerleaf.takeoff.together import TogetherReport

Progress = Callable[[str, int, int], None]  # what is being done, how many are done, of how many

WALLS_OF_ONE_SET = 64  # more than this are printed in parts,
WALLS_OF_A_PART = 32  # each of about so many
_WALLS_PER_TASK = 20  # DXF


def write_papers(
    folder: Path,
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    title: TitleBlock,
    practice: Practice,
    *,
    pdf: bool,
    dxf: bool,
    workers: int,
    progress: Progress,
    performances: Mapping[str, Performance] = MappingProxyType({}),
    pages: str = "",
    priced: Priced | None = None,
    order: Order | None = None,
    together: TogetherReport | None = None,
    choice: BuildingChoice | None = None,
    storeys: Sequence[StoreyPlan] = (),
    programme: Programme | None = None,
) -> None:
    """Write drawings, workbook, printed set, cut list, labels and CAD files of a plan into ``folder``.

    With ``priced`` the quotation and the sheet of the price as well, with ``order`` what is bought, with
    ``choice`` how linings were chosen, with ``programme`` when who does what.
    Of ``storeys`` those that the job says enough of are drawn on plan.

    ``performances`` go by wall id; a wall without one has no performance sheet. ``pages`` is the address
    where the firm puts the folder: codes on labels lead there.
    """
    cut = cut_list(plans, takeoff, practice.rules, order)
    write_elevations_and_workbook(
        folder,
        plans,
        takeoff,
        title,
        performances=performances,
        cut=cut,
        price=priced.report.price if priced else None,
        order=order,
        together=together,
        progress=progress,
    )
    parts = _parts(plans) if pdf else []
    walls = [plan.wall for plan in plans]
    tasks = [
        _pdf_task(
            folder, part, number, len(parts), title, practice, performances, plan_pages(storeys, part, walls)
        )
        for number, part in enumerate(parts, 1)
    ]
    made = cut_files(cut, title, together) if pdf else []
    made += label_files(labels_of(plans, cut, pages), practice.rules, title) if pdf else []
    if priced and pdf:
        from innerleaf.documents.quotation import money_files

        made += money_files(priced, plans, title)
    if order and pdf:
        from innerleaf.documents.order_page import order_files

        made += order_files(order, title)
    if choice and pdf:
        from innerleaf.design.choice.record import record_choice
        from innerleaf.documents.choice_page import choice_files

        made += choice_files(record_choice(choice), title)
    if programme:
        from innerleaf.documents.programme_pages import plain_files, programme_files

        made += programme_files(programme, title) if pdf else plain_files(programme, title)
    tasks += [partial(_write_made, folder / name, make) for name, make in made]
    tasks += _dxf_tasks(folder / "dxf", plans) if dxf else []
    steps = run_tasks(tasks, workers=workers, fresh=len(parts) > 1)
    progress("papers", 0, len(tasks))
    for done, _ in enumerate(steps, 1):
        progress("papers", done, len(tasks))


def _parts(plans: Sequence[WallPlan]) -> list[Sequence[WallPlan]]:
    count = 1 if len(plans) <= WALLS_OF_ONE_SET else -(-len(plans) // WALLS_OF_A_PART)
    cuts = [len(plans) * number // count for number in range(count + 1)]
    return [plans[cuts[number] : cuts[number + 1]] for number in range(count)]


def _pdf_task(
    folder: Path,
    part: Sequence[WallPlan],
    number: int,
    of: int,
    title: TitleBlock,
    practice: Practice,
    performances: Mapping[str, Performance],
    key: Sequence[Page],
) -> Callable[[], None]:
    judged = {plan.wall.id: performances[plan.wall.id] for plan in part if plan.wall.id in performances}
    if of == 1:
        return partial(_write_pdf, folder / "sheets.pdf", part, practice, title, judged, key)
    path = folder / f"sheets-{number:0{len(str(of))}d}.pdf"
    its_title = replace(title, project=f"{title.project}, part {number} of {of}")
    return partial(_write_pdf, path, part, practice, its_title, judged, key)


def _dxf_tasks(folder: Path, plans: Sequence[WallPlan]) -> list[Callable[[], None]]:
    folder.mkdir(exist_ok=True)
    paths = [folder / f"{stem}.dxf" for stem in file_stems([plan.wall.id for plan in plans])]
    starts = range(0, len(plans), _WALLS_PER_TASK)
    return [
        partial(_write_dxf, paths[at : at + _WALLS_PER_TASK], plans[at : at + _WALLS_PER_TASK])
        for at in starts
    ]


def _write_pdf(
    path: Path,
    plans: Sequence[WallPlan],
    practice: Practice,
    title: TitleBlock,
    performances: Mapping[str, Performance],
    key: Sequence[Page],
) -> None:
    from innerleaf.documents.pdf import sheets_pdf

    path.write_bytes(sheets_pdf(plans, practice, title, performances=performances, key=key))


def _write_made(path: Path, make: Callable[[], bytes]) -> None:
    path.write_bytes(make())


def _write_dxf(paths: Sequence[Path], plans: Sequence[WallPlan]) -> None:
    from innerleaf.documents.dxf import wall_dxf

    for path, plan in zip(paths, plans, strict=True):
        path.write_text(wall_dxf(plan), encoding="utf-8", newline="\n")
