"""A wall followed hour by hour through the years, EN 15026: what its water does once it has settled.

Years begin when the warmer half of the year is over. Each goes on from the end of the one before, until the
water in the wall ends a year as it began, or `MOST_YEARS` have passed. Members and brackets are not in it:
one dimension.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from innerleaf.design.climate import room_hours
from innerleaf.design.moisture.transient_case import WOOD, Case, CaseLayer, hygro, wet_layers
from innerleaf.design.moisture.transient_years import (
    MOULD_YEARS,
    WEEKS,
    Course,
    Frost,
    LayerYears,
    MoistureYears,
    ProfileDay,
    Settled,
    Variant,
)
from innerleaf.physics.hygro import look_up
from innerleaf.physics.hygro_grid import HygroGrid, build_grid
from innerleaf.physics.hygro_outcomes import freezing_turns, frost_hours, seen_at, year_by_year
from innerleaf.physics.monthly import DAYS
from innerleaf.physics.mould import CLASSES, mould_index
from innerleaf.physics.transient import HOURS_OF_YEAR, Exposure, TransientRun, run
from innerleaf.physics.weather import Weather, monthly_means
from innerleaf.physics.weather_face import wall_exposure
from innerleaf.practice.moisture import load_moisture
from innerleaf.work import run_tasks

Values = NDArray[np.float64]

OCTOBER, APRIL = 10, 4  # years begin with the one or the other
START_HUMIDITY: Final = 0.8  # of pores, where no reading says more (EN 15026)
MOST_YEARS: Final = 10
LEAST_YEARS: Final = 2
SETTLED: Final = 0.002  # change of all water in a year below which the wall has settled
VARIANT_YEARS: Final = 4
WET_SHARE: Final = 0.9  # of free saturation: frost at a face that wet is counted apart
SAME_DAY: Final = 10  # a season's end so near the dampest day shows nothing new
SAME_INDEX: Final = 1e-3  # change of the index in a year that counts as none
MONTH_HOURS: Final = 30 * 24
UNCHANGED: Final = "nothing changed"
MORE_RAIN, MORE_SUCTION, LESS_RESISTANCE = 1.5, 2.0, 0.7  # the variants that stand for what is not known


def follow_all(
    cases: Iterable[Case],
    weather: Weather,
    *,
    workers: int = 1,
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> dict[Case, MoistureYears]:
    """Every distinct case once, in as many processes as there are workers."""
    distinct = list(dict.fromkeys(cases))
    tasks = [partial(follow, case, weather) for case in distinct]
    found = {}
    for case, years in zip(distinct, run_tasks(tasks, workers=min(workers, len(tasks) // 2)), strict=True):
        found[case] = years
        tell(len(found), len(distinct))
    return found


def follow(case: Case, weather: Weather) -> MoistureYears:
    """A case through the years, the old wall alone beside it, and the variants from where it has settled.

    Raises
    ------
    InputError
        Values of a layer or of the weather that cannot be.
    """
    march = _March(case, weather)
    blocks = march.until_settled(_start(case))
    alone = _March(_bare(case), weather)
    before = alone.until_settled(_start(alone.case))
    last = blocks[-1]
    grown, place = march.mould(blocks)
    told = [year_by_year(block) for block in blocks]
    old = slice(0, case.old)
    return MoistureYears(
        case=case,
        source=weather.source,
        estimate=weather.estimate,
        begins=march.begins,
        years=len(blocks),
        settled=abs(_gain(last)) < SETTLED,
        layers=tuple(
            LayerYears(
                layer.name,
                layer.thickness,
                tuple(float(year.at_end[0, k]) for year in told),
                tuple(float(year.mean[0, k]) for year in told),
                tuple(float(year.most[0, k]) for year in told),
            )
            for k, layer in enumerate(case.layers)
        ),
        gain_percent=100 * _gain(last),
        mould_index=_greatest(grown),
        mould_place=march.place_name(place),
        humidity_most=_worst_month(seen_at(last, place)[1]),
        wood_percent=march.wood(last),
        wood_before=alone.wood(before[-1]),
        frost=march.frost(last),
        frost_before=alone.frost(before[-1]),
        old_water=float(told[-1].mean[0, old].sum()),
        old_water_before=float(year_by_year(before[-1]).mean.sum()),
        rain=last.balance.rain,
        water_error=max(abs(block.balance.water_error) for block in blocks),
        heat_error=max(abs(block.balance.heat_error) for block in blocks),
        variants=tuple(
            _vary(what, changed, weather, last)
            for what, changed in _variants(case, rained=last.balance.rain > 0)
        ),
        course=_course(blocks, place, grown),
        profiles=tuple(_profiles(case, last, place, march.begins)),
    )


def settle(case: Case, weather: Weather) -> Settled:
    """What decides about a case, as `follow` finds it, without all else that is told of it.

    Raises
    ------
    InputError
        Values of a layer or of the weather that cannot be.
    """
    march = _March(case, weather)
    blocks = march.until_settled(_start(case))
    return Settled(
        gain_percent=100 * _gain(blocks[-1]),
        mould_index=_greatest(march.mould(blocks)[0]),
        wood_percent=march.wood(blocks[-1]),
    )


def first_month(weather: Weather) -> int:
    """The month in which years begin: October where April to September is the warmer half, else April."""
    means = monthly_means(weather.temperature)
    return OCTOBER if means[3:9].sum() >= means.sum() / 2 else APRIL


class _March:
    """A case with its grid, climate and the nodes that are watched."""

    def __init__(self, case: Case, weather: Weather) -> None:
        self.case = case
        self.layers = wet_layers(case)
        self.grid = build_grid(self.layers)
        self.begins = first_month(weather)
        room, humidity = room_hours(weather, case.humidity_class)
        self.climate: Exposure = wall_exposure(
            weather,
            facing=case.facing,
            room=room,
            room_humidity=humidity,
            absorptance=case.absorptance,
            rain_factor=case.rain_factor,
        )
        self.critical = tuple(int(self.grid.first[layer]) for layer in case.critical)
        self.watch = (0, *self.critical, int(np.abs(self.grid.x - case.wood_depth).argmin()))

    def year(self, start: Sequence[float] | TransientRun) -> TransientRun:
        """One year from a start by layer, or from the end of another."""
        first = 24 * sum(DAYS[: self.begins - 1])
        go = partial(run, self.layers, self.climate, hours=HOURS_OF_YEAR, start_hour=first)
        if isinstance(start, TransientRun):
            return go(after=start, watch=self.watch)
        return go(start_humidity=start, watch=self.watch)

    def until_settled(
        self, start: Sequence[float] | TransientRun, most: int = MOST_YEARS
    ) -> list[TransientRun]:
        """Year after year."""
        blocks = [self.year(start)]
        while len(blocks) < most and (len(blocks) < LEAST_YEARS or abs(_gain(blocks[-1])) >= SETTLED):
            blocks.append(self.year(blocks[-1]))
        return blocks

    def mould(self, blocks: Sequence[TransientRun]) -> tuple[list[Values], int]:
        """Mould index hour by hour, in blocks of a year, at the critical node where it gets highest.

        When the blocks are through, the last is lived again, until the index no longer changes.
        """
        found = [(self._grown(blocks, node), node) for node in self.critical]
        return max(found, key=lambda each: _greatest(each[0]))

    def _grown(self, blocks: Sequence[TransientRun], node: int) -> list[Values]:
        kind = CLASSES[self.case.mould_class - 1]
        years: list[Values] = []
        begin = 0.0
        while len(years) < MOULD_YEARS:
            again = len(years) >= len(blocks)
            t, phi = seen_at(blocks[-1] if again else blocks[len(years)], node)
            years.append(mould_index(t, phi, kind, begin))
            if again and abs(years[-1][-1] - begin) < SAME_INDEX:
                break
            begin = float(years[-1][-1])
        return years

    def place_name(self, node: int) -> str:
        """What a critical node is called."""
        layer = self.case.critical[self.critical.index(node)]
        if layer == self.case.old:
            return f"inner face of the old wall ({self.case.layers[layer - 1].name})"
        return f"cold side of {self.case.layers[layer].name}"

    def wood(self, block: TransientRun) -> float:
        """Moisture of wood in balance with the masonry at the tips of the ends, worst 30 days. [% of mass]"""
        wood = load_moisture()[WOOD]
        _, phi = seen_at(block, self.watch[-1])
        return 100 * _worst_month(hygro(wood).water(phi)) / wood.density_kg_m3

    def frost(self, block: TransientRun) -> Frost:
        """The outer face through a year."""
        water = self.case.layers[0].water
        wet = WET_SHARE * water.water_free_kg_m3 if water else 0.0
        return Frost(frost_hours(block), frost_hours(block, water_from=wet), freezing_turns(block))


def _bare(case: Case) -> Case:
    """The old wall alone."""
    return replace(case, layers=case.layers[: case.old])


def _start(case: Case) -> list[float]:
    """Humidity of the pores at the start, by layer: the reading's in layers of the old wall that hold it."""
    start = [START_HUMIDITY] * len(case.layers)
    if case.reading_percent is not None:
        for k, layer in enumerate(case.layers[: case.old]):
            assert layer.water
            material = hygro(layer.water)
            held = case.reading_percent / 100 * layer.water.density_kg_m3
            least, most = (float(material.water(phi)) for phi in (START_HUMIDITY, 1.0))
            start[k] = float(material.humidity_at(min(max(held, least), most)))
    return start


