"""A wall as it is found and as it is asked for, in elevation coordinates.

x runs to the right as seen from the room, y up from the floor at the datum; both in integer
millimetres. The outline is simple, counter-clockwise, and starts at its bottom left vertex
(least x, then least y); edge ``i`` runs from vertex ``i`` to ``i + 1`` and meets ``meets[i]``.
Values are complete when built: defaults, types and overrides are already resolved.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from innerleaf.survey.separates import Separates

Point = tuple[int, int]


class Meets(StrEnum):
    """What an edge of the wall meets."""

    MASONRY = "masonry"  # a side wall or floor/ceiling of masonry
    PARTITION = "partition"  # a light partition
    SLAB = "concrete slab"
    SCREED = "screed"
    CEILING = "existing ceiling"
    OPEN = "open end"  # the lining stops freely (also the top of a dado)
    OUTER_CORNER = "external corner"  # the lining goes on round a corner that points into the room
    INNER_CORNER = "internal corner"  # the lining goes on round a corner of the room
    ROOF = "roof slope"


class OpeningKind(StrEnum):
    """Kinds of opening."""

    WINDOW = "window"
    DOOR = "door"
    NICHE = "niche"


class ObstacleKind(StrEnum):
    """Things on or in front of the wall. Columns and beams stop the lining; the others do not."""

    COLUMN = "column"
    BEAM = "beam"
    PIPE = "pipe"  # passes through the lining
    RADIATOR = "radiator"  # hung on the finished lining


class Way(StrEnum):
    """The two ways to build a lining."""

    BRACKETED = "bracketed"
    STUD_AND_TRACK = "stud and track"


class MemberBuild(StrEnum):
    """How a stud is made up."""

    SINGLE = "single"
    DOUBLED = "doubled"  # two studs back to back
    BOXED = "boxed"  # two studs pushed into one another


class InsulationPlace(StrEnum):
    """Where an insulation layer lies."""

    BETWEEN = "between members"
    BEHIND = "behind the frame"


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A rectangular opening in the old wall; a door's sill is at the floor."""

    id: str
    kind: OpeningKind
    x_mm: int
    sill_mm: int
    width_mm: int
    height_mm: int
    reveal_mm: int  # from the old wall's face to the frame of the window or door, or the niche's back
    reveal_lined: bool
    reveal_insulation: str = ""  # under the boards of a lined reveal; "" for none
    reveal_insulation_mm: int = 0  # its thickness
    frame_mm: int | None = None  # of the window's frame that a reveal may cover; None: not said

    @property
    def faced(self) -> Opening:
        """The opening that the boards of the face leave: they cover the edge of insulated reveals."""
        thick = self.reveal_insulation_mm
        sill = 0 if self.kind == OpeningKind.DOOR else thick
        return replace(
            self,
            x_mm=self.x_mm + thick,
            sill_mm=self.sill_mm + sill,
            width_mm=self.width_mm - 2 * thick,
            height_mm=self.height_mm - thick - sill,
        )

    @property
    def right_mm(self) -> int:
        """x of the right jamb."""
        return self.x_mm + self.width_mm

    @property
    def head_mm(self) -> int:
        """y of the head."""
        return self.sill_mm + self.height_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """A rectangle of the elevation taken by something else."""

    id: str
    kind: ObstacleKind
    x_mm: int
    y_mm: int
    width_mm: int
    height_mm: int
    projection_mm: int  # how far it stands out of the old wall
    mass_kg: float = 0.0  # of a radiator


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A socket, switch or junction box; (x, y) is the centre of the first, more follow to the right."""

    id: str
    x_mm: int
    y_mm: int
    diameter_mm: int
    count: int  # ganged side by side at ``pitch_mm``
    pitch_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HungLoad:
    """A cupboard, basin or shelf to be hung on the lining."""

    id: str
    x_mm: int
    y_mm: int  # height of its fixings
    width_mm: int
    mass_kg: float
    depth_mm: int  # how far its centre of mass stands off the face


@dataclass(frozen=True, slots=True, kw_only=True)
class ExistingLayer:
    """One layer of the old wall, listed from outside to inside."""

    material: str
    thickness_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetGrid:
    """Surveyed distance of the old wall's face towards the room from its reference plane.

    ``offsets_mm[j][i]`` belongs to ``xs_mm[i], ys_mm[j]``; positive is a bump into the room.
    """

    xs_mm: tuple[int, ...]
    ys_mm: tuple[int, ...]
    offsets_mm: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InsulationLayer:
    """Insulation wanted in the lining."""

    item: str
    place: InsulationPlace


@dataclass(frozen=True, slots=True, kw_only=True)
class Lining:
    """The lining wanted, in full. Board layers count from the frame outwards: the last one is seen."""

    id: str
    way: Way
    profile: str
    bays_per_board: int  # member spacing = board width / bays
    build: MemberBuild
    boards: tuple[str, ...]
    insulation: tuple[InsulationLayer, ...]
    membrane: str  # "" for none
    bracket: str  # "" = the shortest that reaches
    gap_mm: int  # clear gap (or room for insulation behind) between old wall and frame, at least
    tiled: bool
    finish: str  # Q1-Q4 or Level 0-5


# Stands in a wall whose lining is still to be chosen; it names nothing, and no layout takes it.
UNCHOSEN = Lining(
    id="choose",
    way=Way.STUD_AND_TRACK,
    profile="",
    bays_per_board=1,
    build=MemberBuild.SINGLE,
    boards=(),
    insulation=(),
    membrane="",
    bracket="",
    gap_mm=0,
    tiled=False,
    finish="",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlankInsulation:
    """Insulation on what the lining stops at: so far into the room, under one board."""

    item: str
    thickness_mm: int
    width_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """What the lining must reach; None = not asked."""

    u_value_w_m2k: float | None = None
    frsi: float | None = None
    moisture_safe: bool = False
    sound_gain_db: float | None = None
    sound_reduction_db: float | None = None
    thickness_max_mm: int | None = None
    fire_class: str = ""


# What a strip of insulation can be bonded to.
FLANKS = (Meets.MASONRY, Meets.PARTITION, Meets.SLAB, Meets.CEILING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """One wall of one room: what is there and what is wanted."""

    id: str
    name: str
    room: str
    storey: str
    other_side: str  # outside, neighbour, stair, ground, heated
    outline: tuple[Point, ...]
    meets: tuple[Meets, ...]
    head_moves: bool  # the slab above moves: a deflection head is needed
    openings: tuple[Opening, ...]
    obstacles: tuple[Obstacle, ...]
    boxes: tuple[Box, ...]
    loads: tuple[HungLoad, ...]
    construction: tuple[ExistingLayer, ...]
    offsets: OffsetGrid | None
    building_joints_mm: tuple[int, ...]  # movement joints of the building that cross this wall
    wet_room: bool
    questions: tuple[str, ...]  # survey questions still open (moisture, cables, asbestos)
    lining: Lining
    targets: Targets
    humidity_class: int | None = None  # internal humidity class of the room, 1 to 5 (ISO 13788)
    flank: FlankInsulation | None = None  # at sides, partitions and slabs overhead; floors are walked on
    facing_deg: int | None = None  # outward, from north; None: not said
    rain_exposure: str = "normal"  # sheltered, normal, severe
    wood_ends: bool = False  # ends of joists or beams stand in the old wall
    damp: bool = False  # found so by the survey
    moisture_reading_percent: float | None = None  # water in the old wall, of its dry mass
    crowd: bool = False  # people gather in the room in numbers: it bears more
    anchor_pull_n: float | None = None  # characteristic, found by pull-out tests; None: not tested
    separates: Separates | None = None  # two rooms; None: not said

    @property
    def flanked(self) -> tuple[int, ...]:
        """Edges of the outline, by number, whose flank is insulated."""
        if self.flank is None:
            return ()
        ends = self.outline[1:] + self.outline[:1]
        return tuple(
            number
            for number, (a, b) in enumerate(zip(self.outline, ends, strict=True))
            if b[0] <= a[0] and self.meets[number] in FLANKS
        )

    @property
    def length_mm(self) -> int:
        """Greatest extent along the wall."""
        xs = [x for x, _ in self.outline]
        return max(xs) - min(xs)

    @property
    def height_mm(self) -> int:
        """Greatest extent up the wall."""
        ys = [y for _, y in self.outline]
        return max(ys) - min(ys)
