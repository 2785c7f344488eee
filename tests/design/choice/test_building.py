"""Whole choices on a small catalogue: the front by hand, mirrored walls, closest options, given linings."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.design.choice.small import PRICES, brick_wall, setting, small_practice
from tests.layout.test_invariants import mirrored

from innerleaf.design.choice import building
from innerleaf.design.choice import criteria as by
from innerleaf.design.choice.building import BuildingChoice, choose_building
from innerleaf.design.choice.catalogue import buyable
from innerleaf.design.choice.consider import Considered, cheapest_change, consider, rejected_by
from innerleaf.design.choice.criteria import TRADED, Floats
from innerleaf.design.choice.cross import Cross
from innerleaf.design.choice.evaluate import Models, Setting
from innerleaf.design.choice.finalists import pick_finalists
from innerleaf.design.choice.generate import Extent
from innerleaf.design.choice.heat import Bridging, Frames
from innerleaf.design.choice.objective import Choose
from innerleaf.errors import InputError
from innerleaf.survey.wall import Targets, Wall, Way
from innerleaf.survey.wish import Wish

FEW = Extent(board_layers=2, slabs_in_a_place=1, spacings=1, air_mm=(20,))
FREE = Wish(way=Way.STUD_AND_TRACK)


def no_steel(cross: Cross, frames: Frames, *, surfaces: bool) -> Bridging:
    """A heat model for tests of the choice alone: steel adds a little for each millimetre of its depth."""
    deep = np.array([frames.steels[k].depth for k in frames.steel])
    zero: Floats = np.zeros(len(deep))
    return Bridging(0.4 * deep, zero, zero, zero, 1 - 0.1 * cross.transmittance())


@pytest.fixture(scope="module")
def quick() -> Setting:
    return setting(models=Models(heat=no_steel))


def considered(wall: Wall, quick: Setting, wish: Wish = FREE) -> Considered:
    return consider(wall, wish, buyable(quick.practice, PRICES), quick, FEW)


@pytest.fixture(scope="module")
def brick(quick: Setting) -> Considered:
    """The options of the wall of brick, for all who only look at them."""
    return considered(brick_wall(), quick)


@pytest.fixture(autouse=True)
def judged_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Walls that come again in another test are not judged again."""

    def remembered(wall: Wall, wish: Wish, *rest: Any) -> Considered:
        key = replace(wall, id="", name="", questions=()), wish
        if key not in _JUDGED:
            _JUDGED[key] = consider(wall, wish, *rest)
        return replace(_JUDGED[key], wall=wall)

    monkeypatch.setattr(building, "consider", remembered)


_JUDGED: dict[tuple[Wall, Wish], Considered] = {}


def party_wall(length: int, **changes: Any) -> Wall:
    return brick_wall(length, other_side="neighbour", openings=(), **changes)


def neighbours(**targets: Any) -> list[tuple[Wall, Wish]]:
    """Three walls towards a neighbour: no heat to be solved, so a choice takes no time."""
    return [
        (party_wall(length, id=f"W-{length}", targets=Targets(**targets)), Wish())
        for length in (1300, 2500, 3700)
    ]


def chosen(walls: list[tuple[Wall, Wish]], choose: Choose, **more: Any) -> BuildingChoice:
    return choose_building(walls, setting(), choose, extent=FEW, **more)


def test_the_front_is_what_comparing_every_pair_leaves(brick: Considered) -> None:
    """All figures as people read them, all pairs of options that pass, one by one."""
    found = brick
    figures, passed = found.evaluated.figures, found.passed
    known = figures.comparable(TRADED)
    rows = np.stack(
        [np.rint(figures[c][passed] / c.step) * (1 if c.less_is_better else -1) for c in known], axis=1
    )
    by_hand = [
        int(passed[i])
        for i, one in enumerate(rows)
        if not any((other <= one).all() and (other < one).any() for other in rows)
    ]

    assert 0 < len(by_hand) < len(passed) < len(figures)
    assert found.front().tolist() == by_hand


def test_mirrored_walls_have_the_same_options_and_figures(brick: Considered, quick: Setting) -> None:
    one, other = brick, considered(mirrored(brick.wall), quick)

    assert one.front().tolist() == other.front().tolist()
    for criterion in one.evaluated.figures.comparable(by.ALL):
        assert np.allclose(one.evaluated.figures[criterion], other.evaluated.figures[criterion], atol=1e-6)


def test_mirrored_walls_choose_alike() -> None:
    walls = neighbours(thickness_max_mm=130)
    turned = [(replace(mirrored(wall), id=wall.id), wish) for wall, wish in walls]

    assert chosen(walls, Choose()).linings == chosen(turned, Choose()).linings


def test_the_same_job_has_the_same_choice() -> None:
    walls = neighbours(thickness_max_mm=130)
    one, other = (chosen(walls, Choose(another_system=40.0)) for _ in range(2))

    assert (one.linings, one.together, one.findings) == (other.linings, other.together, other.findings)


def test_each_wall_takes_its_best_where_nothing_is_shared() -> None:
    walls = neighbours(thickness_max_mm=130)
    found = chosen(walls, Choose(objective="thickness"))

    for one in found.walls:
        figures = one.considered.evaluated.figures
        assert one.finalist.quick["floor"] == figures[by.FLOOR][one.considered.passed].min()
    assert found.together.proved


