"""ISO 13788 by two independent algorithms that agree to 1e-4 g/m² (lower hull; projected iteration).

The standard's own worked tables could not be had. Climate: rounded monthly means of the German test
reference year region 4 (Potsdam, 2010); humidity class 3; room 20 °C. Tolerance 0.2 g/m² on thousands:
the inputs (R to five digits) are given rounded.
"""

from __future__ import annotations

import numpy as np
import pytest

from innerleaf.physics.monthly import surface_year, vapour_excess
from innerleaf.physics.monthly_condensate import CondensateYear, VapourLayer, condensate_year, steady_flux

OUTSIDE = [1.0, 1.9, 4.7, 9.2, 14.1, 16.7, 19.0, 18.6, 14.3, 9.5, 4.1, 0.9]
OUTSIDE_PRESSURE = [606, 633, 657, 746, 1121, 1350, 1551, 1623, 1342, 994, 754, 613]
ROOM_PRESSURE = [1376, 1366, 1277, 1183, 1360, 1484, 1592, 1680, 1573, 1419, 1398, 1387]
LEAST_FACTOR = [0.744, 0.725, 0.607, 0.335, 0.146, -0.115, -1.57, -0.225, 0.516, 0.583, 0.710, 0.752]
LEAST_SURFACE = [15.14, 15.03, 13.99, 12.81, 14.96, 16.32, 17.43, 18.28, 17.24, 15.62, 15.39, 15.27]
BRICK, PLASTER = "brick inner face", "plaster inner face"
# month: {face: (gained, held)} [g/m²]
G1 = {
    10: {PLASTER: (116.57, 116.57)},
    11: {PLASTER: (1097.34, 1213.91)},
    12: {BRICK: (4.79, 4.79), PLASTER: (1609.34, 2823.25)},
    1: {BRICK: (2.14, 6.93), PLASTER: (1560.99, 4384.24)},
    2: {BRICK: (-1.72, 5.21), PLASTER: (1259.96, 5644.2)},
    3: {BRICK: (-31.89, 0.0), PLASTER: (661.44, 6305.64)},
    4: {PLASTER: (-568.16, 5737.48)},
    5: {PLASTER: (-1257.21, 4480.26)},
    6: {PLASTER: (-1588.69, 2891.57)},
    7: {PLASTER: (-2070.57, 821.0)},
    8: {PLASTER: (-1640.7, 0.0)},
    9: {},
}
G2 = {
    11: {PLASTER: (40.44, 40.44)},
    12: {BRICK: (4.79, 4.79), PLASTER: (80.74, 121.17)},
    1: {BRICK: (2.14, 6.93), PLASTER: (76.86, 198.03)},
    2: {BRICK: (-1.72, 5.21), PLASTER: (57.5, 255.53)},
    3: {BRICK: (-31.89, 0.0), PLASTER: (6.03, 261.56)},
    4: {PLASTER: (-155.71, 105.85)},
    5: {PLASTER: (-218.6, 0.0)},
    **{month: {} for month in (6, 7, 8, 9, 10)},
}


def wall(membrane: float | None) -> list[VapourLayer]:
    film = [] if membrane is None else [VapourLayer(name="membrane", resistance=0.0, sd=membrane)]
    return [
        VapourLayer(name="brick", resistance=0.31169, sd=2.4, thickness=0.24),
        VapourLayer(name="plaster", resistance=0.02632, sd=0.15, thickness=0.015),
        VapourLayer(name="wool", resistance=1.42857, sd=0.05, thickness=0.05),
        *film,
        VapourLayer(name="board", resistance=0.05, sd=0.125, thickness=0.0125),
    ]


def potsdam(layers: list[VapourLayer]) -> CondensateYear:
    return condensate_year(
        layers, outside=OUTSIDE, outside_pressure=OUTSIDE_PRESSURE, room=20.0, room_pressure=ROOM_PRESSURE
    )


@pytest.mark.parametrize(
    ("membrane", "published", "start", "peak", "dry"), [(None, G1, 10, 6305.64, 8), (2.0, G2, 11, 261.56, 5)]
)
def test_every_month_and_face(
    membrane: float | None,
    published: dict[int, dict[str, tuple[float, float]]],
    start: int,
    peak: float,
    dry: int,
) -> None:
    year = potsdam(wall(membrane))

    assert year.start[0] + 1 == start
    assert year.dry_again[0] + 1 == dry
    assert year.peak[0] * 1000 == pytest.approx(peak, abs=0.2)
    assert year.left[0] == 0
    for k, (month, faces) in enumerate(published.items()):
        assert year.months[0, k] + 1 == month
        for index, face in enumerate(year.interfaces):
            gained, held = faces.get(face, (0.0, 0.0))
            assert year.gained[0, k, index] * 1000 == pytest.approx(gained, abs=0.2)
            assert year.held[0, k, index] * 1000 == pytest.approx(held, abs=0.2)


def test_tight_membrane_keeps_it_dry() -> None:
    year = potsdam(wall(100.0))

    assert year.start[0] == -1
    assert year.peak[0] == 0
    assert year.dry_again[0] == -1


def test_surface_factor_month_by_month() -> None:
    year = surface_year(OUTSIDE, ROOM_PRESSURE)

    assert year.critical + 1 == 12
    assert year.factor == pytest.approx(0.752, abs=6e-4)
    assert year.factor_least == pytest.approx(LEAST_FACTOR, abs=6e-4)
    assert year.surface_least == pytest.approx(LEAST_SURFACE, abs=0.006)


def test_class_three_makes_the_room_pressures() -> None:
    assert np.asarray(OUTSIDE_PRESSURE) + vapour_excess(3, OUTSIDE) == pytest.approx(ROOM_PRESSURE, abs=0.51)


def test_steady_diffusion_closed_form() -> None:
    """Brick, plaster, wool, membrane, board between 0 °C 80 % and 20 °C 50 %: 2.487 g/(m²·day)."""
    flux, pressures = steady_flux(wall(2.0), 0.8 * 610.5, 0.5 * 2336.95)

    assert flux * 86400 * 1000 == pytest.approx(2.48713, rel=1e-5)
    assert pressures == pytest.approx([833.84, 855.42, 862.62, 1150.48, 1168.48], abs=0.01)
