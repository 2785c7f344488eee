"""In a real browser, as a new user would: look, move, type, undo; two people at once; nobody kept out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Page, expect
from tests.web.browser import barriers, browser, watched

from innerleaf.store.runs import ask_for, take_up
from innerleaf.web.desk import JOB_FILE
from innerleaf.web.runs import NUMBERS, PROOF, do_run

if TYPE_CHECKING:
    from tests.web.conftest import Served
from tests.web.test_runs import ONE_WALL


def _open_wall(page: Page, name: str = "") -> None:
    """Go from the building to a wall, and wait until its page can be worked with."""
    page.get_by_role("radio", name="List").check()
    page.locator(f"[data-wall={name}] a" if name else ".walls a").first.click()
    page.locator("#layers label").first.wait_for()


def _window(page: Page) -> tuple[float, float]:
    """The middle of the first opening on the screen."""
    box = page.locator(".target.opening").first.bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_from_nothing_to_a_window_moved(served: Served, tmp_path: Path) -> None:
    with browser(tmp_path, viewport={"width": 1400, "height": 1000}) as context:
        page, complaints = watched(context)
        page.goto(served.url)
        page.get_by_role("button", name="Open the demo building").click()
        page.wait_for_url("**/jobs/*")
        expect(page.locator("[data-wall=G-01]")).to_have_class("state ready")
        _open_wall(page, "G-01")
        key = page.url.split("/")[4]

        def placed() -> int:
            return served.desk.open(key).walls["G-01"].openings[0].x_mm

        assert placed() == 700
        x, y = _window(page)
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 40, y, steps=5)
        page.mouse.up()
        expect(page.locator("#say")).to_have_text("Saved as revision 2.")
        dragged = placed()
        assert dragged > 700
        assert dragged % 10 == 0

        expect(page.locator(".target.opening").first).to_be_focused()
        page.keyboard.press("ArrowLeft")
        expect(page.locator("#say")).to_have_text("Saved as revision 3.")
        assert placed() == dragged - 10

        page.get_by_label("From the left").first.fill("720")
        page.get_by_label("From the left").first.press("Enter")
        expect(page.locator("#say")).to_have_text("Saved as revision 4.")
        assert placed() == 720

        page.get_by_role("button", name="Undo").click()
        expect(page.locator("#say")).to_have_text("Undone.")
        assert placed() == dragged - 10
        page.get_by_role("button", name="Redo").click()
        expect(page.locator("#say")).to_have_text("Done again.")
        assert placed() == 720

        page.get_by_label("From the left").first.fill("99 m")
        page.get_by_label("From the left").first.press("Enter")
        expect(page.locator("#say")).to_contain_text("accepted")
        assert placed() == 720
        assert [line for line in complaints if "422" not in line] == []


def test_the_drawing_is_near_and_far_by_keys_and_shows_what_is_chosen(served: Served, tmp_path: Path) -> None:
    with browser(tmp_path, viewport={"width": 1400, "height": 1000}) as context:
        page, complaints = watched(context)
        page.goto(served.url)
        page.get_by_role("button", name="Start with a small example").click()
        _open_wall(page)
        svg = page.locator("#drawing svg")
        whole = svg.get_attribute("viewBox")
        page.locator("#drawing").focus()
        page.keyboard.press("+")
        assert svg.get_attribute("viewBox") != whole
        page.keyboard.press("0")
        assert svg.get_attribute("viewBox") == whole
        page.get_by_label("Boards, layer 1").check()
        expect(page.locator(".target.board").first).to_be_attached()
        screws = page.locator("#drawing .on-screw").first
        expect(screws).to_be_visible()
        page.get_by_label("Screws").uncheck()
        expect(screws).to_be_hidden()
        page.locator("#pieces summary").click()
        page.locator("#pieces tbody button").first.click()
        expect(page.locator("#told")).to_contain_text("mm")
        assert complaints == []


def test_two_people_on_one_wall_the_second_sees_both_versions(served: Served, tmp_path: Path) -> None:
    with browser(tmp_path / "a") as one:
        page, _ = watched(one)
        other = one.new_page()
        page.goto(served.url)
        page.get_by_role("button", name="Start with a small example").click()
        _open_wall(page)
        other.goto(page.url)
        for who, name in ((page, "first"), (other, "second")):
            who.get_by_label("Name", exact=True).fill(name)
            who.get_by_label("Name", exact=True).press("Enter")
            if who is page:
                expect(page.locator("#say")).to_contain_text("Saved as revision 2.")
        expect(other.get_by_role("dialog")).to_contain_text("saved revision 2 while you worked")
        expect(other.locator("dialog .differs").first).to_contain_text("first")
        assert barriers(other) == []
        other.get_by_role("button", name="Save mine on top").click()
        expect(other.locator("#say")).to_contain_text("Saved as revision 3.")
        key, wall = page.url.split("/")[4], page.url.split("/")[6]
        assert served.desk.open(key).walls[wall].name == "second"
        assert served.desk.open(key, 2).walls[wall].name == "first"


@pytest.mark.parametrize("light", ["light", "dark"])
def test_nobody_is_kept_out(served: Served, demo: str, tmp_path: Path, light: str) -> None:
    with browser(tmp_path, color_scheme=light, viewport={"width": 360, "height": 740}) as context:
        page, complaints = watched(context)
        for address in (
            "",
            *(f"/jobs/{demo}{part}" for part in ("", "/walls/G-01", "/findings", "/history", "/file")),
        ):
            page.goto(served.url + address)
            page.wait_for_load_state("networkidle")
            assert barriers(page) == [], address
            wide = page.evaluate(
                "[...document.querySelectorAll('main *')]"
                ".filter(e => e.getBoundingClientRect().right > innerWidth && !e.closest('.scroll, svg'))"
                ".map(e => e.outerHTML.slice(0, 80))"
            )
            sideways = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert sideways <= 0, f"{address} scrolls sideways on a phone: {wide}"
        assert complaints == []


def test_reports_are_shown_when_they_are_worked_out(served: Served, tmp_path: Path) -> None:
    desk = served.desk
    job = desk.take_in({JOB_FILE: ONE_WALL}, who="Ada").line.document
    for kind, subject in ((NUMBERS, ""), (PROOF, "W1")):
        ask_for(desk.engine, job, 1, kind, subject, who="Ada", at=desk.clock())
        run = take_up(desk.engine, desk.clock())
        assert run is not None
        do_run(str(desk.engine.url), desk.folder, run)
    with browser(tmp_path / "profile", viewport={"width": 360, "height": 740}) as context:
        page, complaints = watched(context)
        for address in (
            "numbers/material",
            "numbers/cut",
            "numbers/order",
            "numbers/price",
            "walls/W1/proof",
        ):
            page.goto(f"{served.url}/jobs/{job}/{address}")
            page.locator(".part table, .verdict").first.wait_for()
            assert barriers(page) == [], address
            assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, address
        page.goto(f"{served.url}/jobs/{job}/numbers/material")
        page.locator(".part table").first.wait_for()
        before = page.locator("tbody tr:visible").count()
        page.get_by_label("Show rows with these words").fill("CW-75")
        assert 0 < page.locator("tbody tr:visible").count() < before
        assert complaints == []


def test_a_room_is_measured_side_by_side(served: Served, small: str, tmp_path: Path) -> None:
    with browser(tmp_path) as context:
        page, complaints = watched(context)
        page.goto(f"{served.url}/jobs/{small}/rooms/new")
        page.get_by_label("Id of the room").fill("study")
        page.get_by_label("Clear height").fill("2550")
        for number, length in enumerate((4200, 3100, 4212, 3100), 1):
            page.get_by_label(f"Length of side {number}, in mm").fill(str(length))
        page.keyboard.press("Tab")
        expect(page.locator("#closes")).to_contain_text("misses closing by 12 mm (1 in 1218")
        assert barriers(page) == []
        page.get_by_role("button", name="Add the room").click()
        page.wait_for_url(f"**/jobs/{small}")
        page.get_by_role("radio", name="List").check()
        expect(page.locator("[data-wall=study-4]")).to_be_visible()
        assert complaints == []


def test_the_first_page_is_light(served: Served, tmp_path: Path) -> None:
    weights: list[int] = []
    with browser(tmp_path) as context:
        page = context.pages[0]
        page.on("response", lambda response: weights.append(len(response.body())))
        page.goto(served.url)
        page.wait_for_load_state("networkidle")
    assert 0 < sum(weights) < 300_000
