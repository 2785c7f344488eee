"""What the JSON side of the site takes and gives."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from innerleaf.site.records import Entry, Judged, Kind

Uuid = Annotated[str, Field(pattern=r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
NoDigest = Annotated[str, Field(pattern=r"^([0-9a-f]{64})?$")]
Figure = Annotated[float, Field(ge=-1_000_000, le=1_000_000, allow_inf_nan=False)]
Name = Annotated[str, Field(max_length=200)]
ValueName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,39}$")]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class JudgedSaid(_Part):
    """A value against its limit, as the device judged it."""

    name: Name
    value: Figure
    limit: Figure
    unit: Annotated[str, Field(max_length=20)]
    at_most: bool


class EntrySaid(_Part):
    """What somebody wrote on a device; see docs/site.md for each field."""

    id: Uuid
    device: Uuid
    sequence: Annotated[int, Field(ge=1, le=2**31 - 1)]
    before: NoDigest
    seen: NoDigest = ""
    device_time: Annotated[str, Field(max_length=40)]
    name: Annotated[str, Field(max_length=80)] = ""
    kind: Kind
    wall: Name = ""
    mark: Name = ""
    what: Name = ""
    values: Annotated[dict[ValueName, Figure], Field(max_length=20)] = {}
    judged: Annotated[list[JudgedSaid], Field(max_length=10)] = []
    outcome: Annotated[str, Field(max_length=20)] = ""
    text: Annotated[str, Field(max_length=2000)] = ""
    photos: Annotated[list[Digest], Field(max_length=8)] = []
    about: Annotated[str, Field(max_length=36)] = ""

    def entry(self) -> Entry:
        """As a value."""
        told = {name: getattr(self, name) for name in type(self).model_fields}
        judged = tuple(Judged(**one.model_dump()) for one in self.judged)
        values = tuple(sorted(self.values.items()))
        return Entry(**told | {"values": values, "judged": judged, "photos": tuple(self.photos)})


class EntriesSent(_Part):
    """Entries in the order in which the device made them; ``sent_at``: what its clock tells now."""

    sent_at: datetime
    entries: Annotated[list[EntrySaid], Field(max_length=200)]


class RefusedEntry(_Part):
    """An entry that is not kept, and why."""

    id: str
    why: str


class EntriesMerged(_Part):
    """What became of each entry; those ``added`` and ``there`` are kept."""

    added: list[str]
    there: list[str]
    refused: list[RefusedEntry]


class RecordAnswer(_Part):
    """A record as it is kept: what its digest is made of, and the digest."""

    record: dict[str, Any]
    digest: str


class RecordsAnswer(_Part):
    """Records of a job after a number, in their order; ``wrong``: what is wrong with the whole chain."""

    records: list[RecordAnswer]
    wrong: list[str]


class PhotoKept(_Part):
    """The digest that records name a photo by."""

    digest: str


class SiteWallLine(_Part):
    """A wall in the order of the work."""

    id: str
    name: str
    room: str
    storey: str
    ready: bool  # set out: its lining is chosen


class TaskAnswer(_Part):
    """A piece of work of the programme."""

    wall: str
    room: str
    step: str
    crew: str
    start: str
    end: str


class HoldAnswer(_Part):
    """A point that holds the step before which it stands."""

    id: str
    text: str
    before: str
    passes: list[str]
    may_release: list[str]


class MaterialAnswer(_Part):
    """A line of what is needed, counted and to be ordered again."""

    item: str
    unit: str
    needed: float
    left: float | None
    used: float
    damaged: float
    short: float


class SiteCut(_Part):
    """A piece still to be put up: cut already, or from which bar or board of the cut list.

    ``number`` and ``stock_mm`` are of the bar or board, ``offcut`` its mark where it is one in hand. What is
    not ``in_hand`` must be bought.
    """

    wall: str
    mark: str
    item: str
    size: str
    kind: str
    number: int
    stock_mm: int
    offcut: str
    in_hand: bool
    cut: bool


class SiteMore(_Part):
    """Bars or boards that must still be bought."""

    item: str
    length_mm: int
    count: int


class CutsAnswer(_Part):
    """What remains to be cut, of all walls."""

    pieces: list[SiteCut]
    more: list[SiteMore]


class SiteAnswer(_Part):
    """What a device has to know of a job."""

    job: str
    name: str
    revision: int
    sheets: str
    who: str
    role: str
    may_record: bool
    walls: list[SiteWallLine]
    tasks: list[TaskAnswer]
    holds: list[HoldAnswer]
    deviations: dict[str, list[str]]


class AskAnswer(_Part):
    """A value that a check asks for, with its limit."""

    name: str
    text: str
    unit: str
    at_most: bool
    limit: float
    over: str
    over_text: str
    over_unit: str
    xs: list[float]
    ys: list[float]
    stepped: bool
    by_humidity: bool
    source: str


class CheckAnswer(_Part):
    """A check that a wall asks for after a step."""

    check: str
    text: str
    how: str
    step: str
    asks: list[AskAnswer]


class SitePiece(_Part):
    """A member or board that can be ticked off or be elsewhere."""

    mark: str
    what: str
    layer: int
    x_mm: float
    size: str
    built: bool


class SiteFinding(_Part):
    """Something to see to on a wall."""

    code: str
    text: str
    remedy: str


class SiteWall(_Part):
    """A wall as built and as still to come. ``records``: number of the newest record that it knows of."""

    id: str
    room: str
    records: int
    steps: list[str]
    checks: list[CheckAnswer]
    drawings: dict[str, str]
    members: list[SitePiece]
    boards: list[SitePiece]
    openings: list[str]
    boxes: list[str]
    findings: list[SiteFinding]
