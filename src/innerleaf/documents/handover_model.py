"""What a hand-over pack says, as plain values: the PDF and its JSON are made of the same."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Who said something and when: ``time`` is that of arrival, UTC; ``record`` its number in the chain."""

    record: int
    by: str
    role: str
    time: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Somebody answers for what was missed or found otherwise, for a reason."""

    told: Told
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDone:
    """A step of the work (or a piece of it) that is done."""

    step: str
    mark: str
    told: Told


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedValue:
    """A value of a check against its limit. ``over`` says what the limit was taken for, "" where a figure."""

    text: str
    value: float
    limit: float
    unit: str
    at_most: bool
    margin: float
    met: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckMade:
    """A check with its values; ``accepted`` where one was missed and somebody answers for it.

    ``again``: number of a later check of the same, 0 where there is none.
    """

    check: str
    text: str
    mark: str
    values: tuple[CheckedValue, ...]
    with_values: str  # the other values it was made with, in words
    met: bool
    note: str
    photos: tuple[str, ...]
    told: Told
    accepted: Answer | None
    again: int

    @property
    def settled(self) -> bool:
        """Whether nothing is open: met, accepted by name, or made again."""
        return self.met or self.accepted is not None or self.again > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPassed:
    """What was said at a hold point: passed, failed or released, with the reason."""

    point: str
    text: str
    outcome: str
    reason: str
    told: Told


@dataclass(frozen=True, slots=True, kw_only=True)
class Deviation:
    """Something that stands elsewhere than drawn, or damage, and who accepted it."""

    what: str
    mark: str
    values: str
    note: str
    photos: tuple[str, ...]
    told: Told
    accepted: Answer | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoShown:
    """A photo: its digest as recorded, what it belongs to; ``missing`` where no file of that digest came."""

    digest: str
    caption: str
    record: int
    missing: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What the wall is reckoned to do, as built: a requirement with value, uncertainty, limit and working."""

    requirement: str
    value: float
    uncertainty: float
    limit: float
    unit: str
    at_most: bool
    margin: float
    met: bool
    risk: float | None
    working: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StudPlace:
    """Where something can be screwed to: the middle of a stud from the datum, and its heights. [mm]"""

    mark: str
    role: str
    x_mm: float
    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Backing:
    """A plate or nogging behind the boards: a level stretch that screws hold in. [mm]"""

    mark: str
    what: str
    from_mm: float
    to_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FixingGuide:
    """Where to fix on a wall, and where not; ``load_n_m`` may hang on a metre of the lining."""

    studs: tuple[StudPlace, ...]
    backing: tuple[Backing, ...]
    load_n_m: float
    load_source: str
    drawn_loads: tuple[str, ...]
    keep_off: tuple[str, ...]
    cover_mm: float  # boards before the steel
    depth_mm: float  # the whole lining


@dataclass(frozen=True, slots=True, kw_only=True)
class WallPack:
    """Everything about one wall."""

    wall: str
    name: str
    room: str
    storey: str
    build_up: tuple[tuple[str, str], ...]
    steps: tuple[StepDone, ...]
    checks: tuple[CheckMade, ...]
    holds: tuple[HoldPassed, ...]
    deviations: tuple[Deviation, ...]
    notes: tuple[str, ...]
    photos: tuple[PhotoShown, ...]
    statements: tuple[Statement, ...]
    assumed: tuple[str, ...]
    rules_not_kept: tuple[str, ...]
    open_points: tuple[str, ...]
    guide: FixingGuide


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialUsed:
    """An article as built in: properties as declared, how much of it, and the firm's documents on it."""

    article: str
    what: str
    properties: str
    quantity: str
    source: str
    documents: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FirmDocument:
    """A file of the firm that goes along inside the pack."""

    file: str
    title: str
    media: str
    size: int
    sha256: str
    articles: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainEnd:
    """The chain of records that the pack was made from; ``faults`` are what is wrong with it."""

    job: str
    records: int
    last_digest: str
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoverPack:
    """The whole pack. ``not_in_it``: walls of the job without any record."""

    project: str
    place: str
    firm: str
    client: tuple[str, ...]
    date: str
    statement: str
    walls: tuple[WallPack, ...]
    not_in_it: tuple[str, ...]
    materials: tuple[MaterialUsed, ...]
    documents: tuple[FirmDocument, ...]
    care: tuple[tuple[str, str], ...]
    cautions: tuple[tuple[str, str], ...]
    chain: ChainEnd
    signatures: tuple[str, ...]

    @property
    def open_points(self) -> tuple[str, ...]:
        """What is still open on any wall, each with its wall."""
        return tuple(f"{wall.wall}: {point}" for wall in self.walls for point in wall.open_points)
