"""Editing a wall with a bad connection and quick fingers: nothing that was changed on the page is lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import Page, Route, expect
from tests.web.browser import browser, watched

if TYPE_CHECKING:
    from pathlib import Path

    from tests.web.conftest import Served


def _opened(page: Page, served: Served, job: str) -> None:
    page.goto(f"{served.url}/jobs/{job}/walls/W1")
    page.locator("#layers label").first.wait_for()


def test_a_change_made_without_a_connection_is_sent_when_it_is_back(
    served: Served, small: str, tmp_path: Path
) -> None:
    with browser(tmp_path) as context:
        page, _ = watched(context)
        _opened(page, served, small)
        away = [True]

        def lost(route: Route) -> None:
            if away[0]:
                route.abort("connectionrefused")
            else:
                route.fallback()

        page.route("**/api/**", lost)
        name = page.get_by_label("Name", exact=True)
        name.fill("to the yard")
        name.press("Enter")
        expect(page.locator("#banner")).to_contain_text("is kept on this page")
        page.locator(".target.opening").first.focus()
        page.keyboard.press("ArrowRight")
        assert served.desk.open(small).number == 1
        away[0] = False
        page.evaluate("dispatchEvent(new Event('online'))")
        expect(page.locator("#banner")).to_have_count(0)
        expect(page.locator("#say")).to_have_text("Saved as revision 3.")
        wall = served.desk.open(small).walls["W1"]
        assert wall.name == "to the yard"
        assert wall.openings[0].x_mm == 810


def test_keys_pressed_faster_than_walls_are_set_out_all_count(
    served: Served, small: str, tmp_path: Path
) -> None:
    with browser(tmp_path) as context:
        page, complaints = watched(context)
        _opened(page, served, small)
        page.locator(".target.opening").first.focus()
        for _ in range(12):
            page.keyboard.press("ArrowRight")
        place = page.locator("[data-row='openings.0']").get_by_label("From the left")
        expect(place).to_have_value("920")
        expect(page.locator("#drawing")).not_to_have_class("wait")
        page.wait_for_timeout(300)
        opened = served.desk.open(small)
        assert opened.walls["W1"].openings[0].x_mm == 920
        assert opened.number < 13
        assert complaints == []


def test_what_is_refused_goes_back_to_what_is_saved(served: Served, small: str, tmp_path: Path) -> None:
    with browser(tmp_path) as context:
        page, _ = watched(context)
        _opened(page, served, small)
        length = page.get_by_label("Length", exact=True)
        length.fill("5 km")
        length.press("Enter")
        expect(page.locator("#say")).to_contain_text("accepted")
        page.get_by_label("Name", exact=True).fill("still works")
        page.get_by_label("Name", exact=True).press("Enter")
        expect(page.locator("#say")).to_have_text("Saved as revision 2.")
        assert served.desk.open(small).walls["W1"].length_mm == 4200
