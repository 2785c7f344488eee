"""Sound of walls as set out: what any wall keeps, and what cannot be judged."""

from __future__ import annotations

from dataclasses import replace
from math import log10

import pytest
from tests.layout.plain import PRACTICE, lining, wall

from innerleaf.design.sound.verdicts import Sound
from innerleaf.design.sound.wall import sound_of
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.separates import Flank, Separates
from innerleaf.survey.wall import ExistingLayer, InsulationLayer, InsulationPlace, Lining, Targets, Way

BRICK = (ExistingLayer(material="brick-1800", thickness_mm=240),)
WOOL = (InsulationLayer(item="wool-60", place=InsulationPlace.BETWEEN),)


def heard(
    wanted: Lining | None = None, construction: tuple[ExistingLayer, ...] = BRICK, target: float = 8.0
) -> Sound:
    asked = wall(construction=construction, lining=wanted or lining(), targets=Targets(sound_gain_db=target))
    sound = sound_of(plan_wall(asked, PRACTICE), PRACTICE)
    assert isinstance(sound, Sound)
    return sound


def test_a_free_standing_lining_gains() -> None:
    """Two boards, 95 mm cavity, 50 mm wool before 240 mm brick: 10 dB and more, as measured walls do."""
    sound = heard()

    assert sound.predicted.no_gain == ()
    assert 10 < sound.gain < 25
    assert sound.verdicts[0].met
    assert 0 < sound.verdicts[0].uncertainty < 4


def test_more_board_and_a_deeper_cavity_gain_more() -> None:
    thin, thick = heard(lining(layers=1)), heard(lining(layers=3))
    near, far = heard(lining(gap_mm=10)), heard(lining(gap_mm=100))

    assert thick.gain > thin.gain
    assert far.gain > near.gain


def test_no_gain_is_promised_of_a_frame_on_brackets() -> None:
    sound = heard(lining(Way.BRACKETED))
    (verdict,) = sound.verdicts

    assert sound.gain <= 0
    assert not verdict.met
    assert "S101" in [finding.code for finding in sound.findings]
    assert "no gain is promised: the frame is fixed to the wall" in verdict.working


def test_the_estimate_of_annex_d_stands_beside() -> None:
    sound = heard(lining(insulation=WOOL))

    assert sound.estimate.does_not_hold == ()
    assert sound.estimate.delta_rw == pytest.approx(sound.gain, abs=6)
    assert any("annex D" in line for line in sound.verdicts[0].working)


FLOOR = Flank(
    side="floor",
    mass_kg_m2=350.0,
    junction="rigid T",
    area_m2=18.0,
    length_mm=6000,
    rw_db=50.0,
    law="",
    gain_db=0.0,
    gain_beyond_db=0.0,
)


def rooms(floor: Flank = FLOOR) -> Separates:
    return Separates(area_m2=15.6, volume_m3=45.0, flanks=(floor,))


def test_what_goes_round_the_wall_is_told_where_it_is_known() -> None:
    asked = wall(
        construction=BRICK, targets=Targets(sound_gain_db=8), separates=rooms(), other_side="neighbour"
    )
    sound = sound_of(plan_wall(asked, PRACTICE), PRACTICE)

    assert isinstance(sound, Sound)
    assert sound.effect is not None
    assert sound.effect.gain < sound.gain
    assert any(note.startswith("Even a perfect lining there ends at") for note in sound.notes)
    assert sound.notes[-1].endswith("ceiling, left side wall, right side wall")
    assert sound.rooms
    assert not sound.rooms.by_band
    assert "of no flank does the job say what it is made of" in sound.rooms.method
    before, after = sound.rooms.standardized() or (0.0, 0.0)
    assert before == pytest.approx(sound.effect.before.rw + 10 * log10(0.32 * 45 / 15.6))
    assert after - before == pytest.approx(sound.effect.gain)


def test_a_flank_without_a_measured_value_follows_its_law() -> None:
    """30.9 lg 350 - 22.2 = 56.4: the working says so, and a lining on the flank helps."""
    by_law = replace(FLOOR, rw_db=None, law="mineral")
    asked = wall(construction=BRICK, separates=rooms(by_law))
    lined = wall(construction=BRICK, separates=rooms(replace(by_law, gain_db=8.0)))
    plain, better = (sound_of(plan_wall(each, PRACTICE), PRACTICE) for each in (asked, lined))

    assert isinstance(plain, Sound)
    assert isinstance(better, Sound)
    assert plain.rooms
    assert "Rw 56.4 dB (by the law mineral" in plain.rooms.working[0]
    assert plain.effect
    assert better.effect
    assert better.effect.after.rw > plain.effect.after.rw


def test_the_other_end_of_the_wall_makes_no_difference() -> None:
    """A mirrored outline is the same wall to sound."""
    asked = wall(construction=BRICK, targets=Targets(sound_gain_db=8))
    mirrored = replace(asked, meets=asked.meets[:1] + asked.meets[:0:-1])
    one, other = (sound_of(plan_wall(each, PRACTICE), PRACTICE) for each in (asked, mirrored))

    assert isinstance(one, Sound)
    assert isinstance(other, Sound)
    assert one.verdicts == other.verdicts


def test_two_leaves_with_wool_between_them_are_judged_with_less_certainty() -> None:
    """Two half bricks 60 mm apart: their ties are not known, so stiff ones are taken."""
    leaf = ExistingLayer(material="brick-1800", thickness_mm=115)
    split = (leaf, ExistingLayer(material="mineral-wool", thickness_mm=60), leaf)
    two, one = heard(construction=split), heard(construction=(leaf, leaf))

    assert two.before.rw < one.before.rw
    assert two.predicted.reduction_uncertainty > 1.2 * one.predicted.reduction_uncertainty
    assert "two leaves, 207 and 207 kg/m², 60 mm apart, stiff ties" in two.predicted.working[0]


@pytest.mark.parametrize(
    ("construction", "reason"),
    [
        ((), "construction"),
        (
            (*BRICK, ExistingLayer(material="expanded-polystyrene", thickness_mm=50), *BRICK),
            "construction, soft layers: given 'expanded-polystyrene'",
        ),
        ((ExistingLayer(material="mineral-wool", thickness_mm=50), *BRICK), "two leaves with mineral-wool"),
        ((ExistingLayer(material="timber-500", thickness_mm=100),), "material"),
    ],
)
def test_walls_that_cannot_be_judged_say_why(construction: tuple[ExistingLayer, ...], reason: str) -> None:
    answer = sound_of(plan_wall(wall(construction=construction), PRACTICE), PRACTICE)

    assert isinstance(answer, str)
    assert reason in answer
