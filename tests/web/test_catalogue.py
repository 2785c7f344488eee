"""The practice to look at and the firm's own files: found, brought in, checked, brought back."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.web.conftest import SMALL

from innerleaf.practice.load import load_practice
from innerleaf.store.history import documents
from innerleaf.web.catalogue import SECTIONS, columns_of, entries_of
from innerleaf.web.desk import JOB_FILE, Desk

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

FIRM = (
    "source: house rules (invented)\nrules:\n  coat_wait_min: {value: 180, source: cold stairs (invented)}\n"
)


@pytest.mark.parametrize("section", SECTIONS)
def test_every_entry_is_shown_with_its_source(client: TestClient, small: str, section: str) -> None:
    page = client.get(f"/jobs/{small}/catalogue/{section}").text
    entries = entries_of(section, load_practice())
    assert page.count('<th scope="row">') == len(entries) > 0
    assert page.count('<td class="source">') == len(entries)
    assert all(name for name, _ in columns_of(section))


def test_entries_are_found_by_words(client: TestClient, small: str) -> None:
    page = client.get(f"/jobs/{small}/catalogue/boards?q=a-12.5 1250").text
    assert "board-A-12.5x1250" in page
    assert "board-H-12.5<" not in page
    assert "No entry has all these words." in client.get(f"/jobs/{small}/catalogue/boards?q=zzz").text


def _send(
    client: TestClient, key: str, kind: str, text: str | bytes, name: str = "own.yaml", **more: str
) -> int:
    raw = text if isinstance(text, bytes) else text.encode()
    files = {"file": (name, io.BytesIO(raw))}
    files |= {part: (f"{part}.yaml", io.BytesIO(said.encode())) for part, said in more.items()}
    return client.put(f"/api/jobs/{key}/files/{kind}", files=files).status_code


def test_a_firms_rules_are_brought_in_shown_and_brought_back(
    client: TestClient, desk: Desk, small: str
) -> None:
    assert _send(client, small, "practice", FIRM) == 200
    assert desk.open(small).practice.rules.coat_wait_min == 180
    assert "practice: our-practice.yaml" in desk.open(small).revision.text
    changed = client.get(f"/jobs/{small}/catalogue/rules?changed=true").text
    assert changed.count('<th scope="row">') == 1
    assert "<s>120</s>" in changed
    assert _send(client, small, "practice", FIRM.replace("180", "240")) == 200
    assert desk.open(small).practice.rules.coat_wait_min == 240
    back = client.post(f"/jobs/{small}/files/practice/restore", data={"number": "1"}, follow_redirects=False)
    assert back.status_code == 303
    assert desk.open(small).practice.rules.coat_wait_min == 180
    assert "3 revisions" in client.get(f"/jobs/{small}/files").text


@pytest.mark.parametrize(
    ("kind", "text", "told"),
    [
        ("practice", FIRM.replace("180", "1"), "rules.coat_wait_min"),
        ("practice", "a: [", "our-practice.yaml:2:1"),
        ("prices", "source: x\ncurrency: EUR\ndate: 2026-01-01\nprofiles: {CW-50: dear}\n", "CW-50"),
        ("rates", "source: x\nwhat: {}\n", "what"),
        ("weather", "no weather", "weather.epw"),
        ("supply", "format: 9\n", "format"),
    ],
)
def test_what_is_wrong_with_a_file_is_said_and_it_is_not_kept(
    client: TestClient, desk: Desk, small: str, kind: str, text: str, told: str
) -> None:
    answer = client.post(
        f"/jobs/{small}/files/{kind}", files={"file": ("own.yaml", io.BytesIO(text.encode()))}
    )
    assert answer.status_code == 422
    faults = answer.text.split('class="faults"')[1].split("</ul>")[0]
    assert told in faults
    assert "/tmp" not in faults
    assert documents(desk.engine, owner=small) == ()
    assert desk.open(small).number == 1


PRICES = "code;text;price;unit\nB-1;board;3,60;m2\nB-2;board;none;m2\nX-9;other;1,00;m2\n"
MAPPING = """\
format: 1
supplier: Weir Supplies (invented)
source: price list of spring (invented)
date: 2026-03-01
currency: EUR
decimal: comma
columns: {code: code, price: price, unit: unit}
units: {m2: m2}
articles:
  B-1: {article: board-A-12.5, length: 2600}
  B-2: {article: board-A-15, length: 2600}
"""


def test_a_price_list_becomes_a_supply_list_with_what_was_left_out(client: TestClient, desk: Desk) -> None:
    key = desk.take_in({JOB_FILE: SMALL}, who="Ada").line.document
    files = {
        "file": ("list.csv", io.BytesIO(PRICES.encode())),
        "mapping": ("map.yaml", io.BytesIO(MAPPING.encode())),
    }
    answer = client.put(f"/api/jobs/{key}/files/supply", files=files)
    assert answer.status_code == 200, answer.text
    assert len(answer.json()["left_out"]) == 1
    assert "board-A-12.5" in desk.files(key)["supply.yaml"]
    without = client.put(f"/api/jobs/{key}/files/supply", files={"file": files["file"]})
    assert without.status_code == 422
    assert "mapping" in without.json()["error"]


def test_no_file_leads_out_of_the_jobs_folder(client: TestClient, desk: Desk, small: str) -> None:
    assert _send(client, small, "practice", FIRM, name="../../up.yaml") == 200
    assert set(desk.files(small)) == {JOB_FILE, "our-practice.yaml"}
    assert not Path("up.yaml").exists()
    assert _send(client, small, "job", FIRM) == 422
