"""A wall, a site and its hours, shared by the tests of moisture through the years; all invented."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
from tests.design.test_performance import CLIMATE, outer_wall

from innerleaf.design.moisture.transient import follow
from innerleaf.design.moisture.transient_case import Case, case_of
from innerleaf.design.moisture.transient_years import MoistureYears
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.physics.moist_air import vapour_pressure
from innerleaf.physics.weather import Weather, weather_from_means
from innerleaf.practice.load import load_practice
from innerleaf.survey.wall import Wall, Way

PRACTICE = load_practice()
RAIN = (68, 52, 56, 52, 60, 66, 72, 68, 62, 66, 70, 76)
WIND = (4.4, 4.2, 4.1, 3.6, 3.3, 3.1, 3.1, 2.9, 3.2, 3.6, 4.0, 4.3)


@cache
def weather(rain: bool = True) -> Weather:
    """A year of hours made from months."""
    return weather_from_means(
        place="Sallowbridge (invented)",
        latitude=51,
        temperature=CLIMATE.temperature,
        vapour_pressure=vapour_pressure(np.asarray(CLIMATE.temperature), np.asarray(CLIMATE.humidity)),
        seed=1,
        rain=RAIN if rain else None,
        wind=WIND,
        source="invented",
    )


def a_wall(membrane: str = "membrane-variable", **changes: Any) -> Wall:
    """An old brick wall, 60 mm of wool behind channels on brackets."""
    wall = outer_wall(Way.BRACKETED, membrane=membrane)
    return replace(wall, **({"facing_deg": 225} | changes))


def a_plan(membrane: str = "membrane-variable", **changes: Any) -> WallPlan:
    return plan_wall(a_wall(membrane, **changes), PRACTICE)


def a_case(membrane: str = "membrane-variable", *, rain: bool = True, **changes: Any) -> Case:
    case = case_of(a_plan(membrane, **changes), PRACTICE, weather(rain))
    assert isinstance(case, Case)
    return case


@cache
def followed(case: Case, rain: bool = True) -> MoistureYears:
    """The years of a case; each is followed once for all tests."""
    return follow(case, weather(rain))
