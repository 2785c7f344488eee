"""U of thousands of linings at once, each between guaranteed bounds, from families made once.

`quick_u` gives the U of the wall with its members (and brackets) at even pitch (and rise), `quick_bridges`
their psi and chi, `u_set_out` the U of a wall with so many metres of member and so many brackets. The bounds
hold the full solve of the same detail; the middle is far nearer to it than they are wide.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from innerleaf.design.buildup import Depth, Layer
from innerleaf.design.heat.assess import RSE, RSI, RSI_CORNER
from innerleaf.design.heat.details import Bridge, Steel
from innerleaf.design.heat.quick_family import AIR, AIR_RESISTANCE, BOARDS, OLD, SLAB, THICK, Build
from innerleaf.design.heat.quick_store import reduced_of
from innerleaf.errors import InputError
from innerleaf.physics.grid import Floats, Ints

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

_NONE = 1e-9  # a thinner layer is none [m]
_INNER, _MIDDLE = 0.015, 0.06  # slices of an old wall that is all one near its inner face [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Linings:
    """Lined walls on one steel, with brackets of one kind or none; one design per row.

    ``old``, ``behind``, ``frame`` and ``boards`` have shape (designs, layers, 2): thickness [m] and
    conductivity [W/(m·K)] of each layer, outside first, as in `Depth`; thickness 0 where a design has no such
    layer. ``pitch`` of the members and ``rise`` from bracket to bracket have shape (designs,). [m]
    """

    steel: Steel
    bridge: Bridge | None
    old: Floats
    behind: Floats
    frame: Floats
    boards: Floats
    pitch: Floats
    rise: Floats

    def __post_init__(self) -> None:
        count = len(self.pitch)
        for name in ("old", "behind", "frame", "boards"):
            layers = getattr(self, name)
            if layers.ndim != 3 or layers.shape[::2] != (count, 2):
                raise InputError(f"linings, {name}", given=layers.shape, accepted=f"({count}, layers, 2)")
            there = layers[..., 0] > _NONE
            wrong = ~np.isfinite(layers).all(axis=2) | (layers[..., 0] < 0) | (there & ~(layers[..., 1] > 0))
            if wrong.any():
                accepted = "thickness 0 m or more, conductivity above 0 W/(m·K)"
                raise InputError(f"linings, {name}", given=layers[wrong][0].tolist(), accepted=accepted)
        deep = self.frame[..., 0].sum(axis=1)
        if np.abs(deep - self.steel.depth).max(initial=0) > 1e-6:
            accepted = f"layers that make up the depth of the steel, {self.steel.depth} m"
            raise InputError(
                "linings, frame",
                given=float(deep[np.argmax(np.abs(deep - self.steel.depth))]),
                accepted=accepted,
            )

    def __len__(self) -> int:
        return len(self.pitch)

    @classmethod
    def of(
        cls,
        steel: Steel,
        depths: Sequence[Depth],
        pitch: ArrayLike,
        *,
        bridge: Bridge | None = None,
        rise: ArrayLike = 1.0,
    ) -> Linings:
        """From walls across their depth; ``pitch`` and ``rise`` are one for all or one for each."""

        def table(rows: Sequence[tuple[Layer, ...]]) -> Floats:
            made = np.zeros((len(rows), max(map(len, rows), default=0), 2))
            for row, layers in zip(made, rows, strict=True):
                row[: len(layers)] = [(layer.thickness, layer.conductivity) for layer in layers] or 0.0
            return made

        return cls(
            steel=steel,
            bridge=bridge,
            old=table([depth.old for depth in depths]),
            behind=table([depth.behind for depth in depths]),
            frame=table([depth.frame for depth in depths]),
            boards=table([depth.boards for depth in depths]),
            pitch=np.array(np.broadcast_to(np.asarray(pitch, float), len(depths))),
            rise=np.array(np.broadcast_to(np.asarray(rise, float), len(depths))),
        )

    @property
    def u_clear(self) -> Floats:
        """U clear of members. [W/(m²·K)]"""
        every = np.concatenate([self.old, self.behind, self.frame, self.boards], axis=1)
        conductivity = np.where(every[..., 0] > _NONE, every[..., 1], 1.0)
        return np.asarray(1 / (RSI + (every[..., 0] / conductivity).sum(axis=1) + RSE))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class QuickU:
    """Bounds on U [W/(m²·K)] and an estimate of fRsi, one entry per design."""

    low: Floats
    high: Floats
    frsi: Floats

    @property
    def middle(self) -> Floats:
        """The best estimate of U. [W/(m²·K)]"""
        return (self.low + self.high) / 2


def quick_u(linings: Linings) -> QuickU:
    """U of one pitch (framed), or of the cell round one bracket, per square metre.

    The first call for a way to build makes its family, which takes some seconds, and keeps it on disk.

    Parameters
    ----------
    linings : Linings
        Any mix of insulated and empty cavities; each way to build is one family.

    Returns
    -------
    QuickU
        Bounds of the same detail as `details.member_line` or `details.bracket_point`, surface resistances
        0.13 and 0.04. All layers count as they are but for an old wall beyond its inner two layers, boards of
        more than two conductivities, neighbouring slabs of several. These are merged: to one with the least
        and one with the greatest of their conductivities and the right resistance (or, where steel lies in
        them, the right thickness), which widens the bounds as far as needed. fRsi is for a surface
        resistance of 0.25 on the room side.

    Raises
    ------
    InputError
        A design outside the limits of the families; the message names the first and its parameter.
    """
    low, high, frsi = (np.zeros(len(linings)) for _ in range(3))
    for kind, rows, least, greatest in _by_family(linings):
        first, other = (_checked(kind, each, rows) for each in (least, greatest))
        reduced = reduced_of(kind)
        area = linings.pitch[rows] * (linings.rise[rows] / 4 if kind.bridge else 1.0)
        low[rows] = reduced.lower(first) / area
        high[rows] = reduced.upper(other)[0] / area
        cautious = first.copy()
        cautious[:, kind.names.index("room resistance")] = np.log(RSI_CORNER)
        frsi[rows] = reduced.upper(cautious)[1]
    return QuickU(low=low, high=high, frsi=frsi)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class QuickBridges:
    """Bounds on psi of a member [W/(m·K)] and chi of a bracket [W/K], and fRsi; one entry per design."""

    psi_low: Floats
    psi_high: Floats
    chi_low: Floats
    chi_high: Floats
    frsi: Floats


def quick_bridges(linings: Linings) -> QuickBridges:
    """What members and brackets add to the clear field, as `assess` and `assess_bracket` find it in full.

    chi is a difference of two bounded values, so its bounds lie further apart than its middle is from the
    truth. Without brackets it is 0.
    """
    line, clear = quick_u(replace(linings, bridge=None)), linings.u_clear
    point, cell = line, np.zeros(len(linings))
    if linings.bridge is not None:
        point, cell = quick_u(linings), linings.pitch * linings.rise
    return QuickBridges(
        psi_low=(line.low - clear) * linings.pitch,
        psi_high=(line.high - clear) * linings.pitch,
        chi_low=(point.low - line.high) * cell,
        chi_high=(point.high - line.low) * cell,
        frsi=np.minimum(line.frsi, point.frsi),
    )


def u_set_out(
    linings: Linings, *, area: ArrayLike, member_length: ArrayLike, brackets: ArrayLike = 0
) -> QuickU:
    """U of walls as set out: clear field, so many metres of member, so many brackets.

    As `heat.Heat.u_set_out`: U of the clear field, psi of a member at the designs' pitch, chi of a bracket at
    the designs' pitch and rise.

    Parameters
    ----------
    linings : Linings
    area, member_length, brackets : array_like
        Of the wall [m²], [m], pieces; one for all or one for each design. Or all of them per square metre.
    """
    per_area = 1 / np.asarray(area, float)
    share = linings.pitch * np.asarray(member_length, float) * per_area
    line, clear = quick_u(replace(linings, bridge=None)), linings.u_clear
    if linings.bridge is None:
        low, high = _mixed([(1 - share, clear, clear), (share, line.low, line.high)])
        return QuickU(low=low, high=high, frsi=line.frsi)
    cells = linings.pitch * linings.rise * np.asarray(brackets, float) * per_area
    point = quick_u(linings)
    low, high = _mixed(
        [
            (1 - share, clear, clear),
            (share - cells, line.low, line.high),
            (cells, point.low, point.high),
        ]
    )
    return QuickU(low=low, high=high, frsi=np.minimum(line.frsi, point.frsi))


def _mixed(parts: Sequence[tuple[Floats, Floats, Floats]]) -> tuple[Floats, Floats]:
    """Bounds of a sum of shares of bounded values; shares may be negative."""
    low = sum(np.where(share > 0, share * least, share * greatest) for share, least, greatest in parts)
    high = sum(np.where(share > 0, share * greatest, share * least) for share, least, greatest in parts)
    return np.asarray(low), np.asarray(high)


_Values = dict[str, Floats]


def _by_family(linings: Linings) -> Iterator[tuple[Build, Ints, _Values, _Values]]:
    """Designs by way to build: family, rows, and the parameters for the lower and for the upper bound."""
    layers = np.concatenate([linings.behind, linings.frame], axis=1)
    behind = linings.behind.shape[1]
    there = layers[..., 0] > _NONE
    resistance = layers[..., 0] / np.where(there, layers[..., 1], 1.0)
    kinds = np.where(there, np.where(resistance > AIR_RESISTANCE[1], 1, 2), 0)
    run = _runs(linings.boards)
    kinds = np.concatenate([kinds, np.minimum(run.max(axis=1), 1)[:, None]], axis=1)
    code = kinds @ 3 ** np.arange(kinds.shape[1])  # sorting whole rows would take longer than all the rest
    codes, first = np.unique(code, return_index=True)
    for this, (*pattern, more) in zip(codes, kinds[first].tolist(), strict=True):
        rows = np.flatnonzero(code == this)
        groups = [*_groups(pattern[:behind], 0), *_groups(pattern[behind:], behind)]
        of_behind = [group for group in groups if group[0] < behind]
        kind = Build(
            steel=linings.steel,
            bridge=linings.bridge,
            behind=tuple((SLAB, AIR)[pattern[group[0]] - 1] for group in of_behind),
            frame=tuple((SLAB, AIR)[pattern[group[0]] - 1] for group in groups[len(of_behind) :]),
            boards=1 + more,
        )
        slabs = _old_slabs(kind, linings.old[rows])
        for (name, _), group in zip(kind.lining, groups, strict=True):
            steel_inside = kind.bridge is not None or name.startswith("frame")
            slabs[name] = _merged(layers[rows[:, None], group], exact_thickness=steel_inside)
        for name, mine in zip(BOARDS[: kind.boards], (run[rows] == 0, run[rows] > 0), strict=False):
            boards = linings.boards[rows].copy()
            boards[~mine] = 0.0
            slabs[name] = _merged(boards, exact_thickness=False)
        least: _Values = {}
        greatest: _Values = {}
        for name, (thick, small, large) in slabs.items():
            for values, conductivity, d in ((least, small, thick[0]), (greatest, large, thick[1])):
                values[name], values[f"λ {name}"], values[f"R {name}"] = d, conductivity, d / conductivity
        for values in (least, greatest):
            values["pitch"], values["rise"] = linings.pitch[rows], linings.rise[rows]
            values["room resistance"] = np.full(len(rows), RSI)
        yield kind, rows, least, greatest


def _runs(boards: Floats) -> Ints:
    """How many boards before each conduct otherwise than the board before them."""
    run = np.zeros(boards.shape[:2], int)
    last = boards[:, 0, 1]
    for column in range(1, boards.shape[1]):
        there = boards[:, column, 0] > _NONE
        other = there & (np.abs(boards[:, column, 1] / last - 1) > 1e-9)
        run[:, column] = run[:, column - 1] + other
        last = np.where(there, boards[:, column, 1], last)
    return run


def _groups(pattern: Sequence[int], first: int) -> list[list[int]]:
    """Columns of layers that are there, neighbours of one kind together."""
    groups: list[list[int]] = []
    before = 0
    for column, kind in enumerate(pattern, first):
        if kind and kind == before:
            groups[-1].append(column)
        elif kind:
            groups.append([column])
        before = kind or before
    return groups


_Slab = tuple[tuple[Floats, Floats], Floats, Floats]


def _merged(layers: Floats, *, exact_thickness: bool) -> _Slab:
    """Thicknesses for both bounds, least and greatest conductivity of layers taken as one.

    A layer is as good as one c times as thick and conducting c times as well across and 1/c times along. So
    one of their resistance that conducts along at most (at least) as well as each bounds the heat from below
    (above). That does not hold where steel lies in them: there they keep their thickness.
    """
    d, conductivity = layers[..., 0], layers[..., 1]
    there = d > _NONE
    small = np.where(there, conductivity, np.inf).min(axis=1)
    large = np.where(there, conductivity, 0.0).max(axis=1)
    if exact_thickness:
        whole = d.sum(axis=1)
        return (whole, whole), small, large
    resistance = (d / np.where(there, conductivity, 1.0)).sum(axis=1)
    return (small * resistance, large * resistance), small, large


def _old_slabs(kind: Build, old: Floats) -> dict[str, _Slab]:
    """The old wall as three slabs: its inner layer, the next, the rest; or slices where these are one.

    With brackets the middle slab ends where the anchor does.
    """
    d = old[:, ::-1, 0]
    ends = np.cumsum(d, axis=1)
    begins, total = ends - d, ends[:, -1]

    def edge(start: Floats, slab: str, slice_: float) -> Floats:
        """Where a slab ends that starts there: at the end of a layer, if that suits its limits."""
        least, greatest = THICK[slab]
        suits = (ends >= start[:, None] + least) & (ends <= start[:, None] + greatest)
        found = np.where(suits, ends, np.inf).min(axis=1)
        room = total - THICK[OLD[0]][0]
        return np.where(found <= room, found, np.minimum(start + slice_, room))

    inner = edge(np.zeros(len(old)), OLD[2], _INNER)
    if kind.bridge is None:
        middle = edge(inner, OLD[1], _MIDDLE)
    else:
        middle = np.full(len(old), kind.bridge.anchor_depth)
    slabs = {}
    for name, begin, end in (
        (OLD[2], np.zeros(len(old)), inner),
        (OLD[1], inner, middle),
        (OLD[0], middle, total),
    ):
        within = np.minimum(ends, end[:, None]) - np.maximum(begins, begin[:, None])
        part = np.stack([np.maximum(within, 0.0), old[:, ::-1, 1]], axis=-1)
        slabs[name] = _merged(part, exact_thickness=kind.bridge is not None and name != OLD[0])
    return slabs


def _checked(kind: Build, values: _Values, rows: Ints) -> Floats:
    """Parameters of a family, shape (designs, parameters)."""
    for name in kind.names:
        low, high = kind.limits(name)
        outside = ~((values[name] >= low * (1 - 1e-9)) & (values[name] <= high * (1 + 1e-9)))
        if outside.any():
            at = int(np.argmax(outside))
            unit = {"λ": "W/(m·K)", "R": "m²·K/W", "room": "m²·K/W"}.get(name.split()[0], "m")
            accepted = f"{low:g} to {high:g} {unit}, or solve it in full"
            raise InputError(
                f"design {rows[at] + 1}, {name}", given=float(values[name][at]), accepted=accepted
            )
    chosen = np.stack([np.clip(values[name], *kind.limits(name)) for name in kind.names], axis=1)
    return np.asarray(np.log(chosen))
