"""What a job says of how bars and boards are cut: offcuts in the store, batches, few lengths."""

from __future__ import annotations

from pathlib import Path

import pytest

from innerleaf.errors import FileFaults
from innerleaf.job.read import read_job_text
from innerleaf.pipeline import plan_job

JOB = """\
format: 1
site: {name: Two storeys (invented), practice: en_metric}
constructions:
  brick: [{material: brick-1800, thickness: 240}]
linings:
  warm: {way: stud and track, profile: CW-75, spacing: 600, boards: [board-A-12.5], insulation: [wool-60]}
rooms: [{id: low, storey: ground floor}, {id: high, storey: first floor}]
walls:
  - {id: W1, room: low, construction: brick, lining: warm, length: 3300, height: 2510}
  - {id: W2, room: high, construction: brick, lining: warm, length: 3100, height: 2480}
buying:
"""


def _planned(folder: Path, buying: str) -> Path:
    file = folder / "job.yaml"
    file.write_text(JOB + buying, encoding="utf-8")
    return file


@pytest.mark.parametrize(
    ("buying", "says"),
    [
        ("  offcuts: [{article: wool-60, mark: K, length: 900}]", "profiles and boards of the practice set"),
        ("  offcuts: [{article: CW-75, mark: K, length: 900, width: 300}]", "none for a bar"),
        ("  offcuts: [{article: board-A-12.5, mark: K, length: 900}]", "the width of the piece of board"),
        ("  offcuts: [{article: board-A-12.5, mark: K, length: 900, width: 1300}]", "1200 or less"),
        ("  batches: weekly", "batches"),
        ("  most_lengths: {wool-60: 2}", "profiles and boards, or profile, board"),
        ("  most_lengths: {profile: 0}", "most_lengths"),
    ],
)
def test_what_cannot_be_is_said(buying: str, says: str) -> None:
    with pytest.raises(FileFaults, match=says):
        read_job_text(JOB + buying + "\n", Path("job.yaml"))


def test_an_offcut_in_the_store_is_cut_before_anything_is_bought(tmp_path: Path) -> None:
    wish = "  offcuts: [{article: CW-75, mark: K-7, length: 2600, count: 2}]\n"
    planned = plan_job(_planned(tmp_path, wish))
    assert sum(bar.source == "K-7" for bar in planned.takeoff.bars) == 2


def test_each_storey_is_cut_from_what_arrived_for_it(tmp_path: Path) -> None:
    planned = plan_job(_planned(tmp_path, "  batches: storey\n  storeys: [first floor, ground floor]\n"))
    for bar in planned.takeoff.bars:
        assert {piece.wall for piece in bar.pieces} == {("W2", "W1")[bar.batch]}


def test_few_lengths_are_ordered_where_the_job_wants_few(tmp_path: Path) -> None:
    planned = plan_job(_planned(tmp_path, "  most_lengths: {profile: 1}\n"))
    lengths = {bar.stock_mm for bar in planned.takeoff.bars if bar.item == "CW-75"}
    assert len(lengths) == 1
