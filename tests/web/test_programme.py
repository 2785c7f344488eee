"""The programme on its page: worked out meanwhile, shown, filtered, asked what if; nobody kept out."""

from __future__ import annotations

from pathlib import Path
from time import sleep
from typing import TYPE_CHECKING, Any

from playwright.sync_api import Page, expect
from tests.programme.house import HOUSE, PROGRAMME
from tests.web.browser import barriers, browser, watched

from innerleaf.store.runs import take_up
from innerleaf.web.desk import JOB_FILE
from innerleaf.web.runs import do_run

if TYPE_CHECKING:
    from fastapi.testclient import TestClient
    from tests.web.conftest import Served

    from innerleaf.web.desk import Desk


def _work(served: Served) -> None:
    """Do what waits, as the runner would, once the page has asked for it."""
    for _ in range(400):
        run = take_up(served.desk.engine, served.desk.clock())
        if run is not None:
            break
        sleep(0.05)
    assert run is not None
    do_run(str(served.desk.engine.url), served.desk.folder, run)


def _rows(page: Page, table: str) -> list[list[str]]:
    found: list[list[str]] = page.eval_on_selector_all(
        f"#{table} tbody tr", "rows => rows.map(row => [...row.cells].map(cell => cell.textContent))"
    )
    return found


def test_charts_table_day_plan_and_what_if(served: Served, tmp_path: Path) -> None:
    job = served.desk.take_in({JOB_FILE: HOUSE + PROGRAMME}, who="Ada").line.document
    with browser(tmp_path, viewport={"width": 1024, "height": 900}) as context:
        page, complaints = watched(context)
        page.goto(f"{served.url}/jobs/{job}/programme")
        expect(page.locator("#working .empty")).to_contain_text("Being worked out")
        _work(served)
        page.locator("#days svg").wait_for()
        bars = page.locator("#days rect.bar")
        assert bars.count() == len(_rows(page, "table")) > 40

        page.locator("#room").select_option("den")
        assert bars.count() == len(_rows(page, "table"))
        assert {row[2] for row in _rows(page, "table")} == {"den, 2"}
        page.locator("#crew").select_option("joints")
        steps = [row[4] for row in _rows(page, "table")]
        assert steps == ["fill joints of layer 1", "tape", "coat 2", "coat 3", "sanding"]
        page.locator("#crew").select_option("")
        page.locator("#room").select_option("")

        page.locator("input[value=balance]").check()
        assert page.locator("#days line.flow").count() > 10
        before = page.locator("#days svg").bounding_box()
        page.locator("#in").click()
        after = page.locator("#days svg").bounding_box()
        assert before is not None
        assert after is not None
        assert after["width"] > before["width"] * 1.4

        page.locator("#day-crew").select_option("frame")
        assert _rows(page, "day-table")[0][4] in ("mark out", "bring in frame and insulation")
        page.locator("#day-after").click()
        expect(page.locator("#say")).to_have_text("2026-03-03")

        page.get_by_label("Change").fill("two days lost")
        page.get_by_role("button", name="Look").click()
        expect(page.locator("#working .empty")).to_be_visible()
        _work(served)
        expect(page.locator("#outcomes tbody tr")).to_have_count(1)
        assert complaints == []

        page.get_by_label("Change").fill("more haste")
        page.get_by_role("button", name="Look").click()
        expect(page.locator("#refused")).to_contain_text("one more fitter")

        for width in (360, 1024, 1920):
            page.set_viewport_size({"width": width, "height": 900})
            for dark in (False, True):
                page.evaluate("dark => document.documentElement.classList.toggle('dark', dark)", dark)
                assert barriers(page) == []
            assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_job_without_one_says_so(client: TestClient, desk: Desk) -> None:
    job = desk.take_in({JOB_FILE: HOUSE}, who="Ada").line.document

    assert "says nothing of a programme" in client.get(f"/jobs/{job}/programme").text


def test_words_that_say_no_change_are_refused_at_once(client: TestClient, desk: Desk) -> None:
    job = desk.take_in({JOB_FILE: HOUSE + PROGRAMME}, who="Ada").line.document
    refused: Any = client.post(f"/api/jobs/{job}/runs/programme", json={"words": "more haste"})

    assert refused.status_code == 422
    assert "more haste" in refused.json()["error"]
