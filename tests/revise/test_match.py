"""Pieces found again: against plain set differences, and laws that hold whatever changed."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.documents.fixture import a_plan, a_wall, practice

from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.revise.match import CAME, CHANGED, MOVED, STAYED, WENT, held_together
from innerleaf.revise.pieces import Piece, pieces_of
from innerleaf.revise.walls import OTHER, SAME, WallRevision, walls_held_together

SHIFTS = (0, 40, 175)


@cache
def shifted(mm: int) -> WallPlan:
    """The wall of the drawings' tests with its window so much further right."""
    wall = a_wall()
    window, door = wall.openings
    moved = replace(window, x_mm=window.x_mm + mm)
    return plan_wall(replace(wall, openings=(moved, door)), practice())


def what_it_is(piece: Piece) -> tuple[object, ...]:
    """Everything of a piece but its mark."""
    return piece.kind, piece.what, piece.item, piece.shape, piece.place


def pairs(revision: WallRevision) -> Counter[tuple[str, str, str]]:
    return Counter(
        (
            change.how,
            change.before.mark if change.before else "",
            change.after.mark if change.after else "",
        )
        for change in revision.pieces
    )


def test_what_stayed_is_what_both_plans_have() -> None:
    """Brute force: pieces as a multiset without marks; what is in both stayed, and nothing else."""
    before, after = pieces_of(shifted(0)), pieces_of(shifted(175))
    olds, news = Counter(map(what_it_is, before)), Counter(map(what_it_is, after))

    changes = held_together(before, after)
    stayed = Counter(what_it_is(change.after) for change in changes if change.how == STAYED and change.after)

    assert stayed == olds & news
    left = {what_it_is(change.before) for change in changes if change.how == WENT and change.before}
    assert left <= set(olds - news)
    assert {change.how for change in changes} >= {STAYED, MOVED, CHANGED}


def test_every_piece_stands_in_the_answer_once() -> None:
    """A piece that is in no pair came or went; none is lost, none told twice."""
    before, after = pieces_of(shifted(0)), pieces_of(shifted(40))

    changes = held_together(before, after)

    assert Counter(c.before.mark for c in changes if c.before) == Counter(p.mark for p in before)
    assert Counter(c.after.mark for c in changes if c.after) == Counter(p.mark for p in after)


def test_pairs_are_of_one_kind() -> None:
    """What moved has the same cut; what changed lies where the other lay or has its mark."""
    for change in held_together(pieces_of(shifted(0)), pieces_of(shifted(175))):
        old, new = change.before, change.after
        if old is None or new is None:
            continue
        assert (old.kind, old.plane) == (new.kind, new.plane)
        if change.how == MOVED:
            assert (old.item, old.shape) == (new.item, new.shape)
            assert old.place != new.place
        if change.how == CHANGED:
            assert old.mark == new.mark or old.overlap(new) > 0


@given(
    gone=st.sets(st.integers(0, 30), max_size=6),
    added=st.lists(st.integers(0, 30), max_size=4, unique=True),
    moves=st.dictionaries(st.integers(0, 30), st.integers(-300, 300), max_size=5),
)
@settings(max_examples=25, deadline=None)
def test_there_and_back_are_mirrors(gone: set[int], added: list[int], moves: dict[int, int]) -> None:
    """Holding the later plan against the earlier gives the same pairs the other way round."""
    plan = a_plan()
    bars = plan.bars
    kept = [bar for number, bar in enumerate(bars) if number not in gone]
    there = [
        replace(bar, ax_mm=bar.ax_mm + moves.get(number, 0), bx_mm=bar.bx_mm + moves.get(number, 0))
        for number, bar in enumerate(bars)
    ]
    news = [replace(bars[number % len(bars)], mark=f"W-03/N{number}", ax_mm=7, bx_mm=7) for number in added]
    one, two = replace(plan, bars=tuple(kept)), replace(plan, bars=(*there, *news))

    (forth,), (back,) = walls_held_together([one], [two]), walls_held_together([two], [one])

    turned = {CAME: WENT, WENT: CAME}
    assert pairs(back) == Counter(
        {(turned.get(how, how), after, before): n for (how, before, after), n in pairs(forth).items()}
    )


def test_a_plan_against_itself_is_the_same() -> None:
    (wall,) = walls_held_together([shifted(0)], [shifted(0)])

    assert wall.how == SAME
    assert not wall.touched
    assert not wall.words


def test_the_survey_says_what_moved() -> None:
    (wall,) = walls_held_together([shifted(0)], [shifted(175)])

    assert wall.how == OTHER
    assert wall.words == ("window O1: x 900 → 1075",)
    assert wall.fields == ("openings",)


def test_one_more_box_is_one_more_box() -> None:
    """Boxes without ids are numbered along the wall; those after a new one are told as they were."""
    wall = a_wall()
    first, second = wall.boxes
    more = replace(first, id="E2", x_mm=2500)
    later = replace(wall, boxes=(first, more, replace(second, id="E3")))

    (told,) = walls_held_together([shifted(0)], [plan_wall(later, practice())])

    assert told.words == ("electric box E2 is new, at 2500 / 300",)


def test_walls_that_come_and_go() -> None:
    """A wall only one plan has came or went with all its pieces."""
    other = a_plan("W-04")

    gone, new = (
        walls_held_together(a, b)[-1] for a, b in (([shifted(0), other], [shifted(0)]), ([], [other]))
    )

    assert (gone.how, new.how) == ("gone", "new")
    assert {change.how for change in gone.pieces} == {WENT}
    assert {change.how for change in new.pieces} == {CAME}
    assert len(new.pieces) == len(pieces_of(other))
