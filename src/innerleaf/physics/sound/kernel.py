"""The angle integral, compiled: shares of sound energy through walls of leaves, cavities and bridges.

Only `transmission.py` calls this. For each frequency the angle of incidence θ runs from 0 to 90°. The
range is split at every coincidence angle, and around each θ = θc + δ sinh(u) spreads the peak, as narrow
as the loss factor, so that few Gauss nodes in u do. A band that holds a critical frequency is split
there, since coincidence begins at it.

Airborne: pressure and velocity are carried from the far side through leaves and cavities at each angle;
the finite wall radiates by its directional efficiency. Bridges: each leaf's line or point mobility and
the compliance between them drive the other leaf, which radiates near the bridge, at coincidence and from
the rim of the bay.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from math import asin, asinh, cos, cosh, exp, log, pi, sin, sinh, sqrt
from typing import Any, Final

import numpy as np
from numba import njit

from innerleaf.physics.sound.radiation import AIR, GREATEST, PRESSURE

Array = Any  # a float64 array, inside compiled code

RHO: Final = AIR.density
C: Final = AIR.speed
Z0: Final = AIR.impedance
GAMMA_P: Final = 1.4 * PRESSURE
AT: Final = 250.0  # Hz, `construction.COMPLIANCE_AT`
LOG_HALF_BAND: Final = log(10.0) / 20.0
PEAK_FROM: Final = 0.55  # of a critical frequency: below, coincidence leaves no mark on the integrand
EDGES_UP_TO: Final = 0.9  # of the critical frequency: above, the angle integral has the free waves
THINNEST: Final = 1e-6  # m: less air beside the porous layer is rounding
NEAR: Final = 0.05  # a split nearer than this to the rim of a band, in half bands, is left out


@njit(cache=True, fastmath=True, nogil=True)
def directional(k: float, side: float, co: float) -> float:
    """Radiation efficiency of a square panel for waves forced at an angle, its cosine given.

    Davy, J. Acoust. Soc. Am. 126 (2009) 2, formula from memory; within 0.8 dB of the exact integral.
    """
    ka = k * side / 2
    root = sqrt(2 * ka / pi)
    least = min(1.3 / root, 1.0)
    grazing = 1.0 / max(2.0 / 3.0 * root - 0.234, 0.05)
    g = co if co >= least else grazing / (1.0 + (grazing / least - 1.0) * co / least)
    q = 2 * pi / (k * k * side * side)
    return 1.0 / sqrt(g * g + q * q)


@njit(cache=True, fastmath=True, nogil=True)
def rim(f: float, fc: float, l1: float, l2: float) -> float:
    """Radiation efficiency of free waves below the critical frequency: `radiation.free_efficiency`."""
    ratio = min(f / fc, EDGES_UP_TO)
    root, gap = sqrt(ratio), 1.0 - ratio
    sigma = (gap * log((1 + root) / (1 - root)) + 2 * root) / (4 * pi * pi * gap * sqrt(gap))
    sigma *= 2 * (l1 + l2) / (l1 * l2) * C / fc
    if ratio < 0.5:
        sigma += 8 * C * C * (1 - 2 * ratio) / (fc * fc * pi**4 * l1 * l2 * root * sqrt(gap))
    first_mode = C * C / (4 * fc) * (1 / (l1 * l1) + 1 / (l2 * l2))
    if f < first_mode:
        sigma = min(sigma, 4 * l1 * l2 * (f / C) ** 2)
    return min(sigma, GREATEST)


@njit(cache=True, fastmath=True, nogil=True)
def peaks(f: float, leaves: Array, centre: Array, width: Array) -> int:
    """Coincidence angles of the leaves in rising order, with how wide each peak is; how many there are."""
    found = 0
    w = 2 * pi * f
    for i in range(leaves.shape[0]):
        ratio = f / leaves[i, 1]
        if ratio < PEAK_FROM:
            continue
        s = 1.0 / sqrt(ratio) if ratio > 1.0 else 1.0
        co = sqrt(max(1.0 - s * s, 0.0))
        loss = leaves[i, 2] + leaves[i, 3] / sqrt(f) + 2 * Z0 / (w * leaves[i, 0] * max(co, 0.15))
        floor = sqrt(loss + max(1.0 - ratio, 0.0)) / 2
        spread = loss * s / (4 * max(co, floor)) if ratio > 1.0 else floor
        angle = asin(s)
        at = found
        while at > 0 and (centre[at - 1] > angle or (centre[at - 1] == angle and width[at - 1] > spread)):
            centre[at], width[at] = centre[at - 1], width[at - 1]
            at -= 1
        centre[at], width[at] = angle, spread
        found += 1
    return found


@njit(cache=True, fastmath=True, nogil=True)
def angles(count: int, centre: Array, width: Array, gauss: Array, theta: Array, weight: Array) -> int:
    """Nodes and weights over 0 to 90°; how many. ``gauss``: nodes and weights on -1 to 1, two rows."""
    used = 0
    half = gauss.shape[1]
    if count == 0:
        for part in range(2):
            for j in range(half):
                theta[used] = pi / 8 * (gauss[0, j] + 1) + part * pi / 4
                weight[used] = pi / 8 * gauss[1, j]
                used += 1
        return used
    for i in range(count):
        low = 0.0 if i == 0 else (centre[i - 1] + centre[i]) / 2
        high = pi / 2 if i == count - 1 else (centre[i] + centre[i + 1]) / 2
        for sign in (-1.0, 1.0):
            reach = high - centre[i] if sign > 0 else centre[i] - low
            if reach < 1e-9:
                continue
            end = asinh(reach / width[i]) / 2
            for j in range(half):
                u = end * (gauss[0, j] + 1)
                theta[used] = centre[i] + sign * width[i] * sinh(u)
                weight[used] = width[i] * cosh(u) * gauss[1, j] * end
                used += 1
    return used


@njit(cache=True, fastmath=True, nogil=True)
def fluid(f: float, cavity: Array, porous: bool, out: Array) -> None:
    """Square of the wave number over that of air; impedance times wave number ratio, and one over that.

    A lossy spring divides the first and leaves the second as it is.

    Fibres: Miki, J. Acoust. Soc. Jpn (E) 11 (1990) 19, coefficients from memory. Air: drag as a resistance.
    """
    if porous:
        x = 1000.0 * f / cavity[2]
        p, q = x**-0.632, x**-0.618
        z = complex(1 + 5.50 * p, -8.43 * p)
        k = complex(1 + 7.81 * q, -11.41 * q)
        spring = complex(1.0, cavity[4])
        out[0] = k * k / spring
        out[1] = z * k
    else:
        heavy = complex(1.0, -cavity[3] / (2 * pi * f * RHO))
        spring = complex(1.0, cavity[5])
        out[0] = heavy / spring
        out[1] = heavy
    out[2] = 1 / out[1]


@njit(cache=True, fastmath=True, nogil=True)
def crossed(
    p: complex,
    v: complex,
    k: float,
    depth: float,
    ratio: complex,
    product: complex,
    admittance: complex,
    s2: float,
) -> tuple[complex, complex]:
    """Pressure and velocity on the near side of a layer of fluid, from those on its far side."""
    a, b = ratio.real - s2, ratio.imag
    size = sqrt(a * a + b * b)
    real = sqrt(max((size + a) / 2, 1e-30))
    imag = b / (2 * real)
    x, y = real * k * depth, imag * k * depth
    grow = exp(-y)
    shrink = 1.0 / grow
    c, d = cos(x), sin(x)
    cosine = complex(c * (grow + shrink) / 2, d * (grow - shrink) / 2)
    j_sine = complex(c * (grow - shrink) / 2, d * (grow + shrink) / 2)
    # impedance Z0·product/(kz/k) and its inverse, without the slow division of complex numbers
    over = Z0 / size
    z = product * complex(real * over, -imag * over)
    inverse = complex(real / Z0, imag / Z0) * admittance
    return cosine * p + z * j_sine * v, inverse * j_sine * p + cosine * v


@njit(cache=True, fastmath=True, nogil=True)
def answer(f: float, leaf: Array, bridge: Array, near: float) -> float:
    """Mean square velocity of a leaf in a diffuse field against that of a free mass, over its squared mass.

    ``near`` is the part that is forced or coincides; what vibrates freely below comes on top.
    """
    if f < leaf[1]:
        loss = leaf[2] + leaf[3] / sqrt(f)
        near += bridge[6] * rim(f, leaf[1], bridge[4], bridge[5]) * pi * leaf[1] / (4 * f * loss)
    return near / (leaf[0] * leaf[0])


@njit(cache=True, fastmath=True, nogil=True)
def bridged(
    f: float, one: Array, two: Array, depth: float, bridge: Array, near1: float, near2: float
) -> float:
    """Share through one kind of bridge of a cavity; ``near``: `answer` of each leaf without its rim.

    Free velocity of one leaf in a diffuse field, drawn on by the mobilities of both and the compliance
    between them; what the other radiates for the force that remains. By reciprocity the two are one
    function of a leaf.
    """
    w = 2 * pi * f
    compliance = bridge[7] + bridge[2] * (f / AT) ** bridge[3]
    answers = answer(f, one, bridge, near1) * answer(f, two, bridge, near2)
    if bridge[0] == 1.0:
        line = (1 / (one[0] * sqrt(f / one[1])) + 1 / (two[0] * sqrt(f / two[1]))) / (4 * C)
        mobility = line * line + (w * compliance - line) ** 2
        share = 4 * RHO * RHO * C * answers / (w**3 * bridge[1] * mobility)
    else:
        point = pi / (4 * C * C) * (one[1] / one[0] + two[1] / two[0])
        mobility = point * point + (w * compliance) ** 2
        share = 4 * RHO * RHO * answers / (pi * (w * bridge[1]) ** 2 * mobility)
    below = GAMMA_P / depth * (1 / one[0] + 1 / two[0]) / (w * w)  # (f0/f)²
    return share / (1 + below * below)  # below resonance the leaves move together


@njit(cache=True, fastmath=True, nogil=True)
def at_frequency(
    f: float,
    leaves: Array,
    cavities: Array,
    bridges: Array,
    area: float,
    gauss: Array,
    room: Array,
    out: Array,
) -> None:
    """Adds to ``out``: share by air, share by bridges, then that of each leaf on its own."""
    count = leaves.shape[0]
    theta, weight, near = room[0], room[1], room[2]
    fluids = np.empty((count, 6), np.complex128)
    for i in range(count - 1):
        fluid(f, cavities[i], True, fluids[i, :3])
        fluid(f, cavities[i], False, fluids[i, 3:])
    w = 2 * pi * f
    k, side = w / C, sqrt(area)
    near[:count] = 0.0
    used = angles(peaks(f, leaves, room[3], room[4]), room[3], room[4], gauss, theta, weight)
    for j in range(used):
        s, co = sin(theta[j]), max(cos(theta[j]), 0.0)
        s2 = s * s
        sigma = directional(k, side, co)
        load = Z0 * sigma  # of the air on a face; at grazing angles that of a finite wall
        onto = 8 * Z0 * load * s * weight[j]
        p, v = complex(load, 0.0), complex(1.0, 0.0)
        for i in range(count):
            inertia = w * leaves[i, 0]
            bend = (f / leaves[i, 1] * s2) ** 2
            loss = leaves[i, 2] + leaves[i, 3] / sqrt(f)
            z = complex(inertia * loss * bend, inertia * (1 - bend))
            size = (z.real + 2 * load) ** 2 + z.imag * z.imag
            near[i] += inertia * inertia / size * s * weight[j]
            out[2 + i] += onto / size
            p += z * v
            if i < count - 1:
                fill, air = cavities[i, 1], cavities[i, 0] - cavities[i, 1]
                for which in range(2):
                    if (which == 0) == (cavities[i, 6] > 0):
                        if fill > 0:
                            p, v = crossed(p, v, k, fill, fluids[i, 0], fluids[i, 1], fluids[i, 2], s2)
                    elif air > THINNEST:
                        p, v = crossed(p, v, k, air, fluids[i, 3], fluids[i, 4], fluids[i, 5], s2)
        end = p + load * v
        out[0] += onto / (end.real * end.real + end.imag * end.imag)
    for i in range(count - 1):
        for b in range(bridges.shape[1]):
            if bridges[i, b, 0] > 0:
                out[1] += bridged(
                    f, leaves[i], leaves[i + 1], cavities[i, 0], bridges[i, b], near[i], near[i + 1]
                )


@njit(cache=True, fastmath=True, nogil=True)
def in_band(
    centre: float, leaves: Array, cavities: Array, bridges: Array, area: float, inside: Array, gauss: Array,
    room: Array, out: Array,
) -> None:  # fmt: skip
    """Mean over a third-octave band, uniform in lg f, split at critical frequencies inside it."""
    cuts = room[5]
    cuts[0] = -1.0
    parts = 1
    for i in range(leaves.shape[0]):
        x = log(leaves[i, 1] / centre) / LOG_HALF_BAND
        if abs(x) > 1.0 - NEAR:
            continue
        at = parts
        while cuts[at - 1] > x:
            cuts[at] = cuts[at - 1]
            at -= 1
        cuts[at] = x
        parts += 1
    cuts[parts] = 1.0
    out[:] = 0.0
    part = room[6]
    for b in range(parts):
        half, middle = (cuts[b + 1] - cuts[b]) / 2, (cuts[b + 1] + cuts[b]) / 2
        if half == 0.0:
            continue  # two leaves alike
        for j in range(inside.shape[1]):
            f = centre * exp(LOG_HALF_BAND * (middle + half * inside[0, j]))
            part[: out.shape[0]] = 0.0
            at_frequency(f, leaves, cavities, bridges, area, gauss, room, part)
            for q in range(out.shape[0]):
                out[q] += part[q] * inside[1, j] * half / 2


@njit(cache=True, fastmath=True, nogil=True)
def run(
    leaves: Array,
    cavities: Array,
    bridges: Array,
    area: Array,
    centres: Array,
    inside: Array,
    gauss: Array,
    out: Array,
) -> None:
    """All constructions, all bands; ``out``: (constructions, bands, 2 + leaves), shares of energy."""
    count = leaves.shape[1]
    room = np.empty((7, max(8 * gauss.shape[1], 16)))
    for i in range(leaves.shape[0]):
        for b in range(centres.shape[0]):
            in_band(
                centres[b], leaves[i], cavities[i], bridges[i], area[i], inside, gauss, room,
                out[i, b, : 2 + count],
            )  # fmt: skip
