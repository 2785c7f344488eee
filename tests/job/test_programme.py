"""The section `programme`: what is accepted, and what is said of what is not."""

from __future__ import annotations

from typing import get_args

import pytest
from tests.job.two_rooms import TWO_ROOMS, faults, read

from innerleaf.job.schema_programme import StepWord
from innerleaf.programme.order import rank

START = "programme:\n  start: 2026-03-02\n"


def test_a_start_is_enough() -> None:
    said = read(TWO_ROOMS + START).programme

    assert said is not None
    assert (said.start, said.crews, said.days) == (
        "2026-03-02",
        (),
        ("monday", "tuesday", "wednesday", "thursday", "friday"),
    )


def test_no_programme_is_none() -> None:
    assert read(TWO_ROOMS).programme is None


def test_every_word_for_a_step_has_its_place_in_the_order() -> None:
    ranks = [rank(word) for word in get_args(StepWord)]

    assert ranks == sorted(ranks)


CREW = "{id: a, skills: [framing, boarding, jointing], fitters: 1}"


@pytest.mark.parametrize(
    ("said", "fault"),
    [
        ("  hours: [7-12]", "times such as 07:00-12:00"),
        ("  hours: [07:00-12:05]", "in steps of 10 minutes"),
        ("  hours: [07:00-12:00, 11:00-15:00]", "stretches in order"),
        ("  days_off: [2026-02-30]", "a day of the calendar"),
        ("  finish_by: 2026-03-01", "2026-03-02, the start, or later"),
        ("  crews: [{id: a, skills: [framing]}]", "fitters, helpers, jointers or painters"),
        ("  crews: [{id: a, skills: [framing], fitters: 2}]", "no crew with the skill boarding"),
        (f"  crews: [{CREW}]\n  priming: {{minutes: 3}}", "no crew with the skill painting"),
        (f"  crews: [{CREW}]\n  overtime: {{hours: 1, crews: [b]}}", "crews of the programme"),
        ("  overtime: {hours: 8}\n  hours: [07:00-20:00]", "4 h or less"),
        ("  crews: [{id: a, skills: [wiring], fitters: 1}]", "framing"),
        ("  others: [{id: e, name: x, before: frame}]", "either `hours` in each room"),
        ("  others: [{id: e, name: x, before: frame, since: 2026-03-04}]", "2026-03-04 or a later day"),
        ("  others: [{id: e, name: x, before: frames, hours: 1}]", "did you mean frame"),
        ("  others: [{id: tape, name: x, before: frame, hours: 1}]", "an id that nothing else"),
        (f"  crews: [{CREW}]\n  plant: [{{id: a}}]", "an id that nothing else"),
        ("  access: [{since: 2026-03-04}]", "`storeys` or `rooms`"),
        ("  access: [{since: 2026-03-04, storeys: [attic]}]", "storeys of the rooms"),
        ("  access: [{since: 2026-03-04, rooms: [bed]}]", "did you mean bed2"),
        ("  open_to: [[bed2, hall]]", "ids of rooms"),
        ("  deliveries: [{on: 2026-03-03, storey: '9'}]", "storeys of the rooms"),
        ("  air: [{since: 2026-03-02, temperature: 15, humidity: 120}]", "100 % or less"),
        ("  air: [{since: 2026-03-02, temperature: 15, humidity: 50, basis: guess}]", "measured"),
    ],
)
def test_faults_are_said(said: str, fault: str) -> None:
    found = faults(TWO_ROOMS + START + said + "\n")

    assert any(fault in sentence for sentence in found), found
    assert all("programme" in sentence for sentence in found)


def test_a_missing_start_is_said() -> None:
    (found,) = faults(TWO_ROOMS + "programme: {}\n")

    assert "programme.start" in found
