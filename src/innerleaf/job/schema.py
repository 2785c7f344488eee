"""The shape of a job file: what may be written where, before types and defaults are filled in.

Lengths are whole millimetres unless a field says otherwise. ``None`` means "not written here".
`docs/job-file.md` describes every field for the person who writes it.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import ConfigDict, Field

from innerleaf.job.schema_buying import Buying
from innerleaf.job.schema_plan import RoomPlace, Sides
from innerleaf.job.schema_pricing import Pricing
from innerleaf.job.schema_programme import Programme
from innerleaf.job.schema_site import Firm, Part, Site
from innerleaf.job.schema_sound import Separates
from innerleaf.job.words import (
    BuildWord,
    Corner,
    Depth,
    Direction,
    ExposureWord,
    Extent,
    FinishWord,
    Id,
    Length,
    Line,
    MeetsWord,
    Number,
    ObjectiveWord,
    ObstacleWord,
    OpeningWord,
    OtherSideWord,
    Place,
    ShortId,
    Size,
    Version,
    WayWord,
    Yes,
)

MOST_WALLS = 20_000
CHOOSE = "choose"  # the lining that is still to be chosen

OpeningSize = Annotated[int, Length(200, 30_000)]
Mass = Annotated[float, Number(0, 2_000, "kg")]
Worth = Annotated[float, Number(0, 1_000_000)]


class Layer(Part):
    """One layer of an existing wall."""

    material: Id = Field(description="material of the practice set")
    thickness: Annotated[float, Length(0.1, 3_000, exact=True)] = Field(description="[mm]")


class LiningFields(Part):
    """A lining, or what differs from one."""

    way: WayWord | None = Field(None, description="which of the two ways to build")
    profile: Id | None = Field(
        None, description="stud (stud and track) or channel (bracketed) of the practice set"
    )
    spacing: Annotated[int, Length(100, 2_000)] | None = Field(
        None, description="centre to centre of the members, a whole part of the board width [mm]"
    )
    build: BuildWord | None = Field(None, description="how a stud is made up: single")
    boards: Annotated[tuple[Id, ...], Field(min_length=1, max_length=4)] | None = Field(
        None, description="boards, layer by layer from the frame into the room"
    )
    board_width: Annotated[int, Length(100, 5_000)] | None = Field(
        None, description="width the boards are wanted in; must be one that can be bought [mm]"
    )
    insulation: Annotated[tuple[Id, ...], Field(max_length=4)] | None = Field(
        None, description="insulation between the members, old wall first"
    )
    insulation_behind: Annotated[tuple[Id, ...], Field(max_length=4)] | None = Field(
        None, description="insulation behind the frame, old wall first"
    )
    membrane: Id | None = Field(None, description="vapour control layer; `none` takes away an inherited one")
    bracket: Id | None = Field(None, description="bracket; left out: the shortest that reaches")
    gap: Annotated[int, Length(0, 500)] | None = Field(
        None, description="least distance from the old wall to the back of the frame: 0 [mm]"
    )
    tiled: Yes | None = Field(None, description="tiles will be laid on it: false")
    finish: FinishWord | None = Field(None, description="surface quality: Q2")


class Lining(LiningFields):
    """A lining in full."""

    way: WayWord
    profile: Id
    boards: Annotated[tuple[Id, ...], Field(min_length=1, max_length=4)]


class OpeningFields(Part):
    """What openings of one type have in common."""

    kind: OpeningWord | None = Field(None, description="window, door or niche")
    sill: Annotated[int, Length(-10_000, 100_000)] | None = Field(
        None, description="height of the sill above the datum; 0 for a door [mm]"
    )
    width: OpeningSize | None = Field(None, description="[mm]")
    height: OpeningSize | None = Field(None, description="[mm]")
    reveal: Depth | None = Field(
        None, description="from the old wall's face to the frame of the window, or the niche's back: 0 [mm]"
    )
    reveal_lined: Yes | None = Field(None, description="the reveal gets boards too: false")
    reveal_insulation: Id | None = Field(
        None, description="insulation under the boards of a lined reveal; `none` takes away an inherited one"
    )
    frame: Annotated[int, Length(5, 500)] | None = Field(
        None, description="how much of the window's frame a reveal may cover, all round [mm]"
    )


class Opening(OpeningFields):
    """A window, door or niche of a wall."""

    id: ShortId | None = Field(None, description="its mark; left out: window-1, door-1 and so on")
    type: Id | None = Field(None, description="an opening type")
    x: Place = Field(description="from the datum to its left side [mm]")


class BoxFields(Part):
    """What boxes of one type have in common."""

    y: Place | None = Field(None, description="height of its centre above the datum [mm]")
    diameter: Annotated[int, Length(10, 400)] | None = Field(None, description="of the hole: 68 [mm]")
    count: Annotated[int, Number(1, 12, whole=True)] | None = Field(
        None, description="ganged side by side: 1"
    )
    pitch: Annotated[int, Length(10, 400)] | None = Field(
        None, description="centre to centre of ganged ones: 71 [mm]"
    )


class Box(BoxFields):
    """A socket, switch or junction box of a wall."""

    id: ShortId | None = Field(None, description="its mark; left out: box-1 and so on")
    type: Id | None = Field(None, description="a box type")
    x: Place = Field(description="from the datum to its centre (of the first, if ganged) [mm]")


class Obstacle(Part):
    """A column, beam, pipe or radiator."""

    id: ShortId | None = Field(None, description="its mark; left out: column-1 and so on")
    kind: ObstacleWord = Field(
        description="columns and beams end the lining; pipes pass through it; radiators hang on it"
    )
    x: Place = Field(0, description="from the datum to its left side [mm]")
    y: Place = Field(0, description="from the datum up to its underside [mm]")
    width: Size | None = Field(None, description="left out for a beam: to the right end of the wall [mm]")
    height: Size | None = Field(None, description="left out for a column: to the top of the wall [mm]")
    projection: Depth = Field(0, description="how far it stands out of the old wall [mm]")
    mass: Mass = Field(0.0, description="of a radiator [kg]")


class Load(Part):
    """A cupboard, basin or shelf to be hung on the lining."""

    id: ShortId | None = Field(None, description="its mark; left out: load-1 and so on")
    x: Place = Field(description="from the datum to its left side [mm]")
    y: Place = Field(description="height of its fixings above the datum [mm]")
    width: Size = Field(description="[mm]")
    mass: Mass = Field(description="filled, with what will stand in it [kg]")
    depth: Depth = Field(description="from the lining's face to its centre of mass [mm]")


class Meets(Part):
    """What the sides of the wall meet."""

    left: MeetsWord | None = None
    right: MeetsWord | None = None
    floor: MeetsWord | None = None
    ceiling: MeetsWord | None = None
    slope: MeetsWord | None = None


class Offsets(Part):
    """Surveyed distances of the old wall's face towards the room, on a grid."""

    x: Annotated[tuple[Place, ...], Field(min_length=1, max_length=500)] = Field(
        description="places along the wall, from left to right [mm]"
    )
    y: Annotated[tuple[Place, ...], Field(min_length=1, max_length=200)] = Field(
        description="heights, from the floor up [mm]"
    )
    rows: Annotated[
        tuple[Annotated[tuple[Annotated[int, Length(-500, 500)], ...], Field(max_length=500)], ...],
        Field(max_length=200),
    ] = Field(description="one row per height, one number per place; above 0 is a bump into the room [mm]")


