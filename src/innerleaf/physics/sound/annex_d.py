"""What a lining improves by the estimate of ISO 12354-1:2017 annex D, with the places where it does not hold.

A check beside the prediction from the layers, for single numbers only. The formulas were read second-hand, in
as typed out from the standard.

The estimate knows linings that move freely: on studs that do not touch the wall, or held by an insulating
layer. Where the frame is fixed to the wall its answer is far too high (6 dB on a measured block wall), so
`Estimate.gain_to_promise` gives none there.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log10
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.bands import third_bands_of

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

Variant = Literal["band", "exact"]

_AIR_SPRING: Final = 0.111e6  # D.2: stiffness of an absorbing cavity of 1 m, times its depth [N/m²]
_LEAST_RESISTIVITY: Final = 5e3  # D.2: of the absorber in the cavity [Pa·s/m²]
_WALLS: Final = (20.0, 60.0)  # table D.1: Rw of the bare wall [dB]
_BANDS: Final = (31.5, 5000.0)  # table D.1: bands of f0 [Hz]
_LAST_GAIN: Final = 160.0  # table D.1: the last band of f0 with an improvement [Hz]
_STUDS_WALL: Final = (250.0, 450.0)  # D.7 says "about 350": within 100, common practice, no source [kg/m²]

# Table D.1 above 160 Hz: improvement from each band on. The print gives 1600 Hz twice: the lower is taken.
_STEP_BANDS: Final = (200, 250, 315, 400, 500, 630, 2000)
_STEPS: Final = (-1.0, -3.0, -5.0, -7.0, -9.0, -10.0, -5.0)


def resonance_on_layer(stiffness: ArrayLike, m1: ArrayLike, m2: ArrayLike) -> NDArray[np.float64]:
    """Resonance f0 of a lining held by an insulating layer without studs. [Hz]

    Parameters
    ----------
    stiffness : array_like
        Dynamic stiffness of the layer per area. [N/m³]
    m1, m2 : array_like
        Mass of the bare wall and of the lining. [kg/m²]

    Raises
    ------
    InputError
        A value not above 0 or not finite.

    References
    ----------
    ISO 12354-1:2017 (D.1): f0 = (1/2π) √(s'(1/m1 + 1/m2)).

    Examples
    --------
    >>> round(float(resonance_on_layer(8e6, 300, 10)), 1)
    144.7
    """
    s = _above_zero("dynamic stiffness of the layer [N/m³]", stiffness)
    one, two = _above_zero("mass of the wall [kg/m²]", m1), _above_zero("mass of the lining [kg/m²]", m2)
    f0: NDArray[np.float64] = np.sqrt(s * (1 / one + 1 / two)) / (2 * np.pi)
    return f0


def resonance_on_cavity(depth: ArrayLike, m1: ArrayLike, m2: ArrayLike) -> NDArray[np.float64]:
    """Resonance f0 of a lining on studs that do not touch the wall, cavity with porous absorber. [Hz]

    Parameters
    ----------
    depth : array_like
        Of the cavity. [m]
    m1, m2 : array_like
        Mass of the bare wall and of the lining. [kg/m²]

    References
    ----------
    ISO 12354-1:2017 (D.2), which prints 160 for 1000/2π (0.5 % more).

    Examples
    --------
    >>> round(float(resonance_on_cavity(0.05, 300, 8.5)), 1)
    82.5
    """
    return resonance_on_layer(_AIR_SPRING / _above_zero("depth of the cavity [m]", depth), m1, m2)


def table_d1(f0: ArrayLike, rw: ArrayLike, variant: Variant = "band") -> NDArray[np.float64]:
    """Improvement of Rw by a lining on a wall or floor. [dB]

    Parameters
    ----------
    f0 : array_like
        Resonance, in the bands 31.5 to 5000 Hz. [Hz]
    rw : array_like
        Weighted reduction index of the bare wall, 20 to 60 dB. [dB]
    variant : "band" or "exact"
        Whether f0 goes into the formula as its third-octave band, as the clause on rounding says, or as it
        is, as the worked building of annex L does. The steps above 160 Hz go by bands in both.

    Raises
    ------
    InputError
        f0 outside the table, or a value not finite.

    References
    ----------
    ISO 12354-1:2017 table D.1: 74.4 - 20 lg f0 - Rw/2, not below 0, up to 160 Hz.

    Examples
    --------
    >>> table_d1([82.5, 228.8], 53.0).round(1).tolist(), table_d1(82.5, 53.0, "exact").round(1).tolist()
    ([9.8, -3.0], 9.6)
    """
    bare = np.asarray(rw, float)
    if not np.all(np.isfinite(bare)):
        raise InputError("Rw of the bare wall", given=rw, accepted="a finite number [dB]")
    bands = third_bands_of(f0)
    if not np.all((bands >= _BANDS[0]) & (bands <= _BANDS[1])):
        raise InputError("resonance of the lining", given=f0, accepted="in the bands 31.5 to 5000 Hz")
    in_formula = bands if variant == "band" else np.asarray(f0, float)
    rising = np.maximum(74.4 - 20 * np.log10(in_formula) - bare / 2, 0)
    step = np.searchsorted(_STEP_BANDS, bands, side="right") - 1
    improvement: NDArray[np.float64] = np.where(bands > _LAST_GAIN, np.array(_STEPS)[step], rising)
    return improvement


# (D.7), (D.3), (D.4): constant and factor of lg f0 for Rw, Rw + C, Rw + Ctr; least value. [dB]
Kind = Literal["studs", "mineral wool glued", "foam glued"]
_SLOPES: Final[dict[Kind, tuple[tuple[tuple[float, float], ...], float]]] = {
    "studs": (((48.0, 20.0), (51.0, 22.0), (54.0, 24.0)), -4.0),
    "mineral wool glued": (((82.5, 36.0), (92.0, 42.0), (87.7, 39.0)), -4.0),
    "foam glued": (((76.0, 33.0), (74.0, 33.0), (77.0, 36.0)), -3.0),
}
# (D.5): with 4 to 10 anchors per m². [-, dB]
_ANCHORED: Final = ((0.66, 1.2), (0.62, 1.3), (0.54, 1.6))


def on_heavy_wall(f0: ArrayLike, kind: Kind = "studs") -> NDArray[np.float64]:
    """Improvements of Rw, Rw + C and Rw + Ctr of a heavy wall (about 350 kg/m²). [dB]

    Parameters
    ----------
    f0 : array_like, shape (...)
        Resonance. [Hz]
    kind : "studs", "mineral wool glued" or "foam glued"
        Boards on studs that are not fixed to the wall; plaster on insulation that is glued to it.

    Returns
    -------
    ndarray, shape (..., 3)

    References
    ----------
    ISO 12354-1:2017 (D.7) for studs, (D.3) for mineral wool, (D.4) for foams.

    Examples
    --------
    >>> on_heavy_wall(82.48).round(2).tolist()
    [9.67, 8.84, 8.01]
    """
    slopes, least = _SLOPES[kind]
    constant, factor = np.array(slopes).T
    decades = np.log10(_above_zero("resonance of the lining [Hz]", f0))[..., np.newaxis]
    improvements: NDArray[np.float64] = np.maximum(constant - factor * decades, least)
    return improvements


def anchored(improvements: ArrayLike) -> NDArray[np.float64]:
    """Improvements of `on_heavy_wall` when the insulation is anchored as well, 4 to 10 per m². [dB]

    References
    ----------
    ISO 12354-1:2017 (D.5).
    """
    factor, loss = np.array(_ANCHORED).T
    return np.asarray(np.asarray(improvements, float) * factor - loss)


def glued_in_part(improvements: ArrayLike, glued_percent: float) -> NDArray[np.float64]:
    """Improvements of `on_heavy_wall` when another part of the area than 40 % is glued. [dB]

    References
    ----------
    ISO 12354-1:2017 (D.6): 0.05 dB less for each per cent more.
    """
    if not 0 < glued_percent <= 100:
        raise InputError("glued part of the area", given=glued_percent, accepted="above 0 to 100 %")
    return np.asarray(improvements, float) - 0.05 * glued_percent + 2.0


def in_situ(improvement: float, f0: float, rw_situ: float) -> float:
    """Improvement measured on the laboratory's heavy wall, carried to another wall; doubtful. [dB]

    No worked example of the formula exists. With f0 at 50 Hz it moves a value by up to 12 dB, so it
    should decide nothing.

    References
    ----------
    ISO 12354-1:2017 (D.8): + (1.35 lg f0 - 3.5) X with X = Rw,situ - 53 held to -10 and 7, the factor at 0.

    Examples
    --------
    >>> round(in_situ(10.0, 80.0, 48.0), 1)
    14.7
    """
    factor = min(1.35 * log10(float(_above_zero("resonance of the lining [Hz]", f0))) - 3.5, 0.0)
    return improvement + factor * min(max(rw_situ - 53.0, -10.0), 7.0)


def both_sides(one: ArrayLike, other: ArrayLike) -> NDArray[np.float64]:
    """Improvement of the weighted index by linings on two sides or of two elements of a path. [dB]

    References
    ----------
    EN 12354-1:2000 formulas (30), (31): the larger and half of the smaller.

    Examples
    --------
    >>> float(both_sides(14.0, 14.0)), float(both_sides(4.0, 10.0))
    (21.0, 12.0)
    """
    larger: NDArray[np.float64] = np.maximum(one, other) + np.minimum(one, other) / 2
    return larger


def bound_by_lines(spacing: ArrayLike, critical_frequency: ArrayLike) -> NDArray[np.float64]:
    """The most that a lining fixed to the wall along studs can improve. [dB]

    Parameters
    ----------
    spacing : array_like
        Of the studs. [m]
    critical_frequency : array_like
        Of the lining's board. [Hz]

    References
    ----------
    B. H. Sharp, quoted by T. E. Vigran, Building Acoustics, 2008, eq. 8.26: 10 lg(b fc) - 23.

    Examples
    --------
    >>> round(float(bound_by_lines(0.6, 2900.0)), 1)
    9.4
    """
    b, fc = _above_zero("spacing of the studs [m]", spacing), _above_zero("fc [Hz]", critical_frequency)
    return np.asarray(10 * np.log10(b * fc) - 23)


def bound_by_points(spacing: ArrayLike, critical_frequency: ArrayLike) -> NDArray[np.float64]:
    """The most that a lining fixed to the wall at points can improve. [dB]

    Parameters
    ----------
    spacing : array_like
        Of the fixings in both directions. [m]
    critical_frequency : array_like
        Of the lining's board. [Hz]

    References
    ----------
    B. H. Sharp, from memory: 20 lg(e fc) - 45.
    """
    e, fc = _above_zero("spacing of the fixings [m]", spacing), _above_zero("fc [Hz]", critical_frequency)
    return np.asarray(20 * np.log10(e * fc) - 45)


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """What one lining improves by annex D.

    ``delta_rw`` is by table D.1 with f0 as its band; ``delta_rw_exact`` with f0 as it is; ``on_studs`` by
    (D.7), None for a lining on a layer. ``does_not_hold`` gives the reasons why the estimate does not apply;
    empty if it does. [Hz, dB]
    """

    f0: float
    band: float
    delta_rw: float
    delta_rw_exact: float
    on_studs: float | None
    does_not_hold: tuple[str, ...]
    working: tuple[str, ...]

    @property
    def gain_to_promise(self) -> float:
        """The least of the variants; no gain where the estimate does not hold, but a loss stays."""
        found = [self.delta_rw, self.delta_rw_exact, *([] if self.on_studs is None else [self.on_studs])]
        return min(*found, 0.0) if self.does_not_hold else min(found)


def estimate_on_studs(
    *, m1: float, m2: float, depth: float, rw: float, rigid: bool, resistivity: float
) -> Estimate:
    """Estimate a lining on studs in front of a wall, cavity filled with absorber.

    Parameters
    ----------
    m1, m2 : float
        Mass of the bare wall and of the boards. [kg/m²]
    depth : float
        From wall to boards. [m]
    rw : float
        Of the bare wall. [dB]
    rigid : bool
        Whether brackets, battens or screws join the frame to the wall.
    resistivity : float
        Airflow resistivity of what fills the cavity; 0 if nothing does. [Pa·s/m²]

    Examples
    --------
    >>> free = estimate_on_studs(m1=300, m2=8.5, depth=0.05, rw=53, rigid=False, resistivity=6e3)
    >>> round(free.f0, 1), free.band, round(free.delta_rw, 1), round(free.delta_rw_exact, 1)
    (82.5, 80.0, 9.8, 9.6)
    >>> fixed = estimate_on_studs(m1=300, m2=8.5, depth=0.05, rw=53, rigid=True, resistivity=6e3)
    >>> fixed.does_not_hold[0], fixed.gain_to_promise
    ('the frame is fixed to the wall: (D.2) is for studs that do not touch it', 0.0)
    """
    reasons = []
    if rigid:
        reasons.append("the frame is fixed to the wall: (D.2) is for studs that do not touch it")
    if not resistivity >= _LEAST_RESISTIVITY:
        reasons.append(f"the cavity has no absorber of 5 kPa·s/m² or more (given {resistivity / 1000:g})")
    f0 = float(resonance_on_cavity(depth, m1, m2))
    line = f"f0 = (1/2π)·√(0.111e6/{depth:g}·(1/{m1:g} + 1/{m2:g})) = {f0:.1f} Hz (D.2)"
    studs = float(on_heavy_wall(f0)[0])
    working = [line, f"(D.7): 48 - 20·lg {f0:.1f} = {studs:.1f} dB"]
    if not _STUDS_WALL[0] <= m1 <= _STUDS_WALL[1]:
        working.append(f"(D.7) is for walls of about 350 kg/m²; this one has {m1:g}")
    return _estimate(f0, rw, studs, reasons, working)


def estimate_on_layer(*, m1: float, m2: float, stiffness: float, rw: float) -> Estimate:
    """Estimate a lining that an insulating layer holds, without studs.

    Parameters
    ----------
    m1, m2 : float
        Mass of the bare wall and of the lining. [kg/m²]
    stiffness : float
        Dynamic stiffness of the layer per area. [N/m³]
    rw : float
        Of the bare wall. [dB]
    """
    f0 = float(resonance_on_layer(stiffness, m1, m2))
    line = f"f0 = (1/2π)·√({stiffness:g}·(1/{m1:g} + 1/{m2:g})) = {f0:.1f} Hz (D.1)"
    return _estimate(f0, rw, None, [], [line])


def _estimate(f0: float, rw: float, studs: float | None, reasons: list[str], working: list[str]) -> Estimate:
    held = float(np.clip(f0, 30.0, 5000.0))
    if held != f0:
        reasons.append(f"f0 {f0:.0f} Hz lies outside table D.1, which ends at {held:g} Hz")
    band = float(third_bands_of(held))
    if band > _LAST_GAIN:
        reasons.append(f"f0 {f0:.0f} Hz lies in the band {band:g} Hz, above 160 Hz: no gain")
    if not _WALLS[0] <= rw <= _WALLS[1]:
        reasons.append(f"Rw {rw:g} dB of the bare wall lies outside the 20 to 60 dB of table D.1")
    by_band, exact = float(table_d1(held, rw)), float(table_d1(held, rw, "exact"))
    working += [
        f"table D.1 with f0 in its band {band:g} Hz and Rw {rw:g}: {by_band:.1f} dB",
        f"table D.1 with f0 as it is: {exact:.1f} dB",
    ]
    return Estimate(
        f0=f0,
        band=band,
        delta_rw=by_band,
        delta_rw_exact=exact,
        on_studs=studs,
        does_not_hold=tuple(reasons),
        working=tuple(working),
    )


def _above_zero(field: str, given: ArrayLike) -> NDArray[np.float64]:
    values = np.asarray(given, float)
    if not np.all(np.isfinite(values) & (values > 0)):
        raise InputError(field, given=given, accepted="above 0, finite")
    return values
