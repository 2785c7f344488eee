"""What is bought and built: nothing asked for twice, nothing over that is used."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from tests.documents.fixture import practice
from tests.revise.test_match import shifted

from innerleaf.errors import FileFaults
from innerleaf.layout.pieces import WallPlan
from innerleaf.reading import read_text
from innerleaf.revise.held_file import held_of
from innerleaf.revise.revision import Side, revise
from innerleaf.revise.stock import ALL, Held, Lying, StockLine, StockReport
from innerleaf.takeoff import Takeoff, take_off

WALL = "W-03"


@cache
def taken(mm: int) -> Takeoff:
    return take_off([shifted(mm)], practice())


def side(mm: int, plan: WallPlan | None = None) -> Side:
    plans = (plan or shifted(mm),)
    takeoff = take_off(plans, practice()) if plan else taken(mm)
    return Side(
        name=f"at {mm}", project="P", place="", firm="", practice=practice(), plans=plans, takeoff=takeoff
    )


def everything(takeoff: Takeoff) -> tuple[Lying, ...]:
    """All that a takeoff buys: packs by length, else what is needed."""
    lying = []
    for buy in takeoff.purchases:
        by_length = buy.group in ("frame", "boards", "insulation", "membrane", "beads")
        if by_length and buy.unit != "piece":
            lying += [Lying(buy.item, int(pack.size), pack.count) for pack in buy.packs]
        else:
            lying.append(Lying(buy.item, 0, buy.bought))
    return tuple(lying)


def held(built: tuple[str, ...] = (), bought: tuple[Lying, ...] | None = None) -> Held:
    lying = everything(taken(0)) if bought is None else bought
    return Held(bought=lying, built={WALL: built})


def report(before: Side, after: Side, what: Held) -> StockReport:
    found = revise(before, after, what).stock
    assert found is not None
    return found


def line_of(found: StockReport, article: str, length: int = 0) -> StockLine:
    return next(line for line in found.lines if (line.article, line.length_mm) == (article, length))


@pytest.mark.parametrize("built", [(), (ALL,), ("W-03/S01", "W-03/B1-01")])
def test_nothing_is_asked_for_where_nothing_changed(built: tuple[str, ...]) -> None:
    """All is bought for the very plan: no more to buy, nothing freed, whatever is built of it."""
    found = report(side(0), side(0), held(built))

    assert not [line for line in found.lines if line.more]
    assert not found.freed
    assert not found.undone
    assert found.worth_freed == 0


def test_with_nothing_bought_all_is_to_be_bought() -> None:
    """What the later plan cuts is then what its own takeoff buys, no shorter in all."""
    found = report(side(0), side(175), held(bought=()))

    steel = sum(line.more * line.length_mm for line in found.lines if line.article == "CW-75")
    needed = next(buy for buy in taken(175).purchases if buy.item == "CW-75")
    assert needed.lower_bound <= steel
    assert steel <= 1.1 * needed.bought


def test_bought_is_used_over_or_built_and_adds_up() -> None:
    """Of every article: bought = used + over; used = what lies there and is cut."""
    found = report(side(0), side(175), held(("W-03/S01",)))

    for line in found.lines:
        assert line.used + line.over == pytest.approx(max(line.bought, line.used))
        assert line.more == 0 or line.over == 0 or line.length_mm


def test_a_wall_that_goes_frees_all_that_is_bought() -> None:
    """Without its wall nothing of the order is used, but for what is built already."""
    nothing = replace(side(0), plans=(), takeoff=take_off((), practice()))

    found = report(side(0), nothing, held())

    assert all(line.used == 0 for line in found.lines)
    assert {line.article for line in found.lines if line.over} >= {"CW-75", "board-A-12.5", "wool-50"}

    built = report(side(0), nothing, held((ALL,)))
    assert len(built.undone) == len(revise(side(0), side(0)).walls[0].pieces)
    assert built.stays == 0


def test_a_built_piece_that_would_go_is_told() -> None:
    found = report(side(0), side(175), held((ALL,)))

    fate = {c.before.mark: c.how for c in revise(side(0), side(175)).walls[0].pieces if c.before}
    assert {piece.mark for piece in found.undone} == {mark for mark, how in fate.items() if how != "stayed"}
    assert found.stays == sum(how == "stayed" for how in fate.values())


def test_more_of_a_length_comes_after_what_lies_there() -> None:
    """Twice the bars that are needed lie there: none is bought, and the rest is over."""
    plenty = tuple(replace(lying, amount=2 * lying.amount) for lying in everything(taken(0)))

    found = report(side(0), side(175), held(bought=plenty))

    assert not [line for line in found.lines if line.article == "CW-75" and line.more]
    assert sum(line.over for line in found.lines if line.article == "CW-75") > 0


GOOD = """\
format: 1
bought:
  - {article: CW-75, length: 3000, count: 12}
  - {article: sealant-310, amount: 20}
built:
  W-03: [S01, W-03/F01]
"""


def test_the_file_of_what_is_held() -> None:
    read = held_of(read_text(GOOD, "held.yaml"), [shifted(0)], None, practice())

    assert read.bought == (Lying("CW-75", 3000, 12.0), Lying("sealant-310", 0, 20_000.0))
    assert set(read.built[WALL]) >= {"W-03/F01"}


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("format: 1", "format: 2"), "format: given 2, accepted: 1."),
        (("CW-75", "CW-7"), "bought.0.article: given 'CW-7', accepted: an article of the practice set."),
        (("count: 12", "count: many"), "bought.0.count: given 'many', accepted: how many bars."),
        (("S01", "S99"), "built.W-03.0: given 'S99', accepted: all, or marks of this wall's pieces"),
        (("W-03: [", "W-99: ["), "built.W-99: given 'W-99', accepted: one of W-03."),
        (("format: 1", "format: 1\ndeliveries: [D9]"), "deliveries.0: given 'D9', accepted: an earlier plan"),
        (("format: 1", "format: 1\nkept: 3"), "kept: given 'kept', accepted: one of format"),
    ],
)
def test_mistakes_in_the_file_are_said(change: tuple[str, str], told: str) -> None:
    """Each with its place and what would be right."""
    with pytest.raises(FileFaults, match=r"held\.yaml:") as error:
        held_of(read_text(GOOD.replace(*change), "held.yaml"), [shifted(0)], None, practice())

    assert told in str(error.value)
