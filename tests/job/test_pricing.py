"""The section ``pricing``: what is taken, and every mistake said with its place."""

from __future__ import annotations

import pytest
from tests.job.two_rooms import TWO_ROOMS, lines, read

PRICING = """\
pricing:
  client: {name: Widow Larkspur, address: [2 Mill Lane, Sallowbridge]}
  number: 17
  date: 2026-02-28
  valid_days: 14
  margin: {percent: 10, of: cost}
  overhead: 11.5
  vat: 19
  discounts:
    - {text: second job, percent: 2, reason: came back}
  extras:
    - {text: sill, each: 85.5, wall: W-01, reason: rotten}
  risks:
    - {text: damp, amount: 150, reason: old cellar}
  terms: [Weekdays only.]
"""


def with_pricing(text: str = PRICING) -> str:
    """The two rooms with a section on pricing."""
    return f"{TWO_ROOMS.rstrip()}\n{text}"


def test_what_is_said_is_kept() -> None:
    pricing = read(with_pricing()).pricing

    assert pricing is not None
    assert pricing.client is not None
    assert pricing.client.address == ("2 Mill Lane", "Sallowbridge")
    assert (pricing.number, pricing.date, pricing.valid_days, pricing.vat) == ("17", "2026-02-28", 14, 19)
    assert pricing.extras[0].quantity == 1
    assert read(TWO_ROOMS).pricing is None


@pytest.mark.parametrize(
    ("good", "bad", "said"),
    [
        ("date: 2026-02-28", "date: 2026-02-29", "field pricing.date: given '2026-02-29', accepted: a day"),
        ("valid_days: 14", "valid_days: 0", "field pricing.valid_days: given 0, accepted: 1 or more"),
        ("of: cost", "of: turnover", "field pricing.margin.of: given 'turnover', accepted: "),
        ("percent: 10, of: cost", "percent: 100, of: price", "given 100.0, accepted: below 100 %"),
        (
            "percent: 2,",
            "percent: 2, amount: 3,",
            "given percent and amount, accepted: either percent or amount",
        ),
        ("percent: 2, ", "", "given nothing, accepted: either percent or amount"),
        ("wall: W-01", "wall: W-77", "given 'W-77', accepted: one of the ids of walls"),
        ("each: 85.5", "each: -1", "accepted: 0 or more"),
        ("terms: [Weekdays only.]", "carried: {moon: 2}", "given 'moon', accepted: one of the storeys"),
        ("vat: 19", "taxes: 19", "field pricing.taxes: given an unknown field"),
    ],
)
def test_mistakes_are_said(good: str, bad: str, said: str) -> None:
    assert good in PRICING
    found = lines(with_pricing(PRICING.replace(good, bad)))

    assert len(found) == 1, found
    assert said in found[0], found
