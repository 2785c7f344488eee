"""`site.pages`: the address that codes on labels lead to."""

from __future__ import annotations

from pathlib import Path

import pytest

from innerleaf.errors import FileFaults
from innerleaf.job.read import Job, read_job_text

TEXT = """\
format: 1
site: {{name: Mill House (invented){more}}}
linings: {{warm: {{way: bracketed, profile: CD-60-27, boards: [board-A-12.5]}}}}
rooms: [{{id: r, name: room, height: 2500}}]
walls: [{{id: W-01, room: r, length: 3000, lining: warm}}]
"""


def job(more: str = "") -> Job:
    return read_job_text(TEXT.format(more=more), Path("job.yaml"))


@pytest.mark.parametrize(
    ("given", "read"),
    [
        ("https://plans.example.invalid/mill/", "https://plans.example.invalid/mill"),
        ("'http://192.168.4.20:8080'", "http://192.168.4.20:8080"),
        ("'http://[fd00::7]/plans/mill%20house'", "http://[fd00::7]/plans/mill%20house"),
    ],
)
def test_an_address_of_a_folder_is_read(given: str, read: str) -> None:
    assert job(f", pages: {given}").pages == read
    assert job().pages == ""


@pytest.mark.parametrize(
    "given",
    [
        "plans.example.invalid/mill",
        "'ftp://plans.example.invalid'",
        "'javascript:alert(1)'",
        "'https://plans.example.invalid/a b'",
        "'https://plans.example.invalid/?job=3'",
        "'https://plans.example.invalid/#top'",
        "'https:///mill'",
        "https://" + "a" * 130,
        "7",
        "''",
    ],
)
def test_anything_else_is_refused_with_what_would_do(given: str) -> None:
    with pytest.raises(FileFaults) as error:
        job(f", pages: {given}")

    [fault] = error.value.faults
    assert fault.startswith("job.yaml:2:")
    assert "pages" in fault
    assert "an address of a folder, http:// or https:// first" in fault
