"""How coats dry: against a published chart, and as any law of drying must."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.practice.drying import load_drying
from innerleaf.programme.drying import Air, Waiting, faults_of_air, hours_to_dry, waiting

DRYING = load_drying()
TAPE = DRYING.coats["tape"]

# GA-236 / GA-216 (gypsum association), hours of one coat of about 1.6 mm by relative humidity and
# temperature; all from memory, to be checked against the print. The last figure is what the vapour law gives,
# computed apart.
CHART = [
    (98, 0.0, 1272, 1844.7),
    (98, 4.4, 912, 1342.9),
    (98, 10.0, 624, 917.6),
    (98, 15.6, 432, 637.6),
    (98, 21.1, 288, 450.0),
    (98, 26.7, 216, 322.3),
    (50, 0.0, 72, 73.8),
    (50, 4.4, 48, 53.7),
    (50, 10.0, 36, 36.7),
    (50, 15.6, 24, 25.5),
    (50, 21.1, 17, 18.0),
    (50, 26.7, 12, 12.9),
    (20, 4.4, 34, 33.6),
    (20, 10.0, 23, 22.9),
    (20, 15.6, 16, 15.9),
    (20, 21.1, 11, 11.2),
    (20, 26.7, 8, 8.1),
    (0, 0.0, 38, 36.9),
    (0, 4.4, 28, 26.9),
    (0, 10.0, 19, 18.4),
    (0, 15.6, 13, 12.8),
    (0, 21.1, 9, 9.0),
    (0, 26.7, 6, 6.4),
]


@pytest.mark.parametrize(("humidity", "temperature", "chart", "law"), CHART)
def test_against_the_chart(humidity: float, temperature: float, chart: float, law: float) -> None:
    """Within 12.5 % of the chart up to 50 % RH; when damp the law waits longer, never less."""
    ours = hours_to_dry(DRYING, TAPE, temperature, humidity)

    assert ours == pytest.approx(law, rel=0.01)
    if humidity <= 50:
        assert ours == pytest.approx(chart, rel=0.125)
    else:
        assert ours > chart


def test_the_chart_of_the_practice_is_part_of_it() -> None:
    known = {(rh, round(c * 9 / 5 + 32)): hours for rh, c, hours, _ in CHART}

    assert all(known[round(row.rh), round(row.temperature_f)] == row.hours for row in DRYING.table.values())


@given(st.floats(-20, 44), st.floats(0, 97))
def test_colder_and_damper_air_never_dries_sooner(temperature: float, humidity: float) -> None:
    here = hours_to_dry(DRYING, TAPE, temperature, humidity)

    assert hours_to_dry(DRYING, TAPE, temperature + 1, humidity) < here
    assert hours_to_dry(DRYING, TAPE, temperature, humidity + 1) > here


def test_a_thick_coat_waits_in_proportion_and_a_filled_joint_by_the_clock() -> None:
    skim = DRYING.coats["skim"]

    assert hours_to_dry(DRYING, skim, 20, 50) == pytest.approx(1.25 * hours_to_dry(DRYING, TAPE, 20, 50))
    assert hours_to_dry(DRYING, DRYING.coats["fill"], 5, 95) == 2


@settings(deadline=None, max_examples=50)
@given(
    st.lists(st.tuples(st.integers(1, 400), st.floats(0.5, 300)), min_size=1, max_size=5), st.integers(0, 500)
)
def test_shares_of_drying_add_up_to_one(periods: list[tuple[int, float]], done: int) -> None:
    """Counted apart, the coat is dry in the minute told and not in the one before."""
    since = [0]
    for length, _ in periods[:-1]:
        since.append(since[-1] + length)
    wait = Waiting(tuple(since), tuple(hours for _, hours in periods))
    ready = wait.ready(done)

    def dried(until: int) -> float:
        ends = [*since[1:], until]
        spans = [max(0, min(end, until) - max(start, done)) for start, end in zip(since, ends, strict=True)]
        return sum(span / 60 / hours for span, (_, hours) in zip(spans, periods, strict=True))

    assert dried(ready) >= 1 - 1e-6
    assert dried(ready - 1) <= 1 + 1e-6


def test_one_air_waits_its_hours() -> None:
    wait = waiting(DRYING, "tape", [Air(since=0, temperature=21.1, humidity=50, basis="assumed")])

    assert wait.ready(600) == 600 + 18 * 60


@pytest.mark.parametrize(
    ("temperature", "humidity", "said"),
    [(9.9, 60, ("10 °C",)), (10, 80, ()), (15, 81, ("80 %",)), (5, 90, ("10 °C", "80 %"))],
)
def test_air_to_work_in(temperature: float, humidity: float, said: tuple[str, ...]) -> None:
    """10 °C at least (DIN 18181 by an association's leaflet), 40 to 80 % favourable."""
    found = faults_of_air(DRYING, Air(since=0, temperature=temperature, humidity=humidity, basis="forecast"))

    assert len(found) == len(said)
    assert all(words in sentence for words, sentence in zip(said, found, strict=True))


def test_air_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match="temperature"):
        hours_to_dry(DRYING, TAPE, 60, 50)
