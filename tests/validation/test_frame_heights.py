"""Published North American heights of structural C-studs, stud alone, limited by deflection.

Public allowable-height table (5 psf, simple span, E = 29.5e6 psi), through the whole chain: geometry, second
moment, height. Finite elements reach the heights within 1 in as well. Inner radius and design
thickness as in the industry's bulletin: radius the greater of 3/32 in - t/2 and 1.5 t.
"""

from __future__ import annotations

import re

import pytest

from innerleaf.physics.frame.heights import height_by_pressure
from innerleaf.physics.frame.section import c_shape, properties

INCH, PSI, PSF = 0.0254, 6894.757, 47.880259
E = 29.5e6 * PSI
DESIGN_THICKNESS = {"33": 0.0346, "43": 0.0451, "54": 0.0566, "68": 0.0713}  # [in]
# stud, flange [in], lip [in], I [in4], spacing [in], height over deflection, height [ft, in]
CASES = [
    ("250S137-33", 1.375, 0.375, 0.2033, 12, 240, (13, 10)),
    ("250S137-33", 1.375, 0.375, 0.2033, 16, 240, (12, 7)),
    ("250S137-33", 1.375, 0.375, 0.2033, 24, 240, (11, 0)),
    ("250S137-33", 1.375, 0.375, 0.2033, 12, 120, (17, 6)),
    ("250S137-33", 1.375, 0.375, 0.2033, 16, 120, (15, 10)),
    ("250S137-33", 1.375, 0.375, 0.2033, 24, 120, (13, 10)),
    ("250S137-33", 1.375, 0.375, 0.2033, 12, 360, (12, 1)),
    ("250S137-33", 1.375, 0.375, 0.2033, 16, 360, (11, 0)),
    ("250S137-33", 1.375, 0.375, 0.2033, 24, 360, (9, 7)),
    ("250S137-43", 1.375, 0.375, 0.2607, 16, 240, (13, 8)),
    ("250S137-54", 1.375, 0.375, 0.3183, 16, 240, (14, 8)),
    ("250S137-68", 1.375, 0.375, 0.3862, 16, 240, (15, 7)),
    ("250S162-33", 1.625, 0.5, 0.2353, 16, 240, (13, 3)),
]


@pytest.mark.parametrize("case", CASES)
def test_published_heights(case: tuple[str, float, float, float, int, int, tuple[int, int]]) -> None:
    name, flange, lip, i_table, spacing, ratio, (feet, inches) = case
    web, mil = re.fullmatch(r"(\d+)S\d+-(\d+)", name).groups()  # type: ignore[union-attr]
    t = DESIGN_THICKNESS[mil]
    radius = max(3 / 32 - t / 2, 1.5 * t)
    stud = properties(
        c_shape(int(web) / 100 * INCH, flange * INCH, t * INCH, lip=lip * INCH, radius=radius * INCH)
    )
    height = height_by_pressure(E * stud.i_major, 5 * PSF * spacing * INCH, ratio)

    assert float(stud.i_major) / INCH**4 == pytest.approx(i_table, rel=2e-3)
    assert float(height) / INCH == pytest.approx(12 * feet + inches, abs=1.0)
