"""Cold-formed C, U and lipped sections from their geometry: what bends, twists and warps.

Area, centroid and second moments are exact for the shape, inner radii included. Torsion and warping are
those of the thin wall's middle line. Lengths in m; x from the web's outer face towards the lips, y from
the outer face of flange 2 towards flange 1. All of a shape may be arrays, which are broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from innerleaf.errors import InputError

Values = NDArray[np.float64]

ZINC_DENSITY: Final = 7140.0  # kg/m³
_ARC: Final = 8  # chords of the middle line round a corner: the warping constant is then true to 1e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """Outer dimensions of a C (``lip`` 0: U) section. [m]

    ``radius`` is that of the inner corners; 0 makes inner and outer corners sharp. Raises `InputError`
    where the parts do not fit together.
    """

    web: Values
    flange_1: Values
    flange_2: Values
    lip: Values
    sheet: Values
    radius: Values

    def __post_init__(self) -> None:
        corner = self.corner
        _need("sheet", self.sheet, self.sheet > 0, "above 0 m")
        _need("inner radius", self.radius, self.radius >= 0, "0 m or more")
        _need("lip", self.lip, (self.lip == 0) | (self.lip >= corner), "0, or the corner it begins with")
        _need("web", self.web, self.web >= 2 * np.maximum(self.lip, corner), "room for both flanges and lips")
        for name, flange in (("flange 1", self.flange_1), ("flange 2", self.flange_2)):
            _need(name, flange, flange >= corner * (1 + (self.lip > 0)), "room for its corners")

    @property
    def corner(self) -> Values:
        """Side of the square that a corner takes. [m]"""
        return np.asarray(self.radius + self.sheet)


def c_shape(
    web: ArrayLike,
    flange: ArrayLike,
    sheet: ArrayLike,
    *,
    lip: ArrayLike = 0.0,
    radius: ArrayLike = 0.0,
    other_flange: ArrayLike | None = None,
) -> Shape:
    """A shape from its outer dimensions, broadcast against each other. [m]

    ``other_flange`` is flange 2 where it differs from ``flange``, as in studs that nest.

    >>> stud = c_shape(0.0738, 0.050, 0.0006, lip=0.006, other_flange=0.0488)
    >>> round(float(properties(stud).area) * 1e6, 2)
    109.32
    """
    second = flange if other_flange is None else other_flange
    given = np.broadcast_arrays(*(np.asarray(v, float) for v in (web, flange, second, lip, sheet, radius)))
    for name, value in zip(("web", "flange", "other flange", "lip", "sheet", "radius"), given, strict=True):
        _need(name, value, np.isfinite(value), "finite")
    web, flange_1, flange_2, lip, sheet, radius = given
    return Shape(web=web, flange_1=flange_1, flange_2=flange_2, lip=lip, sheet=sheet, radius=radius)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """Properties of a section, arrays of the shape's shape.

    ``i_major`` is about the axis parallel to the flanges through the centroid, ``i_minor`` about the one
    parallel to the web; section moduli are named after the face where the stress is read.
    """

    area: Values  # [m²]
    x: Values  # of the centroid [m]
    y: Values
    i_major: Values  # [m⁴]
    i_minor: Values
    i_product: Values
    w_flange_1: Values  # of bending about the major axis [m³]
    w_flange_2: Values
    w_web: Values  # of bending about the minor axis [m³]
    w_toe: Values
    torsion: Values  # St Venant's constant [m⁴]
    warping: Values  # about the shear centre [m⁶]
    x_shear: Values  # shear centre [m]
    y_shear: Values

    @property
    def w_major(self) -> Values:
        """The lesser modulus of bending about the major axis. [m³]"""
        return np.minimum(self.w_flange_1, self.w_flange_2)

    @property
    def w_minor(self) -> Values:
        """The lesser modulus of bending about the minor axis. [m³]"""
        return np.minimum(self.w_web, self.w_toe)


def properties(shape: Shape) -> Section:
    """Section properties of a shape.

    Notes
    -----
    A, centroid and I: sums over rectangles and quarter rings, exact. J = Σ b t³/3 over the length of the
    sheet, which leaves out what the corners add. Iw from the sectorial coordinate along the middle line
    (V. Z. Vlasov, from memory).
    """
    return _section(shape, _parts(shape))


def net_section(shape: Shape, hole: ArrayLike, centre: ArrayLike | None = None) -> Section:
    """Properties where the web has a hole ``hole`` high. [m]

    ``centre`` is y of its middle, half the web if left out. Warping stays that of the whole section: holes
    are short, and warping is carried along the member. Raises `InputError` where the hole is not within
    the flat of the web.

    >>> stud = c_shape(0.0738, 0.050, 0.0006, lip=0.006)
    >>> bool(net_section(stud, 0.030).i_major < properties(stud).i_major)
    True
    """
    high = np.asarray(hole, float)
    middle = shape.web / 2 if centre is None else np.asarray(centre, float)
    low, top = middle - high / 2, middle + high / 2
    inside = (high >= 0) & (low >= shape.corner) & (top <= shape.web - shape.corner)
    _need("hole in the web", high, inside, "0 m or more, within the flat of the web")
    return _section(shape, [*_parts(shape), _rectangle(0.0 * high, low, shape.sheet, high, -1)])


def back_to_back(one: Section) -> Section:
    """Two alike, web to web, one turned over end for end: both bend together, each twists by itself.

    What bending about the major axis would gain by a stiff bond between two unequal flanges is left out.
    """
    return _pair(one, one.x, one.x + one.i_minor / one.w_toe)


def boxed(one: Section, width: ArrayLike) -> Section:
    """Two alike, the flanges pushed into one another; ``width`` over both webs. [m]

    Screwed at points only, so each twists by itself: the stiffness of a closed tube is not counted.
    """
    apart = np.asarray(width, float) / 2 - one.x
    _need("width of the box", width, apart > 0, "more than twice the centroid's distance from the web")
    return _pair(one, apart, np.asarray(width, float) / 2)


def core_thickness(nominal: ArrayLike, zinc: ArrayLike) -> Values:
    """Thickness of the steel in a coated sheet. [m]

    ``nominal`` includes the coating [m]; ``zinc`` is its mass on both faces together, as the number in
    the designation Z100 [kg/m²].

    >>> round(float(core_thickness(0.0006, 0.100)) * 1000, 3)
    0.586
    """
    core = np.asarray(np.asarray(nominal, float) - np.asarray(zinc, float) / ZINC_DENSITY)
    _need("coating", zinc, (core > 0) & (np.asarray(zinc) >= 0), "0 kg/m² or more, thinner than the sheet")
    return core


def _pair(one: Section, apart: Values, half: Values) -> Section:
    """Two sections turned to each other by half a turn, their centroids twice ``apart`` from each other.

    ``half`` is how far the pair reaches from its middle.
    """
    minor = 2 * (one.i_minor + one.area * apart**2)
    modulus = minor / half
    return replace(
        one,
        area=2 * one.area,
        x=0.0 * one.x,
        i_major=2 * one.i_major,
        i_minor=minor,
        i_product=0.0 * one.i_product,
        w_flange_1=2 * one.w_flange_1,
        w_flange_2=2 * one.w_flange_2,
        w_web=modulus,
        w_toe=modulus,
        torsion=2 * one.torsion,
        warping=2 * one.warping,
        x_shear=0.0 * one.x_shear,
        y_shear=one.y,
    )


@dataclass(frozen=True, slots=True)
class _Part:
    """Area, centroid and own second moments of a piece of the section."""

    area: Values
    x: Values
    y: Values
    ix: Values  # about its own axis along x
    iy: Values
    ixy: Values


def _rectangle(x: Values, y: Values, wide: Values, high: Values, sign: int = 1) -> _Part:
    """A rectangle by its lower left corner; ``sign`` -1 takes it away."""
    area = sign * wide * high
    return _Part(
        area,
        x + wide / 2,
        y + high / 2,
        area * high**2 / 12,
        area * wide**2 / 12,
        0.0 * area,
    )


def _corner(x: Values, y: Values, right: int, up: int, shape: Shape, there: Values) -> _Part:
    """A corner with its outer point at (x, y); the section goes on to ``right`` (±1) and ``up`` (±1).

    ``there`` is 1, or 0 where the section has none.
    """
    r, t, outer = shape.radius, shape.sheet, shape.corner
    ring = np.pi / 4 * (outer**2 - r**2)
    # From the centre of the bend: a quarter ring, or a square where it is sharp.
    far = np.where(r > 0, 4 / (3 * np.pi) * (outer**3 - r**3) / (outer**2 - r**2), t / 2)
    area = np.where(r > 0, ring, t**2) * there
    fourth = outer**4 - r**4
    own = np.where(r > 0, np.pi / 16 * fourth - ring * far**2, t**4 / 12) * there
    product = np.where(r > 0, fourth / 8 - ring * far**2, 0.0) * there
    return _Part(area, x + right * (outer - far), y + up * (outer - far), own, own, right * up * product)


def _parts(shape: Shape) -> list[_Part]:
    """Flats and corners that make up the section."""
    h, b1, b2, c, t, g = shape.web, shape.flange_1, shape.flange_2, shape.lip, shape.sheet, shape.corner
    lipped, always = np.asarray(c > 0, float), np.ones(())
    end = g * lipped  # what the corner of the lip takes of the flange
    low, nothing = (c - g) * lipped, 0.0 * h
    return [
        _rectangle(nothing, g, t, h - 2 * g),
        _rectangle(g, h - t, b1 - g - end, t),
        _rectangle(g, nothing, b2 - g - end, t),
        _rectangle(b1 - t, h - c, t, low),
        _rectangle(b2 - t, g, t, low),
        _corner(nothing, h, 1, -1, shape, always),
        _corner(nothing, nothing, 1, 1, shape, always),
        _corner(b1, h, -1, -1, shape, lipped),
        _corner(b2, nothing, -1, 1, shape, lipped),
    ]


def _section(shape: Shape, parts: list[_Part]) -> Section:
    nothing = np.zeros(())
    area = sum((p.area for p in parts), nothing)
    x = sum((p.area * p.x for p in parts), nothing) / area
    y = sum((p.area * p.y for p in parts), nothing) / area
    major = sum((p.ix + p.area * (p.y - y) ** 2 for p in parts), nothing)
    minor = sum((p.iy + p.area * (p.x - x) ** 2 for p in parts), nothing)
    product = sum((p.ixy + p.area * (p.x - x) * (p.y - y) for p in parts), nothing)
    warping, x_shear, y_shear = _warping(shape)
    return Section(
        area=area,
        x=x,
        y=y,
        i_major=major,
        i_minor=minor,
        i_product=product,
        w_flange_1=major / (shape.web - y),
        w_flange_2=major / y,
        w_web=minor / x,
        w_toe=minor / (np.maximum(shape.flange_1, shape.flange_2) - x),
        torsion=area * shape.sheet**2 / 3,
        warping=warping,
        x_shear=x_shear,
        y_shear=y_shear,
    )


def _middle_line(shape: Shape) -> Values:
    """Points of the middle line from lip to lip, shape (..., points, 2); arcs as chords."""
    h, b1, b2, c, t = shape.web, shape.flange_1, shape.flange_2, shape.lip, shape.sheet
    lipped = c > 0
    rest = np.where(lipped, t / 2, 0.0)  # from the outer face of the lip to its middle
    bend = np.where(shape.radius > 0, shape.radius + t / 2, 0.0)
    bottom, top = t / 2, h - t / 2
    end_2 = (b2 - rest, np.where(lipped, c, bottom))
    end_1 = (b1 - rest, np.where(lipped, h - c, top))
    corners = (
        (b2 - rest, bottom, (0, -1), (-1, 0), bend * lipped),
        (t / 2, bottom, (-1, 0), (0, 1), bend),
        (t / 2, top, (0, 1), (1, 0), bend),
        (b1 - rest, top, (1, 0), (0, -1), bend * lipped),
    )
    angle = np.linspace(0.0, np.pi / 2, _ARC + 1)
    points = [np.stack(np.broadcast_arrays(*end_2), -1)[..., None, :]]
    for x, y, (ux, uy), (vx, vy), r in corners:  # from direction u into direction v
        back, forth = np.sin(angle) - 1, 1 - np.cos(angle)
        points.append(
            np.stack(
                [
                    x[..., None] + r[..., None] * (ux * back + vx * forth),
                    y[..., None] + r[..., None] * (uy * back + vy * forth),
                ],
                -1,
            )
        )
    points.append(np.stack(np.broadcast_arrays(*end_1), -1)[..., None, :])
    return np.concatenate(points, axis=-2)


def _warping(shape: Shape) -> tuple[Values, Values, Values]:
    """Warping constant and shear centre: integrals of the sectorial coordinate, linear along each chord."""
    points = _middle_line(shape)
    a, b = points[..., :-1, :], points[..., 1:, :]
    long = np.hypot(*np.moveaxis(b - a, -1, 0))
    total = long.sum(-1)
    centre = (long[..., None] * (a + b) / 2).sum(-2) / total[..., None]
    p = points - centre[..., None, :]
    turn = p[..., :-1, 0] * p[..., 1:, 1] - p[..., 1:, 0] * p[..., :-1, 1]
    omega = np.concatenate([np.zeros_like(turn[..., :1]), np.cumsum(turn, -1)], -1)
    omega = omega - ((omega[..., :-1] + omega[..., 1:]) / 2 * long).sum(-1)[..., None] / total[..., None]

    def mixed(u: Values, v: Values) -> Values:
        u0, u1, v0, v1 = u[..., :-1], u[..., 1:], v[..., :-1], v[..., 1:]
        return np.asarray((long * (2 * u0 * v0 + u0 * v1 + u1 * v0 + 2 * u1 * v1) / 6).sum(-1))

    x, y = p[..., 0], p[..., 1]
    xx, yy, xy, xo, yo = mixed(x, x), mixed(y, y), mixed(x, y), mixed(x, omega), mixed(y, omega)
    # The pole from which the section warps without bending: ω − a y + b x is square to x and to y.
    whole = xx * yy - xy**2
    along_x = (yo * xx - xo * xy) / whole
    along_y = (yo * xy - xo * yy) / whole
    rest = omega - along_x[..., None] * y + along_y[..., None] * x
    return shape.sheet * mixed(rest, rest), centre[..., 0] + along_x, centre[..., 1] + along_y


def _need(field: str, given: ArrayLike, good: ArrayLike, accepted: str) -> None:
    if not np.all(good):
        raise InputError(field, given=np.asarray(given).tolist(), accepted=accepted)
