"""The table of fullest boards against published optima of the guillotine knapsack.

Instances gcut1 to gcut3: J. E. Beasley, Algorithms for unconstrained two-dimensional guillotine cutting,
Journal of the Operational Research Society 36, 1985, 297-306, as carried in the ESICUP data sets (CC0 1.0).
Value is area, any number of pieces. Optima as recomputed by an independent exact program.
"""

from __future__ import annotations

import numpy as np
import pytest

from innerleaf.cutting.boards_job import Shapes, Sheets
from innerleaf.cutting.boards_table import fill, points_of
from innerleaf.cutting.boards_trace import fullest

GCUT = {
    "gcut1": (
        [
            (167, 184),
            (114, 118),
            (167, 152),
            (83, 140),
            (70, 86),
            (143, 166),
            (120, 160),
            (66, 148),
            (87, 141),
            (69, 165),
        ],
        56460,
    ),
    "gcut2": (
        [
            (120, 133),
            (135, 186),
            (86, 75),
            (103, 73),
            (66, 85),
            (135, 97),
            (91, 175),
            (131, 176),
            (71, 176),
            (153, 72),
            (87, 148),
            (168, 107),
            (118, 90),
            (140, 109),
            (132, 159),
            (152, 93),
            (135, 68),
            (121, 158),
            (68, 94),
            (155, 76),
        ],
        60536,
    ),
    "gcut3": (
        [
            (66, 80),
            (164, 107),
            (64, 184),
            (121, 86),
            (163, 135),
            (85, 98),
            (81, 102),
            (103, 186),
            (152, 106),
            (176, 139),
            (111, 118),
            (69, 169),
            (146, 133),
            (112, 112),
            (133, 160),
            (63, 129),
            (163, 152),
            (110, 155),
            (96, 136),
            (92, 142),
            (84, 143),
            (119, 133),
            (71, 71),
            (146, 84),
            (93, 86),
            (89, 86),
            (101, 146),
            (172, 73),
            (73, 169),
            (99, 99),
        ],
        61036,
    ),
}


@pytest.mark.parametrize("name", GCUT)
def test_the_fullest_board_is_the_published_optimum(name: str) -> None:
    """Not a mm2 more or less, and the pieces traced back from the table have that area."""
    pieces, optimum = GCUT[name]
    sizes = np.array(pieces, np.int64)
    number, none = len(sizes), np.empty(0, np.int64)
    shapes = Shapes(
        np.arange(number),
        sizes[:, 0].copy(),
        sizes[:, 1].copy(),
        np.zeros(number, np.int64),
        np.zeros(number + 1, np.int64),
        none,
        none,
    )
    sheet = Sheets(*(np.array([n]) for n in (250, 250, 3, 62500, -1)))
    area = sizes[:, 0] * sizes[:, 1]

    table = fill(shapes, area, sheet, points_of(shapes, 250))

    assert table.free[-1, -1] == optimum
    traced = fullest(table, shapes, area, sheet, np.array([0]))[0][1]
    assert area[traced.shape].sum() == optimum
