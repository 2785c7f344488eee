"""Sections against finite elements of a general-purpose section library.

Computed with sectionproperties 3.10.2 (MIT licence); sharp corners also by sums of exact rectangles, which
agree to seven digits. Tolerances: 0.1 % on area and second moments, 1 % on torsion (thin-walled sum against
the full section) and warping. Found: 0.02 %; 0.95 % (sheet 2 mm); 0.8 %. Lips of 6 mm and flanges that
differ by 1.2 mm are assumptions of these cases. Millimetres.
"""

from __future__ import annotations

import pytest

from innerleaf.physics.frame.section import Section, c_shape, properties

# web, flange 1, flange 2, lip, sheet, inner radius; area, centroid, I major, I minor, J, Iw, x of the shear
# centre, W at flange 1 and at flange 2
NAMED = {
    "CW75_t0.60_sharp": (
        (73.8, 50, 48.8, 6, 0.6, 0),
        (109.32, 16.4258, 37.1411, 105869.0, 34377.4, 13.1317, 35147500.0, -21.9568, 2887.94, 2850.45),
    ),
    "CW75_t0.60_r1": (
        (73.8, 50, 48.8, 6, 0.6, 1.0),
        (107.98, 16.3231, 37.144, 104050.0, 33470.5, 12.9326, 34038000.0, -21.9079, 2838.55, 2801.25),
    ),
    "CW75_core0.56_r1": (
        (73.8, 50, 48.8, 6, 0.56, 1.0),
        (100.89, 16.3253, 37.1439, 97336.9, 31345.0, 10.5275, 31929700.0, -21.9563, 2655.41, 2620.54),
    ),
    "CW50_t0.60_sharp": (
        (48.8, 50, 48.8, 6, 0.6, 0),
        (94.32, 18.9903, 24.584, 42722.2, 29856.0, 11.3318, 14506800.0, -23.564, 1764.21, 1737.81),
    ),
    "CW50_t0.60_r1": (
        (48.8, 50, 48.8, 6, 0.6, 1.0),
        (92.9797, 18.908, 24.5866, 41928.2, 28997.7, 11.1326, 14027800.0, -23.5353, 1731.61, 1705.32),
    ),
    "CD60_t0.60_sharp": (
        (60, 27, 27, 6, 0.6, 0),
        (74.16, 8.37379, 30.0, 43380.8, 7297.03, 8.9126, 5173200.0, -11.8271, 1446.03, 1446.03),
    ),
    "UW75_t0.60_sharp": (
        (75, 40, 40, 0, 0.6, 0),
        (92.28, 10.5471, 37.5, 86523.1, 15340.0, 11.0668, 14845700.0, -14.8219, 2307.28, 2307.28),
    ),
}
# Drawn at random (seed 7). As above; then area, centroid, I major, I minor, I product, J, Iw, shear centre
RANDOM = [
    (
        (73.8, 40.03, 38.03, 5.17, 1.0, 1.46),
        (154.826, 11.7276, 37.3702, 139232.0, 28281.5, 2207.6, 51.416, 27542400.0, -15.9383, 38.9256),
    ),
    (
        (48.8, 57.02, 53.02, 8.36, 2.0, 1.74),
        (325.687, 22.3121, 24.9748, 139515.0, 121202.0, 6874.52, 431.307, 60473500.0, -25.7206, 26.4327),
    ),
    (
        (48.8, 45.18, 43.78, 11.56, 0.7, 0.88),
        (109.174, 18.6389, 24.6159, 46578.1, 31334.0, 790.894, 17.786, 21341700.0, -23.7724, 25.3223),
    ),
    (
        (48.8, 46.04, 42.04, 0, 2.0, 3.16),
        (258.599, 15.3715, 25.1239, 107189.0, 53617.5, 5366.75, 341.596, 19520100.0, -17.501, 26.8267),
    ),
    (
        (148.8, 55.33, 54.13, 4.19, 0.6, 0.55),
        (157.666, 12.9037, 74.7384, 538874.0, 50812.4, 2398.08, 18.8961, 199442000.0, -19.9322, 76.1694),
    ),
    (
        (148.8, 53.93, 51.93, 9.21, 1.0, 1.27),
        (266.033, 13.7436, 74.9556, 903825.0, 89674.1, 6816.47, 88.4867, 366186000.0, -20.719, 77.3606),
    ),
    (
        (48.8, 45.08, 43.08, 5.53, 1.0, 0.85),
        (141.696, 16.31, 24.7373, 61593.5, 34489.1, 1490.78, 47.048, 15834000.0, -20.1352, 25.6202),
    ),
    (
        (123.8, 52.65, 48.65, 0, 2.0, 3.08),
        (435.177, 12.3554, 63.0195, 1010790.0, 107955.0, 18657.1, 577.035, 271247000.0, -16.9112, 67.3694),
    ),
    (
        (98.8, 35.2, 33.2, 5.04, 1.0, 1.42),
        (169.975, 8.44137, 49.9754, 248466.0, 21923.0, 2812.53, 56.4666, 38162300.0, -12.4112, 52.5037),
    ),
    (
        (148.8, 43.34, 41.34, 8.93, 1.0, 1.16),
        (244.483, 10.1037, 75.0045, 786807.0, 51016.7, 5759.72, 81.3047, 210964000.0, -15.7292, 78.1021),
    ),
]


