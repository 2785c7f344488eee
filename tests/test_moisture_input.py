"""Bad input for heat and moisture: one sentence that names the place, and nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.test_cli import run

HOURS = 8760
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
TEMPERATURE = "[1, 2, 5, 9, 13, 16, 18, 18, 14, 10, 5, 2]"
HUMIDITY = "[86, 84, 79, 74, 73, 74, 75, 76, 80, 83, 86, 87]"
MONTHLY = f"temperature: {TEMPERATURE}, humidity: {HUMIDITY}"
TWELVE = "[3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3]"


def job_text(
    site: str = f"climate: {{{MONTHLY}}}", wall: str = "", layer: str = "brick-1800", thick: str = "240"
) -> str:
    return f"""\
format: 1
site:
  name: Test house (invented)
  {site}
firm: {{name: Test firm (invented), practice: firm.yaml}}
constructions:
  old: [{{material: {layer}, thickness: {thick}}}]
linings:
  thin: {{way: bracketed, profile: CD-60-27, boards: [board-A-12.5], insulation_behind: [wool-40], gap: 40}}
rooms: [{{id: R1, name: Bedroom}}]
walls:
  - {{id: W-01, room: R1, length: 2400, height: 2500, construction: old, lining: thin{wall}}}
"""


def epw_lines(hours: int = HOURS, columns: int = 35) -> list[str]:
    """An invented year: mild, damp, no rain."""
    head = ["LOCATION,Sallowbridge,-,-,invented,0,51.0,0.0,0.0,10", *[""] * 7]
    rows = []
    for month, days in enumerate(DAYS, 1):
        for day in range(1, days + 1):
            for hour in range(1, 25):
                cells = ["2001", str(month), str(day), str(hour), "0", "x", "8.0", "6.0", "85", *["0"] * 26]
                rows.append(",".join(cells[:columns]))
    return [*head, *rows[:hours]]


def write(folder: Path, text: str, firm: str = "") -> Path:
    (folder / "firm.yaml").write_text(f"source: the firm\n{firm}", "utf-8")
    (folder / "job.yaml").write_text(text, "utf-8")
    return folder / "job.yaml"


def refused(job: Path, words: tuple[str, ...]) -> None:
    """Both `check` and `plan` say one sentence with the words, and write nothing."""
    out = job.parent / "out"
    for arguments in (("check", job), ("plan", job, "--out", out, "--no-pdf", "--no-dxf")):
        answer = run(*arguments)
        assert answer.returncode == 2, answer.stdout
        sentence, *more = answer.stderr.strip().splitlines()
        assert not more
        for word in words:
            assert word in sentence
    assert not out.exists()
    assert {path.name for path in job.parent.iterdir()} <= {"job.yaml", "firm.yaml", "weather.epw"}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            job_text(f"climate: {{temperature: {TEMPERATURE[:-4]}], humidity: {HUMIDITY}}}"),
            ("job.yaml:4", "climate.temperature", "a list of 11", "12 numbers", "January first"),
        ),
        (
            job_text(f"climate: {{{MONTHLY}, rain: {TWELVE}}}"),
            ("job.yaml:4", "climate.wind", "12 mean speeds"),
        ),
        (
            job_text(f"climate: {{{MONTHLY}, sun: {TWELVE}}}"),
            ("site, field latitude", "degrees, north positive"),
        ),
        (
            job_text(f"climate: {{{MONTHLY}, sun: [400, {TWELVE[4:]}}}\n  latitude: 51"),
            ("job.yaml:4: site, field climate, sun: given 400", "at most", "W/m² in month 1"),
        ),
        (
            job_text(thick="0"),
            ("job.yaml:7: construction old", "[0].thickness: given 0", "0.1 mm or more"),
        ),
        (
            job_text(thick="-240"),
            ("construction old", "[0].thickness: given -240", "0.1 mm or more"),
        ),
        (
            job_text(layer="brick-1801"),
            ("construction old", "[0].material: given 'brick-1801'", "did you mean brick-1800?"),
        ),
        (
            job_text(wall=", orientation: upwards"),
            ("wall W-01 (Bedroom), field orientation: given 'upwards'", "degrees from north, 0 to 359"),
        ),
        (
            job_text(wall=", orientation: 360"),
            ("wall W-01 (Bedroom), field orientation: given 360", "0 to 359, or north"),
        ),
        (
            job_text(wall=", rain_exposure: wild"),
            ("wall W-01 (Bedroom), field rain_exposure: given 'wild'", "sheltered, normal, severe"),
        ),
        (
            job_text(wall=", moisture_reading: 25"),
            ("wall W-01 (Bedroom), field moisture_reading: given 25", "17.8 % by mass or less", "brick-1800"),
        ),
    ],
)  # fmt: skip
def test_a_job_that_cannot_be(tmp_path: Path, text: str, words: tuple[str, ...]) -> None:
    refused(write(tmp_path, text), words)


@pytest.mark.parametrize(
    ("firm", "words"),
    [
        (
            "membranes: {membrane-variable: {sd_m: 0.2, sd_damp_m: 5}}",
            ("membranes", "membrane-variable", "sd_damp_m: given 5", "at most sd_m (0.2)"),
        ),
        (
            "materials: {brick-1800: {mu_dry: 0.5}}",
            ("materials", "brick-1800", "mu_dry: given 0.5", "1 (still air) or more"),
        ),
        (
            "materials: {brick-1800: {mu_wet: 40}}",
            ("materials", "brick-1800", "mu_wet: given 40", "at most mu_dry (10)"),
        ),
        (
            "materials: {brick-1800: {conductivity_w_mk: 0}}",
            ("materials", "brick-1800", "conductivity_w_mk: given 0", "above 0"),
        ),
        (
            "insulation: {wool-40: {conductivity_w_mk: -0.04}}",
            ("insulation", "wool-40", "conductivity_w_mk: given -0.04", "above 0"),
        ),
        (
            "insulation: {wool-40: {thickness_mm: 0}}",
            ("insulation", "wool-40", "thickness_mm: given 0", "above 0"),
        ),
    ],
)  # fmt: skip
def test_a_firm_file_that_contradicts_physics(tmp_path: Path, firm: str, words: tuple[str, ...]) -> None:
    refused(write(tmp_path, job_text(), firm), ("firm.yaml", *words))


WEATHER = job_text("weather: weather.epw")


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (None, ("weather.epw", "cannot be read")),
        (epw_lines(hours=300), ("weather.epw: cut short after line 308", "300 hours", "8760")),
        (["what", "is", "this"], ("weather.epw, line 1", "begins with LOCATION")),
    ],
)  # fmt: skip
def test_weather_that_cannot_be_used(tmp_path: Path, lines: list[str] | None, words: tuple[str, ...]) -> None:
    job = write(tmp_path, WEATHER)
    if lines is not None:
        (tmp_path / "weather.epw").write_text("\n".join(lines), "utf-8")

    answer = run("check", job)

    assert answer.returncode == 2
    first = answer.stderr.splitlines()[0]
    for word in ("job.yaml:4: site, field weather", *words):
        assert word in first
    assert run("plan", job, "--out", tmp_path / "out", "--no-pdf", "--no-dxf").returncode == 2
    assert not (tmp_path / "out").exists()


def test_weather_with_too_few_columns_names_the_lines(tmp_path: Path) -> None:
    (tmp_path / "weather.epw").write_text("\n".join(epw_lines(columns=12)), "utf-8")

    answer = run("check", write(tmp_path, WEATHER))

    assert answer.returncode == 2
    assert "weather.epw, line 9: 12 columns, at least 22 are needed" in answer.stderr
    assert len(answer.stderr.splitlines()) < 30  # not 8,760 of them


def test_weather_alone_is_climate_enough(tmp_path: Path) -> None:
    """From the hours come the months too; without rain in them a finding says so."""
    (tmp_path / "weather.epw").write_text("\n".join(epw_lines()), "utf-8")
    job = write(tmp_path, WEATHER)

    assert run("check", job).returncode == 0
    answer = run("plan", job, "--out", tmp_path / "out", "--no-pdf", "--no-dxf")

    assert answer.returncode == 0, answer.stderr
    assert "H112" in answer.stdout
