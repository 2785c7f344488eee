"""What is left of a thin section when its parts buckle: EN 1993-1-3 with the plates of EN 1993-1-5.

C and U sections in bending or pressed evenly, flanges with or without lips. Formulas from memory, held
against a worked example in print. Where a section lies outside the standard, `Effective.outside` says
why: its figures are then a bound for plausibility and no resistance. SI units; one section at a time.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cbrt, sqrt
from typing import Final

from innerleaf.errors import InputError
from innerleaf.physics.frame.section import Shape

_POISSON: Final = 0.3  # EN 1993-1-3, 3.2
_REFERENCE_YIELD: Final = 235e6  # Pa, of the strain factor
_HARDLY: Final = 1e-12  # change of the reduction factor at which its iteration ends
_ROUNDS: Final = 200

# EN 1993-1-3 table 5.1 and 5.1, from memory.
_FLANGE_MOST: Final = 60.0  # b/t with a lip
_OUTSTAND_MOST: Final = 50.0  # b/t without, and c/t of a lip
_WEB_MOST: Final = 500.0  # h/t
_LIP_LEAST, _LIP_MOST = 0.2, 0.6  # c/b
_RADIUS_OF_SHEET, _RADIUS_OF_FLANGE = 5.0, 0.10  # up to here corners count as sharp


@dataclass(frozen=True, slots=True, kw_only=True)
class Steel:
    """What the calculation needs of the steel. [Pa]"""

    yield_strength: float
    elasticity: float = 210e9

    def __post_init__(self) -> None:
        for name in ("yield_strength", "elasticity"):
            if not 0 < getattr(self, name) < float("inf"):
                raise InputError(name, given=getattr(self, name), accepted="above 0 Pa, finite")


@dataclass(frozen=True, slots=True, kw_only=True)
class Effective:
    """The effective section, along its middle lines.

    ``modulus_pressed`` is read at the flange (or web) that is pressed, ``modulus_pulled`` at the opposite
    one; both 0 where the section is pressed evenly, and then ``second_moment`` too. ``steps`` are the
    figures on the way, in SI units, named as in the standard.
    """

    area: float  # [m²]
    centre: float  # from the pressed face (evenly pressed: from flange 1, or for minor bending the web) [m]
    second_moment: float  # [m⁴]
    modulus_pressed: float  # [m³]
    modulus_pulled: float  # [m³]
    resistance: float  # moment [N·m], evenly pressed: force [N]; without partial factor
    steps: dict[str, float]
    outside: tuple[str, ...]  # reasons why the standard does not cover this section

    @property
    def in_scope(self) -> bool:
        """Whether the standard covers this section."""
        return not self.outside


@dataclass(frozen=True, slots=True)
class _Plates:
    """Middle-line widths, core thickness and steel."""

    web: float
    flange: float  # the one that is pressed
    other: float
    lip: float
    t: float
    steel: Steel

    @property
    def strain(self) -> float:
        return sqrt(_REFERENCE_YIELD / self.steel.yield_strength)

    def slenderness(self, width: float, k: float) -> float:
        return width / self.t / (28.4 * self.strain * sqrt(k))


def bending(shape: Shape, core: float, steel: Steel, *, flange_1_pressed: bool = True) -> Effective:
    """Bending about the major axis.

    Parameters
    ----------
    shape : Shape
        One section, with its nominal sheet: the middle lines lie within that. [m]
    core : float
        Thickness of the steel without its coating. [m]
    steel : Steel
    flange_1_pressed : bool
        Which flange is pressed.

    Notes
    -----
    Flange and lip by plate buckling under full stress, then the lip as a stiffener on a spring
    (5.5.3.2): the reduction factor is iterated with the spring of the first round. The web's gradient is
    that with the whole web (one round, as the worked example does).
    """
    p = _plates(shape, core, steel, flange_1_pressed=flange_1_pressed)
    edge = _edge(p, p.flange, 0.0)
    pressed = p.t * (edge.near + (edge.far + edge.lip) * edge.chi)
    first = [
        (pressed, edge.lip**2 * p.t * edge.chi / 2),
        (p.other * p.t, p.other * p.t * p.web),
        (p.web * p.t, p.web**2 * p.t / 2),
        (p.lip * p.t, p.lip * p.t * (p.web - p.lip / 2)),
    ]
    from_pressed = sum(moment for _, moment in first) / sum(area for area, _ in first)
    gradient = (from_pressed - p.web) / from_pressed
    lam_web = p.slenderness(p.web, _gradient_k(gradient))
    rho_web = _internal(lam_web, gradient)
    left = rho_web * from_pressed
    upper, lower = (0.4 * left, p.web - from_pressed + 0.6 * left) if rho_web < 1 else (p.web, 0.0)
    strips = [
        *edge.strips(p),
        (p.other * p.t, p.web, 0.0),
        (p.lip * p.t, p.web - p.lip / 2, p.lip**2 / 12),
        (upper * p.t, upper / 2, upper**2 / 12),
        (lower * p.t, p.web - lower / 2, lower**2 / 12),
    ]
    steps = {
        **edge.steps,
        "h_c": from_pressed,
        "psi": gradient,
        "lambda_web": lam_web,
        "rho_web": rho_web,
    }
    return _bent(strips, p.web, steel, steps, _outside(shape, p, p.flange))


def web_pressed(shape: Shape, core: float, steel: Steel) -> Effective:
    """Bending about the minor axis with the web pressed: what a shallow channel does under its board."""
    p = _plates(shape, core, steel, flange_1_pressed=True)
    lam = p.slenderness(p.web, 4.0)
    rho = _internal(lam, 1.0)
    strips = [(rho * p.web * p.t, 0.0, 0.0)]
    for flange in (p.flange, p.other):
        strips += [(flange * p.t, flange / 2, flange**2 / 12), (p.lip * p.t, flange, 0.0)]
    deep = max(p.flange, p.other)
    return _bent(strips, deep, steel, {"lambda_web": lam, "rho_web": rho}, _outside(shape, p, None))


def compression(shape: Shape, core: float, steel: Steel) -> Effective:
    """Pressed evenly over the whole section; ``centre`` shifts against that of the gross section."""
    p = _plates(shape, core, steel, flange_1_pressed=True)
    firsts = [_edge(p, flange, 0.0) for flange in (p.flange, p.other)]
    share = (firsts[1].first_area / firsts[0].first_area) if p.lip else 0.0
    edges = [
        _edge(p, flange, kf, firsts[other].stiffener_from_web)
        for flange, kf, other in ((p.flange, share, 1), (p.other, 1 / share if share else 0.0, 0))
    ]
    lam_web = p.slenderness(p.web, 4.0)
    rho_web = _internal(lam_web, 1.0)
    strips = [
        *edges[0].strips(p),
        *((area, p.web - z, own) for area, z, own in edges[1].strips(p)),
        (rho_web * p.web * p.t / 2, rho_web * p.web / 4, 0.0),
        (rho_web * p.web * p.t / 2, p.web - rho_web * p.web / 4, 0.0),
    ]
    area = sum(strip[0] for strip in strips)
    outside = dict.fromkeys([*_outside(shape, p, p.flange), *_outside(shape, p, p.other)])
    return Effective(
        area=area,
        centre=sum(a * z for a, z, _ in strips) / area,
        second_moment=0.0,
        modulus_pressed=0.0,
        modulus_pulled=0.0,
        resistance=area * steel.yield_strength,
        steps={**edges[0].steps, "lambda_web": lam_web, "rho_web": rho_web},
        outside=tuple(outside),
    )


def _plates(shape: Shape, core: float, steel: Steel, *, flange_1_pressed: bool) -> _Plates:
    if shape.web.ndim:
        raise InputError("shape", given=f"{shape.web.shape}", accepted="one section, not an array")
    nominal = float(shape.sheet)
    if not 0 < core <= nominal:
        raise InputError("core thickness", given=core, accepted=f"above 0, at most the sheet, {nominal} m")
    first, second = float(shape.flange_1), float(shape.flange_2)
    pressed, pulled = (first, second) if flange_1_pressed else (second, first)
    lip = float(shape.lip)
    short = nominal if lip else nominal / 2  # a flange with a lip ends in the lip's middle
    return _Plates(
        float(shape.web) - nominal,
        pressed - short,
        pulled - short,
        lip - nominal / 2 if lip else 0.0,
        core,
        steel,
    )


@dataclass(frozen=True, slots=True)
class _Edge:
    """A pressed flange with its lip as far as they carry."""

    near: float  # of the flange, at the web
    far: float  # of the flange, at the lip
    lip: float
    chi: float  # reduction of the thickness of far and lip
    first_area: float
    stiffener_from_web: float
    steps: dict[str, float]

    def strips(self, p: _Plates) -> Iterator[tuple[float, float, float]]:
        """Area, distance from the flange and own second moment by area of each part."""
        yield self.near * p.t, 0.0, 0.0
        yield self.far * p.t * self.chi, 0.0, 0.0
        yield self.lip * p.t * self.chi, self.lip / 2, self.lip**2 / 12


def _edge(p: _Plates, flange: float, kf: float, other_from_web: float = 0.0) -> _Edge:
    """Effective widths of a pressed flange (EN 1993-1-3, 5.5.3.2); ``kf`` tells how the other one turns."""
    if not p.lip:
        lam = p.slenderness(flange, 0.43)
        rho = _outstand(lam)
        return _Edge(rho * flange, 0.0, 0.0, 1.0, 0.0, 0.0, {"lambda_flange": lam, "rho_flange": rho})
    ratio = p.lip / flange
    k_lip = 0.5 if ratio <= 0.35 else 0.5 + 0.83 * cbrt(ratio - 0.35) ** 2
    lam, lam_lip = p.slenderness(flange, 4.0), p.slenderness(p.lip, k_lip)

    def widths(chi: float) -> tuple[float, float]:
        stress = sqrt(chi)
        return _internal(lam * stress, 1.0) * flange / 2, _outstand(lam_lip * stress) * p.lip

    near, lip = widths(1.0)
    area = p.t * (near + lip)
    from_web = flange - near**2 / 2 / (near + lip)
    e, fy = p.steel.elasticity, p.steel.yield_strength
    turn = from_web**2 * p.web + from_web**3 + 0.5 * from_web * other_from_web * p.web * kf
    spring = e * p.t**3 / (4 * (1 - _POISSON**2)) / turn
    steps = {
        "lambda_flange": lam,
        "rho_flange": 2 * near / flange,
        "b_e1": near,
        "c_eff": lip,
        "A_s": area,
        "b_1": from_web,
        "K": spring,
    }

    def reduction(chi: float) -> tuple[float, dict[str, float]]:
        far, reach = widths(chi)
        own = _stiffener(far, reach, p.t)
        critical = 2 * sqrt(spring * e * own) / (p.t * (far + reach))
        lam_d = sqrt(fy / critical)
        return _distortion(lam_d), {"I_s": own, "sigma_cr": critical, "lambda_d": lam_d}

    chi, first = reduction(1.0)
    steps |= {**first, "chi_d_first": chi}
    for _ in range(_ROUNDS):
        again = reduction(chi)[0]
        if abs(again - chi) < _HARDLY:
            break
        chi = again
    far, lip = widths(chi)
    return _Edge(
        near, far, lip, chi, area, from_web, {**steps, "b_e2": far, "chi_d": chi, "t_red": p.t * chi}
    )


def _stiffener(far: float, lip: float, t: float) -> float:
    """Second moment of flange strip and lip about their own centroid, parallel to the flange. [m⁴]"""
    down = lip**2 / 2 / (far + lip)
    strips = far * t**3 / 12 + lip**3 * t / 12
    return strips + far * t * down**2 + lip * t * (lip / 2 - down) ** 2


def _internal(lam: float, psi: float) -> float:
    """Reduction of a plate held at both edges, EN 1993-1-5 (4.2)."""
    return 1.0 if lam <= 0.5 + sqrt(0.085 - 0.055 * psi) else (lam - 0.055 * (3 + psi)) / lam**2


def _outstand(lam: float) -> float:
    """Reduction of a plate held at one edge, EN 1993-1-5 (4.3)."""
    return 1.0 if lam <= 0.748 else (lam - 0.188) / lam**2


def _gradient_k(psi: float) -> float:
    """Buckling factor of an internal plate, EN 1993-1-5 table 4.1; ``psi`` is far stress over near stress."""
    if psi >= 0:
        return 8.2 / (1.05 + psi)
    return 7.81 - 6.29 * psi + 9.78 * psi**2 if psi > -1 else 5.98 * (1 - psi) ** 2


def _distortion(lam: float) -> float:
    """Reduction by distortional buckling, EN 1993-1-3 (5.12)."""
    if lam <= 0.65:
        return 1.0
    return 1.47 - 0.723 * lam if lam < 1.38 else 0.66 / lam


def _bent(
    strips: list[tuple[float, float, float]],
    deep: float,
    steel: Steel,
    steps: dict[str, float],
    outside: tuple[str, ...],
) -> Effective:
    """A bent section from its strips: area, distance from the pressed face, own second moment by area."""
    area = sum(a for a, _, _ in strips)
    centre = sum(a * z for a, z, _ in strips) / area
    second = sum(a * (own + (z - centre) ** 2) for a, z, own in strips)
    pressed, pulled = second / centre, second / (deep - centre)
    return Effective(
        area=area,
        centre=centre,
        second_moment=second,
        modulus_pressed=pressed,
        modulus_pulled=pulled,
        resistance=min(pressed, pulled) * steel.yield_strength,
        steps=steps,
        outside=outside,
    )


def _outside(shape: Shape, p: _Plates, flange: float | None) -> tuple[str, ...]:
    """Why the standard does not cover a section whose ``flange`` is pressed (None: only the web is)."""
    widths = [p.flange, p.other] if flange is None else [flange]
    said = []
    for wide in widths:
        limit = _FLANGE_MOST if p.lip else _OUTSTAND_MOST
        if wide / p.t > limit:
            said.append(f"flange b/t = {wide / p.t:.0f}, above {limit:.0f}")
        if p.lip and flange is not None and p.lip / wide < _LIP_LEAST:
            said.append(f"lip c/b = {p.lip / wide:.2f}, below {_LIP_LEAST:g}: it may not be counted")
        if p.lip and p.lip / wide > _LIP_MOST:
            said.append(f"lip c/b = {p.lip / wide:.2f}, above {_LIP_MOST:g}")
    if p.lip / p.t > _OUTSTAND_MOST:
        said.append(f"lip c/t = {p.lip / p.t:.0f}, above {_OUTSTAND_MOST:.0f}")
    if p.web / p.t > _WEB_MOST:
        said.append(f"web h/t = {p.web / p.t:.0f}, above {_WEB_MOST:.0f}")
    if float(shape.radius) > min(_RADIUS_OF_SHEET * p.t, _RADIUS_OF_FLANGE * min(p.flange, p.other)):
        said.append(f"inner radius {float(shape.radius) * 1000:.1f} mm: corners may not count as sharp")
    return tuple(dict.fromkeys(said))
