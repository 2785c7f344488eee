"""Verdicts on sound: made-up spectra, so that every figure can be redone by hand."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from innerleaf.design.sound.flanks import Surroundings
from innerleaf.design.sound.verdicts import GAIN, REDUCTION, Predicted, Rooms, judge_sound
from innerleaf.physics.sound.annex_d import Estimate, estimate_on_studs
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.flanking import Element, SeparatingWall, joined
from innerleaf.physics.sound.lining_effect import effect_of_lining
from innerleaf.physics.sound.rating_record import REFERENCE_ELEMENTS
from innerleaf.survey.wall import Targets

BARE = np.array(REFERENCE_ELEMENTS["heavy wall"])  # Rw 53.4 in tenths


def estimate(*, rigid: bool = False) -> Estimate:
    return estimate_on_studs(m1=350, m2=17, depth=0.05, rw=53, rigid=rigid, resistivity=6e3)


def predicted(gain: float = 10.0, **at: float) -> Predicted:
    """The same gain in every band, save those named (``hz_100=-3``)."""
    lined = BARE + gain
    for name, value in at.items():
        index = THIRDS.index(int(name.removeprefix("hz_")))
        lined[index] = BARE[index] + value
    return Predicted(bare=tuple(BARE), lined=tuple(lined), reduction_uncertainty=2.0, gain_uncertainty=1.5)


def test_a_gain_that_is_met() -> None:
    sound = judge_sound("W", Targets(sound_gain_db=9), predicted(10.0), estimate())
    (verdict,) = sound.verdicts

    assert (verdict.requirement, verdict.met) == (GAIN, True)
    assert verdict.value == pytest.approx(10.0)
    assert sound.gain == pytest.approx(10.0)
    assert verdict.risk == pytest.approx(NormalDist(10.0, 1.5).cdf(9))
    assert sound.findings == ()
    assert any("annex D: " in line for line in verdict.working)


def test_what_is_missed_is_a_finding() -> None:
    sound = judge_sound("W", Targets(sound_gain_db=12, sound_reduction_db=65), predicted(10.0), estimate())

    assert [verdict.met for verdict in sound.verdicts] == [False, False]
    assert [finding.code for finding in sound.findings] == ["S101", "S102"]
    assert sound.findings[1].text == f"{REDUCTION}: 63.4 dB, 65 wanted"
    assert sound.verdicts[1].risk == pytest.approx(NormalDist(63.4, 2.0).cdf(65))


def test_without_targets_nothing_is_asked() -> None:
    sound = judge_sound("W", Targets(), predicted(), estimate())

    assert (sound.verdicts, sound.findings) == ((), ())
    assert "is not counted" in sound.notes[-1]


def test_a_lining_that_is_worse_around_its_resonance_is_told() -> None:
    """3 dB less at 100 Hz counts; 1.5 dB does not, nor 6 dB at 63 Hz, which Rw leaves out, nor at 2 kHz."""
    worse = judge_sound("W", Targets(), predicted(hz_100=-3.0), estimate())
    within = judge_sound("W", Targets(), predicted(hz_100=-1.5, hz_63=-6.0, hz_2000=-6.0), estimate())

    assert 50 < estimate().f0 < 63
    assert [finding.code for finding in worse.findings] == ["S103"]
    assert "3.0 dB less than the old wall alone at 100 Hz" in worse.findings[0].text
    assert within.findings == ()


def test_where_no_sound_is_asked_for_and_no_room_is_beyond_it_is_a_note() -> None:
    outside = judge_sound("W", Targets(), predicted(hz_100=-3.0), estimate(), beyond=False)
    asked = judge_sound("W", Targets(sound_gain_db=3), predicted(hz_100=-3.0), estimate(), beyond=False)

    assert outside.findings == ()
    assert "3.0 dB less than the old wall alone at 100 Hz" in outside.notes[-1]
    assert "S103" in [finding.code for finding in asked.findings]


def test_a_gain_that_is_not_promised_counts_as_none() -> None:
    """A loss stays a loss."""
    fixed = replace(predicted(10.0), no_gain=("the frame is fixed to the wall",))
    worse = replace(predicted(-2.0), no_gain=("the frame is fixed to the wall",))
    sound = judge_sound("W", Targets(sound_gain_db=9, sound_reduction_db=60), fixed, estimate(rigid=True))

    assert [verdict.value for verdict in sound.verdicts] == pytest.approx([0.0, 53.4])
    assert "no gain is promised: the frame is fixed to the wall" in sound.verdicts[0].working
    assert judge_sound("W", Targets(), worse, estimate(rigid=True)).gain == pytest.approx(-2.0)


def test_a_fixed_frame_is_marked_beside_the_prediction() -> None:
    sound = judge_sound("W", Targets(sound_gain_db=5), predicted(), estimate(rigid=True))

    assert any(
        line.startswith("annex D does not hold here: the frame is fixed")
        for line in sound.verdicts[0].working
    )
    assert sound.notes[0].startswith("the estimate of ISO 12354-1 annex D does not hold")


def test_flanks_that_hold_the_gain_back_are_told() -> None:
    floor = Element(name="floor", r=(50.0,), area=18.0)
    wall = SeparatingWall(name="wall", r=(53.4,), area=11.0)
    edge = joined("rigid T", wall_mass=350, flank_mass=350, length=4.0, source=floor)
    effect = effect_of_lining(wall, [edge], improvement=(10.0,), side="receiving")
    around = Surroundings(flanks=(), junctions=(edge,), area=11.0, volume=None, working=(), missing=())
    rooms = Rooms(effect=effect, single=effect, flanks=around, method="by single numbers", working=())
    sound = judge_sound("W", Targets(sound_gain_db=9), predicted(10.0), estimate(), rooms)

    assert sound.verdicts[0].met
    assert [finding.code for finding in sound.findings] == ["S104"]
    assert "held by floor (Ff)" in sound.findings[0].text
    assert sound.notes[-2:] == (effect.sentences()[-1], "by single numbers")
