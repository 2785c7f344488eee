"""Which checks a wall asks for, and how a measured value is judged: at once, and the same on every device.

What a check asks for is worked out to plain figures (`Ask`), so that a browser without a connection judges by
the same data. `judge` is what it does.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil
from typing import Final

from innerleaf.errors import InputError
from innerleaf.layout.pieces import RunKind, WallPlan
from innerleaf.practice.drying import load_drying
from innerleaf.practice.model import Practice
from innerleaf.practice.site import DRYING, CheckLimit, OnSite, SiteCheck, load_on_site
from innerleaf.programme import steps as words
from innerleaf.programme.drying import hours_to_dry
from innerleaf.site.records import Judged
from innerleaf.site.steps import steps_of
from innerleaf.takeoff.count import COATS, JOINT_KINDS

_COLDEST_C, _WARMEST_C = 1, 40  # of the table of drying; work stops far above the first
_DAMPEST_PERCENT: Final = 99


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """A value that a check asks for, with its limit worked out.

    Attributes
    ----------
    name, text, unit : str
        The value; unit "yes" is a question answered by 1 or 0.
    at_most : bool
        Good if the value does not exceed the limit.
    limit : float
        The limit where it is a figure. [unit]
    over, over_text, over_unit : str
        Name of the value that decides the limit; "" where it is a figure.
    xs, ys : tuple of float
        The limit by that value: straight between points and rounded to whole units (``stepped``: up to each).
    stepped : bool
        See ``xs``.
    by_humidity : bool
        The limit is divided by the share of dry air: 1 - humidity_percent / 100, and not rounded.
    source : str
        Where the limit stands.
    """

    name: str
    text: str
    unit: str
    at_most: bool
    limit: float = 0.0
    over: str = ""
    over_text: str = ""
    over_unit: str = "mm"
    xs: tuple[float, ...] = ()
    ys: tuple[float, ...] = ()
    stepped: bool = False
    by_humidity: bool = False
    source: str

    def limit_for(self, values: Mapping[str, float]) -> float:
        """The limit that holds with the other values. [unit]"""
        if not self.over:
            return self.limit
        found = self._at(values[self.over])
        if not self.by_humidity:
            return found
        humidity = min(values["humidity_percent"], _DAMPEST_PERCENT)
        return ceil(10 * found / (1 - humidity / 100)) / 10

    def _at(self, x: float) -> float:
        at = bisect_left(self.xs, x)
        if at == len(self.xs):
            return self.ys[-1]
        if at == 0 or self.stepped or self.xs[at] == x:
            return self.ys[at]
        (x0, x1), (y0, y1) = self.xs[at - 1 : at + 1], self.ys[at - 1 : at + 1]
        y = y0 + (y1 - y0) * (x - x0) / (x1 - x0)
        return y if self.by_humidity else float(int(y + 0.5))


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """A check that a wall asks for after a step of its work."""

    check: str
    text: str
    how: str
    step: str
    asks: tuple[Ask, ...]
    source: str


def checks_of(plan: WallPlan, practice: Practice, on_site: OnSite | None = None) -> tuple[Due, ...]:
    """The checks of a wall in the order of its work: only of what its layout has."""
    data = on_site or practice.on_site or load_on_site()
    steps = steps_of(plan)
    found = [
        Due(
            check=check.id,
            text=check.text,
            how=check.how,
            step=step,
            asks=tuple(_ask(limit, plan, practice, data) for limit in _limits(data, check)),
            source=check.source,
        )
        for check in data.checks.values()
        if _HAS[check.where](plan)
        for step in _after(check.step, steps, plan)
    ]
    return tuple(sorted(found, key=lambda due: steps.index(due.step)))


def judge(due: Due, values: Mapping[str, float]) -> tuple[Judged, ...]:
    """Measured values against their limits, in the order of what the check asks for.

    Raises
    ------
    InputError
        A value that the check asks for is missing.
    """
    wanted = [name for ask in due.asks for name in (ask.name, ask.over) if name]
    for name in wanted:
        if name not in values:
            given = ", ".join(values) or "nothing"
            raise InputError(f"check {due.check}", given=given, accepted=", ".join(dict.fromkeys(wanted)))
    return tuple(
        Judged(
            name=ask.name,
            value=values[ask.name],
            limit=round(ask.limit_for(values), 3),
            unit=ask.unit,
            at_most=ask.at_most,
        )
        for ask in due.asks
    )


def _limits(data: OnSite, check: SiteCheck) -> list[CheckLimit]:
    return [limit for limit in data.limits.values() if limit.check == check.id]


def _ask(limit: CheckLimit, plan: WallPlan, practice: Practice, data: OnSite) -> Ask:
    """The limit of one value as figures for one wall."""
    figure = limit.limit
    source = limit.source
    if limit.rule:
        figure = float(getattr(practice.rules, limit.rule))
        source = next(note.source for note in practice.rule_notes if note.name == limit.rule)
    if limit.rule == "member_spacing_max_mm":  # a wall set out closer is to be built closer
        figure = min(figure, *(ceil(grid.spacing_mm) for grid in plan.grids))
    told = {
        "name": limit.value,
        "text": limit.text,
        "unit": limit.unit,
        "at_most": limit.at_most,
        "source": source,
    }
    if limit.table == DRYING:
        xs = tuple(float(degrees) for degrees in range(_COLDEST_C, _WARMEST_C + 1))
        ys = tuple(round(_dry_hours(x), 3) for x in xs)
        return Ask(**told, over=limit.over, over_unit="°C", xs=xs, ys=ys, by_humidity=True)  # type: ignore[arg-type]
    if limit.table:
        table = data.tolerances[limit.table]
        over = {"over": limit.over, "over_text": limit.over_text, "stepped": table.between == "step"}
        return Ask(**told, **over, xs=tuple(map(float, table.over_mm)), ys=table.most_mm)  # type: ignore[arg-type]
    return Ask(**told, limit=figure + limit.more)  # type: ignore[arg-type]


def _dry_hours(temperature_c: float) -> float:
    """Hours that one coat takes in dry air. [h]"""
    drying = load_drying()
    return hours_to_dry(drying, drying.coats["coat"], temperature_c, 0)


def _after(step: str, steps: tuple[str, ...], plan: WallPlan) -> list[str]:
    """The steps of a wall that a check follows."""
    if step == "boards seen":
        return [words.board_layer(len(plan.wall.lining.boards))]
    if step == "coat":  # of the last one the sanding asks
        return [one for one in steps if words.coat_kind(one) in (words.TAPE, "coat", words.SKIM)]
    return [step] if step in steps else []


_HAS: Final[dict[str, Callable[[WallPlan], bool]]] = {
    "always": lambda _plan: True,
    "brackets": lambda plan: bool(plan.brackets),
    "strips": lambda plan: any(run.kind == RunKind.SEALING_STRIP for run in plan.runs),
    "insulation": lambda plan: bool(plan.slabs),
    "membrane": lambda plan: bool(plan.membrane),
    "hidden boards": lambda plan: len(plan.wall.lining.boards) > 1,
    "joints": lambda plan: (
        COATS[plan.wall.lining.finish] > 0 and any(run.kind in JOINT_KINDS for run in plan.runs)
    ),
}
