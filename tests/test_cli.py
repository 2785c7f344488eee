"""The command line as a person meets it: answers, exit codes, and never a traceback."""

from __future__ import annotations

import json
import os
import pty
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from tests.conftest import need_tool

from innerleaf import __version__

JOB = """\
format: 1
site: {name: Test house (invented)}
linings:
  thin: {way: bracketed, profile: CD-60-27, boards: [board-A-12.5], insulation: [wool-40], gap: 40}
  thick: {way: stud and track, profile: CW-75, boards: [board-A-12.5, board-A-12.5], insulation: [wool-75]}
rooms:
  - {id: R1, name: Bedroom, storey: ground}
walls:
  - {id: W-01, room: R1, length: 3600, height: 2500, lining: thin,
     openings: [{kind: window, x: 1200, sill: 850, width: 1100, height: 1300}]}
  - {id: W-02, room: R1, length: 2400, height: 2500, lining: thick}
"""
BEGINNING = (sys.executable, "-c", "from innerleaf.cli import main; main()")


def run(*arguments: object, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run the command line in a process of its own; whatever happens, it never shows a traceback."""
    command = [*BEGINNING, *map(str, arguments)]
    answer = subprocess.run(command, capture_output=True, text=True, cwd=cwd, check=False, timeout=120)
    assert "Traceback" not in answer.stdout + answer.stderr
    return answer


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.yaml"
    path.write_text(JOB, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The folder of one plan, and what was printed for it."""
    folder = tmp_path_factory.mktemp("planned")
    (folder / "job.yaml").write_text(JOB, encoding="utf-8")
    answer = run("plan", folder / "job.yaml", "--out", folder / "out")
    assert answer.returncode == 0, answer.stderr
    return folder / "out", answer.stdout


def test_version() -> None:
    assert run("--version").stdout == f"innerleaf {__version__}\n"


def test_help_names_the_exit_codes() -> None:
    """Scripts rely on them, so they stand where people look first."""
    text = run("--help").stdout
    assert all(f"  {code} " in text for code in (0, 1, 2, 3, 70, 130))


def test_documentation_names_every_command_and_option() -> None:
    from innerleaf.cli import commands

    page = (Path(__file__).parents[1] / "docs" / "command-line.md").read_text("utf-8")
    for name, command in commands.commands.items():
        assert f"innerleaf {name} " in page
        for parameter in command.params:
            assert all(option in page for option in parameter.opts if option.startswith("--"))


@pytest.mark.parametrize("arguments", [["nonsense"], ["plan", "job.yaml"], ["check"]])
def test_wrong_usage_is_said(arguments: list[str]) -> None:
    answer = run(*arguments)
    assert answer.returncode == 2
    assert "Error" in answer.stderr


# --- new and check --------------------------------------------------------------------------------


def test_starter_is_right_and_is_never_written_over(tmp_path: Path) -> None:
    """The first thing a person sees has no mistake in it, and is kept once it holds their building."""
    assert run("new", cwd=tmp_path).returncode == 0
    assert run("check", "job.yaml", cwd=tmp_path).returncode == 0
    (tmp_path / "job.yaml").write_text("mine")
    answer = run("new", cwd=tmp_path)
    assert answer.returncode == 3
    assert "job.yaml" in answer.stderr
    assert (tmp_path / "job.yaml").read_text() == "mine"


def test_new_in_a_folder_that_is_not_there(tmp_path: Path) -> None:
    assert run("new", tmp_path / "nowhere" / "job.yaml").returncode == 3


def test_check_counts_rooms_and_walls(job: Path) -> None:
    answer = run("check", job)
    assert answer.returncode == 0
    assert answer.stdout == f"{job}: 1 room, 2 walls, no mistakes found.\n"


def test_check_says_all_mistakes_at_once(job: Path) -> None:
    job.write_text(JOB.replace("x: 1200", "x: 3400").replace("CW-75", "CW-76"), encoding="utf-8")
    answer = run("check", job)
    assert answer.returncode == 2
    assert f"{job}:10:" in answer.stderr
    assert f"{job}:5:" in answer.stderr
    assert "W-01" in answer.stderr


def test_check_answers_programs(job: Path) -> None:
    good = json.loads(run("check", job, "--json").stdout)
    assert good == {"ok": True, "faults": [], "rooms": 1, "walls": 2}

    job.write_text(JOB.replace("2400", "-2400"), encoding="utf-8")
    bad = run("check", job, "--json")
    assert bad.returncode == 2
    assert json.loads(bad.stdout)["ok"] is False
    fault = json.loads(bad.stdout)["faults"][0]
    assert (fault["wall"], fault["line"], fault["given"]) == ("W-02", 11, "-2400")
    assert fault["sentence"] in run("check", job).stderr


@pytest.mark.parametrize("text", ["", "- a\n- b\n", "walls: [", "\0", "format: 2\n", "format: 1\nwalls: 7\n"])
def test_check_of_what_is_no_job(tmp_path: Path, text: str) -> None:
    (tmp_path / "job.yaml").write_text(text)
    answer = run("check", tmp_path / "job.yaml")
    assert answer.returncode == 2
    assert "job.yaml" in answer.stderr


def test_check_of_no_file(tmp_path: Path) -> None:
    assert run("check", tmp_path / "none.yaml").returncode == 2
    assert run("check", tmp_path).returncode == 2


# --- rules ----------------------------------------------------------------------------------------


def test_rules_show_values_and_sources() -> None:
    text = run("rules").stdout
    assert "250 mm" in text
    assert "DIN 18181" in text


def test_rules_for_programs_are_those_of_the_practice(job: Path) -> None:
    from innerleaf.practice.load import load_practice

    said = json.loads(run("rules", job, "--json").stdout)
    assert said["practice"] == "en_metric"
    assert [rule["name"] for rule in said["rules"]] == [note.name for note in load_practice().rule_notes]
    assert all(rule["source"] for rule in said["rules"])


# --- plan -----------------------------------------------------------------------------------------


def test_plan_writes_everything_it_says(planned: tuple[Path, str]) -> None:
    """Each file of the table in the documentation is there, once per wall where it says so."""
    out, text = planned
    assert (out / "plan.json").stat().st_size > 1000
    for name in ("sheets.pdf", "cut-list.pdf", "labels.pdf"):
        assert (out / name).read_bytes().startswith(b"%PDF")
    assert (out / "takeoff.xlsx").read_bytes().startswith(b"PK")
    for wall in ("W-01", "W-02"):
        assert list(out.glob(f"*/{wall}*.svg"))
        assert list(out.glob(f"*/{wall}*.dxf"))
        assert (out / "walls" / f"{wall}.html").read_text("utf-8").startswith("<!doctype html>")
    assert str(out) in text


def test_plan_prints_a_table_of_the_walls(planned: tuple[Path, str]) -> None:
    lines = planned[1].splitlines()
    (first,) = (line for line in lines if line.lstrip().startswith("W-01"))
    assert "bracketed" in first
    assert "3600 × 2500" in first
    assert "channels" in first
    assert "2 walls" in planned[1]


def test_printed_set_is_readable_by_another_program(planned: tuple[Path, str]) -> None:
    """Text stays text: a person can search the set for a wall, a piece or a size."""
    command = [need_tool("pdftotext"), "-layout", str(planned[0] / "sheets.pdf"), "-"]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    for words in ("Test house (invented)", "Wall W-01", "Wall W-02", "CD-60-27", "3600"):
        assert words in text


def test_plan_again_needs_replace(planned: tuple[Path, str]) -> None:
    out, _ = planned
    job = out.parent / "job.yaml"
    before = (out / "plan.json").read_bytes()
    answer = run("plan", job, "--out", out, "--no-pdf")
    assert answer.returncode == 3
    assert "--replace" in answer.stderr
    assert (out / "sheets.pdf").exists()
    assert (out / "plan.json").read_bytes() == before


def test_same_job_same_bytes(planned: tuple[Path, str], tmp_path: Path) -> None:
    """A plan can be repeated to the byte: whoever compares two of them sees only real changes."""
    out, _ = planned
    assert run("plan", out.parent / "job.yaml", "--out", tmp_path / "again").returncode == 0
    files = sorted(path.relative_to(out) for path in out.rglob("*") if path.is_file())
    assert files
    assert [
        name for name in files if (out / name).read_bytes() != (tmp_path / "again" / name).read_bytes()
    ] == []


def test_plan_of_some_walls(job: Path, tmp_path: Path) -> None:
    answer = run("plan", job, "--out", tmp_path / "out", "--walls", "W-02", "--no-pdf", "--json")
    assert answer.returncode == 0
    assert json.loads(answer.stdout)["walls"] == 1
    assert not (tmp_path / "out" / "sheets.pdf").exists()
    assert not list((tmp_path / "out").rglob("W-01*"))


def test_plan_of_a_wall_there_is_not(job: Path, tmp_path: Path) -> None:
    answer = run("plan", job, "--out", tmp_path / "out", "--walls", "W-09")
    assert answer.returncode == 2
    assert "W-09" in answer.stderr
    assert "W-01, W-02" in answer.stderr
    assert not (tmp_path / "out").exists()


def test_plan_of_no_wall(job: Path, tmp_path: Path) -> None:
    job.write_text("format: 1\nsite: {name: Field (invented)}\n", encoding="utf-8")
    answer = run("plan", job, "--out", tmp_path / "out")
    assert answer.returncode == 2
    assert "at least one wall" in answer.stderr


def test_strict_tells_findings_by_its_exit_code(job: Path, tmp_path: Path) -> None:
    """A question of the survey that is still open is a finding; without one the plan is clean."""
    clean = run("plan", job, "--out", tmp_path / "a", "--no-pdf", "--no-dxf", "--strict", "--json")
    assert (clean.returncode, json.loads(clean.stdout)["findings"]) == (0, [])

    job.write_text(JOB.replace("length: 2400", "questions: [is it dry?], length: 2400"), encoding="utf-8")
    found = run("plan", job, "--out", tmp_path / "b", "--no-pdf", "--no-dxf", "--strict", "--json")
    assert found.returncode == 1
    (finding,) = json.loads(found.stdout)["findings"]
    assert (finding["code"], finding["wall"]) == ("L601", "W-02")
    assert (tmp_path / "b" / "plan.json").exists()


def test_bad_job_leaves_no_folder(job: Path, tmp_path: Path) -> None:
    job.write_text("walls: [", encoding="utf-8")
    assert run("plan", job, "--out", tmp_path / "out").returncode == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job.yaml"]


def test_file_in_the_way_of_the_folder(job: Path) -> None:
    answer = run("plan", job, "--out", job, "--replace")
    assert answer.returncode == 3
    assert job.read_text("utf-8") == JOB


def test_stop_leaves_nothing_half_written(tmp_path: Path) -> None:
    """The process is stopped while it works; the folder does not appear, and no part of it stays."""
    walls = [f"  - {{id: W-{n}, room: R1, length: 6000, height: 2500, lining: thick}}" for n in range(400)]
    (tmp_path / "job.yaml").write_text(JOB[: JOB.index("  - {id: W-01")] + "\n".join(walls) + "\n")
    command = [
        *BEGINNING,
        "plan",
        str(tmp_path / "job.yaml"),
        "--out",
        str(tmp_path / "out"),
        "--workers",
        "2",
    ]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True)
    deadline = time.monotonic() + 60
    while not list(tmp_path.glob(".out.*")) and process.poll() is None and time.monotonic() < deadline:
        time.sleep(0.02)
    process.send_signal(signal.SIGTERM)
    _, errors = process.communicate(timeout=60)

    assert process.returncode == 130
    assert errors.strip() == "Interrupted; nothing was left half-written."
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job.yaml"]


