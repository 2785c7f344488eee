"""Verdicts on sound: what the lining gains, what the lined wall reduces, where it makes things worse.

Beside the prediction from the layers stands the estimate of ISO 12354-1 annex D, marked where it does not
hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import erf, sqrt
from typing import Final

import numpy as np

from innerleaf.design.sound.flanks import Surroundings
from innerleaf.findings import Finding
from innerleaf.physics.sound.annex_d import Estimate
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.lining_effect import LiningEffect
from innerleaf.physics.sound.rating_record import Rating, rated
from innerleaf.physics.sound.ratings import fine_weighted_reduction_index
from innerleaf.survey.wall import Targets
from innerleaf.verdicts import Verdict

GAIN: Final = "improvement of the sound reduction by the lining"
REDUCTION: Final = "sound reduction of the lined wall"
CODES: Final = {GAIN: "S101", REDUCTION: "S102"}
_REMEDIES: Final = {
    "S101": "take free-standing studs, a deeper cavity filled with wool, a second layer of board",
    "S102": "take heavier boards before a deeper filled cavity; line the other side too",
    "S103": "take a deeper cavity or heavier boards, so that the resonance falls; fill the cavity",
    "S104": "line the flank that is named, or interrupt it; more lining on this wall brings no more",
}
# Loss in a band that counts as worse: beyond the scatter of 1.8 dB between laboratories, ISO 12999-1. [dB]
_WORSE: Final = 2.0
_RATED_FROM: Final = 100  # the least band that Rw looks at [Hz]


@dataclass(frozen=True, slots=True, kw_only=True)
class Predicted:
    """Sound reduction index in the thirds of 50-5000 Hz before and after, and standard uncertainties. [dB]

    ``no_gain`` are reasons why no gain is promised, whatever the spectra say; a loss stays.
    """

    bare: tuple[float, ...]
    lined: tuple[float, ...]
    reduction_uncertainty: float
    gain_uncertainty: float
    no_gain: tuple[str, ...] = ()
    working: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Rooms:
    """What arrives in the next room: ``effect`` counts, ``single`` is the same by single numbers.

    ``method`` says how ``effect`` was found: by band, or why by single numbers; it is ``single`` then.
    """

    effect: LiningEffect
    single: LiningEffect
    flanks: Surroundings
    method: str
    working: tuple[str, ...]

    @property
    def by_band(self) -> bool:
        """Whether by third-octave band."""
        return bool(self.effect.before.bands)

    def standardized(self) -> tuple[float, float] | None:
        """DnT,w in the lined room before and after, where its volume is known. [dB]"""
        volume = self.flanks.volume
        if volume is None:
            return None
        return self.effect.before.standardized(volume), self.effect.after.standardized(volume)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sound:
    """What a lined wall does for sound: ratings, verdicts, findings, notes.

    ``rooms`` is what arrives in the next room, where the job says what surrounds the wall.
    """

    wall: str
    predicted: Predicted
    before: Rating
    after: Rating
    estimate: Estimate
    rooms: Rooms | None
    verdicts: tuple[Verdict, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]

    @property
    def gain(self) -> float:
        """What may be promised of Rw after less Rw before, in tenths. [dB]"""
        return promised_gain(self.predicted)

    @property
    def effect(self) -> LiningEffect | None:
        """What arrives in the next room; None where the job does not say what surrounds the wall."""
        return self.rooms.effect if self.rooms else None


def promised_gain(predicted: Predicted) -> float:
    """Rw after less Rw before, in tenths; nothing above 0 where no gain is promised. [dB]"""
    before, after = fine_weighted_reduction_index([predicted.bare, predicted.lined], THIRDS)
    gain = round(float(after - before), 1)
    return min(gain, 0.0) if predicted.no_gain else gain


def judge_sound(
    wall: str,
    targets: Targets,
    predicted: Predicted,
    estimate: Estimate,
    rooms: Rooms | None = None,
    *,
    beyond: bool = True,
) -> Sound:
    """Judge a wall's sound insulation by its targets; ``beyond`` says that there is a room.

    That a lining makes the wall worse somewhere is a finding where sound is asked for or there is a room
    beyond, else a note.
    """
    heard = beyond or targets.sound_gain_db is not None or targets.sound_reduction_db is not None
    worse = tuple(_worse(wall, predicted, estimate))
    before, after = rated(predicted.bare, THIRDS), rated(predicted.lined, THIRDS)
    verdicts = tuple(_verdicts(targets, predicted, before, after, estimate))
    return Sound(
        wall=wall,
        predicted=predicted,
        before=before,
        after=after,
        estimate=estimate,
        rooms=rooms,
        verdicts=verdicts,
        findings=(
            *_missed(wall, verdicts),
            *(worse if heard else ()),
            *_passing_by(wall, targets, rooms),
        ),
        notes=(*_notes(estimate, rooms, beyond=beyond), *(() if heard else map(_told, worse))),
    )


def _verdicts(
    targets: Targets, predicted: Predicted, before: Rating, after: Rating, estimate: Estimate
) -> Iterator[Verdict]:
    gain = promised_gain(predicted)
    ratings = (
        *predicted.working,
        f"old wall Rw {before}, lined Rw {after}; in tenths {after.rw_fine:.1f} − {before.rw_fine:.1f}"
        f" = {after.rw_fine - before.rw_fine:.1f} dB",
        *(f"no gain is promised: {reason}" for reason in predicted.no_gain),
    )
    if targets.sound_gain_db is not None:
        yield _at_least(
            GAIN, gain, targets.sound_gain_db, predicted.gain_uncertainty, (*ratings, *_beside(estimate))
        )
    if targets.sound_reduction_db is not None:
        yield _at_least(
            REDUCTION,
            before.rw_fine + gain,
            targets.sound_reduction_db,
            predicted.reduction_uncertainty,
            (*ratings, "what goes round the wall is left out"),
        )


def _beside(estimate: Estimate) -> Iterator[str]:
    yield f"ISO 12354-1 annex D beside it: {estimate.working[0]}"
    if estimate.does_not_hold:
        yield f"annex D does not hold here: {'; '.join(estimate.does_not_hold)}"
    else:
        yield (
            f"annex D: {estimate.delta_rw:.1f} dB with f0 in its band, {estimate.delta_rw_exact:.1f} dB as it"
            f" is; at least {estimate.gain_to_promise:.1f} dB"
        )


def _at_least(
    requirement: str, value: float, limit: float, uncertainty: float, working: tuple[str, ...]
) -> Verdict:
    """A verdict whose risk takes the uncertainty as the standard deviation of a normal distribution."""
    missed = 0.5 * (1 + erf((limit - value) / (sqrt(2) * uncertainty)))
    return Verdict(
        requirement=requirement,
        value=value,
        limit=limit,
        unit="dB",
        at_most=False,
        working=working,
        source="the job; ISO 717-1:2020, predicted from the layers",
        uncertainty=uncertainty,
        risk=missed,
    )


def _missed(wall: str, verdicts: tuple[Verdict, ...]) -> Iterator[Finding]:
    for verdict in verdicts:
        if not verdict.met:
            code = CODES[verdict.requirement]
            text = f"{verdict.requirement}: {verdict.value:.1f} dB, {verdict.limit:g} wanted"
            yield _finding(code, wall, verdict.requirement, text)


def _worse(wall: str, predicted: Predicted, estimate: Estimate) -> Iterator[Finding]:
    loss, bands = np.subtract(predicted.bare, predicted.lined), np.array(THIRDS)
    around = (bands >= _RATED_FROM) & (bands <= 2 * estimate.f0)
    counted = np.where(around, loss, -np.inf)
    worst = int(np.argmax(counted))
    if counted[worst] > _WORSE:
        text = (
            f"{loss[worst]:.1f} dB less than the old wall alone at {THIRDS[worst]} Hz;"
            f" resonance of the lining at {estimate.f0:.0f} Hz"
        )
        yield _finding("S103", wall, "lining worse around its resonance", text)


def _told(finding: Finding) -> str:
    return f"{finding.rule}: {finding.text}; no sound is asked for here"


def _passing_by(wall: str, targets: Targets, rooms: Rooms | None) -> Iterator[Finding]:
    if rooms is None:
        return
    effect = rooms.effect
    gain, reduction = targets.sound_gain_db, targets.sound_reduction_db
    short = gain is not None and effect.gain < gain
    if short or (reduction is not None and effect.after.rw < reduction):
        yield _finding("S104", wall, "sound that goes round the wall", " ".join(effect.sentences()))


def _finding(code: str, wall: str, rule: str, text: str) -> Finding:
    return Finding(code=code, wall=wall, rule=rule, text=text, remedy=_REMEDIES[code])


def _notes(estimate: Estimate, rooms: Rooms | None, *, beyond: bool) -> Iterator[str]:
    for reason in estimate.does_not_hold:
        yield f"the estimate of ISO 12354-1 annex D does not hold: {reason}"
    if rooms is not None:
        yield from rooms.effect.sentences()
        if rooms.by_band:
            before, after = rooms.single.before.rw, rooms.single.after.rw
            yield f"by single numbers: R'w {before:.1f} dB before, {after:.1f} dB lined"
        else:
            yield rooms.method
        if rooms.flanks.missing:
            sides = ", ".join(rooms.flanks.missing)
            yield f"what goes round by these is not counted, as the job does not say what they are: {sides}"
    elif beyond:
        yield (
            "sound that goes round the wall by floor, ceiling and side walls is not counted: the job does not"
            " say what they are; it often limits what arrives in the next room"
        )
