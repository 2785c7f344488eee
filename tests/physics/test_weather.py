"""Weather: EPW text and all its faults, the synthetic year, sun and rain on a face."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from innerleaf.errors import FileFaults, InputError
from innerleaf.physics.moist_air import saturation_pressure
from innerleaf.physics.monthly import DAYS
from innerleaf.physics.weather import (
    Weather,
    month_of_hour,
    monthly_means,
    smooth_year,
    sun_place,
    weather_from_means,
)
from innerleaf.physics.weather_epw import parse_epw
from innerleaf.physics.weather_face import driving_rain, face_sky, face_sun, wall_exposure
from innerleaf.weather_file import read_epw

MEANS: dict[str, list[float]] = {
    "temperature": [1.0, 1.9, 4.7, 9.2, 14.1, 16.7, 19.0, 18.6, 14.3, 9.5, 4.1, 0.9],
    "vapour_pressure": [606, 633, 657, 746, 1121, 1350, 1551, 1623, 1342, 994, 754, 613],
    "sun": [28, 55, 95, 160, 210, 225, 215, 185, 125, 70, 33, 20],
    "rain": [45, 35, 40, 38, 55, 65, 60, 58, 45, 40, 45, 50],
    "wind": [4.5, 4.4, 4.3, 3.9, 3.6, 3.4, 3.4, 3.3, 3.5, 3.8, 4.2, 4.4],
}


def synthetic(seed: int = 1, **changes: object) -> Weather:
    given = {
        "place": "somewhere",
        "latitude": 52.4,
        "longitude": 13.0,
        "seed": seed,
        "source": "invented",
        **MEANS,
    }
    return weather_from_means(**(given | changes))  # type: ignore[arg-type]


def epw_lines(weather: Weather, columns: int = 35) -> list[str]:
    """The year as EPW text, written by the public description of the columns."""
    head = [
        "LOCATION,Sometown,-,XXX,invented,999999,52.40,13.00,1.0,80.0",
        *[f"HEADER {k}" for k in range(7)],
    ]
    stamps = [(m + 1, d + 1, h + 1) for m, days in enumerate(DAYS) for d in range(days) for h in range(24)]
    assert weather.wind is not None
    assert weather.wind_from is not None
    assert weather.sun_direct is not None
    assert weather.sun_diffuse is not None
    assert weather.rain is not None
    for k, (month, day, hour) in enumerate(stamps):
        cells = ["0"] * 35
        cells[:6] = ["2019", str(month), str(day), str(hour), "60", "?9"]
        cells[6] = f"{weather.temperature[k]:.3f}"
        cells[8] = f"{100 * weather.humidity[k]:.2f}"
        cells[12] = "310"
        cells[14], cells[15] = f"{weather.sun_direct[k]:.1f}", f"{weather.sun_diffuse[k]:.1f}"
        cells[20], cells[21] = f"{weather.wind_from[k]:.0f}", f"{weather.wind[k]:.2f}"
        cells[33] = f"{weather.rain[k]:.3f}"
        head.append(",".join(cells[:columns]))
    return head


LINES = epw_lines(synthetic())


def changed(line: int, column: int, value: str) -> list[str]:
    """The text with one cell changed; lines count from 1."""
    lines = list(LINES)
    cells = lines[line - 1].split(",")
    cells[column] = value
    lines[line - 1] = ",".join(cells)
    return lines


def faults_of(lines: list[str]) -> tuple[str, ...]:
    with pytest.raises(FileFaults) as error:
        parse_epw(lines, "a.epw")
    return error.value.faults


def test_epw_comes_back_as_written(tmp_path: Path) -> None:
    path = tmp_path / "year.epw"
    path.write_text("\r\n".join(LINES) + "\r\n", encoding="utf-8")
    ours, written = read_epw(path), synthetic()

    assert (ours.place, ours.latitude, ours.longitude, ours.zone) == ("Sometown", 52.4, 13.0, 1.0)
    assert ours.temperature == pytest.approx(written.temperature, abs=6e-4)
    assert ours.humidity == pytest.approx(written.humidity, abs=6e-5)
    assert ours.rain == pytest.approx(written.rain, abs=6e-4)
    assert ours.sky == pytest.approx(np.full(8760, 310.0))
    assert not ours.estimate


def test_a_file_cut_short_says_where() -> None:
    assert faults_of(LINES[:5000]) == (
        "a.epw: cut short after line 5000: 4992 hours, a whole year of 8760 is needed.",
    )
    assert "cut short" in faults_of(LINES[:8])[-1]
    assert faults_of([])[0].startswith("a.epw, line 1: begins with ''")


def test_a_line_cut_in_the_middle() -> None:
    lines = [*LINES[:8767], LINES[8767][:40]]

    assert faults_of(lines)[0].startswith("a.epw, line 8768: ")
    assert "at least 22 are needed" in faults_of(lines)[0]


@pytest.mark.parametrize(
    ("line", "column", "value", "words"),
    [
        (20, 6, "85", "line 20: dry bulb temperature is 85 °C, accepted: -70 to 60."),
        (20, 8, "-4", "line 20: relative humidity is -4 %, accepted: 0 to 110."),
        (20, 6, "warm", "line 20: dry bulb temperature is 'warm', a number is needed."),
        (20, 14, "2000", "line 20: direct normal radiation is 2000 W/m², accepted: 0 to 1500."),
        (20, 1, "13", "line 20: month, day, hour are 13, 1, 12;"),
        (20, 3, "11", "line 20: the same hour as line 19."),
        (1, 6, "152", "line 1: latitude is '152', a number from -90 to 90 is needed."),
        (1, 0, "PLACE", "line 1: begins with 'PLACE', an EPW file begins with LOCATION."),
    ],
)
def test_faults_name_line_value_and_range(line: int, column: int, value: str, words: str) -> None:
    assert any(words in fault for fault in faults_of(changed(line, column, value)))


def test_all_faults_at_once_and_bounded() -> None:
    lines = changed(20, 6, "85")
    lines[40] = "x,y"
    lines[0] = "PLACE"
    assert len(faults_of(lines)) == 3  # the first line, a line of two columns, an hour too hot
    hot = [*LINES[:8], *[",".join([*line.split(",")[:6], "80", *line.split(",")[7:]]) for line in LINES[8:]]]
    assert len(faults_of(hot)) == 21
    assert faults_of(hot)[-1] == "and 8740 more faults of this kind."


def test_short_gaps_are_bridged_and_long_ones_said() -> None:
    short = changed(100, 6, "99.9")
    weather = parse_epw(short)
    assert weather.temperature[91] == pytest.approx(0.5 * (weather.temperature[90] + weather.temperature[92]))
    long = list(LINES)
    for k in range(100, 110):
        cells = long[k].split(",")
        cells[6], cells[33] = "99.9", "999"
        long[k] = ",".join(cells)
    assert faults_of(long) == (
        "a.epw, line 101: dry bulb temperature is missing for 10 hours, at most 6 can be bridged.",
    )


def test_a_gap_of_wind_does_not_turn_it_round() -> None:
    """Halfway from 350° to 10° lies north, not south: a gap keeps the direction before it."""
    lines = changed(100, 20, "350")
    for line, value in ((101, "999"), (102, "10")):
        cells = lines[line - 1].split(",")
        cells[20] = value
        lines[line - 1] = ",".join(cells)
    weather = parse_epw(lines)

    assert weather.wind_from is not None
    assert weather.wind_from[91:94].tolist() == [350, 350, 10]


def test_rain_that_is_missing_is_no_fault() -> None:
    assert parse_epw(epw_lines(synthetic(), columns=30)).rain is None


def test_leap_day_is_left_out() -> None:
    after = 8 + 59 * 24
    extra = [LINES[after - 24 + k].replace("2019,2,28,", "2020,2,29,") for k in range(24)]

    assert parse_epw([*LINES[:after], *extra, *LINES[after:]]).temperature == pytest.approx(
        parse_epw(LINES).temperature
    )


def test_no_file(tmp_path: Path) -> None:
    with pytest.raises(FileFaults, match=r"none.epw: cannot be read \(No such file"):
        read_epw(tmp_path / "none.epw")


def test_the_synthetic_year_keeps_its_means() -> None:
    ours = synthetic()
    height, _, _ = sun_place(52.4, 13.0, 1.0)
    assert ours.sun_direct is not None
    assert ours.sun_diffuse is not None
    assert ours.rain is not None
    assert ours.wind is not None
    level = ours.sun_direct * np.maximum(height, 0) + ours.sun_diffuse

    assert monthly_means(ours.temperature) == pytest.approx(MEANS["temperature"], abs=1e-9)
    pressure = ours.humidity * saturation_pressure(ours.temperature)
    assert monthly_means(pressure) == pytest.approx(MEANS["vapour_pressure"], rel=0.01)
    assert monthly_means(level) == pytest.approx(MEANS["sun"], rel=0.01)
    assert np.bincount(month_of_hour(), ours.rain) == pytest.approx(MEANS["rain"])
    assert monthly_means(ours.wind) == pytest.approx(MEANS["wind"])
    assert np.all((ours.humidity > 0) & (ours.humidity <= 0.99 + 1e-12))
    assert ours.estimate
    assert ours.source.startswith("estimate")


def test_same_seed_same_year() -> None:
    assert np.array_equal(synthetic(4).temperature, synthetic(4).temperature)
    assert not np.array_equal(synthetic(4).temperature, synthetic(5).temperature)


def test_smooth_year_has_no_jumps() -> None:
    hours = smooth_year(MEANS["temperature"])

    assert np.abs(np.diff(np.append(hours, hours[0]))).max() < 0.02


def test_sun_stands_where_it_must() -> None:
    """Noon heights at the solstices are 90° - latitude ± 23.45°; at noon it stands in the south."""
    height, bearing, outside = sun_place(52.4, 15.0, 1.0)
    midsummer, midwinter = height[172 * 24 : 173 * 24].max(), height[355 * 24 : 356 * 24].max()

    assert np.degrees(np.arcsin(midsummer)) == pytest.approx(90 - 52.4 + 23.45, abs=0.6)
    assert np.degrees(np.arcsin(midwinter)) == pytest.approx(90 - 52.4 - 23.45, abs=0.6)
    assert abs(np.degrees(bearing[80 * 24 + 11])) == pytest.approx(180, abs=12)
    assert np.degrees(bearing[172 * 24 + 5]) == pytest.approx(70, abs=12)  # morning: east-north-east
    assert outside.max() < 1420


def test_south_gets_most_winter_sun_and_west_the_rain() -> None:
    ours = synthetic()
    winter = {facing: face_sun(ours, facing)[: 31 * 24].mean() for facing in (0, 90, 180, 270)}
    wet = {facing: driving_rain(ours, facing, 0.5).sum() * 3600 for facing in (0, 90, 180, 270)}

    assert max(winter, key=lambda facing: winter[facing]) == 180
    assert min(winter, key=lambda facing: winter[facing]) == 0
    assert max(wet, key=lambda facing: wet[facing]) == 270


def test_driving_rain_by_hand() -> None:
    """2/9 · 5 m/s · 1 mm/h straight on: 1.11 l/(m²·h)."""
    ours = replace(
        synthetic(), rain=np.full(8760, 1.0), wind=np.full(8760, 5.0), wind_from=np.full(8760, 240.0)
    )

    assert driving_rain(ours, 240, 1.0)[0] * 3600 == pytest.approx(10 / 9)
    assert driving_rain(ours, 60, 1.0)[0] == 0


def test_a_clear_sky_cools() -> None:
    ours = replace(synthetic(), sky=np.full(8760, 200.0))

    assert face_sky(ours).max() < 0


def test_exposure_takes_what_there_is() -> None:
    bare = replace(synthetic(), rain=None, sun_direct=None, sun_diffuse=None)
    dry = wall_exposure(bare, facing=240, room=20.0, room_humidity=0.5)
    wet = wall_exposure(synthetic(), facing=240, room=20.0, room_humidity=0.5)

    assert dry.hours[:, 0] == pytest.approx(bare.temperature)
    assert dry.hours[:, 4].max() == 0
    assert wet.hours[:, 0].mean() > dry.hours[:, 0].mean()
    assert wet.hours[:, 4].sum() * 3600 == pytest.approx(
        0.7 * driving_rain(synthetic(), 240, 0.5).sum() * 3600
    )


def test_weather_that_cannot_be() -> None:
    with pytest.raises(InputError, match=r"temperature: given 85.0, accepted: -60 to 60 °C"):
        synthetic(temperature=[85.0] * 12)
    with pytest.raises(
        InputError, match=r"vapour pressure: given 3000.0, accepted: at most saturation, 656 Pa at 1 °C"
    ):
        synthetic(vapour_pressure=[3000.0] * 12)
    with pytest.raises(InputError, match=r"rain: given '3 values', accepted: twelve"):
        synthetic(rain=[1.0, 2.0, 3.0])
    with pytest.raises(InputError, match=r"sun: given 400.0, accepted: at most"):
        synthetic(sun=[400.0] * 12)
    with pytest.raises(InputError, match=r"latitude: given 95"):
        synthetic(latitude=95)
    with pytest.raises(InputError, match=r"driving rain factor: given 50"):
        driving_rain(synthetic(), 240, 50)
    with pytest.raises(InputError, match=r"weather: given 'no solar radiation'"):
        face_sun(replace(synthetic(), sun_direct=None), 180)
    with pytest.raises(InputError, match=r"no long-wave"):
        face_sky(synthetic())
    with pytest.raises(InputError, match=r"absorptance: given 60"):
        wall_exposure(synthetic(), facing=240, room=20.0, room_humidity=0.5, absorptance=60)
