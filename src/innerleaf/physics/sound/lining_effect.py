"""What linings on the separating wall change between two rooms, and what they never can."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isinf

from innerleaf.physics.sound.flanking import (
    Junction,
    RoomToRoom,
    SeparatingWall,
    Side,
    room_to_room,
)

_WORDS: dict[Side, str] = {
    "source": "the source side",
    "receiving": "the receiving side",
    "both": "both sides",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LiningEffect:
    """Two rooms before and after the separating wall is lined on a side, or on both."""

    side: Side
    before: RoomToRoom
    after: RoomToRoom

    @property
    def gain(self) -> float:
        """What R'w rises by. [dB]"""
        return self.after.rw - self.before.rw

    @property
    def most(self) -> float:
        """What a perfect lining there would raise R'w by, from the wall as it was before. [dB]"""
        return self.before.at_best(self.side) - self.before.rw

    def sentences(self) -> tuple[str, ...]:
        """The answer in words: before, after, the most that lining the wall alone can bring."""
        first, then = self.before.limiting, self.after.limiting
        where = _WORDS[self.side]
        said = (
            f"Before: R'w {self.before.rw:.1f} dB; {first} carries {first.share:.0f} % of the sound.",
            f"Lined on {where}: R'w {self.after.rw:.1f} dB ({self.gain:+.1f} dB); "
            f"{then} carries {then.share:.0f} %.",
        )
        if isinf(self.most):
            return (*said, "No path leads round the wall.")
        round_it = max(self.before.passing_by(self.side), key=lambda path: path.share)
        best = self.before.at_best(self.side)
        return (
            *said,
            f"Even a perfect lining there ends at R'w {best:.1f} dB ({self.most:+.1f} dB), "
            f"held by {round_it}.",
        )


def effect_of_lining(
    wall: SeparatingWall,
    junctions: Sequence[Junction],
    *,
    improvement: tuple[float, ...],
    side: Side,
    bands: Sequence[int] | None = None,
) -> LiningEffect:
    """Line the separating wall and hold both states against each other.

    Parameters
    ----------
    wall, junctions, bands
        As for `room_to_room`; what is lined already stays, except on the side that is lined now.
    improvement : tuple of float
        By the new lining: delta Rw, or delta R by band. [dB]
    side : "source", "receiving" or "both"

    Examples
    --------
    >>> from innerleaf.physics.sound.flanking import Element
    >>> floor = Element(name="floor", r=(49.0,), area=20.0)
    >>> wall = SeparatingWall(name="wall", r=(52.0,), area=11.5)
    >>> edge = Junction(
    ...     name="floor", length=4.5, source=floor, receiving=floor, k_ff=(5.7,), k_fd=(5.7,), k_df=(5.7,)
    ... )
    >>> effect = effect_of_lining(wall, [edge], improvement=(14.0,), side="receiving")
    >>> for sentence in effect.sentences():
    ...     print(sentence)
    Before: R'w 50.2 dB; wall (Dd) carries 66 % of the sound.
    Lined on the receiving side: R'w 55.9 dB (+5.7 dB); floor (Ff) carries 52 %.
    Even a perfect lining there ends at R'w 56.5 dB (+6.2 dB), held by floor (Ff).
    """
    lined = wall
    if side in ("source", "both"):
        lined = replace(lined, on_source_side=improvement)
    if side in ("receiving", "both"):
        lined = replace(lined, on_receiving_side=improvement)
    return LiningEffect(
        side=side,
        before=room_to_room(wall, junctions, bands),
        after=room_to_room(lined, junctions, bands),
    )
