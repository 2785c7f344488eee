"""Plan and look at a room in a real browser: moved by hand, keys and figures; nobody is kept out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import Page, expect
from tests.documents.small_house import TEXT
from tests.web.browser import barriers, browser, watched

from innerleaf.web.desk import JOB_FILE

if TYPE_CHECKING:
    from tests.web.conftest import Served


def _net(served: Served) -> str:
    return served.desk.take_in({JOB_FILE: TEXT}, who="Ada").line.document


def _place(served: Served, job: str) -> tuple[int, int, float]:
    placed = served.desk.open(job).job.rooms[1].plan
    assert placed
    return placed.x, placed.y, placed.turn


def _middle(page: Page, room: str) -> tuple[float, float]:
    box = page.locator(f'.room[data-room="{room}"] .floor').bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_room_is_dragged_keyed_typed_and_turned_and_all_of_it_undone(
    served: Served, tmp_path: Path
) -> None:
    job = _net(served)
    with browser(tmp_path, viewport={"width": 1300, "height": 1000}) as context:
        page, complaints = watched(context)
        page.goto(f"{served.url}/jobs/{job}")
        x, y = _middle(page, "cord")
        page.mouse.click(x, y)
        expect(page.locator("#about-room h2")).to_have_text("cord room")
        page.get_by_role("button", name="Move rooms").click()
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 60, y - 90, steps=5)
        page.mouse.up()
        expect(page.locator("#say")).to_have_text("Saved as revision 2.")
        dragged = _place(served, job)
        assert dragged[0] > 4400
        assert dragged[1] > 0

        page.locator('.room[data-room="cord"] .floor').focus()
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Shift+ArrowUp")
        expect(page.locator("#say")).to_have_text("Saved as revision 3.")
        assert _place(served, job) == (dragged[0] + 50, dragged[1] + 10, 0)
        expect(page.locator('.room[data-room="cord"] .floor')).to_be_focused()
        page.keyboard.press("r")
        expect(page.locator("#say")).to_have_text("Saved as revision 4.")
        assert _place(served, job)[2] == 90

        page.get_by_label("To the right").fill("9000")
        page.get_by_label("To the right").press("Enter")
        expect(page.locator("#say")).to_have_text("Saved as revision 5.")
        assert _place(served, job)[0] == 9000
        page.get_by_role("button", name="Undo").click()
        expect(page.locator("#say")).to_have_text("Undone.")
        assert _place(served, job)[0] != 9000
        assert complaints == []


def test_a_wall_shows_its_card_and_leads_to_its_page(served: Served, tmp_path: Path) -> None:
    job = _net(served)
    with browser(tmp_path, viewport={"width": 1300, "height": 1000}) as context:
        page, complaints = watched(context)
        page.goto(f"{served.url}/jobs/{job}")
        wall = page.locator('a.wall[data-of="N-2"]')
        expect(wall).not_to_have_class("wall waiting")
        wall.focus()
        expect(page.locator("#card")).to_be_visible()
        expect(page.locator("#card")).to_contain_text("N-2")
        page.get_by_role("radio", name="List").check()
        expect(page.locator("#list-view")).to_be_visible()
        expect(page.locator("#plan-view")).to_be_hidden()
        page.get_by_role("radio", name="Plan").check()
        wall.focus()
        page.keyboard.press("Enter")
        page.wait_for_url("**/walls/N-2")
        assert complaints == []


def test_plan_and_look_keep_nobody_out(served: Served, tmp_path: Path) -> None:
    job = _net(served)
    with browser(tmp_path, viewport={"width": 360, "height": 740}) as context:
        page, complaints = watched(context)
        for light in ("light", "dark"):
            page.emulate_media(color_scheme=light)
            for address in ("", "/rooms/net/look"):
                page.goto(f"{served.url}/jobs/{job}{address}")
                page.wait_for_load_state("networkidle")
                assert barriers(page) == [], (light, address)
                assert page.evaluate("document.documentElement.scrollWidth") <= 360
        assert [line for line in complaints if "WebGL" not in line] == []


def test_a_room_is_turned_pulled_apart_and_shown_as_found(served: Served, tmp_path: Path) -> None:
    """The pixels change with every switch; without WebGL the picture stands there and says why."""
    job = _net(served)
    with browser(tmp_path, viewport={"width": 1300, "height": 1000}) as context:
        page, _ = watched(context)
        page.goto(f"{served.url}/jobs/{job}/rooms/net/look")
        page.wait_for_load_state("networkidle")
        if not page.evaluate("!!document.createElement('canvas').getContext('webgl2')"):
            expect(page.locator("#why")).to_contain_text("WebGL 2 is missing")
            expect(page.locator(".still")).to_be_visible()
            return
        canvas = page.locator("#space")
        expect(canvas).to_be_visible()
        seen = [canvas.screenshot()]
        canvas.focus()
        page.keyboard.press("ArrowRight")
        seen.append(canvas.screenshot())
        page.locator("#apart").fill("80")
        seen.append(canvas.screenshot())
        page.get_by_label("Insulation").uncheck()
        seen.append(canvas.screenshot())
        page.get_by_label("as it is found").check()
        seen.append(canvas.screenshot())
        assert len(set(seen)) == len(seen)
        page.evaluate(
            "document.getElementById('space').getContext('webgl2').getExtension('WEBGL_lose_context').loseContext()"
        )
        expect(page.locator("#why")).to_contain_text("stopped by the device")
        expect(page.locator(".still")).to_be_visible()
