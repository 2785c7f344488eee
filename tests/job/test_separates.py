"""What surrounds a wall between two rooms: filled in field by field, refused where it cannot be."""

from __future__ import annotations

from typing import get_args

import pytest
from tests.job.two_rooms import HEAD, faults, one_wall, read

from innerleaf.job.schema_sound import JunctionWord
from innerleaf.physics.sound.junctions import Kind
from innerleaf.practice.load import load_practice
from innerleaf.survey.build import survey
from innerleaf.survey.separates import Separates

PRACTICE = load_practice()
FLOOR = "{mass: 400, junction: rigid cross, area: 18, law: mineral}"
BASE = "type: outer\nlength: 4000\nother_side: neighbour\n"


def job(floor: str = FLOOR, *, base: str = BASE, head: str = HEAD) -> str:
    return one_wall(f"{base}separates: {{flanks: {{floor: {floor}}}}}", head=head)


def made(text: str) -> Separates:
    (wall,) = survey(read(text), PRACTICE)
    assert wall.separates
    return wall.separates


def test_the_words_for_junctions_are_those_that_are_reckoned_with() -> None:
    assert get_args(JunctionWord) == get_args(Kind)


def test_sizes_are_those_of_the_wall_where_none_are_said() -> None:
    separates = made(job())

    assert separates.area_m2 == pytest.approx(4.0 * 2.6)
    assert separates.volume_m3 is None
    assert [(flank.side, flank.length_mm) for flank in separates.flanks] == [("floor", 4000)]
    side = made(job().replace("floor:", "left:"))
    assert side.flanks[0].length_mm == 2600


def test_what_the_type_says_of_a_flank_holds_but_for_what_the_wall_says() -> None:
    """Flanks are filled in field by field, like all groups."""
    of_type = (
        "targets: {u_value: 0.4}, separates: {volume: 50, flanks: {floor: {junction: rigid T, area: 20}}}"
    )
    head = HEAD.replace("targets: {u_value: 0.4}", of_type)
    separates = made(job("{mass: 400, area: 18, rw: 55}", head=head))
    (floor,) = separates.flanks

    assert (separates.volume_m3, floor.junction, floor.area_m2, floor.rw_db) == (50, "rigid T", 18, 55)


def test_a_flank_may_weigh_what_its_construction_does() -> None:
    """365 mm of brick at 1800 and 15 mm of plaster at 1300 kg/m³."""
    floor = made(job("{construction: brick, junction: rigid T, area: 18, rw: 55}")).flanks[0]

    assert floor.mass_kg_m2 == pytest.approx(0.365 * 1800 + 0.015 * 1300)


@pytest.mark.parametrize(
    ("floor", "said"),
    [
        ("{junction: rigid T, area: 18, rw: 55}", "floor.mass: given nothing, accepted: its mass in kg/m²"),
        ("{mass: 400, area: 18, rw: 55}", "floor.junction: given nothing"),
        ("{mass: 400, junction: rigid T, rw: 55}", "floor.area: given nothing"),
        (
            "{mass: 400, junction: rigid T, area: 18}",
            "floor.rw: given nothing, accepted: its sound reduction",
        ),
        ("{mass: 400, junction: rigid T, area: 18, law: minerals}", "(did you mean mineral?)"),
        (
            "{mass: 900, junction: rigid T, area: 18, law: mineral}",
            "given 'mineral' for 900 kg/m², accepted: a law that holds there (none: give rw); it holds from",
        ),
        ("{construction: stone, junction: rigid T, area: 18, rw: 55}", "names under constructions: brick"),
        ("{mass: 400, junction: welded, area: 18, rw: 55}", "floor.junction: given 'welded'"),
        (
            "{mass: 1200, junction: double-leaf wall, area: 18, rw: 55}",
            "a flank at least three times as heavy as the wall",
        ),
    ],
)
def test_a_flank_that_cannot_be_is_refused(floor: str, said: str) -> None:
    found = faults(job(floor))

    assert len(found) == 1, found
    assert said in found[0]
    assert "wall W-01 (bedroom 2), field separates.flanks.floor." in found[0]


def test_beyond_a_wall_to_the_outside_there_is_no_room() -> None:
    (found,) = faults(job(base="type: outer\nlength: 4000\n"))

    assert "given a wall to outside, accepted: other_side neighbour, stair, heated" in found


def test_use_and_tests_on_site_come_through() -> None:
    head = HEAD.replace("height: 2600}", "height: 2600, crowd: true}", 1)
    (wall,) = survey(read(one_wall("type: outer\nlength: 4000\nanchor_pull: 1350", head=head)), PRACTICE)

    assert (wall.crowd, wall.anchor_pull_n, wall.separates) == (True, 1350.0, None)
