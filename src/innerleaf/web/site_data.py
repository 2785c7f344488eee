"""What pages of the site work on: records of a job as values, walls as built, tasks of the programme."""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Sequence
from datetime import datetime
from threading import Lock
from typing import TYPE_CHECKING, Any, Final

from innerleaf.layout.boards import box_of
from innerleaf.layout.pieces import FACE
from innerleaf.revise.pieces import pieces_of
from innerleaf.revise.recut import IN_HAND
from innerleaf.site.checks import checks_of
from innerleaf.site.holds import hold_findings
from innerleaf.site.records import (
    Entry,
    Record,
    canonical,
    entry_document,
    entry_of,
    record_document,
    record_of,
    seal,
)
from innerleaf.site.replan import AsBuilt, as_built
from innerleaf.site.steps import steps_of
from innerleaf.store.runs import RunState, runs_of
from innerleaf.store.site import Merged, add_records, records_of
from innerleaf.takeoff.model import CutBar, CutBoard
from innerleaf.web.issued import Sheets, drawn, is_ready, sheets_of, still_to_cut
from innerleaf.web.runs import PROGRAMME, folder_of
from innerleaf.web.site_answers import (
    AskAnswer,
    CheckAnswer,
    CutsAnswer,
    SiteCut,
    SiteFinding,
    SiteMore,
    SitePiece,
    SiteWall,
    TaskAnswer,
)
from innerleaf.web.site_drawing import site_drawings

if TYPE_CHECKING:
    from innerleaf.web.desk import Desk, Opened

_DATA: Final = "programme.json"
_KEPT: Final = 500

_lock = Lock()
_built: OrderedDict[tuple[Any, ...], AsBuilt] = OrderedDict()


def records(desk: Desk, job: str, after: int = 0) -> tuple[Record, ...]:
    """The records of a job after a number."""
    return tuple(record_of(json.loads(one.text), one.digest) for one in records_of(desk.engine, job, after))


def merge(
    desk: Desk, job: str, entries: Sequence[Entry], *, who: str, role: str, at: datetime, clock_off_s: int
) -> Merged:
    """Keep entries that a device sent; what is there already is not kept again."""

    def sealed(text: str, number: int, before: str) -> str:
        record = seal(
            entry_of(json.loads(text)),
            job=job,
            number=number,
            before=before,
            who=who,
            role=role,
            server_time=at,
            clock_off_s=clock_off_s,
        )
        return canonical(record_document(record))

    told = [(one.id, canonical(entry_document(one))) for one in entries]
    return add_records(desk.engine, job, told, sealed)


def wall_as_built(
    desk: Desk, opened: Opened, wall: str, told: Sequence[Record], sheets: Sheets | None
) -> AsBuilt:
    """One wall as issued, around what its records say is built; worked out once for each record more."""
    own = [record for record in told if record.entry.wall == wall]
    numbers = tuple(record.number for record in own)
    key = (str(opened.file), sheets.run if sheets else "", wall, numbers)
    with _lock:
        if key in _built:
            _built.move_to_end(key)
            return _built[key]
    made = as_built(drawn(desk, opened, wall, sheets), opened.practice, own)
    with _lock:
        _built[key] = made
        while len(_built) > _KEPT:
            _built.popitem(last=False)
    return made


def all_as_built(desk: Desk, opened: Opened, told: Sequence[Record], sheets: Sheets | None) -> list[AsBuilt]:
    """Every wall that is set out, in the order of the job."""
    ready = [wall for wall in opened.walls if is_ready(opened, wall, sheets)]
    return [wall_as_built(desk, opened, wall, told, sheets) for wall in ready]


def cuts_of(desk: Desk, opened: Opened, told: Sequence[Record]) -> CutsAnswer:
    """What is still to be put up and where it is cut from, and what must be bought for it."""
    sheets = sheets_of(desk, opened.revision.line.document, told)
    stood = all_as_built(desk, opened, told, sheets)
    left = still_to_cut(desk, opened, stood, sheets, told)
    sizes = {piece.mark: piece for one in stood for piece in pieces_of(one.to_come)}
    stocks: list[CutBar | CutBoard] = [*left.takeoff.bars, *left.takeoff.boards]
    cuts = [
        SiteCut(
            wall=sizes[mark].wall,
            mark=mark,
            item=sizes[mark].item,
            size=sizes[mark].size,
            kind=sizes[mark].kind,
            number=stock.number if stock else 0,
            stock_mm=stock.stock_mm if stock else 0,
            offcut=stock.source if stock and not stock.source.startswith(IN_HAND) else "",
            in_hand=not stock or bool(stock.source),
            cut=stock is None,
        )
        for mark, stock in [
            *((mark, None) for mark in left.lying),
            *((piece.mark, stock) for stock in stocks for piece in stock.pieces),
        ]
    ]
    more = [SiteMore(item=item, length_mm=length, count=count) for (item, length), count in left.more.items()]
    return CutsAnswer(pieces=sorted(cuts, key=lambda one: (one.wall, one.mark)), more=more)


def site_wall(desk: Desk, opened: Opened, wall: str, told: Sequence[Record]) -> SiteWall:
    """What a device has to know of a wall."""
    sheets = sheets_of(desk, opened.revision.line.document, told)
    built = wall_as_built(desk, opened, wall, told, sheets)
    plan = built.plan
    steps, checks = steps_of(plan), checks_of(plan, opened.practice)
    own = [record for record in told if record.entry.wall == wall]
    findings = [*built.findings, *hold_findings(wall, steps, checks, own), *plan.findings]
    return SiteWall(
        id=wall,
        room=plan.wall.room,
        records=told[-1].number if told else 0,
        steps=list(steps),
        checks=[
            CheckAnswer(
                check=due.check,
                text=due.text,
                how=due.how,
                step=due.step,
                asks=[
                    AskAnswer(**{name: _plain(getattr(ask, name)) for name in AskAnswer.model_fields})
                    for ask in due.asks
                ],
            )
            for due in checks
        ],
        drawings=site_drawings(built),
        members=[
            SitePiece(
                mark=one.mark,
                what=one.role,
                layer=0,
                x_mm=one.x_mm,
                size=f"{one.top_mm - one.bottom_mm:.0f}",
                built=one.mark in built.members,
            )
            for one in plan.members
        ],
        boards=[
            SitePiece(
                mark=one.mark,
                what=one.item,
                layer=one.layer,
                x_mm=box_of(one.ring)[0] if one.plane == FACE else 0,
                size=f"{one.width_mm:.0f} × {one.length_mm:.0f}",
                built=one.mark in built.boards,
            )
            for one in plan.boards
        ],
        openings=[one.id for one in plan.wall.openings],
        boxes=[one.id for one in plan.wall.boxes],
        findings=[SiteFinding(code=one.code, text=one.text, remedy=one.remedy) for one in findings],
    )


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def tasks_of(desk: Desk, job: str) -> list[TaskAnswer]:
    """The work of the newest programme of a job; none where there is no programme yet."""
    runs = [run for run in runs_of(desk.engine, job) if run.kind == PROGRAMME and not run.subject]
    done = next((run for run in runs if run.state is RunState.DONE), None)
    file = folder_of(desk.folder, done.id) / _DATA if done else None
    if file is None or not file.is_file():
        return []
    operations = json.loads(file.read_text(encoding="utf-8"))["programme"]["operations"]
    return [
        TaskAnswer(
            wall=one["wall"],
            room=one["room_name"],
            step=one["step"],
            crew=one["crew"],
            start=one["start"],
            end=one["end"],
        )
        for one in operations
        if one["state"] != "done"
    ]
