"""A job as read: types, defaults and changes filled in, every wall complete and in millimetres.

`read_job` makes these; nothing here checks anything. Words (ways, kinds, what edges meet) are those
of ``survey.wall``. While a job is being checked, ``doubtful`` names the fields of a thing whose value
only stands in for one that cannot be used; a job that has been read has none.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass
from pathlib import Path

from innerleaf.job.outline import Point
from innerleaf.job.schema import Choose, Layer, Offsets, Targets
from innerleaf.job.schema_buying import Buying
from innerleaf.job.schema_plan import RoomPlace, RoomSide
from innerleaf.job.schema_pricing import Pricing
from innerleaf.job.schema_programme import Programme
from innerleaf.job.schema_site import Climate
from innerleaf.job.schema_sound import JunctionWord
from innerleaf.job.words import (
    BuildWord,
    ExposureWord,
    FinishWord,
    MeetsWord,
    ObstacleWord,
    OpeningWord,
    OtherSideWord,
    WayWord,
)
from innerleaf.reading import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class JobOpening:
    """A window, door or niche."""

    id: str
    index: int  # in the list of the file
    kind: OpeningWord
    x_mm: int
    sill_mm: int
    width_mm: int
    height_mm: int
    reveal_mm: int
    reveal_lined: bool
    reveal_insulation: str  # "" for none
    frame_mm: int | None  # of the window's frame that a reveal may cover; None: not said
    doubtful: Set[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobObstacle:
    """A column, beam, pipe or radiator."""

    id: str
    index: int  # in the list of the file
    kind: ObstacleWord
    x_mm: int
    y_mm: int
    width_mm: int
    height_mm: int
    projection_mm: int
    mass_kg: float
    doubtful: Set[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobBox:
    """A socket, switch or junction box; (x, y) is the centre of the first."""

    id: str
    index: int  # in the list of the file
    x_mm: int
    y_mm: int
    diameter_mm: int
    count: int
    pitch_mm: int
    doubtful: Set[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLoad:
    """Something to be hung on the lining; ``depth_mm`` to its centre of mass."""

    id: str
    index: int  # in the list of the file
    x_mm: int
    y_mm: int
    width_mm: int
    mass_kg: float
    depth_mm: int
    doubtful: Set[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFlank:
    """Something along which sound goes round a wall. ``places`` says where its fields stand in the file."""

    side: str  # floor, ceiling, left, right
    mass_kg_m2: float | None  # None: that of its construction
    construction: tuple[Layer, ...]
    junction: JunctionWord
    area_m2: float
    length_mm: int | None  # None: the wall's width or height
    rw_db: float | None  # None: by the law
    law: str
    gain_db: float
    gain_beyond_db: float
    places: Mapping[str, Place]
    doubtful: Set[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSeparates:
    """What a wall between two rooms has around it."""

    area_m2: float | None  # None: the wall's own
    volume_m3: float | None
    flanks: tuple[JobFlank, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLining:
    """A lining in full.

    ``named`` is the lining before any change. ``spacing_mm`` None: the widest that the practice set
    allows. ``places`` says where its fields stand in the file.
    """

    id: str
    named: str
    way: WayWord
    profile: str
    spacing_mm: int | None
    build: BuildWord
    boards: tuple[str, ...]
    board_width_mm: int | None
    insulation: tuple[str, ...]
    insulation_behind: tuple[str, ...]
    membrane: str
    bracket: str
    gap_mm: int
    tiled: bool
    finish: FinishWord
    places: Mapping[str, Place]
    doubtful: Set[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobWish:
    """What the job settles of a lining that is to be chosen; None: free. ``membrane`` "" wants none."""

    way: WayWord | None
    profile: str | None
    spacing_mm: int | None
    build: BuildWord | None
    boards: tuple[str, ...] | None
    board_width_mm: int | None
    insulation: tuple[str, ...] | None
    insulation_behind: tuple[str, ...] | None
    membrane: str | None
    bracket: str | None
    gap_mm: int | None
    tiled: bool
    finish: FinishWord
    places: Mapping[str, Place]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRoom:
    """A room."""

    id: str
    name: str
    storey: str
    use: str
    wet: bool
    humidity: int | None  # internal humidity class 1-5; None: not said
    crowd: bool  # people gather in numbers
    plan: RoomPlace | None = None  # where it lies on the plan of its storey or flat; None: not said
    sides: tuple[RoomSide, ...] = ()  # of the room as its file names them, in a flat without the flat's id
    flat: str = ""  # id of its flat
    place: Place = ()  # of the room in the file


@dataclass(frozen=True, slots=True, kw_only=True)
class JobWall:
    """One wall of one room. ``lining`` None: still to be chosen."""

    id: str
    name: str
    room: JobRoom
    other_side: OtherSideWord
    outline: tuple[Point, ...]
    meets: tuple[MeetsWord, ...]
    head_moves: bool
    openings: tuple[JobOpening, ...]
    obstacles: tuple[JobObstacle, ...]
    boxes: tuple[JobBox, ...]
    loads: tuple[JobLoad, ...]
    construction: tuple[Layer, ...]
    offsets: Offsets | None
    building_joints_mm: tuple[int, ...]
    orientation: int | None  # what it faces [degrees from north]; None: not said
    rain_exposure: ExposureWord
    wood_ends: bool
    damp: bool
    moisture_reading: float | None  # water in the old wall [% of its dry mass]
    anchor_pull_n: float | None  # found by pull-out tests in the old wall
    separates: JobSeparates | None
    wet: bool
    questions: tuple[str, ...]
    lining: JobLining | None
    wish: JobWish | None  # what is settled of a lining to be chosen
    targets: Targets
    flank_insulation: str  # "" for none
    flank_width_mm: int | None  # None: as the practice set says
    place: Place  # of the wall in the file
    places: Mapping[str, Place]  # of its fields in the file, also where a type or the defaults say them
    doubtful: Set[str] = frozenset()

    def at(self, field: str, *steps: str | int) -> Place:
        """The place in the file of one of its fields."""
        return (*self.places.get(field, self.place), *steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One job."""

    file: Path
    name: str
    site_place: str
    climate: Climate | None
    weather: Path | None  # a year of hours
    latitude: float | None
    pages: str  # address where the firm puts the folder of the plan; "": nowhere
    practice: str  # name of the practice set
    practice_override: Path | None  # the firm's changes to it
    firm: str
    prices: Path | None
    supply: Path | None  # what can be bought from whom
    buying: Buying
    rates: Path | None
    pricing: Pricing | None  # None: nothing said
    programme: Programme | None  # None: nothing said
    choose: Choose  # what linings to be chosen are chosen by
    rooms: tuple[JobRoom, ...]
    walls: tuple[JobWall, ...]
    positions: Mapping[Place, tuple[int, int]]  # line and column by place

    def line(self, place: Place) -> int:
        """The line of the file in which something stands, or what is around it."""
        steps = range(len(place), -1, -1)
        return next((self.positions[place[:n]][0] for n in steps if place[:n] in self.positions), 1)
