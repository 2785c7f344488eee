"""Which options of a wall hold in full: the next moves up where one does not, and the search ends somewhere.

What makes one option fall makes others fall: those with the same layers where the years decided, those on the
same frame where that is too weak. They go together, so few proofs are wasted on them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from innerleaf.design.choice import criteria as by
from innerleaf.design.choice.consider import Considered
from innerleaf.design.choice.criteria import Floats, Ints
from innerleaf.design.choice.evaluate import Setting
from innerleaf.design.choice.finalists import Finalist, finalise, pick_finalists
from innerleaf.design.choice.wanted import Closest, Miss, Relaxation

MOST_FALLS = 16  # options of a wall that may fall one after the other; then nothing more is tried
_YEARS = {by.WATER_GAIN.key, by.MOULD.key, by.WOOD.key}


@dataclass(frozen=True, slots=True)
class Fall:
    """An option that met everything by the quick figures and does not in full; so many fell with it."""

    option: int
    finalist: Finalist
    others: int

    def show(self) -> str:
        """In words, the lining and what it misses."""
        like = f" (and {self.others} like it)" if self.others else ""
        return f"{self.finalist.lining.id}{like}: {'; '.join(miss.show() for miss in self.finalist.misses)}"


class Proofs:
    """The options of one wall with what is known of them in full."""

    def __init__(self, considered: Considered, setting: Setting) -> None:
        self.considered, self.setting = considered, setting
        self.falls: list[Fall] = []
        self._known: dict[tuple[int, bool], Finalist] = {}

    @property
    def exhausted(self) -> bool:
        """Whether so many have fallen that no more are tried, or none is left."""
        return len(self.falls) >= MOST_FALLS or not len(self.considered.passed)

    @property
    def given_up(self) -> tuple[str, ...]:
        """A note where no more are tried."""
        if len(self.falls) < MOST_FALLS:
            return ()
        return (f"{len(self.falls)} linings fell one after the other in full; no more were tried",)

    def of(self, option: int, *, whole: bool = True) -> Finalist:
        """One option in full."""
        key = option, whole
        if key not in self._known:
            self._known[key] = finalise(self.considered, option, self.setting, whole=whole)
            if self._known[key].holds:  # then nothing was left out
                self._known[option, True] = self._known[option, False] = self._known[key]
        return self._known[key]

    def holds(self, option: int) -> bool:
        """Whether an option holds; where not, it and its like are out from now on."""
        finalist = self.of(option, whole=False)
        if finalist.holds:
            return True
        if option not in self.considered.fell:
            before = len(self.considered.passed)
            like = _like(self.considered, option, finalist.misses)
            self.considered = self.considered.without([option, *like.tolist()])
            gone = before - len(self.considered.passed)
            self.falls.append(Fall(option, finalist, max(0, gone - 1)))
        return False

    def closest(self, worth: Floats) -> Closest:
        """Where nothing holds: of those that fell the one that misses least, else the closest of all."""
        if not self.falls:
            return self.considered.closest(worth)

        def far(fall: Fall) -> tuple[int, float, float]:
            misses = self.of(fall.option).misses
            short = sum(miss.by / (abs(miss.wanted.limit) or miss.wanted.criterion.step) for miss in misses)
            return len(misses), round(short, 2), float(worth[fall.option])

        option = min(self.falls, key=far).option
        misses = self.of(option).misses
        alone = [Relaxation(miss.wanted, option, option, miss.by) for miss in misses if len(misses) == 1]
        return Closest(option, misses, tuple(alone))


def proved_finalists(proofs: Proofs, worth: Floats, most: int) -> list[int]:
    """Those to show, best first, each holding in full; none where all that were tried fell."""
    while not proofs.exhausted:
        picked = [int(option) for option in pick_finalists(proofs.considered, worth, most)]
        fallen = [option for option in picked if not proofs.holds(option)]
        if not fallen:
            return picked
    return []


def _like(considered: Considered, option: int, misses: tuple[Miss, ...]) -> Ints:
    """Options that miss the same for the same reason."""
    options = considered.evaluated.options
    causes = {miss.wanted.criterion.key for miss in misses}
    if causes & _YEARS:
        thick = np.rint(10 * considered.evaluated.figures[by.THICKNESS]).astype(np.int64)
        parts = (options.between, options.behind, options.membrane, options.back_mm, thick)
        return _same(np.stack(parts, axis=1), option)
    if by.FRAME.key in causes:
        return _same(np.stack([options.system, options.layers[options.packet]], axis=1), option)
    return np.zeros(0, np.int64)


def _same(table: Floats | Ints, row: int) -> Ints:
    return np.flatnonzero((table == table[row]).all(axis=1))
