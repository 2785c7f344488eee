"""Every lining of a catalogue that may be built on a wall, in one order that never changes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, product

import numpy as np

from innerleaf.design.choice.catalogue import Catalogue
from innerleaf.design.choice.criteria import Ints
from innerleaf.design.choice.lawful import Asked, lawful_bays, lawful_packet, least_depth
from innerleaf.design.choice.options import Options, System
from innerleaf.errors import InputError
from innerleaf.job.outline import greatest_chord
from innerleaf.practice.model import Board, Bracket, Practice, Profile, ProfileUse
from innerleaf.survey.plane import greatest_offset_mm, least_offset_mm
from innerleaf.survey.wall import MemberBuild, Wall, Way
from innerleaf.survey.wish import Wish

_USES = {Way.BRACKETED: ProfileUse.CHANNEL, Way.STUD_AND_TRACK: ProfileUse.STUD}
_DOUBLES = (MemberBuild.DOUBLED, MemberBuild.BOXED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """How far the search goes among what is lawful.

    ``spacings``: for each board width the widest lawful spacing and closer ones, so many in all.
    ``air_mm``: air behind a frame that has nothing behind it, besides none. Two slabs are laid in one
    place only where they make more than the thickest single one that fits.
    """

    board_layers: int = 2
    slabs_in_a_place: int = 2
    spacings: int = 2
    air_mm: tuple[int, ...] = (20, 40)


FULL = Extent()


@dataclass(frozen=True, slots=True)
class _Filling:
    """What lies between and behind members, and the gap that wants."""

    between: tuple[str, ...]
    behind: tuple[str, ...]
    gap_mm: int


def generate(
    wall: Wall, wish: Wish, catalogue: Catalogue, practice: Practice, extent: Extent = FULL
) -> Options:
    """All lawful linings of a wall.

    Boards: one width, every layer below the seen one alike, as wet rooms, hung loads and the least
    thickness of a single layer allow. Members doubled or boxed: only studs that are too low alone.
    Brackets: only where one reaches from every hollow and bump of the old wall.

    Raises
    ------
    InputError
        Nothing in the catalogue is lawful for this wall.
    """
    maker = _Maker(wall, wish, catalogue, practice, extent)
    blocks = [block for system in maker.systems() for block in maker.block(system)]
    if not blocks:
        accepted = "a catalogue, and a wish, that leave at least one lawful lining"
        raise InputError("lining", given="choose", accepted=accepted)
    columns = np.concatenate(blocks, axis=1)
    return Options(
        systems=tuple(maker.system_list),
        packets=tuple(maker.packet_index),
        stacks=tuple(maker.stack_index),
        membranes=maker.membranes,
        tiled=wish.tiled,
        finish=wish.finish,
        bracket=wish.bracket or "",
        system=columns[0],
        packet=columns[1],
        between=columns[2],
        behind=columns[3],
        membrane=columns[4],
        gap_mm=columns[5],
        back_mm=columns[6],
    )


class _Maker:
    def __init__(
        self, wall: Wall, wish: Wish, catalogue: Catalogue, practice: Practice, extent: Extent
    ) -> None:
        self.wall, self.wish, self.catalogue = wall, wish, catalogue
        self.practice, self.extent = practice, extent
        self.asked = Asked.of(wall, wish)
        self.system_list: list[System] = []
        self.packet_index: dict[tuple[str, ...], int] = {}
        self.stack_index: dict[tuple[str, ...], int] = {(): 0}
        films = ("", *catalogue.membranes) if self.asked.weather else ("",)
        self.membranes = films if wish.membrane is None else (wish.membrane,)
        named = [b for b in catalogue.brackets.values() if wish.bracket in (None, b.id)]
        self.brackets: list[Bracket] = sorted(named, key=lambda bracket: bracket.reach_max_mm)
        self.bump = greatest_offset_mm(wall)
        self.hollow = least_offset_mm(wall)

    def systems(self) -> Iterator[System]:
        """Frames, widest spacing first."""
        widths = sorted({board.width_mm for board in self.catalogue.boards.values()})
        for way, profile, width in product(Way, self.catalogue.members.values(), widths):
            if not self._wanted(way, profile, width):
                continue
            for build in self._builds(profile):
                for bays in self._bays(way, width):
                    yield System(way, profile, build, width, bays)

    def _wanted(self, way: Way, profile: Profile, width: int) -> bool:
        wish, rules = self.wish, self.practice.rules
        return (
            profile.use == _USES[way]
            and wish.way in (None, way)
            and wish.profile in (None, profile.id)
            and wish.board_width_mm in (None, width)
            and profile.depth_mm >= least_depth(rules, way, self.asked)
            and (way != Way.BRACKETED or bool(self.brackets))
        )

    def _builds(self, profile: Profile) -> Sequence[MemberBuild]:
        if self.wish.build is not None:
            return (self.wish.build,)
        low = 0 < profile.greatest_height_mm < greatest_chord(self.wall.outline)
        doubles = low and profile.use == ProfileUse.STUD and profile.greatest_height_doubled_mm
        return (MemberBuild.SINGLE, *(_DOUBLES if doubles else ()))

    def _bays(self, way: Way, width: int) -> list[int]:
        """Bays that are lawful behind some number of layers."""
        if self.wish.spacing_mm is not None:
            bays = max(1, round(width / self.wish.spacing_mm))
            return [bays] if abs(width / bays - self.wish.spacing_mm) <= 1 else []
        found = {bays for layers in self._layers() for bays in self._lawful(way, layers, width)}
        return sorted(found)

    def _layers(self) -> range:
        return range(1, self.extent.board_layers + 1)

    def _lawful(self, way: Way, layers: int, width: int) -> list[int]:
        rules, many = self.practice.rules, self.extent.spacings
        return lawful_bays(rules, way, layers, width, self.asked, many)

    def block(self, system: System) -> Iterator[Ints]:
        """All options of one frame, shape (7, options)."""
        packets = [self._number(self.packet_index, packet) for packet in self._packets(system)]
        fillings = list(self._fillings(system))
        if not packets or not fillings:
            return
        self.system_list.append(system)
        places = np.array(
            [
                (
                    self._number(self.stack_index, filling.between),
                    self._number(self.stack_index, filling.behind),
                    filling.gap_mm,
                    self._back(system.way, filling),
                )
                for filling in fillings
            ]
        )
        which, packet, membrane = (
            part.ravel()
            for part in np.meshgrid(
                np.arange(len(places)), packets, np.arange(len(self.membranes)), indexing="ij"
            )
        )
        between, behind, gap, back = places[which].T
        number = np.full(len(which), len(self.system_list) - 1)
        yield np.stack([number, packet, between, behind, membrane, gap, back]).astype(np.int64)

    def _packets(self, system: System) -> Iterator[tuple[str, ...]]:
        """Board packets of the frame's width: layers below the seen one alike."""
        boards = {key: b for key, b in self.catalogue.boards.items() if b.width_mm == system.board_width_mm}
        if self.wish.boards is not None:
            wanted = [self.wish.boards]
        else:
            wanted = [(key,) for key in boards]
            wanted += [
                (inner,) * (layers - 1) + (outer,)
                for layers in self._layers()[1:]
                for inner, outer in product(boards, repeat=2)
            ]
        for packet in wanted:
            known: list[Board] = [boards[key] for key in packet if key in boards]
            if len(known) < len(packet) or not lawful_packet(known, self.practice, self.asked):
                continue
            lawful = self._lawful(system.way, len(packet), system.board_width_mm)
            if system.bays in lawful or (self.wish.spacing_mm is not None and system.bays >= lawful[0]):
                yield packet

    def _fillings(self, system: System) -> Iterator[_Filling]:
        """What may lie in the cavity, thin ones first."""
        reach = self._reach(system.way)
        inside = self._stacks(system, self.wish.insulation, reach + system.profile.depth_mm)
        outside = self._stacks(system, self.wish.insulation_behind, reach)
        seen = set()
        for between, behind in product(inside, outside):
            thick, back = self._thickness(between), self._thickness(behind)
            out = thick - system.profile.depth_mm  # stands out behind the frame
            if out > 0 and system.way == Way.STUD_AND_TRACK:
                continue
            if out > 0 and behind and self.wish.insulation_behind is None:
                continue  # one thicker stack between does the same
            least = back + max(0, out)
            airs = (0, *self.extent.air_mm) if least == 0 else (0,)
            gaps = [self.wish.gap_mm] if self.wish.gap_mm is not None else [least + air for air in airs]
            for gap in gaps:
                filling = _Filling(between, behind, gap)
                if gap >= least and filling not in seen and self._reached(system.way, filling):
                    seen.add(filling)
                    yield filling

    def _reach(self, way: Way) -> int:
        """How far a frame may stand off the old wall, thickest slab of the catalogue else. [mm]"""
        if way == Way.BRACKETED:
            return self.brackets[-1].reach_max_mm - (self.bump - self.hollow)
        return max((slab.thickness_mm for slab in self.catalogue.insulation.values()), default=0)

    def _stacks(self, system: System, wanted: tuple[str, ...] | None, room_mm: int) -> list[tuple[str, ...]]:
        """Stacks of slabs that fit a room and a bay: none, single ones, and more where that is thicker."""
        if wanted is not None:
            return [wanted] if self._thickness(wanted) <= room_mm else []
        kinds = [key for key in self._kinds(system.spacing_mm) if self._thickness((key,)) <= room_mm]
        stacks: list[tuple[str, ...]] = [()]
        thickest = 0
        for many in range(1, self.extent.slabs_in_a_place + 1):
            more = [
                stack
                for stack in combinations_with_replacement(kinds, many)
                if thickest < self._thickness(stack) <= room_mm
            ]
            thickest = max(map(self._thickness, more), default=thickest)
            stacks += more
        return sorted(stacks, key=lambda stack: (self._thickness(stack), len(stack), stack))

    def _kinds(self, spacing_mm: float) -> list[str]:
        """Slabs as wide as a bay or wider; of those alike the narrowest."""
        best: dict[tuple[float, ...], str] = {}
        slabs = self.catalogue.insulation
        for key, slab in sorted(slabs.items(), key=lambda item: item[1].width_mm):
            if slab.width_mm >= spacing_mm - 1:
                best.setdefault((slab.thickness_mm, slab.conductivity_w_mk, slab.density_kg_m3), key)
        return [key for key in slabs if key in best.values()]

    def _thickness(self, stack: Sequence[str]) -> int:
        return sum(self.practice.insulation[key].thickness_mm for key in stack)

    def _back(self, way: Way, filling: _Filling) -> int:
        """Where the back of the frame stands, from the reference plane, as the layout puts it. [mm]"""
        clear = self.practice.rules.cavity_clear_min_mm
        off = max(clear, filling.gap_mm, self._thickness(filling.behind))
        if way == Way.BRACKETED:
            off = max(off, min(bracket.reach_min_mm for bracket in self.brackets))
        return self.bump + off

    def _reached(self, way: Way, filling: _Filling) -> bool:
        """Whether some bracket reaches from every height of the old wall's face."""
        if way != Way.BRACKETED:
            return True
        back = self._back(way, filling)
        return all(
            any(bracket.reach_min_mm <= off <= bracket.reach_max_mm for bracket in self.brackets)
            for off in range(back - self.bump, back - self.hollow + 1)
        )

    @staticmethod
    def _number(index: dict[tuple[str, ...], int], key: tuple[str, ...]) -> int:
        return index.setdefault(key, len(index))
