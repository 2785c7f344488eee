"""Said once, used by name: types, defaults, changes, and flats that are built many times."""

from __future__ import annotations

from tests.job.two_rooms import HEAD, TWO_ROOMS, faults, one_wall, read, wall

FLATS = (
    HEAD
    + """\
flat_types:
  A:
    rooms:
      - {id: living, name: living room, height: 2500}
      - {id: bath, name: bathroom, height: 2500, wet: true}
    walls:
      - {id: N, room: living, type: outer, length: 4000, openings: [{type: casement, x: 900}]}
      - {id: E, room: bath, type: outer, length: 2200, name: gable side}
flats:
  - {type: A, storey: "1", ids: [101, 102]}
  - type: A
    storey: "2"
    ids: [201]
    changes:
      N: {lining: quiet, openings: []}
"""
)


def test_an_opening_takes_from_its_type_what_it_does_not_say() -> None:
    window = wall(TWO_ROOMS).openings[0]

    assert (window.kind, window.x_mm, window.sill_mm, window.width_mm) == ("window", 1500, 850, 1200)


def test_an_opening_says_it_better_than_its_type() -> None:
    window = wall(
        one_wall("type: outer\nlength: 4200\nopenings: [{type: casement, x: 900, sill: 1 m}]")
    ).openings[0]

    assert (window.sill_mm, window.height_mm) == (1000, 1350)


def test_a_door_stands_on_the_floor_if_nothing_else_is_said() -> None:
    assert wall(TWO_ROOMS, "W-02").openings[0].sill_mm == 0


def test_things_without_an_id_are_counted_by_kind() -> None:
    found = wall(one_wall("type: outer\nlength: 4200\nboxes: [{type: socket, x: 300}, {x: 900, y: 1100}]"))

    assert [box.id for box in found.boxes] == ["box-1", "box-2"]


def test_a_box_is_68_wide_and_71_from_the_next_unless_said() -> None:
    box = wall(TWO_ROOMS).boxes[0]

    assert (box.diameter_mm, box.pitch_mm, box.count, box.y_mm) == (68, 71, 2, 300)


def test_a_wall_takes_its_height_and_its_wetness_from_its_room() -> None:
    bath = wall(TWO_ROOMS, "W-02")

    assert (max(y for _, y in bath.outline), bath.wet) == (2600, True)


def test_the_nearest_word_counts_wall_before_type_before_defaults() -> None:
    head = HEAD.replace(
        "defaults: {", "defaults: {other_side: stair, head_moves: true, construction: brick, "
    )
    head = head.replace("outer: {", "outer: {other_side: ground, ")

    by_defaults = wall(one_wall("lining: warm\nlength: 3000", head=head))
    by_type = wall(one_wall("type: outer\nlength: 3000", head=head))
    by_wall = wall(one_wall("type: outer\nlength: 3000\nother_side: heated", head=head))

    assert [w.other_side for w in (by_defaults, by_type, by_wall)] == ["stair", "ground", "heated"]
    assert by_type.head_moves


def test_groups_are_filled_in_field_by_field() -> None:
    found = wall(one_wall("type: outer\nlength: 3000\nmeets: {left: open end}\ntargets: {frsi: 0.7}"))

    assert found.meets == ("screed", "masonry", "concrete slab", "open end")
    assert (found.targets.u_value, found.targets.frsi) == (0.4, 0.7)


def test_lists_count_as_a_whole() -> None:
    head = HEAD.replace("outer: {", "outer: {boxes: [{type: socket, x: 300}], ")

    assert wall(one_wall("type: outer\nlength: 3000\nboxes: []", head=head)).boxes == ()


def test_an_outline_on_the_wall_beats_a_length_of_its_type() -> None:
    head = HEAD.replace("outer: {", "outer: {length: 3000, height: 2400, ")
    gable = "type: outer\noutline: [[0, 0], [4000, 0], [2000, 2500]]"

    assert wall(one_wall(gable, head=head)).outline == ((0, 0), (4000, 0), (2000, 2500))


def test_a_length_on_the_wall_beats_an_outline_of_its_type() -> None:
    head = HEAD.replace("outer: {", "outer: {outline: [[0, 0], [4000, 0], [2000, 2500]], ")

    assert wall(one_wall("type: outer\nlength: 3000", head=head)).outline[2] == (3000, 2600)


