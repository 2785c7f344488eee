"""Sound and frame of one wall as flat values for plan.json. [dB, Hz, m, N]"""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.design.frame.strips import Outcome
from innerleaf.design.frame.wall import Frame
from innerleaf.design.sound.verdicts import Sound
from innerleaf.physics.sound.bands import THIRDS
from innerleaf.physics.sound.rating_record import Rating


@dataclass(frozen=True, slots=True)
class RatingRecord:
    """A spectrum rated: Rw whole and in tenths, adaptation terms, STC."""

    rw: int
    rw_tenths: float
    c: int
    ctr: int
    c50_5000: int
    ctr50_5000: int
    stc: int | None
    oitc: int | None


@dataclass(frozen=True, slots=True)
class AnnexRecord:
    """The estimate of ISO 12354-1 annex D beside the prediction, and why it does not hold, if so."""

    f0_hz: float
    delta_rw: float
    delta_rw_exact: float
    gain_to_promise: float
    does_not_hold: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PathRecord:
    """One way of the sound from room to room, its R before and after, and its share of the energy [%].

    ``r_before``, ``r_after`` by band where rooms are known so; else none.
    """

    route: str
    along: str
    r_before: tuple[float, ...]
    r_after: tuple[float, ...]
    rw_before: float
    share_before: float
    rw_after: float
    share_after: float


@dataclass(frozen=True, slots=True)
class RoomsRecord:
    """What arrives in the next room, R'w in tenths; ``rw_at_best`` if the lining were perfect.

    ``method``: by third-octave band, with R' in ``bands_hz``, or why by single numbers; those stand beside.
    """

    method: str
    bands_hz: tuple[int, ...]
    r_before: tuple[float, ...]
    r_after: tuple[float, ...]
    rw_single_before: float
    rw_single_after: float
    area_m2: float
    volume_m3: float | None
    rw_before: float
    rw_after: float
    rw_at_best: float
    dntw_before: float | None
    dntw_after: float | None
    paths: tuple[PathRecord, ...]
    working: tuple[str, ...]
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SoundRecord:
    """The sound insulation of a wall before and after lining, by third-octave band."""

    bands_hz: tuple[int, ...]
    r_before: tuple[float, ...]
    r_after: tuple[float, ...]
    before: RatingRecord
    after: RatingRecord
    gain: float
    gain_uncertainty: float
    reduction_uncertainty: float
    no_gain: tuple[str, ...]
    working: tuple[str, ...]
    annex_d: AnnexRecord
    rooms: RoomsRecord | None


@dataclass(frozen=True, slots=True)
class MemberRecord:
    """One member under one load case, without load factor; places from its foot."""

    member: str
    case: str
    load_factor: float
    length_m: float
    supports_m: tuple[float, ...]
    deflection_mm: float
    deflection_at_m: float
    span_m: float
    moment_nm: float
    moment_at_m: float
    reactions_n: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class FrameRecord:
    """The frame of a wall: load cases, finish, what every member does; verdicts stand with the others."""

    cases: tuple[str, ...]
    finish: str
    members: tuple[MemberRecord, ...]


def record_sound(sound: Sound) -> SoundRecord:
    """The figures of a wall's sound insulation."""
    predicted, estimate = sound.predicted, sound.estimate
    return SoundRecord(
        THIRDS,
        predicted.bare,
        predicted.lined,
        _rating(sound.before),
        _rating(sound.after),
        sound.gain,
        predicted.gain_uncertainty,
        predicted.reduction_uncertainty,
        predicted.no_gain,
        predicted.working,
        AnnexRecord(
            estimate.f0,
            estimate.delta_rw,
            estimate.delta_rw_exact,
            estimate.gain_to_promise,
            estimate.does_not_hold,
        ),
        _rooms(sound),
    )


def _rating(rating: Rating) -> RatingRecord:
    return RatingRecord(
        rating.rw,
        rating.rw_fine,
        rating.c,
        rating.ctr,
        rating.terms["C50-5000"],
        rating.terms["Ctr50-5000"],
        rating.stc,
        rating.oitc,
    )


def _rooms(sound: Sound) -> RoomsRecord | None:
    rooms = sound.rooms
    if rooms is None:
        return None
    first, then = rooms.effect.before, rooms.effect.after
    before, after = rooms.standardized() or (None, None)
    return RoomsRecord(
        rooms.method,
        first.bands,
        first.r if rooms.by_band else (),
        then.r if rooms.by_band else (),
        rooms.single.before.rw,
        rooms.single.after.rw,
        rooms.flanks.area,
        rooms.flanks.volume,
        first.rw,
        then.rw,
        first.at_best(rooms.effect.side),
        before,
        after,
        tuple(
            PathRecord(
                was.route,
                was.along,
                was.r if rooms.by_band else (),
                now.r if rooms.by_band else (),
                first.rating_of(was),
                was.share,
                then.rating_of(now),
                now.share,
            )
            for was, now in zip(first.paths, then.paths, strict=True)
        ),
        rooms.working,
        rooms.effect.sentences(),
    )


def record_frame(frame: Frame) -> FrameRecord:
    """The figures of a wall's frame."""
    return FrameRecord(frame.cases, frame.finish, tuple(map(_member, frame.workings)))


def _member(outcome: Outcome) -> MemberRecord:
    strip = outcome.strip
    return MemberRecord(
        strip.member.mark,
        strip.case,
        strip.load_factor,
        strip.length,
        tuple(at for at, _ in strip.supports),
        1000 * outcome.deflection,
        outcome.at,
        outcome.span,
        outcome.moment,
        outcome.moment_at,
        outcome.reactions,
    )
