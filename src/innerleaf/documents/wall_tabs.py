"""Walls in the workbook: one row a wall, what was not kept, what the lined wall does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from innerleaf.documents.schedule import Cell
from innerleaf.documents.tabs import AMOUNT, COUNT, LENGTH, Column, SheetTable
from innerleaf.layout.pieces import WallPlan

if TYPE_CHECKING:
    from innerleaf.design.performance import Performance


def wall_sheet(plans: Sequence[WallPlan]) -> SheetTable:
    """One row a wall."""
    rows: list[tuple[Cell, ...]] = []
    for plan in plans:
        wall, up = plan.wall, plan.build_up
        rows.append(
            (
                wall.id,
                wall.name,
                wall.room,
                wall.storey,
                wall.lining.way.value,
                wall.lining.profile,
                " + ".join(wall.lining.boards),
                wall.length_mm,
                wall.height_mm,
                up.total_mm,
                len(plan.members),
                len(plan.brackets),
                len(plan.boards),
                sum(len(s.places_mm) for s in plan.screws),
                len(plan.findings),
            )
        )
    columns = (
        Column(name="wall"),
        Column(name="name", width=22),
        Column(name="room", width=20),
        Column(name="storey", width=14),
        Column(name="way", width=16),
        Column(name="profile"),
        Column(name="boards", width=24),
        Column(name="length [mm]", form=LENGTH, total=True),
        Column(name="height [mm]", form=LENGTH),
        Column(name="lining [mm]", form="0.0"),
        Column(name="members", form=COUNT, total=True),
        Column(name="brackets", form=COUNT, total=True),
        Column(name="board pieces", form=COUNT, total=True),
        Column(name="screws", form=COUNT, total=True),
        Column(name="not kept", form=COUNT, total=True),
    )
    return SheetTable(name="Walls", columns=columns, rows=tuple(rows))


def finding_sheet(plans: Sequence[WallPlan]) -> SheetTable:
    """Every rule not kept."""
    rows = tuple(
        (
            f.code,
            f.wall,
            f.layer or "",
            round(f.x_mm),
            round(f.y_mm),
            round(f.by_mm),
            f.rule,
            f.text,
            f.remedy,
        )
        for plan in plans
        for f in plan.findings
    )
    columns = (
        Column(name="code", width=8),
        Column(name="wall"),
        Column(name="layer", form=COUNT),
        Column(name="x [mm]", form=LENGTH),
        Column(name="y [mm]", form=LENGTH),
        Column(name="by [mm]", form=LENGTH),
        Column(name="rule", width=28),
        Column(name="what", width=50),
        Column(name="remedy", width=50),
    )
    return SheetTable(name="Findings", columns=columns, rows=rows)


def performance_sheet(plans: Sequence[WallPlan], performances: Mapping[str, Performance]) -> SheetTable:
    """One row for each wall whose heat or verdicts are known; empty cells are not judged."""
    from innerleaf.documents.performance import performance_row

    judged = ((plan.wall, performances[plan.wall.id]) for plan in plans if plan.wall.id in performances)
    columns = (
        Column(name="wall"),
        Column(name="name", width=22),
        Column(name="beyond the wall", width=16),
        Column(name="area [m²]", form=AMOUNT, total=True),
        Column(name="U old wall [W/(m²·K)]", width=14, form="0.000"),
        Column(name="U with members and brackets", width=16, form="0.000"),
        Column(name="U of plane layers (ISO 6946)", width=16, form="0.000"),
        Column(name="U by combined method (ISO 6946)", width=16, form="0.000"),
        Column(name="combined method holds", width=30),
        Column(name="U with all edges", width=14, form="0.000"),
        Column(name="loss of old wall [W/K]", width=14, form=AMOUNT, total=True),
        Column(name="loss lined [W/K]", width=14, form=AMOUNT, total=True),
        Column(name="coldest detail", width=22),
        Column(name="its factor fRsi", width=14, form="0.000"),
        Column(name="factor needed", width=14, form="0.000"),
        Column(name="water gathered [kg/m²]", width=14, form="0.000"),
        Column(name="case through the years", width=12),
        Column(name="water gained in the last year [%]", width=14, form="0.00"),
        Column(name="humidity behind the insulation [%]", width=14, form="0.0"),
        Column(name="mould index", width=10, form="0.00"),
        Column(name="Rw old wall [dB]", width=10, form=COUNT),
        Column(name="Rw lined [dB]", width=10, form=COUNT),
        Column(name="gain of Rw counted [dB]", width=12, form="0.0"),
        Column(name="its uncertainty [dB]", width=12, form="0.0"),
        Column(name="STC lined", width=10, form=COUNT),
        Column(name="R'w between rooms before [dB]", width=14, form="0.0"),
        Column(name="R'w lined [dB]", width=12, form="0.0"),
        Column(name="most of what goes round", width=22),
        Column(name="load cases", width=12),
        Column(name="member nearest its limit", width=18),
        Column(name="share of its limit", width=12, form="0 %"),
        Column(name="verdicts missed", width=14, form=COUNT, total=True),
        Column(name="missed", width=50),
    )
    rows = tuple(performance_row(wall, performance) for wall, performance in judged)
    return SheetTable(name="Performance", columns=columns, rows=rows)