def _gain(block: TransientRun) -> float:
    """How much more water there is at the end of a run than at its start, of that at its end."""
    first, last = block.layer_water()[[0, -1]].sum(axis=1)
    return float((last - first) / last)


def _worst_month(hours: Values) -> float:
    """Greatest mean of 30 days, round the year."""
    total = np.concatenate([[0.0], np.cumsum(np.concatenate([hours, hours[: MONTH_HOURS - 1]]))])
    return float((total[MONTH_HOURS:] - total[:-MONTH_HOURS]).max() / MONTH_HOURS)


def _variants(case: Case, *, rained: bool) -> Iterable[tuple[str, Case]]:
    yield UNCHANGED, case
    if rained:
        factor = min(MORE_RAIN * case.rain_factor, 2.0)
        yield f"{MORE_RAIN:g} times the driving rain", replace(case, rain_factor=factor)

    def sucks(layer: CaseLayer) -> CaseLayer:
        assert layer.water
        absorption = MORE_SUCTION * layer.water.absorption_kg_m2_sqrt_s
        return replace(layer, water=replace(layer.water, absorption_kg_m2_sqrt_s=absorption))

    old, new = case.layers[: case.old], case.layers[case.old :]
    yield (
        f"old wall that sucks {MORE_SUCTION:g} times as strongly",
        replace(case, layers=(*map(sucks, old), *new)),
    )
    yield (
        f"vapour resistances of {100 * LESS_RESISTANCE:.0f} %",
        replace(case, layers=tuple(map(_opened, case.layers))),
    )
    if case.humidity_class < 4:
        yield (
            f"room of humidity class {case.humidity_class + 1}",
            replace(case, humidity_class=case.humidity_class + 1),
        )


