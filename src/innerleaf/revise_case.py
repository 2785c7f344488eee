"""`innerleaf revise OLD NEW`: two plans from their files, held against each other, and the papers of it."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from innerleaf import pipeline
from innerleaf.cost.quote import Quotation
from innerleaf.documents.title import TitleBlock
from innerleaf.errors import InputError
from innerleaf.folder import whole_folder
from innerleaf.job.read import read_job
from innerleaf.layout.pieces import WallPlan
from innerleaf.pipeline import Planned
from innerleaf.plan_file import CATALOGUE, closed, plain, schema_of, write_plan
from innerleaf.plan_read import of_layout, plan_values
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.reading import read_file
from innerleaf.remaining import remaining, remaining_files
from innerleaf.revise.figures import Figure, Money
from innerleaf.revise.held_file import held_of
from innerleaf.revise.match import STAYED
from innerleaf.revise.pieces import pieces_of
from innerleaf.revise.recut import Recut
from innerleaf.revise.revision import Revision, Side, revise
from innerleaf.revise.stock import ALL, Held, StockReport
from innerleaf.site.records_file import FORMAT as RECORDS
from innerleaf.site.records_file import read_records
from innerleaf.site.replan import AsBuilt, as_built
from innerleaf.takeoff import COMMON_RULES, take_off
from innerleaf.takeoff.wishes import rules_of

FORMAT: Final = "innerleaf-revision"
VERSION: Final = 1

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Revised:
    """A revision with the later plan it leads to; ``planned`` and ``quotation`` where that was a job file.

    ``left`` is what is still to be cut, where the later plan is the earlier one as built.
    """

    revision: Revision
    before: Side
    after: Side
    planned: Planned | None
    quotation: Quotation | None
    left: Recut | None = None


def revised(
    old: Path,
    new: Path,
    *,
    bought: Path | None = None,
    names: tuple[str, str] = ("", ""),
    quick: bool = False,
    workers: int = 1,
    progress: Progress = pipeline.silent,
) -> Revised:
    """Hold two job files or plan.json of earlier plans against each other; or a plan against what is built.

    ``new`` may be a file of site records: the later plan is then the earlier one as built and still to come.

    Walls of the later job that nothing was changed on keep the layout they have in the earlier plan.
    ``bought`` is a file about what is bought and built, or a plan.json whose order is bought as a whole;
    ``names`` are what the two are called, "" for those of their files.

    Raises
    ------
    FileFaults, InputError
        A file cannot be used, or the two plans have prices in different currencies.
    """
    before, first = _side(old, (), None, quick, workers, progress)
    before = replace(before, name=names[0] or before.name)
    held = left = None
    if bought is not None:  # before the long work: a mistake in a short file should not wait for it
        before, held = _held(bought, before)
    if _is_records(new):
        after, planned, built, left = _as_built(new, before, first, held)
        held = held and replace(held, built={**held.built, **built})
    else:
        after, planned = _side(new, before.plans, before.practice, quick, workers, progress)
    after = replace(after, name=names[1] or after.name)
    if before.name == after.name:
        before, after = (
            replace(before, name=f"{before.name}, before"),
            replace(after, name=f"{after.name}, after"),
        )
    quotation = planned.priced.quotation if planned and planned.priced else None
    return Revised(
        revision=revise(before, after, held),
        before=before,
        after=after,
        planned=planned,
        quotation=quotation,
        left=left,
    )


def side_of(planned: Planned, name: str) -> Side:
    """A plan as one side of a revision."""
    job = planned.job
    return Side(
        name=name,
        project=job.name,
        place=job.site_place,
        firm=job.firm,
        practice=planned.practice,
        plans=planned.plans,
        takeoff=planned.takeoff,
        price=planned.priced.report.price if planned.priced else None,
        order=planned.order,
    )


def _side(
    path: Path,
    keep: Sequence[WallPlan],
    practice: Practice | None,
    quick: bool,
    workers: int,
    progress: Progress,
) -> tuple[Side, Planned | None]:
    """A plan.json as it is, a job file planned; ``practice`` is the one that ``keep`` was laid out by."""
    if path.suffix.lower() == ".json":
        read = plan_values(path)
        side = Side(
            name=_name(path),
            project=read.name,
            place=read.place,
            firm=read.firm,
            practice=read.practice,
            plans=read.plans,
            takeoff=read.takeoff,
            price=read.price,
            order=read.order,
        )
        return side, None
    job = read_job(path)
    own = load_practice(job.practice, job.practice_override)
    kept = [of_layout(plan) for plan in keep] if practice and _same_rules(practice, own, keep) else []
    together = not (quick or kept)
    planned = pipeline.plan_job(path, together=together, keep=kept, workers=workers, progress=progress)
    planned = pipeline.priced(pipeline.bought(planned))
    return side_of(planned, _name(path)), planned


def _is_records(path: Path) -> bool:
    """Whether a file says that it holds records of the site."""
    if path.suffix.lower() != ".json":
        return False
    with suppress(OSError, ValueError, RecursionError):
        document = json.loads(path.read_text("utf-8"))
        return isinstance(document, dict) and document.get("format") == RECORDS
    return False


def _as_built(
    path: Path, before: Side, planned: Planned | None, held: Held | None
) -> tuple[Side, Planned | None, dict[str, tuple[str, ...]], Recut]:
    """The plan around what is built, the marks of what stands, by wall, and what is left to be cut.

    Priced where a job file was.
    """
    chain = read_records(path)
    stood = [as_built(of_layout(plan), before.practice, chain) for plan in before.plans]
    plans = tuple(one.plan for one in stood)
    built = {plan.wall.id: _stands_as_drawn(plan, one) for plan, one in zip(before.plans, stood, strict=True)}
    rules = rules_of(planned.job.buying, plans) if planned else COMMON_RULES
    takeoff = take_off(plans, before.practice, rules=rules)
    left = remaining(
        before.plans, before.takeoff, stood, before.practice, rules=rules, order=before.order, held=held
    )
    name = _name(path)
    if planned is None:
        after = replace(before, name=name, plans=plans, takeoff=takeoff, price=None, order=None)
        return after, None, built, left
    now = replace(planned, plans=plans, takeoff=takeoff, order=None, priced=None)
    now = pipeline.priced(pipeline.bought(now))
    return side_of(now, name), now, built, left


def _stands_as_drawn(drawn: WallPlan, now: AsBuilt) -> tuple[str, ...]:
    """Marks of bars and boards that stand as they were drawn; of the others nothing is to be undone."""
    bars, boards = set(now.plan.bars), {board.mark: board.ring for board in now.plan.boards}
    return (
        *(bar.mark for bar in drawn.bars if bar.member in now.members and bar in bars),
        *(one.mark for one in drawn.boards if one.mark in now.boards and boards.get(one.mark) == one.ring),
    )


def _name(path: Path) -> str:
    """What people call a plan: its file, or the folder of a plan.json."""
    return path.resolve().parent.name if path.name == "plan.json" else path.stem


def _same_rules(old: Practice, new: Practice, plans: Sequence[WallPlan]) -> bool:
    """Whether walls may keep their layouts: rules and articles of the plans are what they were."""
    used = {piece.item for plan in plans for piece in pieces_of(plan)}
    return old.rules == new.rules and all(
        getattr(old, catalogue).get(item) == getattr(new, catalogue).get(item)
        for catalogue in CATALOGUE
        for item in used
    )


def _held(path: Path, before: Side) -> tuple[Side, Held]:
    """What is fixed already; a plan.json stands for its whole order."""
    if path.suffix.lower() == ".json":
        order = plan_values(path).order
        if order is None:
            raise InputError("bought", given=path.name, accepted="a plan.json with an order")
        return replace(before, order=order), Held(deliveries=(ALL,), built={})
    return before, held_of(read_file(path), before.plans, before.order, before.practice)


def write_revision(
    done: Revised,
    target: Path,
    *,
    overwrite: bool = False,
    letter: str = "",
    date: str = "",
    more: Mapping[str, bytes] = MappingProxyType({}),
) -> None:
    """Write revision.pdf, revision.json, and of a job file plan.json and the variation quotation.

    Of a plan as built also cut list and labels of what is still to be cut.

    ``more`` are files that go with them.

    Raises
    ------
    CannotWrite
        There is something else at ``target``, or the disk does not take the files.
    """
    from innerleaf.documents.revision_offer import variation_pdf
    from innerleaf.documents.revision_pages import revision_pdf

    after, revision = done.after, done.revision
    title = TitleBlock(project=after.project, firm=after.firm, place=after.place, revision=letter, date=date)
    with whole_folder(target, replace=overwrite) as folder:
        (folder / "revision.pdf").write_bytes(revision_pdf(revision, after.plans, title))
        pages = done.planned.job.pages if done.planned else ""
        papers = remaining_files(done.left, after.practice, title, pages) if done.left else []
        for name, make in papers:
            (folder / name).write_bytes(make())
        for name, content in more.items():
            (folder / name).write_bytes(content)
        text = json.dumps(revision_document(revision), ensure_ascii=False, indent=1)
        (folder / "revision.json").write_text(text + "\n", encoding="utf-8", newline="\n")
        if done.planned:
            _write_plan(folder / "plan.json", done.planned)
        if revision.money and done.quotation and not revision.empty:
            offer = variation_pdf(revision, revision.money, done.quotation, after.plans)
            (folder / "variation.pdf").write_bytes(offer)


def _write_plan(path: Path, planned: Planned) -> None:
    report = planned.priced.report if planned.priced else None
    write_plan(
        path,
        planned.job,
        planned.practice,
        planned.plans,
        planned.takeoff,
        (),
        report,
        planned.choice,
        planned.order,
    )


def revision_document(revision: Revision) -> dict[str, Any]:
    """The revision as plain values; of the pieces those that did not stay."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "before": revision.before,
        "after": revision.after,
        "walls": [
            {
                "wall": wall.wall,
                "room": wall.room,
                "storey": wall.storey,
                "how": wall.how,
                "words": list(wall.words),
                "stayed": sum(change.how == STAYED for change in wall.pieces),
                "pieces": [
                    {
                        "how": change.how,
                        "kind": change.piece.kind,
                        "what": change.piece.what,
                        "before": _piece(change.before),
                        "after": _piece(change.after),
                    }
                    for change in wall.touched
                ],
            }
            for wall in revision.touched
        ],
        "quantities": [plain(figure) for figure in revision.quantities if figure.change],
        "purchases": [plain(figure) for figure in revision.purchases if figure.change],
        "money": plain(revision.money),
        "stock": plain(revision.stock),
    }


