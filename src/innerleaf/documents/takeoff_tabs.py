"""The takeoff in the workbook: quantities by wall, what to buy, what is cut from which bar and board."""

from __future__ import annotations

from collections.abc import Sequence

from innerleaf.documents.comes_as import ComesAs
from innerleaf.documents.schedule import Cell, board_note, end_cut
from innerleaf.documents.tabs import AMOUNT, COUNT, LENGTH, MASS, Column, SheetTable, shown
from innerleaf.layout.pieces import WallPlan
from innerleaf.takeoff.model import Takeoff


def takeoff_sheet(takeoff: Takeoff) -> SheetTable:
    """Every quantity by wall, as built."""
    rows: list[tuple[Cell, ...]] = []
    for line in takeoff.lines:
        unit, _ = shown(line.unit, 0)
        for share in line.by_wall:
            part = share.quantity / line.quantity if line.quantity else 0.0
            quantity = shown(line.unit, share.quantity)[1]
            mass = round(line.mass_kg * part, 3)
            rows.append(
                (line.group, line.item, line.use, share.place, unit, quantity, share.count, mass, line.basis)
            )
    columns = (
        Column(name="group", width=14),
        Column(name="item", width=20),
        Column(name="use", width=22),
        Column(name="wall", width=12),
        Column(name="unit", width=7),
        Column(name="quantity", form=AMOUNT),
        Column(name="pieces", form=COUNT, total=True),
        Column(name="mass [kg]", form=MASS, total=True),
        Column(name="counted how", width=40),
    )
    return SheetTable(name="Takeoff", columns=columns, rows=tuple(rows))


def purchase_sheet(takeoff: Takeoff) -> SheetTable:
    """What must be bought, and how near that is to the least possible."""
    rows: list[tuple[Cell, ...]] = []
    for buy in takeoff.purchases:
        unit, net = shown(buy.unit, buy.net)
        packs = ", ".join(f"{pack.count} × {pack.size:g} {buy.pack_unit}" for pack in buy.packs)
        bought, least = shown(buy.unit, buy.bought)[1], shown(buy.unit, buy.lower_bound)[1]
        rows.append(
            (
                buy.group,
                buy.item,
                unit,
                net,
                bought,
                round(buy.waste, 4),
                least,
                round(buy.gap, 5),
                buy.special,
                packs,
                buy.basis,
            )
        )
    columns = (
        Column(name="group", width=14),
        Column(name="item", width=20),
        Column(name="unit", width=7),
        Column(name="net", form=AMOUNT),
        Column(name="to buy", form=AMOUNT),
        Column(name="waste", form="0.0%"),
        Column(name="least possible", width=14, form=AMOUNT),
        Column(name="gap", form="0.00%"),
        Column(name="special", form=COUNT),
        Column(name="packs", width=34),
        Column(name="counted how", width=40),
    )
    return SheetTable(name="To buy", columns=columns, rows=tuple(rows))


def cut_sheet(takeoff: Takeoff, other: ComesAs) -> SheetTable:
    """Bars to cut, in the order they are taken, and what the order may bring in place of each."""
    rows: list[tuple[Cell, ...]] = []
    for bar in takeoff.bars:
        end = -takeoff.rates.kerf_mm
        for k, piece in enumerate(bar.pieces):
            left: Cell = bar.remainder_mm if k == len(bar.pieces) - 1 else ""
            end += takeoff.rates.kerf_mm + round(piece.length_mm)
            rows.append(
                (
                    bar.item,
                    bar.number,
                    bar.stock_mm,
                    piece.mark,
                    piece.wall,
                    piece.use,
                    piece.length_mm,
                    end_cut(piece.skew_a_deg, piece.skew_b_deg),
                    left,
                    end,
                    "" if bar.source else other.get((bar.item, bar.stock_mm), ""),
                )
            )
    columns = (
        Column(name="item", width=20),
        Column(name="bar", form=COUNT),
        Column(name="stock [mm]", form=LENGTH),
        Column(name="mark", width=18),
        Column(name="wall", width=12),
        Column(name="use", width=22),
        Column(name="length [mm]", form=LENGTH, total=True),
        Column(name="end cut, + rises to the right", width=22),
        Column(name="left over [mm]", width=14, form=LENGTH, total=True),
        Column(name="ends at, from the left [mm]", width=14, form=LENGTH),
        Column(name="may come as", width=24),
    )
    return SheetTable(name="Cut list", columns=columns, rows=tuple(rows))


def board_sheet(plans: Sequence[WallPlan], takeoff: Takeoff, other: ComesAs) -> SheetTable:
    """Boards to cut: which piece from which board, where on it, what is cut out, what may come instead."""
    notes = {board.mark: (board.layer, board_note(board)) for plan in plans for board in plan.boards}
    rows: list[tuple[Cell, ...]] = []
    for board in takeoff.boards:
        for piece in board.pieces:
            layer, note = notes.get(piece.mark, ("", ""))
            area = round(piece.length_mm * piece.width_mm / 1e6, 4)
            rows.append(
                (
                    board.item,
                    board.number,
                    f"{board.width_mm} × {board.stock_mm}",
                    piece.mark,
                    piece.wall,
                    layer,
                    piece.width_mm,
                    piece.length_mm,
                    piece.x_mm,
                    piece.y_mm,
                    area,
                    note,
                    "" if board.source else other.get((board.item, board.stock_mm), ""),
                )
            )
    columns = (
        Column(name="item", width=20),
        Column(name="board", form=COUNT),
        Column(name="stock [mm]", width=14),
        Column(name="mark", width=18),
        Column(name="wall", width=12),
        Column(name="layer", form=COUNT),
        Column(name="width [mm]", form=LENGTH),
        Column(name="length [mm]", form=LENGTH),
        Column(name="from left [mm]", width=14, form=LENGTH),
        Column(name="from foot [mm]", width=14, form=LENGTH),
        Column(name="area of blank [m²]", width=18, form="0.000", total=True),
        Column(name="cut", width=34),
        Column(name="may come as", width=24),
    )
    return SheetTable(name="Boards", columns=columns, rows=tuple(rows))
