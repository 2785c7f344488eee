"""Looking things up in a job: by name in its sections, and field by field in what is nearest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from innerleaf.job.faults import NOTHING, Report, StandIn, one_of
from innerleaf.job.schema import JobFile
from innerleaf.reading import Place

if TYPE_CHECKING:
    from pydantic import BaseModel


@dataclass(frozen=True, slots=True)
class Level:
    """A part of the file that says some of the fields of a thing."""

    part: BaseModel
    place: Place


class Levels:
    """What is said of one thing, the nearest first.

    ``subject`` is the place of the wall (lining) it belongs to, ``steps`` lead from there to the thing.
    ``doubtful`` gathers the fields whose value cannot be used or is missing, though it is needed.
    """

    def __init__(self, report: Report, subject: Place, levels: Sequence[Level], steps: Place = ()) -> None:
        self.report = report
        self.subject = subject
        self.steps = steps
        self.levels = tuple(levels)
        self.places: dict[str, Place] = {}
        self.doubtful: set[str] = set()

    def pick(self, field: str, otherwise: Any = None) -> Any:
        """The nearest value of a field; where it stands is kept in ``places``.

        A nearer value that cannot be used hides those farther away.
        """
        rank = self.rank(field)
        if rank == len(self.levels):
            return otherwise
        level = self.levels[rank]
        self.places[field] = place = (*level.place, field)
        if self.report.is_spoilt(place):
            self.doubtful.add(field)
        value = getattr(level.part, field, None)
        return otherwise if value is None else value

    def rank(self, field: str) -> int:
        """How far away a field is said: 0 the nearest; the number of levels if nowhere."""
        for rank, level in enumerate(self.levels):
            if getattr(level.part, field, None) is not None or self.report.is_spoilt((*level.place, field)):
                return rank
        return len(self.levels)

    def within(self, group: str, levels: Sequence[Level] | None = None) -> Levels:
        """The same for the fields of a group."""
        parts = (
            (getattr(level.part, group, None), (*level.place, group))
            for level in (self.levels if levels is None else levels)
        )
        found = [Level(part, place) for part, place in parts if part is not None]
        return Levels(self.report, self.subject, found, (*self.steps, group))

    def place(self, field: str) -> Place:
        """Where a field is said, or else the thing itself."""
        return self.places.get(field, self.levels[0].place if self.levels else self.subject)


class Book:
    """The job file, with the report of what is wrong with it."""

    def __init__(self, file: JobFile, report: Report) -> None:
        self.file = file
        self.report = report

    def say(self, levels: Levels, field: str, *, given: object, accepted: str) -> None:
        """Note a fault of one field of a thing; not that it is missing, where it is given but wrong."""
        if given is NOTHING:
            levels.doubtful.add(field)
            may_say = [("defaults",), *((*at.place, field) for at in levels.levels)]
            if any(map(self.report.is_spoilt, may_say)):
                return
        place, steps = levels.place(field), (*levels.steps, field)
        self.report.add(place, given=given, accepted=accepted, subject=levels.subject, steps=steps)

    def find(self, section: str, levels: Levels, field: str, *, besides: Sequence[str] = ()) -> Any:
        """What ``section`` holds under the name that a field gives; None with a fault if there is none.

        None without a fault: no name is given, or what it stands for has faults of its own.
        """
        name = levels.pick(field)
        there = getattr(self.file, section)
        if name is None or name in there or isinstance(name, StandIn):
            return there.get(name)
        if self.report.is_spoilt((section,)):
            return None
        value = self.report.text.value.get(section)
        written = [str(known) for known in value] if isinstance(value, dict) else []
        if name not in written:
            accepted = one_of([*written, *besides], name, what=f"names under {section}")
            self.report.add(levels.place(field), given=name, accepted=accepted)
        return None

    def need(self, levels: Levels, fields: Sequence[str]) -> None:
        """Say which of the fields are given nowhere."""
        for field in fields:
            if levels.pick(field) is None:
                self.say(levels, field, given=NOTHING, accepted="a value, here or in its type")
