"""Hold points hold; what was done all the same is seen."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.layout.plain import FREE, PRACTICE, everyday_wall, plan
from tests.site.told import DEVICES, entries, sealed, told

from innerleaf.practice.site import load_on_site
from innerleaf.site.checks import checks_of, judge
from innerleaf.site.holds import State, hold_findings, way_of
from innerleaf.site.records import Kind, Record
from innerleaf.site.rights import refusal
from innerleaf.site.steps import steps_of

PLAN = plan(everyday_wall(FREE))
STEPS, CHECKS = steps_of(PLAN), checks_of(PLAN, PRACTICE)
WALL, HOLD = PLAN.wall.id, "close-up inspection"


def done(step: str) -> dict[str, Any]:
    return {"kind": Kind.DONE, "wall": WALL, "what": step}


def hold(outcome: str, text: str = "") -> dict[str, Any]:
    return {"kind": Kind.HOLD, "wall": WALL, "what": HOLD, "outcome": outcome, "text": text}


BEFORE = [done(step) for step in STEPS[: STEPS.index("board layer 1")]]


def states(records: list[Record]) -> dict[str, State]:
    return {one.name: one.state for one in way_of(WALL, STEPS, records)}


def codes(records: list[Record]) -> list[str]:
    return [one.code for one in hold_findings(WALL, STEPS, CHECKS, records)]


def test_boards_wait_for_the_close_up_inspection() -> None:
    now = states(told(*BEFORE))
    assert (now["vapour layer"], now[HOLD], now["board layer 1"]) == (State.DONE, State.OPEN, State.BLOCKED)


@pytest.mark.parametrize(
    ("said", "role", "opens"),
    [
        (hold("passed"), "inspector", True),
        (hold("passed"), "foreman", True),
        (hold("passed"), "installer", False),
        (hold("failed"), "inspector", False),
        (hold("released", "rain, seen by photo"), "foreman", True),
        (hold("released", " "), "foreman", False),
        (hold("released", "rain"), "installer", False),
        (hold("released", "rain"), "inspector", False),
    ],
)
def test_who_may_open_the_way(said: dict[str, Any], role: str, opens: bool) -> None:
    records = told(*BEFORE, said, role=role)
    assert (states(records)["board layer 1"] == State.OPEN) == opens
    holds = load_on_site().holds
    why = refusal(records[-1].entry, who="Ada", role=role, holds=holds, known={})
    assert (why == "") == (opens or said["outcome"] == "failed")
    assert ("W203" in codes(records)) == (not opens and said["outcome"] != "failed")


def test_a_point_that_fails_afterwards_holds_again() -> None:
    assert states(told(*BEFORE, hold("passed"), hold("failed")))["board layer 1"] == State.BLOCKED


def test_work_past_an_open_point_is_kept_and_seen() -> None:
    records = told(*BEFORE, done("board layer 1"))
    assert states(records)["board layer 1"] == State.DONE
    assert "W202" in codes(records)
    assert "W202" not in codes(told(*BEFORE, hold("passed"), done("board layer 1")))


@settings(max_examples=40, deadline=None)
@given(st.permutations(range(len(STEPS))), st.lists(st.sampled_from(("passed", "failed")), max_size=3))
def test_what_is_done_stays_done_whatever_the_order(order: list[int], outcomes: list[str]) -> None:
    said = [done(STEPS[at]) for at in order[:6]]
    now = states(told(*said, *(hold(one) for one in outcomes)))
    assert {name for name, state in now.items() if state == State.DONE} - set(load_on_site().holds) == {
        one["what"] for one in said
    }
    opened = bool(outcomes) and outcomes[-1] == "passed"
    assert opened or now["board layer 1"] in (State.BLOCKED, State.DONE)


def check(name: str, values: dict[str, float]) -> dict[str, Any]:
    due = next(one for one in CHECKS if one.check == name)
    told = {"kind": Kind.CHECK, "wall": WALL, "what": name, "mark": due.step}
    return told | {"values": tuple(sorted(values.items())), "judged": judge(due, values)}


def test_a_value_outside_its_tolerance_is_mended_or_accepted() -> None:
    bad, good = (
        check("plumb", {"off_mm": 11, "over_mm": 2600}),
        check("plumb", {"off_mm": 4, "over_mm": 2600}),
    )
    (first,) = told(bad)
    assert "W201" in codes([first])
    answers = [{"kind": Kind.ACCEPTED, "wall": WALL, "about": first.entry.id, "text": "behind a cupboard"}]
    answers.append(good | {"about": first.entry.id})
    for answer in answers:
        assert "W201" not in codes(told(bad, answer))


def test_a_point_passed_without_its_checks_is_seen() -> None:
    assert "W204" in codes(told(*BEFORE, hold("passed")))
    every = [
        check(one.check, _good(one.check))
        for one in CHECKS
        if one.step in STEPS[: STEPS.index("board layer 1")]
    ]
    assert codes(told(*BEFORE, *every, hold("passed"))) == []


def _good(name: str) -> dict[str, float]:
    known: dict[str, dict[str, float]] = {
        "tracks-strip": {"strip_yes": 1},
        "track-plumb": {"off_mm": 2, "over_mm": 2600},
        "stud-spacing": {"spacing_mm": 600},
        "plumb": {"off_mm": 2, "over_mm": 2600},
        "insulation": {"full_yes": 1},
        "retarder": {"tight_yes": 1},
    }
    return known[name]


def test_a_verdict_that_does_not_follow_is_seen() -> None:
    shown = check("plumb", {"off_mm": 4, "over_mm": 2600}) | {
        "values": (("off_mm", 40.0), ("over_mm", 2600.0))
    }
    assert "W205" in codes(told(shown))


def test_who_may_accept_and_withdraw() -> None:
    records = told(check("plumb", {"off_mm": 11, "over_mm": 2600}))
    known = {one.entry.id: one for one in records}
    holds = load_on_site().holds

    def why(kind: Kind, who: str, role: str, text: str = "seen") -> str:
        (entry,) = entries(DEVICES[1], [{"kind": kind, "about": records[0].entry.id, "text": text}])
        return refusal(entry, who=who, role=role, holds=holds, known=known)

    assert why(Kind.ACCEPTED, "Ivo", "installer")
    assert why(Kind.WITHDRAWN, "Ivo", "installer")
    assert why(Kind.ACCEPTED, "Ina", "inspector", text="")
    assert not why(Kind.ACCEPTED, "Ina", "inspector")
    assert not why(Kind.WITHDRAWN, "Ada", "installer")  # her own
    assert sealed([]) == []
