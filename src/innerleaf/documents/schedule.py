"""Schedules of one wall: its pieces grouped as a cutter or a fitter wants them, as plain tables."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from innerleaf.documents.view import short
from innerleaf.layout.pieces import FACE, FLANK, BoardPiece, BracketPlace, WallPlan
from innerleaf.layout.reveals import kind_of
from innerleaf.survey.wall import InsulationPlace

Cell = str | float | int


@dataclass(frozen=True, slots=True)
class Table:
    """A titled table; columns named in ``right`` hold figures and stand to the right.

    A line is drawn above the rows numbered in ``ruled``; a cell may hold line breaks.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    right: tuple[str, ...] = ()
    ruled: tuple[int, ...] = ()


def mark_ranges(marks: Iterable[str]) -> str:
    """Marks in short: runs of consecutive numbers by their first and last.

    >>> mark_ranges(["S01", "S02", "S03", "S07", "T1"])
    'S01–S03, S07, T1'
    """
    parts: list[tuple[str, str, int, str]] = []  # first, last, last's number, what surrounds the number
    for mark in marks:
        match = re.fullmatch(r"(.*?)(\d+)(\D*)", mark)
        around = f"{match[1]}|{match[3]}" if match else mark
        number = int(match[2]) if match else 0
        if match and parts and parts[-1][3] == around and parts[-1][2] + 1 == number:
            parts[-1] = (parts[-1][0], mark, number, around)
        else:
            parts.append((mark, mark, number, around))
    return ", ".join(first if first == last else f"{first}–{last}" for first, last, _, _ in parts)


def _some(marks: Sequence[str]) -> str:
    """Marks of pieces whose order hardly matters: a few by name, many by the first and the last."""
    return mark_ranges(marks) if len(marks) <= 4 else f"{marks[0]} to {marks[-1]}"


def end_cut(foot_deg: float, top_deg: float) -> str:
    """The ends of an upright bar that are not cut square: which, and the angle; positive rises to the right.

    >>> end_cut(0, 45), end_cut(30.5, -45), end_cut(0, 0)
    ('top +45°', 'foot +30.5°, top −45°', '')
    """
    ends = (("foot", foot_deg), ("top", top_deg))
    return ", ".join(f"{end} {angle:+.1f}".removesuffix(".0") + "°" for end, angle in ends if angle).replace(
        "-", "−"
    )


def bar_table(plan: WallPlan) -> Table:
    """Bars by item, length, skew and role, longest first."""
    groups: dict[tuple[str, int, str, str], list[str]] = defaultdict(list)
    for bar in plan.bars:
        skew = end_cut(bar.skew_a_deg, bar.skew_b_deg)
        groups[(bar.item, bar.length_mm, skew, bar.role.value)].append(short(bar.mark, plan.wall.id))
    rows = [
        (mark_ranges(marks), item, role, skew, length, len(marks))
        for (item, length, skew, role), marks in sorted(
            groups.items(), key=lambda g: (g[0][0], -g[0][1], g[0][3])
        )
    ]
    return Table(
        "Bars to cut", ("marks", "profile", "for", "end cut", "length", "n"), tuple(rows), ("length", "n")
    )


def board_note(board: BoardPiece) -> str:
    """What is cut out of a board besides its size."""
    notes = []
    corners = len(board.ring)
    square = all(
        a[0] == b[0] or a[1] == b[1]
        for a, b in zip(board.ring, (*board.ring[1:], board.ring[0]), strict=True)
    )
    if not square:
        notes.append("raked")
    elif corners > 4:
        notes.append("notched")
    if board.holes:
        notes.append(f"{len(board.holes)} hole{'s' * (len(board.holes) > 1)}")
    if board.cutouts:
        held = Counter(cut.of for cut in board.cutouts)
        notes.append("boxes " + ", ".join(f"{of}{f' ×{n}' if n > 1 else ''}" for of, n in held.items()))
    if board.plane != FACE:
        notes.append(board.plane if kind_of(board.plane) == FLANK else f"reveal {board.plane}")
    return "; ".join(notes)


def board_table(plan: WallPlan) -> Table:
    """Boards one by one where they are cut to a shape, grouped where they are alike and plain."""
    groups: dict[tuple[int, str, float, float, int, str], list[str]] = defaultdict(list)
    for board in plan.boards:
        key = (
            board.layer,
            board.item,
            board.width_mm,
            board.length_mm,
            board.stock_length_mm,
            board_note(board),
        )
        groups[key].append(short(board.mark, plan.wall.id))
    rows = [
        (mark_ranges(marks), layer, item, f"{width:.0f} × {length:.0f}", stock or "", note, len(marks))
        for (layer, item, width, length, stock, note), marks in groups.items()
    ]
    rows.sort(key=lambda row: row[1])
    columns = ("marks", "layer", "board", "width × length", "from", "cut", "n")
    return Table("Boards to cut", columns, tuple(rows), ("layer", "from", "n"))


def bracket_table(plan: WallPlan) -> Table:
    """Brackets by item and projection."""
    groups: dict[tuple[str, int], list[str]] = defaultdict(list)
    for bracket in plan.brackets:
        groups[(bracket.item, bracket.projection_mm)].append(short(bracket.mark, plan.wall.id))
    rows = [(mark_ranges(marks), item, reach, len(marks)) for (item, reach), marks in sorted(groups.items())]
    return Table("Brackets", ("marks", "bracket", "projection", "n"), tuple(rows), ("projection", "n"))


