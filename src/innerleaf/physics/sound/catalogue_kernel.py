"""All combinations of two lists of leaves and a list of cavities, compiled; only `catalogue.py` calls this.

At one frequency everything but the last product is a table: each leaf's impedance and each cavity's
two-port at each angle. Angles belong to groups of leaves with one critical frequency. A pair whose
leaves both have a coincidence angle takes the angles of both groups, each weighted towards its own peak
so that the weights add to one everywhere.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from math import cos, pi, sin, sqrt
from typing import Any

import numpy as np
from numba import njit

from innerleaf.physics.sound.kernel import (
    AT,
    GAMMA_P,
    RHO,
    THINNEST,
    Z0,
    C,
    angles,
    answer,
    crossed,
    directional,
    fluid,
    peaks,
)

Array = Any  # a float64 array, inside compiled code


@njit(cache=True, fastmath=True, nogil=True)
def impedance(f: float, leaf: Array, s2: float) -> complex:
    """Of a leaf for waves whose squared sine is given."""
    inertia = 2 * pi * f * leaf[0]
    bend = (f / leaf[1] * s2) ** 2
    return complex(inertia * (leaf[2] + leaf[3] / sqrt(f)) * bend, inertia * (1 - bend))


@njit(cache=True, fastmath=True, nogil=True)
def two_ports(f: float, cavities: Array, sines: Array, out: Array) -> None:
    """Two-port of each cavity at each angle: ``out`` (angles, cavities, 4), complex; far side to near."""
    fluids = np.empty((2, 3), np.complex128)
    k = 2 * pi * f / C
    for c in range(cavities.shape[0]):
        one = cavities[c]
        fluid(f, one, True, fluids[0])
        fluid(f, one, False, fluids[1])
        fill, air = one[1], one[0] - one[1]
        for a in range(sines.shape[0]):
            for column in range(2):
                p, v = complex(1.0 - column, 0.0), complex(float(column), 0.0)
                for which in range(2):
                    # the walk begins at the second leaf
                    if (which == 1) == (one[6] > 0):
                        if fill > 0:
                            p, v = crossed(p, v, k, fill, fluids[0, 0], fluids[0, 1], fluids[0, 2], sines[a])
                    elif air > THINNEST:
                        p, v = crossed(p, v, k, air, fluids[1, 0], fluids[1, 1], fluids[1, 2], sines[a])
                out[a, c, column], out[a, c, 2 + column] = p, v


@njit(cache=True, fastmath=True, nogil=True)
def onto(
    near: Array,
    far: Array,
    mine: Array,
    others: Array,
    weight: Array,
    ports: Array,
    turned: bool,
    total: Array,
) -> None:
    """Adds the shares at the angles of one group: ``near`` leaves of the group, ``far`` the others.

    ``near`` and ``far``: impedance with that of the air, (angles, leaves), complex; ``mine``,
    ``others``: their numbers in ``total``, which is (first leaves, cavities, second leaves); ``turned``
    where the group is of second leaves.
    """
    room = np.empty(far.shape[1])
    for a in range(near.shape[0]):
        for c in range(ports.shape[1]):
            p0, p1, p2, p3 = ports[a, c, 0], ports[a, c, 1], ports[a, c, 2], ports[a, c, 3]
            if turned:
                p0, p3 = p3, p0
            for i in range(mine.shape[0]):
                x = near[a, i]
                u = p0 + x * p2
                v = p1 + x * p3
                ur, ui, vr, vi = u.real, u.imag, v.real, v.imag
                for j in range(others.shape[0]):
                    y = far[a, j]
                    re = ur * y.real - ui * y.imag + vr
                    im = ur * y.imag + ui * y.real + vi
                    room[j] = weight[a, j] / (re * re + im * im)
                if turned:
                    for j in range(others.shape[0]):
                        total[others[j], c, mine[i]] += room[j]
                else:
                    for j in range(others.shape[0]):
                        total[mine[i], c, others[j]] += room[j]


@njit(cache=True, fastmath=True, nogil=True)
def nearby(f: float, leaves: Array, side: float, gauss: Array, out: Array) -> None:
    """What each leaf answers to a bridge where it is forced or coincides: ``out`` (leaves,)."""
    room = np.empty((4, 4 * gauss.shape[1]))
    k = 2 * pi * f / C
    for i in range(leaves.shape[0]):
        out[i] = 0.0
        inertia = (2 * pi * f * leaves[i, 0]) ** 2
        count = peaks(f, leaves[i : i + 1], room[2], room[3])
        used = angles(count, room[2], room[3], gauss, room[0], room[1])
        for a in range(used):
            s = sin(room[0, a])
            z = impedance(f, leaves[i], s * s)
            load = Z0 * directional(k, side, max(cos(room[0, a]), 0.0))
            out[i] += inertia / ((z.real + 2 * load) ** 2 + z.imag**2) * s * room[1, a]


@njit(cache=True, fastmath=True, nogil=True)
def by_bridges(
    f: float,
    first: Array,
    second: Array,
    cavities: Array,
    bridges: Array,
    near1: Array,
    near2: Array,
    total: Array,
) -> None:
    """Adds what goes through bridges, as `kernel.bridged`; ``near`` from `nearby`."""
    w = 2 * pi * f
    answer1, answer2 = np.empty(first.shape[0]), np.empty(second.shape[0])
    drive1, drive2 = np.empty(first.shape[0]), np.empty(second.shape[0])
    for c in range(bridges.shape[0]):
        spring = GAMMA_P / cavities[c, 0] / (w * w)
        for b in range(bridges.shape[1]):
            bridge = bridges[c, b]
            if bridge[0] == 0.0:
                continue
            point = bridge[0] == 2.0
            one_side(f, first, bridge, near1, point, answer1, drive1)
            one_side(f, second, bridge, near2, point, answer2, drive2)
            give = w * (bridge[7] + bridge[2] * (f / AT) ** bridge[3])
            scale = 4 * RHO * RHO * C / (w**3 * bridge[1])
            if point:
                scale = 4 * RHO * RHO / (pi * (w * bridge[1]) ** 2)
            for i in range(first.shape[0]):
                inverse = 1 / first[i, 0]
                for j in range(second.shape[0]):
                    drive = drive1[i] + drive2[j]
                    rest = give if point else give - drive
                    mobility = drive * drive + rest * rest
                    below = spring * (inverse + 1 / second[j, 0])
                    total[i, c, j] += scale * answer1[i] * answer2[j] / (mobility * (1 + below * below))


@njit(cache=True, fastmath=True, nogil=True)
def one_side(
    f: float, leaves: Array, bridge: Array, near: Array, point: bool, answers: Array, drive: Array
) -> None:
    """A leaf's part in a bridge: its `kernel.answer`, and its mobility."""
    for i in range(leaves.shape[0]):
        m, fc = leaves[i, 0], leaves[i, 1]
        answers[i] = answer(f, leaves[i], bridge, near[i])
        drive[i] = pi * fc / (4 * C * C * m) if point else 1 / (4 * C * m * sqrt(f / fc))