def test_too_few_systems_are_refused() -> None:
    """One wall must be thin and another quiet, and nothing is both: one system for the two cannot be."""
    thin, quiet = (
        party_wall(2500, id=name, targets=targets)
        for name, targets in (
            ("thin", Targets(thickness_max_mm=75)),
            ("quiet", Targets(sound_gain_db=9.0)),
        )
    )
    apart = chosen([(thin, Wish()), (quiet, Wish())], Choose())
    with pytest.raises(InputError, match="more: the walls cannot all be lined with so few"):
        chosen([(thin, Wish()), (quiet, Wish())], Choose(most_systems=1))

    assert apart.systems == 2


def test_one_system_for_all_where_another_is_dear() -> None:
    walls = neighbours()
    walls[0] = (replace(walls[0][0], targets=Targets(sound_gain_db=12.0)), Wish())
    apart, shared = chosen(walls, Choose()), chosen(walls, Choose(another_system=1e6))

    assert apart.systems == 2
    assert shared.systems == 1
    assert shared.together.proved
    assert shared.together.sum_of_walls > apart.together.sum_of_walls


def test_a_lining_that_is_given_draws_the_others_to_it() -> None:
    """The wall that is given stays; with another system dear, the open walls take the same lining."""
    walls = neighbours()
    alone = chosen(walls, Choose())
    dear = replace(alone.walls[0].lining, boards=("board-D-12.5", "board-D-12.5"), id="given")
    given = replace(walls[0][0], id="given", lining=dear)

    found = chosen(walls[1:], Choose(another_system=1e6), given=[given])

    assert {replace(lining, id="given") for lining in found.linings.values()} == {dear}
    assert alone.walls[0].lining.boards != dear.boards


def test_faces_of_a_group_come_into_one_plane() -> None:
    walls = neighbours()
    walls[0] = (replace(walls[0][0], targets=Targets(sound_gain_db=12.0)), Wish())
    group = (walls[0][0].id, walls[1][0].id)
    apart = chosen(walls, Choose())
    found = chosen(walls, Choose(another_face=1e6, align=(group,)))
    thick = {one.wall.id: one.finalist.exact["thickness"] for one in found.walls}

    assert thick[group[0]] == thick[group[1]] != thick[walls[2][0].id]
    assert len({one.finalist.exact["thickness"] for one in apart.walls}) == 2


def test_where_nothing_passes_the_closest_is_taken_and_said() -> None:
    """60 mm and 9 dB do not go together: a finding names what to give up, and by how much."""
    one = neighbours(thickness_max_mm=60, sound_gain_db=9.0)[0]
    found = chosen([one], Choose())
    (finding,) = (each for each in found.findings if each.code == "C102")

    assert found.walls[0].closest is not None
    assert finding.wall == one[0].id
    assert "thickness of the lining (by " in finding.remedy
    assert "improvement of sound reduction (by " in finding.remedy


def test_the_cheapest_change_of_the_best_rejected(brick: Considered) -> None:
    """Held against every other option that passes: none changes fewer parts, none of those is cheaper."""
    found = brick
    worth = Choose().values(found.evaluated.figures)
    change = cheapest_change(found, worth)
    assert change is not None
    options = found.evaluated.options

    def parts(other: int) -> int:
        columns = (options.system, options.packet, options.between, options.behind, options.membrane)
        gap = options.gap_mm[other] != options.gap_mm[change.rejected]
        differ = [bool(column[other] != column[change.rejected]) for column in columns]
        return sum(differ) + (bool(gap) and not differ[2] and not differ[3])

    best = min((parts(int(k)), worth[k]) for k in found.passed)
    assert (len(change.parts), worth[change.becomes]) == best
    assert change.misses
    assert worth[change.rejected] < worth[found.passed].min()
    assert change.costs == pytest.approx(worth[change.becomes] - worth[change.rejected])


def test_rejected_options_are_counted_by_the_target_they_miss(brick: Considered) -> None:
    found = brick
    (words, missed, alone), *_ = rejected_by(found)

    assert words == "U-value as set out at most 0.500 W/(m²·K)"
    assert missed == int((found.evaluated.figures[by.U_VALUE] > 0.5).sum())
    assert 0 < alone <= missed


def test_finalists_are_of_the_front_the_best_first(brick: Considered) -> None:
    found = brick
    worth = Choose().values(found.evaluated.figures)
    few = pick_finalists(found, worth, 6)

    assert len(few) == 6
    assert set(few) <= set(found.front())
    assert worth[few[0]] == worth[found.passed].min()
    assert (np.diff(worth[few]) >= 0).all()


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"objective": "beauty"}, "cost, thickness, hours, carbon, weighted"),
        ({"objective": "weighted"}, "with objective weighted"),
        ({"weights": {"hours": 2.0}}, "and only then"),
    ],
)
def test_an_objective_that_means_nothing_is_refused(wrong: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words):
        Choose(**wrong)


def test_weights_make_one_sum() -> None:
    figures = considered(neighbours()[0][0], setting(), Wish()).evaluated.figures
    choose = Choose(objective="weighted", weights={"cost": 1.0, "floor": 500.0})

    assert np.allclose(choose.values(figures), figures[by.COST] + 500 * figures[by.FLOOR], atol=0.006)


def test_small_practice_has_what_it_needs() -> None:
    assert set(buyable(small_practice(), PRICES).members) == {"CW-50", "CW-75", "CD-60-27"}
