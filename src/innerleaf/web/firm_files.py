"""The firm's own files beside a job: its practice, prices, supply list, rates, weather.

Each is a document of the store that belongs to the job, with revisions of its own. A file is read, with the
job, as `plan` would read it, before it is kept.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath
from tempfile import TemporaryDirectory
from typing import Annotated, Any, Final

from fastapi import APIRouter, File, Path, Response, UploadFile
from fastapi import Form as FormField
from fastapi.responses import RedirectResponse

from innerleaf.errors import FileFaults, InputError
from innerleaf.job.amend import differences
from innerleaf.reading import value_at
from innerleaf.store.history import add, bring_back, documents, revision, revisions, save
from innerleaf.store.model import Document, Kind, Revision, RevisionLine
from innerleaf.web.api import REFUSED, Key
from innerleaf.web.desk import JOB_FILE, Desk, Opened
from innerleaf.web.page import page
from innerleaf.web.part_answers import FileAnswer
from innerleaf.web.people import Action, OfDesk, Who, may
from innerleaf.writing import changed

router = APIRouter(prefix="/api", responses=REFUSED, dependencies=[may(Action.LOOK), may(Action.MONEY)])
pages_router = APIRouter(include_in_schema=False, dependencies=[may(Action.LOOK), may(Action.MONEY)])
_EDIT: Final = [may(Action.EDIT)]

PLACES: Final = {
    Kind.PRACTICE: ("firm", "practice"),
    Kind.PRICES: ("firm", "prices"),
    Kind.SUPPLY: ("firm", "supply"),
    Kind.RATES: ("firm", "rates"),
    Kind.WEATHER: ("site", "weather"),
}
_USUAL: Final = {
    Kind.PRACTICE: "our-practice.yaml",
    Kind.PRICES: "prices.yaml",
    Kind.SUPPLY: "supply.yaml",
    Kind.RATES: "rates.yaml",
    Kind.WEATHER: "weather.epw",
}
_SHEETS: Final = (".csv", ".xlsx", ".txt")
_PLAIN: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}\Z")

Which = Annotated[Kind, Path()]
Sent = Annotated[UploadFile, File()]
SentToo = Annotated[UploadFile | None, File()]


@dataclass(frozen=True, slots=True)
class Kept:
    """A file of the firm with its revisions, the newest first."""

    kind: Kind
    known: Document | None
    newest: Revision | None
    lines: tuple[RevisionLine, ...]


@router.put("/jobs/{job}/files/{kind}", dependencies=_EDIT)
def put_file(
    desk: OfDesk, who: Who, job: Key, kind: Which, file: Sent, mapping: SentToo = None
) -> FileAnswer:
    """Keep a file of the firm: YAML (EPW for weather), or a price list as CSV or XLSX with its mapping."""
    return _take(desk, who, job, kind, file, mapping)


@router.post("/jobs/{job}/files/{kind}/restore", dependencies=_EDIT)
def restore_file(
    desk: OfDesk, who: Who, job: Key, kind: Which, number: Annotated[int, FormField(ge=1, le=2**31 - 1)]
) -> FileAnswer:
    """Make an earlier revision of a file the newest."""
    return _bring_back(desk, who, job, kind, number)


@pages_router.get("/jobs/{job}/files")
def list_files(desk: OfDesk, job: Key) -> Response:
    """What the firm has of its own, with every revision."""
    return _page(desk, job)


@pages_router.post("/jobs/{job}/files/{kind}", dependencies=_EDIT)
def send_file(desk: OfDesk, who: Who, job: Key, kind: Which, file: Sent, mapping: SentToo = None) -> Response:
    """The same from a form; what is wrong with the file is listed, and nothing is kept."""
    try:
        made = _take(desk, who, job, kind, file, mapping)
    except (FileFaults, InputError) as error:
        return _page(desk, job, kind=kind, faults=_sentences(error))
    if made.left_out:
        return _page(desk, job, kind=kind, left_out=made.left_out)
    return RedirectResponse(f"/jobs/{job}/files#{kind}", status_code=303)


@pages_router.post("/jobs/{job}/files/{kind}/restore", dependencies=_EDIT)
def bring_file_back(
    desk: OfDesk, who: Who, job: Key, kind: Which, number: Annotated[int, FormField(ge=1, le=2**31 - 1)]
) -> Response:
    """The same from a form."""
    try:
        _bring_back(desk, who, job, kind, number)
    except (FileFaults, InputError) as error:
        return _page(desk, job, kind=kind, faults=_sentences(error))
    return RedirectResponse(f"/jobs/{job}/files#{kind}", status_code=303)


def _take(
    desk: Desk, who: str, job: str, kind: Kind, file: UploadFile, mapping: UploadFile | None
) -> FileAnswer:
    opened = desk.open(job)
    _lawful(kind)
    left_out: list[str] = []
    name = value_at(opened.said.value, PLACES[kind]) or _USUAL[kind]
    given = (file.filename or "").lower()
    if given.endswith(_SHEETS) and kind is Kind.SUPPLY:
        text, left_out = _from_sheet(opened, file, mapping)
    else:
        text = _text(file)
    return _keep(desk, who, opened, kind, str(name), text, left_out)


def _bring_back(desk: Desk, who: str, job: str, kind: Kind, number: int) -> FileAnswer:
    opened = desk.open(job)
    _lawful(kind)
    known = _document(desk, opened, kind)
    if known is None:
        raise InputError("document", given=str(kind), accepted="a file that this job has")
    check(opened, kind, known.name, revision(desk.engine, known.id, number).text, desk.files(job))
    made = bring_back(desk.engine, known.id, number, who=who, at=desk.clock())
    return FileAnswer(kind=kind, name=known.name, revision=made.line.number, job_revision=opened.number)


def _lawful(kind: Kind) -> None:
    if kind not in PLACES:
        raise InputError("kind", given=str(kind), accepted=", ".join(PLACES))


def _keep(
    desk: Desk, who: str, opened: Opened, kind: Kind, name: str, text: str, left_out: list[str]
) -> FileAnswer:
    key = opened.revision.line.document
    check(opened, kind, name, text, desk.files(key))
    known = next((one for one in documents(desk.engine, kind, key) if one.name == name), None)
    if known is None:
        made = add(desk.engine, kind, name, text, who=who, at=desk.clock(), what="brought in", owner=key)
    else:
        made = save(desk.engine, known.id, known.head, text, who=who, at=desk.clock(), what="brought in anew")
    place = PLACES[kind]
    if value_at(opened.said.value, place) is None:
        opened = desk.write(
            key, opened.number, _naming(opened, kind, name), who=who, what=f"{kind} file {name}"
        )
    return FileAnswer(
        kind=kind, name=name, revision=made.line.number, job_revision=opened.number, left_out=left_out
    )


def _naming(opened: Opened, kind: Kind, name: str) -> str:
    """The job file that names the file."""
    group, field = PLACES[kind]
    value = opened.said.value
    there = value.get(group)
    changes = differences((group, field), None, name) if there else differences((group,), None, {field: name})
    return changed(opened.revision.text, opened.said, changes)[0]


def check(opened: Opened, kind: Kind, name: str, text: str, files: dict[str, str]) -> None:
    """Read the job with this file beside it, as `plan` would.

    Raises
    ------
    FileFaults
        All that is wrong with the file, or with the job under it.
    """
    from innerleaf.cost.supply_file import load_supply
    from innerleaf.job.read import read_job
    from innerleaf.practice.load import load_practice
    from innerleaf.practice.prices import load_prices
    from innerleaf.practice.rates_read import load_rates

    if not _PLAIN.match(name):
        raise InputError("file", given=name, accepted="the name of a file, without folders")
    named = opened.revision.text
    if value_at(opened.said.value, PLACES[kind]) is None:
        named = _naming(opened, kind, name)
    with TemporaryDirectory() as scratch:
        folder = FilePath(scratch)
        for each, said in {**files, JOB_FILE: named, name: text}.items():
            (folder / each).write_text(said, encoding="utf-8", newline="")
        try:
            job = read_job(folder / JOB_FILE)
            practice = load_practice(job.practice, job.practice_override)
            if kind in (Kind.PRICES, Kind.RATES, Kind.PRACTICE):
                prices = load_prices(practice, job.prices)
                load_rates(practice, prices, job.rates)
            if kind in (Kind.SUPPLY, Kind.PRACTICE):
                load_supply(practice, job.supply, offers_of_set=job.prices is None)
            if kind is Kind.WEATHER:
                from innerleaf.weather_file import read_epw

                read_epw(folder / name)
        except FileFaults as error:
            raise FileFaults([fault.replace(f"{scratch}/", "") for fault in error.faults]) from error


def _from_sheet(opened: Opened, file: UploadFile, mapping: UploadFile | None) -> tuple[str, list[str]]:
    """A supply list of a supplier's price list, and what of it was left out."""
    from innerleaf.cost.price_list import import_price_list
    from innerleaf.cost.price_list_map import load_map
    from innerleaf.cost.supply_text import supply_text

    if mapping is None or not mapping.filename:
        raise InputError("mapping", given="nothing", accepted="the mapping that says what each column means")
    with TemporaryDirectory() as scratch:
        folder = FilePath(scratch)
        list_, map_ = folder / _plain_name(file), folder / "mapping.yaml"
        list_.write_bytes(file.file.read())
        map_.write_text(_text(mapping), encoding="utf-8")
        try:
            found = import_price_list(list_, load_map(map_, opened.practice), opened.practice)
        except FileFaults as error:
            raise FileFaults([fault.replace(f"{scratch}/", "") for fault in error.faults]) from error
        head = f"Made by innerleaf out of {list_.name} by {mapping.filename}."
        return supply_text(found.supply, opened.practice, head), [str(fault) for fault in found.faults]


