"""Sections against exact integrals over their outline as a polygon, and laws that any section keeps."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.physics.frame.section import (
    Shape,
    back_to_back,
    boxed,
    c_shape,
    core_thickness,
    net_section,
    properties,
)

Dimensions = tuple[float, float, float, float, float, float]  # web, flange 1, flange 2, lip, sheet, radius
STUD: Dimensions = (73.8, 50.0, 48.8, 6.0, 0.6, 1.0)


@st.composite
def dimensions(draw: st.DrawFn) -> Dimensions:
    """Dimensions of C and U sections that can be folded. [mm]"""
    t = draw(st.sampled_from([0.56, 0.6, 0.7, 1.0, 1.5, 2.0]))
    r = draw(st.sampled_from([0.0, t, 1.6 * t]))
    lip = draw(st.one_of(st.just(0.0), st.floats(r + t + 0.5, 25)))
    web = draw(st.floats(max(27.0, 2 * lip + 1, 2 * (r + t) + 1), 200))
    b1 = draw(st.floats(2 * (r + t) + 5, 80))
    b2 = draw(st.floats(2 * (r + t) + 5, 80))
    return web, b1, b2, lip, t, r


def shape(size: Dimensions) -> Shape:
    web, b1, b2, lip, t, r = (v / 1000 for v in size)
    return c_shape(web, b1, t, lip=lip, radius=r, other_flange=b2)


def polygon(size: Dimensions) -> shapely.Polygon:
    """The section as a strip along its middle line, bends as 120 chords each. [mm]"""
    web, b1, b2, lip, t, r = size
    h, bend = t / 2, (r + t / 2 if r else 0.0)
    ends = [(b2 - h, lip), (b2 - h, h)] if lip else [(b2, h)]
    others = [(b1 - h, web - h), (b1 - h, web - lip)] if lip else [(b1, web - h)]
    corners = [np.array(p) for p in (*ends, (h, h), (h, web - h), *others)]
    line = [corners[0]]
    for before, here, after in zip(corners, corners[1:], corners[2:], strict=False):
        into, out = ((b - a) / np.linalg.norm(b - a) for a, b in ((before, here), (here, after)))
        for angle in np.linspace(0, np.pi / 2, 121 if bend else 1):
            if not bend:
                line.append(here)
                continue
            line.append(here + bend * (into * (np.sin(angle) - 1) + out * (1 - np.cos(angle))))
    line.append(corners[-1])
    return shapely.LineString(line).buffer(t / 2, cap_style="flat", join_style="mitre", mitre_limit=10)


def integrals(region: shapely.Polygon) -> tuple[float, ...]:
    """Area, centroid and second moments about it, by Green's theorem. [mm]"""
    ring = np.array(shapely.geometry.polygon.orient(region).exterior.coords)
    x, y = ring[:-1].T
    u, v = ring[1:].T
    cross = x * v - u * y
    area = cross.sum() / 2
    cx, cy = ((x + u) * cross).sum() / 6 / area, ((y + v) * cross).sum() / 6 / area
    ix = ((y**2 + y * v + v**2) * cross).sum() / 12 - area * cy**2
    iy = ((x**2 + x * u + u**2) * cross).sum() / 12 - area * cx**2
    ixy = ((x * v + 2 * x * y + 2 * u * v + u * y) * cross).sum() / 24 - area * cx * cy
    return area, cx, cy, ix, iy, ixy


@settings(max_examples=80, deadline=None)
@given(dimensions())
def test_as_the_polygon(size: Dimensions) -> None:
    """Area, centroid and second moments are exact; the chords of the polygon are good for 1e-4."""
    found = properties(shape(size))
    area, cx, cy, ix, iy, ixy = integrals(polygon(size))

    assert float(found.area) * 1e6 == pytest.approx(area, rel=1e-4)
    assert (float(found.x) * 1e3, float(found.y) * 1e3) == pytest.approx((cx, cy), rel=1e-4)
    assert float(found.i_major) * 1e12 == pytest.approx(ix, rel=1e-4)
    assert float(found.i_minor) * 1e12 == pytest.approx(iy, rel=1e-4)
    assert float(found.i_product) * 1e12 == pytest.approx(ixy, abs=1e-4 * (ix * iy) ** 0.5)


@settings(max_examples=40, deadline=None)
@given(dimensions())
def test_turned_over_it_is_the_same(size: Dimensions) -> None:
    """Flange 1 for flange 2: same stiffness, the centroid as far from the other flange."""
    web, b1, b2, *rest = size
    one, other = properties(shape(size)), properties(shape((web, b2, b1, *rest)))  # type: ignore[arg-type]

    for name in ("area", "i_major", "i_minor", "torsion", "warping", "x_shear", "w_toe"):
        assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-6, abs=1e-18)
    assert other.y == pytest.approx(web / 1000 - one.y)
    assert other.y_shear == pytest.approx(web / 1000 - one.y_shear)
    assert other.w_flange_1 == pytest.approx(one.w_flange_2)


