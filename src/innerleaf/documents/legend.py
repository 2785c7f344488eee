"""The symbols of a framing elevation, shown once beside its name; only those that the wall has."""

from __future__ import annotations

from collections import defaultdict

from innerleaf.documents.framing import overlapped
from innerleaf.documents.sheet import (
    BACKING,
    BOX,
    BOX_THIN,
    BRACKET,
    FIXING,
    FRAME,
    FRAME_THIN,
    LOAD,
    MOVEMENT,
    Hatch,
    Place,
    Sheet,
    text_width,
)
from innerleaf.documents.view import SMALL
from innerleaf.layout.pieces import Bar, Role, WallPlan
from innerleaf.survey.wall import Way


def draw_legend(sheet: Sheet, plan: WallPlan, at: Place, width: float) -> None:
    """Symbols with their names in rows of at most ``width``, the first row at ``at``, going down."""
    bracketed = plan.wall.lining.way is Way.BRACKETED
    entries = [("member", "channel, web line on one side" if bracketed else "stud, web line on one side")]
    if _spliced(plan):
        entries.append(("splice", "overlapped splice"))
    if plan.fixings:
        entries.append(("fixing", "fixing into structure"))
    if plan.brackets:
        reach = sorted({b.projection_mm for b in plan.brackets})
        entries.append(
            (
                "bracket",
                f"bracket, projection {reach[0]}" if len(reach) == 1 else "bracket with its projection",
            )
        )
    if any(bar.role is Role.BACKING for bar in plan.bars):
        entries.append(("backing", "backing for a load"))
    if plan.wall.loads:
        entries.append(("load", "hung load"))
    if plan.wall.boxes:
        entries.append(("box", "box"))
    if plan.movement_joints_mm:
        entries.append(("joint", "movement joint"))
    x, y = at
    for kind, words in entries:
        wide = 8 + text_width(words, SMALL) + 5
        if x + wide > at[0] + width:
            x, y = at[0], y - 5.0
        _symbol(sheet, kind, x, y)
        sheet.text((x + 8, y), words, SMALL, "start")
        x += wide


def _spliced(plan: WallPlan) -> bool:
    by_member: dict[str, list[Bar]] = defaultdict(list)
    for bar in plan.bars:
        if bar.member:
            by_member[bar.member].append(bar)
    return any(overlapped(low, high) for bars in by_member.values() for low in bars for high in bars)


def _symbol(sheet: Sheet, kind: str, x: float, y: float) -> None:
    middle = x + 3.5
    if kind == "member":
        sheet.rect(FRAME, (middle - 1.2, y - 2, middle + 1.2, y + 2))
        sheet.line(FRAME_THIN, (middle - 0.8, y - 2), (middle - 0.8, y + 2))
    elif kind == "splice":
        sheet.rect(FRAME, (middle - 1.2, y - 2, middle + 1.2, y + 2))
        sheet.line(FRAME_THIN, (middle - 1.2, y - 2), (middle + 1.2, y + 2))
        sheet.line(FRAME_THIN, (middle - 1.2, y + 2), (middle + 1.2, y - 2))
    elif kind == "fixing":
        sheet.dots(FIXING, [(middle, y)])
    elif kind == "bracket":
        sheet.rect(BRACKET, (middle - 1.1, y - 0.9, middle + 1.1, y + 0.9), Hatch.WHITE)
        sheet.dots(FIXING, [(middle, y)])
    elif kind == "backing":
        sheet.rect(BACKING, (x, y - 1.2, x + 7, y + 1.2))
    elif kind == "load":
        sheet.rect(LOAD, (x, y - 0.8, x + 7, y + 0.8))
    elif kind == "box":
        sheet.circle(BOX, (middle, y), 1.3)
        sheet.line(BOX_THIN, (middle - 1.9, y), (middle + 1.9, y))
        sheet.line(BOX_THIN, (middle, y - 1.9), (middle, y + 1.9))
    else:
        sheet.line(MOVEMENT, (middle, y - 2.2), (middle, y + 2.2))
