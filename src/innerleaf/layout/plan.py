"""One wall set out: the whole way on one screen. A pure function of the wall and the practice."""

from __future__ import annotations

from collections.abc import Sequence

from innerleaf.errors import about
from innerleaf.layout.boards import lay_boards
from innerleaf.layout.brackets import place_brackets
from innerleaf.layout.edges import penetrations, run_edges
from innerleaf.layout.frame import build_frame
from innerleaf.layout.grid import PanelGrid, set_out_panels
from innerleaf.layout.infill import fill_insulation, hang_membrane, place_backing, place_noggings
from innerleaf.layout.judge import judge
from innerleaf.layout.panels import misplaced_joints
from innerleaf.layout.pieces import BoardPiece, WallPlan
from innerleaf.layout.reveals import bead_flanks, insulate_reveals, line_reveals
from innerleaf.layout.screws import drive_screws
from innerleaf.layout.setting import Setting, setting_for
from innerleaf.layout.zone import Zone
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Wall


def plan_wall(wall: Wall, practice: Practice) -> WallPlan:
    """Set out one wall.

    Raises
    ------
    InputError
        The lining names something the practice does not have, or asks for what no rule allows.
    """
    with about(f"wall {wall.id} ({wall.room})"):
        setting = setting_for(wall, practice)
        return plan_grids(setting, practice, *set_out_panels(setting, Zone(wall)))


def plan_grids(
    setting: Setting,
    practice: Practice,
    joints: Sequence[int],
    grids: Sequence[PanelGrid],
    *,
    hidden_cut: bool = False,
    hanging: Sequence[BoardPiece] = (),
) -> WallPlan:
    """Everything of a wall whose movement joints and grids are chosen; the rest as of `lay_boards`."""
    wall = setting.wall
    with about(f"wall {wall.id} ({wall.room})"):
        zone = Zone(wall)
        frame = build_frame(setting, practice, zone, grids)
        boarding = lay_boards(setting, zone, grids, hidden_cut=hidden_cut, hanging=hanging)
        reveals = line_reveals(setting)
        noggings = place_noggings(setting, zone, frame.members, boarding.cross_joints)
        backing = place_backing(setting, practice, zone, frame.members)
        brackets, bracket_findings = place_brackets(setting, frame.members) if setting.bracketed else ([], [])
        membrane, membrane_runs = hang_membrane(setting, practice, zone, grids)
        layers = range(len(setting.boards))
        return WallPlan(
            wall=wall,
            practice=practice.id,
            build_up=setting.build_up,
            grids=tuple(grid.choice for grid in grids),
            gaps=setting.gaps,
            board_area=boarding.area,
            movement_joints_mm=tuple(joints),
            vertical_joints_mm=tuple(
                tuple(x for grid in grids for x in grid.joints[layer]) for layer in layers
            ),
            members=frame.members,
            bars=(*frame.bars, *noggings, *backing),
            boards=(*boarding.pieces, *reveals),
            screws=tuple(drive_screws(setting, practice, frame.members, noggings, boarding.pieces)),
            brackets=tuple(brackets),
            fixings=frame.fixings,
            slabs=(
                *fill_insulation(setting, practice, zone, grids),
                *insulate_reveals(setting, practice),
            ),
            membrane=tuple(membrane),
            runs=(
                *frame.strips,
                *membrane_runs,
                *run_edges(setting, practice, zone, grids, boarding),
                *bead_flanks(setting, practice),
            ),
            penetrations=tuple(penetrations(setting)),
            findings=(
                *misplaced_joints(setting, zone, joints),
                *frame.findings,
                *boarding.findings,
                *bracket_findings,
                *judge(setting, zone, grids, frame.members, boarding),
            ),
        )
