"""The linings of a wall: plot and table say the same, options stand side by side, one is taken."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
from tests.web.conftest import AT, SMALL

from innerleaf.job.read import read_job_text
from innerleaf.store.runs import RunState, ask_for, end
from innerleaf.web.desk import JOB_FILE, Desk
from innerleaf.web.option_plot import option_plot, points_of
from innerleaf.web.reports import _write
from innerleaf.web.runs import OPTIONS, folder_of

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

STUD = {"way": "stud and track", "profile": "CW-50", "spacing": 600, "boards": ["board-A-12.5"], "gap": 20}
WARM = {
    "way": "stud and track",
    "profile": "CW-75",
    "spacing": 600,
    "boards": ["board-A-12.5"],
    "insulation": ["wool-60"],
}
CHOICE: dict[str, Any] = {  # invented figures
    "wall": "W1",
    "objective": "cost",
    "options": 5,
    "passed": 4,
    "criteria": [
        {"key": "cost", "title": "cost", "unit": "EUR", "step": 0.01, "less": True},
        {"key": "thickness", "title": "thickness", "unit": "mm", "step": 0.1, "less": True},
        {"key": "sound_gain", "title": "sound", "unit": "dB", "step": 0.1, "less": False},
        {"key": "u_value", "title": "U-value", "unit": "W/(m²·K)", "step": 0.001, "less": True},
    ],
    "rows": [
        {
            "number": 1,
            "lining": "CW-50",
            "misses": [],
            "written": STUD,
            "full": {"cost": 50.0, "thickness": 82.5, "sound_gain": 5.0, "u_value": 0.9},
        },
        {
            "number": 2,
            "lining": "CW-75",
            "misses": [],
            "written": WARM,
            "full": {"cost": 60.0, "thickness": 97.5, "sound_gain": 9.0, "u_value": 0.5},
        },
        {
            "number": 0,
            "lining": "warm",
            "misses": ["U-value, missed by 0.1 W/(m²·K)"],
            "written": WARM,
            "full": {"cost": 61.0, "thickness": 97.5, "sound_gain": 9.0, "u_value": None},
        },
    ],
    "front": {
        "cost": [50.0, 55.0, 60.0],
        "thickness": [82.5, 90.0, 97.5],
        "sound_gain": [5, 7, 9],
        "u_value": [0.9, 0.7, 0.5],
    },
    "picked": [0, 2],
    "limits": {"thickness": 95},
}
WORDS = {"option": "Option {number}", "given": "of the job", "other": "another", "target": "target"}


@pytest.fixture
def asked(desk: Desk, small: str) -> str:
    """A run that is done."""
    run = ask_for(desk.engine, small, 1, OPTIONS, "W1", who="Ada", at=AT)
    _write(folder_of(desk.folder, run.id), [], options=[CHOICE])
    end(desk.engine, run.id, RunState.DONE)
    return run.id


def test_every_point_is_told_by_shape_number_and_words_and_can_be_reached() -> None:
    svg = option_plot(CHOICE, "thickness", "cost", unit="mm", words=WORDS)
    points = re.findall(
        r'<g class="point (\w+)" role="img" tabindex="(-?\d)" data-number="(\d)" aria-label="([^"]*)"', svg
    )
    assert [(kind, number) for kind, _, number, _ in points] == [
        ("option", "1"),
        ("other", "0"),
        ("option", "2"),
        ("given", "0"),
    ]
    assert [at for _, at, _, _ in points] == ["0", "-1", "-1", "-1"]
    assert points[0][3] == "Option 1: thickness 82.5 mm, cost 50 EUR"
    assert len({re.search(r"h14|l10|a4", part)[0] for part in svg.split('class="point ')[1:]}) == 3  # type: ignore[index]
    assert svg.count('class="limit"') == 1
    assert "in" not in svg.split("thickness [")[1].split("]")[0]
    feet = option_plot(CHOICE, "thickness", "u_value", unit="in", words=WORDS)
    assert "[ft in]" in feet
    assert "BTU" in feet


def test_the_table_has_every_point_of_the_plot(client: TestClient, asked: str) -> None:
    page = client.get(f"/runs/{asked}/options?x=thickness&y=cost").text
    rows = page.split("<details>")[1].count('<th scope="row">')
    assert rows == len(points_of(CHOICE)) == page.count('class="point ')


def test_two_or_three_side_by_side_with_the_best_of_each_figure(client: TestClient, asked: str) -> None:
    page = client.get(f"/runs/{asked}/options?n=1&n=2").text
    beside = page.split('id="beside"')[1].split("</section>")[0]
    cost, thick, sound, heat = re.findall(r"<tr><th scope=\"row\">.*?</tr>", beside)[:4]
    assert [row.count("best") > 0 for row in (cost, thick, sound, heat)] == [True] * 4
    assert cost.index("50.00 EUR") < cost.index("best") < cost.index("60.00 EUR")
    assert sound.index("9.0 dB") < sound.index("best")
    assert 'id="beside"' not in client.get(f"/runs/{asked}/options?n=1").text
    assert client.get(f"/runs/{asked}/options?x=nonsense&n=99").status_code == 200


def test_a_lining_that_the_job_has_is_taken_by_its_name(
    client: TestClient, desk: Desk, asked: str, small: str
) -> None:
    text = SMALL.replace("lining: warm\n", "lining: choose\n")
    desk.write(small, 1, text, who="Ada", what="open again")
    answer = client.put(f"/api/jobs/{small}/walls/W1/option", json={"base": 2, "run": asked, "number": 2})
    assert answer.json() == {"revision": 3, "before": 2, "lining": "warm"}
    assert desk.open(small).revision.text == SMALL  # one value


def test_one_without_a_name_joins_the_linings_of_the_job_and_undo_takes_it_back(
    client: TestClient, desk: Desk, asked: str, small: str
) -> None:
    answer = client.put(f"/api/jobs/{small}/walls/W1/option", json={"base": 1, "run": asked, "number": 1})
    assert answer.status_code == 200, answer.text
    told = answer.json()
    assert told["lining"] == "stud-and-track-cw-50"
    opened = desk.open(small)
    assert opened.said.value["linings"][told["lining"]] == STUD
    assert opened.walls["W1"].lining.profile == "CW-50"
    assert opened.walls["W2"].lining.profile == "CW-75"
    read_job_text(opened.revision.text, opened.file)
    client.post(f"/api/jobs/{small}/restore", json={"number": told["before"]})
    assert desk.open(small).revision.text == SMALL


@pytest.mark.parametrize(
    ("change", "status"),
    [
        ({"number": 9}, 422),
        ({"run": "0" * 32}, 404),
        ({"name": "warm", "number": 1}, 422),
        ({"base": 7}, 404),
    ],
)
def test_what_cannot_be_taken_is_refused(
    client: TestClient, desk: Desk, asked: str, small: str, change: dict[str, Any], status: int
) -> None:
    body = {"base": 1, "run": asked, "number": 1} | change
    assert client.put(f"/api/jobs/{small}/walls/W1/option", json=body).status_code == status
    assert (
        client.put(
            f"/api/jobs/{small}/walls/W2/option", json={"base": 1, "run": asked, "number": 1}
        ).status_code
        == 404
    )
    assert desk.open(small).number == 1


def test_the_options_of_a_real_wall_can_be_written_into_its_job(desk: Desk) -> None:
    """What the choice tells of a lining is what a job file takes."""
    from innerleaf.practice.load import load_practice
    from innerleaf.survey.wish import Wish

    opened = desk.open(desk.take_in({JOB_FILE: SMALL}, who="Ada").line.document)
    lining = opened.walls["W1"].lining
    written = Wish.for_just(lining, load_practice().boards[lining.boards[0]].width_mm).as_written()
    assert written == WARM
