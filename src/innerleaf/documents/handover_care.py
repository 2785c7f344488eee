"""Care of a lining, and where things may be fixed on it: what whoever lives behind it has to know.

The texts are common practice of the trade, no source; the figures come from the layout and the practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from innerleaf.design.frame.hung import hung_on
from innerleaf.documents.handover_model import Backing, FixingGuide, StudPlace
from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import ObstacleKind

CARE: Final = (
    (
        "Air and warmth",
        "Heat and air the rooms as before the lining, at least for the first year: new joints and old masonry"
        " still dry. Keep furniture some 50 mm off outside walls.",
    ),
    (
        "Damp",
        "A stain, a musty smell or a soft board means water: find where it comes from before anything is"
        " painted over, and have the cavity opened where it shows.",
    ),
    (
        "The vapour control layer",
        "Where a wall has one, every hole through it lets damp air into the cavity. Close a hole that is no"
        " longer used with tape or sealant on the layer itself, then mend the board. New boxes go in with a"
        " sealed sleeve.",
    ),
    (
        "Dents and holes",
        "Small holes: fill in two passes, each dry before the next, sand, prime. Larger ones: cut the board"
        " square from stud to stud, screw a piece of the same board, tape and fill.",
    ),
    (
        "Cracks",
        "Fine cracks at joints and corners in the first year come from shrinking: open a little, tape, fill."
        " A crack that comes back, or grows, should be looked at. Never fill movement joints hard.",
    ),
    (
        "Paint and paper",
        "Prime new filler before paint or paper. Paints and papers on outside walls should let vapour pass as"
        " those used now do; wet rooms keep their tanking under the tiles.",
    ),
    (
        "Edges",
        "Sealant at floor, ceiling and side walls keeps sound and damp out: renew it where it has come away.",
    ),
)
SAFE: Final = (
    "Before drilling: trace cables and pipes with a detector; they may run anywhere between studs, most often"
    " straight up, down and sideways from boxes. Do not drill deeper than the lining without asking.",
    "Fix through the boards into studs or backing; hollow-wall fixings in the board alone carry light things"
    " only, as their maker declares for this board.",
    "Heavier than said here, or far out from the wall: ask a licensed designer first.",
)


def guide_of(plan: WallPlan, practice: Practice) -> FixingGuide:
    """Studs by running dimension, backing, what may hang on a metre, and what to keep off."""
    load, source = _load(plan, practice)
    return FixingGuide(
        studs=tuple(
            StudPlace(
                mark=member.mark,
                role=member.role.value,
                x_mm=member.x_mm,
                from_mm=member.bottom_mm,
                to_mm=member.top_mm,
            )
            for member in sorted(plan.members, key=lambda one: (one.x_mm, one.bottom_mm))
        ),
        backing=tuple(
            Backing(
                mark=bar.mark,
                what=bar.role.value,
                from_mm=min(bar.ax_mm, bar.bx_mm),
                to_mm=max(bar.ax_mm, bar.bx_mm),
                y_mm=bar.ay_mm,
            )
            for bar in plan.bars
            if bar.role in (Role.BACKING, Role.NOGGING)
        ),
        load_n_m=load,
        load_source=source,
        drawn_loads=tuple(
            f"{hung.id}: {hung.mass:g} kg over {hung.width:.0f} mm, x {hung.x0:.0f} to {hung.x1:.0f},"
            f" upper fixings at {hung.y:.0f}"
            for hung in hung_on(plan)
        ),
        keep_off=tuple(_keep_off(plan)),
        cover_mm=plan.build_up.packet_mm,
        depth_mm=plan.build_up.total_mm,
    )


def _load(plan: WallPlan, practice: Practice) -> tuple[float, str]:
    """What a metre of lining carries by the practice, by the thickness of its boards."""
    rules = practice.rules
    thick = plan.build_up.packet_mm >= rules.hung_load_packet_min_mm
    name = "hung_load_max_n_m" if thick else "hung_load_thin_max_n_m"
    source = next(note.source for note in practice.rule_notes if note.name == name)
    return float(getattr(rules, name)), source


def _keep_off(plan: WallPlan) -> Iterator[str]:
    """What lies behind the boards as far as the plan knows."""
    for box in plan.wall.boxes:
        yield f"{box.id}: electric box at x {box.x_mm}, {box.y_mm} high; its cables"
    for thing in plan.wall.obstacles:
        if thing.kind == ObstacleKind.PIPE:
            right = thing.x_mm + thing.width_mm
            yield f"{thing.id}: pipe at x {thing.x_mm} to {right}, from {thing.y_mm} up"
    for x in plan.movement_joints_mm:
        yield f"movement joint at x {x}: nothing across it"