class Targets(Part):
    """What the lining must reach."""

    u_value: Annotated[float, Number(0.05, 5, "W/(m²·K)")] | None = Field(
        None, description="at most [W/(m²·K)]"
    )
    frsi: Annotated[float, Number(0, 1)] | None = Field(
        None, description="surface temperature factor, at least"
    )
    moisture: Yes | None = Field(None, description="no moisture may accumulate: false")
    sound_gain: Annotated[float, Number(0, 50, "dB")] | None = Field(
        None, description="improvement, at least [dB]"
    )
    sound_reduction: Annotated[float, Number(0, 100, "dB")] | None = Field(None, description="at least [dB]")
    thickness: Annotated[int, Length(10, 1_000)] | None = Field(
        None, description="of the lining from the old wall, at most [mm]"
    )
    fire: Line | None = Field(
        None, description="class wished, in words; a tested system and a licensed designer decide"
    )


class WallFields(Part):
    """A wall, as far as a type, the defaults, a change or the wall itself says it."""

    length: Extent | None = Field(None, description="of a rectangular wall [mm]")
    height: Extent | None = Field(None, description="of a rectangular wall [mm]")
    outline: Annotated[tuple[Corner, ...], Field(min_length=3, max_length=60)] | None = Field(
        None, description="corners [x, y] of any other wall, in order [mm]"
    )
    dado: Extent | None = Field(None, description="height at which the lining stops [mm]")
    meets: Meets | None = Field(None, description="what left, right, floor, ceiling and slope meet")
    edges: Annotated[tuple[MeetsWord, ...], Field(max_length=60)] | None = Field(
        None,
        description="what each side of the outline meets, in the order of its corners; instead of `meets`",
    )
    head_moves: Yes | None = Field(
        None, description="the slab above moves, a deflection head is needed: false"
    )
    other_side: OtherSideWord | None = Field(None, description="outside")
    construction: Id | None = Field(None, description="one of `constructions`")
    openings: Annotated[tuple[Opening, ...], Field(max_length=100)] | None = None
    obstacles: Annotated[tuple[Obstacle, ...], Field(max_length=100)] | None = None
    boxes: Annotated[tuple[Box, ...], Field(max_length=200)] | None = None
    loads: Annotated[tuple[Load, ...], Field(max_length=100)] | None = None
    offsets: Offsets | None = Field(None, description="survey of the old wall's face")
    building_joints: Annotated[tuple[Place, ...], Field(max_length=50)] | None = Field(
        None, description="x of the building's movement joints that cross the wall [mm]"
    )
    orientation: Annotated[int, Direction()] | None = Field(
        None, description="what it faces: degrees from north, or north, north-east and so on"
    )
    rain_exposure: ExposureWord | None = Field(
        None, description="to driving rain: sheltered, normal or severe; normal"
    )
    wood_ends: Yes | None = Field(None, description="ends of wooden joists or beams stand in it: false")
    damp: Yes | None = Field(None, description="the survey found it damp: false")
    moisture_reading: Annotated[float, Number(0, 60, "% by mass")] | None = Field(
        None, description="water found in the old wall [% of its dry mass]"
    )
    anchor_pull: Annotated[float, Number(10, 100_000, "N")] | None = Field(
        None, description="at which an anchor came out of the old wall in tests, characteristic [N]"
    )
    separates: Separates | None = Field(
        None, description="two rooms: what goes round it from one to the other"
    )
    wet: Yes | None = Field(None, description="wet room; left out: as the room")
    questions: Annotated[tuple[Line, ...], Field(max_length=20)] | None = Field(
        None, description="survey questions still open"
    )
    flank_insulation: Id | None = Field(
        None,
        description="insulation on the walls and ceilings at which the lining stops; `none` takes away an"
        " inherited one",
    )
    flank_width: Annotated[int, Length(100, 2_000)] | None = Field(
        None, description="how far it goes into the room; left out: as the practice set says [mm]"
    )
    lining: Id | None = Field(None, description="one of `linings`, or `choose`")
    lining_changes: LiningFields | None = Field(None, description="what differs from that lining")
    targets: Targets | None = None