def _opened(layer: CaseLayer) -> CaseLayer:
    """A layer that lets more vapour through, never more than still air."""
    if layer.water is None:
        return replace(layer, sd=tuple((phi, LESS_RESISTANCE * sd) for phi, sd in layer.sd))
    dry, wet = (max(LESS_RESISTANCE * mu, 1.0) for mu in (layer.water.mu_dry, layer.water.mu_wet))
    return replace(layer, water=replace(layer.water, mu_dry=dry, mu_wet=wet))


def _vary(what: str, case: Case, weather: Weather, settled: TransientRun) -> Variant:
    march = _March(case, weather)
    blocks = march.until_settled(settled, VARIANT_YEARS)
    grown, _ = march.mould(blocks)
    return Variant(what, 100 * _gain(blocks[-1]), _greatest(grown), march.wood(blocks[-1]))


def _greatest(years: Sequence[Values]) -> float:
    return max(float(year.max()) for year in years)


def _course(blocks: Sequence[TransientRun], place: int, grown: Sequence[Values]) -> Course:
    """Means of the weeks; a year has 52, its last day or two belong to the last."""
    water: list[Values] = []
    humidity: list[Values] = []
    temperature: list[Values] = []
    mould: list[Values] = []
    hours = np.minimum(np.arange(HOURS_OF_YEAR) // (7 * 24), WEEKS - 1)
    for block, index in zip(blocks, grown, strict=False):
        daily = block.layer_water()[1:]
        days = np.minimum(np.arange(len(daily)) // 7, WEEKS - 1)
        water.append(_means(daily.T, days))
        t, phi = seen_at(block, place)
        for kept, values in ((humidity, phi), (temperature, t), (mould, index)):
            kept.append(_means(values[None], hours)[0])

    def line(parts: Sequence[Values]) -> tuple[float, ...]:
        return tuple(np.concatenate(parts).tolist())

    by_layer = np.concatenate(water, axis=1)
    return Course(
        tuple(tuple(row.tolist()) for row in by_layer), line(humidity), line(temperature), line(mould)
    )


def _means(rows: Values, bins: NDArray[np.int64]) -> Values:
    count = np.bincount(bins)
    return np.stack([np.bincount(bins, row) / count for row in rows])


def _profiles(case: Case, last: TransientRun, place: int, begins: int) -> Iterable[ProfileDay]:
    """End of winter and of summer, and the day that is dampest at the critical place."""
    phi = seen_at(last, place)[1].reshape(-1, 24).mean(axis=1)
    worst = int(phi.argmax()) + 1
    seasons = {
        "end of winter": sum(DAYS[(begins - 1 + month) % 12] for month in range(6)),
        "end of summer": 365,
    }
    ends = {title: day for title, day in seasons.items() if abs(day - worst) > SAME_DAY}
    for title, day in ({"dampest behind the insulation": worst} | ends).items():
        yield _profile(case, last.grid, title, day, last.y[day], last.temperature[day])


def _profile(case: Case, grid: HygroGrid, title: str, day: int, y: Values, t: Values) -> ProfileDay:
    depth, temperature, humidity, water = [], [], [], []
    begin = 0.0
    for k, layer in enumerate(case.layers):
        nodes = slice(grid.first[k], grid.first[k + 1] + 1)
        at = grid.x[nodes] - grid.x[grid.first[k]]
        depth.append(tuple((begin + at / at[-1] * layer.thickness).tolist()))
        begin += layer.thickness
        temperature.append(tuple(t[nodes].tolist()))
        humidity.append(tuple(np.minimum(np.exp(-np.exp(y[nodes])), 1.0).tolist()))
        held = look_up(grid.materials[k].table, y[nodes])[:, 0] if layer.water else np.zeros(len(at))
        water.append(tuple(held.tolist()))
    return ProfileDay(title, day, tuple(depth), tuple(temperature), tuple(humidity), tuple(water))
