"""What the store hands out: documents, their revisions, and versions that came too late."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Kind(StrEnum):
    """What a document is."""

    JOB = "job"
    PRACTICE = "practice"
    PRICES = "prices"
    SUPPLY = "supply"
    RATES = "rates"
    WEATHER = "weather"


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """One document; ``owner`` is the job it belongs to, "" for a job and for what the whole firm uses."""

    id: str
    kind: Kind
    name: str
    owner: str
    head: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionLine:
    """Who saved what, and when. ``back_to`` is the revision this one brought back, 0 if it is new."""

    document: str
    number: int
    saved_at: datetime
    who: str
    what: str
    back_to: int
    digest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """A revision with its text, to the byte as it was given."""

    line: RevisionLine
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Aside:
    """A version that someone saved on top of a revision that was no longer the newest. It is kept."""

    document: str
    number: int
    base: int
    saved_at: datetime
    who: str
    what: str
    text: str


class ChangedMeanwhile(Exception):
    """Somebody else saved first. Both versions are there: ``newest`` in the document, ``aside`` beside it."""

    def __init__(self, newest: Revision, aside: Aside) -> None:
        line = newest.line
        super().__init__(
            f"{line.who} saved revision {line.number} meanwhile ({line.what or 'no note'}); "
            f"your version, made from revision {aside.base}, is kept beside it"
        )
        self.newest, self.aside = newest, aside
