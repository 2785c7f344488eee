"""Other layouts of a wall: lawful like the first, no worse by any finding or joint, the same in a mirror."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

import pytest
from tests.independent import check_plan
from tests.layout.plain import BRACKETED, FREE, PRACTICE, box, door, wall, window
from tests.layout.test_invariants import JOB, mirrored
from tests.layout.walls import random_wall

from innerleaf.errors import InputError
from innerleaf.layout.plan import plan_wall
from innerleaf.layout.variants import Variant, plan_variant, variants_of
from innerleaf.plan_file import plan_document
from innerleaf.survey.wall import Wall
from innerleaf.takeoff import take_off

MOST = 4
WITH_DOOR = wall(4300, 2650, FREE, openings=(door(3050, 900, 2030),))
WITH_WINDOW = wall(3900, 2650, BRACKETED, openings=(window(1500, 1000, 900, 1250),), boxes=(box(400, 300),))
RANDOM = [random_wall(Random(f"variants/{seed}")) for seed in (0, 3, 5, 7, 8, 11)]

RULES = PRACTICE.rules


@pytest.mark.parametrize("given", [WITH_DOOR, WITH_WINDOW, *RANDOM])
def test_the_first_is_what_is_drawn_without_looking_at_others(given: Wall) -> None:
    first = variants_of(given, PRACTICE, 1)

    assert len(first) == 1
    assert plan_variant(given, PRACTICE, first[0]) == plan_wall(given, PRACTICE)


@pytest.mark.parametrize("given", [WITH_DOOR, WITH_WINDOW, *RANDOM])
def test_every_one_keeps_every_promise(given: Wall) -> None:
    """Judged by a script that knows only plan.json."""
    for variant in variants_of(given, PRACTICE, MOST):
        plan = plan_variant(given, PRACTICE, variant)
        document = plan_document(JOB, PRACTICE, [plan], take_off([plan], PRACTICE))

        assert check_plan.check(check_plan.as_read(document)) == []


@pytest.mark.parametrize("given", [WITH_DOOR, WITH_WINDOW, *RANDOM])
def test_none_is_worse_than_the_first(given: Wall) -> None:
    """No finding more, no seen joint more, members and hidden joints within what is said."""
    first, *others = variants_of(given, PRACTICE, MOST)
    known = Counter(finding.code for finding in plan_variant(given, PRACTICE, first).findings)
    high = max(y for _, y in given.outline) - min(y for _, y in given.outline)

    for other in others:
        found = Counter(finding.code for finding in plan_variant(given, PRACTICE, other).findings)
        assert found <= known
        assert other.seen_joints_mm <= first.seen_joints_mm
        assert other.seen_cut_mm <= first.seen_cut_mm
        assert other.hidden_joints_mm <= first.hidden_joints_mm + max(
            high, RULES.variant_hidden_joint_more_percent / 100 * first.hidden_joints_mm
        )
        for grid, before in zip(other.grids, first.grids, strict=True):
            assert grid.choice.cost[:2] <= before.choice.cost[:2]
            assert len(grid.posts) <= len(before.posts) + RULES.variant_members_more


def test_there_are_others_and_each_cuts_other_boards() -> None:
    for given in (WITH_DOOR, WITH_WINDOW):
        cut = [sizes(variant) for variant in variants_of(given, PRACTICE, MOST)]

        assert len(cut) > 2
        assert len({frozenset(each.items()) for each in cut}) == len(cut)


def test_a_mirrored_wall_has_mirrored_ones() -> None:
    """Where the first is the same from either side, so are nearly all others: the boards cut are the same."""
    there, back = (
        {frozenset(sizes(variant).items()) for variant in variants_of(each, PRACTICE, 30)}
        for each in (WITH_WINDOW, mirrored(WITH_WINDOW))
    )

    assert len(there & back) >= 0.85 * len(there | back)


def test_names_do_not_matter() -> None:
    renamed = replace(WITH_DOOR, id="other", name="elsewhere", room="R-99")

    assert [v.grids for v in variants_of(WITH_DOOR, PRACTICE, MOST)] == [
        v.grids for v in variants_of(renamed, PRACTICE, MOST)
    ]


def test_what_cannot_be_laid_out_is_said_with_its_wall() -> None:
    wrong = replace(WITH_DOOR, lining=replace(WITH_DOOR.lining, profile="nothing"))

    with pytest.raises(InputError, match=rf"wall {wrong.id}.*lining\.profile"):
        variants_of(wrong, PRACTICE, MOST)


def sizes(variant: Variant) -> Counter[tuple[object, ...]]:
    """What is cut, without places."""
    return Counter(
        (p.item, round(p.width_mm, 3), round(p.length_mm, 3), p.left_bound + p.right_bound, len(p.ring))
        for p in variant.boards
    )
