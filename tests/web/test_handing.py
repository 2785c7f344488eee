"""What a change costs, and the hand-over pack, made from pages: asked for, worked out meanwhile, fetched."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest
from PIL import Image
from pypdf import PdfReader
from tests.web.browser import barriers, browser, watched
from tests.web.conftest import AT, SMALL, Served

from innerleaf.site.records import Entry, Kind
from innerleaf.store.runs import RunState, run_of, take_up
from innerleaf.store.site import add_photo
from innerleaf.web.desk import JOB_FILE, Desk
from innerleaf.web.runs import do_run
from innerleaf.web.site_data import merge

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

ONE_WALL = "\n".join(line for line in SMALL.splitlines() if "W3" not in line and "W2" not in line) + "\n"


@pytest.fixture
def job(desk: Desk) -> str:
    """A job of one wall, in two revisions: its window goes 400 to the right."""
    key = desk.take_in({JOB_FILE: ONE_WALL}, who="Ada").line.document
    desk.write(key, 1, ONE_WALL.replace("x: 800", "x: 1200"), who="Ben", what="measured again")
    return key


def record(desk: Desk, job: str) -> None:
    """The frame of the wall is done, with a photo of it."""
    made = BytesIO()
    Image.new("RGB", (640, 480), (90, 90, 90)).save(made, "JPEG")
    digest = add_photo(desk.engine, job, "image/jpeg", made.getvalue())
    entry = Entry(
        id=str(uuid4()),
        device=str(uuid4()),
        sequence=1,
        before="",
        device_time=AT.isoformat(),
        kind=Kind.DONE,
        wall="W1",
        what="frame",
        photos=(digest,),
    )
    merge(desk, job, [entry], who="Tam", role="installer", at=AT, clock_off_s=0)


def work(desk: Desk, key: str) -> None:
    """Do the work that waits, here and now."""
    run = take_up(desk.engine, AT)
    assert run is not None
    assert run.id == key
    do_run(str(desk.engine.url), desk.folder, run)
    done = run_of(desk.engine, key)
    assert (done.state, done.error) == (RunState.DONE, "")


def test_two_revisions_in_quantities_and_money(client: TestClient, desk: Desk, job: str) -> None:
    asked = client.post(f"/api/jobs/{job}/runs/revision", json={"before": 1, "after": 2})
    assert asked.status_code == 202
    key = asked.json()["id"]
    assert client.post(f"/api/jobs/{job}/runs/revision", json={"before": 1, "after": 2}).json()["id"] == key

    work(desk, key)

    report = client.get(f"/runs/{key}/report").text
    assert "1 of 1 walls differ" in report
    assert "Hours and days" in report
    paper = PdfReader(BytesIO(client.get(f"/api/runs/{key}/files/revision.pdf").content))
    words = "\n".join(page.extract_text() for page in paper.pages)
    assert "x 800 → 1200" in words
    assert "revision 1 → revision 2" in words
    assert client.get(f"/api/runs/{key}/files/variation.pdf").content.startswith(b"%PDF")


@pytest.mark.parametrize(
    ("body", "status"), [({"before": 2, "after": 2}, 422), ({"before": 1, "after": 9}, 404)]
)
def test_revisions_that_cannot_be_held_together(
    client: TestClient, job: str, body: dict[str, int], status: int
) -> None:
    assert client.post(f"/api/jobs/{job}/runs/revision", json=body).status_code == status


def test_the_pack_is_made_of_what_is_recorded(client: TestClient, desk: Desk, job: str) -> None:
    """Nothing recorded, nothing to hand over; with a record the pack has its wall and its photo."""
    assert client.post(f"/api/jobs/{job}/runs/handover").status_code == 422
    assert "No record of the site" in client.get(f"/jobs/{job}/handover").text
    record(desk, job)

    key = client.post(f"/api/jobs/{job}/runs/handover").json()["id"]
    work(desk, key)

    page = client.get(f"/jobs/{job}/handover").text
    assert "walls with records: W1." in page
    data = client.get(f"/api/runs/{key}/files/handover.json").json()
    assert [wall["wall"] for wall in data["walls"]] == ["W1"]
    assert [photo["missing"] for photo in data["walls"][0]["photos"]] == [False]
    assert (
        "handover.json"
        in PdfReader(BytesIO(client.get(f"/api/runs/{key}/files/handover.pdf").content)).attachments
    )
    assert client.get(f"/runs/{key}/report").status_code == 404


def test_the_pages_can_be_used_and_read_aloud(served: Served, desk: Desk, tmp_path: Path) -> None:
    """At three widths, light and dark: nothing wider than the page, no rule of reading aloud broken."""
    key = desk.take_in({JOB_FILE: ONE_WALL}, who="Ada").line.document
    desk.write(key, 1, ONE_WALL.replace("x: 800", "x: 1200"), who="Ben", what="measured again")
    record(desk, key)
    with browser(tmp_path / "profile") as context:
        page, complaints = watched(context)
        for width, scheme in ((360, "light"), (1024, "dark"), (1920, "light")):
            page.set_viewport_size({"width": width, "height": 800})
            page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            for path in (f"/jobs/{key}/handover", f"/jobs/{key}/compare?before=1&after=2"):
                page.goto(served.url + path)
                assert barriers(page) == []
                assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        page.get_by_role("button", name="Quantities, money and hours").click()
        page.locator("#asked section.run").wait_for()
        assert "Revision 2, asked for by" in page.locator("#asked").inner_text()
        assert complaints == []
