"""What goes into the folder of a plan: cut list, labels and pages, and where the codes lead."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from innerleaf import papers
from innerleaf.documents.labels_page import Label, labels_of
from innerleaf.pipeline import plan_job, write_folder

PAGES = "https://plans.example.invalid/mill-house"
JOB = f"""\
format: 1
site: {{name: Mill House (invented), pages: {PAGES}/}}
linings: {{warm: {{way: bracketed, profile: CD-60-27, boards: [board-A-12.5]}}}}
rooms: [{{id: r, name: room, height: 2500}}]
walls:
  - {{id: W-01, room: r, length: 3000, lining: warm}}
  - {{id: W-02, room: r, length: 1400, lining: warm}}
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.yaml"
    path.write_text(JOB, encoding="utf-8")
    return path


def test_codes_lead_to_the_pages_that_are_written(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Put where the job says, each address of a code is a file of the folder with that piece in it."""
    made: list[Label] = []

    def remembered(*given: Any) -> list[Label]:
        made.extend(labels_of(*given))
        return made

    def nothing(_tasks: Sequence[Any], **_how: Any) -> Iterator[None]:
        return iter(())

    monkeypatch.setattr(papers, "labels_of", remembered)
    monkeypatch.setattr(papers, "run_tasks", nothing)
    write_folder(plan_job(job), tmp_path / "out")

    assert len(made) > 10
    for label in made:
        address, _, anchor = label.code.partition("#")
        page = tmp_path / "out" / address.removeprefix(f"{PAGES}/")
        assert f'id="{anchor}"' in page.read_text("utf-8")


def test_without_printing_there_are_pages_and_workbook_only(job: Path, tmp_path: Path) -> None:
    write_folder(plan_job(job), tmp_path / "out", pdf=False, dxf=False)

    assert not list((tmp_path / "out").glob("*.pdf"))
    assert sorted(path.name for path in (tmp_path / "out" / "walls").iterdir()) == ["W-01.html", "W-02.html"]
