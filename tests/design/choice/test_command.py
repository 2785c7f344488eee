"""Choosing from the command line: options shown, walls planned, and every mistake a sentence."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest
from tests.test_cli import run

from innerleaf import cli

HEAD = """\
format: 1
site: {name: Test house (invented)}
firm: {prices: ours.yaml}
constructions:
  brick: [{material: brick-1600, thickness: 240}, {material: gypsum-plaster-1300, thickness: 15}]
linings:
  quiet: {way: stud and track, profile: CW-75, boards: [board-A-12.5, board-D-12.5],
          insulation: [wool-60], gap: 20}
rooms:
  - {id: R1, name: bedroom, height: 2500}
defaults: {construction: brick, lining: choose, other_side: neighbour}
"""
PRICES = """\
source: ours (invented)
boards: {board-A-12.5: 3.4, board-D-12.5: 5.6, board-H-12.5: 4.9}
insulation: {wool-40: 2.9, wool-60: 3.9, wool-80: 5.1}
"""
WALLS = """\
walls:
  - {id: W-01, room: R1, length: 4200, targets: {sound_gain: 8, thickness: 140}}
  - {id: W-02, room: R1, length: 2400, lining: quiet, targets: {sound_gain: 8}}
"""
IMPOSSIBLE = "walls:\n  - {id: W-03, room: R1, length: 3000, targets: {sound_gain: 9, thickness: 60}}\n"


def written(folder: Path, walls: str, prices: str = PRICES) -> Path:
    """A job of a firm that buys a few articles."""
    path = folder / "job.yaml"
    path.write_text(HEAD + walls, encoding="utf-8")
    (folder / "ours.yaml").write_text(prices, encoding="utf-8")
    return path


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return written(tmp_path, WALLS)


Said = Callable[..., tuple[int, str]]


@pytest.fixture
def said(capsys: pytest.CaptureFixture[str]) -> Said:
    """Run a command in this process: its exit code and what it says of mistakes."""

    def command(*words: str | Path) -> tuple[int, str]:
        code = cli._run([str(word) for word in words])
        return code, capsys.readouterr().err

    return command


def plan(job: Path, out: str) -> dict[str, str]:
    """Plan a job; the lining of each wall by its id."""
    answer = run("plan", job, "--out", job.parent / out, "--no-pdf", "--no-dxf", "--layout-only")
    assert answer.returncode == 0, answer.stderr
    said = json.loads((job.parent / out / "plan.json").read_text(encoding="utf-8"))
    return {wall["wall"]["id"]: wall["wall"]["lining"]["id"] for wall in said["walls"]}


def test_plan_chooses_and_leaves_alone_what_is_named(job: Path) -> None:
    linings = plan(job, "out")

    assert linings["W-02"] == "quiet"
    assert linings["W-01"].startswith("CW-")  # free-standing: brackets would carry the sound across


def test_the_same_job_gives_the_same_plan_to_the_byte(job: Path) -> None:
    plan(job, "one")
    plan(job, "other")

    one, other = ((job.parent / name / "plan.json").read_bytes() for name in ("one", "other"))
    assert one == other


def test_options_tell_the_best_first_with_both_figures(job: Path) -> None:
    answer = run("options", job, "--wall", "W-01", "--plots", job.parent / "plots", "--json")
    assert answer.returncode == 0, answer.stderr
    (wall,) = json.loads(answer.stdout)["walls"]
    costs = [row["quick"]["cost"] for row in wall["rows"]]

    assert wall["options"] > 500
    assert costs == sorted(costs)
    for row in wall["rows"]:
        assert row["misses"] == []
        assert row["full"]["sound_gain"] >= 8
        assert row["full"]["thickness"] <= 140
        assert row["full"]["cost"] == pytest.approx(row["quick"]["cost"], rel=0.02)
    assert all("against" not in row["trade"] and row["trade"] for row in wall["rows"][1:])
    drawing = ElementTree.parse(job.parent / "plots" / "W-01.svg")
    circles = [each for each in drawing.iter() if each.tag.endswith("circle")]
    assert len(circles) > 3 * len(wall["rows"])


def test_a_lining_of_the_job_is_judged_beside_the_others(job: Path) -> None:
    text = run("options", job, "--wall", "W-02").stdout

    assert "as the job says: CW-75 at 600, wool-60, gap 20" in text
    assert "The lining of the job meets all targets" in text


def test_impossible_targets_give_the_closest_and_what_to_give_up(tmp_path: Path) -> None:
    path = written(tmp_path, IMPOSSIBLE)
    text = run("options", path).stdout
    planned = run("plan", path, "--out", tmp_path / "out", "--no-pdf", "--no-dxf", "--layout-only")

    assert "No lining meets all targets; this is the closest." in text
    assert "To give up: thickness of the lining at most 60.0 mm: give way by " in text
    assert "To give up: improvement of sound reduction at least 9.0 dB: give way by " in text
    assert planned.returncode == 0
    assert "C102" in planned.stdout


def test_an_article_without_a_price_is_named(job: Path) -> None:
    """A firm that buys three boards chooses among these; the rest of the catalogue is said to be left out."""
    said = json.loads(run("options", job, "--wall", "W-01", "--json").stdout)

    assert {
        "code": "C101",
        "text": "boards, board-A-15: price not known; linings that need it are not among the options",
    } in said["left_out"]
    assert all("board-A-15" not in row["lining"] for row in said["walls"][0]["rows"])


@pytest.mark.parametrize(
    ("choose", "words"),
    [
        ("{objective: beauty}", "cost, thickness, hours, carbon"),
        ("{objective: weighted}", "one weight above 0 or more"),
        ("{weights: {cost: 1}}", "weights with the objective weighted only"),
        ("{weights: {beauty: 1}, objective: weighted}", "cost, hours, floor, carbon, mass, waste"),
        ("{align: [[W-01, W-09]]}", "ids of walls"),
        ("{align: [[W-01]]}", "2"),
        ("{most_systems: 0}", "1 or more"),
        ("{another_system: -5}", "0 or more"),
        ("cheap", "fields"),
    ],
)
def test_a_wrong_section_choose_is_a_sentence_with_its_line(
    job: Path, said: Said, choose: str, words: str
) -> None:
    job.write_text(HEAD + f"choose: {choose}\n" + WALLS, encoding="utf-8")
    code, text = said("check", job)

    assert code == 2
    assert f"{job}:" in text
    assert words in text


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ("{boards: [board-Z]}", "boards of the practice set"),
        ("{profile: UW-75}", "studs or channels of the practice set"),
        ("{way: bracketed, profile: CW-75}", "CD-60-27"),
        ("{membrane: foil}", "membranes of the practice set"),
    ],
)
def test_what_is_settled_must_be_on_sale(job: Path, said: Said, changes: str, words: str) -> None:
    job.write_text(HEAD + WALLS.replace("length: 4200", f"length: 4200, lining_changes: {changes}"))
    code, text = said("check", job)

    assert code == 2
    assert words in text


def test_what_is_settled_is_taken(job: Path) -> None:
    settled = "length: 4200, lining_changes: {boards: [board-D-12.5], profile: CW-100}"
    job.write_text(HEAD + WALLS.replace("length: 4200", settled))

    assert plan(job, "out")["W-01"].startswith("CW-100 at 600")


def test_a_wish_that_the_rules_forbid_names_the_wall(job: Path, said: Said) -> None:
    settled = "length: 4200, wet: true, lining_changes: {boards: [board-A-12.5]}"
    job.write_text(HEAD + WALLS.replace("length: 4200", settled))
    code, text = said("plan", job, "--out", job.parent / "out")

    assert code == 2
    assert "wall W-01 (bedroom)" in text
    assert "at least one lawful lining" in text
    assert not (job.parent / "out").exists()


def test_a_wall_that_is_not_there_is_a_sentence(job: Path, said: Said) -> None:
    code, text = said("options", job, "--wall", "W-77")

    assert code == 2
    assert "W-77" in text
    assert "W-01, W-02" in text


def test_every_mistake_of_a_price_list_is_said_with_its_line(tmp_path: Path, said: Said) -> None:
    prices = "source: ours\nboards: {board-A-12.5: cheap, board-Q: 2}\nlabour: {fitter: 46}\n"
    code, text = said("options", written(tmp_path, WALLS, prices))

    assert code == 2
    for words in (
        "ours.yaml:2:",
        "boards.board-A-12.5: given 'cheap'",
        "board-Q",
        "labour.helper: given None",
    ):
        assert words in text
