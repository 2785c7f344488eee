"""The line load of DIN 4103-1 on one stud: statics by hand.

0.9 m above the base, ends hinged, stud alone, E = 210 000 N/mm2: M = P a (H - a)/H and
delta = P a (H^2 - a^2)^1.5 / (9 sqrt 3 E I H). Computed by hand, given to the digits below.
"""

from __future__ import annotations

import pytest

from innerleaf.physics.frame.beam import Action, Force, Support, both_states

E = 210e9
# I [mm4], H [m], load [kN/m]; P [kN], M and 1.5 M [kN m], reactions [kN], deflection [mm], H/deflection
CASES = [
    (42722.2, 2.5, 0.5, 0.3125, 0.18, 0.27, 0.2, 0.1125, 10.21, 245),
    (42722.2, 2.5, 1.0, 0.625, 0.36, 0.54, 0.4, 0.225, 20.41, 122),
    (42722.2, 3.0, 0.5, 0.3125, 0.1969, 0.2953, 0.2188, 0.0938, 15.71, 191),
    (42722.2, 3.0, 1.0, 0.625, 0.3938, 0.5906, 0.4375, 0.1875, 31.42, 95),
    (42722.2, 3.5, 0.5, 0.3125, 0.2089, 0.3134, 0.2321, 0.0804, 22.23, 157),
    (42722.2, 3.5, 1.0, 0.625, 0.4179, 0.6268, 0.4643, 0.1607, 44.46, 79),
    (105868.8, 2.5, 0.5, 0.3125, 0.18, 0.27, 0.2, 0.1125, 4.12, 607),
    (105868.8, 2.5, 1.0, 0.625, 0.36, 0.54, 0.4, 0.225, 8.24, 303),
    (105868.8, 3.0, 0.5, 0.3125, 0.1969, 0.2953, 0.2188, 0.0938, 6.34, 473),
    (105868.8, 3.0, 1.0, 0.625, 0.3938, 0.5906, 0.4375, 0.1875, 12.68, 237),
    (105868.8, 3.5, 0.5, 0.3125, 0.2089, 0.3134, 0.2321, 0.0804, 8.97, 390),
    (105868.8, 3.5, 1.0, 0.625, 0.4179, 0.6268, 0.4643, 0.1607, 17.94, 195),
]


@pytest.mark.parametrize("case", CASES)
def test_line_load_on_one_stud(case: tuple[float, ...]) -> None:
    i, height, line, force, moment, design, base, top, deflection, ratio = case
    load = Action(loads=(Force(0.9, line * 1000 * 0.625),), ultimate=1.5)
    states = both_states(height, E * i * 1e-12, [Support(0), Support(height)], [load])
    sagging, ultimate = states.service, states.ultimate

    assert line * 0.625 == pytest.approx(force)
    assert float(sagging.greatest_moment().value) / 1000 == pytest.approx(moment, abs=6e-5)
    assert float(sagging.greatest_moment().at) == pytest.approx(0.9)
    assert float(ultimate.greatest_moment().value) / 1000 == pytest.approx(design, abs=6e-5)
    assert sagging.reactions / 1000 == pytest.approx([base, top], abs=6e-5)
    assert float(sagging.greatest_deflection().value) * 1000 == pytest.approx(deflection, abs=6e-3)
    assert 1 / float(sagging.greatest_sag().value) == pytest.approx(ratio, abs=0.6)
