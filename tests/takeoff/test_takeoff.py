"""What is counted equals what is placed; what is bought holds what is cut."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from tests.small_plan import small_plan

from innerleaf.errors import InputError
from innerleaf.layout.pieces import BracketPlace, Role, Run, RunKind, WallPlan
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.takeoff import Line, Purchase, Takeoff, take_off


@pytest.fixture(scope="module")
def practice() -> Practice:
    return load_practice()


@pytest.fixture(scope="module")
def plan(practice: Practice) -> WallPlan:
    return small_plan(practice)


@pytest.fixture(scope="module")
def takeoff(plan: WallPlan, practice: Practice) -> Takeoff:
    return take_off([plan, small_plan(practice, "W-02", "R1"), small_plan(practice, "W-03", "R2")], practice)


def line(takeoff: Takeoff, group: str, use: str) -> Line:
    found = [line for line in takeoff.lines if (line.group, line.use) == (group, use)]
    assert len(found) == 1
    return found[0]


def purchase(takeoff: Takeoff, item: str) -> Purchase:
    found = [purchase for purchase in takeoff.purchases if purchase.item == item]
    assert len(found) == 1
    return found[0]


def test_board_area_is_the_wall_less_window_and_gaps(takeoff: Takeoff) -> None:
    """Measured by hand: 3590 x 2485 less 1200 x 1200, each layer, three walls."""
    for layer in (1, 2):
        assert line(takeoff, "boards", f"layer {layer}").quantity == 3 * (3590 * 2485 - 1200 * 1200)


def test_studs_by_role_and_wall(takeoff: Takeoff) -> None:
    """Four studs, two jambs, two ends and six cripples a wall, 10 mm short of the height."""
    studs = line(takeoff, "frame", "stud")

    assert (studs.item, studs.unit, studs.count, studs.quantity) == ("CW-75", "mm", 12, 12 * 2490)
    assert [(s.place, s.quantity, s.count) for s in studs.by_wall] == [
        (wall, 4 * 2490, 4) for wall in ("W-01", "W-02", "W-03")
    ]
    assert [(s.place, s.count) for s in studs.by_room] == [("R1", 8), ("R2", 4)]
    assert line(takeoff, "frame", "cripple stud").quantity == 3 * 3 * (890 + 390)


def test_shares_of_every_line_add_up(takeoff: Takeoff) -> None:
    """A room's part that does not add up would be priced twice or not at all."""
    for each in takeoff.lines:
        for shares in (each.by_wall, each.by_room):
            assert sum(s.quantity for s in shares) == pytest.approx(each.quantity)
            assert sum(s.count for s in shares) == each.count


