"""What wet rooms, tiles, hung loads and finishes leave to choose from, by the rules of the practice set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from innerleaf.practice.model import Board, Practice, Rules
from innerleaf.survey.wall import Wall, Way
from innerleaf.survey.wish import Wish

FINE = ("Q3", "Q4", "Level 4", "Level 5")
_GRAVITY = 9.81  # m/s²


@dataclass(frozen=True, slots=True)
class Asked:
    """What one wall asks of any lining before physics."""

    wet: bool
    tiled: bool
    finish: str
    load_n_m: float  # the greatest hung load on a metre of wall; 0 for none
    sound: bool  # an improvement or a sound reduction is asked for
    weather: bool  # beyond the wall it is colder than in the room

    @classmethod
    def of(cls, wall: Wall, wish: Wish) -> Asked:
        """Read off a wall."""
        targets = wall.targets
        return cls(
            wet=wall.wet_room,
            tiled=wish.tiled,
            finish=wish.finish,
            load_n_m=hung_load(wall),
            sound=targets.sound_gain_db is not None or targets.sound_reduction_db is not None,
            weather=wall.other_side in ("outside", "stair", "ground"),
        )


def hung_load(wall: Wall) -> float:
    """The greatest load hung on a metre of a wall. [N/m]"""
    return max((load.mass_kg * _GRAVITY / load.width_mm * 1000 for load in wall.loads), default=0.0)


def greatest_spacing(rules: Rules, way: Way, layers: int, asked: Asked) -> int:
    """Greatest lawful distance between members behind so many layers of board. [mm]"""
    limits = [rules.member_spacing_max_mm]
    if way == Way.BRACKETED:
        limits.append(rules.bracket_row_spacing_max_mm)
    if layers == 1 and asked.tiled:
        limits.append(rules.member_spacing_tiled_mm)
    if layers == 1 and asked.finish in FINE:
        limits.append(rules.member_spacing_fine_finish_mm)
    return min(limits)


def lawful_bays(rules: Rules, way: Way, layers: int, width_mm: int, asked: Asked, many: int) -> list[int]:
    """Bays to a board: the fewest that are lawful, and closer ones, ``many`` in all."""
    fewest = ceil(width_mm / greatest_spacing(rules, way, layers, asked) - 1e-9)
    return list(range(fewest, fewest + many))


def lawful_packet(packet: Sequence[Board], practice: Practice, asked: Asked) -> bool:
    """Whether boards may stand on a wall in this order, the last one seen."""
    rules = practice.rules
    thickness = sum(board.thickness_mm for board in packet)
    if len({board.width_mm for board in packet}) > 1:
        return False
    if len(packet) == 1 and thickness < rules.single_layer_thickness_min_mm:
        return False
    if asked.wet:
        wet = packet if rules.wet_room_every_layer else packet[-1:]
        if not all(board.for_wet_rooms for board in wet):
            return False
    heavy = asked.load_n_m > rules.hung_load_thin_max_n_m
    return not heavy or thickness >= rules.hung_load_packet_min_mm


def least_depth(rules: Rules, way: Way, asked: Asked) -> int:
    """Least depth of a member across the lining: where sound matters, of studs that stand free. [mm]"""
    return rules.free_standing_sound_depth_min_mm if asked.sound and way == Way.STUD_AND_TRACK else 0