@settings(max_examples=40, deadline=None)
@given(dimensions(), st.floats(1.1, 3.0))
def test_twice_as_large(size: Dimensions, factor: float) -> None:
    """Lengths times f: area f², moduli f³, second moments f⁴, warping f⁶."""
    one = properties(shape(size))
    larger = properties(shape(tuple(v * factor for v in size)))  # type: ignore[arg-type]

    for name, power in (("area", 2), ("w_flange_1", 3), ("i_minor", 4), ("torsion", 4), ("warping", 6)):
        assert float(getattr(larger, name) / getattr(one, name)) == pytest.approx(factor**power, rel=1e-6)


def test_equal_flanges_have_their_shear_centre_on_the_axis() -> None:
    """Text book, U of thin sheet: 3 b²/(6 b + h) behind the middle of the web, warping by the same book."""
    h, b, t = 75.0, 40.0, 0.1
    found = properties(shape((h + t, b + t / 2, b + t / 2, 0.0, t, 0.0)))
    behind = 3 * b**2 / (6 * b + h)
    warping = t * b**3 * h**2 / 12 * (3 * b + 2 * h) / (6 * b + h)

    assert float(found.y_shear) * 1e3 == pytest.approx((h + t) / 2)
    assert float(found.x_shear) * 1e3 == pytest.approx(t / 2 - behind, rel=1e-6)
    assert float(found.warping) * 1e18 == pytest.approx(warping, rel=1e-6)


def test_a_hole_is_a_rectangle_less() -> None:
    """A hole in the middle of the web: by hand, with the shift of the centroid."""
    gross = properties(shape(STUD))
    net = net_section(shape(STUD), 0.030)
    taken, middle = 0.030 * 0.0006, 0.0738 / 2
    y = (gross.area * gross.y - taken * middle) / (gross.area - taken)
    own = 0.0006 * 0.030**3 / 12
    expected = gross.i_major + gross.area * (gross.y - y) ** 2 - own - taken * (middle - y) ** 2

    assert net.area == pytest.approx(gross.area - taken)
    assert net.y == pytest.approx(y)
    assert net.i_major == pytest.approx(float(expected))
    assert net_section(shape(STUD), 0.0).i_major == pytest.approx(float(gross.i_major))
    assert net_section(shape(STUD), 0.02, 0.03).i_minor < gross.i_minor


def test_two_studs() -> None:
    """Both bend together; back to back the webs touch, boxed they lie outside."""
    one = properties(shape(STUD))
    back, box = back_to_back(one), boxed(one, 0.0512)

    assert back.i_major == box.i_major == 2 * one.i_major
    assert back.i_minor == pytest.approx(2 * (one.i_minor + one.area * one.x**2))
    assert box.i_minor == pytest.approx(2 * (one.i_minor + one.area * (0.0256 - one.x) ** 2))
    assert float(back.w_minor) == pytest.approx(float(back.i_minor / 0.050))
    assert float(box.w_minor) == pytest.approx(float(box.i_minor / 0.0256))
    assert back.torsion == box.torsion == 2 * one.torsion


def test_zinc_is_no_steel() -> None:
    """Z275: about 0.04 mm of a sheet (EN 1993-1-3); what is thinner bends more easily."""
    assert float(core_thickness(0.6e-3, 0.275)) * 1e3 == pytest.approx(0.56, abs=0.002)


def test_many_at_once_as_one_by_one() -> None:
    sizes = np.array([STUD, (60.0, 27.0, 27.0, 6.0, 0.6, 0.0), (75.0, 40.0, 40.0, 0.0, 0.6, 1.0)]) / 1000
    web, b1, b2, lip, t, r = sizes.T
    together = properties(c_shape(web, b1, t, lip=lip, radius=r, other_flange=b2))

    for k, size in enumerate(sizes * 1000):
        alone = properties(shape(tuple(size)))
        for name in ("area", "i_major", "i_minor", "torsion", "warping", "x_shear"):
            assert getattr(together, name)[k] == pytest.approx(float(getattr(alone, name)))


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: c_shape(0.075, 0.05, 0.0),
        lambda: c_shape(0.075, 0.05, float("nan")),
        lambda: c_shape(0.075, 0.05, 0.0006, lip=0.0005, radius=0.001),
        lambda: c_shape(0.010, 0.05, 0.0006, lip=0.006),
        lambda: c_shape(0.075, 0.001, 0.0006, lip=0.006, radius=0.001),
        lambda: c_shape(0.075, 0.05, 0.0006, radius=-0.001),
        lambda: net_section(shape(STUD), 0.08),
        lambda: net_section(shape(STUD), 0.03, 0.01),
        lambda: boxed(properties(shape(STUD)), 0.02),
        lambda: core_thickness(0.0006, 5.0),
    ],
)
def test_nonsense_is_refused(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match="accepted"):
        wrong()
