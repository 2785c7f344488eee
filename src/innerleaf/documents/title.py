"""What every sheet of a set says about the set."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class TitleBlock:
    """Names for the title block, all given by the caller; ``date`` is text, as the firm writes dates.

    ``statement`` stands on every sheet, for instance that the building and its prices are invented.
    """

    project: str
    firm: str = ""
    place: str = ""
    revision: str = "A"
    date: str = ""
    statement: str = ""