def projection_table(plan: WallPlan) -> Table:
    """Where projections differ: each channel with the projection of its brackets by height."""
    if len({bracket.projection_mm for bracket in plan.brackets}) < 2:
        return Table("Projections", (), ())
    channels: dict[str, list[BracketPlace]] = defaultdict(list)
    for bracket in plan.brackets:
        channels[bracket.member].append(bracket)
    rows = [
        (
            short(mark, plan.wall.id),
            places[0].x_mm,
            "   ".join(f"{p.y_mm}: {p.projection_mm}" for p in sorted(places, key=lambda p: p.y_mm)),
        )
        for mark, places in channels.items()
    ]
    columns = ("channel", "x", "height of bracket: projection")
    return Table("Projections, channel by channel", columns, tuple(rows), ("x",))


def filling_table(plan: WallPlan) -> Table:
    """Insulation pieces and membrane strips by size."""
    groups: dict[tuple[str, str, int, int], list[str]] = defaultdict(list)
    for slab in plan.slabs:
        place = "" if slab.plane == FACE else slab.plane
        groups[(slab.item, place, slab.width_mm, slab.length_mm)].append(short(slab.mark, plan.wall.id))
    for strip in plan.membrane:
        groups[(strip.item, "", strip.width_mm, strip.length_mm)].append(short(strip.mark, plan.wall.id))
    rows = [
        (_some(marks), f"{item}, {place}" if place else item, f"{width} × {length}", len(marks))
        for (item, place, width, length), marks in sorted(
            groups.items(), key=lambda g: (g[0][:2], -g[0][3], -g[0][2])
        )
    ]
    return Table("Insulation and membrane", ("marks", "item", "cut size", "n"), tuple(rows), ("n",))


def run_table(plan: WallPlan) -> Table:
    """Lengths of strips, sealants, joints and beads."""
    lengths: dict[tuple[str, str, int], float] = defaultdict(float)
    for run in plan.runs:
        lengths[(run.kind.value, run.item, run.layer)] += run.length_mm
    rows = [
        (kind, item, layer or "", f"{length / 1000:.2f} m")
        for (kind, item, layer), length in sorted(lengths.items())
    ]
    return Table(
        "Strips, seals, joints, beads", ("work", "item", "layer", "length"), tuple(rows), ("layer", "length")
    )


def fixing_table(plan: WallPlan) -> Table:
    """Counts of screws, fixings and penetrations."""
    counts: Counter[tuple[str, str]] = Counter()
    for screws in plan.screws:
        counts[(f"board screws, layer {screws.layer}", screws.item)] += len(screws.places_mm)
    for line in plan.fixings:
        counts[("fixings into structure", line.item)] += len(line.places_mm)
    for bracket in plan.brackets:
        counts[("brackets", bracket.item)] += 1
    for hole in plan.penetrations:
        counts[("seal round", f"{hole.of}{', pierces the membrane' if hole.pierces_membrane else ''}")] += 1
    rows = [(what, item, n) for (what, item), n in counts.items()]
    return Table("Screws, fixings, seals", ("what", "item", "n"), tuple(rows), ("n",))


def finding_table(plans: Sequence[WallPlan]) -> Table:
    """Every rule not kept, with place and remedy."""
    rows = [
        (
            f.code,
            f.wall,
            f.layer or "",
            f"{f.x_mm:.0f}",
            f"{f.y_mm:.0f}",
            f"{f.by_mm:.0f}" if f.by_mm else "",
            f.text,
            f.remedy,
        )
        for plan in plans
        for f in plan.findings
    ]
    columns = ("code", "wall", "layer", "x", "y", "by", "what", "remedy")
    return Table("Findings", columns, tuple(rows), ("layer", "x", "y", "by"))


def build_up_table(plan: WallPlan) -> Table:
    """The lining from the old wall into the room."""
    lining, up = plan.wall.lining, plan.build_up
    spacing = max((grid.spacing_mm for grid in plan.grids), default=0.0)
    placed: dict[InsulationPlace, list[tuple[Cell, ...]]] = defaultdict(list)
    for wanted in lining.insulation:
        placed[wanted.place].append((f"insulation {wanted.place.value}", wanted.item))
    rows: list[tuple[Cell, ...]] = [
        *placed[InsulationPlace.BEHIND],
        (lining.way.value, f"{lining.profile} at {spacing:.4g}, back {up.frame_back_mm} off the wall"),
        *placed[InsulationPlace.BETWEEN],
        *([("membrane", lining.membrane)] if lining.membrane else []),
        *((f"board layer {k}", board) for k, board in enumerate(lining.boards, 1)),
        ("whole lining", f"{up.total_mm:.4g} mm, finish {lining.finish}"),
    ]
    return Table("Lining, from the old wall to the room", ("layer", "item"), tuple(rows))


def wall_tables(plan: WallPlan) -> list[Table]:
    """All schedules of one wall that have rows."""
    tables = [bar_table, board_table, bracket_table, projection_table, filling_table, run_table, fixing_table]
    return [table for table in (make(plan) for make in tables) if table.rows]
