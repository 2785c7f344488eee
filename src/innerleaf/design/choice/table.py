"""All walls against all different linings: what each costs where allowed, and what walls would share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from innerleaf.design.choice.consider import Considered
from innerleaf.design.choice.criteria import COST, THICKNESS, Floats, Ints
from innerleaf.design.choice.options import Options
from innerleaf.layout.setting import setting_for
from innerleaf.practice.model import Practice
from innerleaf.survey.plane import greatest_offset_mm
from innerleaf.survey.wall import InsulationPlace, Lining, Wall


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """Rows are walls to choose for and then walls whose lining is given; columns are different linings.

    ``costs`` are infinite where a lining is not allowed; ``option`` is the number of the option there, or
    -1. ``profile`` and ``width`` are labels by column; ``face`` is the thickness of each lining on each wall,
    in tenths of a millimetre. Columns come cheapest first, so that of equal choices the cheaper is taken.
    """

    costs: Floats
    option: Ints
    profile: Ints
    width: Ints
    face: Ints


def table_of(
    considered: Sequence[Considered],
    allowed: Sequence[Ints],
    objective: Sequence[Floats],
    given: Sequence[Wall],
    practice: Practice,
) -> Table:
    """Lay out the table; one entry of each sequence for every wall to choose for."""
    names = _Names()
    blocks = [
        names.of_options(each.evaluated.options, some) for each, some in zip(considered, allowed, strict=True)
    ]
    blocks += [names.of_lining(wall.lining, practice)[None, :] for wall in given]
    keys, columns = np.unique(np.concatenate(blocks), axis=0, return_inverse=True)
    ends = np.cumsum([len(block) for block in blocks])[:-1]
    places = np.split(columns.reshape(-1), ends)
    shape = (len(blocks), len(keys))
    costs, option, price = np.full(shape, np.inf), np.full(shape, -1), np.full(shape, np.inf)
    base = np.zeros(len(keys))
    bump = [float(greatest_offset_mm(each.wall)) for each in considered]
    for row, (each, some, worth) in enumerate(zip(considered, allowed, objective, strict=True)):
        figures = each.evaluated.figures
        at = places[row]
        costs[row, at], option[row, at], price[row, at] = worth[some], some, figures[COST][some]
        base[at] = figures[THICKNESS][some] - bump[row]
    for row, wall in enumerate(given, len(considered)):
        bump.append(float(greatest_offset_mm(wall)))
        costs[row, places[row]] = price[row, places[row]] = 0.0
        base[places[row]] = setting_for(wall, practice).build_up.total_mm - bump[row]
    order = np.lexsort((np.arange(len(keys)), base, price.min(axis=0)))
    face = np.rint(10 * (np.array(bump)[:, None] + base)).astype(np.int64)
    return Table(costs[:, order], option[:, order], keys[order, 1], keys[order, 3], face[:, order])


class _Names:
    """Numbers for the parts of linings, the same whatever list of parts they come from."""

    def __init__(self) -> None:
        self.known: dict[object, int] = {}

    def of_options(self, options: Options, some: Ints) -> Ints:
        """A row of numbers for each of some options."""
        systems = [
            (self(s.way), self(s.profile.id), self(s.build), s.board_width_mm, s.bays)
            for s in options.systems
        ]
        lists: Mapping[str, Sequence[object]] = {
            "packet": options.packets,
            "between": options.stacks,
            "behind": options.stacks,
            "membrane": options.membranes,
        }
        numbers = [
            np.array([self(entry) for entry in entries])[getattr(options, part)[some]]
            for part, entries in lists.items()
        ]
        said = self((options.tiled, options.finish))
        system = options.system[some]
        rest = [*numbers, options.gap_mm[some], np.full(len(some), said)]
        bracket = np.array([self(options.bracket if s.bracketed else "") for s in options.systems])[system]
        return np.concatenate([np.array(systems)[system], np.stack([*rest, bracket], axis=1)], axis=1)

    def of_lining(self, lining: Lining, practice: Practice) -> Ints:
        """The row of one lining."""

        def stack(place: InsulationPlace) -> tuple[str, ...]:
            return tuple(layer.item for layer in lining.insulation if layer.place == place)

        return np.array(
            [
                self(lining.way),
                self(lining.profile),
                self(lining.build),
                practice.boards[lining.boards[0]].width_mm,
                lining.bays_per_board,
                self(lining.boards),
                self(stack(InsulationPlace.BETWEEN)),
                self(stack(InsulationPlace.BEHIND)),
                self(lining.membrane),
                lining.gap_mm,
                self((lining.tiled, lining.finish)),
                self(lining.bracket),
            ]
        )

    def __call__(self, part: object) -> int:
        return self.known.setdefault(part, len(self.known))
