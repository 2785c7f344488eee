"""What a client is offered: scope in plain words, prices and terms; nothing of how it is reckoned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from innerleaf.cost.price_model import Price
from innerleaf.job.schema_pricing import Pricing
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.practice.rates import FirmRates
from innerleaf.survey.wall import OpeningKind, Way
from innerleaf.verdicts import Verdict

# Words of the verdicts that answer a target, and what a client reads; a test holds them to the verdicts.
TARGET_WORDS: Final[Mapping[str, str]] = {
    "thickness of the lining": "thickness",
    "U-value with members and brackets": "U-value",
    "surface temperature factor at the coldest detail": "surface temperature factor at the coldest place",
    "improvement of the sound reduction by the lining": "sound reduction gained",
    "sound reduction of the lined wall": "sound reduction of the wall",
}
MOISTURE_WORDS: Final = (
    "water gathered inside the wall",
    "water left after a year",
    "water gained from year to year",
    "mould index behind the insulation",
    "moisture of wooden ends in the wall",
    "water in the old wall before lining",
)
# Findings on the frame and what a client reads; the working is on the internal sheets.
FRAME_WORDS: Final[Mapping[str, str]] = {
    "F101": "a member may bend more than its finish bears",
    "F102": "a member may be strained more than it bears",
    "F104": "anchors or fixings may be strained more than they are declared for",
    "F105": "a post beside an opening may be too weak",
}
SIGNS: Final = "signs"  # unit of the verdict on a wall that the survey found damp
_DECIMALS: Final = {"mm": 0, "dB": 0}


@dataclass(frozen=True, slots=True, kw_only=True)
class WallOffer:
    """One wall as offered: what is built, which targets it is reckoned to meet, and its price before tax."""

    wall: str
    name: str
    scope: str
    targets: tuple[str, ...]
    face_m2: float
    net: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomOffer:
    """A room with its walls; ``net`` is their sum."""

    room: str
    storey: str
    walls: tuple[WallOffer, ...]
    net: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Quotation:
    """A whole quotation. Money in hundredths; rooms add up to ``net``, ``net`` and ``vat`` to ``gross``."""

    firm: str
    client: tuple[str, ...]
    project: str
    place: str
    number: str
    date: str
    valid_until: str
    currency: str
    rooms: tuple[RoomOffer, ...]
    before_discount: int
    discounts: tuple[tuple[str, int], ...]
    net: int
    vat_percent: float
    vat: int
    gross: int
    days: int
    included: tuple[str, ...]
    not_included: tuple[str, ...]
    payments: tuple[str, ...]
    terms: tuple[str, ...]
    open_points: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotationHead:
    """Names that stand over a quotation."""

    firm: str
    project: str
    place: str


def quotation_of(
    head: QuotationHead,
    price: Price,
    plans: Sequence[WallPlan],
    practice: Practice,
    rates: FirmRates,
    pricing: Pricing,
    verdicts: Mapping[str, Sequence[Verdict]],
) -> Quotation:
    """The quotation of a price; ``verdicts`` by wall, none where walls are not judged."""
    day = date.fromisoformat(pricing.date or rates.date)
    valid = pricing.valid_days or int(rates.figure("days valid"))
    prices = {wall.wall: wall for wall in price.walls}
    rooms: dict[tuple[str, str], list[WallOffer]] = {}
    for plan in plans:
        wall = plan.wall
        offer = WallOffer(
            wall=wall.id,
            name="" if wall.name == wall.id else wall.name,
            scope=scope_of(plan, practice),
            targets=tuple(targets_met(verdicts.get(wall.id, ()))),
            face_m2=prices[wall.id].face_m2,
            net=prices[wall.id].net,
        )
        rooms.setdefault((wall.storey, wall.room), []).append(offer)
    discounts = tuple((step.text, step.amount) for step in price.steps if step.kind == "discount")
    return Quotation(
        firm=head.firm,
        client=(pricing.client.name, *pricing.client.address) if pricing.client else (),
        project=head.project,
        place=head.place,
        number=pricing.number,
        date=day.isoformat(),
        valid_until=(day + timedelta(days=valid)).isoformat(),
        currency=price.currency,
        rooms=tuple(
            RoomOffer(room=room, storey=storey, walls=tuple(walls), net=sum(offer.net for offer in walls))
            for (storey, room), walls in rooms.items()
        ),
        before_discount=price.net - sum(amount for _, amount in discounts),
        discounts=discounts,
        net=price.net,
        vat_percent=price.vat_percent,
        vat=price.vat,
        gross=price.gross,
        days=price.crew.days,
        included=(
            *_texts(rates, "included"),
            *(_sentence(extra.text) for extra in pricing.extras),
            *pricing.included,
        ),
        not_included=(*_texts(rates, "not included"), *pricing.not_included),
        payments=tuple(_payments(rates)),
        terms=(*_texts(rates, "terms"), *pricing.terms),
        open_points=tuple(_open_points(plans, price, verdicts)),
    )


def scope_of(plan: WallPlan, practice: Practice) -> str:
    """What is built on a wall, in one sentence that needs no catalogue."""
    wall, lining = plan.wall, plan.wall.lining
    steel = practice.profiles[lining.profile].depth_mm
    frame = (
        f"steel channels held to the wall by brackets, {plan.build_up.total_mm:.0f} mm in all"
        if lining.way == Way.BRACKETED
        else f"free-standing lining on steel studs of {steel} mm, {plan.build_up.total_mm:.0f} mm in all"
    )
    parts = [frame]
    slabs = [practice.insulation[layer.item] for layer in lining.insulation]
    if slabs:
        parts.append(f"insulation {' and '.join(f'{slab.thickness_mm} mm' for slab in slabs)}")
    if lining.membrane:
        parts.append("vapour control membrane, laps and edges sealed")
    boards = [practice.boards[item] for item in lining.boards]
    layers = {1: "one layer", 2: "two layers", 3: "three layers"}.get(len(boards), f"{len(boards)} layers")
    kinds = " and ".join(dict.fromkeys(f"{board.thickness_mm:g} mm type {board.type}" for board in boards))
    parts.append(f"{layers} of gypsum board ({kinds})")
    parts.append("ready for tiles" if lining.tiled else f"joints filled to finish {lining.finish}")
    lined = [opening for opening in wall.openings if opening.reveal_lined]
    for kind in OpeningKind:
        number = sum(opening.kind == kind for opening in lined)
        if number:
            parts.append(f"reveals of {number} {kind.value}{'s' if number > 1 else ''} lined")
    if plan.penetrations:
        number = len(plan.penetrations)
        parts.append(f"{number} opening{'s' if number > 1 else ''} for boxes and pipes cut and sealed")
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def targets_met(verdicts: Sequence[Verdict]) -> list[str]:
    """The targets of a wall that are reckoned to be met, with what was asked for and what is reached."""
    told = [
        f"{TARGET_WORDS[verdict.requirement]} {value}"
        f" ({'at most' if verdict.at_most else 'at least'} {limit} asked for)"
        for verdict in verdicts
        if verdict.requirement in TARGET_WORDS and verdict.met
        for value, limit in [_told_apart(verdict)]
    ]
    wet = [verdict for verdict in verdicts if verdict.requirement in MOISTURE_WORDS]
    if wet and all(verdict.met for verdict in wet):
        told.append("no water gathers in the wall, as far as it is reckoned")
    return told


def _told_apart(verdict: Verdict) -> tuple[str, str]:
    """Reckoned and asked, with the decimals that tell them apart; the usual ones where they are equal."""
    usual = _DECIMALS.get(verdict.unit, 2)
    figures = [
        tuple(_figure(each, verdict.unit, usual + more) for each in (verdict.value, verdict.limit))
        for more in range(4)
    ]
    value, limit = next((pair for pair in figures if pair[0] != pair[1]), figures[0])
    return value, limit


def _figure(value: float, unit: str, decimals: int) -> str:
    words = f"{value:.{decimals}f}"
    return words if unit == "-" else f"{words} {unit}"


def _sentence(text: str) -> str:
    """A free line among sentences."""
    return f"{text[0].upper()}{text[1:]}".rstrip(".") + "."


def _texts(rates: FirmRates, name: str) -> tuple[str, ...]:
    return rates.texts[name].lines if name in rates.texts else ()


def _payments(rates: FirmRates) -> list[str]:
    stages = [
        f"{stage.percent:g} % {stage.id}"
        + (f" ({stage.done_percent:g} % of the work done)" if 0 < stage.done_percent < 100 else "")
        for stage in rates.payments.values()
    ]
    days = rates.figure("days until clients pay")
    return [*stages, f"Payable within {days:g} days of each invoice; tax at the rate of the day."]


def _open_points(
    plans: Sequence[WallPlan], price: Price, verdicts: Mapping[str, Sequence[Verdict]]
) -> list[str]:
    """What must be settled before the work: open questions, targets missed, frames, what has no price."""
    told = [f"Wall {plan.wall.id}: {question}" for plan in plans for question in plan.wall.questions]
    missed: dict[str, list[str]] = {}
    for wall, found in verdicts.items():
        for verdict in found:
            if not verdict.met and verdict.requirement in (*TARGET_WORDS, *MOISTURE_WORDS):
                missed.setdefault(_missed(verdict), []).append(wall)
    for plan in plans:
        codes = {finding.code for finding in plan.findings}
        weak = [words for code, words in FRAME_WORDS.items() if code in codes]
        if weak:
            words = f"frame to be proved or made stronger before the work: {'; '.join(weak)}."
            missed.setdefault(words, []).append(plan.wall.id)
    told += [f"Wall{'s' * (len(walls) > 1)} {', '.join(walls)}: {words}" for words, walls in missed.items()]
    told += [f"Not in the price yet: {article}." for article in price.unpriced]
    return told


def _missed(verdict: Verdict) -> str:
    """A target missed, as a client reads it; with decimals that tell reckoned from asked."""
    if verdict.unit == SIGNS:
        return "the survey found the old wall damp; it must be dry before it is lined."
    name = TARGET_WORDS.get(verdict.requirement, verdict.requirement)
    value, limit = _told_apart(verdict)
    return f"{name} is reckoned at {value}, {limit} was asked for; to be agreed."
