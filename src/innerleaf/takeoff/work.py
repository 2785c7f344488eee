"""How much work a lining is: every operation by kind and wall, counted from what is set out and cut.

Of work done on the wall it is also counted how much lies above reach; cutting is done on the floor.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from innerleaf.layout.pieces import FACE, BoardPiece, Ring, Role, RunKind, WallPlan
from innerleaf.layout.reveals import kind_of
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import Operation
from innerleaf.practice.rates import Extra
from innerleaf.survey.wall import OpeningKind
from innerleaf.takeoff.count import COATS, JOINT_KINDS, SKIMMED, ring_area, sheet_area
from innerleaf.takeoff.model import Takeoff
from innerleaf.takeoff.notches import notches_of_ring

_TRACKS = (Role.FLOOR_TRACK, Role.HEAD_TRACK, Role.SIDE_TRACK)
_BEADS = (RunKind.CORNER_BEAD, RunKind.EDGE_BEAD, RunKind.MOVEMENT_BEAD)
_SEALS = (RunKind.SEALING_STRIP, RunKind.SEALANT, RunKind.MEMBRANE_LAP, RunKind.MEMBRANE_SEAL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """So much of one work of one kind in one wall, in the unit of the work (`practice.rates.UNITS`).

    ``above`` is the part of it above reach; ``heavy`` that of boarding in pieces too heavy for one person.
    """

    work: str
    kind: str
    wall: str
    amount: float
    above: float = 0.0
    heavy: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSize:
    """A wall as prices are shared out by: its face is what its boards cover, counted once."""

    wall: str
    room: str
    storey: str
    face_m2: float
    mass_t: float  # of the lining as built


@dataclass(frozen=True, slots=True)
class Work:
    """All the work of some walls, in order."""

    amounts: tuple[Amount, ...]
    sizes: tuple[WallSize, ...]


def work_of(
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    practice: Practice,
    *,
    reach_mm: float,
    one_lifts_kg: float,
    holds_from_mm: float,
) -> Work:
    """Count the work of walls; ``takeoff`` is of the same walls.

    Parameters
    ----------
    reach_mm : float
        Work above it is done on a platform. [mm]
    one_lifts_kg : float
        Pieces of board heavier than this take two persons. [kg]
    holds_from_mm : float
        A layer of the old wall thinner than this holds no anchor. [mm]
    """
    mass = {plan.wall.id: 0.0 for plan in plans}
    for line in takeoff.lines:
        for share in line.by_wall:
            part = share.quantity / line.quantity if line.quantity else 0.0
            mass[share.place] += line.mass_kg * part / 1000
    sums: dict[tuple[str, str, str], list[float]] = {}
    for plan in plans:
        for one in _of_wall(plan, practice, reach_mm, one_lifts_kg, holds_from_mm):
            _add(sums, one)
    for one in (*_bar_cuts(takeoff), *_board_cuts(takeoff)):
        _add(sums, one)
    for plan in plans:
        _add(sums, Amount(work=Extra.HANDLING, kind="", wall=plan.wall.id, amount=mass[plan.wall.id]))
    order = {plan.wall.id: number for number, plan in enumerate(plans)}
    amounts = tuple(
        Amount(work=work, kind=kind, wall=wall, amount=total, above=above, heavy=heavy)
        for (work, kind, wall), (total, above, heavy) in sorted(
            sums.items(), key=lambda entry: (entry[0][0], entry[0][1], order[entry[0][2]])
        )
        if total > 0
    )
    sizes = tuple(
        WallSize(
            wall=plan.wall.id,
            room=plan.wall.room,
            storey=plan.wall.storey,
            face_m2=_face_mm2(plan) / 1e6,
            mass_t=mass[plan.wall.id],
        )
        for plan in plans
    )
    return Work(amounts, sizes)


def _add(sums: dict[tuple[str, str, str], list[float]], one: Amount) -> None:
    entry = sums.setdefault((one.work, one.kind, one.wall), [0.0, 0.0, 0.0])
    for at, part in enumerate((one.amount, one.above, one.heavy)):
        entry[at] += part


def _of_wall(
    plan: WallPlan, practice: Practice, reach: float, one_lifts: float, holds_from: float
) -> Iterator[Amount]:
    wall = plan.wall.id
    yield Amount(work=Operation.SETTING_OUT, kind="", wall=wall, amount=plan.wall.length_mm / 1000)
    yield from _frame(plan, practice, reach, base_of(plan, holds_from))
    yield from _sheets(plan, practice, reach, one_lifts)
    yield from _runs(plan, reach)
    for hole in plan.penetrations:
        yield _placed(Operation.BOX, "", wall, 1.0, float(hole.y_mm > reach))
    finish, face = plan.wall.lining.finish, _seen(plan, reach)
    for area, share in face:
        yield _placed(Extra.SANDING, finish, wall, area if COATS[finish] else 0.0, share)
        yield _placed(Extra.SCREW_HEADS, "", wall, area * COATS[finish], share)
        yield _placed(Operation.SKIM, "", wall, area if finish in SKIMMED else 0.0, share)
    yield Amount(work=Extra.CLEARING, kind="", wall=wall, amount=_face_mm2(plan) / 1e6)


def _placed(work: str, kind: str, wall: str, amount: float, share: float) -> Amount:
    """An amount of which a share lies above reach."""
    return Amount(work=work, kind=kind, wall=wall, amount=amount, above=amount * share)


def _frame(plan: WallPlan, practice: Practice, reach: float, base: str) -> Iterator[Amount]:
    wall = plan.wall.id
    for bar in plan.bars:
        if bar.item in practice.consumables and practice.consumables[bar.item].unit == "piece":
            continue  # a plate, fixed with the member beside it
        work = Operation.TRACK if bar.role in _TRACKS else Operation.MEMBER
        share = _above(bar.ay_mm, bar.by_mm, reach)
        yield _placed(work, bar.role.value, wall, bar.length_mm / 1000, share)
    for bracket in plan.brackets:
        yield _placed(Operation.BRACKET, base, wall, 1.0, float(bracket.y_mm > reach))


def base_of(plan: WallPlan, holds_from_mm: float) -> str:
    """The material of the old wall that anchors hold in: the layer nearest the room that is thick enough."""
    layers = plan.wall.construction
    thick = [layer for layer in layers if layer.thickness_mm >= holds_from_mm]
    if thick:
        return thick[-1].material
    return max(layers, key=lambda layer: layer.thickness_mm).material if layers else "not known"


def _sheets(plan: WallPlan, practice: Practice, reach: float, one_lifts: float) -> Iterator[Amount]:
    wall = plan.wall.id
    for board in plan.boards:
        area, share = sheet_area(board) / 1e6, _ring_share(plan, board.plane, board.ring, reach)
        heavy = area if area * practice.boards[board.item].mass_kg_m2 > one_lifts else 0.0
        where = f"layer {board.layer}" if board.plane == FACE else kind_of(board.plane)
        yield Amount(
            work=Operation.BOARD,
            kind=f"{board.item}, {where}",
            wall=wall,
            amount=area,
            above=area * share,
            heavy=heavy,
        )
        if board.plane != FACE:
            yield _placed(Extra.REVEAL, kind_of(board.plane), wall, 1.0, share)
        yield Amount(work=Extra.NOTCH, kind="", wall=wall, amount=_notches(board))
        yield Amount(work=Extra.BOARD_CUT, kind="raked", wall=wall, amount=_rakes(board.ring))
    for slab in plan.slabs:
        item = practice.insulation[slab.item]
        share = _ring_share(plan, slab.plane, slab.ring, reach)
        yield _placed(Operation.INSULATION, slab.item, wall, ring_area(slab.ring) / 1e6, share)
        cuts = (slab.width_mm < item.width_mm) + (slab.length_mm < item.length_mm)
        yield Amount(work=Extra.INSULATION_CUT, kind=slab.item, wall=wall, amount=float(cuts))
    for strip in plan.membrane:
        area = strip.width_mm * strip.length_mm / 1e6
        yield _placed(Operation.MEMBRANE, strip.item, wall, area, _share_above(strip.ring, reach))


def _runs(plan: WallPlan, reach: float) -> Iterator[Amount]:
    """Joints and beads by metres and coats, as many coats as are put on; beads set, and everything sealed."""
    wall, last, coats = plan.wall.id, len(plan.wall.lining.boards), COATS[plan.wall.lining.finish]
    for run in plan.runs:
        share, metres = _above(run.ay_mm, run.by_mm, reach), run.length_mm / 1000
        hidden = 0 < run.layer < last and run.kind not in _BEADS
        if run.kind in JOINT_KINDS or run.kind in _BEADS:
            amount = metres * (min(coats, 1) if hidden else coats)
            yield _placed(Operation.JOINT, run.kind.value, wall, amount, share)
        if run.kind in _BEADS:
            yield _placed(Extra.BEAD, run.kind.value, wall, metres, share)
        if run.kind in _SEALS:
            yield _placed(Operation.SEALANT, run.kind.value, wall, metres, share)


def _bar_cuts(takeoff: Takeoff) -> Iterator[Amount]:
    """A saw cut for each piece that does not end with its bar, and one more for each skew end."""
    for bar in takeoff.bars:
        for number, piece in enumerate(bar.pieces, 1):
            whole = number == len(bar.pieces) and bar.remainder_mm == 0
            skew = (piece.skew_a_deg != 0) + (piece.skew_b_deg != 0)
            yield Amount(work=Extra.BAR_CUT, kind=bar.item, wall=piece.wall, amount=float(not whole))
            yield Amount(work=Extra.SKEW_CUT, kind=bar.item, wall=piece.wall, amount=float(skew))


def _board_cuts(takeoff: Takeoff) -> Iterator[Amount]:
    """The straight cuts of each board, shared among what is cut from it by area."""
    for board in takeoff.boards:
        straight = sum(not cut.sawn for cut in board.cuts)
        areas = [piece.width_mm * piece.length_mm for piece in board.pieces]
        for piece, area in zip(board.pieces, areas, strict=True):
            amount = straight * area / sum(areas)
            yield Amount(work=Extra.BOARD_CUT, kind="straight", wall=piece.wall, amount=amount)


def _notches(board: BoardPiece) -> float:
    return float(len(notches_of_ring(board.ring, board.holes)))


def _rakes(ring: Ring) -> float:
    sides = zip(ring, (*ring[1:], ring[0]), strict=True)
    return float(sum(a[0] != b[0] and a[1] != b[1] for a, b in sides))


def _face_mm2(plan: WallPlan) -> float:
    return sum(sheet_area(board) for board in plan.boards if board.plane == FACE and board.layer == 1)


def _seen(plan: WallPlan, reach: float) -> Iterator[tuple[float, float]]:
    """Boards that are seen in the end: area [m²] and the share of it above reach."""
    last = len(plan.wall.lining.boards)
    for board in plan.boards:
        if board.plane != FACE or board.layer == last:
            yield sheet_area(board) / 1e6, _ring_share(plan, board.plane, board.ring, reach)


def _ring_share(plan: WallPlan, plane: str, ring: Ring, reach: float) -> float:
    """The share of a piece above reach; what lies on a reveal goes by its opening, on a flank by its edge."""
    if plane == FACE:
        return _share_above(ring, reach)
    name, _, side = plane.rpartition(" ")
    opening = next((one for one in plan.wall.openings if one.id == name), None)
    if opening is None:
        number = name.removeprefix("edge ")
        corners = plan.wall.outline
        if not number.isdigit() or int(number) >= len(corners):
            return 0.0
        a, b = corners[int(number)], corners[(int(number) + 1) % len(corners)]
        return _above(a[1], b[1], reach)
    low, high = opening.sill_mm, opening.head_mm
    if side in ("head", "sill") and opening.kind != OpeningKind.NICHE:
        return float((high if side == "head" else low) > reach)
    return _above(low, high, reach)


def _share_above(ring: Ring, reach: float) -> float:
    """The share of a ring's area that lies above a height."""
    heights = [y for _, y in ring]
    if max(heights) <= reach:
        return 0.0
    if min(heights) >= reach:
        return 1.0
    kept: list[tuple[float, float]] = []
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if ay >= reach:
            kept.append((ax, ay))
        if (ay > reach) != (by > reach) and ay != by:
            kept.append((ax + (bx - ax) * (reach - ay) / (by - ay), reach))
    return ring_area(tuple(kept)) / ring_area(ring) if len(kept) > 2 else 0.0


def _above(ay: float, by: float, reach: float) -> float:
    """The share of a straight stretch that lies above a height."""
    low, high = min(ay, by), max(ay, by)
    if high <= reach:
        return 0.0
    return 1.0 if low >= reach else (high - reach) / (high - low)