def test_progress_is_shown_on_a_terminal_only(job: Path, tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    command = [*BEGINNING, "plan", str(job), "--out", str(tmp_path / "out"), "--no-pdf"]
    process = subprocess.Popen(
        command, stderr=theirs, stdout=subprocess.DEVNULL, env={**os.environ, "TERM": "xterm"}
    )
    os.close(theirs)
    shown = b""
    try:
        while piece := os.read(ours, 4096):
            shown += piece
    except OSError:  # the terminal closes with the process
        pass
    os.close(ours)
    assert process.wait(60) == 0
    assert b"setting out" in shown
    assert run("plan", job, "--out", tmp_path / "out", "--no-pdf", "--replace").stderr == ""


# --- mistakes of the program ----------------------------------------------------------------------


def test_mistake_of_the_program_is_a_sentence(tmp_path: Path) -> None:
    """Whatever breaks inside, the person reads a sentence and how to learn more."""
    script = (
        "from innerleaf.job import starter; starter.starter_text = lambda: 1 / 0\n"
        "from innerleaf.cli import main; main()"
    )

    def broken(*arguments: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-c", script, *arguments]
        return subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, check=False)

    answer = broken("new")
    assert answer.returncode == 70
    assert "division by zero" in answer.stderr
    assert "innerleaf --debug new" in answer.stderr
    assert "Traceback" not in answer.stderr

    shown = broken("--debug", "new")
    assert shown.returncode == 70
    assert "<lambda>" in shown.stderr
    assert list(tmp_path.iterdir()) == []
