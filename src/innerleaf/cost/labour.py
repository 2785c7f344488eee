"""Labour by operation: amounts from the layout and the cut plan, minutes and extras from the firm's rates.

    hours = amount × minutes of the kind × (1 + extras) / 60        cost = hours × rate of the trade

Amounts are rounded to three decimals, minutes and extras to three, hours to two, money to two; each step
goes on from the rounded figure. Extras (height, small rooms, heavy boards) add up, they do not multiply.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, fsum

from innerleaf.cost.price_money import cents, exact, figure, half_up, share_out
from innerleaf.practice.measures import quantity_words
from innerleaf.practice.prices import Operation
from innerleaf.practice.rates import FITTER, HELPER, JOINTER, JOINTING, UNITS, WORKS, Extra, FirmRates
from innerleaf.takeoff.work import Amount, WallSize, Work

STANDING = "longer on site"
"""The work of hours that are paid beyond what the amounts take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourLine:
    """One trade's part of one kind of work over the building.

    ``minutes`` are those of one unit of this kind; ``extras`` is their share on top; ``rate`` and ``total``
    are in hundredths; ``shares`` is what each wall takes of ``total``, in the order of the walls, empty if
    not asked for.
    """

    work: str
    kind: str
    trade: str
    unit: str
    amount: float
    minutes: float
    extras: float
    hours: float
    rate: int
    total: int
    working: str
    source: str
    shares: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewDays:
    """How long the crew is on site, and the hours of each trade; ``above``: share of work above reach."""

    fitter_hours: float
    helper_hours: float
    jointer_hours: float
    framing_days: float
    jointing_days: float
    days: int
    weeks: float
    above: float
    working: str

    @property
    def hours(self) -> float:
        """Hours of all trades together."""
        return fsum((self.fitter_hours, self.helper_hours, self.jointer_hours))