class TypedWall(WallFields):
    """Wall fields with a wall type to take the rest from."""

    type: Id | None = Field(None, description="one of `wall_types`")


class Wall(TypedWall):
    """One wall of one room."""

    id: Id = Field(description="unique in the job; part of every mark and file name")
    name: Line = Field("", description="what people call it")
    room: Id = Field(description="id of its room")


class Room(Part):
    """A room."""

    id: Id = Field(description="unique in the job")
    name: Line = Field("", description="what people call it; left out: its id")
    storey: Line = Field("", description="storey it lies on")
    height: Extent | None = Field(None, description="clear height, for its walls that give none [mm]")
    wet: Yes = Field(False, description="bathroom, shower, laundry")
    use: Line = Field("", description="what it is used for")
    crowd: Yes = Field(False, description="people gather there in numbers: hall, school, shop")
    humidity: Annotated[int, Number(1, 5, whole=True)] | None = Field(
        None, description="internal humidity class 1 to 5"
    )
    place: RoomPlace | None = Field(None, description="where it lies on the plan of its storey")
    sides: Sides | None = Field(None, description="its sides in the order one walks, turning to the right")


class FlatType(Part):
    """Rooms and walls of a flat that is built several times."""

    rooms: Annotated[tuple[Room, ...], Field(max_length=200)] = ()
    walls: Annotated[tuple[Wall, ...], Field(max_length=1_000)] = ()


