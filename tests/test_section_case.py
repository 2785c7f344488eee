"""`innerleaf section`: the text case, its answer in words and JSON, its pictures, its mistakes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from innerleaf.errors import FileFaults
from innerleaf.folder import CannotWrite
from innerleaf.reading import read_text
from innerleaf.section_case import command, read_case, run_case
from innerleaf.section_file import case_of

CASES = Path(__file__).parents[1] / "examples" / "sections"

SLAB = """\
format: section 1
title: A slab
materials: {brick: 0.8, board: 0.25}
boxes:
  - {material: brick, x: [0, 500], y: [0, 240]}
  - {name: board, material: board, x: [0, 500], y: [240, 252.5]}
surroundings:
  inside: {temperature: 20, surface_resistance: 0.13, touches: [{y: 252.5}]}
  outside: {temperature: 0, surface_resistance: 0.04, touches: [{y: 0}]}
points:
  middle: {x: 250, y: 120}
u_value: {length_mm: 500}
"""
U = 1 / (0.17 + 0.3 + 0.05)


def faults_of(text: str) -> list[str]:
    with pytest.raises(FileFaults) as caught:
        case_of(read_text(text, "case.yaml"))
    return list(caught.value.faults)


def test_a_slab_in_words_and_json(tmp_path: Path) -> None:
    case = tmp_path / "slab.yaml"
    case.write_text(SLAB, encoding="utf-8")

    words = command(case, None, as_json=False)
    found = json.loads(command(case, None, as_json=True))

    assert f"U over 500 mm = {U:.5f}" in words
    assert "middle               7.308" in words
    assert found["u_value"]["value"] == pytest.approx(U, rel=1e-9)
    assert found["flows"]["inside"]["low"] == pytest.approx(10 * U, rel=1e-9)
    assert found["points"]["middle"] == pytest.approx(20 * U * (0.04 + 0.15), rel=1e-9)
    assert found["surfaces"]["inside"]["frsi"] == pytest.approx(1 - 0.13 * U)
    assert found["accuracy"]["reached"] is True
    assert found["psi"] is None


@pytest.mark.parametrize(
    ("ask", "psi"),
    [
        ("psi: {without: [board]}", 0.5 * (U - 1 / 0.47)),
        ("psi: {less: [{u: 1.0, length_mm: 400}, {psi: 0.1, length_mm: 1000}]}", 0.5 * U - 0.5),
    ],
)
def test_psi(ask: str, psi: float) -> None:
    # Without the board the room begins at the brick.
    text = SLAB.replace("y: 252.5", "y: [240, 252.5], facing: [+y]")
    answer = run_case(case_of(read_text(text + ask + "\n", "case.yaml")))

    assert answer.bridge is not None
    assert answer.bridge.value == pytest.approx(psi, rel=1e-6)


def test_times_multiplies_the_whole() -> None:
    """Half of a slab between planes of symmetry, counted twice, has the same U."""
    case = case_of(read_text(SLAB + "times: 2\n", "case.yaml"))
    answer = run_case(case)

    assert answer.u is not None
    assert answer.u.middle == pytest.approx(2 * U)


def test_pictures_are_written_and_repeat(tmp_path: Path) -> None:
    command(CASES / "stud-lining.yaml", tmp_path / "out", as_json=False)
    first = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    command(CASES / "stud-lining.yaml", tmp_path / "again.svg", as_json=False)

    assert set(first) == {"stud-lining.svg", "stud-lining.png"}
    assert first["stud-lining.png"].startswith(b"\x89PNG")
    assert (tmp_path / "again.svg").read_bytes() == first["stud-lining.svg"]


def test_picture_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    case = tmp_path / "slab.yaml"
    case.write_text(SLAB, encoding="utf-8")

    with pytest.raises(CannotWrite, match="taken"):
        command(case, tmp_path / "taken" / "a.svg", as_json=False)


@pytest.mark.parametrize("path", sorted(CASES.glob("*.yaml")), ids=lambda path: path.stem)
def test_example_cases_are_read(path: Path) -> None:
    assert read_case(path).title


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("brick: 0.8", "brick: 0", 3, "material brick, conductivity: given 0, accepted: above 0 W/(m·K)"),
        ("brick: 0.8", "brick: lots", 3, "given 'lots', accepted: above 0"),
        ("material: brick", "material: stone", 5, "given 'stone', accepted: brick, board, nothing"),
        ("y: [0, 240]", "y: [240, 0]", 5, "a thickness above 0"),
        ("y: [0, 240]", "y: 240", 5, "[from, to] in mm"),
        ("y: [0, 240]", "height: 240", 5, "'height' is not known"),
        ("y: [0, 240]", "height: 240", 5, "box of brick, y: given nothing"),
        ("temperature: 20", "temperature: warm", 8, "surrounding inside, temperature: given 'warm'"),
        ("temperature: 20", "temperature: -300", 8, "above -273.15"),
        ("temperature: 20", "temperature: 0", 8, "at least two with different temperatures"),
        ("0.13", "-0.13", 8, "surface_resistance: given -0.13, accepted: 0"),
        ("y: 252.5", "y: [1]", 8, "a place or [from, to]"),
        ("y: 252.5", "y: [9, 1]", 8, "the lower bound first"),
        ("y: 252.5", "y: 252.5, facing: [up]", 8, "facing: given 'up', accepted: -x, +x, -y, +y"),
        ("touches: [{y: 0}]", "touches: y", 9, "touches: given 'y', accepted: a list or group"),
        ("x: 250", "x: here", 11, "point middle, x: given 'here'"),
        ("length_mm: 500", "length_mm: 0", 12, "u_value, length_mm: given 0"),
        ("u_value: {length_mm", "u_value: {area_m2", 12, "'area_m2' is not known"),
        ("format: section 1", "format: section 9", 1, "format: given 'section 9', accepted: section 1"),
        ("title: A slab", "colour: red", 2, "case: 'colour' is not known"),
        ("materials: {brick: 0.8, board: 0.25}\n", "", 1, "materials: given nothing"),
        ("points:", "psi: {without: [stud]}\npoints:", 10, "without: given 'stud', accepted: board"),
        ("points:", "psi: {}\npoints:", 10, "either `without` or `less`"),
        ("points:", "psi: {less: [{u: 1}]}\npoints:", 10, "u with area_m2 (3D) or length_mm (2D)"),
        ("points:", "chi: {without: [board]}\npoints:", 10, "a section in 3D; this one is 2D"),
        ("points:", "warm: [cellar]\npoints:", 10, "some, not all, of inside, outside"),
        ("points:", "times: -1\npoints:", 10, "times: given -1, accepted: above 0"),
        ("points:", "accuracy: {gap_percent: 0}\npoints:", 10, "accuracy, gap_percent: given 0"),
        ("points:", "picture: {flow_lines: 99}\npoints:", 10, "flow_lines: given 99, accepted: 0 to 60"),
        ("points:", "picture: {cut: {x: 1}}\npoints:", 10, "'cut' is not known"),
    ],
)
def test_mistakes_are_said_with_their_line(old: str, new: str, line: int, words: str) -> None:
    assert old in SLAB
    faults = faults_of(SLAB.replace(old, new, 1))

    assert any(fault.startswith(f"case.yaml:{line}:") and words in fault for fault in faults), faults


def test_all_mistakes_are_said_at_once() -> None:
    text = SLAB.replace("brick: 0.8", "brick: -1").replace("[0, 240]", "[0, 0]").replace("0.13", "x")

    assert len(faults_of(text)) == 3


@pytest.mark.parametrize("text", ["", "[]", "- 1", "format: section 1", "format: {", "boxes: [[[]]]"])
def test_texts_that_are_no_case(text: str) -> None:
    assert faults_of(text)


def test_more_than_two_temperatures_need_a_warm_side() -> None:
    text = SLAB.replace("u_value: {length_mm: 500}\n", "").replace(
        "touches: [{y: 0}]}", "touches: [{y: 0, x: [0, 250]}]}\n  cellar: {temperature: 5,"
        " surface_resistance: 0.13, touches: [{y: 0, x: [250, 500]}]}"
    )  # fmt: skip

    assert "u_value" in faults_of(text + "u_value: {length_mm: 500}\n")[0]
    answer = run_case(case_of(read_text(text + "warm: [inside]\nu_value: {length_mm: 500}\n", "case.yaml")))
    assert answer.u is not None
    assert (
        1 / (0.13 + 0.3 + 0.05 + 0.13) < answer.u.low < answer.u.high < U
    )  # half of it stands in the cellar
