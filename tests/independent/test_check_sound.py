"""The sound of a plan follows from its own spectra and ways, and the checker finds what does not."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable

import pytest
from tests.conftest import ROOT
from tests.independent.check_sound import BANDS, REFERENCE, Json, faults_of_sound, rw

from innerleaf.design.performance import performance_of
from innerleaf.design.record import record
from innerleaf.job.read import read_job
from innerleaf.layout.plan import plan_wall
from innerleaf.plan_file import figures
from innerleaf.practice.load import load_practice
from innerleaf.survey.build import given_walls

WALLS = ("F11-liv-6", "F11-bed-2", "G-02", "G-06")  # between flats, to the stair, on brackets, concrete


@pytest.fixture(scope="module")
def judged() -> dict[str, Json]:
    """Walls of the demo as they stand in plan.json."""
    job = read_job(ROOT / "examples" / "demo" / "job.yaml")
    practice = load_practice(job.practice, job.practice_override)
    plans = [plan_wall(wall, practice) for wall in given_walls(job, practice) if wall.id in WALLS]
    records = [figures(record(performance_of(plan, practice, None))) for plan in plans]
    return {each["wall"]: json.loads(json.dumps(each)) for each in records}


def test_the_rater_knows_the_reference() -> None:
    """The reference itself is Rw 54: 32 dB short of it in 16 bands are two each."""
    assert rw([0.0] * 3 + [float(line) for line in REFERENCE] + [0.0] * 2, 1) == 54


@pytest.mark.parametrize("wall", WALLS)
def test_the_sound_of_the_demo_follows_from_its_spectra(judged: dict[str, Json], wall: str) -> None:
    assert faults_of_sound(judged[wall]) == []


def louder(performance: Json) -> None:
    """One band of the lined wall 9 dB worse."""
    performance["sound"]["r_after"][BANDS.index(315)] -= 9


def promised(performance: Json) -> None:
    performance["sound"]["gain"] += 0.1


def quieter_flank(performance: Json) -> None:
    performance["sound"]["rooms"]["paths"][1]["rw_after"] += 3


def smaller_room(performance: Json) -> None:
    performance["sound"]["rooms"]["volume_m3"] = 30


def silent(performance: Json) -> None:
    performance["sound"] = None


@pytest.mark.parametrize("spoil", [louder, promised, quieter_flank, smaller_room, silent])
def test_what_is_spoilt_is_found(judged: dict[str, Json], spoil: Callable[[Json], None]) -> None:
    spoilt = copy.deepcopy(judged["F11-liv-6"])
    spoil(spoilt)

    assert faults_of_sound(spoilt)


def test_on_brackets_no_gain_is_counted(judged: dict[str, Json]) -> None:
    sound = judged["G-02"]["sound"]

    assert sound["no_gain"]
    assert sound["gain"] <= 0