def section(size: tuple[float, ...]) -> Section:
    web, b1, b2, lip, t, r = (v / 1000 for v in size)
    return properties(c_shape(web, b1, t, lip=lip, radius=r, other_flange=b2))


@pytest.mark.parametrize("name", NAMED)
def test_profiles(name: str) -> None:
    size, (area, x, y, major, minor, torsion, warping, shear, w_1, w_2) = NAMED[name]
    found = section(size)

    assert float(found.area) * 1e6 == pytest.approx(area, rel=1e-3)
    assert (float(found.x) * 1e3, float(found.y) * 1e3) == pytest.approx((x, y), rel=1e-3)
    assert float(found.i_major) * 1e12 == pytest.approx(major, rel=1e-3)
    assert float(found.i_minor) * 1e12 == pytest.approx(minor, rel=1e-3)
    assert float(found.w_flange_1) * 1e9 == pytest.approx(w_1, rel=1e-3)
    assert float(found.w_flange_2) * 1e9 == pytest.approx(w_2, rel=1e-3)
    assert float(found.torsion) * 1e12 == pytest.approx(torsion, rel=1e-2)
    assert float(found.warping) * 1e18 == pytest.approx(warping, rel=1e-2)
    assert float(found.x_shear) * 1e3 == pytest.approx(shear, rel=1e-2)


@pytest.mark.parametrize(("size", "expected"), RANDOM)
def test_random_sections(size: tuple[float, ...], expected: tuple[float, ...]) -> None:
    area, x, y, major, minor, product, torsion, warping, x_shear, y_shear = expected
    found = section(size)

    assert float(found.area) * 1e6 == pytest.approx(area, rel=1e-3)
    assert (float(found.x) * 1e3, float(found.y) * 1e3) == pytest.approx((x, y), rel=1e-3)
    assert float(found.i_major) * 1e12 == pytest.approx(major, rel=1e-3)
    assert float(found.i_minor) * 1e12 == pytest.approx(minor, rel=1e-3)
    assert float(found.i_product) * 1e12 == pytest.approx(product, rel=1e-3)
    assert float(found.torsion) * 1e12 == pytest.approx(torsion, rel=1e-2)
    assert float(found.warping) * 1e18 == pytest.approx(warping, rel=1e-2)
    assert (float(found.x_shear) * 1e3, float(found.y_shear) * 1e3) == pytest.approx(
        (x_shear, y_shear), rel=1e-2
    )
