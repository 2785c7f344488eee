"""The JSON side of the site: what a device sends is kept once, judged, and flows back into the wall."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

from fastapi.testclient import TestClient
from tests.site.told import entries
from tests.web.conftest import AT

import innerleaf.web
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.layout.variants import plan_variant, variants_of
from innerleaf.plan_file import write_plan
from innerleaf.site.records import Entry, Kind, entry_document, verify
from innerleaf.store.people import Role, invite, join
from innerleaf.store.runs import RunState, ask_for, end
from innerleaf.takeoff import take_off
from innerleaf.web.app import make_app
from innerleaf.web.desk import Desk
from innerleaf.web.runs import SHEETS, folder_of
from innerleaf.web.site_data import records

STATIC = Path(innerleaf.web.__file__).parent / "static"
JPEG = b"\xff\xd8\xff\xe0 an invented picture"


def sent(some: list[Entry], at: str = AT.isoformat()) -> dict[str, Any]:
    return {"sent_at": at, "entries": [entry_document(one) for one in some]}


def written(*said: dict[str, Any]) -> list[Entry]:
    return entries(str(uuid4()), [{"wall": "W1"} | one for one in said])


def test_a_device_gets_all_that_it_needs(client: TestClient, small: str) -> None:
    about = client.get(f"/api/jobs/{small}/site").json()
    assert [(one["id"], one["ready"]) for one in about["walls"]] == [
        ("W1", True),
        ("W2", True),
        ("W3", False),
    ]
    assert (about["who"], about["may_record"], about["tasks"]) == ("Ada", True, [])
    wall = client.get(f"/api/jobs/{small}/site/walls/W1").json()
    assert wall["steps"][:3] == ["mark out", "strip and tracks", "frame"]
    assert set(wall["drawings"]) == {"frame", "boards-1"}
    assert {"flatness", "plumb", "insulation"} <= {one["check"] for one in wall["checks"]}
    assert client.get(f"/api/jobs/{small}/site/walls/W3").status_code == 422
    assert client.get(f"/api/jobs/{small}/site/walls/W9").status_code == 404


def test_entries_are_kept_once_and_come_back_as_a_chain(client: TestClient, small: str, desk: Desk) -> None:
    some = written(
        {"text": "first ä\u2028"}, {"kind": Kind.HOURS, "what": "frame", "values": (("hours", 2.5),)}
    )
    address = f"/api/jobs/{small}/site/records"
    assert client.post(address, json=sent(some)).json()["added"] == [one.id for one in some]
    again = client.post(address, json=sent(some)).json()
    assert (again["added"], again["there"], again["refused"]) == ([], [one.id for one in some], [])
    answer = client.get(address).json()
    assert answer["wrong"] == []
    assert [one["record"]["entry"]["text"] for one in answer["records"]] == ["first ä\u2028", ""]
    assert [one["record"]["number"] for one in client.get(f"{address}?after=1").json()["records"]] == [2]
    told = records(desk, small)
    assert [one.entry for one in told] == some
    assert (told[0].who, told[0].role, told[0].server_time) == ("Ada", "estimator", AT)
    assert verify(told) == ()


def test_an_id_is_never_overwritten(client: TestClient, small: str, desk: Desk) -> None:
    (one,) = written({"text": "first"})
    address = f"/api/jobs/{small}/site/records"
    client.post(address, json=sent([one]))
    other = sent([one])
    other["entries"][0]["text"] = "second"
    assert [each["id"] for each in client.post(address, json=other).json()["refused"]] == [one.id]
    assert [each.entry.text for each in records(desk, small)] == ["first"]


def test_a_wrong_clock_is_kept_as_told_and_said(client: TestClient, small: str, desk: Desk) -> None:
    some = written({"device_time": "2019-01-01T00:00:00.000Z"})
    client.post(f"/api/jobs/{small}/site/records", json=sent(some, "2019-01-01T00:00:05Z"))
    (told,) = records(desk, small)
    assert told.entry.device_time == "2019-01-01T00:00:00.000Z"
    assert told.clock_off_s < -7 * 365 * 86_400
    assert "W104" in client.get(f"/api/jobs/{small}/site/records").json()["wrong"][0]


def test_a_stud_moved_changes_the_wall_the_material_and_what_is_found(client: TestClient, small: str) -> None:
    wall = client.get(f"/api/jobs/{small}/site/walls/W1").json()
    stud = next(one for one in wall["members"] if one["what"] == "stud")
    moved = {"kind": Kind.DEVIATION, "what": "stud moved", "mark": stud["mark"]}
    some = written({"kind": Kind.DONE, "what": "frame"}, moved | {"values": (("x_mm", stud["x_mm"] + 35),)})
    before = {one["item"]: one for one in client.get(f"/api/jobs/{small}/site/material").json()}
    client.post(f"/api/jobs/{small}/site/records", json=sent(some))
    now = client.get(f"/api/jobs/{small}/site/walls/W1").json()
    assert next(one for one in now["members"] if one["mark"] == stud["mark"])["x_mm"] == stud["x_mm"] + 35
    assert now["records"] == 2
    assert now["drawings"]["frame"] != wall["drawings"]["frame"]
    after = {one["item"]: one for one in client.get(f"/api/jobs/{small}/site/material").json()}
    assert after["CW-75"]["needed"] < before["CW-75"]["needed"]


def test_what_remains_to_be_cut_follows_what_is_built_and_measured(client: TestClient, small: str) -> None:
    """Frame up and a stud elsewhere: no bar of it is to be cut, all boards are, from what came for them."""
    address = f"/api/jobs/{small}/site"
    first = client.get(f"{address}/cuts").json()
    assert first["more"] == []
    assert {one["in_hand"] for one in first["pieces"]} == {True}
    wall = client.get(f"{address}/walls/W1").json()
    stud = next(one for one in wall["members"] if one["what"] == "stud")
    done = [{"kind": Kind.DONE, "what": what} for what in ("strip and tracks", "frame")]
    moved = {"kind": Kind.DEVIATION, "what": "stud moved", "mark": stud["mark"]}
    some = written(*done, moved | {"values": (("x_mm", stud["x_mm"] + 35),)})
    assert client.post(f"{address}/records", json=sent(some)).json()["refused"] == []
    now = client.get(f"{address}/walls/W1").json()
    left = [one for one in client.get(f"{address}/cuts").json()["pieces"] if one["wall"] == "W1"]
    assert {one["mark"] for one in left if one["kind"] == "board"} == {one["mark"] for one in now["boards"]}
    built = {one["mark"] for one in now["members"] if one["built"]}
    bars = {one["mark"] for one in left if one["kind"] == "bar"}
    assert bars == {one["mark"] for one in now["members"]} - built  # another stud beside the one that moved
    assert all(one["number"] > 0 and one["stock_mm"] > 0 for one in left if not one["cut"])


def issue(desk: Desk, job: str, at: datetime) -> WallPlan:
    """Sheets of all walls, W1 in another layout than by itself and W3 lined like it; what W1 was given."""
    opened = desk.open(job)
    own, wall = desk.plan(opened, "W1"), opened.walls["W3"]
    some = (plan_variant(own.wall, opened.practice, one) for one in variants_of(own.wall, opened.practice, 8))
    other = next(one for one in some if [m.x_mm for m in one.members] != [m.x_mm for m in own.members])
    chosen = plan_wall(replace(wall, lining=own.wall.lining), opened.practice)
    plans = (other, desk.plan(opened, "W2"), chosen)
    run = ask_for(desk.engine, job, opened.number, SHEETS, who="Ada", at=at)
    folder = folder_of(desk.folder, run.id)
    folder.mkdir(parents=True)
    taken = take_off(plans, opened.practice)
    write_plan(folder / "plan.json", opened.job, opened.practice, plans, taken)
    end(desk.engine, run.id, RunState.DONE)
    return other


def test_the_site_builds_from_the_sheets_that_were_issued(client: TestClient, small: str, desk: Desk) -> None:
    """The variant of the whole building counts, and a lining that was chosen with it."""
    address = f"/api/jobs/{small}/site"
    by_itself = client.get(f"{address}/walls/W1").json()
    given = issue(desk, small, AT)
    assert [one["ready"] for one in client.get(address).json()["walls"]] == [True, True, True]
    now = client.get(f"{address}/walls/W1").json()
    assert [one["x_mm"] for one in now["members"]] == [one.x_mm for one in given.members]
    assert now["members"] != by_itself["members"]
    assert client.get(f"{address}/walls/W3").json()["boards"]
    cuts = client.get(f"{address}/cuts").json()
    assert {one["wall"] for one in cuts["pieces"]} == {"W1", "W2", "W3"}
    assert cuts["more"] == []


def test_sheets_issued_after_work_began_change_no_mark(client: TestClient, small: str, desk: Desk) -> None:
    address = f"/api/jobs/{small}/site"
    client.post(f"{address}/records", json=sent(written({"kind": Kind.DONE, "what": "frame", "wall": "W1"})))
    before = client.get(f"{address}/walls/W1").json()
    issue(desk, small, AT + timedelta(minutes=1))
    assert client.get(f"{address}/walls/W1").json() == before


def test_what_is_left_is_held_against_what_is_needed(client: TestClient, small: str) -> None:
    item = {"wall": "", "kind": Kind.LEFT, "what": "board-A-12.5", "values": (("quantity", 5.0),)}
    client.post(f"/api/jobs/{small}/site/records", json=sent(written(item)))
    line = next(
        one for one in client.get(f"/api/jobs/{small}/site/material").json() if one["item"] == "board-A-12.5"
    )
    assert line["left"] == 5
    assert line["short"] == round(line["needed"] - 5, 3)


def test_photos_arrive_and_are_shown(client: TestClient, small: str) -> None:
    address = f"/api/jobs/{small}/site/photos"
    answer = client.post(address, files={"file": ("p.jpg", JPEG, "image/jpeg")})
    assert answer.status_code == 201
    shown = client.get(f"{address}/{answer.json()['digest']}")
    assert (shown.content, shown.headers["content-type"]) == (JPEG, "image/jpeg")
    assert client.get(f"{address}/{'0' * 64}").status_code == 404
    assert client.post(address, files={"file": ("p.svg", b"<svg/>", "image/svg+xml")}).status_code == 422


def test_roles_sign_for_different_things(desk: Desk, small: str) -> None:
    app = make_app(desk, user="nobody", team=True)
    address = f"/api/jobs/{small}/site/records"
    passing = {"kind": Kind.HOLD, "what": "close-up inspection", "outcome": "passed"}
    outcomes = {}
    for role in Role:
        join(desk.engine, invite(desk.engine, role, by="test", at=AT), role, "plumb, level and square", at=AT)
        client = TestClient(app, base_url="http://127.0.0.1:8420", follow_redirects=False)
        client.post("/sign-in", data={"name": role, "password": "plumb, level and square"})
        answer = client.post(address, json=sent(written(passing, {"text": "seen"})))
        outcomes[role] = (answer.status_code, len(answer.json().get("added", [])))
    assert outcomes == {
        Role.ESTIMATOR: (200, 2),
        Role.FOREMAN: (200, 2),
        Role.INSPECTOR: (200, 2),
        Role.INSTALLER: (200, 1),  # the note is kept, the point is not passed
        Role.READER: (403, 0),
    }


def test_the_service_worker_keeps_what_the_pages_load(client: TestClient, small: str) -> None:
    answer = client.get("/sw.js")
    assert answer.headers["cache-control"] == "no-cache"
    assert answer.headers["content-type"].startswith("text/javascript")
    needed = {line.strip(' ",') for line in answer.text.splitlines() if line.startswith('  "/')}
    loaded = set(re.findall(r"/static/[\w.]+", client.get("/site").text + client.get(f"/site/{small}").text))
    waiting = [path for path in loaded if path.endswith(".js")]
    while waiting:
        text = (STATIC / waiting.pop().rpartition("/")[2]).read_text(encoding="utf-8")
        found = {f"/static/{name}" for name in re.findall(r'from "\./([\w.]+)"', text)} - loaded
        loaded |= found
        waiting += found
    assert loaded <= needed
    for path in needed:
        assert client.get(path).status_code == 200, path


def test_the_pages_are_the_same_for_everybody(client: TestClient, small: str) -> None:
    assert "Three rooms" in client.get("/site").text
    assert "Three rooms" in client.get(f"/site/{small}").text
    assert client.get("/site/none").status_code == 404
