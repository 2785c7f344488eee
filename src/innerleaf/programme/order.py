"""The order of the work in a room: which step comes before which, and what a word of the job stands for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from innerleaf.programme import steps
from innerleaf.programme.model import OURS, After, Operation

_FIRST_LAYER, _TAPE, _SKIM = 12, 60, 70
_RANKS: Final = {
    steps.MARK_OUT: 0,
    steps.BRING_FRAME: 1,
    steps.TRACKS: 2,
    steps.BRACKETS: 3,
    steps.FRAME: 4,
    steps.INSULATION: 6,
    steps.VAPOUR: 7,
    steps.BRING_BOARDS: 8,
    "first board layer": _FIRST_LAYER,
    "last board layer": _TAPE - 1,
    steps.TAPE: _TAPE,
    steps.SKIM: _SKIM,
    "last coat": _SKIM,
    steps.SANDING: 80,
    steps.CLEAR: 85,
    steps.PRIME: 90,
}


def rank(step: str) -> int:
    """Where a step (or a word of the job file for one) stands in the order of the work.

    >>> [rank(step) for step in ("frame", "board layer 1", "fill joints of layer 1", "board layer 2")]
    [4, 12, 13, 14]
    """
    if step in _RANKS:
        return _RANKS[step]
    number = int(step.rpartition(" ")[2])
    if step.startswith("board layer"):
        return _FIRST_LAYER - 2 + 2 * number
    if step.startswith("fill "):
        return _FIRST_LAYER - 1 + 2 * number
    return _TAPE + number


class Room:
    """The operations of one room by place: those of each wall in order, those of the room in order."""

    def __init__(self, own: Sequence[Operation]) -> None:
        ours = [one for one in own if one.kind == OURS or one.step == steps.PRIME]
        self.of_room = sorted((one for one in ours if not one.wall), key=lambda one: rank(one.step))
        walls = dict.fromkeys(one.wall for one in ours if one.wall)
        self.by_wall = {
            wall: sorted((one for one in ours if one.wall == wall), key=lambda one: rank(one.step))
            for wall in walls
        }

    def before_walls(self) -> list[Operation]:
        """Of the room: what the frames wait for."""
        return [one for one in self.of_room if rank(one.step) <= rank(steps.BRING_FRAME)]

    def finishing(self) -> list[Operation]:
        """Of the room: everything from the tape on."""
        return [one for one in self.of_room if rank(one.step) >= _TAPE]

    def chains(self) -> Iterator[After]:
        """What waits for what by the order of the work, coats drying in between."""
        boards = [one for one in self.of_room if one.step == steps.BRING_BOARDS]
        finishing = self.finishing()
        for chain in self.by_wall.values():
            for first in self.before_walls():
                yield After(before=first.id, after=chain[0].id)
            yield from _in_turn(chain)
            for bringing in boards:
                framed = [one for one in chain if rank(one.step) <= rank(steps.FRAME)]
                boarded = [one for one in chain if rank(one.step) >= _FIRST_LAYER]
                for one in framed[-1:]:
                    yield After(before=one.id, after=bringing.id)
                for one in boarded[:1]:
                    yield After(before=bringing.id, after=one.id)
            for one in finishing[:1]:
                yield After(before=chain[-1].id, after=one.id, coat=steps.coat_kind(chain[-1].step))
        yield from _in_turn(finishing)


def _in_turn(chain: Sequence[Operation]) -> Iterator[After]:
    for before, after in zip(chain, chain[1:], strict=False):
        yield After(before=before.id, after=after.id, coat=steps.coat_kind(before.step))


def after_of(room: Room, word: str) -> list[Operation]:
    """What has to be done where something comes after a step: the last of each wall, or of the room."""
    last = rank(word)
    found = []
    for chain in room.by_wall.values():
        found += [one for one in chain if rank(one.step) <= last][-1:]
    if last < rank(steps.TRACKS) or last >= _TAPE or not found:
        done = [one for one in room.of_room if rank(one.step) <= last]
        found = done[-1:] or found
    return found


def before_of(room: Room, word: str) -> list[Operation]:
    """What waits where something comes before a step: the first of each wall, or of the room."""
    first = rank(word)
    found = []
    if rank(steps.TRACKS) <= first < _TAPE:
        for chain in room.by_wall.values():
            at = rank(chain[-1].step) if word == "last board layer" else first
            found += [one for one in chain if rank(one.step) >= at][:1]
    elif first < rank(steps.TRACKS):
        found = list(room.before_walls())
    else:
        coats = [
            one for one in room.finishing() if steps.coat_kind(one.step) in (steps.TAPE, "coat", steps.SKIM)
        ]
        last = rank(coats[-1].step) if word == "last coat" and coats else first
        found = [one for one in room.finishing() if rank(one.step) >= last][:1]
    return found