class Flats(Part):
    """Flats of one type; the ids of their rooms and walls are FLAT-ID."""

    type: Id = Field(description="one of `flat_types`")
    ids: Annotated[tuple[Id, ...], Field(min_length=1, max_length=MOST_WALLS)] = Field(
        description="one id per flat"
    )
    storey: Line | None = Field(None, description="storey of all their rooms")
    changes: dict[Id, TypedWall] = Field({}, description="by wall of the type: what differs in these flats")


class Weights(Part):
    """What one unit of each figure is worth, for the objective `weighted`."""

    cost: Worth | None = Field(None, description="of the price list's currency")
    hours: Worth | None = Field(None, description="an hour of one person")
    floor: Worth | None = Field(None, description="a square metre of floor lost")
    carbon: Worth | None = Field(None, description="a kilogram of CO2 equivalent")
    mass: Worth | None = Field(None, description="a kilogram of lining")
    waste: Worth | None = Field(None, description="a kilogram bought but not built in")


class Choose(Part):
    """What linings that are left to `choose` are chosen by, for the building together."""

    objective: ObjectiveWord = Field("cost", description="what is made least: cost")
    weights: Weights | None = Field(None, description="for the objective `weighted`, and only then")
    most_systems: Annotated[int, Number(1, 1_000, whole=True)] | None = Field(
        None, description="most different linings in the building; left out: any number"
    )
    another_system: Worth = Field(0.0, description="what each further lining counts: 0 [of the objective]")
    another_profile: Worth = Field(0.0, description="what each further profile counts: 0 [of the objective]")
    another_board_width: Worth = Field(
        0.0, description="what a further width of board counts: 0 [of the objective]"
    )
    another_face: Worth = Field(
        0.0, description="what each further thickness in a group of `align` counts: 0 [of the objective]"
    )
    align: Annotated[
        tuple[Annotated[tuple[Id, ...], Field(min_length=2, max_length=1_000)], ...], Field(max_length=1_000)
    ] = Field((), description="groups of walls whose faces had better lie in one plane")


class JobFile(Part):
    """A job: a building, its walls and the linings wanted."""

    model_config = ConfigDict(title="Job file", defer_build=False)

    format: Annotated[int, Version()] = Field(description="version of this file format: 1")
    site: Site
    firm: Firm = Firm.model_construct(name="", practice="", prices="", supply="", rates="")
    constructions: dict[Id, Annotated[tuple[Layer, ...], Field(min_length=1, max_length=20)]] = Field(
        {}, description="existing walls, layer by layer from outside to inside"
    )
    linings: dict[Id, Lining] = Field({}, description="linings wanted")
    choose: Choose | None = Field(None, description="what linings left to `choose` are chosen by")
    buying: Buying | None = Field(None, description="how the material is bought")
    pricing: Pricing | None = Field(None, description="for whom the price is and what it rests on")
    programme: Programme | None = Field(None, description="when who does what")
    opening_types: dict[Id, OpeningFields] = Field(
        {}, description="windows, doors and niches that come again"
    )
    box_types: dict[Id, BoxFields] = Field({}, description="sockets and switches that come again")
    wall_types: dict[Id, WallFields] = Field({}, description="what walls have in common")
    defaults: TypedWall | None = Field(None, description="holds for every wall that does not say otherwise")
    rooms: Annotated[tuple[Room, ...], Field(max_length=MOST_WALLS)] = ()
    walls: Annotated[tuple[Wall, ...], Field(max_length=MOST_WALLS)] = ()
    flat_types: dict[Id, FlatType] = Field({}, description="flats that are built several times")
    flats: Annotated[tuple[Flats, ...], Field(max_length=2_000)] = Field(
        (), description="where they are built"
    )