def _piece(piece: Any) -> dict[str, Any] | None:
    if piece is None:
        return None
    return {"mark": piece.mark, "item": piece.item, "size": piece.size, "box_mm": plain(piece.box)}


def revision_schema() -> dict[str, Any]:
    """JSON Schema of revision.json; committed in ``schema/``."""
    definitions: dict[str, Any] = {}
    text, number = {"type": "string"}, {"type": "number"}
    box = {"type": "array", "items": number, "minItems": 4, "maxItems": 4}
    one = {"anyOf": [closed({"mark": text, "item": text, "size": text, "box_mm": box}), {"type": "null"}]}
    change = closed({"how": text, "kind": text, "what": text, "before": one, "after": one})
    wall = closed(
        dict.fromkeys(("wall", "room", "storey", "how"), text)
        | {
            "words": {"type": "array", "items": text},
            "stayed": {"type": "integer"},
            "pieces": {"type": "array", "items": change},
        }
    )
    figures = {"type": "array", "items": schema_of(Figure, definitions)}
    properties = {
        "format": {"const": FORMAT},
        "version": {"const": VERSION},
        "before": text,
        "after": text,
        "walls": {"type": "array", "items": wall},
        "quantities": figures,
        "purchases": figures,
        "money": {"anyOf": [schema_of(Money, definitions), {"type": "null"}]},
        "stock": {"anyOf": [schema_of(StockReport, definitions), {"type": "null"}]},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Revision of a plan",
        "description": "What became of one plan in another; mm, money in hundredths. See docs/revisions.md.",
        **closed(properties),
        "$defs": dict(sorted(definitions.items())),
    }
