"""A small pack for tests: one wall with records by hand, two photos of which one is missing, a document."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from io import BytesIO

from PIL import Image
from tests.documents.fixture import a_plan, practice

from innerleaf.documents.handover_data import Built, Head, pack_of
from innerleaf.documents.handover_files import Attached, smaller
from innerleaf.documents.handover_model import FirmDocument, HandoverPack
from innerleaf.documents.handover_pdf import handover_pdf
from innerleaf.handover_case import handover_data
from innerleaf.layout.pieces import WallPlan
from innerleaf.site.records import Entry, Judged, Kind, Record, seal
from innerleaf.site.replan import as_built

WALL = "W-03"
HEAD = Head(
    project="Mill (invented)",
    place="Ostermill",
    firm="Linings (invented)",
    client=("A. Client",),
    date="2026-04-01",
)
MISSED = Judged(name="gap_mm", value=9, limit=7, unit="mm", at_most=True)
MET = Judged(name="gap_mm", value=4, limit=7, unit="mm", at_most=True)


@cache
def picture() -> bytes:
    """A photo as a camera makes it: wide, with a turn in its head."""
    made = BytesIO()
    image = Image.new("RGB", (2000, 1500), (120, 90, 70))
    exif = image.getexif()
    exif[0x0112] = 6  # turned by a quarter
    image.save(made, "JPEG", exif=exif)
    return made.getvalue()


PHOTO = hashlib.sha256(picture()).hexdigest()
GONE = "0" * 64


def entries() -> list[Entry]:
    """What the site said, each with what makes it a chain of one device still to come."""

    def one(kind: Kind, name: str, what: str, **more: object) -> Entry:
        told = {"id": name, "device": "tablet", "sequence": 0, "before": "", "device_time": ""}
        return Entry(**told, kind=kind, wall=WALL, what=what, name="Tam Finch", **more)  # type: ignore[arg-type]

    return [
        one(Kind.DONE, "a", "strip and tracks"),
        one(Kind.DEVIATION, "b", "stud moved", mark=f"{WALL}/S02", values=(("x_mm", 640.0),), text="pipe"),
        one(Kind.ACCEPTED, "c", "stud moved", about="b", text="boards re-cut"),
        one(Kind.DONE, "d", "frame"),
        one(Kind.CHECK, "e", "flatness", judged=(MISSED,), values=(("gap_mm", 9.0), ("over_mm", 2000.0))),
        one(Kind.CHECK, "f", "flatness", judged=(MISSED,), values=(("gap_mm", 9.0),), mark="board layer 2"),
        one(Kind.ACCEPTED, "g", "flatness", about="f", text="behind a cupboard"),
        one(Kind.CHECK, "h", "flatness", judged=(MET,), values=(("gap_mm", 4.0),), about="e"),
        one(
            Kind.CHECK,
            "i",
            "plumb",
            judged=(Judged(name="off_mm", value=20, limit=8, unit="mm", at_most=True),),
        ),
        one(Kind.HOLD, "j", "close-up inspection", outcome="passed"),
        one(Kind.PHOTO, "k", "frame", photos=(PHOTO, GONE), text="before closing"),
        one(Kind.NOTE, "l", "", text="wall dry to the touch"),
        one(Kind.DAMAGE, "m", "board dented", text="at the door"),
    ]


@cache
def chain() -> tuple[Record, ...]:
    """The records of the wall, in one chain."""
    made: list[Record] = []
    for number, entry in enumerate(entries(), 1):
        last = made[-1] if made else None
        whole = replace(entry, sequence=number, before=last.entry.digest if last else "")
        made.append(
            seal(
                whole,
                job="mill",
                number=number,
                before=last.digest if last else "",
                who="tablet 2",
                role="inspector" if entry.kind == Kind.HOLD else "foreman",
                server_time=datetime(2026, 3, 30, 8, tzinfo=UTC) + timedelta(hours=number),
                clock_off_s=0,
            )
        )
    return tuple(made)


DOCUMENT = Attached(
    FirmDocument(
        file="boards.txt",
        title="Boards",
        media="text/plain",
        size=5,
        sha256=hashlib.sha256(b"hello").hexdigest(),
        articles=("board-A-12.5",),
    ),
    b"hello",
)


@cache
def walls() -> tuple[WallPlan, WallPlan]:
    """The wall as drawn, and as built."""
    return a_plan(WALL), as_built(a_plan(WALL), practice(), chain()).plan


@cache
def small_pack(records: tuple[Record, ...] | None = None) -> HandoverPack:
    """The pack of that wall; nothing is judged by calculation."""
    drawn, plan = walls()
    built = Built(drawn=drawn, plan=plan, findings=(), performance=None)
    told = chain() if records is None else records
    return pack_of(HEAD, [built], ["W-04"], told, practice(), [DOCUMENT.about], frozenset({PHOTO}))


@cache
def small_pack_pdf() -> bytes:
    """The same as PDF."""
    return made_pdf()


def made_pdf() -> bytes:
    """Made anew."""
    (drawn, built), pack = walls(), small_pack()
    photos = {PHOTO: smaller(picture(), "a.jpg")}
    data = handover_data(pack)
    return handover_pdf(pack, {WALL: drawn}, {WALL: built}, practice(), photos, [DOCUMENT], data)
