"""Insulated reveals and flanks that cannot be bought or built are refused, with what would do."""

from __future__ import annotations

import pytest
from tests.job.two_rooms import faults, one_wall, read

from innerleaf.practice.load import load_practice
from innerleaf.survey.build import survey

BASE = "type: outer\nlength: 4000\n"
WINDOW = "openings: [{{type: casement, x: 1000, {fields}}}]"


def wall(fields: str) -> str:
    return one_wall(BASE + WINDOW.format(fields=fields))


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ("reveal_lined: true, reveal_insulation: foam-25", "accepted: one of the insulation"),
        ("reveal_lined: true, reveal_insulation: wool-60", "that carries a board: foam-20, foam-30, foam-40"),
        ("reveal_insulation: foam-20", "a reveal that is lined (reveal_lined: true)"),
        (
            "reveal_lined: true, reveal_insulation: foam-40, frame: 45",
            "given 45 mm of frame, covered by 52.5 mm, accepted: 52.5 mm or more, or thinner insulation in"
            " the reveal (foam-20, foam-30)",
        ),
        ("reveal_lined: true, frame: 10", "given 10 mm of frame, covered by 12.5 mm"),
        (
            "reveal_lined: true, reveal_insulation: foam-40, width: 200",
            "width: given 200, accepted: 205 mm or more",
        ),
    ],
)
def test_a_reveal_that_cannot_be_built_is_refused(fields: str, said: str) -> None:
    found = faults(wall(fields))

    assert len(found) == 1, found
    assert said in found[0]


def test_a_strip_of_wool_is_refused() -> None:
    (found,) = faults(one_wall(BASE + "flank_insulation: wool-60"))

    assert "field flank_insulation: given 'wool-60'" in found


def test_what_is_said_comes_through() -> None:
    """Thicknesses from the catalogue, the width of the strip from the rules, `none` takes away."""
    practice = load_practice()
    fields = (
        wall("reveal_lined: true, reveal_insulation: foam-30, frame: 60") + "    flank_insulation: foam-20\n"
    )
    (made,) = survey(read(fields), practice)

    assert made.openings[0].reveal_insulation_mm == 30
    assert made.openings[0].frame_mm == 60
    assert made.flank
    assert (made.flank.thickness_mm, made.flank.width_mm) == (20, practice.rules.flank_width_mm)
    (bare,) = survey(read(wall("reveal_lined: true, reveal_insulation: none")), practice)
    assert bare.openings[0].reveal_insulation == ""
