"""Every lining generated may be built; wet rooms, tiles, loads and finishes leave what the rules say."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from tests.design.choice.small import PRICES, brick_wall, setting, small_practice
from tests.layout.plain import PRACTICE

from innerleaf.design.choice.catalogue import buyable
from innerleaf.design.choice.generate import FULL, Extent, generate
from innerleaf.design.choice.options import Options
from innerleaf.errors import InputError
from innerleaf.layout.plan import plan_wall
from innerleaf.layout.setting import setting_for
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import HungLoad, MemberBuild, OffsetGrid, Targets, Wall, Way
from innerleaf.survey.wish import Wish


def options_of(
    wall: Wall, wish: Wish | None = None, practice: Practice = PRACTICE, extent: Extent = FULL
) -> Options:
    return generate(wall, wish or Wish(), buyable(practice, PRICES), practice, extent)


def packets(options: Options) -> set[tuple[str, ...]]:
    return {options.packets[k] for k in set(options.packet.tolist())}


def spacings(options: Options, layers: int) -> set[int]:
    many = options.layers[options.packet]
    return {round(options.systems[k].spacing_mm) for k in set(options.system[many == layers].tolist())}


def load(mass: float) -> HungLoad:
    return HungLoad(id="L", x_mm=2500, y_mm=1800, width_mm=1000, mass_kg=mass, depth_mm=200)


def test_every_lining_can_be_set_out_where_the_options_say() -> None:
    """A sample goes through the layout: nothing is refused, and its frame stands where the option has it."""
    wall = brick_wall(offsets=OffsetGrid(xs_mm=(0, 4200), ys_mm=(0, 2600), offsets_mm=((-8, 3), (2, 12))))
    options = options_of(wall)

    for number in Random(1).sample(range(len(options)), 150):
        lined = options.wall(wall, number)
        assert setting_for(lined, PRACTICE).build_up.frame_back_mm == options.back_mm[number]
    for number in Random(2).sample(range(len(options)), 8):
        plan = plan_wall(options.wall(wall, number), PRACTICE)
        assert not [finding for finding in plan.findings if finding.code == "L301"]


def test_no_lining_comes_twice_and_none_shares_a_name() -> None:
    options = options_of(brick_wall(), practice=small_practice())
    linings = [options.lining(number) for number in range(len(options))]

    assert len(set(linings)) == len({lining.id for lining in linings}) == len(linings)


def test_the_same_question_has_the_same_answer_in_the_same_order() -> None:
    one, other = (options_of(brick_wall()) for _ in range(2))

    assert [one.lining(k) for k in range(0, len(one), 997)] == [
        other.lining(k) for k in range(0, len(other), 997)
    ]


def test_wet_rooms_take_boards_for_wet_rooms_in_every_layer() -> None:
    names = packets(options_of(brick_wall(wet_room=True)))

    assert names
    assert all(PRACTICE.boards[name].for_wet_rooms for packet in names for name in packet)


def test_a_firm_may_keep_to_the_layer_that_is_seen() -> None:
    practice = replace(PRACTICE, rules=replace(PRACTICE.rules, wet_room_every_layer=0))
    names = packets(options_of(brick_wall(wet_room=True), practice=practice))

    assert ("board-A-12.5", "board-H-12.5") in names
    assert all(PRACTICE.boards[packet[-1]].for_wet_rooms for packet in names)


def test_tiles_bring_members_closer_behind_one_layer_only() -> None:
    options = options_of(brick_wall(), Wish(tiled=True))

    assert max(spacings(options, 1)) <= PRACTICE.rules.member_spacing_tiled_mm
    assert max(spacings(options, 2)) == 600


def test_a_fine_finish_on_one_layer_may_ask_for_closer_members() -> None:
    practice = replace(PRACTICE, rules=replace(PRACTICE.rules, member_spacing_fine_finish_mm=450))

    assert max(spacings(options_of(brick_wall(), Wish(finish="Q3"), practice), 1)) <= 450
    assert max(spacings(options_of(brick_wall(), Wish(finish="Q2"), practice), 1)) == 600


def test_heavy_loads_hang_on_thick_packets() -> None:
    """300 N on a metre is more than thin boards carry, so one board of 12.5 mm is not lawful."""
    light, heavy = (options_of(brick_wall(loads=(load(mass),))) for mass in (20.0, 30.0))

    assert ("board-A-12.5",) in packets(light)
    assert all(sum(PRACTICE.boards[n].thickness_mm for n in packet) >= 18 for packet in packets(heavy))


def test_thin_boards_never_stand_alone() -> None:
    names = packets(options_of(brick_wall()))

    assert ("board-A-9.5",) not in names
    assert ("board-A-9.5", "board-A-12.5") in names


def test_where_sound_is_asked_for_free_studs_are_deep() -> None:
    options = options_of(brick_wall(targets=Targets(sound_gain_db=10)))
    free = [system for system in options.systems if system.way == Way.STUD_AND_TRACK]

    assert min(system.profile.depth_mm for system in free) == PRACTICE.rules.free_standing_sound_depth_min_mm


def test_studs_are_doubled_only_where_one_is_too_low() -> None:
    low, high = (options_of(brick_wall(outline=((0, 0), (4200, 0), (4200, h), (0, h)))) for h in (2500, 3200))

    assert {system.build for system in low.systems} == {MemberBuild.SINGLE}
    assert {s.profile.id for s in high.systems if s.build != MemberBuild.SINGLE} == {"CW-50"}


def test_brackets_reach_every_hollow() -> None:
    """With a hollow 150 deep the frame may not stand so far off that no bracket of 200 reaches it."""
    deep = OffsetGrid(xs_mm=(0, 4200), ys_mm=(0, 2600), offsets_mm=((0, -150), (0, 0)))
    options = options_of(brick_wall(offsets=deep))
    bracketed = options.back_mm[[options.systems[k].way == Way.BRACKETED for k in options.system]]

    assert bracketed.max() <= 50


def test_what_the_job_fixes_is_kept() -> None:
    wish = Wish(way=Way.BRACKETED, boards=("board-D-12.5",), insulation=("wool-50",), membrane="", gap_mm=40)
    options = options_of(brick_wall(), wish)

    for number in range(len(options)):
        lining = options.lining(number)
        assert (lining.way, lining.boards, lining.membrane) == (Way.BRACKETED, ("board-D-12.5",), "")
        assert ("wool-50" in [layer.item for layer in lining.insulation], lining.gap_mm) == (True, 40)


def test_more_layers_are_there_for_the_asking() -> None:
    options = options_of(brick_wall(), practice=small_practice(), extent=Extent(board_layers=3))

    assert {len(packet) for packet in packets(options)} == {1, 2, 3}


def test_a_wish_that_nothing_can_meet_is_refused() -> None:
    with pytest.raises(InputError, match="at least one lawful lining"):
        options_of(brick_wall(wet_room=True), Wish(boards=("board-A-12.5",)))


def test_an_article_without_a_price_is_left_out_with_a_finding() -> None:
    """Never guessed: no lining has it, and the finding names it."""
    prices = replace(
        PRICES, prices={k: v for k, v in PRICES.prices.items() if k != ("boards", "board-D-12.5")}
    )
    catalogue = buyable(setting().practice, prices)

    assert set(catalogue.boards) == {"board-A-12.5"}
    (finding,) = catalogue.findings
    assert finding.code == "C101"
    assert "board-D-12.5: price not known" in finding.text


def test_a_stud_goes_with_its_track() -> None:
    prices = replace(PRICES, prices={k: v for k, v in PRICES.prices.items() if k != ("profiles", "UW-50")})
    catalogue = buyable(setting().practice, prices)

    assert set(catalogue.members) == {"CW-75", "CD-60-27"}
    assert [finding.text.split(";")[0] for finding in catalogue.findings] == [
        "profiles, UW-50: price not known",
        "profiles, CW-50: its track UW-50 not known",
    ]


def test_a_figure_that_is_no_number_is_missing_too() -> None:
    practice = small_practice()
    board = replace(practice.boards["board-A-12.5"], conductivity_w_mk=float("nan"))
    catalogue = buyable(replace(practice, boards=practice.boards | {board.id: board}), PRICES)

    assert set(catalogue.boards) == {"board-D-12.5"}
    assert "conductivity_w_mk" in catalogue.findings[0].text