def test_screws_are_counted_one_by_one(plan: WallPlan, takeoff: Takeoff) -> None:
    """As many as are placed, in whole packs over the building."""
    placed = sum(len(s.places_mm) for s in plan.screws if s.layer == 2)

    assert line(takeoff, "fixings", "boards, layer 2").quantity == 3 * placed
    bought = purchase(takeoff, "screw-35")
    assert bought.packs[0].count == -(-3 * placed // int(bought.packs[0].size))


def test_frame_screws_follow_the_rates(takeoff: Takeoff) -> None:
    """Fourteen studs with two ends, one screw each; head and sill with two ends of two."""
    assert line(takeoff, "fixings", "stud ends").quantity == 3 * 28
    assert line(takeoff, "fixings", "level pieces").quantity == 3 * 8


def test_a_head_that_moves_is_not_screwed(plan: WallPlan, practice: Practice) -> None:
    """Only the lower end of a stud under a deflection head is held; cripples under the sill keep both."""
    moving = replace(plan, wall=replace(plan.wall, head_moves=True))

    assert line(take_off([moving], practice), "fixings", "stud ends").quantity == 28 - 11


def test_joints_tape_and_compound(takeoff: Takeoff) -> None:
    """Q2: two coats on the seen layer, one on the hidden, tape on seen joints only, none at the edges."""
    whole, parted = 2485, (900 - 10) + (2495 - 2100)
    hidden, seen = 2 * whole + parted, 2 * whole + 2 * parted
    bead, edge = 4 * 1200, 2 * (3590 + 2485)
    rate = 0.3 / 1000 / 600  # kg/m of a joint 100 + 200 + 300 wide

    assert line(takeoff, "jointing", "tape").quantity == 3 * seen
    coated = hidden * 100 + seen * 300 + edge * 100 + bead * 300
    assert line(takeoff, "jointing", "joints and beads").quantity == pytest.approx(3 * coated * rate)
    heads = line(takeoff, "fixings", "boards, layer 2").quantity
    spots = heads * 2 * pi / 4 * 30**2 * rate
    assert line(takeoff, "jointing", "screw heads").quantity == pytest.approx(spots)


def test_spliced_channels_take_connectors_side_tracks_none(plan: WallPlan, practice: Practice) -> None:
    """A channel in two parts is joined by one connector and four screws; a perimeter channel butts."""
    stud = next(bar for bar in plan.bars if bar.member)
    top = replace(stud, mark="W-01/S01b", ay_mm=1000)

    def spliced(item: str, role: Role) -> Takeoff:
        parts = tuple(replace(bar, item=item, role=role) for bar in (replace(stud, by_mm=1000), top))
        return take_off([replace(plan, bars=parts)], practice)

    channel, track = spliced("CD-60-27", Role.GRID), spliced("UD-28-27", Role.SIDE_TRACK)

    assert line(channel, "frame", "channel splice").quantity == 1
    assert line(channel, "fixings", "splices").quantity == 4
    assert line(channel, "fixings", "stud ends").quantity == 2
    assert {x.use for x in track.lines} & {"channel splice", "splices", "stud ends"} == set()


def test_no_walls_need_nothing(practice: Practice) -> None:
    """An empty selection is no error."""
    assert (take_off([], practice).lines, take_off([], practice).purchases) == ((), ())


def test_brackets_and_what_goes_with_them(plan: WallPlan, practice: Practice) -> None:
    """Each bracket brings its anchor, two screws and 100 mm of strip as wide as its strap of 30."""
    bracket = BracketPlace("W-01/K01", "W-01/S02", "bracket-20-75", 450, 300, 40)
    held = take_off(
        [replace(plan, brackets=(bracket, replace(bracket, mark="W-01/K02", y_mm=1500)))], practice
    )

    assert line(held, "brackets", "bracket").quantity == 2
    uses = {(x.item, x.quantity) for x in held.lines if x.use == "brackets"}
    assert uses == {("bracket-fixing-100", 2), ("frame-screw-1000", 4)}
    strip = line(held, "sealing", "under brackets")
    assert (strip.item, strip.unit, strip.quantity, strip.count) == ("strip-30", "mm", 200, 2)
    assert strip.basis == "by rate per piece (common practice, no source)"
    assert purchase(held, "strip-30").net == 200
    assert line(held, "brackets", "bracket").mass_kg == 2 * practice.brackets["bracket-20-75"].mass_kg


def test_reveal_boards_are_bedded_and_skimmed(plan: WallPlan, practice: Practice) -> None:
    """1.2 x 0.3 m of reveal: 3 kg/m2 of bedding; seen whatever its layer, so Q4 skims it with the face."""
    face = line(take_off([finished(plan, "Q4")], practice), "jointing", "skim").quantity
    ring = ((0, 0), (300, 0), (300, 1200), (0, 1200))
    reveal = replace(
        plan.boards[0], mark="W-01/R01", plane="N1 left", ring=ring, width_mm=300, length_mm=1200
    )
    lined = take_off([finished(replace(plan, boards=(*plan.boards, reveal)), "Q4")], practice)

    assert line(lined, "jointing", "bedding of reveals").quantity == pytest.approx(3 * 0.36)
    assert line(lined, "jointing", "skim").quantity == pytest.approx(face + 0.36)


def finished(plan: WallPlan, finish: str) -> WallPlan:
    return replace(plan, wall=replace(plan.wall, lining=replace(plan.wall.lining, finish=finish)))


@pytest.mark.parametrize(("layer", "tape"), [(0, 1200), (1, 1200), (2, 1200)])
def test_an_inner_corner_is_taped_on_any_layer(
    plan: WallPlan, practice: Practice, layer: int, tape: float
) -> None:
    """Where a reveal meets its frame there is one layer of board, and it is seen."""
    corner = Run(RunKind.INNER_CORNER, layer, 0, 0, 0, 1200, 1200, "")
    taken = take_off([replace(plan, runs=(corner,))], practice)

    assert line(taken, "jointing", "tape").quantity == tape
    assert line(taken, "jointing", "joints and beads").quantity == pytest.approx(1.2 * 0.3 / 2)


def test_every_bar_and_board_is_on_the_cut_list_once(takeoff: Takeoff, practice: Practice) -> None:
    """What is taken off is what is cut."""
    plans = [small_plan(practice, wall) for wall in ("W-01", "W-02", "W-03")]

    assert sorted(p.mark for bar in takeoff.bars for p in bar.pieces) == sorted(
        bar.mark for plan in plans for bar in plan.bars
    )
    assert sorted(p.mark for board in takeoff.boards for p in board.pieces) == sorted(
        board.mark for plan in plans for board in plan.boards
    )


def test_nothing_is_bought_below_what_is_built(takeoff: Takeoff) -> None:
    """Net, bound and what is bought stand in that order; waste is told from them."""
    for each in takeoff.purchases:
        assert each.net <= each.bought + 1e-6
        assert each.lower_bound <= each.bought + 1e-6
        assert each.waste == pytest.approx(each.bought / each.net - 1)
        assert all(pack.count > 0 for pack in each.packs)
        assert each.special == 0


def test_everything_counted_is_bought(takeoff: Takeoff) -> None:
    """No line of material without a purchase, none bought that is not counted."""
    counted = {x.item for x in takeoff.lines if x.group != "joints" and x.item != "penetration"}

    assert {purchase.item for purchase in takeoff.purchases} == counted


def test_masses_come_from_the_catalogue(takeoff: Takeoff, practice: Practice) -> None:
    """A stud weighs its length times the catalogue's mass."""
    studs = line(takeoff, "frame", "stud")

    assert studs.mass_kg == pytest.approx(12 * 2.49 * practice.profiles["CW-75"].mass_kg_m)
    assert takeoff.mass_kg == pytest.approx(sum(x.mass_kg for x in takeoff.lines))


def test_long_beads_are_joined_and_rests_share_a_length(plan: WallPlan, practice: Practice) -> None:
    """5.2 m and 2.2 m of corner bead in lengths of 2.5 m: two whole, a rest of 0.2 m beside the other."""
    edges = tuple(
        Run(RunKind.CORNER_BEAD, 2, 0, y, x, y, x, "corner-bead-2500") for x, y in ((5200, 0), (2200, 9))
    )
    beaded = take_off([replace(plan, runs=edges)], practice)

    assert [(pack.size, pack.count) for pack in purchase(beaded, "corner-bead-2500").packs] == [(2500, 3)]


def test_a_piece_no_stock_holds_is_told_not_lost(plan: WallPlan, practice: Practice) -> None:
    """A layout never makes one; should a plan hold one, it is counted and said not to be bought."""
    first, *rest = plan.bars
    endless = take_off([replace(plan, bars=(replace(first, length_mm=9000), *rest))], practice)

    assert purchase(endless, first.item).special == 1
    assert purchase(endless, first.item).net == 9000 + 3600 + 2 * 1500


def test_an_unknown_finish_is_refused(plan: WallPlan, practice: Practice) -> None:
    """The number of coats must not be guessed."""
    odd = replace(plan, wall=replace(plan.wall, lining=replace(plan.wall.lining, finish="Q9")))

    with pytest.raises(InputError, match=r"lining\.finish: given 'Q9'"):
        take_off([odd], practice)
