"""From the wall as set out to its years: the layers are the wall's own, and the outcomes obey plain laws."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.design.wet import PRACTICE, a_case, a_plan, a_wall, followed, weather

from innerleaf.design.buildup import depth_of
from innerleaf.design.climate import climate_of, room_hours, wettest_direction
from innerleaf.design.moisture.settled import SettledYears
from innerleaf.design.moisture.transient import first_month, follow, follow_all
from innerleaf.design.moisture.transient_case import case_of, hygro, wet_layers
from innerleaf.design.moisture.transient_years import WEEKS
from innerleaf.documents.moisture_plots import calendar
from innerleaf.layout.plan import plan_wall
from innerleaf.physics.moist_air import saturation_pressure
from innerleaf.physics.weather_face import driving_rain
from innerleaf.practice.moisture import load_moisture
from innerleaf.survey.wall import ExistingLayer


def test_layers_are_those_of_the_wall_as_set_out() -> None:
    """Outside first: old layers, what lies before the frame and in it, membrane, boards."""
    plan = a_plan()
    depth, case = depth_of(plan, PRACTICE), a_case()

    names = [layer.name for layer in case.layers]
    assert names == [
        "lime-render",
        "brick-1800",
        "wool-60",
        "air",
        "membrane-variable",
        *plan.wall.lining.boards,
    ]
    films = 0.0005
    assert sum(layer.thickness for layer in case.layers) == pytest.approx(depth.thickness + films)
    for layer, wet in zip(case.layers, wet_layers(case), strict=True):
        if layer.sd:  # as thin as the solver wants it, its resistance kept
            resistance = wet.thickness / wet.material.at(0.5)[4]
            assert resistance == pytest.approx(layer.thickness / layer.conductivity)
        else:
            assert wet.thickness == layer.thickness


@pytest.mark.parametrize(
    ("humidity", "sd"), [(0.3, 5.0), (0.4, 5.0), (0.65, (5 * 0.25) ** 0.5), (0.95, 0.25)]
)
def test_a_film_that_opens_when_damp_goes_by_equal_ratios(humidity: float, sd: float) -> None:
    """5 m dry, 0.25 m damp, their geometric mean halfway: as the practice set declares it."""
    film = next(wet for wet in wet_layers(a_case()) if wet.material.name == "membrane-variable")

    assert film.thickness / film.material.at(humidity)[3] == pytest.approx(sd, rel=0.02)


def test_a_plain_film_does_not_change() -> None:
    film = next(wet for wet in wet_layers(a_case("membrane-PE-0.15")) if "PE" in wet.material.name)

    assert film.thickness / film.material.at([0.2, 0.6, 0.95])[:, 3] == pytest.approx([50.0] * 3)


def test_walls_that_face_nearly_alike_share_a_case() -> None:
    """Equal values, one calculation: 220 and 230 degrees are both about 225."""
    same, near, other = (a_case(facing_deg=facing) for facing in (225, 230, 90))

    assert same == near != other
    assert len(follow_all([same, near], weather())) == 1


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"other_side": "stair"}, "beyond the wall: stair"),
        ({"construction": ()}, "does not say what the old wall is made of"),
        ({"humidity_class": 5}, "humidity class 5"),
        (
            {"construction": (ExistingLayer(material="steel", thickness_mm=5),)},
            "nothing is known of the water in steel",
        ),
    ],
)
def test_what_cannot_be_followed_says_why(changes: dict[str, Any], reason: str) -> None:
    found = case_of(plan_wall(a_wall(**changes), PRACTICE), PRACTICE, weather())

    assert isinstance(found, str)
    assert reason in found


def test_water_figures_of_a_like_material_stand_in() -> None:
    """Water by the like material; density, conductivity and vapour resistance are its own."""
    layer = a_case(construction=(ExistingLayer(material="gypsum-plaster-1300", thickness_mm=15),)).layers[0]
    like, own = load_moisture()["gypsum-plaster-1000"], PRACTICE.materials["gypsum-plaster-1300"]

    assert layer.stands_for == like.id
    assert layer.water
    assert layer.water.water_free_kg_m3 == like.water_free_kg_m3
    assert layer.water.density_kg_m3 == own.density_kg_m3
    assert a_case().layers[1].stands_for == ""


def test_unsaid_orientation_faces_the_rain() -> None:
    """The direction that meets most driving rain, found by trying them all."""
    hours = weather()
    most = max(range(360), key=lambda facing: driving_rain(hours, facing, 1.0).sum())

    assert abs(wettest_direction(hours) - most) <= 8
    assert a_case(facing_deg=None).facing == wettest_direction(hours)


def test_rooms_have_the_humidity_of_their_class() -> None:
    """Vapour pressure above that outside: nothing in summer, 810 Pa at 0 degrees in class 3."""
    hours = weather()
    room, humidity = room_hours(hours, 3)
    inside = (humidity * saturation_pressure(room)).reshape(-1, 24).mean(axis=1)
    outside = (hours.humidity * saturation_pressure(hours.temperature)).reshape(-1, 24).mean(axis=1)
    day = hours.temperature.reshape(-1, 24).mean(axis=1)

    expected = 810 * np.clip(1 - day / 20, 0, 1)
    assert inside - outside == pytest.approx(expected, abs=1e-6)
    assert room.min() == 20
    assert room.max() <= 25


def test_months_of_the_hours_are_those_they_were_made_of() -> None:
    from tests.design.test_performance import CLIMATE

    found = climate_of(weather())

    assert found.temperature == pytest.approx(CLIMATE.temperature)
    assert found.humidity == pytest.approx(CLIMATE.humidity, abs=0.01)


def test_the_wall_settles_and_nothing_is_lost() -> None:
    years = followed(a_case())

    assert years.settled
    assert abs(years.gain_percent) < 0.2
    assert abs(years.water_error) < 1e-9
    assert abs(years.heat_error) < 1e-9
    assert all(len(layer.mean) == years.years for layer in years.layers)
    assert len(years.course.humidity) == WEEKS * years.years


def test_more_rain_makes_the_wall_wetter() -> None:
    """Sheltered, normal, severe: each wetter than the one before, and damper behind the insulation."""
    walls = [followed(a_case(rain_exposure=word)) for word in ("sheltered", "normal", "severe")]

    assert walls[0].rain < walls[1].rain < walls[2].rain
    assert walls[0].old_water < walls[1].old_water < walls[2].old_water
    assert walls[0].humidity_most < walls[1].humidity_most < walls[2].humidity_most


def test_inner_insulation_makes_the_old_wall_colder_and_wetter() -> None:
    years = followed(a_case())

    assert years.old_water > years.old_water_before
    assert years.frost.hours > years.frost_before.hours
    assert years.wood_percent > years.wood_before


def test_without_a_film_it_is_damper_behind_the_insulation() -> None:
    """Vapour from the room: a tight film keeps out more than one that opens, no film least."""
    tight, variable, none = (
        followed(a_case(name, rain=False), rain=False)
        for name in ("membrane-PE-0.25", "membrane-variable", "")
    )

    assert tight.humidity_most < variable.humidity_most < none.humidity_most
    assert tight.mould_index <= none.mould_index


def test_a_wet_start_dries_to_the_same_end() -> None:
    """What the survey reads is in the wall on the first day; where it settles does not depend on it."""
    wet, dry = followed(a_case(moisture_reading_percent=3.0)), followed(a_case())
    brick = wet.case.layers[1]
    assert brick.water
    read = 0.03 * brick.water.density_kg_m3 * brick.thickness

    assert wet.course.water[1][0] == pytest.approx(read, rel=0.1)
    assert dry.course.water[1][0] < 0.5 * read
    assert wet.old_water == pytest.approx(dry.old_water, rel=0.02)


def test_wood_is_in_balance_with_the_masonry() -> None:
    """Recomputed from the profile of the dampest day: the same sorption curve, within the season."""
    years = followed(a_case())
    day = years.profiles[0]
    x = np.concatenate([day.depth[k] for k in range(2)])
    phi = np.interp(years.case.wood_depth, x, np.concatenate([day.humidity[k] for k in range(2)]))
    wood = load_moisture()["timber-500"]

    on_the_day = 100 * float(hygro(wood).water(phi)) / wood.density_kg_m3
    assert years.wood_percent == pytest.approx(on_the_day, rel=0.15)


def test_profiles_cover_the_wall_and_its_water() -> None:
    """Layer by layer to the room face; the water under the curve is the water of the course."""
    years = followed(a_case())
    total = sum(layer.thickness for layer in years.case.layers)

    for day in years.profiles:
        assert day.depth[0][0] == 0
        assert day.depth[-1][-1] == pytest.approx(total)
        for layer in range(len(day.depth) - 1):
            assert day.depth[layer][-1] == pytest.approx(day.depth[layer + 1][0])
    summer = years.profiles[-1]
    brick = float(np.trapezoid(summer.water[1], summer.depth[1]))
    assert brick == pytest.approx(years.layers[1].at_end[-1], rel=1e-6)


def test_the_spread_is_what_the_variants_shift() -> None:
    years = followed(a_case())
    unchanged, *others = years.variants
    shifts = [variant.wood_percent - unchanged.wood_percent for variant in others]

    assert years.spread(lambda each: each.wood_percent) == pytest.approx(np.linalg.norm(shifts))
    assert len(others) == 4
    assert unchanged.wood_percent == pytest.approx(years.wood_percent, rel=0.02)
    assert years.spread(lambda _: 1.0) == 0


def test_where_no_rain_arrives_more_of_it_moves_nothing() -> None:
    """The weather has rain; a wall that none of it meets has no variant by rain, and none is counted."""
    years = followed(a_case(rain=False), rain=False)

    assert years.rain == 0
    assert not any("rain" in variant.what for variant in years.variants)
    assert years.variants[0].mould_index == pytest.approx(years.mould_index, abs=0.05)


def test_south_of_the_equator_years_begin_in_april() -> None:
    """The same hours half a year later, at 40 degrees south: winter ends with September, not with March."""
    here = weather()
    half = 181 * 24  # January to June
    names = ("temperature", "humidity", "rain", "wind", "wind_from")
    south = replace(here, latitude=-40.0, **{name: np.roll(getattr(here, name), half) for name in names})
    profiles = follow(a_case(), south).profiles
    winter = min(profiles, key=lambda day: abs(day.day - 183))  # its end, or the dampest day close to it

    assert first_month(here) == 10
    assert first_month(south) == 4
    assert profiles[-1].title == "end of summer"
    assert profiles[-1].temperature[0][0] > winter.temperature[0][0]
    assert calendar(winter.day, first_month(south)).split()[1] in ("September", "October")


def test_the_same_case_gives_the_same_years() -> None:
    case = replace(a_case(), facing=45)
    (first,) = follow_all([case], weather()).values()
    (second,) = follow_all([case], weather()).values()

    assert first == second


def test_what_decides_is_the_same_without_all_else_that_is_told() -> None:
    """For linings still to be chosen among: the same three outcomes, in a part of the time."""
    told, settled = followed(a_case()), SettledYears(PRACTICE, weather())(a_plan())

    assert not isinstance(settled, str)
    assert settled.gain_percent == told.gain_percent
    assert settled.mould_index == told.mould_index
    assert settled.wood_percent == told.wood_percent
    assert SettledYears(PRACTICE, weather())(a_plan(other_side="stair")) == "beyond the wall: stair"
