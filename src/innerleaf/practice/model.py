"""The trade as data: what can be bought and which rules hold.

Frozen values only; ``load.py`` builds them from the data files beside it. Lengths are integers in
millimetres whatever the practice set shows to people. Every entry names its source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from innerleaf.practice.site import OnSite
    from innerleaf.practice.structure import Structure


class ProfileUse(StrEnum):
    """What a profile serves as in a lining."""

    STUD = "stud"  # C stud of a stud-and-track lining
    TRACK = "track"  # U track that takes the studs
    CHANNEL = "channel"  # shallow C-channel of a bracketed lining
    PERIMETER = "perimeter"  # U channel round a bracketed lining


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """A cold-formed steel profile.

    ``depth_mm`` is the dimension across the lining (the web of a stud, 27 of a CD 60/27),
    ``face_mm`` the one seen in elevation that the board is screwed to (the flange of a stud, 60 of
    a CD 60/27; for tracks the height of the leg).
    """

    id: str
    use: ProfileUse
    depth_mm: int
    face_mm: int
    sheet_mm: float
    lip_mm: float
    stock_lengths_mm: tuple[int, ...]
    mass_kg_m: float
    fits: str  # the track (perimeter channel) that takes this stud (channel); "" for tracks
    splice_overlap_mm: int  # 0: joined end to end with a connector (tracks: butt joint)
    greatest_height_mm: int  # plausibility limit; tested tables and local codes govern; 0 = none
    greatest_height_doubled_mm: int = 0  # of two, back to back or boxed; 0 = none
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """A gypsum board in the sizes it can be bought."""

    id: str
    type: str  # EN 520 letters, or the type of another standard
    thickness_mm: float
    width_mm: int
    lengths_mm: tuple[int, ...]
    mass_kg_m2: float
    conductivity_w_mk: float
    for_wet_rooms: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Insulation:
    """A slab (or roll) of insulation.

    ``carries_board``: stiff enough that a board is bonded to it, so it serves on reveals and flanks.
    """

    id: str
    thickness_mm: int
    width_mm: int
    length_mm: int
    density_kg_m3: float
    conductivity_w_mk: float
    source: str
    carries_board: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Bracket:
    """An adjustable bracket; it holds the back of the channel ``reach`` away from the old wall.

    For the heat it lets through: two straps as wide as ``strap_mm`` of sheet ``sheet_mm`` thick, held
    by an anchor of ``anchor_mm`` that goes ``anchor_depth_mm`` into the old wall.
    """

    id: str
    reach_min_mm: int
    reach_max_mm: int
    mass_kg: float
    source: str
    strap_mm: int = 30
    sheet_mm: float = 1.0
    anchor_mm: int = 6
    anchor_depth_mm: int = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Membrane:
    """A vapour control layer, by the roll."""

    id: str
    width_mm: int
    length_mm: int
    sd_m: float  # dry, at 40 % mean humidity or below
    lap_mm: int
    source: str
    sd_damp_m: float = 0.0  # at 90 % or above, of a film that opens when damp; 0: as dry


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A board screw; ``length_mm`` under the head."""

    id: str
    length_mm: int
    pack: int
    source: str