def test_a_field_of_the_lining_can_be_changed_on_one_wall() -> None:
    lining = wall(one_wall("type: outer\nlength: 3000\nlining_changes: {tiled: true, spacing: 400}")).lining

    assert lining is not None
    assert (lining.profile, lining.tiled, lining.spacing_mm) == ("CD-60-27", True, 400)
    assert lining.id == "warm (spacing 400, tiled)"


def test_changes_to_one_lining_are_not_carried_over_to_another() -> None:
    head = HEAD.replace("outer: {construction", "outer: {lining_changes: {gap: 80}, construction")

    same = wall(one_wall("type: outer\nlength: 3000", head=head)).lining
    other = wall(one_wall("type: outer\nlength: 3000\nlining: quiet", head=head)).lining

    assert same is not None
    assert other is not None
    assert (same.gap_mm, other.gap_mm) == (80, 0)


def test_a_lining_may_be_left_to_be_chosen() -> None:
    assert wall(one_wall("type: outer\nlength: 3000\nlining: choose")).lining is None


def test_like_flats_are_typed_once() -> None:
    job = read(FLATS)

    assert [w.id for w in job.walls] == ["101-N", "101-E", "102-N", "102-E", "201-N", "201-E"]
    assert [(room.id, room.storey) for room in job.rooms[2:]] == [
        ("101-living", "1"),
        ("101-bath", "1"),
        ("102-living", "1"),
        ("102-bath", "1"),
        ("201-living", "2"),
        ("201-bath", "2"),
    ]
    assert job.walls[0].room.name == "living room, 101"
    assert [w.name for w in job.walls[:2]] == ["101-N", "gable side"]


def test_some_flats_may_differ() -> None:
    plain, changed = wall(FLATS, "101-N"), wall(FLATS, "201-N")

    assert (len(plain.openings), len(changed.openings)) == (1, 0)
    assert plain.lining is not None
    assert changed.lining is not None
    assert (plain.lining.id, changed.lining.id) == ("warm", "quiet")


def test_two_hundred_like_flats_are_a_few_lines() -> None:
    ids = ", ".join(str(n) for n in range(1000, 1200))

    job = read(FLATS.replace("ids: [101, 102]", f"ids: [{ids}]"))

    assert len(job.walls) == 402
    assert len({w.id for w in job.walls}) == 402


def test_a_fault_in_a_flat_type_is_said_once() -> None:
    assert faults(FLATS.replace("x: 900", "x: 3900")) == [
        "flat type A, wall N (living room), field openings[0]: given 3900 to 5100 mm along, 850 to 2200 mm"
        " up, accepted: a place on the wall (0 to 4000 mm along, 0 to 2500 mm up)."
    ]


def test_a_fault_in_a_flat_type_that_is_built_nowhere_is_said_too() -> None:
    text = FLATS[: FLATS.index("flats:")].replace("x: 900", "x: 3900")

    assert len(faults(text)) == 1


def test_no_lining_may_be_called_choose() -> None:
    assert faults(TWO_ROOMS.replace("  quiet: {", "  choose: {")) == [
        "lining choose: given 'choose', accepted: a name other than choose, which leaves the lining to be"
        " chosen."
    ]


def test_flats_and_changes_must_be_known_and_ids_used_once() -> None:
    text = FLATS.replace("ids: [201]", "ids: [101]").replace("      N: {lining", "      S: {lining")

    assert faults(text) == [
        "flats 2, field ids[0]: given '101', accepted: an id used once (also in line 27).",
        "flats 2, wall S: given 'S', accepted: one of the walls of flat type A: N, E.",
    ]


def test_a_flat_must_not_take_the_id_of_a_wall_typed_out() -> None:
    text = FLATS + "walls:\n  - {id: 101-N, room: bed2, type: outer, length: 3000}\n"

    assert faults(text) == [
        "flats 1, field ids[0]: given '101-N', accepted: an id used once (also in line 34)."
    ]


def test_bare_numbers_are_good_names() -> None:
    text = (
        TWO_ROOMS.replace("id: W-01", "id: 17").replace("id: bed2", "id: 2").replace("room: bed2", "room: 2")
    )

    assert wall(text, "17").room.id == "2"


def test_a_number_with_a_point_is_a_name_only_in_quotes() -> None:
    """Read as a number, 1.10 and 1.1 are the same."""
    assert wall(TWO_ROOMS.replace("id: W-01", 'id: "1.10"'), "1.10").id == "1.10"
    assert faults(TWO_ROOMS.replace("id: W-01", "id: 1.10")) == [
        "wall 1.1 (bedroom 2), field id: given 1.1, accepted: a number with a point only in"
        " quotes, to be kept as it is written."
    ]
