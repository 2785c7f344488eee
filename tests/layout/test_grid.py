"""The search for the grid's start: no worse than trying every millimetre, and it says why."""

from __future__ import annotations

from random import Random

import pytest
from tests.layout.plain import BRACKETED, FREE, PRACTICE, box, door, lawful, lining, plan, wall, window
from tests.layout.walls import random_wall

from innerleaf.layout.grid import _box_places, _try_all, candidate_origins, choose_grid, ruling_for
from innerleaf.layout.panels import Panel, movement_joint_ways, panels_of
from innerleaf.layout.posts import fixed_posts
from innerleaf.layout.setting import Setting, setting_for
from innerleaf.layout.trial import Stretch, try_origin
from innerleaf.layout.zone import Zone
from innerleaf.survey.wall import Wall, Way

RULE, SLIVER, BOARDS, MEMBERS, WIDTHS = range(5)  # terms of the cost, in their order


def stretch_of(setting: Setting, zone: Zone, panel: Panel) -> Stretch:
    """The panel as numbers, as the search sees it."""
    faces = tuple((post.left, post.right) for post in fixed_posts(setting, zone, panel)[0])
    jambs = sorted(x for b in zone.blockers if b.opening for x in (b.x0, b.x1) if panel.x0 < x < panel.x1)
    return Stretch(
        panel.x0, panel.x1, panel.board_x0, panel.board_x1, faces, tuple(jambs), _box_places(setting)
    )


def chosen_and_best(some: Wall) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """For each panel up to 5 m: cost of the chosen start, and the least of all starts there are."""
    setting, zone = setting_for(some, PRACTICE), Zone(some)
    ruling, costs = ruling_for(setting), []
    for panel in panels_of(setting, zone, movement_joint_ways(setting, zone)[0]):
        if panel.board_x1 - panel.board_x0 <= 5000:
            chosen = choose_grid(setting, ruling, zone, panel).choice.cost
            every = range(ruling.period)
            broken = chosen[RULE] > 0 or chosen[SLIVER] > 0
            trials = _try_all(ruling, stretch_of(setting, zone, panel), every, thorough=broken)
            costs.append((chosen, min(trial.cost for trial in trials)))
    return costs


def test_few_starts_are_tried_and_rarely_is_another_better() -> None:
    """All starts, millimetre by millimetre, over panels of random walls.

    Of some 600 starts about a dozen are tried. At most 4 % of the panels may have a better one (1.7 % were
    found over 2080 panels); more, and a kind of coincidence is missing from the candidates.
    """
    costs = []
    for seed in range(150):
        some = random_wall(Random(seed))
        if lawful(some):
            costs += chosen_and_best(some)

    worse = [pair for pair in costs if pair[1] < pair[0]]

    assert len(costs) > 80
    assert len(worse) <= 0.04 * len(costs)


@pytest.mark.parametrize("length", [1300, 1850, 2405, 3010, 3333, 4801])
@pytest.mark.parametrize("layers", [1, 2])
def test_on_a_bare_wall_no_start_at_all_is_better(length: int, layers: int) -> None:
    """Without openings and boxes the ends alone decide: the candidates hold the best start."""
    ((chosen, best),) = chosen_and_best(wall(length, layers=layers))

    assert chosen == best


@pytest.mark.parametrize("x", [900, 1400, 1950, 2333])
def test_beside_one_window_no_start_at_all_is_better(x: int) -> None:
    """The two jambs and the two ends decide."""
    for chosen, best in chosen_and_best(wall(4700, openings=(window(x, 1010),))):
        assert chosen == best


@pytest.mark.parametrize("x", range(300, 2800, 130))
def test_a_box_anywhere_in_a_bare_wall_is_clear_of_all_members(x: int) -> None:
    """The grid makes room for a socket, rather than the socket for the grid."""
    some = plan(wall(3300, boxes=(box(x),)))

    assert "L401" not in {finding.code for finding in some.findings}


def test_rules_come_before_waste() -> None:
    """Whole boards from the left end would put a joint at 1205, 55 mm from a jamb: the grid is shifted."""
    some = plan(wall(4700, layers=1, openings=(window(1260, 1010),)))
    (grid,) = some.grids

    assert grid.origin_mm % 600 != 5
    assert grid.cost[RULE] == 0
    assert all(abs(x - jamb) >= 150 for x in some.vertical_joints_mm[0] for jamb in (1260, 2270))


