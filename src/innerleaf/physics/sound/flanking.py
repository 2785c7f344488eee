"""Sound from room to room: through the separating wall and round it, by ISO 12354-1.

Sound goes straight through the wall (path Dd) and along each flanking element: in and out by the flank (Ff),
in by the flank and out by the wall (Fd), in by the wall and out by the flank (Df). Small letters are the
receiving room. Values come in one of two forms: with one number each, the weighted indices of the simplified
model; with one per third-octave band, the detailed model.

Formulas as in EN 12354-1:2000, clauses 4.2 and 4.4; read second-hand, and reproducing its annex H.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from innerleaf.errors import InputError
from innerleaf.physics.sound.annex_d import both_sides
from innerleaf.physics.sound.bands import bands_of
from innerleaf.physics.sound.energies import shares, together, weighted
from innerleaf.physics.sound.junctions import Kind, junction_indices, least_index

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Values = NDArray[np.float64]

Route = Literal["Dd", "Ff", "Fd", "Df"]
Side = Literal["source", "receiving", "both"]

STANDARD_DEVIATION: Final = 2.0  # of R'w by the simplified model: EN 12354-1:2000 clause 5 [dB]
_ROOM: Final = 0.32  # 0.16/T0 with T0 = 0.5 s: ISO 16283-1, DnT from R' [1/m]
# What a lining on a side of the separating wall acts on.
_TOUCHED: Final[dict[Side, tuple[Route, ...]]] = {
    "source": ("Dd", "Df"),
    "receiving": ("Dd", "Fd"),
    "both": ("Dd", "Fd", "Df"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """A flanking wall, floor or ceiling as it meets one of the rooms.

    ``r`` and ``improvement`` (by a lining on the room's side) have one value or one per band; a single
    improvement holds for all bands. ``absorption_length`` only counts with bands; None stands for a light or
    strongly damped element, area/1 m. [dB, m², m]
    """

    name: str
    r: tuple[float, ...]
    area: float
    improvement: tuple[float, ...] = (0.0,)
    absorption_length: tuple[float, ...] | None = None

    def __post_init__(self) -> None:
        _check_values(self.name, self.r, self.improvement, self.absorption_length)
        _check_size(f"{self.name}, area", self.area)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeparatingWall:
    """The wall between the rooms, with what linings on either side improve; otherwise as `Element`."""

    name: str
    r: tuple[float, ...]
    area: float
    on_source_side: tuple[float, ...] = (0.0,)
    on_receiving_side: tuple[float, ...] = (0.0,)
    absorption_length: tuple[float, ...] | None = None

    def __post_init__(self) -> None:
        _check_values(self.name, self.r, self.on_source_side, self.absorption_length)
        _check_values(self.name, self.r, self.on_receiving_side, None)
        _check_size(f"{self.name}, area", self.area)

    def as_element(self, room: Literal["source", "receiving"]) -> Element:
        """The wall as one of the rooms sees it."""
        improvement = self.on_source_side if room == "source" else self.on_receiving_side
        return Element(
            name=self.name,
            r=self.r,
            area=self.area,
            improvement=improvement,
            absorption_length=self.absorption_length,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Junction:
    """Where the separating wall meets a flank: its length, the flank in either room, Kij along each route.

    Kij have one value or one per band. [m, dB]
    """

    name: str
    length: float
    source: Element
    receiving: Element
    k_ff: tuple[float, ...]
    k_fd: tuple[float, ...]
    k_df: tuple[float, ...]

    def __post_init__(self) -> None:
        _check_size(f"{self.name}, length", self.length)


def joined(
    kind: Kind,
    *,
    wall_mass: float,
    flank_mass: float,
    length: float,
    source: Element,
    receiving: Element | None = None,
    bands: Sequence[int] = (),
) -> Junction:
    """A junction of a usual kind, Kij by the masses of wall and flank (see `junction_indices`).

    Parameters
    ----------
    wall_mass, flank_mass : float
        Without linings. [kg/m²]
    length : float
        [m]
    source, receiving : Element
        The flank in either room; left out, it is the same in the receiving room.
    bands : sequence of int
        Of the detailed model; none for single numbers, with Kij at 500 Hz. [Hz]
    """
    frequency = {"frequency": np.array(bands, float)} if len(bands) else {}
    k = junction_indices(kind, wall_mass=wall_mass, flank_mass=flank_mass, **frequency)
    turning = tuple(np.atleast_1d(k.flank_wall).tolist())
    return Junction(
        name=source.name,
        length=length,
        source=source,
        receiving=source if receiving is None else receiving,
        k_ff=tuple(np.atleast_1d(k.flank_flank).tolist()),
        k_fd=turning,
        k_df=turning,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """One way of the sound: ``r`` with its linings, by band or weighted [dB]; share of what arrives [%]."""

    route: Route
    along: str
    r: tuple[float, ...]
    share: float

    def __str__(self) -> str:
        return f"{self.along} ({self.route})"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomToRoom:
    """Sound insulation between two rooms.

    ``r`` is R' by band, or R'w alone in the simplified model; ``rw`` is R'w in tenths, as compared and not as
    declared; ``bands`` is empty in the simplified model. [dB, Hz]
    """

    r: tuple[float, ...]
    rw: float
    paths: tuple[Path, ...]
    area: float
    bands: tuple[int, ...] = ()
    standard_deviation: float = STANDARD_DEVIATION

    @property
    def limiting(self) -> Path:
        """The path that carries most."""
        return max(self.paths, key=lambda path: path.share)

    def rating_of(self, path: Path) -> float:
        """Weighted index of one path, in tenths. [dB]"""
        return weighted(path.r, self.bands)

    def passing_by(self, side: Side) -> tuple[Path, ...]:
        """Paths that a lining on this side of the separating wall does not touch."""
        return tuple(path for path in self.paths if path.route not in _TOUCHED[side])

    def standardized(self, volume: float) -> float:
        """DnT,w of a receiving room of this volume [m³]: R'w + 10 lg(0.32 V/S). [dB]"""
        _check_size("receiving room, volume", volume)
        return self.rw + 10 * float(np.log10(_ROOM * volume / self.area))

    def at_best(self, side: Side) -> float:
        """R'w if a lining on this side of the separating wall were perfect; infinite without flanks. [dB]"""
        left = self.passing_by(side)
        return weighted(together([path.r for path in left]), self.bands) if left else np.inf


def room_to_room(
    wall: SeparatingWall, junctions: Sequence[Junction], bands: Sequence[int] | None = None
) -> RoomToRoom:
    """Sound insulation between two rooms, with the share of every path.

    Parameters
    ----------
    wall : SeparatingWall
    junctions : sequence of Junction
        Usually four. Flanks whose R is larger by far may be left out.
    bands : sequence of int, optional
        Of values by band; left out, their number says (see `bands_of`). [Hz]

    Returns
    -------
    RoomToRoom
        Shares are of the sound energy; by band, of that of spectrum 1 of ISO 717-1 (living noise, A-weighted)
        from 100 to 3150 Hz.

    Raises
    ------
    InputError
        Values with and without bands mixed, or bands that cannot be rated.

    Notes
    -----
    One value each: R = (Ri + Rj)/2 + ΔR + Kij + 10 lg(S/(l0 l)), linings together by `both_sides`, Kij not
    below Kij,min. By band: R = (Ri + Rj)/2 + ΔRi + ΔRj + Dv + 10 lg(S/√(Si Sj)) with
    Dv = Kij - 10 lg(l/√(ai aj)), not below 0.

    Examples
    --------
    A wall of Rw 57, a floor of Rw 49 that goes through:

    >>> floor = Element(name="floor", r=(49.0,), area=20.0)
    >>> wall = SeparatingWall(name="wall", r=(57.0,), area=11.5)
    >>> edge = Junction(
    ...     name="floor", length=4.5, source=floor, receiving=floor, k_ff=(12.4,), k_fd=(8.9,), k_df=(8.9,)
    ... )
    >>> answer = room_to_room(wall, [edge])
    >>> [(str(path), round(path.r[0], 1), round(path.share)) for path in answer.paths]
    [('wall (Dd)', 57.0, 72), ('floor (Ff)', 65.5, 10), ('floor (Fd)', 66.0, 9), ('floor (Df)', 66.0, 9)]
    >>> round(answer.rw, 1), round(answer.at_best("both"), 1)
    (55.6, 65.5)
    """
    by_band = len(wall.r) > 1
    own = bands_of(wall.r, bands) if by_band else ()
    source, receiving = wall.as_element("source"), wall.as_element("receiving")
    gain = _gains(source, receiving, by_band=by_band)
    found: list[tuple[Route, str, Values]] = [("Dd", wall.name, np.asarray(wall.r) + gain)]
    for junction in junctions:
        routes: tuple[tuple[Route, Element, Element, tuple[float, ...]], ...] = (
            ("Ff", junction.source, junction.receiving, junction.k_ff),
            ("Fd", junction.source, receiving, junction.k_fd),
            ("Df", source, junction.receiving, junction.k_df),
        )
        for route, one, other, k in routes:
            _check_forms(junction, one, other, k, values=len(wall.r))
            along = _by_band if by_band else _weighted_alone
            r = along(one, other, np.asarray(k), junction.length, wall.area)
            found.append((route, junction.name, r))
    insulations = [tuple(float(value) for value in r) for _, _, r in found]
    total = together(insulations)
    return RoomToRoom(
        r=total,
        rw=weighted(total, own),
        paths=tuple(
            Path(route=route, along=name, r=r, share=share)
            for (route, name, _), r, share in zip(found, insulations, shares(insulations, own), strict=True)
        ),
        area=wall.area,
        bands=own,
    )


def _weighted_alone(one: Element, other: Element, k: Values, length: float, area: float) -> Values:
    """A flanking path by weighted indices: EN 12354-1:2000 4.4.2, (28)."""
    index = np.maximum(k, least_index(length, one.area, other.area))
    mean = (np.asarray(one.r) + np.asarray(other.r)) / 2
    return np.asarray(mean + _gains(one, other, by_band=False) + index + 10 * np.log10(area / length))


def _by_band(one: Element, other: Element, k: Values, length: float, area: float) -> Values:
    """A flanking path by bands: EN 12354-1:2000 4.2.2, (16) and (21)."""
    lengths = _absorption(one) * _absorption(other)
    difference = np.maximum(k - 10 * np.log10(length / np.sqrt(lengths)), 0.0)
    mean = (np.asarray(one.r) + np.asarray(other.r)) / 2
    spread = 10 * np.log10(area / np.sqrt(one.area * other.area))
    return np.asarray(mean + _gains(one, other, by_band=True) + difference + spread)


def _gains(one: Element, other: Element, *, by_band: bool) -> Values:
    if by_band:
        summed: Values = np.asarray(one.improvement, float) + np.asarray(other.improvement, float)
        return summed
    return both_sides(one.improvement, other.improvement)


def _absorption(element: Element) -> Values:
    return np.asarray((element.area,) if element.absorption_length is None else element.absorption_length)


def _check_values(
    name: str, r: tuple[float, ...], improvement: tuple[float, ...], absorption: tuple[float, ...] | None
) -> None:
    if not r or not np.all(np.isfinite(r)):
        raise InputError(f"{name}, r", given=r, accepted="one finite value, or one per band [dB]")
    if len(improvement) not in (1, len(r)) or not np.all(np.isfinite(improvement)):
        accepted = f"1 or {len(r)} finite values [dB]"
        raise InputError(f"{name}, improvement by a lining", given=improvement, accepted=accepted)
    if absorption is None:
        return
    if len(absorption) not in (1, len(r)) or not all(0 < value < np.inf for value in absorption):
        accepted = f"1 or {len(r)} values above 0, finite [m]"
        raise InputError(f"{name}, absorption length", given=absorption, accepted=accepted)


def _check_size(field: str, given: float) -> None:
    if not 0 < given < np.inf:
        raise InputError(field, given=given, accepted="above 0, finite")


def _check_forms(
    junction: Junction, one: Element, other: Element, k: tuple[float, ...], *, values: int
) -> None:
    for element in (one, other):
        if len(element.r) != values:
            accepted = f"{values} values, as many as of the separating wall"
            raise InputError(f"{element.name}, r", given=len(element.r), accepted=accepted)
    if len(k) not in (1, values) or not np.all(np.isfinite(k)):
        accepted = f"1 or {values} finite values [dB]"
        raise InputError(f"junction {junction.name}, Kij", given=k, accepted=accepted)
