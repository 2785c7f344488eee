"""The way from job to papers: the same whatever the number of processes."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf import PdfReader

from innerleaf import papers
from innerleaf.errors import InputError
from innerleaf.pipeline import plan_job, write_folder

WALLS = 20


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job of plain walls, each a little longer than the one before."""
    path = tmp_path_factory.mktemp("job") / "job.yaml"
    walls = (
        f"  - {{id: W-{number:02d}, room: R1, length: {1800 + 100 * number}, height: 2500, lining: thin}}\n"
        for number in range(1, WALLS + 1)
    )
    path.write_text(
        "format: 1\n"
        "site: {name: Test house (invented)}\n"
        "linings:\n"
        "  thin: {way: bracketed, profile: CD-60-27, boards: [board-A-12.5]}\n"
        "rooms: [{id: R1}]\n"
        "walls:\n" + "".join(walls),
        encoding="utf-8",
    )
    return path


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def test_workers_change_nothing(job: Path, tmp_path: Path) -> None:
    """Two people with different machines hold the same papers."""
    alone, shared = plan_job(job), plan_job(job, workers=2)
    assert alone.plans == shared.plans
    assert alone.takeoff == shared.takeoff

    write_folder(alone, tmp_path / "alone", workers=1)
    write_folder(shared, tmp_path / "shared", workers=2)
    assert contents(tmp_path / "alone") == contents(tmp_path / "shared")


def test_work_elsewhere_changes_no_wall(job: Path) -> None:
    """A wall planned alone is the wall planned with all others, marks included."""
    every = {plan.wall.id: plan for plan in plan_job(job).plans}
    (alone,) = plan_job(job, only=["W-07"]).plans
    assert alone == every["W-07"]


def test_progress_counts_every_wall_once(job: Path) -> None:
    said: list[tuple[str, int, int]] = []
    plan_job(job, workers=2, progress=lambda *step: said.append(step))
    assert [done for doing, done, of in said if doing == "setting out"] == [8, 16, WALLS]
    assert {of for _, _, of in said} == {WALLS}


def test_unknown_walls_are_named(job: Path) -> None:
    with pytest.raises(InputError, match=r"W-99.*W-01, W-02.* and 8 more"):
        plan_job(job, only=["W-01", "W-99"])


def test_many_walls_are_printed_in_parts(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every wall is in just one part, and each part says which it is."""
    monkeypatch.setattr(papers, "WALLS_OF_ONE_SET", 5)
    monkeypatch.setattr(papers, "WALLS_OF_A_PART", 4)
    planned = plan_job(job, only=[f"W-{number:02d}" for number in range(1, 10)])

    write_folder(planned, tmp_path / "out", dxf=False)

    parts = sorted(path.name for path in (tmp_path / "out").glob("sheets*.pdf"))
    assert parts == ["sheets-1.pdf", "sheets-2.pdf", "sheets-3.pdf"]
    seen: list[str] = []
    for number, name in enumerate(parts, 1):
        text = "".join(page.extract_text() for page in PdfReader(tmp_path / "out" / name).pages)
        assert f"part {number} of 3" in text
        seen += sorted({f"W-{wall:02d}" for wall in range(1, 21) if f"W-{wall:02d}" in text})
    assert seen == [f"W-{number:02d}" for number in range(1, 10)]
