"""The area that a U-value counts for is that of the wall in internal dimensions (ISO 13789, ISO 14683)."""

from __future__ import annotations

import pytest
from tests.layout.plain import door, obstacle, wall, window

from innerleaf.design.heat.wall import lined_area
from innerleaf.survey.wall import ObstacleKind


def test_gaps_round_the_boards_belong_to_the_wall() -> None:
    assert lined_area(wall(3000, 2600)) == pytest.approx(3.0 * 2.6)


def test_openings_columns_and_beams_do_not() -> None:
    some = wall(
        6000,
        2600,
        openings=(window(1000, 1200, 900, 1200), door(4000, 1000, 2050)),
        obstacles=(
            obstacle(ObstacleKind.COLUMN, 0, 0, 300, 2600),
            obstacle(ObstacleKind.BEAM, 0, 2400, 6000, 200),
        ),
    )
    free = 6.0 * 2.6 - 1.2 * 1.2 - 1.0 * 2.05 - 0.3 * 2.6 - (6.0 - 0.3) * 0.2
    assert lined_area(some) == pytest.approx(free)


def test_pipes_do() -> None:
    some = wall(3000, 2600, obstacles=(obstacle(ObstacleKind.PIPE, 1000, 0, 50, 2600),))
    assert lined_area(some) == pytest.approx(3.0 * 2.6)