def _plain_name(file: UploadFile) -> str:
    name = FilePath(file.filename or "").name
    return name if _PLAIN.match(name) else "list" + FilePath(name).suffix.lower()[:5]


def _text(file: UploadFile) -> str:
    try:
        return file.file.read().decode("utf-8")
    except UnicodeDecodeError as error:
        accepted = "UTF-8 text; a price list as CSV or XLSX is brought in as a supply list, with a mapping"
        raise InputError("file", given=file.filename, accepted=accepted) from error


def _sentences(error: FileFaults | InputError) -> list[str]:
    return [*error.faults] if isinstance(error, FileFaults) else [str(error)]


def _document(desk: Desk, opened: Opened, kind: Kind) -> Document | None:
    """The file of a kind that the job names; one that it does not name counts for nothing."""
    name = value_at(opened.said.value, PLACES[kind])
    found = documents(desk.engine, kind, opened.revision.line.document)
    return next((one for one in found if one.name == name), None)


def _page(
    desk: Desk,
    job: str,
    *,
    kind: Kind | None = None,
    faults: Sequence[str] = (),
    left_out: Sequence[str] = (),
) -> Response:
    opened = desk.open(job)
    kept: list[Any] = []
    for each in PLACES:
        known = _document(desk, opened, each)
        newest = revision(desk.engine, known.id) if known else None
        kept.append(Kept(each, known, newest, revisions(desk.engine, known.id) if known else ()))
    return page(
        "files",
        status=422 if faults else 200,
        job=opened.job,
        key=job,
        here="catalogue",
        kept=kept,
        about=kind,
        faults=faults,
        left_out=left_out,
        most_shown=40_000,
    )
