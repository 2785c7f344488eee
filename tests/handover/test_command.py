"""`innerleaf handover` as its user meets it: from a job file and its records to the pack."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader
from tests.conftest import ROOT
from tests.handover.packs import chain, picture
from tests.job.two_rooms import TWO_ROOMS

from innerleaf.cli_handover import handover as command
from innerleaf.documents.handover_files import documents_in
from innerleaf.errors import FileFaults, InputError
from innerleaf.handover_case import handed_over
from innerleaf.site.records import verify
from innerleaf.site.records_file import read_records, records_text


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job with a wall W-03, the records of it, its photo and a document with an index."""
    made = tmp_path_factory.mktemp("site")
    (made / "job.yaml").write_text(TWO_ROOMS.replace("W-02", "W-03"), encoding="utf-8")
    (made / "records.json").write_text(records_text(chain()), encoding="utf-8")
    for name in ("photos", "documents"):
        (made / name).mkdir()
    (made / "photos" / "any name.jpeg").write_bytes(picture())
    (made / "documents" / "boards.txt").write_text("hello", encoding="utf-8")
    (made / "documents" / "index.yaml").write_text("boards.txt: {title: Boards, articles: [board-A-12.5]}\n")
    return made


def test_records_read_back_as_they_were(folder: Path) -> None:
    assert read_records(folder / "records.json") == chain()
    assert not verify(read_records(folder / "records.json"))


def test_the_command_makes_the_pack(folder: Path) -> None:
    """Only the wall with records is in it, judged as built; the photo is found by what it holds."""
    out = folder / "out"
    asked = [str(folder / "job.yaml"), "--records", str(folder / "records.json"), "--out", str(out)]

    done = CliRunner().invoke(command, [*asked, "--documents", str(folder / "documents")])

    assert done.exit_code == 0, done.output
    assert done.output.startswith("1 walls, 4 checks, 13 records;")
    assert "open: W-03: W201" in done.output
    data = json.loads((out / "handover.json").read_text("utf-8"))
    assert [wall["wall"] for wall in data["walls"]] == ["W-03"]
    assert data["not_in_it"] == ["W-01"]
    assert data["date"] == "2026-03-30"
    statements = {one["requirement"]: one for one in data["walls"][0]["statements"]}
    assert statements["U-value with members and brackets"]["working"]
    reader = PdfReader(BytesIO((out / "handover.pdf").read_bytes()))
    assert set(reader.attachments) == {"documents/boards.txt", "handover.json"}
    assert any("U-value with members and brackets" in page.extract_text() for page in reader.pages)
    assert any(page.images for page in reader.pages)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("{}", r"records: given \(None, None\), accepted: format 'innerleaf-records', version 1"),
        ("not json", "records: given 'r.json', accepted: readable JSON"),
        (
            '{"format": "innerleaf-records", "version": 1, "records": [{}]}',
            "record 1: given 'something else'",
        ),
        ('{"format": "innerleaf-records", "version": 1}', "records: given 'about none of its walls'"),
    ],
)
def test_what_is_no_file_of_records_is_said(folder: Path, text: str, told: str) -> None:
    (folder / "r.json").write_text(text, encoding="utf-8")

    with pytest.raises(InputError, match=told):
        handed_over(folder / "job.yaml", folder / "r.json")


def test_an_index_that_names_what_is_not_there(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("x", encoding="utf-8")
    (tmp_path / "index.yaml").write_text(
        "a.txt: {articles: [board-Z]}\nb.txt: {title: B}\n", encoding="utf-8"
    )

    with pytest.raises(FileFaults) as error:
        documents_in(tmp_path, ["board-A-12.5"])

    assert "index.yaml:1:20: given 'board-Z', accepted: an article of the practice set." in str(error.value)
    assert "index.yaml:2:1: there is no file b.txt beside the index." in str(error.value)


def test_other_kinds_of_documents_are_refused(tmp_path: Path) -> None:
    (tmp_path / "a.exe").write_bytes(b"MZ")

    with pytest.raises(InputError, match=r"document: given 'a\.exe', accepted: \.pdf, "):
        documents_in(tmp_path, [])


def test_the_records_of_the_demo_are_whole() -> None:
    """The invented records that come along: a chain without a fault, about walls of the demo."""
    path = ROOT / "examples" / "demo" / "site" / "records.json"

    assert not verify(read_records(path))
    assert "invented" in json.loads(path.read_text("utf-8"))["statement"]
    assert {record.entry.wall for record in read_records(path)} == {"G-02", "G-03", "F11-bath-1"}
