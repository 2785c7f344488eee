"""A hand-over pack put together: walls as built, their records, what they do, materials, care, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import fsum
from typing import TYPE_CHECKING, Final

from innerleaf.documents.cautions import cautions_for
from innerleaf.documents.handover_care import CARE, SAFE, guide_of
from innerleaf.documents.handover_model import (
    ChainEnd,
    FirmDocument,
    HandoverPack,
    MaterialUsed,
    Statement,
    WallPack,
)
from innerleaf.documents.handover_records import (
    checks_made,
    deviations_told,
    holds_passed,
    notes_told,
    photos_shown,
    steps_done,
)
from innerleaf.documents.schedule import build_up_table
from innerleaf.findings import Finding
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.measures import SECTIONS, quantity_words
from innerleaf.practice.model import Practice
from innerleaf.practice.site import load_on_site
from innerleaf.site.checks import checks_of
from innerleaf.site.holds import hold_findings
from innerleaf.site.records import Record, standing, verify
from innerleaf.site.steps import steps_of
from innerleaf.takeoff.take import count_lines

if TYPE_CHECKING:  # heat and moisture load much
    from innerleaf.design.performance import Performance

_OF_TARGETS: Final = ("C", "F", "H", "S", "W")  # findings told elsewhere: records, choice, verdicts
_QUESTION: Final = "L601"  # stands for a question of the survey, which is told as such
_UNITS: Final = {
    "w_mk": "W/(m·K)",
    "kg_m3": "kg/m³",
    "kg_m2": "kg/m²",
    "kg_m": "kg/m",
    "mm": "mm",
    "kg": "kg",
    "m": "m",
}
_NOT_TOLD: Final = ("id", "source", "lengths_mm", "stock_lengths_mm", "pack", "unit", "per_m")
_WORK: Final = "joints"  # a group of lines that measure work, not material
SIGNATURES: Final = ("for the firm", "for the client", "inspected by")


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """Names on the cover; ``date`` is the day of the pack, as year-month-day."""

    project: str
    place: str
    firm: str
    client: tuple[str, ...]
    date: str
    statement: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """A wall as drawn and as built, with what going through its records found, and what it does."""

    drawn: WallPlan
    plan: WallPlan
    findings: tuple[Finding, ...]
    performance: Performance | None


def pack_of(
    head: Head,
    built: Sequence[Built],
    not_in_it: Sequence[str],
    records: Sequence[Record],
    practice: Practice,
    documents: Sequence[FirmDocument],
    photos: frozenset[str],
) -> HandoverPack:
    """The pack; ``photos`` are digests of the files that came with the records."""
    held = standing(records)
    by_wall: dict[str, list[Record]] = {}
    for record in held:
        by_wall.setdefault(record.entry.wall, []).append(record)
    plans = [one.plan for one in built]
    return HandoverPack(
        project=head.project,
        place=head.place,
        firm=head.firm,
        client=head.client,
        date=head.date,
        statement=head.statement,
        walls=tuple(_wall(one, by_wall.get(one.plan.wall.id, []), practice, photos) for one in built),
        not_in_it=tuple(not_in_it),
        materials=tuple(_materials(plans, practice, documents)),
        documents=tuple(documents),
        care=(*CARE, *(("Fixing things", text) for text in SAFE)),
        cautions=tuple((caution.topic, caution.text) for caution in cautions_for(plans)),
        chain=ChainEnd(
            job=records[-1].job if records else "",
            records=len(records),
            last_digest=records[-1].digest if records else "",
            faults=tuple(f"{finding.code}: {finding.text}" for finding in verify(records)),
        ),
        signatures=SIGNATURES,
    )


def _wall(built: Built, records: Sequence[Record], practice: Practice, photos: frozenset[str]) -> WallPack:
    on_site, plan, performance = practice.on_site or load_on_site(), built.plan, built.performance
    wall = plan.wall
    checks = checks_made(records, on_site)
    holds = hold_findings(wall.id, steps_of(plan), checks_of(plan, practice, on_site), records, on_site)
    return WallPack(
        wall=wall.id,
        name=wall.name,
        room=wall.room,
        storey=wall.storey,
        build_up=tuple((str(row[0]), str(row[1])) for row in build_up_table(plan).rows),
        steps=steps_done(records),
        checks=checks,
        holds=holds_passed(records, on_site),
        deviations=deviations_told(records),
        notes=notes_told(records),
        photos=tuple(photos_shown(records, photos, on_site)),
        statements=tuple(_statements(performance)) if performance else (),
        assumed=performance.notes if performance else (),
        rules_not_kept=tuple(
            f"{finding.code} at {finding.x_mm:.0f} / {finding.y_mm:.0f}: {finding.text}"
            for finding in plan.findings
            if not finding.code.startswith(_OF_TARGETS) and finding.code != _QUESTION
        ),
        open_points=tuple(_open(wall.questions, (*built.findings, *holds), performance)),
        guide=guide_of(plan, practice),
    )


def _open(
    questions: Sequence[str], findings: Sequence[Finding], performance: Performance | None
) -> Iterator[str]:
    """What nobody has answered for: findings of the site, targets missed, questions of the survey."""
    for finding in findings:
        yield f"{finding.code}: {finding.text}"
    for verdict in performance.verdicts if performance else ():
        if not verdict.met:
            yield f"not met by calculation: {verdict.requirement}"
    for question in questions:
        yield f"question of the survey, no answer recorded: {question}"


def _statements(performance: Performance) -> Iterator[Statement]:
    for verdict in performance.verdicts:
        yield Statement(
            requirement=verdict.requirement,
            value=verdict.value,
            uncertainty=verdict.uncertainty,
            limit=verdict.limit,
            unit=verdict.unit,
            at_most=verdict.at_most,
            margin=verdict.margin,
            met=verdict.met,
            risk=verdict.risk,
            working=verdict.working,
            source=verdict.source,
        )


def _materials(
    plans: Sequence[WallPlan], practice: Practice, documents: Sequence[FirmDocument]
) -> Iterator[MaterialUsed]:
    """Every article that is built in, in the order of the takeoff."""
    amounts: dict[str, tuple[str, list[float]]] = {}
    for line in count_lines(plans, practice):
        if line.group != _WORK:
            amounts.setdefault(line.item, (line.unit, []))[1].append(line.quantity)
    for article, (unit, parts) in amounts.items():
        section, entry = _entry(practice, article)
        if entry is None:
            continue
        yield MaterialUsed(
            article=article,
            what=section.removesuffix("s"),
            properties=_properties(entry),
            quantity=quantity_words(unit, fsum(parts), ",.1f"),
            source=getattr(entry, "source", ""),
            documents=tuple(one.file for one in documents if article in one.articles),
        )


def _entry(practice: Practice, article: str) -> tuple[str, object | None]:
    for section in SECTIONS:
        catalogue: Mapping[str, object] = getattr(practice, section)
        if article in catalogue:
            return section, catalogue[article]
    return "", None


def _properties(entry: object) -> str:
    """The declared figures of an article in words, with their units; zeros are none."""
    told = []
    for name in entry.__slots__:  # type: ignore[attr-defined]  # frozen dataclasses with slots, all of them
        value = getattr(entry, name)
        if name in _NOT_TOLD or not value or isinstance(value, tuple):
            continue
        suffix = next((end for end in _UNITS if name.endswith(f"_{end}")), "")
        words = name.removesuffix(f"_{suffix}").replace("_", " ") if suffix else name.replace("_", " ")
        if value is True:
            told.append(words)
        elif isinstance(value, float | int):
            told.append(f"{words} {value:g} {_UNITS.get(suffix, '')}".rstrip())
        else:
            told.append(f"{words} {value}")
    return ", ".join(told)
