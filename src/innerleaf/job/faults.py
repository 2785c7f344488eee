"""What is wrong with a job file: each fault with its place, what was given and what is accepted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from innerleaf.reading import Place, Text

_NAMED: Final = {
    "linings": "lining",
    "constructions": "construction",
    "opening_types": "opening type",
    "box_types": "box type",
    "wall_types": "wall type",
    "flat_types": "flat type",
}


class Said(str):
    """Words about what was given, shown without quotes."""

    __slots__ = ()


class StandIn(str):
    """A name in the place of one that cannot be used; it is looked up nowhere."""

    __slots__ = ()


NOTHING: Final = Said("nothing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing to mend. ``wall`` and ``room`` are "" where the fault belongs to neither."""

    file: str
    line: int
    column: int
    wall: str
    room: str
    field: str
    given: str
    accepted: str
    sentence: str  # all of it, for a person: FILE:LINE: wall ..., field ...: given ..., accepted: ...

    def as_dict(self) -> dict[str, str | int]:
        """For machines."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class Subject:
    """What a fault is about: ``words`` name it, ``place`` is where it begins in the file."""

    words: str
    place: Place
    wall: str = ""
    room: str = ""


class Report:
    """Gathers the faults of one text, each once, in the order of its lines."""

    def __init__(self, text: Text) -> None:
        self.text = text
        self.original: Mapping[
            Place, Place
        ] = {}  # where parts were left out: places as they stand in the file
        self._spoilt: set[Place] = set()  # values that cannot be used: nothing that rests on them is said
        self._around: set[Place] = set()  # all that holds such a value
        self._unsure: set[Place] = set()
        self._faults: dict[tuple[int, int, str, str, str], Fault] = {}

    @property
    def faults(self) -> list[Fault]:
        """All faults so far, from the top of the file down."""
        return sorted(self._faults.values(), key=lambda fault: (fault.line, fault.column))

    def syntax(self) -> None:
        """Take over what the reader found."""
        for found in self.text.faults:
            sentence = f"{self.text.name}:{found.line}: {found.sentence}"
            key = (found.line, found.column, "", "", found.sentence)
            self._faults[key] = Fault(
                file=self.text.name,
                line=found.line,
                column=found.column,
                wall="",
                room="",
                field="",
                given="",
                accepted="",
                sentence=sentence,
            )

    def add(
        self,
        place: Place,
        *,
        given: object,
        accepted: str,
        subject: Place | None = None,
        steps: Place = (),
        key: bool = False,
    ) -> None:
        """Note a fault of the value (or the key) at ``place``.

        ``subject`` is the place of the thing it is about, where that is not the thing written there:
        a wall whose window came from a type. ``steps`` then lead from that thing to its field.
        """
        written = self._as_written(place)
        if subject is None:
            about = subject_of(self.text.value, written)
            steps = written[len(about.place) :] + _beyond(place, steps)
        else:
            about = subject_of(self.text.value, self._as_written(subject))
            rest = _beyond(place, steps)
            shared = len(steps) - len(rest)
            steps = written[len(written) - shared :] + rest
        place, field = written, field_words(steps)
        line, column = self.text.position(place, key=key)
        shown = show(given)
        sentence = f"{self.text.name}:{line}: {about.words}"
        sentence += f", field {field}" if field else ""
        sentence += f": given {shown}, accepted: {accepted}."
        self._faults.setdefault(
            (line, column, field, shown, accepted),
            Fault(
                file=self.text.name,
                line=line,
                column=column,
                wall=about.wall,
                room=about.room,
                field=field,
                given=shown,
                accepted=accepted,
                sentence=sentence,
            ),
        )

    def spoil(self, place: Place) -> None:
        """Note that the value written there cannot be used."""
        self._spoilt.add(place)
        self._around.update(place[:length] for length in range(len(place) + 1))
        match place:
            case (*section, int()) | (*section, int(), "id"):
                self._unsure.add(tuple(section))
        self._unsure.add(place)

    def is_spoilt(self, place: Place, *, within: bool = False) -> bool:
        """Was a value given there (or ``within`` it) that could not be used?"""
        if not self._spoilt:
            return False
        return self._as_written(place) in (self._around if within else self._spoilt)

    def is_unsure(self, section: Place) -> bool:
        """Could there be more in a list than is known, because an item of it or its id cannot be used?"""
        return section in self._unsure

    def _as_written(self, place: Place) -> Place:
        for length in range(len(place), 0, -1):
            if place[:length] in self.original:
                return self.original[place[:length]] + place[length:]
        return place


def subject_of(value: Any, place: Place) -> Subject:
    """The wall, room, lining or part of the job that a place belongs to."""
    match place:
        case ("walls", int(index), *_):
            return _wall(value, place[:2], index, value.get("rooms"))
        case ("rooms", int(index), *_):
            return _room(value, place[:2], index)
        case ("flat_types", str(name), "walls", int(index), *_):
            return _wall(value, place[:4], index, _at(value, (*place[:2], "rooms")), f"flat type {name}, ")
        case ("flat_types", str(name), "rooms", int(index), *_):
            return _room(value, place[:4], index, f"flat type {name}, ")
        case ("flats", int(index), "changes", str(name), *_):
            return Subject(f"flats {index + 1}, wall {name}", place[:4], wall=name)
        case ("flats", int(index), *_):
            return Subject(f"flats {index + 1}", place[:2])
        case (str(section), str(name), *_) if section in _NAMED:
            return Subject(f"{_NAMED[section]} {name}", place[:2])
        case ("site" | "firm" | "defaults" as section, *_):
            return Subject(section, place[:1])
    return Subject("job", ())


def _beyond(place: Place, steps: Place) -> Place:
    """The steps that go on beyond a place: those it does not end with."""
    for shared in range(min(len(place), len(steps)), 0, -1):
        if place[-shared:] == steps[:shared]:
            return steps[shared:]
    return steps


def field_words(rest: Iterable[str | int]) -> str:
    """``openings[0].width`` for the steps within a wall."""
    words = ""
    for step in rest:
        words += f"[{step}]" if isinstance(step, int) else f".{step}" if words else step
    return words


def show(given: object) -> str:
    """What was given, short enough to stand in a sentence."""
    if isinstance(given, Said):
        return str(given)
    if given is None:
        return "nothing"
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, dict):
        return "a group of fields" if given else "an empty group"
    if isinstance(given, list | tuple):
        text = f"[{', '.join(map(show, given[:4]))}]"
        return text if len(given) <= 4 and len(text) <= 60 else f"a list of {len(given)}"
    text = repr(given)
    return text if len(text) <= 60 else f"{text[:56]}…'"


def one_of(words: Iterable[str], given: object, *, what: str = "", most: int = 8) -> str:
    """``one of a, b, c``, with the word that was probably meant."""
    known = list(words)
    text = f"one of the {what}: " if what else "one of "
    text += ", ".join(known[:most]) or "(there are none)"
    text += f" and {len(known) - most} more" if len(known) > most else ""
    meant = nearest(known, given)
    return f"{text} (did you mean {meant}?)" if meant else text


def nearest(words: Iterable[str], given: object) -> str:
    """The word that was probably meant, or ""."""
    import difflib

    by_lower = {word.lower(): word for word in words}
    near = difflib.get_close_matches(str(given)[:60].lower(), by_lower, n=1)
    return by_lower[near[0]] if near else ""


def _wall(value: Any, place: Place, index: int, rooms: Any, before: str = "") -> Subject:
    wall = _at(value, place)
    fields = wall if isinstance(wall, dict) else {}
    name = _word(fields.get("id")) or f"{index + 1} of the list"
    room = _word(fields.get("room"))
    for other in rooms if isinstance(rooms, list) else ():
        if isinstance(other, dict) and room and _word(other.get("id")) == room:
            room = _word(other.get("name")) or room
            break
    return Subject(f"{before}wall {name}{f' ({room})' if room else ''}", place, wall=name, room=room)


def _room(value: Any, place: Place, index: int, before: str = "") -> Subject:
    room = _at(value, place)
    name = (_word(room.get("id")) if isinstance(room, dict) else "") or f"{index + 1} of the list"
    return Subject(f"{before}room {name}", place, room=name)


def _word(value: object) -> str:
    return str(value)[:60] if isinstance(value, str | int | float) else ""


def _at(value: Any, place: Place) -> Any:
    for step in place:
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError):
            return None
    return value
