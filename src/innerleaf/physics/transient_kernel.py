"""The inner loop of the transient solver, compiled: element fluxes, Newton, two-stage time step.

Only `transient.py` calls this. The wall is a row of nodes joined by elements of one material each;
nodes lie on the faces and on every interface, so that evaporation and contact happen at a node. The
unknowns of a node are y = ln(-ln φ) and its temperature T; every material function is a table over y.

Each step is the two-stage, second-order, L-stable diagonally implicit Runge-Kutta rule (γ = 1 - 1/√2).
Both stages solve M(u) - g·F(u) = known, with contents M conserved as contents: the tangent value of the
last Newton step is carried on, which equals the sum of the fluxes to rounding.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from math import exp, sqrt
from typing import Any, Final, NamedTuple

import numpy as np
from numba import njit

Array = Any  # a float64 array, inside compiled code

# columns of the material tables, as in `hygro.Hygro`
WATER, LIQUID, HUMIDITY, VAPOUR, HEAT = range(5)
# columns of the climate, as in `transient.Exposure`
OUT_T, OUT_P, OUT_H, OUT_BETA, OUT_RAIN, OUT_RAIN_T, IN_T, IN_P = range(8)
# the book: what passed the faces towards the wall [kg/m²], [J/m²]; then absolute sums and counts
BOOK_OUT_VAPOUR, BOOK_RAIN, BOOK_OUT_HEAT, BOOK_IN_VAPOUR, BOOK_IN_HEAT = range(5)
FACE_FLUXES: Final = 5
BOOK_WATER_PASSED, BOOK_HEAT_PASSED, BOOK_NEWTON, BOOK_STEPS, BOOK_REJECTED = range(5, 10)
BOOK_ROWS: Final = 10

LATENT_HEAT: Final = 2.5e6  # J/kg, EN 15026
WATER_HEAT: Final = 4187.0  # J/(kg·K)
AIR_PERMEABILITY: Final = 26.1e-6 * 0.018 / (8.314 * 293.15)  # kg/(m·s·Pa), EN 15026 Annex A at 20 °C
GAMMA: Final = 1.0 - 1.0 / sqrt(2.0)
RAIN_HUMIDITY_GAP: Final = 1e-6  # -ln φ at which the face takes in half the rain: 135 Pa of suction
LARGEST_LN_STEP: Final = 2.0
LARGEST_T_STEP: Final = 25.0
MOST_NEWTON: Final = 12
KELVIN_PER_LN: Final = 10.0
HEAT_AS_WATER: Final = 3e6  # J/kg: heat whose error counts as much as that of a kilogram of water
GUESS: Final = 0.8  # how far the first stage is drawn out to begin the second; √t would say 0.85
LAST_TOLERANCE: Final = 1e-7
SHORTEST_STEP: Final = 0.01  # s
SHORTEST_CONTROLLED: Final = 60.0  # s; below, only Newton's failures cut a step
T_LOW: Final = -60.0
T_PER_K: Final = 2.0


class State(NamedTuple):
    """Of the nodes: unknowns, and the contents that are carried from step to step."""

    y: Array
    t: Array
    water: Array
    heat: Array


class Model(NamedTuple):
    """What does not change on the way."""

    inside: Array  # heat [W/(m²·K)] and vapour [s/m] transfer at the room face
    elements: Array  # per element: 1/length, half its volume for moisture, half its heat capacity
    material: Array  # per element: which table
    tables: Array  # (materials, intervals, powers, functions)
    y_low: float
    per_y: float
    saturation: Array  # (intervals, powers), over temperature


class Scratch(NamedTuple):
    """Scratch of a step."""

    work: Array  # per node: elimination (6), contents and slopes (3), Newton step (2)
    faces: Array  # fluxes through the faces in the order of the book, then their slopes
    known: Array  # before the step: contents (2); what the first stage alone makes of them (2); unknowns (2)


@njit(cache=True, error_model="numpy", fastmath=True)
def _saturation(table: Array, t: float) -> tuple[float, float]:
    """Saturation pressure and its slope from the table over temperature."""
    at = (t - T_LOW) * T_PER_K
    k = min(max(int(at), 0), table.shape[0] - 1)
    s = at - k
    c = min(max(s, 0.0), 1.0)
    slope = table[k, 1] + c * (2.0 * table[k, 2] + c * 3.0 * table[k, 3])
    value = table[k, 0] + c * (table[k, 1] + c * (table[k, 2] + c * table[k, 3]))
    return value + slope * (s - c), slope * T_PER_K


@njit(cache=True, error_model="numpy", fastmath=True)
def _place(y: float, y_low: float, per_y: float, intervals: int) -> tuple[int, float, float]:
    """Interval of a material table, place in it, and how far beyond the table."""
    at = (y - y_low) * per_y
    k = min(max(int(at), 0), intervals - 1)
    s = at - k
    c = min(max(s, 0.0), 1.0)
    return k, c, s - c


@njit(cache=True, error_model="numpy", fastmath=True)
def _look(
    tables: Array, m: int, k: int, function: int, c: float, beyond: float, per_y: float
) -> tuple[float, float]:
    """One function of material ``m`` and its slope; beyond the table it goes on straight."""
    a1, a2, a3 = tables[m, k, 1, function], tables[m, k, 2, function], tables[m, k, 3, function]
    slope = a1 + c * (2.0 * a2 + c * 3.0 * a3)
    value = tables[m, k, 0, function] + c * (a1 + c * (a2 + c * a3))
    return value + slope * beyond, slope * per_y


@njit(cache=True, error_model="numpy", fastmath=True)
def newton_pass(
    state: State, g: float, climate: Array, model: Model, scratch: Scratch
) -> tuple[float, float]:
    """One Newton step for M(u) - g·F(u) = known; returns its largest changes of y and T.

    Afterwards ``scratch.faces`` begins with the fluxes at the new state (tangent values).
    """
    y, t, water, heat = state.y, state.t, state.water, state.heat
    elements, material, tables = model.elements, model.material, model.tables
    y_low, per_y, saturation = model.y_low, model.per_y, model.saturation
    work, faces = scratch.work, scratch.faces
    h_in, beta_in = model.inside[0], model.inside[1]
    count = y.shape[0]
    intervals = tables.shape[1]
    # what the outer face brings, as value and slopes at node 0
    t_left = t[0]
    ps_left, dps_left = _saturation(saturation, t_left)
    h, beta = climate[OUT_H], climate[OUT_BETA]
    # left end of the first element
    k, c, beyond = _place(y[0], y_low, per_y, intervals)
    m_now = material[0]
    w0, dw0 = _look(tables, m_now, k, WATER, c, beyond, per_y)
    l0, dl0 = _look(tables, m_now, k, LIQUID, c, beyond, per_y)
    f0, df0 = _look(tables, m_now, k, HUMIDITY, c, beyond, per_y)
    v0, dv0 = _look(tables, m_now, k, VAPOUR, c, beyond, per_y)
    k0, dk0 = _look(tables, m_now, k, HEAT, c, beyond, per_y)
    p_left, py_left, pt_left = f0 * ps_left, df0 * ps_left, f0 * dps_left

    gap = exp(min(y[0], 50.0))
    taper = gap / (gap + RAIN_HUMIDITY_GAP)
    rain = climate[OUT_RAIN] * taper
    rain_y = rain * (1.0 - taper)
    vapour = beta * (climate[OUT_P] - p_left)
    enthalpy = LATENT_HEAT + WATER_HEAT * t_left
    b_m, b_my, b_mt = vapour + rain, -beta * py_left + rain_y, -beta * pt_left
    rain_heat = WATER_HEAT * climate[OUT_RAIN_T]
    b_e = h * (climate[OUT_T] - t_left) + enthalpy * vapour + rain_heat * rain
    b_ey = -enthalpy * beta * py_left + rain_heat * rain_y
    b_et = -h - enthalpy * beta * pt_left + WATER_HEAT * vapour
    faces[0], faces[1], faces[2] = vapour, rain, b_e
    faces[5], faces[6], faces[7], faces[8], faces[9] = -beta * py_left, b_mt, rain_y, b_ey, b_et

    # running row of node i: residual and diagonal gathered so far; lower block from the element before
    r_m, r_e = -g * b_m, -g * b_e
    d00, d01, d10, d11 = -g * b_my, -g * b_mt, -g * b_ey, -g * b_et
    low00 = low01 = low10 = low11 = 0.0
    m_node = dm_node = c_node = 0.0
    u00 = u01 = u10 = u11 = z0 = z1 = 0.0

    for i in range(count):
        last = i == count - 1
        if not last:
            per_length, half, half_heat = elements[i, 0], elements[i, 1], elements[i, 2]
            if i > 0 and material[i] != material[i - 1]:
                k, c, beyond = _place(y[i], y_low, per_y, intervals)
                m_now = material[i]
                w0, dw0 = _look(tables, m_now, k, WATER, c, beyond, per_y)
                l0, dl0 = _look(tables, m_now, k, LIQUID, c, beyond, per_y)
                v0, dv0 = _look(tables, m_now, k, VAPOUR, c, beyond, per_y)
                k0, dk0 = _look(tables, m_now, k, HEAT, c, beyond, per_y)
            t_right = t[i + 1]
            ps_right, dps_right = _saturation(saturation, t_right)
            k, c, beyond = _place(y[i + 1], y_low, per_y, intervals)
            m_now = material[i]
            w1, dw1 = _look(tables, m_now, k, WATER, c, beyond, per_y)
            l1, dl1 = _look(tables, m_now, k, LIQUID, c, beyond, per_y)
            f1, df1 = _look(tables, m_now, k, HUMIDITY, c, beyond, per_y)
            v1, dv1 = _look(tables, m_now, k, VAPOUR, c, beyond, per_y)
            k1, dk1 = _look(tables, m_now, k, HEAT, c, beyond, per_y)
            p_right, py_right, pt_right = f1 * ps_right, df1 * ps_right, f1 * dps_right
            # fluxes from left to right, and slopes with y and T at both ends
            half_air = 0.5 * AIR_PERMEABILITY * per_length
            conduct = half_air * (v0 + v1)
            fall = p_left - p_right
            gv = conduct * fall
            gv_y0 = conduct * py_left + half_air * dv0 * fall
            gv_y1 = -conduct * py_right + half_air * dv1 * fall
            gv_t0 = conduct * pt_left
            gv_t1 = -conduct * pt_right
            m = gv + per_length * (l0 - l1)
            m_y0 = gv_y0 + per_length * dl0
            m_y1 = gv_y1 - per_length * dl1
            carried = 0.5 * WATER_HEAT * (t_left + t_right)
            lam = 0.5 * per_length * (k0 + k1)
            half_fall = 0.5 * per_length * (t_left - t_right)
            e = lam * (t_left - t_right) + LATENT_HEAT * gv + carried * m
            e_t = 0.5 * WATER_HEAT * m
            e_y0 = half_fall * dk0 + LATENT_HEAT * gv_y0 + carried * m_y0
            e_y1 = half_fall * dk1 + LATENT_HEAT * gv_y1 + carried * m_y1
            e_t0 = lam + (LATENT_HEAT + carried) * gv_t0 + e_t
            e_t1 = -lam + (LATENT_HEAT + carried) * gv_t1 + e_t
            # what this element gives to node i
            m_node += half * w0
            dm_node += half * dw0
            c_node += half_heat
            r_m += g * m
            r_e += g * e
            d00 += g * m_y0
            d01 += g * gv_t0
            d10 += g * e_y0
            d11 += g * e_t0
            n00, n01, n10, n11 = g * m_y1, g * gv_t1, g * e_y1, g * e_t1  # upper block
        else:
            n00 = n01 = n10 = n11 = 0.0
            vapour = beta_in * (climate[IN_P] - p_left)
            enthalpy = LATENT_HEAT + WATER_HEAT * t_left
            b_y, b_t = -beta_in * py_left, -beta_in * pt_left
            b_e = h_in * (climate[IN_T] - t_left) + enthalpy * vapour
            b_et = -h_in + enthalpy * b_t + WATER_HEAT * vapour
            faces[3], faces[4] = vapour, b_e
            faces[10], faces[11], faces[12], faces[13] = b_y, b_t, enthalpy * b_y, b_et
            r_m -= g * vapour
            r_e -= g * b_e
            d00 -= g * b_y
            d01 -= g * b_t
            d10 -= g * enthalpy * b_y
            d11 -= g * b_et
        # node i is whole: contents, then eliminate
        r_m += m_node - water[i]
        r_e += (c_node + WATER_HEAT * m_node) * t_left - heat[i]
        d00 += dm_node
        d10 += WATER_HEAT * dm_node * t_left
        d11 += c_node + WATER_HEAT * m_node
        work[i, 6], work[i, 7], work[i, 8] = m_node, dm_node, c_node
        a00 = d00 - (low00 * u00 + low01 * u10)
        a01 = d01 - (low00 * u01 + low01 * u11)
        a10 = d10 - (low10 * u00 + low11 * u10)
        a11 = d11 - (low10 * u01 + low11 * u11)
        s0 = -r_m - (low00 * z0 + low01 * z1)
        s1 = -r_e - (low10 * z0 + low11 * z1)
        per_det = 1.0 / (a00 * a11 - a01 * a10)
        u00, u01 = (a11 * n00 - a01 * n10) * per_det, (a11 * n01 - a01 * n11) * per_det
        u10, u11 = (a00 * n10 - a10 * n00) * per_det, (a00 * n11 - a10 * n01) * per_det
        z0, z1 = (a11 * s0 - a01 * s1) * per_det, (a00 * s1 - a10 * s0) * per_det
        work[i, 0], work[i, 1], work[i, 2], work[i, 3] = u00, u01, u10, u11
        work[i, 4], work[i, 5] = z0, z1
        if not last:
            low00, low01, low10, low11 = -g * m_y0, -g * gv_t0, -g * e_y0, -g * e_t0
            r_m, r_e = -g * m, -g * e
            d00, d01, d10, d11 = -n00, -n01, -n10, -n11
            m_node, dm_node, c_node = half * w1, half * dw1, half_heat
            t_left, p_left, py_left, pt_left = t_right, p_right, py_right, pt_right
            w0, dw0, l0, dl0, v0, dv0, k0, dk0 = w1, dw1, l1, dl1, v1, dv1, k1, dk1

    big_y = big_t = 0.0
    x0 = x1 = 0.0
    for i in range(count - 1, -1, -1):
        x0, x1 = (
            work[i, 4] - work[i, 0] * x0 - work[i, 1] * x1,
            work[i, 5] - work[i, 2] * x0 - work[i, 3] * x1,
        )
        work[i, 9], work[i, 10] = x0, x1
        big_y, big_t = max(big_y, abs(x0)), max(big_t, abs(x1))
    # fluxes at the new state, to first order: what the contents below really received
    last_node = count - 1
    y0, t0, y1, t1 = work[0, 9], work[0, 10], work[last_node, 9], work[last_node, 10]
    faces[0] += faces[5] * y0 + faces[6] * t0
    faces[1] += faces[7] * y0
    faces[2] += faces[8] * y0 + faces[9] * t0
    faces[3] += faces[10] * y1 + faces[11] * t1
    faces[4] += faces[12] * y1 + faces[13] * t1
    return big_y, big_t


@njit(cache=True, error_model="numpy")
def _stage(state: State, g: float, climate: Array, model: Model, scratch: Scratch, tolerance: float) -> int:
    """Solve one stage in place; afterwards ``water`` and ``heat`` are the new contents.

    Returns the Newton steps, or 0 if it did not come to rest.
    """
    y, t, water, heat, work = state.y, state.t, state.water, state.heat, scratch.work
    for newton in range(1, MOST_NEWTON + 1):
        big_y, big_t = newton_pass(state, g, climate, model, scratch)
        if not (big_y < 1e6 and big_t < 1e6):
            return 0
        if big_y < tolerance and big_t < KELVIN_PER_LN * tolerance:
            for i in range(y.shape[0]):
                dy, dt = work[i, 9], work[i, 10]
                m, dm, dry = work[i, 6], work[i, 7], work[i, 8]
                water[i] = m + dm * dy
                heat[i] = (
                    (dry + WATER_HEAT * m) * t[i] + WATER_HEAT * dm * t[i] * dy + (dry + WATER_HEAT * m) * dt
                )
                y[i] += dy
                t[i] += dt
            return newton
        for i in range(y.shape[0]):
            y[i] += min(max(work[i, 9], -LARGEST_LN_STEP), LARGEST_LN_STEP)
            t[i] += min(max(work[i, 10], -LARGEST_T_STEP), LARGEST_T_STEP)
    return 0


@njit(cache=True, error_model="numpy")
def _step(
    state: State, dt: float, climate: Array, model: Model, scratch: Scratch, tolerance: float, passed: Array
) -> tuple[int, float]:
    """One time step in place, both stages; ``passed`` gets what went through the faces.

    Returns the Newton steps (0: failed) and how much the two stages disagree [kg/m²]: the difference to
    the first-order rule that uses the first stage alone, heat counted as water.
    """
    water, heat, faces, known = state.water, state.heat, scratch.faces, scratch.known
    wrong = wrong_heat = 0.0
    one = _stage(state, GAMMA * dt, climate, model, scratch, tolerance)
    if not one:
        return 0, wrong
    for j in range(FACE_FLUXES):
        passed[j] = (1.0 - GAMMA) * dt * faces[j]
    ratio = (1.0 - GAMMA) / GAMMA
    for i in range(water.shape[0]):
        gain, gain_heat = water[i] - known[0, i], heat[i] - known[1, i]
        known[2, i], known[3, i] = known[0, i] + gain / GAMMA, known[1, i] + gain_heat / GAMMA
        water[i], heat[i] = known[0, i] + ratio * gain, known[1, i] + ratio * gain_heat
        state.y[i] += GUESS * (state.y[i] - known[4, i])
        state.t[i] += GUESS * (state.t[i] - known[5, i])
    two = _stage(state, GAMMA * dt, climate, model, scratch, tolerance)
    if not two:
        return 0, wrong
    for j in range(FACE_FLUXES):
        passed[j] += GAMMA * dt * faces[j]
    for i in range(water.shape[0]):
        wrong += abs(water[i] - known[2, i])
        wrong_heat += abs(heat[i] - known[3, i])
    return one + two, max(wrong, wrong_heat / HEAT_AS_WATER)


@njit(cache=True, error_model="numpy", nogil=True)
def march(
    state: State,
    model: Model,
    climate: Array,
    first: int,
    hours: int,
    parts: int,
    tolerance: float,
    allowed: float,
    watch: Array,
    every: int,
    seen: Array,
    profiles: Array,
    book: Array,
) -> int:
    """Go ``hours`` on from hour ``first`` of the climate (again from its start after its end), in place.

    Each hour is cut into ``parts`` equal steps, further where Newton does not come to rest or the stages of
    a step disagree by more than ``allowed``. After each hour ``seen`` gets T and φ of the watched nodes,
    after each ``every`` hours ``profiles`` y and T of all. Returns the hours done: fewer than asked if
    even the shortest step failed.
    """
    y, t, water, heat = state
    count = y.shape[0]
    scratch = Scratch(np.zeros((count, 11)), np.zeros(14), np.zeros((6, count)))
    known, passed = scratch.known, np.zeros(FACE_FLUXES)
    full = 3600.0 / parts
    dt = full
    for hour in range(hours):
        if hour == hours - 1:
            tolerance = min(tolerance, LAST_TOLERANCE)  # so that contents and carried contents agree
        left = 3600.0
        while left > 1e-6:
            dt = min(dt, left)
            known[0], known[1], known[4], known[5] = water, heat, y, t
            row = climate[(first + hour) % climate.shape[0]]
            newton, wrong = _step(state, dt, row, model, scratch, tolerance, passed)
            if not newton or (wrong > allowed and dt > SHORTEST_CONTROLLED):
                y[:], t[:], water[:], heat[:] = known[4], known[5], known[0], known[1]
                book[BOOK_REJECTED] += 1.0
                dt *= 0.25
                if dt < SHORTEST_STEP:
                    return hour
                continue
            for j in range(FACE_FLUXES):
                book[j] += passed[j]
            book[BOOK_WATER_PASSED] += abs(passed[0]) + abs(passed[1]) + abs(passed[3])
            book[BOOK_HEAT_PASSED] += abs(passed[2]) + abs(passed[4])
            book[BOOK_NEWTON] += newton
            book[BOOK_STEPS] += 1.0
            left -= dt
            dt = min(full, 4.0 * dt)
        for j in range(watch.shape[0]):
            seen[hour, j, 0] = t[watch[j]]
            seen[hour, j, 1] = exp(-exp(min(y[watch[j]], 50.0)))
        if (hour + 1) % every == 0:
            profiles[(hour + 1) // every, 0], profiles[(hour + 1) // every, 1] = y, t
    return hours
