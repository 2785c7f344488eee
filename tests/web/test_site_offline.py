"""A tablet without a signal: nothing is lost, nothing comes twice, and it says what waits."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Page, expect
from tests.web.browser import barriers, browser, watched

from innerleaf.site.records import Kind, verify
from innerleaf.web.site_data import records

if TYPE_CHECKING:
    from tests.web.conftest import Served

RECORDS = 50


def _open(page: Page, served: Served, job: str) -> None:
    page.goto(f"{served.url}/site/{job}")
    expect(page.locator("#site[data-ready=yes][data-offline=ready]")).to_be_attached()


def _note(page: Page, text: str) -> None:
    field = page.locator("[data-part='Hours, notes, photos'] textarea")
    field.fill(text)
    page.get_by_role("button", name="Keep note").click()
    expect(field).to_have_value("")


def test_fifty_records_without_a_signal_and_a_tab_that_is_killed(
    served: Served, small: str, tmp_path: Path
) -> None:
    with browser(tmp_path, viewport={"width": 1024, "height": 900}) as context:
        page, complaints = watched(context)
        _open(page, served, small)
        page.get_by_label("Who writes").fill("Ivo")
        page.reload()
        expect(page.locator("#site[data-ready=yes]")).to_be_attached()
        context.set_offline(True)
        page.goto(f"{served.url}/site/{small}#wall/W1")
        page.reload()
        expect(page.get_by_role("heading", name="W1")).to_be_visible()
        expect(page.locator("#state")).to_contain_text("No signal")
        expect(page.locator(".paper svg")).to_be_visible()
        page.locator("[data-part='Hours, notes, photos'] > summary").click()
        for number in range(1, RECORDS):
            _note(page, f"note {number}")
        page.get_by_role("button", name="Done: mark out").click()
        expect(page.locator("#state")).to_contain_text(f"{RECORDS} records wait")
        expect(page.locator("[data-step='mark out']")).to_have_class("done")
        assert records(served.desk, small) == ()
        page.close()
        other = context.new_page()
        other.goto(f"{served.url}/site/{small}#wall/W1")
        expect(other.locator("#state")).to_contain_text(f"{RECORDS} records wait")
        context.set_offline(False)
        expect(other.locator("#state")).to_have_text("Connected · nothing waits")
        expect(other.locator("[data-step='mark out']")).to_have_class("done")
        told = records(served.desk, small)
        assert [one.entry.sequence for one in told] == list(range(1, RECORDS + 1))
        assert [one.entry.text for one in told[:-1]] == [f"note {number}" for number in range(1, RECORDS)]
        assert told[-1].entry.kind == Kind.DONE
        assert {one.entry.name for one in told} == {"Ivo"}
        # The fixture's clock stands in March: the device's is wrong by it, and every entry says so.
        assert {finding.code for finding in verify(told)} == {"W104"}
        assert [line for line in complaints if "ERR_INTERNET_DISCONNECTED" not in line] == []
