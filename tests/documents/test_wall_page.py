"""The page of a wall: every piece under an address of its own, nothing fetched, nothing run."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from html.parser import HTMLParser
from urllib.parse import unquote

import pytest
from tests.documents.fixture import a_corridor, with_findings
from tests.documents.test_cut_list import PLANS, TITLE, a_cut
from tests.documents.test_labels_page import PAGES, marks_of_pieces

from innerleaf.documents.boarding import layers_of
from innerleaf.documents.labels_page import labels_of
from innerleaf.documents.pages import board_svg, frame_svg
from innerleaf.documents.view import short
from innerleaf.documents.wall_page import wall_page
from innerleaf.findings import Finding
from innerleaf.layout.pieces import WallPlan

_VOID = ("meta", "br", "hr", "img", "input", "link")


class Elements(HTMLParser):
    """Every element with its attributes and the names of those around it; what is not closed is a fault."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def page_of(plan: WallPlan) -> str:
    boards = {layer: board_svg(plan, layer) for layer in layers_of(plan)}
    return wall_page(plan, frame_svg(plan), boards, TITLE)


def elements_of(page: str) -> Elements:
    found = Elements()
    found.feed(page)
    assert not found.open
    return found


def an_odd_wall() -> WallPlan:
    """Names with signs that mean something in a page."""
    plan = PLANS[0]
    wall = replace(plan.wall, name='<b>"north"</b>', boxes=(replace(plan.wall.boxes[0], id="<E&1>"),))
    return replace(plan, wall=wall)


@pytest.mark.parametrize("plan", [*PLANS, a_corridor(), an_odd_wall()], ids=lambda plan: plan.wall.name)
def test_every_piece_has_one_address_and_every_link_leads_somewhere(plan: WallPlan) -> None:
    found = elements_of(page_of(plan))
    ids = Counter(attributes["id"] for _, attributes in found.found if "id" in attributes)

    assert max(ids.values()) == 1
    for mark in marks_of_pieces(plan):
        assert short(mark, plan.wall.id) in ids
    for _, attributes in found.found:
        link = attributes.get("href")
        if link is not None:
            assert link.startswith("#")
            assert unquote(link[1:]) in ids


@pytest.mark.parametrize("plan", [PLANS[0], an_odd_wall()], ids=["plain", "odd"])
def test_nothing_is_fetched_or_run(plan: WallPlan) -> None:
    page = page_of(plan)
    found = elements_of(page)

    assert not {"script", "iframe", "img", "link", "object", "base", "b"} & {tag for tag, _ in found.found}
    assert not any(name.startswith("on") or name == "src" for _, a in found.found for name in a)
    assert set(re.findall(r"https?://[^\s\"']+", page)) <= {"http://www.w3.org/2000/svg"}
    assert "@import" not in page
    policies = [a["content"] for tag, a in found.found if tag == "meta" and "http-equiv" in a]
    assert policies == ["default-src 'none'; style-src 'unsafe-inline'"]


def test_drawings_on_one_page_keep_their_hatches_apart() -> None:
    """Two drawings may have a hatch of one name; each refers to its own."""
    page = page_of(PLANS[0])
    names = set(re.findall(r"url\(#([\w-]+)\)", page))

    assert names
    assert names <= set(re.findall(r'id="([\w-]+)"', page))


def test_the_codes_of_labels_lead_to_pieces_on_these_pages() -> None:
    ids = {
        plan.wall.id: {a["id"] for _, a in elements_of(page_of(plan)).found if "id" in a} for plan in PLANS
    }
    for label in labels_of(PLANS, a_cut(), PAGES):
        address, _, anchor = label.code.partition("#")
        wall = address.rpartition("/")[2].removesuffix(".html")
        assert unquote(anchor) in ids[wall]


def test_the_piece_asked_for_is_marked_without_a_script_in_light_and_dark_and_on_a_phone() -> None:
    page = page_of(PLANS[0])

    assert ".p:target path" in page
    assert "li:target" in page
    assert "prefers-color-scheme:dark" in page
    assert 'name="viewport" content="width=device-width, initial-scale=1"' in page
    assert ".sheet{overflow:auto" in page


def test_a_damp_wall_says_first_that_it_is_not_to_be_lined() -> None:
    damp = Finding(
        code="H111",
        wall="W-03",
        rule="",
        layer=0,
        x_mm=0,
        y_mm=0,
        by_mm=0,
        text="the survey found it damp",
        remedy="",
    )
    page = page_of(with_findings(PLANS[0], damp))
    words = " ".join(elements_of(page).words)

    assert "DO NOT LINE THIS WALL YET. The survey found it damp." in words
    assert words.index("DO NOT LINE") < words.index("Frame")


def test_the_page_says_of_which_set_it_is_and_is_the_same_at_every_run() -> None:
    page = page_of(PLANS[0])

    assert "Mill Lane 3 · revision A · Test Linings · Invented." in page
    assert page == page_of(PLANS[0])
