"""Everything a lining is made of, each piece with a mark, a place, a cut shape and a purpose.

Coordinates are those of the wall's elevation (see ``survey.wall``): x right, y up, from the datum,
in millimetres. They are integers except on raked edges, where rounding each vertex would open gaps
between neighbouring boards (``docs/decisions/0003-raked-vertices.md``). A mark is made of the wall,
the kind of piece and its order along this wall, so work on other walls never changes it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from innerleaf.findings import Finding
from innerleaf.survey.wall import Wall

Coordinate = float
Ring = tuple[tuple[Coordinate, Coordinate], ...]  # counter-clockwise, first vertex not repeated


FACE = "face"  # the plane of pieces of the wall itself
FLANK = "flank"  # the last word of the plane of pieces beside it


class Role(StrEnum):
    """What a metal piece does."""

    FLOOR_TRACK = "floor track"
    HEAD_TRACK = "head track"
    SIDE_TRACK = "side track"  # perimeter channel up the ends of a bracketed lining
    END = "end stud"
    GRID = "stud"
    JOINT = "joint stud"  # extra, under a board joint off the grid
    JAMB = "jamb stud"
    EDGE = "edge stud"  # at a step of the outline or beside a column
    MOVEMENT = "movement joint stud"
    CRIPPLE = "cripple stud"  # above a head or below a sill
    HEAD = "head member"  # over an opening
    SILL = "sill member"  # under a window
    NOGGING = "nogging"  # behind a cross joint
    BACKING = "backing plate"  # behind a hung load


@dataclass(frozen=True, slots=True)
class Member:
    """A vertical line of support: one or two studs (channels), whole or spliced.

    It covers ``x_mm - face_mm / 2 .. x_mm + face_mm / 2`` from ``bottom_mm`` to ``top_mm`` (at its
    centre line; what is screwed to it must stay inside).
    """

    mark: str
    role: Role
    x_mm: Coordinate
    face_mm: int
    bottom_mm: Coordinate
    top_mm: Coordinate


@dataclass(frozen=True, slots=True)
class Bar:
    """One cut piece of profile, from ``a`` to ``b`` along its centre line in elevation.

    ``length_mm`` is the length to cut (the longer side when an end is skew); ``skew_*_deg`` is the
    angle of the end cut from square. ``member`` is the support it belongs to ("" for tracks).
    """

    mark: str
    member: str
    role: Role
    item: str
    ax_mm: Coordinate
    ay_mm: Coordinate
    bx_mm: Coordinate
    by_mm: Coordinate
    face_mm: int
    length_mm: int
    skew_a_deg: float
    skew_b_deg: float
    purpose: str


@dataclass(frozen=True, slots=True)
class Cutout:
    """A round hole (or several ganged side by side) in a board, for a box or a pipe."""

    of: str
    x_mm: Coordinate
    y_mm: Coordinate
    diameter_mm: int


@dataclass(frozen=True, slots=True)
class BoardPiece:
    """One cut piece of board.

    ``plane`` is "face" for the wall itself; for reveals "<opening> left/right/head/sill", where the
    ring is local: x = depth from the frame of the window outwards, y = along the edge; for insulated
    flanks "edge <number> flank", x = from the face of the lining into the room, y = along the edge.
    ``left_bound`` / ``right_bound``: the long edge is the factory edge (paper-bound, tapered), not cut.
    ``length_mm`` lies along the factory edge, ``width_mm`` across it (bounding sizes of the cut piece).
    """

    mark: str
    layer: int  # 1 lies on the frame; the highest is seen
    plane: str
    item: str
    ring: Ring
    holes: tuple[Ring, ...]
    cutouts: tuple[Cutout, ...]
    width_mm: Coordinate
    length_mm: Coordinate
    stock_length_mm: int
    left_bound: bool
    right_bound: bool
    purpose: str


@dataclass(frozen=True, slots=True)
class ScrewLine:
    """Screws of one board along one member (upright) or nogging (level).

    Upright: x is ``at_mm`` and the screws' y are ``places_mm``; level: the other way round.
    """

    board: str
    support: str  # mark of a Member or of a level Bar
    layer: int
    upright: bool
    at_mm: Coordinate
    places_mm: tuple[int, ...]
    item: str


@dataclass(frozen=True, slots=True)
class BracketPlace:
    """A bracket: its channel, its place and how far it must project from the old wall."""

    mark: str
    member: str
    item: str
    x_mm: int
    y_mm: int
    projection_mm: int


@dataclass(frozen=True, slots=True)
class FixingLine:
    """Fixings of one perimeter piece into the structure."""

    bar: str
    item: str
    places_mm: tuple[tuple[Coordinate, Coordinate], ...]


@dataclass(frozen=True, slots=True)
class Slab:
    """One cut piece of insulation; ``layer`` counts from the old wall.

    ``plane`` is "face" in the lining itself; for reveals and flanks as of a `BoardPiece`.
    """

    mark: str
    layer: int
    item: str
    ring: Ring
    width_mm: int  # cut width, with the oversize that holds it in the bay
    length_mm: int
    plane: str = FACE


@dataclass(frozen=True, slots=True)
class MembraneStrip:
    """One strip of vapour control layer, laps and upstands included in its size."""

    mark: str
    item: str
    ring: Ring
    holes: tuple[Ring, ...]
    width_mm: int
    length_mm: int


class RunKind(StrEnum):
    """Kinds of work measured along a line."""

    SEALING_STRIP = "sealing strip"
    SEALANT = "sealant"
    JOINT_TAPERED = "tapered joint"
    JOINT_CUT = "cut-edge joint"
    JOINT_CROSS = "cross joint"
    INNER_CORNER = "inner corner"
    PERIMETER = "perimeter joint"
    CORNER_BEAD = "corner bead"
    EDGE_BEAD = "edge bead"
    MOVEMENT_BEAD = "movement bead"
    MEMBRANE_LAP = "membrane lap"
    MEMBRANE_SEAL = "membrane seal"


@dataclass(frozen=True, slots=True)
class Run:
    """A line of strip, sealant, tape, bead or joint. ``layer`` 0: not of one board layer."""

    kind: RunKind
    layer: int
    ax_mm: Coordinate
    ay_mm: Coordinate
    bx_mm: Coordinate
    by_mm: Coordinate
    length_mm: Coordinate
    item: str  # consumable that runs here; "" where the kind names several (joints)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Penetration:
    """Something that pierces the lining and must be sealed (box, pipe, bracket of a radiator)."""

    of: str
    x_mm: Coordinate
    y_mm: Coordinate
    pierces_membrane: bool


@dataclass(frozen=True, slots=True)
class BuildUp:
    """Depths across the lining, counted from the old wall's reference plane into the room."""

    frame_back_mm: int
    frame_depth_mm: int
    packet_mm: float
    total_mm: float


