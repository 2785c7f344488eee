"""A tablet without a signal: nothing is lost, nothing comes twice, and it says what waits."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Page, expect
from tests.web.browser import barriers, browser, browsers, watched

from innerleaf.site.records import Kind, verify
from innerleaf.store.site import photos_of
from innerleaf.web.site_data import records, site_wall

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
        assert [line for line in complaints if "net::ERR_" not in line] == []


def _check(page: Page, name: str, **figures: str) -> None:
    part = page.locator(f"[data-check='{name}']").first
    if not part.evaluate("part => part.open"):
        part.locator("summary").click()
    for label, figure in figures.items():
        part.get_by_label(label.replace("_", " ")).fill(figure)


def test_a_value_is_judged_at_once_without_a_signal_and_the_server_agrees(
    served: Served, small: str, tmp_path: Path
) -> None:
    with browser(tmp_path, viewport={"width": 390, "height": 800}, has_touch=True) as context:
        page, complaints = watched(context)
        _open(page, served, small)
        context.set_offline(True)
        page.goto(f"{served.url}/site/{small}#wall/W1")
        _check(page, "flatness", Straightedge="2000", Widest_gap="8,5")
        said = page.locator("[data-check=flatness] .said")
        expect(said).to_have_text("✗ Not good at most 7 mm · missed by 1.5 mm")
        page.locator("[data-check=flatness]").get_by_label("Widest gap").fill("4")
        expect(said).to_have_text("✓ Good at most 7 mm · 3 mm to spare")
        page.locator("[data-check=flatness]").get_by_role("button", name="Keep this check").click()
        expect(page.locator("[data-check=flatness] > summary")).to_contain_text("✓ Flatness")
        _check(
            page,
            "coat-dry",
            Temperature_meanwhile="15.6",
            Relative_humidity_meanwhile="50",
            Hours_since_the_coat="20",
        )
        expect(page.locator("[data-check=coat-dry] .said").last).to_contain_text("Not good at least 25.")
        page.locator("[data-check=coat-dry]").first.get_by_role("button", name="Keep this check").click()
        _check(page, "insulation")
        page.locator("[data-check=insulation]").get_by_role("button", name="No", exact=True).click()
        expect(page.locator("[data-check=insulation] .said")).to_have_text("✗ Not good")
        context.set_offline(False)
        expect(page.locator("#state")).to_have_text("Connected · nothing waits")
        told = records(served.desk, small)
        assert [one.entry.met for one in told] == [True, False]
        assert "W103" not in {finding.code for finding in verify(told)}  # digests agree to the byte
        opened = served.desk.open(small)
        found = {one.code for one in site_wall(served.desk, opened, "W1", told).findings}
        assert ("W201" in found, "W205" in found) == (True, False)
        assert [line for line in complaints if "net::ERR_" not in line] == []


def test_two_tablets_on_one_wall(served: Served, small: str, tmp_path: Path) -> None:
    """Both offline, both write; each sees in the end what the other wrote, all of it once."""
    with browsers(tmp_path / "one", tmp_path / "two") as (first, second):
        one, two = first.pages[0], second.pages[0]
        for page in (one, two):
            _open(page, served, small)
            page.goto(f"{served.url}/site/{small}#wall/W1")
        for context in (first, second):
            context.set_offline(True)
        for step in ("mark out", "strip and tracks"):
            one.get_by_role("button", name=f"Done: {step}").click()
        for step in ("mark out", "frame"):
            two.get_by_role("button", name=f"Done: {step}").click()
        expect(one.locator("#state")).to_contain_text("2 records wait")
        expect(two.locator("#state")).to_contain_text("2 records wait")
        second.set_offline(False)
        expect(two.locator("#state")).to_have_text("Connected · nothing waits")
        first.set_offline(False)
        expect(one.locator("#state")).to_have_text("Connected · nothing waits")
        two.reload()
        for page in (one, two):
            for step in ("mark out", "strip and tracks", "frame"):
                expect(page.locator(f"[data-step='{step}']")).to_have_class("done")
        told = records(served.desk, small)
        assert sorted(entry.entry.what for entry in told) == [
            "frame",
            "mark out",
            "mark out",
            "strip and tracks",
        ]
        assert len({entry.entry.device for entry in told}) == 2
        assert {finding.code for finding in verify(told)} == {"W104"}


def test_hold_points_deviations_and_photos_at_the_wall(served: Served, small: str, tmp_path: Path) -> None:
    with browser(tmp_path, viewport={"width": 1024, "height": 900}) as context:
        page, complaints = watched(context)
        _open(page, served, small)
        page.goto(f"{served.url}/site/{small}#wall/W1")
        steps = ["mark out", "strip and tracks", "frame", "services in and tested", "insulation"]
        for step in steps:
            page.get_by_role("button", name=f"Done: {step}").click()
        expect(page.get_by_role("button", name="Done: board layer 1")).to_have_count(0)
        expect(page.locator("[data-step='board layer 1']")).to_contain_text("held by: close-up inspection")
        page.get_by_role("button", name="Passed: close-up inspection", exact=True).click()
        page.locator("[data-part='Elsewhere than drawn'] > summary").click()
        form = page.locator("[data-part='Elsewhere than drawn'] form")
        form.get_by_label("Piece").select_option("W1/S03")
        before = page.locator(".paper").inner_html()
        form.get_by_label("From the datum").fill("740")
        photo = tmp_path / "photo.png"
        photo.write_bytes(page.screenshot())
        form.get_by_label("Photo").set_input_files(photo)
        form.get_by_role("button", name="Keep as measured").click()
        expect(page.locator("#state")).to_have_text("Connected · nothing waits")
        expect(page.locator(".paper")).not_to_have_js_property("innerHTML", before)
        expect(page.locator("[data-part^='Piece by piece']")).to_contain_text("x 740")
        left = page.locator("[data-part^='What is still to be cut']")
        left.locator("summary").click()
        expect(left).to_contain_text("W1/B1-01")
        expect(left).not_to_contain_text("W1/S03")
        expect(left).to_contain_text("in hand")
        told = records(served.desk, small)
        assert told[-1].entry.values == (("x_mm", 740.0),)
        assert photos_of(served.desk.engine, small) == set(told[-1].entry.photos)
        page.get_by_role("button", name="Done: board layer 1").click()
        expect(page.locator("[data-step='board layer 1']")).to_have_class("done")
        assert complaints == []


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1920, "dark")])
def test_nobody_is_kept_out(served: Served, small: str, tmp_path: Path, width: int, scheme: str) -> None:
    size = {"width": width, "height": 900}
    with browser(tmp_path, viewport=size, color_scheme=scheme, has_touch=True) as context:
        page, _ = watched(context)
        wall = f"/site/{small}#wall/W1"
        others = ("/site", f"/site/{small}", f"/site/{small}#material") if width == 360 else ()
        for address in (wall, *others):
            page.goto(f"{served.url}{address}")
            if small in address:
                expect(page.locator("#site[data-ready=yes]")).to_be_attached()
                expect(page.locator("#site h1")).to_be_visible()
            page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
            assert barriers(page) == [], address
            assert page.evaluate("document.documentElement.scrollWidth") <= width
            targets = ".site :is(button, a, input, select, textarea, summary), .bar :is(a, input)"
            assert page.evaluate(_SMALL_TARGETS, targets) == [], address


_SMALL_TARGETS = """where => [...document.querySelectorAll(where)]
  .filter(one => one.offsetParent)
  .map(one => [one.outerHTML.slice(0, 60), one.getBoundingClientRect()])
  .filter(([, box]) => box.height < 44 || box.width < 44)
  .map(([text]) => text)"""