def carried(sizes: Sequence[WallSize], storeys_up: Mapping[str, int]) -> tuple[Amount, ...]:
    """What is carried up by hand: tonnes times storeys, by wall; ``storeys_up`` goes by storey."""
    return tuple(
        Amount(work=Extra.CARRYING, kind="", wall=size.wall, amount=size.mass_t * storeys_up[size.storey])
        for size in sizes
        if storeys_up.get(size.storey)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Summed:
    """One kind of work over the building, in its unit: all of it, and what of it takes extras."""

    work: str
    kind: str
    amount: float
    above: float
    small: float  # in small rooms
    heavy: float


def summed(work: Work, rates: FirmRates, storeys_up: Mapping[str, int]) -> tuple[Summed, ...]:
    """Amounts summed over the walls, in the order of the work."""
    grouped = _grouped(work, storeys_up)
    small = small_rooms(work, rates)
    return tuple(
        Summed(
            work=name,
            kind=kind,
            amount=fsum(one.amount for one in grouped[name, kind]),
            above=fsum(one.above for one in grouped[name, kind]),
            small=fsum(one.amount for one in grouped[name, kind] if one.wall in small),
            heavy=fsum(one.heavy for one in grouped[name, kind]),
        )
        for name, kind in sorted(grouped, key=lambda key: (WORKS.index(key[0]), key[1]))
    )


def small_rooms(work: Work, rates: FirmRates) -> frozenset[str]:
    """The walls of rooms with less lining than makes a room a full one."""
    in_room: dict[tuple[str, str], list[float]] = {}
    for size in work.sizes:
        in_room.setdefault((size.storey, size.room), []).append(size.face_m2)
    limit = rates.figure("small room")
    return frozenset(size.wall for size in work.sizes if fsum(in_room[size.storey, size.room]) < limit)


def _grouped(work: Work, storeys_up: Mapping[str, int]) -> dict[tuple[str, str], list[Amount]]:
    grouped: dict[tuple[str, str], list[Amount]] = {}
    for amount in (*work.amounts, *carried(work.sizes, storeys_up)):
        grouped.setdefault((amount.work, amount.kind), []).append(amount)
    return grouped


def labour_of(
    work: Work,
    rates: FirmRates,
    storeys_up: Mapping[str, int],
    *,
    extra_days: float = 0,
    with_shares: bool = True,
    sums: Sequence[Summed] = (),
) -> tuple[LabourLine, ...]:
    """Every line of labour, in the order of the work; ``extra_days``: so much longer for the whole crew.

    ``sums`` are those of the same work (`summed`), where they are known already.
    """
    counted = _Counted(work, rates, storeys_up, with_shares)
    lines = [line for one in sums or summed(work, rates, storeys_up) for line in counted.lines(one)]
    return (*lines, *counted.standing(extra_days))


class _Counted:
    """Labour of one building, line by line."""

    def __init__(
        self, work: Work, rates: FirmRates, storeys_up: Mapping[str, int], with_shares: bool
    ) -> None:
        self.rates, self.with_shares = rates, with_shares
        if with_shares:
            self.place = {size.wall: number for number, size in enumerate(work.sizes)}
            self.faces = [size.face_m2 for size in work.sizes]
            self.grouped, self.small = _grouped(work, storeys_up), small_rooms(work, rates)

    def lines(self, one: Summed) -> list[LabourLine]:
        """The lines of one kind of work, one for each trade that takes part."""
        amount = figure(one.amount, 3)
        if amount == 0:
            return []
        extras, words = self._extras(one)
        total_extra = figure(sum(map(exact, extras), Fraction(0)), 3)
        shares = self._weights(self.grouped[one.work, one.kind]) if self.with_shares else []
        times, why = self._times(one.work, one.kind)
        fitter, helper, source = self.rates.minutes[one.work]
        made = []
        for trade, basic in ((JOINTER if one.work in JOINTING else FITTER, fitter), (HELPER, helper)):
            minutes = figure(exact(basic) * exact(times), 3)
            if minutes == 0:
                continue
            hours = figure(exact(amount) * exact(minutes) * (1 + exact(total_extra)) / 60, 2)
            working = f"{quantity_words(UNITS[one.work], amount, ',.3f')} × {minutes:g} min"
            working += f" ({basic:g} × {times:g}, {why})" if why else ""
            working += f" × (1 + {total_extra:.3f}: {words})" if words else ""
            made.append(
                self._line(
                    (one.work, one.kind, trade),
                    (amount, minutes, total_extra, hours),
                    working,
                    source,
                    shares,
                )
            )
        return made

    def standing(self, days: float) -> list[LabourLine]:
        """The whole crew so many days longer."""
        if not days:
            return []
        day = self.rates.figure("hours of a day")
        weights = self.faces if self.with_shares else []
        made = []
        for trade, crew in self.rates.crew.items():
            hours = figure(exact(float(days)) * exact(day) * exact(crew.people), 2)
            working = f"{days:g} days × {day:g} h × {crew.people:g} {trade}"
            made.append(
                self._line(
                    (STANDING, "", trade), (float(days), 0.0, 0.0, hours), working, crew.source, weights
                )
            )
        return made

    def _line(
        self,
        named: tuple[str, str, str],
        figures: tuple[float, float, float, float],
        working: str,
        source: str,
        weights: Sequence[float],
    ) -> LabourLine:
        (work, kind, trade), (amount, minutes, extras, hours) = named, figures
        rate = cents(exact(self.rates.labour[trade]))
        total = cents(exact(hours) * Fraction(rate, 100))
        return LabourLine(
            work=work,
            kind=kind,
            trade=trade,
            unit=UNITS.get(work, "d"),
            amount=amount,
            minutes=minutes,
            extras=extras,
            hours=hours,
            rate=rate,
            total=total,
            working=f"{working} = {hours:.2f} h",
            source=source,
            shares=share_out(total, weights) if self.with_shares else (),
        )

    def _times(self, work: str, kind: str) -> tuple[float, str]:
        """How many times the minutes of its operation a kind of work takes, and why."""
        table = self.rates.drilling if work == Operation.BRACKET else self.rates.kinds
        found = table.get(kind)
        return (found.times, f"{kind}: {found.source}") if found and found.times != 1 else (1.0, "")

    def _extras(self, one: Summed) -> tuple[list[float], str]:
        """Extras over all the amounts, each rounded, and what they are for."""
        parts = {
            "above reach": one.above * self.rates.figure("more above reach"),
            "small rooms": one.small * self.rates.figure("more in a small room"),
            "heavy boards": one.heavy * self.rates.figure("more with heavy boards"),
        }
        found = {name: figure(part / one.amount, 3) for name, part in parts.items()}
        found = {name: extra for name, extra in found.items() if extra}
        return list(found.values()), ", ".join(f"{name} {extra:.3f}" for name, extra in found.items())

    def _weights(self, amounts: Sequence[Amount]) -> list[float]:
        """What each wall weighs in a line: its amount with its own extras."""
        weights = [0.0] * len(self.place)
        high, small, heavy = map(
            self.rates.figure, ("more above reach", "more in a small room", "more with heavy boards")
        )
        for one in amounts:
            extra = (
                one.above * high + one.heavy * heavy + (one.amount * small if one.wall in self.small else 0.0)
            )
            weights[self.place[one.wall]] += one.amount + extra
        return weights


def crew_days(
    lines: Sequence[LabourLine], sums: Sequence[Summed], rates: FirmRates, extra_days: float = 0
) -> CrewDays:
    """How long the crew is on site: the longest of its trades, jointers partly beside the others."""
    hours = dict.fromkeys((FITTER, HELPER, JOINTER), Fraction(0))
    for line in lines:
        if line.work != STANDING:
            hours[line.trade] += exact(line.hours)
    day = exact(rates.figure("hours of a day"))
    days = {trade: spent / (day * exact(rates.crew[trade].people)) for trade, spent in hours.items()}
    framing, jointing = max(days[FITTER], days[HELPER]), days[JOINTER]
    apart = 1 - exact(rates.figure("jointing beside framing"))
    length = max(framing + jointing * apart, jointing)
    whole = max(0, ceil(length + exact(float(extra_days))))
    framing_days, jointing_days = figure(framing, 2), figure(jointing, 2)
    standing = dict.fromkeys(hours, Fraction(0))
    for line in lines:
        if line.work == STANDING:
            standing[line.trade] += exact(line.hours)
    on_wall = [one for one in sums if one.work == Operation.BOARD]
    boarded = fsum(one.amount for one in on_wall)
    return CrewDays(
        fitter_hours=float(hours[FITTER] + standing[FITTER]),
        helper_hours=float(hours[HELPER] + standing[HELPER]),
        jointer_hours=float(hours[JOINTER] + standing[JOINTER]),
        framing_days=framing_days,
        jointing_days=jointing_days,
        days=whole,
        weeks=float(half_up(whole / exact(rates.figure("days of a week")), 2)),
        above=figure(fsum(one.above for one in on_wall) / boarded, 3) if boarded else 0.0,
        working=(
            f"framing {framing_days:g} d, the longer of fitters and helpers; jointing {jointing_days:g} d, of"
            f" which {float(apart):.0%} after framing"
            + (f"; {extra_days:g} d longer" if extra_days else "")
            + f"; together {whole} d, rounded up"
        ),
    )