@dataclass(frozen=True, slots=True)
class GridChoice:
    """Where the member grid of one panel starts and why this start was taken among those tried.

    A panel is the stretch ``from_mm .. to_mm`` between wall ends, movement joints and whatever
    interrupts the lining from floor to head. The grid stands at ``origin_mm`` plus whole spacings.
    """

    from_mm: int
    to_mm: int
    origin_mm: int
    spacing_mm: float
    tried: int
    cost: tuple[int, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Gaps:
    """Board gaps as laid out, by what the edge is; they bound the area that boards tile."""

    floor_mm: int
    head_mm: int
    side_mm: int
    movement_mm: int


@dataclass(frozen=True, slots=True)
class WallPlan:
    """One wall set out, piece by piece."""

    wall: Wall
    practice: str
    build_up: BuildUp
    grids: tuple[GridChoice, ...]  # one per panel, left to right
    gaps: Gaps
    board_area: tuple[tuple[Ring, tuple[Ring, ...]], ...]  # what boards of each layer tile: rings with holes
    movement_joints_mm: tuple[int, ...]
    vertical_joints_mm: tuple[tuple[Coordinate, ...], ...]  # by board layer
    members: tuple[Member, ...]
    bars: tuple[Bar, ...]
    boards: tuple[BoardPiece, ...]
    screws: tuple[ScrewLine, ...]
    brackets: tuple[BracketPlace, ...]
    fixings: tuple[FixingLine, ...]
    slabs: tuple[Slab, ...]
    membrane: tuple[MembraneStrip, ...]
    runs: tuple[Run, ...]
    penetrations: tuple[Penetration, ...]
    findings: tuple[Finding, ...]
