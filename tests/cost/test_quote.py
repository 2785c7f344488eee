"""The quotation: what a client reads, and what no client may read."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from tests.conftest import need_tool
from tests.cost.by_hand import PRACTICE, basis_of, rates, two_walls
from tests.documents import fixture

from innerleaf.cost.price import price_of
from innerleaf.cost.quote import (
    FRAME_WORDS,
    MOISTURE_WORDS,
    SIGNS,
    TARGET_WORDS,
    Quotation,
    QuotationHead,
    quotation_of,
    scope_of,
    targets_met,
)
from innerleaf.design.frame import verdicts as frame
from innerleaf.documents.quotation import quotation_pdf
from innerleaf.findings import Finding
from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.wall import Way
from innerleaf.verdicts import Verdict

PRICING = {
    "client": {"name": "Widow Larkspur (invented)", "address": ["2 Mill Lane", "Sallowbridge"]},
    "number": "Q-17",
    "date": "2026-02-20",
    "valid_days": 14,
    "discounts": [{"text": "second job", "percent": 2, "reason": "secret reason"}],
    "extras": [{"text": "new sill", "each": 85.5, "reason": "hidden reason"}],
    "terms": ["Work on weekdays only."],
    "not_included": ["Curtains."],
}
HEAD = QuotationHead(firm="Linings Ltd. (invented)", project="House at the mill race", place="Invented")


def verdict(requirement: str, value: float, limit: float, unit: str, *, at_most: bool = True) -> Verdict:
    """A verdict without working."""
    return Verdict(
        requirement=requirement, value=value, limit=limit, unit=unit, at_most=at_most, working=(), source="t"
    )


@pytest.fixture(scope="module")
def offer() -> Quotation:
    """The quotation of the two walls."""
    basis = basis_of(two_walls(), PRICING)
    verdicts = {"W-01": [verdict("U-value with members and brackets", 0.43, 0.5, "W/(m²·K)")]}
    return quotation_of(HEAD, price_of(basis), two_walls(), PRACTICE, rates(), basis.pricing, verdicts)


def test_rooms_add_up_to_the_price(offer: Quotation) -> None:
    assert sum(room.net for room in offer.rooms) == offer.net
    assert all(room.net == sum(wall.net for wall in room.walls) for room in offer.rooms)
    assert offer.before_discount + sum(amount for _, amount in offer.discounts) == offer.net
    assert offer.net + offer.vat == offer.gross


def test_it_holds_fourteen_days(offer: Quotation) -> None:
    assert (offer.date, offer.valid_until) == ("2026-02-20", "2026-03-06")


def test_scope_in_plain_words() -> None:
    """From the drawings: a window with lined reveals, seven boxes, brackets."""
    assert scope_of(two_walls()[0], PRACTICE) == (
        "Free-standing lining on steel studs of 75 mm, 110 mm in all; insulation 75 mm; vapour control"
        " membrane, laps and edges sealed; two layers of gypsum board (12.5 mm type A); joints filled to"
        " finish Q2; 1 opening for boxes and pipes cut and sealed."
    )
    other = scope_of(fixture.a_plan("W-04", Way.BRACKETED), PRACTICE)
    assert other.startswith("Steel channels held to the wall by brackets")
    assert "reveals of 1 window lined" in other


def test_only_targets_that_are_met_are_promised() -> None:
    u, frsi = "U-value with members and brackets", "surface temperature factor at the coldest detail"
    met = targets_met(
        [
            verdict(u, 0.43, 0.5, "W/(m²·K)"),
            verdict(frsi, 0.61, 0.7, "-", at_most=False),
            verdict("mould index behind the insulation", 0.1, 1, "-"),
            verdict("water left after a year", 2, 1, "kg/m²"),
            verdict("deflection of the weakest member", 1, 2, "mm"),
        ]
    )

    assert met == ["U-value 0.43 W/(m²·K) (at most 0.50 W/(m²·K) asked for)"]


def test_what_is_missed_is_to_be_settled() -> None:
    plans = (replace(two_walls()[0], wall=replace(two_walls()[0].wall, questions=("Is it dry?",))),)
    basis = basis_of(plans, {})
    missed = {"W-01": [verdict("thickness of the lining", 120, 110, "mm")]}
    offer = quotation_of(HEAD, price_of(basis), plans, PRACTICE, rates(), basis.pricing, missed)

    assert offer.open_points == (
        "Wall W-01: Is it dry?",
        "Wall W-01: thickness is reckoned at 120 mm, 110 mm was asked for; to be agreed.",
    )


def test_what_is_missed_alike_is_said_once_and_never_with_equal_figures() -> None:
    basis = basis_of(two_walls(), {})
    u = verdict("U-value with members and brackets", 0.504, 0.5, "W/(m²·K)")
    damp = verdict("water in the old wall before lining", 1, 0, SIGNS)
    missed = {"W-01": [u], "W-02": [u, damp]}
    offer = quotation_of(HEAD, price_of(basis), two_walls(), PRACTICE, rates(), basis.pricing, missed)

    assert offer.open_points == (
        "Walls W-01, W-02: U-value is reckoned at 0.504 W/(m²·K), 0.500 W/(m²·K) was asked for;"
        " to be agreed.",
        "Wall W-02: the survey found the old wall damp; it must be dry before it is lined.",
    )


def test_frames_that_the_reckoning_doubts_are_to_be_proved() -> None:
    """Once for all walls alike; a finding that is no matter of the client's stays inside."""

    def found(plan: WallPlan, *codes: str) -> WallPlan:
        findings = tuple(
            Finding(code=code, wall=plan.wall.id, rule="r", text="t", remedy="m") for code in codes
        )
        return replace(plan, findings=findings)

    first, second = two_walls()
    basis = basis_of(two_walls(), {})
    told = {}
    for name, plans in {
        "alike": (found(first, "F101", "F105", "F101"), found(second, "F105", "F101")),
        "apart": (found(first, "F102", "L204"), found(second, "F104")),
    }.items():
        offer = quotation_of(HEAD, price_of(basis), plans, PRACTICE, rates(), basis.pricing, {})
        told[name] = offer.open_points

    frame_of = "frame to be proved or made stronger before the work:"
    assert told["alike"] == (
        f"Walls W-01, W-02: {frame_of} a member may bend more than its finish bears;"
        " a post beside an opening may be too weak.",
    )
    assert told["apart"] == (
        f"Wall W-01: {frame_of} a member may be strained more than it bears.",
        f"Wall W-02: {frame_of} anchors or fixings may be strained more than they are declared for.",
    )
    assert set(FRAME_WORDS) == set(frame.CODES.values()) - {
        "F103"
    }  # F103: what hangs, no matter of the frame


