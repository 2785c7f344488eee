"""What every layout must keep, over random lawful walls, judged by a script that knows only plan.json."""

from __future__ import annotations

import os
from dataclasses import replace
from random import Random
from types import SimpleNamespace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.independent import check_plan
from tests.layout.walls import random_wall

from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.plan_file import plan_document
from innerleaf.practice.load import load_practice
from innerleaf.survey.wall import Wall
from innerleaf.takeoff import take_off

PRACTICE = load_practice()
JOB = SimpleNamespace(name="invented", site_place="invented", firm="invented")

SOAK = int(os.environ.get("INNERLEAF_SOAK", "1"))  # `make soak` takes so many times the walls, and others

some = settings(
    max_examples=200 * SOAK,
    deadline=None,
    derandomize=SOAK == 1,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
many = settings(some, max_examples=250 * SOAK)
walls = st.integers(min_value=0, max_value=10**9).map(lambda seed: random_wall(Random(seed)))


@many
@given(walls)
def test_every_invariant_holds(wall: Wall) -> None:
    """Boards tile the wall, edges and screws sit on members, spacings, joints, stock and sums are lawful."""
    assert broken_promises(wall) == []


def broken_promises(wall: Wall) -> list[str]:
    """What a stranger who reads the plan file would object to."""
    plan = plan_wall(wall, PRACTICE)
    document = plan_document(JOB, PRACTICE, [plan], take_off([plan], PRACTICE))
    return check_plan.check(check_plan.as_read(document))


@some
@given(walls)
def test_a_mirrored_wall_gets_an_equally_good_layout(wall: Wall) -> None:
    """Seen from the left or from the right, the search pays the same price."""
    there, back = plan_wall(wall, PRACTICE), plan_wall(mirrored(wall), PRACTICE)

    assert total_cost(there) == total_cost(back)


@some
@given(walls, st.integers(-20_000, 20_000), st.integers(-5_000, 5_000))
def test_moving_the_wall_changes_nothing(wall: Wall, right: int, up: int) -> None:
    """Another datum gives the same pieces in other coordinates."""
    here, there = plan_wall(wall, PRACTICE), plan_wall(moved(wall, right, up), PRACTICE)

    assert piece_sizes(here) == piece_sizes(there)
    assert [(m.x_mm + right, m.role) for m in here.members] == [(m.x_mm, m.role) for m in there.members]


@some
@given(walls)
def test_the_same_wall_gives_the_same_plan(wall: Wall) -> None:
    """A plan is a pure function of wall and practice."""
    assert plan_wall(wall, PRACTICE) == plan_wall(wall, PRACTICE)


def total_cost(plan: WallPlan) -> list[int]:
    """What the search paid, all panels together."""
    return [sum(terms) for terms in zip(*(grid.cost for grid in plan.grids), strict=True)]


def piece_sizes(plan: WallPlan) -> list[tuple[object, ...]]:
    """Everything that is cut, without where it goes."""
    return [
        *((bar.mark, bar.item, bar.length_mm) for bar in plan.bars),
        *((board.mark, round(board.width_mm, 2), round(board.length_mm, 2)) for board in plan.boards),
        *((line.board, line.support, len(line.places_mm)) for line in plan.screws),
    ]


def mirrored(wall: Wall) -> Wall:
    """The wall as seen in a mirror, still counter-clockwise from its lower left."""
    end = wall.length_mm
    ring = [(end - x, y) for x, y in wall.outline]
    edges = list(wall.meets)
    # Reversing the ring keeps it counter-clockwise; edge i then runs from old vertex n-i to n-i-1.
    ring.reverse()
    edges = edges[-2::-1] + edges[-1:]
    start = min(range(len(ring)), key=lambda i: ring[i])
    return replace(
        wall,
        outline=tuple(ring[start:] + ring[:start]),
        meets=tuple(edges[start:] + edges[:start]),
        openings=tuple(replace(o, x_mm=end - o.x_mm - o.width_mm) for o in wall.openings),
        obstacles=tuple(replace(o, x_mm=end - o.x_mm - o.width_mm) for o in wall.obstacles),
        boxes=tuple(replace(b, x_mm=end - b.x_mm - (b.count - 1) * b.pitch_mm) for b in wall.boxes),
        loads=tuple(replace(load, x_mm=end - load.x_mm - load.width_mm) for load in wall.loads),
    )


def moved(wall: Wall, right: int, up: int) -> Wall:
    """The same wall counted from another datum."""
    offsets = wall.offsets and replace(
        wall.offsets,
        xs_mm=tuple(x + right for x in wall.offsets.xs_mm),
        ys_mm=tuple(y + up for y in wall.offsets.ys_mm),
    )
    return replace(
        wall,
        outline=tuple((x + right, y + up) for x, y in wall.outline),
        openings=tuple(replace(o, x_mm=o.x_mm + right, sill_mm=o.sill_mm + up) for o in wall.openings),
        obstacles=tuple(replace(o, x_mm=o.x_mm + right, y_mm=o.y_mm + up) for o in wall.obstacles),
        boxes=tuple(replace(b, x_mm=b.x_mm + right, y_mm=b.y_mm + up) for b in wall.boxes),
        loads=tuple(replace(load, x_mm=load.x_mm + right, y_mm=load.y_mm + up) for load in wall.loads),
        offsets=offsets,
    )
