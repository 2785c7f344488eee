"""What is still needed, what lies on site, what to order again, out of the records."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.shapes import area_mm2
from innerleaf.site.records import Kind, Record, standing

QUANTITY: Final = "quantity"  # the value of records about material, in the unit of its line


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialLine:
    """One material: ``needed`` for what is still to come, ``left`` as last counted (None: never counted).

    ``used``, ``damaged`` are as recorded. All in ``unit``.
    """

    item: str
    unit: str
    needed: float
    left: float | None
    used: float
    damaged: float

    @property
    def short(self) -> float:
        """How much is to be ordered again; nothing where nothing was counted. [unit]"""
        return max(0.0, round(self.needed - self.left, 3)) if self.left is not None else 0.0


def needs_of(to_come: Iterable[WallPlan]) -> dict[tuple[str, str], float]:
    """Net quantities by item and unit (m, m², pieces) of what is still to be put up, without waste."""
    sums: dict[tuple[str, str], float] = defaultdict(float)
    for plan in to_come:
        for bar in plan.bars:
            sums[bar.item, "m"] += bar.length_mm / 1000
        for board in plan.boards:
            sums[board.item, "m²"] += area_mm2((board.ring, board.holes)) / 1e6
        for line in plan.screws:
            sums[line.item, "pieces"] += len(line.places_mm)
        for bracket in plan.brackets:
            sums[bracket.item, "pieces"] += 1
        for slab in plan.slabs:
            sums[slab.item, "m²"] += slab.width_mm * slab.length_mm / 1e6
        for strip in plan.membrane:
            sums[strip.item, "m²"] += strip.width_mm * strip.length_mm / 1e6
    return dict(sums)


def material_of(to_come: Iterable[WallPlan], records: Iterable[Record]) -> tuple[MaterialLine, ...]:
    """The list by item: what is needed, counted, used, damaged. Items that only records name come last."""
    needs = needs_of(to_come)
    left: dict[str, float] = {}
    used: dict[str, float] = defaultdict(float)
    damaged: dict[str, float] = defaultdict(float)
    for record in standing(records):
        entry = record.entry
        quantity = entry.value(QUANTITY)
        if quantity is None or not entry.what:
            continue
        if entry.kind == Kind.LEFT:
            left[entry.what] = quantity  # the last count holds
        elif entry.kind == Kind.USED:
            used[entry.what] += quantity
        elif entry.kind == Kind.DAMAGE:
            damaged[entry.what] += quantity
    named = {item for item, _ in needs}
    keys = [*sorted(needs), *((item, "") for item in sorted({*left, *used, *damaged} - named))]
    return tuple(
        MaterialLine(
            item=item,
            unit=unit,
            needed=round(needs.get((item, unit), 0.0), 3),
            left=left.get(item),
            used=round(used[item], 3),
            damaged=round(damaged[item], 3),
        )
        for item, unit in keys
    )
