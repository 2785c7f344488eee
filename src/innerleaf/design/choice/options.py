"""Linings to choose among, as arrays: each option is a few indices into lists of parts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from innerleaf.design.choice.criteria import Flags, Floats, Ints
from innerleaf.practice.model import Profile
from innerleaf.survey.wall import InsulationLayer, InsulationPlace, Lining, MemberBuild, Wall, Way


@dataclass(frozen=True, slots=True)
class System:
    """A frame: way to build, profile, how a member is made up, and its grid under boards of one width."""

    way: Way
    profile: Profile
    build: MemberBuild
    board_width_mm: int
    bays: int

    @property
    def spacing_mm(self) -> float:
        """Centre to centre of members. [mm]"""
        return self.board_width_mm / self.bays

    @property
    def bracketed(self) -> bool:
        """Whether brackets hold it to the old wall."""
        return self.way == Way.BRACKETED

    @property
    def studs(self) -> int:
        """Profiles in one member."""
        return 1 if self.build == MemberBuild.SINGLE else 2


@dataclass(frozen=True, eq=False)
class Options:
    """Many linings; arrays have shape (options,).

    ``system``, ``packet``, ``between``, ``behind`` and ``membrane`` are indices into the lists of the
    same things; a stack of insulation is listed from the old wall on, and the first of ``stacks`` is
    empty. ``gap_mm`` is what the lining asks for, ``back_mm`` where the back of the frame comes to stand.
    """

    systems: tuple[System, ...]
    packets: tuple[tuple[str, ...], ...]
    stacks: tuple[tuple[str, ...], ...]
    membranes: tuple[str, ...]
    tiled: bool
    finish: str
    bracket: str
    system: Ints
    packet: Ints
    between: Ints
    behind: Ints
    membrane: Ints
    gap_mm: Ints
    back_mm: Ints

    def __len__(self) -> int:
        return len(self.system)

    def only(self, keep: Flags | Ints) -> Options:
        """Some of the options."""
        parts = ("system", "packet", "between", "behind", "membrane", "gap_mm", "back_mm")
        return replace(self, **{name: getattr(self, name)[keep] for name in parts})

    @cached_property
    def layers(self) -> Ints:
        """Layers of board of each packet in the list."""
        return np.array([len(packet) for packet in self.packets], np.int64)

    @cached_property
    def membrane_given(self) -> Flags:
        """Which options have a vapour control layer."""
        return np.array([bool(name) for name in self.membranes])[self.membrane]

    def of_system(self, name: str) -> Floats:
        """A figure of the profile of each option."""
        return np.array([getattr(s.profile, name) for s in self.systems], float)[self.system]

    def lining(self, option: int) -> Lining:
        """One option as a lining to be set out."""
        system = self.systems[self.system[option]]
        layers = [
            InsulationLayer(item=item, place=place)
            for place, stack in (
                (InsulationPlace.BEHIND, self.behind[option]),
                (InsulationPlace.BETWEEN, self.between[option]),
            )
            for item in self.stacks[stack]
        ]
        lining = Lining(
            id="",
            way=system.way,
            profile=system.profile.id,
            bays_per_board=system.bays,
            build=system.build,
            boards=self.packets[self.packet[option]],
            insulation=tuple(layers),
            membrane=self.membranes[self.membrane[option]],
            bracket=self.bracket if system.bracketed else "",
            gap_mm=int(self.gap_mm[option]),
            tiled=self.tiled,
            finish=self.finish,
        )
        return replace(lining, id=name_of(lining, system.spacing_mm))

    def wall(self, wall: Wall, option: int) -> Wall:
        """A wall with one of the options as its lining."""
        return replace(wall, lining=self.lining(option))


def name_of(lining: Lining, spacing_mm: float) -> str:
    """A name that says what a lining is; two different linings never share one."""
    build = "" if lining.build == MemberBuild.SINGLE else f"{lining.build} "
    words = [f"{build}{lining.profile} at {spacing_mm:.0f}"]
    for place, before in ((InsulationPlace.BEHIND, "behind "), (InsulationPlace.BETWEEN, "")):
        items = [layer.item for layer in lining.insulation if layer.place == place]
        words += [before + " + ".join(items)] if items else []
    words += [f"gap {lining.gap_mm}"] if lining.gap_mm else []
    words += [lining.membrane] if lining.membrane else []
    words += [" + ".join(lining.boards)]
    words += [lining.bracket] if lining.bracket else []
    words += ["tiled"] if lining.tiled else []
    words += [lining.finish] if lining.finish != "Q2" else []
    return ", ".join(words)