@njit(cache=True, fastmath=True, nogil=True)
def closeness(theta: float, centre: float, width: float) -> float:
    """How much an angle belongs to a peak."""
    return 1 / ((theta - centre) ** 2 + width * width)


@njit(cache=True, fastmath=True, nogil=True)
def group_angles(
    f: float, groups: Array, g: int, gauss: Array, theta: Array, weight: Array, place: Array
) -> int:
    """Nodes of a group's peak; ``place``: its angle and width. A group without peak has a negative width."""
    centre, width = np.empty(1), np.empty(1)
    count = peaks(f, groups[g : g + 1], centre, width)
    place[0], place[1] = (centre[0], width[0]) if count else (0.0, -1.0)
    return angles(count, centre, width, gauss, theta, weight)


@njit(cache=True, fastmath=True, nogil=True)
def of_groups(
    f: float, mine: Array, mine_groups: Array, mine_of: Array, others: Array, other_groups: Array,
    other_of: Array,
    cavities: Array, area: float, gauss: Array, turned: bool, total: Array,
) -> None:  # fmt: skip
    """Adds the shares at the angles of every group of one list of leaves.

    ``mine_of``, ``other_of``: the group of each leaf. A pair of which only one has a peak is summed at
    that one's angles; a pair without peaks at the plain angles, with the first list.
    """
    theta, weight = np.empty(4 * gauss.shape[1]), np.empty(4 * gauss.shape[1])
    place, other = np.empty(2), np.empty((other_groups.shape[0], 2))
    spare = np.empty((2, 4 * gauss.shape[1]))
    for h in range(other_groups.shape[0]):
        group_angles(f, other_groups, h, gauss, spare[0], spare[1], other[h])
    k, side = 2 * pi * f / C, sqrt(area)
    for g in range(mine_groups.shape[0]):
        used = group_angles(f, mine_groups, g, gauss, theta, weight, place)
        flat = place[1] < 0
        if flat and turned:
            continue
        numbers = np.flatnonzero(mine_of == g)
        keep = np.empty(others.shape[0], np.bool_)
        for j in range(others.shape[0]):
            keep[j] = not flat or other[other_of[j], 1] < 0
        partners = np.flatnonzero(keep)
        if numbers.size == 0 or partners.size == 0:
            continue
        squares = np.sin(theta[:used]) ** 2
        ports = np.empty((used, cavities.shape[0], 4), np.complex128)
        two_ports(f, cavities, squares, ports)
        near = np.empty((used, numbers.size), np.complex128)
        far = np.empty((used, partners.size), np.complex128)
        share = np.empty((used, partners.size))
        for a in range(used):
            load = Z0 * directional(k, side, max(cos(theta[a]), 0.0))
            whole = 8 * Z0 * load * sqrt(squares[a]) * weight[a]
            own = closeness(theta[a], place[0], place[1]) if not flat else 1.0
            for i in range(numbers.size):
                near[a, i] = impedance(f, mine[numbers[i]], squares[a]) + load
            for j in range(partners.size):
                far[a, j] = impedance(f, others[partners[j]], squares[a]) + load
                its = other[other_of[partners[j]]]
                share[a, j] = whole
                if not flat and its[1] >= 0:
                    share[a, j] *= own / (own + closeness(theta[a], its[0], its[1]))
        onto(near, far, numbers, partners, share, ports, turned, total)


@njit(cache=True, fastmath=True, nogil=True)
def run_band(
    frequencies: Array, weights: Array, first: Array, groups1: Array, of1: Array, second: Array, groups2:
    Array,
    of2: Array, cavities: Array, bridges: Array, area: float, gauss: Array, out: Array,
) -> None:  # fmt: skip
    """One band: ``out`` (first, cavities, second), shares of energy by air and bridges."""
    total = np.empty_like(out)
    near1, near2 = np.empty(first.shape[0]), np.empty(second.shape[0])
    side = sqrt(area)
    out[:] = 0.0
    for q in range(frequencies.shape[0]):
        f = frequencies[q]
        total[:] = 0.0
        of_groups(f, first, groups1, of1, second, groups2, of2, cavities, area, gauss, False, total)
        of_groups(f, second, groups2, of2, first, groups1, of1, cavities, area, gauss, True, total)
        nearby(f, first, side, gauss, near1)
        nearby(f, second, side, gauss, near2)
        by_bridges(f, first, second, cavities, bridges, near1, near2, total)
        out += weights[q] * total
