"""What the verdicts on moisture lead to: which method decides, which findings stand, what they advise."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.design.test_performance import CLIMATE
from tests.design.wet import PRACTICE, a_case, a_plan, a_wall, followed, weather

from innerleaf.design.climate import SiteClimate
from innerleaf.design.moisture.months import moisture_of
from innerleaf.design.moisture.through_years import Followed, completed
from innerleaf.design.moisture.transient_years import MoistureYears
from innerleaf.design.moisture.verdicts import DRY, GAIN, LEFT, MOULD, WOOD, suspects
from innerleaf.design.performance import Performance, performance_of
from innerleaf.design.record import record_cases
from innerleaf.documents.performance import moisture_table
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.survey.damp import soaking
from innerleaf.survey.wall import Targets


def judged(
    membrane: str = "membrane-variable", *, rain: bool = True, **changes: Any
) -> tuple[WallPlan, Performance]:
    plan = a_plan(membrane, **changes)
    years = followed(a_case(membrane, rain=rain, **changes), rain=rain)
    return plan, performance_of(plan, PRACTICE, CLIMATE, years)


def codes(performance: Performance) -> set[str]:
    return {finding.code for finding in performance.findings}


def as_bad(years: MoistureYears) -> MoistureYears:
    """Years in which everything is beyond its limit."""
    return replace(years, gain_percent=3.0, mould_index=4.0, wood_percent=26.0)


def test_years_bring_verdicts_with_margin_working_and_risk() -> None:
    _, performance = judged(wood_ends=True)
    verdicts = {verdict.requirement: verdict for verdict in performance.verdicts}

    assert {GAIN, MOULD, WOOD} <= verdicts.keys()
    for name in (GAIN, MOULD, WOOD):
        assert verdicts[name].working
        assert "EN 15026" in verdicts[name].source
        assert verdicts[name].uncertainty > 0
        risk = verdicts[name].risk
        assert risk is not None
        assert (risk > 0.5) == (not verdicts[name].met)
    assert WOOD not in {v.requirement for v in judged()[1].verdicts}


def test_each_limit_missed_has_its_code() -> None:
    plan, performance = judged(wood_ends=True)
    assert performance.years
    bad = performance_of(plan, PRACTICE, CLIMATE, as_bad(performance.years))
    good = performance_of(plan, PRACTICE, CLIMATE, replace(performance.years, wood_percent=15.0))

    assert {"H106", "H107", "H108"} <= codes(bad)
    assert not {"H106", "H107", "H108"} & codes(good)


def test_the_years_decide_where_the_months_leave_something_out() -> None:
    plan, performance = judged()
    assert performance.years

    reasons = " ".join(suspects(plan.wall, PRACTICE, performance.years))
    for word in ("driving rain", "brick-1800 sucks", "opens when damp", "the job asks"):
        assert word in reasons
    assert any("(EN 15026) decides" in note for note in performance.notes)


def test_the_months_decide_where_nothing_sucks() -> None:
    """No rain, a dense wall, a plain film, nothing asked: the monthly method is enough, and it is said."""
    years = followed(a_case("membrane-PE-0.15", rain=False), rain=False)
    brick = years.case.layers[1]
    assert brick.water
    dense = replace(brick, water=replace(brick.water, absorption_kg_m2_sqrt_s=0.001))
    case = replace(years.case, layers=(years.case.layers[0], dense, *years.case.layers[2:]))
    wall = a_wall("membrane-PE-0.15", targets=Targets())

    assert suspects(wall, PRACTICE, replace(years, case=case)) == []


def test_weather_without_rain_is_told_where_rain_could_come() -> None:
    assert "H112" in codes(judged(rain=False)[1])
    assert "H112" not in codes(judged()[1])


def test_moisture_asked_for_but_not_followed_is_told() -> None:
    plan = a_plan()
    performance = performance_of(plan, PRACTICE, CLIMATE, "humidity class 5")
    unasked = performance_of(
        plan_wall(a_wall(targets=Targets()), PRACTICE), PRACTICE, CLIMATE, "humidity class 5"
    )

    (told,) = (finding for finding in performance.findings if finding.code == "H109")
    assert "humidity class 5" in told.text
    assert "H109" not in codes(unasked)


def test_a_missing_film_is_told_with_those_that_would_do() -> None:
    """Wool without a film gathers water by the month; each film of the set is tried by both methods."""
    plan = a_plan("")
    followed_walls = Followed([plan], PRACTICE, weather())
    performance = performance_of(plan, PRACTICE, CLIMATE, followed_walls.years(plan))
    (done,) = completed([plan], [performance], PRACTICE, CLIMATE, followed_walls)

    (told,) = (finding for finding in done.findings if finding.code == "H110")
    for name in PRACTICE.membranes:
        other = a_plan(name)
        again = performance_of(other, PRACTICE, CLIMATE, followed_walls.years(other))
        missed = codes(again) & {"H104", "H105", "H106", "H107"}
        assert (name in told.remedy.partition(",")[0]) == (not missed)


def test_walls_of_one_case_share_its_name_and_record() -> None:
    plans = [a_plan(), replace(a_plan(), wall=a_wall(id="W-02")), replace(a_plan(), wall=a_wall(id="W-03"))]
    plans[2] = plan_wall(a_wall(id="W-03", facing_deg=90), PRACTICE)
    walls = Followed(plans, PRACTICE, weather())
    done = completed(
        plans,
        [performance_of(plan, PRACTICE, CLIMATE, walls.years(plan)) for plan in plans],
        PRACTICE,
        CLIMATE,
        walls,
    )

    assert [performance.case_id for performance in done] == ["M1", "M1", "M2"]
    records = record_cases(done)
    assert [record.id for record in records] == ["M1", "M2"]
    assert records[0].walls == (plans[0].wall.id, "W-02")
    assert all(len(line) == 52 for line in records[0].weeks.water)


@pytest.mark.parametrize(
    ("changes", "damp"),
    [
        ({}, False),
        ({"damp": True}, True),
        ({"moisture_reading_percent": 1.0}, False),
        ({"moisture_reading_percent": 4.0}, True),
    ],
)
def test_a_damp_wall_is_never_planned_in_silence(changes: dict[str, Any], damp: bool) -> None:
    """4 % of 1,800 kg/m³ is 72 kg/m³, 38 % of the 190 that brick takes up by suction: above 20 %."""
    plan = a_plan(**changes)

    told = [finding for finding in plan.findings if finding.code == "H111"]
    assert bool(told) == damp
    if damp:
        assert "not to be lined until the cause is cured" in told[0].text
    found = soaking(plan.wall)
    if found:
        assert found.percent == pytest.approx(found.reading_percent * 1800 / 190)
        verdicts = performance_of(plan, PRACTICE, None).verdicts
        (dry,) = (verdict for verdict in verdicts if verdict.requirement == DRY)
        assert dry.met != damp


def test_a_climate_without_cold_months_is_judged_without_a_factor() -> None:
    """26 °C in every month: the surface asks for nothing, and that is said."""
    warm = SiteClimate((26.0,) * 12, (0.8,) * 12)
    performance = performance_of(a_plan(), PRACTICE, warm)

    assert performance.moisture
    assert performance.moisture.frsi_needed == 0
    assert any("no factor is needed" in note for note in performance.notes)
    assert any(verdict.requirement == LEFT for verdict in performance.verdicts)
    assert "no factor needed" in moisture_table(performance.moisture).title


def test_a_climate_with_one_cold_month_is_judged_by_it() -> None:
    mild = SiteClimate((12.0, *(26.0,) * 11), (0.8,) * 12)

    moisture = moisture_of(a_plan(), PRACTICE, mild)

    assert moisture.critical_month == "January"
    assert 0 < moisture.frsi_needed < 1


@pytest.mark.parametrize("beyond", ["stair", "ground"])
def test_moisture_asked_for_on_any_wall_is_never_dropped(beyond: str) -> None:
    plan = a_plan(other_side=beyond)
    walls = Followed([plan], PRACTICE, weather())
    performance = performance_of(plan, PRACTICE, CLIMATE, walls.years(plan))

    (told,) = (finding for finding in performance.findings if finding.code == "H109")
    assert beyond in told.text
    assert any("not followed through the years" in note and beyond in note for note in performance.notes)


@pytest.mark.parametrize("changes", [{}, {"moisture_reading_percent": 1.0}])
def test_a_wall_found_damp_by_eye_fails_and_is_not_followed(changes: dict[str, Any]) -> None:
    plan = a_plan(damp=True, **changes)
    walls = Followed([plan], PRACTICE, weather())
    performance = performance_of(plan, PRACTICE, CLIMATE, walls.years(plan))

    (dry,) = (verdict for verdict in performance.verdicts if verdict.requirement == DRY)
    assert not dry.met
    assert performance.years is None
    (told,) = (finding for finding in plan.findings if finding.code == "H111")
    assert "hold them back" in told.text


def test_rain_that_misses_the_wall_is_no_reason_for_the_years() -> None:
    """The weather has rain, but none of it meets this face: that is what H112 and the reasons go by."""
    plan, performance = judged()
    assert performance.years
    assert performance.years.case.rain_factor > 0
    dry = replace(performance.years, rain=0.0)

    assert not any("rain" in reason for reason in suspects(plan.wall, PRACTICE, dry))
    assert "H112" in codes(performance_of(plan, PRACTICE, CLIMATE, dry))


def test_both_climates_are_named_where_the_job_gives_two() -> None:
    plan, performance = judged()
    assert performance.years
    measured = replace(performance.years, estimate=False, source="a station")

    notes = " ".join(performance_of(plan, PRACTICE, replace(CLIMATE, source="the job"), measured).notes)
    alone = " ".join(performance_of(plan, PRACTICE, replace(CLIMATE, source=measured.source), measured).notes)

    words = "the climate that the job gives; through the years: the hours of a station"
    assert words in notes
    assert words not in alone
    assert "20 °C all the year" in notes


def test_what_is_left_after_a_year_has_its_spread() -> None:
    moisture = moisture_of(a_plan(""), PRACTICE, CLIMATE)
    (left,) = (v for v in performance_of(a_plan(""), PRACTICE, CLIMATE).verdicts if v.requirement == LEFT)

    assert left.uncertainty == moisture.left_spread >= 0
    assert (moisture.left_spread > 0) == (moisture.risk_left != 0)