def test_what_is_met_narrowly_does_not_read_as_equal() -> None:
    frsi = "surface temperature factor at the coldest detail"
    near, equal = (verdict(frsi, value, 0.7, "-", at_most=False) for value in (0.7012, 0.7))

    assert targets_met([near]) == [
        "surface temperature factor at the coldest place 0.701 (at least 0.700 asked for)"
    ]
    assert targets_met([equal]) == [
        "surface temperature factor at the coldest place 0.70 (at least 0.70 asked for)"
    ]


def test_the_words_of_targets_are_those_of_the_verdicts() -> None:
    """A verdict renamed would drop out of quotations in silence."""
    from innerleaf.design.heat import verdicts as heat
    from innerleaf.design.moisture import verdicts as moisture
    from innerleaf.design.sound import verdicts as sound

    assert set(TARGET_WORDS) == {heat.THICKNESS, heat.U_VALUE, heat.FRSI, sound.GAIN, sound.REDUCTION}
    assert set(MOISTURE_WORDS) == {
        *(moisture.GATHERED, moisture.LEFT, moisture.GAIN, moisture.MOULD, moisture.WOOD, moisture.DRY)
    }
    damp = replace(two_walls()[0].wall, damp=True)
    assert [found.unit for found in moisture.dry_verdicts(damp, PRACTICE.rules)] == [SIGNS]


def test_the_paper_shows_the_client_his_part_and_no_more(offer: Quotation, tmp_path: Path) -> None:
    path = tmp_path / "quotation.pdf"
    path.write_bytes(quotation_pdf(offer, two_walls()))
    text = subprocess.run(
        [need_tool("pdftotext"), "-layout", str(path), "-"], capture_output=True, text=True, check=True
    ).stdout
    words = " ".join(text.split())

    for said in (
        "Widow Larkspur (invented)",
        "Q-17",
        "valid until 2026-03-06",
        f"{offer.gross / 100:,.2f} EUR",
        "VAT 20 %",
        "second job",
        "New sill.",
        "Curtains.",
        "Work on weekdays only.",
        "U-value 0.43",
        "asbestos",
    ):
        assert said in words, said
    for hidden in ("margin", "overhead", "minutes", "hourly", "reason", "risk", "supplier"):
        assert hidden not in words.lower(), hidden
    assert quotation_pdf(offer, two_walls()) == path.read_bytes()