class ConsumableUse(StrEnum):
    """Where a consumable goes; the layout places runs of each use."""

    SEALING_STRIP = "sealing strip"
    SEALANT = "sealant"
    JOINT_TAPE = "joint tape"
    JOINT_COMPOUND = "joint compound"
    CORNER_BEAD = "corner bead"
    EDGE_BEAD = "edge bead"
    MOVEMENT_BEAD = "movement bead"
    MEMBRANE_TAPE = "membrane tape"
    MEMBRANE_SEALANT = "membrane sealant"
    PERIMETER_FIXING = "perimeter fixing"
    BRACKET_FIXING = "bracket fixing"
    FRAME_SCREW = "frame screw"
    CONNECTOR = "connector"
    BACKING = "backing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Consumable:
    """Something bought by the roll, bag, box or length.

    ``pack`` is how much one pack holds, ``unit`` of what (mm of length, pieces, kg).
    ``width_mm`` only where it matters: of the profile a strip lies under, 0 elsewhere.
    ``per_m`` is how much a metre of finished joint takes, in ``unit``, where joints are counted;
    0 where the work itself is measured or counted in ``unit``.
    """

    id: str
    use: ConsumableUse
    unit: str  # "mm", "piece", "kg"
    pack: float
    width_mm: int = 0
    per_m: float = 0.0
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A material of existing walls, for the construction as surveyed."""

    id: str
    density_kg_m3: float
    conductivity_w_mk: float
    mu_dry: float
    mu_wet: float
    heat_j_kgk: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Junction:
    """What an old wall meets, as assumed for its heat loss where the job does not say more.

    ``bearing_mm`` is how far it reaches into the old wall. Columns and beams have the size of the job.
    """

    id: str
    material: str
    thickness_mm: int
    bearing_mm: int
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleNote:
    """Where the value of one rule comes from and how far a firm may move it."""

    name: str
    text: str
    unit: str  # "mm", "min", "N/m", "0 or 1"
    value: int
    low: int
    high: int
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """The rules of good work, as values. Names, meanings and sources: ``rules.yaml`` of the set."""

    # framing
    member_spacing_max_mm: int
    member_spacing_tiled_mm: int  # one layer under tiles
    member_spacing_fine_finish_mm: int  # one layer, Q3 or finer
    stud_short_of_height_mm: int  # studs are cut this much short of the clear height
    channel_short_of_height_mm: int
    track_fixing_spacing_max_mm: int
    end_fixing_spacing_max_mm: int
    fixing_end_distance_mm: int
    short_piece_min_mm: int  # no bar piece shorter than this in a spliced run
    bracket_spacing_max_mm: int
    bracket_row_spacing_max_mm: int  # horizontally, channel to channel
    bracket_end_distance_max_mm: int
    bracket_end_distance_min_mm: int
    cavity_clear_min_mm: int  # least distance between the frame and any bump of the old wall
    deflection_head_gap_mm: int  # movement the head must allow, where the slab moves
    track_engagement_min_mm: int
    box_clear_of_member_mm: int
    movement_joint_spacing_max_mm: int
    movement_joint_gap_mm: int
    nogging_over_board_height: int  # 1: cross joints are backed by noggings
    head_member_leg_mm: int  # turned-up ends of head and sill members
    pipe_clear_mm: int  # round a pipe, filled with sealant
    cripple_min_mm: int  # no stud shorter than this is cut
    hung_load_max_n_m: int  # hung load per metre of wall without further proof
    hung_load_thin_max_n_m: int  # the same on boards thinner than hung_load_packet_min_mm
    hung_load_packet_min_mm: int
    # boards
    board_gap_floor_mm: int
    board_gap_ceiling_mm: int
    board_gap_side_mm: int
    jamb_clear_mm: int  # vertical joints this far from the line of a jamb
    head_clear_mm: int  # cross joints this far from the line of a head or sill
    strip_min_mm: int  # narrowest strip
    piece_height_min_mm: int
    single_layer_thickness_min_mm: int
    wet_room_every_layer: int  # 1: in wet rooms every layer is a board for wet rooms; 0: the one seen
    cross_joint_stagger_min_mm: int
    layer_joint_offset_min_mm: int
    # screws
    screw_spacing_final_max_mm: int
    screw_spacing_first_max_mm: int
    screw_edge_bound_min_mm: int
    screw_edge_cut_min_mm: int
    screw_beyond_steel_min_mm: int
    screw_flange_edge_min_mm: int  # screw to the edge of the steel it bites into
    # insulation and membrane
    insulation_oversize_mm: int
    membrane_upstand_mm: int  # turned onto what it meets
    # jointing
    coat_1_width_mm: int
    coat_2_width_mm: int
    coat_3_width_mm: int
    coat_wait_min: int  # minutes between first and second coat in good drying
    free_standing_sound_depth_min_mm: int
    # heat
    flank_width_mm: int  # how far flank insulation goes into the room
    bracket_class_mm: int  # brackets whose projections differ by less are solved as one
    surface_factor_usual_percent: int  # least surface temperature factor where nobody says more
    loss_share_stair_percent: int  # temperature difference to an unheated stair, of that to outside
    loss_share_ground_percent: int
    condensate_limit_g_m2: int  # most water that may gather inside a wall in a winter
    # moisture through the years
    driving_rain_sheltered_percent: int  # share of the free wind's driving rain that meets the wall
    driving_rain_normal_percent: int
    driving_rain_severe_percent: int
    sun_absorbed_percent: int  # by the outer face
    water_gain_most_percent: int  # of the wall's water, in a year, that counts as none
    mould_index_most_tenths: int  # behind the insulation
    mould_class_old_face: int  # 1 very sensitive to 4 resistant
    wood_moisture_most_percent: int  # of the dry mass
    wood_end_bearing_mm: int  # how deep wooden ends reach into the old wall, from its inner face
    damp_from_percent: int  # water in an old wall, of what it takes up by suction
    # scatter, as standard deviations
    scatter_old_conductivity_percent: int
    scatter_new_conductivity_percent: int
    scatter_mu_percent: int
    scatter_bridges_percent: int
    scatter_surface_percent: int
    insulation_gap_loss_percent: int  # of the insulation's resistance, on average
    # cut lists and labels
    bar_offcut_min_mm: int  # a shorter remainder is waste
    board_offcut_width_min_mm: int  # of its shorter side
    board_offcut_length_min_mm: int  # of its longer side
    variant_members_more: int  # of a panel laid out for how the building is cut
    variant_hidden_joint_more_percent: int  # of the same; one joint as high as the wall is allowed as well
    label_columns: int  # on a sheet of labels
    label_rows: int
    label_width_mm: int
    label_height_mm: int
    label_left_mm: int
    label_top_mm: int  # from the edge of the sheet to the first label
    label_gap_mm: int
    label_sheet_width_mm: int
    label_sheet_height_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """One complete practice set: rules and catalogue, with a firm's changes already in it."""

    id: str
    title: str
    display_unit: str  # "mm" or "in": how people read and write lengths; computing is always in mm
    rules: Rules
    rule_notes: tuple[RuleNote, ...]
    profiles: dict[str, Profile]
    boards: dict[str, Board]
    insulation: dict[str, Insulation]
    brackets: dict[str, Bracket]
    membranes: dict[str, Membrane]
    screws: dict[str, Screw]
    consumables: dict[str, Consumable]
    materials: dict[str, Material]
    junctions: dict[str, Junction]
    structure: Structure | None = None  # with a firm's changes; None: as the package has it
    on_site: OnSite | None = None  # the same for what is checked on site

    def consumable(self, use: ConsumableUse, width_mm: int = 0) -> Consumable:
        """The consumable for a use: the narrowest that is at least ``width_mm`` wide, else the widest."""
        fitting = sorted((c for c in self.consumables.values() if c.use == use), key=lambda c: c.width_mm)
        return next((c for c in fitting if c.width_mm >= width_mm), fitting[-1])
