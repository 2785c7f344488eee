"""The effective section of a C in bending: EN 1993-1-3, worked in an example of the Access Steel set.

SX022a-EN-EU: C 200 x 74/66 x 20.8 x 2 (core 1.96), yield 350 N/mm2. Inputs read; printed results from memory,
and reproduced by a calculation of its own to the last digit printed. And what the rules give for a stud that
they do not cover, CW 75 of 0.6 mm, as a bound for plausibility (computed).
"""

from __future__ import annotations

import pytest

from innerleaf.physics.frame.effective import Steel, bending
from innerleaf.physics.frame.section import c_shape

C_200 = c_shape(0.200, 0.074, 0.002, lip=0.0208, radius=0.003, other_flange=0.066)
# name of the step: printed value, unit of one of it, last printed digit
STEPS = {
    "lambda_flange": (0.789, 1, 1e-3),
    "rho_flange": (0.914, 1, 1e-3),
    "b_e1": (32.9, 1e-3, 0.1),
    "c_eff": (19.8, 1e-3, 0.1),
    "A_s": (103.3, 1e-6, 0.1),
    "K": (0.439, 1e6, 1e-3),
    "I_s": (3663, 1e-12, 1),
    "sigma_cr": (355.8, 1e6, 0.1),
    "lambda_d": (0.992, 1, 1e-3),
    "chi_d_first": (0.753, 1, 1e-3),
    "b_e2": (35.9, 1e-3, 0.1),
    "chi_d": (0.737, 1, 1e-3),
    "t_red": (1.444, 1e-3, 1e-3),
    "h_c": (101.6, 1e-3, 0.1),
    "psi": (-0.949, 1, 1e-3),
    "lambda_web": (0.914, 1, 1e-3),
    "rho_web": (0.959, 1, 1e-3),
}


@pytest.mark.parametrize("step", STEPS)
def test_every_step_of_the_example(step: str) -> None:
    printed, unit, digit = STEPS[step]

    found = bending(C_200, 0.00196, Steel(yield_strength=350e6)).steps[step] / unit

    assert found == pytest.approx(printed, abs=0.51 * digit)


def test_results_of_the_example() -> None:
    found = bending(C_200, 0.00196, Steel(yield_strength=350e6))

    assert found.in_scope
    assert found.area * 1e6 == pytest.approx(689.1, abs=0.06)
    assert found.centre * 1e3 == pytest.approx(102.3, abs=0.06)
    assert 198 - found.centre * 1e3 == pytest.approx(95.7, abs=0.06)
    assert found.second_moment * 1e12 == pytest.approx(4_140_000, abs=600)
    assert found.modulus_pressed * 1e9 == pytest.approx(40_460, abs=6)
    assert found.modulus_pulled * 1e9 == pytest.approx(43_260, abs=6)


def test_a_wall_stud_lies_outside_and_says_so() -> None:
    """CW 75: the lip is a ninth of the flange, the flange 82 sheets wide; a bound of 0.39 kN m."""
    stud = c_shape(0.0738, 0.050, 0.0006, lip=0.006, other_flange=0.0488)

    found = bending(stud, 0.0006, Steel(yield_strength=235e6))

    assert not found.in_scope
    assert [reason.split(" =")[0] for reason in found.outside] == ["flange b/t", "lip c/b"]
    assert found.steps["chi_d"] == pytest.approx(0.37, abs=0.005)
    assert found.second_moment * 1e12 == pytest.approx(74_000, rel=0.005)
    assert min(found.modulus_pressed, found.modulus_pulled) * 1e9 == pytest.approx(1650, rel=0.005)
    assert found.resistance == pytest.approx(390, abs=5)
