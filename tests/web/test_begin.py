"""A job begun step by step: what is typed becomes a job file that can be read, in the order it was said."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from innerleaf.job.begin import next_step, suggestions
from innerleaf.job.read import read_job_text
from innerleaf.practice.climates import typical_climates
from innerleaf.reading import read_text
from innerleaf.web.desk import JOB_FILE, Desk

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

SITE = {
    "name": "Rope Yard 3 (invented)",
    "place": "Ostermill (invented)",
    "practice": "en_metric",
    "climate": "lowland",
}
ROOM = {
    "name": "Living room",
    "storey": "first floor",
    "height": "2600",
    "sides[0].length": "4200",
    "sides[1].length": "3.1 m",
    "sides[1].turn": "90",
    "sides[2].length": "4200",
    "sides[3].length": "10' 2\"",
}
WALL = {
    "side": "1",
    "other_side": "outside",
    "orientation": "180",
    "[0].material": "brick-1800",
    "[0].thickness": "365",
    "[2].material": "gypsum-plaster-1300",
    "[2].thickness": "15 mm",
    "openings[1].kind": "window",
    "openings[1].x": "900",
    "openings[1].sill": "850",
    "openings[1].width": "1200",
    "openings[1].height": "1350",
}
TARGETS = {"targets.u_value": "0,45", "targets.moisture": "true", "loads[0].mass": "40", "loads[0].x": "200"}
LOAD = {"loads[0].y": "2400", "loads[0].width": "800", "loads[0].depth": "200"}


def _begun(client: TestClient) -> str:
    answer = client.post("/jobs/new", data=SITE, follow_redirects=False)
    assert answer.status_code == 303
    return str(answer.headers["location"].split("/")[2])


def _step(
    client: TestClient, key: str, step: str, fields: dict[str, str], *, base: int = 0
) -> tuple[int, str]:
    number = base or client.get(f"/api/jobs/{key}").json()["revision"]["number"]
    answer = client.post(
        f"/jobs/{key}/begin/{step}", data={**fields, "base": str(number)}, follow_redirects=False
    )
    return answer.status_code, answer.headers.get("location", answer.text)


def test_from_nothing_to_a_wall_set_out(client: TestClient, desk: Desk) -> None:
    key = _begun(client)
    assert _step(client, key, "room", ROOM) == (303, f"/jobs/{key}/begin/wall")
    assert _step(client, key, "wall", WALL) == (303, f"/jobs/{key}/begin/targets")
    assert _step(client, key, "targets", TARGETS | LOAD) == (303, f"/jobs/{key}/begin/lining")
    assert _step(client, key, "lining", {"lining": "warm"}) == (303, f"/jobs/{key}/walls/W-01")
    opened = desk.open(key)
    text = opened.revision.text
    sections = [line.partition(":")[0] for line in text.splitlines() if line[:1].isalpha()]
    assert sections == ["format", "site", "rooms", "constructions", "walls", "linings"]  # as it was said
    assert all("#" in text.split(f"\n{section}:")[0].splitlines()[-1] for section in sections[1:])
    wall = opened.walls["W-01"]
    assert (wall.length_mm, wall.height_mm, len(wall.openings), len(wall.loads)) == (3100, 2600, 1, 1)
    assert opened.said.value["rooms"][0]["sides"][1] == {"wall": "W-01"}
    assert opened.said.value["rooms"][0]["sides"][3] == {"length": "10' 2\""}
    assert opened.said.value["walls"][0]["targets"] == {"u_value": 0.45, "moisture": True}
    assert desk.plan(opened, "W-01").boards
    assert next_step(opened.said.value) == ""


def test_a_step_is_left_and_come_back_to(client: TestClient) -> None:
    key = _begun(client)
    assert client.get(f"/jobs/{key}/begin", follow_redirects=False).headers["location"].endswith("/room")
    assert (
        client.get(f"/jobs/{key}/begin/lining", follow_redirects=False).headers["location"].endswith("/room")
    )
    _step(client, key, "room", ROOM)
    page = client.get(f"/jobs/{key}/begin/room").text
    assert 'value="3.1 m"' in page
    assert 'value="10&#39; 2&#34;"' in page
    assert client.get(f"/jobs/{key}/begin", follow_redirects=False).headers["location"].endswith("/wall")
    building = client.get(f"/jobs/{key}").text
    assert f"/jobs/{key}/begin" in building


def test_going_back_changes_what_was_said_and_nothing_else(client: TestClient, desk: Desk) -> None:
    key = _begun(client)
    for step, fields in (
        ("room", ROOM),
        ("wall", WALL),
        ("targets", TARGETS | LOAD),
        ("lining", {"lining": "quiet"}),
    ):
        _step(client, key, step, fields)
    before = desk.open(key).revision.text
    _step(client, key, "room", ROOM | {"sides[1].length": "3150"})  # the side that the wall stands on
    after = desk.open(key)
    assert after.walls["W-01"].length_mm == 3150
    changed = [
        (old, new)
        for old, new in zip(before.splitlines(), after.revision.text.splitlines(), strict=True)
        if old != new
    ]
    assert changed == [('    length: "3.1 m"', "    length: 3150")]
    _step(client, key, "site", SITE | {"place": "Weir (invented)"})
    assert desk.open(key).job.site_place == "Weir (invented)"


@pytest.mark.parametrize(
    ("step", "fields", "field", "accepted"),
    [
        ("room", ROOM | {"height": "26"}, "height", "100 mm or more"),
        ("room", ROOM | {"sides[2].length": "long"}, "sides[2].length", "a length"),
        ("wall", WALL | {"openings[1].x": "2900"}, "openings[0]", "a place on the wall"),
        ("wall", WALL | {"[0].thickness": "0"}, "[0].thickness", "0.1 mm or more"),
        ("targets", {"targets.u_value": "9"}, "targets.u_value", "5 W/(m²·K) or less"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_not_saved(
    client: TestClient, desk: Desk, step: str, fields: dict[str, str], field: str, accepted: str
) -> None:
    key = _begun(client)
    if step != "room":
        _step(client, key, "room", ROOM)
    if step == "targets":
        _step(client, key, "wall", WALL)
    before = desk.open(key).number
    status, page = _step(client, key, step, fields)
    assert status == 422
    assert f'id="e-{field}"' in page
    assert accepted in page.split(f'id="e-{field}"')[1].split("</p>")[0]
    assert desk.open(key).number == before


def test_a_name_must_be_said(client: TestClient, desk: Desk) -> None:
    answer = client.post("/jobs/new", data=SITE | {"name": " "})
    assert answer.status_code == 422
    assert 'id="e-name"' in answer.text
    assert desk.jobs() == ()


def test_whoever_saves_second_keeps_what_they_typed(client: TestClient) -> None:
    key = _begun(client)
    _step(client, key, "room", ROOM)
    status, page = _step(client, key, "room", ROOM | {"name": "Parlour"}, base=1)
    assert status == 422
    assert "Parlour" in page
    assert 'name="base" value="2"' in page


def test_in_feet_and_inches_a_bare_number_is_asked_about(client: TestClient) -> None:
    key = _begun(client)
    client.cookies.set("innerleaf-units", "in")
    status, page = _step(client, key, "room", ROOM | {"height": "102"})
    assert status == 422
    assert "102 in, 102 mm" in page
    typed = {f"sides[{n}].length": "10'" for n in range(4)}
    assert _step(client, key, "room", {"name": "Den", "height": "8' 6 1/2\"", **typed})[0] == 303
    assert (
        _step(
            client,
            key,
            "wall",
            {"side": "0", "other_side": "outside", "[0].material": "brick-1800", "[0].thickness": "9 1/2 in"},
        )[0]
        == 303
    )
    assert _step(client, key, "targets", {"targets.u_value": "0.0792"})[0] == 303  # BTU/(h·ft²·°F)
    said = client.get(f"/api/jobs/{key}").json()["text"]
    assert "u_value: 0.4497" in said
    assert 'value="0.0792"' in client.get(f"/jobs/{key}/begin/targets").text


@pytest.mark.parametrize("name", [*suggestions()["linings"]])
def test_every_lining_to_begin_with_can_be_built(client: TestClient, desk: Desk, name: str) -> None:
    key = _begun(client)
    _step(client, key, "room", ROOM)
    _step(client, key, "wall", WALL)
    assert _step(client, key, "lining", {"lining": name})[0] == 303
    opened = desk.open(key)
    assert desk.plan(opened, "W-01").boards


def test_every_old_wall_and_climate_to_begin_with_is_understood() -> None:
    for layers in suggestions()["constructions"].values():
        for climate in typical_climates().values():
            assert "invented" in climate.source
            job = {"site": {"name": "x", "climate": climate.as_written()}, "constructions": {"old": layers}}
            text = "format: 1\n" + "\n".join(f"{key}: {part}" for key, part in job.items()).replace("'", '"')
            assert read_text(text, JOB_FILE).faults == ()
            read_job_text(text, Path(JOB_FILE))


@pytest.mark.parametrize("step", ["site", "room", "wall", "targets", "lining"])
def test_the_steps_of_a_job_that_came_otherwise_break_nothing(
    client: TestClient, demo: str, step: str
) -> None:
    """Its first wall has its lining and old wall from a type."""
    assert client.get(f"/jobs/{demo}/begin/{step}").status_code == 200
    assert _step(client, demo, step, {"lining": "warm", "name": "x"})[0] in (303, 422)
