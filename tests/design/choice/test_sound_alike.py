"""The quick gain of an option is that of its lining set out and predicted alone: one builder for both."""

from __future__ import annotations

import pytest
from tests.design.choice.small import PRICES, brick_wall, small_practice

from innerleaf.design.choice.catalogue import buyable
from innerleaf.design.choice.cross import cross_of
from innerleaf.design.choice.generate import Extent, generate
from innerleaf.design.choice.sound import from_layers
from innerleaf.design.sound.verdicts import Sound
from innerleaf.design.sound.wall import sound_of
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.wall import Targets, Way
from innerleaf.survey.wish import Wish

PRACTICE = small_practice()
EXTENT = Extent(board_layers=2, slabs_in_a_place=1, spacings=1, air_mm=())


@pytest.mark.parametrize("way", list(Way))
def test_quick_and_full_gain_are_the_same(way: Way) -> None:
    wall = brick_wall(2400, other_side="neighbour", targets=Targets(sound_gain_db=5))
    options = generate(wall, Wish(way=way), buyable(PRACTICE, PRICES), PRACTICE, EXTENT)
    quick = from_layers(wall, options, cross_of(wall, options, PRACTICE), PRACTICE)
    assert quick

    for option in range(0, len(options), max(1, len(options) // 6)):
        full = sound_of(plan_wall(options.wall(wall, option), PRACTICE), PRACTICE)
        assert isinstance(full, Sound)
        assert quick.gain[option] == pytest.approx(full.gain, abs=0.051)
