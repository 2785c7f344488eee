"""A building's linings chosen together, each proved in full on its wall before the choice stands."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from innerleaf.design.choice.catalogue import buyable
from innerleaf.design.choice.consider import Considered, consider
from innerleaf.design.choice.criteria import Ints
from innerleaf.design.choice.evaluate import Setting
from innerleaf.design.choice.finalists import Finalist
from innerleaf.design.choice.generate import FULL, Extent
from innerleaf.design.choice.objective import Choose
from innerleaf.design.choice.proved import Fall, Proofs
from innerleaf.design.choice.table import Table, table_of
from innerleaf.design.choice.together import Shared, Together, choose_together
from innerleaf.design.choice.wanted import Closest
from innerleaf.errors import InputError, about
from innerleaf.findings import Finding
from innerleaf.survey.wall import Lining, Wall
from innerleaf.survey.wish import Wish

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """One wall's lining: chosen, or the closest there is where nothing meets everything.

    ``falls`` are options that met everything by the quick figures but not in full.
    """

    considered: Considered
    finalist: Finalist
    closest: Closest | None
    falls: tuple[Fall, ...] = ()

    @property
    def wall(self) -> Wall:
        """The wall as surveyed."""
        return self.considered.wall

    @property
    def lining(self) -> Lining:
        """The lining to build."""
        return self.finalist.lining


@dataclass(frozen=True, slots=True, eq=False)
class BuildingChoice:
    """The choice for every open wall, with its proof; ``together`` counts in quick figures."""

    walls: tuple[Chosen, ...]
    together: Together
    choose: Choose
    findings: tuple[Finding, ...]

    @property
    def linings(self) -> dict[str, Lining]:
        """The lining of each wall that was to be chosen."""
        return {chosen.wall.id: chosen.lining for chosen in self.walls}

    @property
    def systems(self) -> int:
        """Different linings among those chosen."""
        return len({chosen.lining for chosen in self.walls})


def choose_building(
    walls: Sequence[tuple[Wall, Wish]],
    setting: Setting,
    choose: Choose,
    *,
    given: Sequence[Wall] = (),
    extent: Extent = FULL,
    progress: Progress = lambda _doing, _done, _of: None,
) -> BuildingChoice:
    """Choose the linings of walls that are open; those of ``given`` walls stay and count where shared.

    The least sum of the objective over all walls, in quick figures, is found by an exact solver; what it
    picks is set out and judged in full, and an option that does not hold there is taken out and the choice
    made again. A wall on which nothing meets everything gets the closest option and a finding.

    Raises
    ------
    InputError
        A wall has no lawful option, or greatest numbers leave no choice.
    """
    catalogue = buyable(setting.practice, setting.prices)
    kinds: dict[tuple[Wall, Wish], Considered] = {}
    judged = []
    for number, (wall, wish) in enumerate(walls, 1):
        key = _nameless(wall, wish)
        with about(f"wall {wall.id} ({wall.room})"):
            if key not in kinds:
                kinds[key] = consider(wall, wish, catalogue, setting, extent)
        judged.append(replace(kinds[key], wall=wall))
        progress("options", number, len(walls))
    together, chosen = _Search(judged, setting, choose, given).run(progress)
    findings = [each for one in chosen for each in _nothing_passes(one)]
    return BuildingChoice(chosen, together, choose, (*catalogue.findings, *findings))


def _nameless(wall: Wall, wish: Wish) -> tuple[Wall, Wish]:
    """A wall without its names: those alike are judged once."""
    return replace(wall, id="", name="", room="", storey="", questions=()), wish


class _Search:
    """Chooses and proves in turn until all that is chosen holds.

    Walls of one kind (alike but for their names) share their options, their proofs, and what is allowed.
    """

    def __init__(
        self, walls: Sequence[Considered], setting: Setting, choose: Choose, given: Sequence[Wall]
    ) -> None:
        self.walls, self.setting, self.choose, self.given = walls, setting, choose, given
        first: dict[int, int] = {}
        for number, wall in enumerate(walls):
            first.setdefault(id(wall.evaluated), number)
        self.kind = [first[id(wall.evaluated)] for wall in walls]  # the first wall alike
        self.objective = {k: choose.values(walls[k].evaluated.figures) for k in first.values()}
        self.proofs = {k: Proofs(walls[k], setting) for k in first.values()}
        self.closest: dict[int, Closest] = {}
        for kind in self.proofs:
            self._look(kind)

    def run(self, progress: Progress) -> tuple[Together, tuple[Chosen, ...]]:
        """The choice in quick figures and what it is in full."""
        while True:
            together, options = self._solve()
            fallen = set()
            for number, (wall, kind, option) in enumerate(
                zip(self.walls, self.kind, options, strict=True), 1
            ):
                with about(f"wall {wall.wall.id} ({wall.wall.room})"):
                    if kind not in self.closest and not self.proofs[kind].holds(option):
                        fallen.add(kind)
                progress("proving", number, len(self.walls))
            if not fallen:
                return together, tuple(self._chosen(options))
            for kind in sorted(fallen):
                self._look(kind)

    def _chosen(self, options: Sequence[int]) -> Iterator[Chosen]:
        for wall, kind, option in zip(self.walls, self.kind, options, strict=True):
            proofs = self.proofs[kind]
            own = replace(proofs.considered, wall=wall.wall)
            yield Chosen(own, proofs.of(option), self.closest.get(kind), tuple(proofs.falls))

    def _solve(self) -> tuple[Together, list[int]]:
        table = table_of(
            self.walls,
            [self._allowed(kind) for kind in self.kind],
            [self.objective[kind] for kind in self.kind],
            self.given,
            self.setting.practice,
        )
        choose = self.choose
        every = np.arange(table.costs.shape[1])
        shared = [
            Shared("systems", every, choose.another_system, choose.most_systems),
            Shared("profiles", table.profile, choose.another_profile),
            Shared("board widths", table.width, choose.another_board_width),
            *self._faces(table),
        ]
        counted = [each for each in shared if each.each_more or each.most is not None]
        together = choose_together(table.costs, counted, step=choose.step)
        if together is None:
            accepted = "more: the walls cannot all be lined with so few different linings"
            raise InputError("choose.most_systems", given=choose.most_systems, accepted=accepted)
        numbers = range(len(self.walls))
        return together, [int(table.option[row, together.options[row]]) for row in numbers]

    def _faces(self, table: Table) -> Iterator[Shared]:
        """Groups of walls whose faces had better lie in one plane."""
        names = [*(wall.wall.id for wall in self.walls), *(wall.id for wall in self.given)]
        for group in self.choose.align:
            rows = tuple(row for row, name in enumerate(names) if name in group)
            if len(rows) > 1:
                yield Shared("faces in one plane", table.face, self.choose.another_face, walls=rows)

    def _allowed(self, kind: int) -> Ints:
        """The options to choose from on walls of a kind: the closest alone where nothing meets everything."""
        if kind in self.closest:
            return np.array([self.closest[kind].option])
        return self.proofs[kind].considered.passed

    def _look(self, kind: int) -> None:
        """Give way where nothing is left that might meet everything on such walls."""
        if self.proofs[kind].exhausted:
            self.closest[kind] = self.proofs[kind].closest(self.objective[kind])


def _nothing_passes(chosen: Chosen) -> Iterator[Finding]:
    """Nothing meets everything: what the closest misses, and what could be given up."""
    closest = chosen.closest
    if closest is None:
        return
    give_up = [
        f"{each.wanted.criterion.title} (by {each.wanted.criterion.show(each.by)})"
        for each in closest.relaxations
    ]
    yield Finding(
        code="C102",
        wall=chosen.wall.id,
        rule="targets",
        text="no lining of the catalogue meets all targets; the closest misses: "
        + "; ".join(miss.show() for miss in chosen.finalist.misses or closest.misses),
        remedy=f"give way on one of: {', '.join(give_up)}"
        if give_up
        else f"give way on {closest.together()}: no single one is enough; or let the catalogue grow",
    )
