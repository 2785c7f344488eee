"""What the JSON side takes and gives."""

from __future__ import annotations

from datetime import datetime
from math import isfinite
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from innerleaf.errors import InputError
from innerleaf.findings import Finding
from innerleaf.store.model import Aside, Revision, RevisionLine
from innerleaf.store.people import Role
from innerleaf.store.runs import Run, RunState
from innerleaf.survey.closing import Closing
from innerleaf.units import show_length, to_mm
from innerleaf.web.drawing import Piece
from innerleaf.web.manner import manner

Note = Annotated[str, Field(max_length=500)]
Number = Annotated[int, Field(ge=1, le=2**31 - 1)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class JobAnswer(_Part):
    """A job in the list."""

    id: str
    name: str
    revision: int
    saved_at: datetime
    who: str


class RevisionAnswer(_Part):
    """Who saved what, and when."""

    number: int
    saved_at: datetime
    who: str
    what: str
    back_to: int

    @classmethod
    def of(cls, line: RevisionLine) -> RevisionAnswer:
        """From the store."""
        return cls(
            number=line.number, saved_at=line.saved_at, who=line.who, what=line.what, back_to=line.back_to
        )


class WallLine(_Part):
    """A wall in the list of a building."""

    id: str
    name: str
    room: str
    storey: str
    length_mm: int
    height_mm: int
    to_choose: bool


class JobDetail(_Part):
    """A job with its walls and its text."""

    id: str
    name: str
    revision: RevisionAnswer
    text: str
    files: list[str]
    walls: list[WallLine]


class FindingAnswer(_Part):
    """A rule not kept, with its place."""

    code: str
    text: str
    remedy: str
    x_mm: float
    y_mm: float
    layer: int
    by_mm: float

    @classmethod
    def of(cls, finding: Finding) -> FindingAnswer:
        """From the layout."""
        return cls(**{name: getattr(finding, name) for name in cls.model_fields})


class PieceAnswer(_Part):
    """A piece of the lining or a thing of the wall."""

    kind: str
    mark: str
    what: str
    layer: int
    item: str
    length_mm: float
    width_mm: float
    x_mm: float
    y_mm: float

    @classmethod
    def of(cls, piece: Piece) -> PieceAnswer:
        """From the drawing; its place is the lower left corner of what is around it."""
        return cls(
            kind=piece.kind,
            mark=piece.mark,
            what=piece.what,
            layer=piece.layer,
            item=piece.item,
            length_mm=piece.length_mm,
            width_mm=piece.width_mm,
            x_mm=min(x for x, _ in piece.ring),
            y_mm=min(y for _, y in piece.ring),
        )


class WallAnswer(_Part):
    """A wall as set out in a revision: its drawings, pieces, findings, and what is written of it.

    ``views`` names every drawing there is, ``drawings`` has those that were asked for.
    """

    id: str
    revision: int
    fields: dict[str, Any]
    views: list[str]
    drawings: dict[str, str]
    pieces: list[PieceAnswer]
    findings: list[FindingAnswer]
    layer_count: int
    lengths: dict[str, str] = {}  # by millimetres, where they are read otherwise


class StateAnswer(_Part):
    """How a wall stands: ``ready``, ``findings``, ``choose``."""

    wall: str
    state: str
    findings: int


class FieldAsked(_Part):
    """A new value of one field of a wall, changed in revision ``base``."""

    base: Number
    value: Any = None


class TextAsked(_Part):
    """A whole job file, changed in revision ``base``."""

    base: Number
    text: str
    note: Note = ""


class RestoreAsked(_Part):
    """An earlier revision to become the newest."""

    number: Number


def _typed(value: object) -> object:
    """A length that a person typed, with its unit where it could be meant in inches. [mm]"""
    if not isinstance(value, str):
        return value
    if manner().unit == "in" and value.strip().isdigit():
        raise InputError("length", given=value, accepted=f"its unit too: {value} in, or {value} mm")
    return to_mm(value, "length")


LengthTyped = Annotated[
    int,
    BeforeValidator(_typed),
    WithJsonSchema({"anyOf": [{"type": "integer", "minimum": 1}, {"type": "string"}]}),
]


class SideAsked(_Part):
    """One side of a room, from its left end to its right end, and how far one then turns to the right."""

    length_mm: Annotated[LengthTyped, Field(ge=1, le=200_000)]
    turn_deg: Annotated[float, Field(ge=-180, le=180)] = 90.0


Sides = Annotated[list[SideAsked], Field(min_length=3, max_length=60)]


class RoomMeasured(_Part):
    """A room as one walks round it."""

    sides: Sides


class CornerAnswer(_Part):
    """A corner of a room on plan."""

    x_mm: float
    y_mm: float


class ClosingAnswer(_Part):
    """Whether a room closes; corners with the misclosure shared out, x to the right and y up. [mm]"""

    corners: list[CornerAnswer]
    miss_mm: float
    miss: str  # the same as people read it
    one_in: float | None
    turned_deg: float
    changes_mm: list[float]

    @classmethod
    def of(cls, closing: Closing) -> ClosingAnswer:
        """From the survey."""
        told = {name: getattr(closing, name) for name in ("miss_mm", "turned_deg")}
        one_in = closing.one_in if isfinite(closing.one_in) else None
        corners = [CornerAnswer(x_mm=x, y_mm=y) for x, y in closing.corners]
        miss = show_length(round(closing.miss_mm), manner().unit)
        return cls(corners=corners, changes_mm=[*closing.changes_mm], one_in=one_in, miss=miss, **told)


class RoomAsked(RoomMeasured):
    """A new room with a wall for each side, added to revision ``base``."""

    base: Number
    id: Annotated[str, Field(min_length=1, max_length=60)]
    storey: Annotated[str, Field(max_length=200)] = ""
    height_mm: Annotated[LengthTyped, Field(ge=1, le=100_000)]
    construction: Annotated[str, Field(min_length=1, max_length=60)]
    lining: Annotated[str, Field(min_length=1, max_length=60)]
    lined: Annotated[list[bool], Field(max_length=60)] = []


class RunAsked(_Part):
    """Long work on the newest revision of a job; ``wall`` is what a proof is of, or options."""

    kind: Literal["sheets", "numbers", "proof", "options"] = "sheets"
    wall: Annotated[str, Field(max_length=200)] = ""


class RunAnswer(_Part):
    """Long work: how far it is, and the files that came of it."""

    id: str
    job: str
    revision: int
    kind: str
    subject: str
    who: str
    asked_at: datetime
    state: RunState
    doing: str
    done: int
    of: int
    stop_asked: bool
    error: str
    files: list[str]

    @classmethod
    def of_run(cls, run: Run, files: list[str]) -> RunAnswer:
        """From the store."""
        told = {name: getattr(run, name) for name in cls.model_fields if name not in ("job", "files")}
        return cls(job=run.document, files=files, **told)


class MeAnswer(_Part):
    """Who asks, and what they may do."""

    name: str
    role: Role
    team: bool
    may: list[str]


class Created(_Part):
    """Something new."""

    id: str
    revision: int


class Saved(_Part):
    """The number of the newest revision."""

    revision: int


class ErrorAnswer(_Part):
    """Why a request was refused, in sentences."""

    error: str
    faults: list[str] = []


class Version(_Part):
    """One of two versions of a job that were saved on the same revision."""

    who: str
    what: str
    saved_at: datetime
    revision: int
    text: str

    @classmethod
    def newest(cls, revision: Revision) -> Version:
        """The version that was first."""
        line = revision.line
        return cls(
            who=line.who, what=line.what, saved_at=line.saved_at, revision=line.number, text=revision.text
        )

    @classmethod
    def aside(cls, aside: Aside) -> Version:
        """The version that came too late; its revision is the one it was made from."""
        return cls(
            who=aside.who, what=aside.what, saved_at=aside.saved_at, revision=aside.base, text=aside.text
        )


class ConflictAnswer(ErrorAnswer):
    """Somebody saved first: both versions."""

    newest: Version
    yours: Version
