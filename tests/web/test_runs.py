"""Sheets are made in the background, followed, stopped, fetched; a server that is killed loses nothing."""

from __future__ import annotations

import json
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from tests.web.conftest import AT, SMALL

from innerleaf.store.runs import PATIENCE, ask_for, run_of, take_up
from innerleaf.web.desk import JOB_FILE, Desk
from innerleaf.web.runs import SHEETS, Runner, do_run, folder_of

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

ONE_WALL = "\n".join(line for line in SMALL.splitlines() if "W3" not in line and "W2" not in line) + "\n"


@pytest.fixture
def job(desk: Desk) -> str:
    """A job of one wall."""
    return desk.take_in({JOB_FILE: ONE_WALL}, who="Ada").line.document


def _events(text: str) -> list[tuple[str, Any]]:
    blocks = (
        dict(line.split(": ", 1) for line in block.splitlines() if ": " in line)
        for block in text.split("\n\n")
    )
    return [(block["event"], json.loads(block["data"])) for block in blocks if "event" in block]


def test_sheets_are_made_and_fetched(client: TestClient, desk: Desk, job: str, tmp_path: Path) -> None:
    asked = client.post(f"/api/jobs/{job}/runs", json={})
    assert asked.status_code == 202
    key = asked.json()["id"]
    assert client.post(f"/api/jobs/{job}/runs", json={"kind": "sheets"}).json()["id"] == key
    runner = Runner(str(desk.engine.url), desk.folder)
    runner.start()
    events = _events(client.get(f"/api/runs/{key}/events").text)
    runner.stop()
    assert events[-1][0] == "end"
    done = events[-1][1]
    assert (done["state"], done["error"]) == ("done", "")
    assert {"plan.json", "takeoff.xlsx"} <= set(done["files"])
    plan = client.get(f"/api/runs/{key}/files/plan.json")
    assert plan.json()["walls"][0]["wall"]["id"] == "W1"
    sheet = next(name for name in done["files"] if name.endswith(".pdf"))
    assert client.get(f"/api/runs/{key}/files/{sheet}").content.startswith(b"%PDF")
    for outside in ("../store.db", "..%2f..%2fstore.db", ".innerleaf-contents", "none.pdf"):
        assert client.get(f"/api/runs/{key}/files/{outside}").status_code == 404
    assert client.get(f"/jobs/{job}/sheets").status_code == 200


def test_work_can_be_stopped(client: TestClient, desk: Desk, job: str) -> None:
    key = client.post(f"/api/jobs/{job}/runs", json={}).json()["id"]
    run = take_up(desk.engine, AT)
    assert run is not None
    assert client.post(f"/api/runs/{key}/stop").json()["stop_asked"]
    do_run(str(desk.engine.url), desk.folder, run)
    assert client.get(f"/api/runs/{key}").json()["state"] == "stopped"
    assert not folder_of(desk.folder, key).exists()


def test_work_of_a_server_that_was_killed_is_done_by_the_next(desk: Desk, job: str) -> None:
    run = ask_for(desk.engine, job, 1, SHEETS, who="Ada", at=AT)
    long_ago = datetime.now(UTC) - PATIENCE - timedelta(seconds=5)
    assert take_up(desk.engine, long_ago)  # by a server that nobody heard of again
    runner = Runner(str(desk.engine.url), desk.folder)
    runner.start()
    until = time.monotonic() + 120
    while not run_of(desk.engine, run.id).over and time.monotonic() < until:
        time.sleep(0.2)
    runner.stop()
    assert run_of(desk.engine, run.id).state == "done"


def test_work_that_cannot_be_done_says_why(desk: Desk, job: str) -> None:
    run = ask_for(desk.engine, job, 1, SHEETS, who="Ada", at=AT)
    folder_of(desk.folder, run.id).mkdir(parents=True)
    (folder_of(desk.folder, run.id) / "mine.txt").write_text("a file of somebody else's")
    assert take_up(desk.engine, AT)
    do_run(str(desk.engine.url), desk.folder, run)
    assert run_of(desk.engine, run.id).state == "failed"
    assert "accepted" in run_of(desk.engine, run.id).error
