"""The site: pages for phone and tablet that work without a signal, and their JSON side."""

from __future__ import annotations

from pathlib import Path as FilePath
from typing import Annotated, Final

from fastapi import APIRouter, File, Path, Query, Response, UploadFile
from fastapi.responses import FileResponse

from innerleaf.errors import InputError
from innerleaf.practice.site import load_on_site
from innerleaf.site.deviations import DEVIATIONS
from innerleaf.site.holds import MAY_RELEASE
from innerleaf.site.material import material_of
from innerleaf.site.records import record_document, verify
from innerleaf.site.rights import refusal
from innerleaf.store.history import document
from innerleaf.store.site import add_photo, photo
from innerleaf.web.api import REFUSED, Key, WallId
from innerleaf.web.issued import is_ready, sheets_of
from innerleaf.web.page import page
from innerleaf.web.people import MAY, Action, Asking, OfDesk, may
from innerleaf.web.site_answers import (
    CutsAnswer,
    EntriesMerged,
    EntriesSent,
    HoldAnswer,
    MaterialAnswer,
    PhotoKept,
    RecordAnswer,
    RecordsAnswer,
    RefusedEntry,
    SiteAnswer,
    SiteWall,
    SiteWallLine,
)
from innerleaf.web.site_data import all_as_built, cuts_of, merge, records, site_wall, tasks_of

_STATIC: Final = FilePath(__file__).parent / "static"
_RECORD = [may(Action.RECORD)]
_LOOK = [may(Action.LOOK)]

router = APIRouter(prefix="/api/jobs/{job}/site", responses=REFUSED, dependencies=_LOOK)
pages_router = APIRouter(include_in_schema=False)

After = Annotated[int, Query(ge=0, le=2**31 - 1)]
PhotoKey = Annotated[str, Path(max_length=64)]


@pages_router.get("/sw.js")
def service_worker() -> Response:
    """The script that keeps site pages at hand; it knows nothing of anybody, so anybody may have it."""
    return FileResponse(
        _STATIC / "sw.js", media_type="text/javascript", headers={"Cache-Control": "no-cache"}
    )


@pages_router.get("/site", dependencies=_LOOK)
def site_jobs(desk: OfDesk) -> Response:
    """The jobs to work on."""
    return page("site_jobs", jobs=desk.jobs())


@pages_router.get("/site/{job}", dependencies=_LOOK)
def site_page(desk: OfDesk, job: Key) -> Response:
    """One job on site: the page is the same for everybody, what it shows comes as data."""
    return page("site", known=document(desk.engine, job))


@router.get("")
def get_site(desk: OfDesk, person: Asking, job: Key) -> SiteAnswer:
    """What a device has to know of a job before it goes where there is no signal."""
    opened = desk.open(job)
    sheets = sheets_of(desk, job, records(desk, job))
    return SiteAnswer(
        job=job,
        name=opened.job.name,
        revision=opened.number,
        sheets=sheets.run if sheets else "",
        who=person.name,
        role=person.role,
        may_record=Action.RECORD in MAY[person.role],
        walls=[
            SiteWallLine(
                id=wall.id,
                name=wall.name,
                room=wall.room,
                storey=wall.storey,
                ready=is_ready(opened, wall.id, sheets),
            )
            for wall in opened.walls.values()
        ],
        tasks=tasks_of(desk, job),
        holds=[
            HoldAnswer(
                id=hold.id,
                text=hold.text,
                before=hold.before,
                passes=[*hold.passes, "estimator"],
                may_release=list(MAY_RELEASE),
            )
            for hold in load_on_site().holds.values()
        ],
        deviations={what: list(values) for what, values in DEVIATIONS.items()},
    )


@router.get("/walls/{wall}")
def get_site_wall(desk: OfDesk, job: Key, wall: WallId) -> SiteWall:
    """A wall as built and as still to come: steps, checks, drawings, pieces, findings."""
    opened = desk.open(job)
    opened.written(wall)
    return site_wall(desk, opened, wall, records(desk, job))


@router.get("/records")
def get_records(desk: OfDesk, job: Key, after: After = 0) -> RecordsAnswer:
    """The records of a job, and what is wrong with their chain."""
    document(desk.engine, job)
    told = records(desk, job)
    return RecordsAnswer(
        records=[
            RecordAnswer(record=record_document(one), digest=one.digest) for one in told if one.number > after
        ],
        wrong=[str(one) for one in verify(told)],
    )


@router.post("/records", dependencies=_RECORD)
def add_entries(desk: OfDesk, person: Asking, job: Key, sent: EntriesSent) -> EntriesMerged:
    """Keep what a device wrote; sent again, it is kept once."""
    at = desk.clock()
    told = sent.sent_at if sent.sent_at.tzinfo else sent.sent_at.replace(tzinfo=at.tzinfo)
    known = {record.entry.id: record for record in records(desk, job)}
    holds = load_on_site().holds
    refused, wanted = [], []
    for one in (said.entry() for said in sent.entries):
        why = refusal(one, who=person.name, role=person.role, holds=holds, known=known)
        if why and one.id not in known:
            refused.append(RefusedEntry(id=one.id, why=why))
        else:
            wanted.append(one)
    merged = merge(
        desk,
        job,
        wanted,
        who=person.name,
        role=person.role,
        at=at,
        clock_off_s=round((told - at).total_seconds()),
    )
    clash = "Another entry of this id is there already."
    refused += [RefusedEntry(id=key, why=clash) for key in merged.clashing]
    return EntriesMerged(added=[one.id for one in merged.added], there=list(merged.there), refused=refused)


@router.get("/material")
def get_material(desk: OfDesk, job: Key) -> list[MaterialAnswer]:
    """What is still needed, what was counted, what to order again."""
    opened, told = desk.open(job), records(desk, job)
    stood = all_as_built(desk, opened, told, sheets_of(desk, job, told))
    lines = material_of((one.to_come for one in stood), told)
    return [
        MaterialAnswer(**{name: getattr(line, name) for name in MaterialAnswer.model_fields})
        for line in lines
    ]


@router.get("/cuts")
def get_cuts(desk: OfDesk, job: Key) -> CutsAnswer:
    """What is still to be put up and where it is cut from, and which bars and boards must be bought."""
    return cuts_of(desk, desk.open(job), records(desk, job))


@router.post("/photos", status_code=201, dependencies=_RECORD)
def add_site_photo(desk: OfDesk, job: Key, file: Annotated[UploadFile, File()]) -> PhotoKept:
    """Keep a photo; records name it by its digest. The same photo twice is kept once."""
    return PhotoKept(digest=add_photo(desk.engine, job, file.content_type or "", file.file.read()))


@router.get("/photos/{digest}", response_class=Response)
def get_site_photo(desk: OfDesk, job: Key, digest: PhotoKey) -> Response:
    """A photo."""
    found = photo(desk.engine, job, digest)
    if found is None:
        raise InputError("document", given=digest[:12], accepted="a photo of this job that has arrived")
    media, content = found
    return Response(
        content, media_type=media, headers={"Cache-Control": "private, max-age=31536000, immutable"}
    )
