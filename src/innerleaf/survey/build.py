"""From the job as read to the walls that everything after works on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from innerleaf.errors import FileFaults
from innerleaf.job.check_lining import bays
from innerleaf.job.model import Job, JobLining, JobWall, JobWish
from innerleaf.job.schema import CHOOSE
from innerleaf.practice.model import Practice
from innerleaf.survey.separates import separates_of
from innerleaf.survey.wall import (
    UNCHOSEN,
    Box,
    ExistingLayer,
    FlankInsulation,
    HungLoad,
    InsulationLayer,
    InsulationPlace,
    Lining,
    Meets,
    MemberBuild,
    Obstacle,
    ObstacleKind,
    OffsetGrid,
    Opening,
    OpeningKind,
    Targets,
    Wall,
    Way,
)
from innerleaf.survey.wish import Wish


def survey(job: Job, practice: Practice, chosen: Mapping[str, Lining] | None = None) -> tuple[Wall, ...]:
    """The walls of a job, complete, in the order of the file.

    Coordinates stay as they were written: the datum is where the person put it. ``chosen`` has the lining
    of every wall that leaves it to be chosen.

    Raises
    ------
    FileFaults
        A wall leaves its lining to be chosen, and none was.
    """
    rooms, known = _room_names(job), chosen or {}
    missing = [wall for wall in job.walls if wall.lining is None and wall.id not in known]
    if missing:
        raise FileFaults([_unchosen(job, wall) for wall in missing])
    return tuple(
        _wall(
            wall,
            _lining(wall.lining, practice) if wall.lining else known[wall.id],
            rooms[wall.room.id],
            practice,
        )
        for wall in job.walls
    )


def open_walls(job: Job, practice: Practice) -> tuple[tuple[Wall, Wish], ...]:
    """The walls whose lining is to be chosen, with what is settled of it; their lining is `UNCHOSEN`."""
    rooms = _room_names(job)
    return tuple(
        (_wall(wall, UNCHOSEN, rooms[wall.room.id], practice), _wish(wall.wish))
        for wall in job.walls
        if wall.wish is not None
    )


def given_walls(job: Job, practice: Practice) -> tuple[Wall, ...]:
    """The walls whose lining the job names."""
    rooms = _room_names(job)
    return tuple(
        _wall(wall, _lining(wall.lining, practice), rooms[wall.room.id], practice)
        for wall in job.walls
        if wall.lining is not None
    )


def _unchosen(job: Job, wall: JobWall) -> str:
    line = job.line(wall.at("lining"))
    accepted = "the name of a lining, or to have one chosen first"
    about = f"wall {wall.id} ({wall.room.name}), field lining"
    return f"{job.file}:{line}: {about}: given {CHOOSE!r}, accepted: {accepted}."


def _room_names(job: Job) -> dict[str, str]:
    """What to call each room; with its id where two have one name, so that no two are taken for one."""
    often = Counter(room.name for room in job.rooms)
    return {room.id: room.name if often[room.name] == 1 else f"{room.name} ({room.id})" for room in job.rooms}


def _wall(wall: JobWall, lining: Lining, room: str, practice: Practice) -> Wall:
    return Wall(
        id=wall.id,
        name=wall.name,
        room=room,
        storey=wall.room.storey,
        other_side=wall.other_side,
        outline=wall.outline,
        meets=tuple(map(Meets, wall.meets)),
        head_moves=wall.head_moves,
        openings=tuple(
            Opening(
                id=o.id,
                kind=OpeningKind(o.kind),
                x_mm=o.x_mm,
                sill_mm=o.sill_mm,
                width_mm=o.width_mm,
                height_mm=o.height_mm,
                reveal_mm=o.reveal_mm,
                reveal_lined=o.reveal_lined,
                reveal_insulation=o.reveal_insulation,
                reveal_insulation_mm=_thickness_mm(o.reveal_insulation, practice),
                frame_mm=o.frame_mm,
            )
            for o in wall.openings
        ),
        obstacles=tuple(
            Obstacle(
                id=o.id,
                kind=ObstacleKind(o.kind),
                x_mm=o.x_mm,
                y_mm=o.y_mm,
                width_mm=o.width_mm,
                height_mm=o.height_mm,
                projection_mm=o.projection_mm,
                mass_kg=o.mass_kg,
            )
            for o in wall.obstacles
        ),
        boxes=tuple(
            Box(
                id=b.id,
                x_mm=b.x_mm,
                y_mm=b.y_mm,
                diameter_mm=b.diameter_mm,
                count=b.count,
                pitch_mm=b.pitch_mm,
            )
            for b in wall.boxes
        ),
        loads=tuple(
            HungLoad(
                id=load.id,
                x_mm=load.x_mm,
                y_mm=load.y_mm,
                width_mm=load.width_mm,
                mass_kg=load.mass_kg,
                depth_mm=load.depth_mm,
            )
            for load in wall.loads
        ),
        construction=tuple(
            ExistingLayer(material=layer.material, thickness_mm=layer.thickness)
            for layer in wall.construction
        ),
        offsets=_offsets(wall),
        building_joints_mm=tuple(sorted(set(wall.building_joints_mm))),
        wet_room=wall.wet,
        questions=wall.questions,
        lining=lining,
        targets=_targets(wall),
        humidity_class=wall.room.humidity,
        flank=_flank(wall, practice),
        facing_deg=wall.orientation,
        rain_exposure=wall.rain_exposure,
        wood_ends=wall.wood_ends,
        damp=wall.damp,
        moisture_reading_percent=wall.moisture_reading,
        crowd=wall.room.crowd,
        anchor_pull_n=wall.anchor_pull_n,
        separates=separates_of(wall, practice),
    )


def _thickness_mm(item: str, practice: Practice) -> int:
    return practice.insulation[item].thickness_mm if item else 0


def _flank(wall: JobWall, practice: Practice) -> FlankInsulation | None:
    if not wall.flank_insulation:
        return None
    width = wall.flank_width_mm or practice.rules.flank_width_mm
    return FlankInsulation(
        item=wall.flank_insulation,
        thickness_mm=_thickness_mm(wall.flank_insulation, practice),
        width_mm=width,
    )


def _offsets(wall: JobWall) -> OffsetGrid | None:
    grid = wall.offsets
    return OffsetGrid(xs_mm=grid.x, ys_mm=grid.y, offsets_mm=grid.rows) if grid else None


def _targets(wall: JobWall) -> Targets:
    said = wall.targets
    return Targets(
        u_value_w_m2k=said.u_value,
        frsi=said.frsi,
        moisture_safe=bool(said.moisture),
        sound_gain_db=said.sound_gain,
        sound_reduction_db=said.sound_reduction,
        thickness_max_mm=said.thickness,
        fire_class=said.fire or "",
    )


def _lining(said: JobLining, practice: Practice) -> Lining:
    layers = [(InsulationPlace.BEHIND, said.insulation_behind), (InsulationPlace.BETWEEN, said.insulation)]
    return Lining(
        id=said.id,
        way=Way(said.way),
        profile=said.profile,
        bays_per_board=_bays(said, practice),
        build=MemberBuild(said.build),
        boards=said.boards,
        insulation=tuple(
            InsulationLayer(item=item, place=place) for place, items in layers for item in items
        ),
        membrane=said.membrane,
        bracket=said.bracket,
        gap_mm=said.gap_mm,
        tiled=said.tiled,
        finish=said.finish,
    )


def _wish(said: JobWish) -> Wish:
    return Wish(
        tiled=said.tiled,
        finish=said.finish,
        way=Way(said.way) if said.way else None,
        profile=said.profile,
        spacing_mm=said.spacing_mm,
        build=MemberBuild(said.build) if said.build else None,
        boards=said.boards,
        board_width_mm=said.board_width_mm,
        insulation=said.insulation,
        insulation_behind=said.insulation_behind,
        membrane=said.membrane,
        bracket=said.bracket,
        gap_mm=said.gap_mm,
    )


def _bays(said: JobLining, practice: Practice) -> int:
    """Bays to a board: of the spacing given, else the fewest that the practice set allows."""
    width = practice.boards[said.boards[0]].width_mm
    if said.spacing_mm is not None:
        return bays(width, said.spacing_mm) or 1
    rules = practice.rules
    tiled = said.tiled and len(said.boards) == 1
    widest = rules.member_spacing_tiled_mm if tiled else rules.member_spacing_max_mm
    return -(-width // widest)
