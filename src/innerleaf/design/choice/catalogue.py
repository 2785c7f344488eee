"""What the firm can buy to build linings of: articles of the practice set that have every figure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from math import isnan

from innerleaf.findings import Finding
from innerleaf.practice.model import (
    Board,
    Bracket,
    Consumable,
    Insulation,
    Membrane,
    Practice,
    Profile,
    ProfileUse,
    Screw,
)
from innerleaf.practice.prices import PriceList

Article = Profile | Board | Insulation | Bracket | Membrane | Screw | Consumable
_REMEDY = "give the figure in the firm's practice file or price list"


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Articles that can go into a lining, in the order of the practice set.

    ``findings`` name those left out because a figure is missing. Insulation that boards are bonded to is
    for reveals and flanks, not for frames, and is not among them.
    """

    members: Mapping[str, Profile]  # studs and channels whose track can be bought too
    boards: Mapping[str, Board]
    insulation: Mapping[str, Insulation]
    brackets: Mapping[str, Bracket]
    membranes: Mapping[str, Membrane]
    findings: tuple[Finding, ...]


def buyable(practice: Practice, prices: PriceList) -> Catalogue:
    """The catalogue to choose from; a row with a missing figure is left out with a finding, never guessed."""
    findings: list[Finding] = []

    def whole(section: str) -> Iterator[tuple[str, Article]]:
        rows: Mapping[str, Article] = getattr(practice, section)
        for key, row in rows.items():
            missing = [*_missing(row), *(["price"] if isnan(prices.price(section, key)) else [])]
            if missing:
                findings.append(left_out(section, key, missing))
            else:
                yield key, row

    profiles = {key: row for key, row in whole("profiles") if isinstance(row, Profile)}
    members = {}
    for key, row in profiles.items():
        if row.use in (ProfileUse.STUD, ProfileUse.CHANNEL):
            if row.fits in profiles:
                members[key] = row
            else:
                findings.append(left_out("profiles", key, [f"its track {row.fits}"]))
    boards = {key: row for key, row in whole("boards") if isinstance(row, Board)}
    slabs = {
        key: row for key, row in whole("insulation") if isinstance(row, Insulation) and not row.carries_board
    }
    brackets = {key: row for key, row in whole("brackets") if isinstance(row, Bracket)}
    membranes = {key: row for key, row in whole("membranes") if isinstance(row, Membrane)}
    for section in ("screws", "consumables"):  # whatever needs them is left out when it is priced
        for _ in whole(section):
            pass
    return Catalogue(members, boards, slabs, brackets, membranes, tuple(findings))


def _missing(row: Article) -> Iterator[str]:
    """Figures of a row that are not numbers."""
    for field in fields(row):
        value = getattr(row, field.name)
        if isinstance(value, float) and isnan(value):
            yield field.name


def left_out(section: str, key: str, missing: list[str]) -> Finding:
    """The finding about an article that cannot be chosen."""
    what = ", ".join(missing)
    return Finding(
        code="C101",
        wall="",
        rule="catalogue",
        text=f"{section}, {key}: {what} not known; linings that need it are not among the options",
        remedy=_REMEDY,
    )
