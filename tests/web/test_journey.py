"""In a real browser, as a new user would: from an empty store to the printed sheets of a three-room flat."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader
from tests.web.browser import barriers, browser, watched

from innerleaf.store.runs import RunState, run_of, take_up
from innerleaf.web.runs import do_run

if TYPE_CHECKING:
    from tests.web.conftest import Served


def _on(page: Page) -> None:
    page.get_by_role("button", name="Save and go on").click()


def _walk(page: Page, lengths: list[str]) -> None:
    """Type the sides of a room, each with Enter."""
    page.get_by_label("Length of side 1").click()
    for length in lengths:
        page.keyboard.type(length)
        page.keyboard.press("Enter")
    page.keyboard.press("Tab")


def _begun(page: Page, url: str) -> str:
    page.goto(url)
    page.get_by_role("link", name="Begin a job, step by step").click()
    page.get_by_label("Name of the building").fill("Rope Yard 3 (invented)")
    page.get_by_label("Address or place").fill("Ostermill (invented)")
    _on(page)
    page.get_by_label("Name of the room").fill("Living room")
    page.get_by_label("Storey").fill("first floor")
    page.get_by_label("Clear height").fill("26")  # a slip, to be told at once
    _walk(page, ["4200", "3.1 m", "4200", "3100"])
    expect(page.locator("#closes")).to_have_text("The room closes.")
    _on(page)
    expect(page.get_by_text("Given 26, accepted: 100 mm or more.")).to_be_visible()
    expect(page.get_by_label("Clear height")).to_be_focused()
    page.get_by_label("Clear height").fill("2600")
    _on(page)
    return page.url.split("/")[4]


def test_from_nothing_to_the_sheets_of_three_rooms(served: Served, tmp_path: Path) -> None:
    desk = served.desk
    with browser(tmp_path / "profile", viewport={"width": 1280, "height": 900}) as context:
        page, complaints = watched(context)
        key = _begun(page, served.url)

        page.goto(served.url)  # left for a while, and come back to
        page.get_by_role("link", name="Rope Yard 3").click()
        page.get_by_role("link", name="Go on with the first steps").click()
        expect(page.get_by_role("heading", name="The first wall to be lined")).to_be_visible()
        assert barriers(page) == []
        page.get_by_label("Fill in a usual one").select_option("brick")
        page.get_by_label("Kind 1").select_option("window")
        for label, typed in (
            ("From the left", "1500"),
            ("Sill", "850"),
            ("Width", "1200"),
            ("Height", "1350"),
        ):
            page.get_by_label(f"{label} 1", exact=True).fill(typed)
        _on(page)
        page.get_by_label("U-value at most").fill("0.45")
        page.get_by_role("link", name="Back").click()
        expect(page.get_by_label("Width 1", exact=True)).to_have_value("1200")
        _on(page)
        page.get_by_label("U-value at most").fill("0.45")
        _on(page)
        page.get_by_label("warm", exact=False).first.check()
        page.get_by_role("button", name="Save and see the wall").click()
        page.wait_for_url("**/walls/W-01")
        expect(page.locator(".target.opening").first).to_be_attached()

        page.goto(f"{served.url}/jobs/{key}/rooms/new")
        page.get_by_label("Id of the room").fill("bed")
        page.get_by_label("Clear height").fill("2600")
        _walk(page, ["3600", "3100", "3600", "3100"])
        for number in (2, 3, 4):
            page.locator(".lined").nth(number - 1).uncheck()
        page.get_by_role("button", name="Add the room").click()
        page.wait_for_url(f"**/jobs/{key}")

        page.get_by_role("link", name="Rooms and walls").click()
        page.get_by_label("Copy bed, new id").fill("study")
        page.get_by_role("button", name="Copy: bed", exact=True).click()
        expect(page.get_by_role("heading", name="study")).to_be_visible()
        page.get_by_role("button", name="Take away: study-1").click()
        expect(page.get_by_role("link", name="study-1")).to_have_count(0)
        page.get_by_role("button", name="Undo").click()
        expect(page.get_by_role("link", name="study-1")).to_be_visible()
        assert barriers(page) == []

        page.get_by_role("link", name="Sheets").click()
        page.wait_for_url("**/sheets")
        page.wait_for_load_state("load")
        page.get_by_role("button", name="Make them").click()
        page.locator(".run").wait_for()
        run = take_up(desk.engine, desk.clock())
        assert run is not None
        do_run(str(desk.engine.url), desk.folder, run)
        assert run_of(desk.engine, run.id).state is RunState.DONE
        page.reload()
        link = page.locator(".files a[href$='/sheets.pdf']").first
        expect(link).to_be_visible()
        raw = page.request.get(served.url + (link.get_attribute("href") or "")).body()
        assert complaints == [] or all("422" in line for line in complaints)
    told = "\n".join(sheet.extract_text() for sheet in PdfReader(BytesIO(raw)).pages)
    assert [wall for wall in ("W-01", "bed-1", "study-1") if wall not in told] == []
    opened = desk.open(key)
    assert [wall.id for wall in opened.job.walls] == ["W-01", "bed-1", "study-1"]
    assert {wall.lining.profile for wall in opened.walls.values()} == {"CD-60-27"}


@pytest.mark.parametrize("width", [360, 1920])
def test_the_steps_fit_a_phone_and_a_large_screen_in_feet_too(
    served: Served, tmp_path: Path, width: int
) -> None:
    with browser(
        tmp_path / "profile", viewport={"width": width, "height": 740}, color_scheme="dark"
    ) as context:
        page, _ = watched(context)
        page.goto(f"{served.url}/jobs/new")
        page.get_by_role("button", name="ft in").click()
        expect(page.get_by_role("button", name="ft in")).to_have_attribute("aria-pressed", "true")
        page.get_by_label("Name of the building").fill("Weir House (invented)")
        _on(page)
        page.get_by_label("Name of the room").fill("Den")
        page.get_by_label("Clear height").fill("102")
        _walk(page, ["10'", "9' 6 1/2\"", "10'", "9' 6 1/2\""])
        expect(page.locator("#closes")).to_have_text("The room closes.")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        _on(page)
        expect(page.get_by_text("102 alone could be inches or millimetres.")).to_be_visible()
        assert barriers(page) == []
        page.get_by_label("Clear height").fill("8' 6\"")
        _on(page)
        expect(page.get_by_text("Side 2, 9' 6 1/2\"")).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
