"""The drawing of a solved section says what was solved."""

from __future__ import annotations

import numpy as np
import pytest
from tests.physics.sections import strap_wall, stud_wall

from innerleaf.documents.isotherms import FLOW, ISOTHERM, Cut, draw_section, section_svg
from innerleaf.documents.recorder import Recorder
from innerleaf.errors import InputError
from innerleaf.physics.conduction import solve
from innerleaf.physics.isolines import flow_lines, isotherm

STUD = solve(stud_wall(), accuracy=0.003)


def test_isotherms_are_where_the_temperature_is() -> None:
    for level in (3.0, 8.0, 14.0, 17.0):
        chains = isotherm(STUD.grid.lines, STUD.temperature, level)
        assert chains
        for point in (point for chain in chains for point in chain):
            assert STUD.temperature_at(point) == pytest.approx(level, abs=1e-6)


def test_isotherms_end_on_the_border() -> None:
    """An open line begins and ends on the surface; a closed one where it began."""
    x, y = STUD.grid.lines
    for chain in isotherm((x, y), STUD.temperature, 10.0):
        for end in (chain[0], chain[-1]):
            on_border = end[0] in (x[0], x[-1]) or end[1] in (y[0], y[-1])
            assert on_border or chain[0] == chain[-1]


def test_saddles_do_not_cross() -> None:
    lines = (np.array([0.0, 1.0]), np.array([0.0, 1.0]))
    for middle_is_warm in (False, True):
        values = np.array([[1.0, 0.0], [0.0, 1.0]]) if middle_is_warm else np.array([[1.0, 0.0], [0.0, 0.5]])
        chains = isotherm(lines, values, 0.45)
        assert sorted(len(chain) for chain in chains) == [2, 2]


def test_flow_lines_run_from_the_warm_to_the_cold_side_downhill() -> None:
    lines = flow_lines(STUD.grid, STUD.across, 12)

    assert len(lines) == 12
    for line in lines:
        warmth = [STUD.temperature_at(point) for point in line]
        assert line[0][1] == pytest.approx(0.3025)
        assert line[-1][1] == pytest.approx(0.0, abs=1e-12)
        for before, after in zip(warmth, warmth[1:], strict=False):
            assert after <= before + 0.05


def test_flow_lines_share_the_heat() -> None:
    """On the cold face as many lines leave left of the stud as carry that part of the heat."""
    lines = flow_lines(STUD.grid, STUD.across, 40)
    faces = STUD.grid.lines[0]
    left = float(-STUD.across[1][faces[:-1] < -1e-9, 0].sum() / STUD.flow("inside").middle)

    assert sum(line[-1][0] < 0 for line in lines) == pytest.approx(40 * left, abs=1)


def test_drawing_holds_both_kinds_of_lines_and_labels() -> None:
    sheet = Recorder()

    draw_section(sheet, STUD, (10, 10), 300, step=2, flows=16)

    layers = [call.layer for call in sheet.calls if call.kind == "line"]
    words = {call.words for call in sheet.calls if call.kind == "text"}
    assert layers.count(FLOW.layer) == 16
    assert layers.count(ISOTHERM.layer) >= 9
    assert {"2", "4", "10", "16"} <= words


def test_cut_through_three_dimensions() -> None:
    solution = solve(strap_wall(), accuracy=0.02)

    svg = section_svg(solution, title="strap", cut=Cut(axis=1, at=0.0))

    assert ">strap<" in svg
    assert "flow lines" not in svg
    with pytest.raises(InputError, match="drawn as a cut"):
        section_svg(solution)
    with pytest.raises(InputError, match="cut, at"):
        section_svg(solution, cut=Cut(axis=1, at=0.9))


@pytest.mark.parametrize(("step", "flows"), [(0.0, 10), (0.01, 10), (1.0, -1), (1.0, 1000)])
def test_too_many_lines(step: float, flows: int) -> None:
    with pytest.raises(InputError, match="accepted"):
        section_svg(STUD, step=step, flows=flows)
