"""Joints of two neighbouring layers laid together, held against every pair that could have been chosen."""

from __future__ import annotations

from itertools import chain, combinations, pairwise, product
from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.layout.plain import plan, wall, window
from tests.layout.test_invariants import mirrored, total_cost
from tests.layout.walls import random_wall

from innerleaf.layout.joints import lay_joints
from innerleaf.layout.pairs import PairPlaces, lay_pair
from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.wall import Wall

BOARD, STRIP, OFFSET, FACE = 1200, 300, 400, 50
NO_LIMIT = 10**18

quick = settings(max_examples=200, deadline=None, derandomize=True, database=None)

Joints = tuple[int, ...]
Worth = tuple[int, int, int, int]

# Walls in which one layer after the other misses a distance that a pair of layers laid together keeps.
CRAMPED = [
    pytest.param(wall(2350, openings=(window(450, 250),)), id="by hand"),
    *(pytest.param(random_wall(Random(seed)), id=f"random {seed}") for seed in (414, 515, 2823, 4391, 4472)),
]


@st.composite
def stretches(draw: st.DrawFn) -> PairPlaces:
    """A stretch up to three boards long with few places for joints, some close together."""
    end = draw(st.integers(200, 3300))
    places = sorted(draw(st.sets(st.integers(1, end - 1), max_size=7)))
    assume(all(b - a <= BOARD for a, b in pairwise((0, *places, end))))
    return PairPlaces(
        xs=(0, *places, end),
        missed=(0, *(draw(st.sampled_from([0, 0, 0, 40, 150])) for _ in places), 0),
        extra=frozenset(x for x in places if draw(st.booleans())),
        board_mm=BOARD,
        strip_min_mm=STRIP,
        offset_mm=OFFSET,
        face_mm=FACE,
    )


def worth(places: PairPlaces, pair: tuple[Joints, Joints]) -> Worth:
    """Price of a pair, as a tuple in the order of importance."""
    of = dict(zip(places.xs, places.missed, strict=True))
    both = [*pair[0], *pair[1]]
    widths = [b - a for joints in pair for a, b in pairwise((places.xs[0], *joints, places.xs[-1]))]
    near = (abs(a - b) for a, b in product(*pair))
    return (
        sum(of[x] for x in both) + sum(OFFSET - apart for apart in near if apart < OFFSET),
        sum(STRIP - w for w in widths if w < STRIP),
        1000 * len(widths) + 400 * sum(x in places.extra for x in both),
        sum(w != BOARD for w in widths),
    )


def every_pair(places: PairPlaces) -> list[tuple[Joints, Joints]]:
    """All pairs of layers of lawful widths whose added members do not stand in one another."""
    start, *inner, end = places.xs
    subsets = chain.from_iterable(combinations(inner, count) for count in range(len(inner) + 1))
    layers = [js for js in subsets if all(b - a <= BOARD for a, b in pairwise((start, *js, end)))]
    return [
        (first, second)
        for first in layers
        for second in layers
        if first <= second
        and all(b - a >= FACE for a, b in pairwise(sorted({*first, *second} & places.extra)))
    ]


@quick
@given(stretches())
def test_no_pair_is_better(places: PairPlaces) -> None:
    """All pairs of subsets of places tried. If it fails, the sweep forgets something that costs later."""
    found = lay_pair(places, below=NO_LIMIT)
    best = min((worth(places, pair) for pair in every_pair(places)), default=None)

    assert (found and worth(places, (found[0].joints, found[1].joints))) == best


@quick
@given(stretches())
def test_the_paths_count_what_they_say(places: PairPlaces) -> None:
    """Both together report what the joints miss, and nothing is found for exactly that price or less."""
    found = lay_pair(places, below=NO_LIMIT)
    assume(found)
    assert found

    missed, slivers, _, _ = worth(places, (found[0].joints, found[1].joints))
    price = sum(path.price for path in found)

    assert sum(path.missed_mm for path in found) == missed
    assert sum(path.sliver_mm for path in found) == slivers
    assert all(path.extra == tuple(x for x in path.joints if x in places.extra) for path in found)
    assert lay_pair(places, below=price) is None
    assert lay_pair(places, below=price + 1) == found


@quick
@given(stretches())
def test_seen_from_the_right_it_costs_the_same(places: PairPlaces) -> None:
    end = places.xs[-1]
    image = PairPlaces(
        xs=tuple(end - x for x in reversed(places.xs)),
        missed=places.missed[::-1],
        extra=frozenset(end - x for x in places.extra),
        board_mm=BOARD,
        strip_min_mm=STRIP,
        offset_mm=OFFSET,
        face_mm=FACE,
    )

    there, back = lay_pair(places, below=NO_LIMIT), lay_pair(image, below=NO_LIMIT)

    assert (there is None) == (back is None)
    if there and back:
        assert sum(path.price for path in there) == sum(path.price for path in back)


def test_a_layer_makes_room_for_the_next() -> None:
    """A layer alone takes 900 and 1500, which leaves the next nothing; both together stay 400 mm apart."""
    xs = (0, 310, 900, 1500, 1900, 2350)
    places = PairPlaces(
        xs=xs,
        missed=(0,) * len(xs),
        extra=frozenset(),
        board_mm=BOARD,
        strip_min_mm=STRIP,
        offset_mm=OFFSET,
        face_mm=FACE,
    )

    alone = lay_joints(0, 2350, xs[1:-1], [0] * 4, frozenset(), board_mm=BOARD, strip_min_mm=STRIP)
    pair = lay_pair(places, below=NO_LIMIT)

    assert alone.joints == (900, 1500)
    assert pair
    assert [path.joints for path in pair] == [(310, 1500), (900, 1900)]


def distances_missed(some: WallPlan) -> list[str]:
    """Findings about joints too near to a jamb or to a joint of the next layer."""
    return [finding.text for finding in some.findings if finding.code in ("L201", "L204")]


@pytest.mark.parametrize("some", CRAMPED)
def test_cramped_walls_keep_their_distances(some: Wall) -> None:
    """Only both layers together find room between the jambs."""
    assert distances_missed(plan(some)) == []


@pytest.mark.parametrize("some", CRAMPED)
def test_mirrored_cramped_walls_cost_the_same(some: Wall) -> None:
    assert total_cost(plan(some)) == total_cost(plan(mirrored(some)))


def test_of_three_layers_each_is_clear_of_the_next() -> None:
    """The third layer is laid beside whichever of the pair leaves it room."""
    assert distances_missed(plan(wall(2350, layers=3, openings=(window(450, 250),)))) == []