def test_slivers_come_before_waste() -> None:
    """2500 mm in three pieces of 300 and more, although 1200 + 1200 + 90 needs no board more."""
    some = plan(wall(2500, layers=1))
    (grid,) = some.grids

    assert grid.cost[SLIVER] == 0
    assert min(piece.width_mm for piece in some.boards) >= 300
    assert grid.cost[BOARDS] == 3  # 2490 mm can be cut from no fewer


def test_the_reason_names_the_first_term_that_is_better() -> None:
    """Somebody asks on site why the first stud is not at 600: the sheet answers."""
    shifted = plan(wall(4700, layers=1, openings=(window(1260, 1010),))).grids[0]
    plain = plan(wall(4810, layers=1)).grids[0]

    assert "; with a full board at the left end " in shifted.reason
    assert shifted.reason.startswith(("mm too near", "mm that strips", "boards", "members", "widths"))
    assert plain.origin_mm % 600 == 5
    assert plain.reason == "a full board at the left end; no start tried is better"


def test_the_number_of_starts_tried_is_said() -> None:
    """As many as there are candidates, the full board at the left end among them."""
    some = wall(4700, openings=(door(1900),))
    setting, zone = setting_for(some, PRACTICE), Zone(some)
    (panel,) = panels_of(setting, zone, [])

    origins = candidate_origins(ruling_for(setting), panel, [1900, 2900], [])

    assert panel.board_x0 in origins
    assert len(set(origins)) == len(origins) <= plan(some).grids[0].tried
    assert all(0 <= origin < 600 for origin in origins)


def test_candidates_are_the_same_seen_from_the_right() -> None:
    """Else a mirrored wall could get a better or a worse layout."""
    some = wall(4701, openings=(door(1903),))
    setting, zone = setting_for(some, PRACTICE), Zone(some)
    ruling, (panel,) = ruling_for(setting), panels_of(setting, zone, [])

    here = candidate_origins(ruling, panel, [1903, 2903], [1878, 2928])
    there = candidate_origins(ruling, panel, [4701 - 2903, 4701 - 1903], [4701 - 2928, 4701 - 1878])

    assert sorted((4701 - origin) % ruling.period for origin in there) == here


def test_a_trial_counts_what_it_stands() -> None:
    """Members, boards and widths in the cost are those of the trial."""
    some = wall(4700, openings=(window(1900),))
    setting, zone = setting_for(some, PRACTICE), Zone(some)
    (panel,) = panels_of(setting, zone, [])
    stretch = stretch_of(setting, zone, panel)

    for origin in range(0, 600, 37):
        trial = try_origin(ruling_for(setting), stretch, origin, thorough=False)
        assert trial.cost[MEMBERS] == len(stretch.fixed) + len(trial.grid) + len(trial.extra)
        assert trial.cost[WIDTHS] == sum(len(joints) + 1 for joints in trial.joints)
        assert all((x - origin) % 600 == 0 or x in trial.extra for layer in trial.joints for x in layer)


def test_a_turned_trial_turned_again_is_itself() -> None:
    """Mirroring loses nothing."""
    some = wall(4700, openings=(window(1900),))
    setting, zone = setting_for(some, PRACTICE), Zone(some)
    (panel,) = panels_of(setting, zone, [])
    stretch = stretch_of(setting, zone, panel)
    trial = try_origin(ruling_for(setting), stretch, 215, thorough=False)

    assert stretch.mirrored().mirrored() == stretch
    assert trial.mirrored(4700, 600).mirrored(4700, 600) == trial


@pytest.mark.parametrize("way", [BRACKETED, FREE])
@pytest.mark.parametrize(("suffix", "bays", "spacing"), [("", 2, 600), ("", 3, 400), ("x1250", 3, 416.7)])
def test_spacing_follows_the_board(way: Way, suffix: str, bays: int, spacing: float) -> None:
    """Stud centres follow the board width: 600 or 400 for 1200, 416.7 for 1250."""
    boards = (f"board-A-12.5{suffix}",) * 2
    some = plan(wall(5000, lining=lining(way, boards=boards, bays_per_board=bays)))

    assert some.grids[0].spacing_mm == pytest.approx(spacing, abs=0.05)
