"""All combinations from tables against the same walls one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.physics.sound.walls import BLOCKS, BOARD

from innerleaf.errors import InputError
from innerleaf.physics.sound.catalogue import combinations
from innerleaf.physics.sound.construction import Bridge, Cavity, Construction
from innerleaf.physics.sound.leaf import Leaf, packet
from innerleaf.physics.sound.transmission import Nodes, reduction_index

WALLS = [BLOCKS, replace(BLOCKS, mass=400.0, critical_frequency=90.0), packet([BOARD, BOARD])]
CAVITIES = [
    Cavity(depth=0.06, fill=0.06, fill_loss=0.19),
    Cavity(depth=0.1, fill=0.06, fill_loss=0.19, air_loss=0.075),
    Cavity(depth=0.1, fill=0.06, fill_loss=0.19, air_loss=0.075, fill_first=False),
    Cavity(depth=0.09, drag=133.0, air_loss=0.075),
]
BOARDS = [BOARD, packet([BOARD] * 2, 0.01), Leaf(mass=13.0, critical_frequency=2100.0, loss_factor=0.03)]
STUD = Bridge(kind="line", spacing=0.6, compliance=1.8e-6, exponent=-1.7, fixing=4e-8, free_share=0.2)
POINT = Bridge(kind="point", spacing=0.9, compliance=1e-6, free_share=0.2)


@pytest.mark.parametrize("ties", [(), ((STUD,), (STUD, POINT), (), (POINT,))], ids=["free", "tied"])
def test_combinations_are_the_walls_one_by_one(ties: tuple[tuple[Bridge, ...], ...]) -> None:
    fine = Nodes(16, 24)
    found = combinations(WALLS, CAVITIES, BOARDS, bridges=ties, leak=1e-7, nodes=fine)

    assert found.shape == (3, 4, 3, 21)
    for i, wall in enumerate(WALLS):
        for c, cavity in enumerate(CAVITIES):
            for j, board in enumerate(BOARDS):
                one = Construction(
                    leaves=(wall, board),
                    cavities=(cavity,),
                    bridges=(ties[c],) if ties else (),
                    leak=1e-7,
                )
                assert found[i, c, j] == pytest.approx(reduction_index(one, nodes=fine), abs=0.15)


def test_usual_nodes_stay_near_fine_ones() -> None:
    usual = combinations(WALLS, CAVITIES, BOARDS)
    fine = combinations(WALLS, CAVITIES, BOARDS, nodes=Nodes(16, 32))

    assert np.mean(np.abs(usual - fine) <= 0.1) >= 0.98
    assert np.abs(usual - fine).max() <= 0.4


def test_threads_change_nothing() -> None:
    alone = combinations(WALLS, CAVITIES, BOARDS)

    assert np.array_equal(combinations(WALLS, CAVITIES, BOARDS, threads=2), alone)


def test_empty_lists_are_refused() -> None:
    with pytest.raises(InputError, match="at least one"):
        combinations([], CAVITIES, BOARDS)
    with pytest.raises(InputError, match="bridges"):
        combinations(WALLS, CAVITIES, BOARDS, bridges=[(STUD,)])
