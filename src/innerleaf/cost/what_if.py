"""What if boards cost more, work takes longer, a supplier is missing? The price reckoned anew, each alone.

Changes are plain words: ``boards +10 %``, ``labour +5 %``, ``minutes of board +10 %``, ``days +2``,
``VAT 19 %``, ``without SUPPLIER``; a comma joins changes that come together. Each is reckoned in full,
nothing is extrapolated; only purchases stay as they are, at another price, unless a supplier is missing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from innerleaf.cost.labour import summed
from innerleaf.cost.model import Order
from innerleaf.cost.order_choices import IN_HAND, PRICE_LIST
from innerleaf.cost.price import price_of, vat_of
from innerleaf.cost.price_lines import storeys_up
from innerleaf.cost.price_model import DELIVERY, MATERIAL, Price, PriceBasis
from innerleaf.cost.price_money import cents, exact
from innerleaf.errors import InputError
from innerleaf.job.schema_pricing import MarginFields
from innerleaf.practice.rates import GROUPS, PEOPLE, WORKS, FirmRates, MarkUp

Rebuy = Callable[[str], Order]
"""Buys everything again without the supplier named."""

_CHANGE: Final = re.compile(r"(.+?)\s*([-+−])\s*([0-9]+(?:\.[0-9]+)?)\s*%\Z")
_DAYS: Final = re.compile(r"days\s*([-+−])\s*([0-9]+(?:\.[0-9]+)?)\Z")
_SET: Final = re.compile(r"(vat|overhead|margin)\s+([0-9]+(?:\.[0-9]+)?)\s*%?\Z", re.IGNORECASE)
_SITE: Final = ("plant", "preliminaries", "waste")
_MOST: Final = 10  # rows of the table of sensitivities


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """A price after a change. Money in hundredths.

    ``net`` and ``gross`` are the price reckoned anew; ``margin_kept`` is what is left if the price stays as
    it was offered and the change comes true, ``margin_kept_percent`` its share of that price.
    ``at_list_price`` names articles that no supplier is left for: they count at the firm's price list.
    """

    words: str
    cost: int
    net: int
    gross: int
    change_of_cost: int
    change_of_net: int
    change_of_gross: int
    margin_kept: int
    margin_kept_percent: float
    days: int
    unpriced: tuple[str, ...]
    at_list_price: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """What the net price changes by where one input is 10 % more, before rounding. [hundredths]"""

    words: str
    cost: int
    change_of_net: int


def what_if(
    basis: PriceBasis, words: Iterable[str], rebuy: Rebuy | None = None
) -> tuple[Price, tuple[Changed, ...]]:
    """The price as it is and after each change alone.

    Raises
    ------
    InputError
        Words that say no change, or a supplier that sells nothing here.
    """
    basis = _summed(basis)
    base = price_of(basis, with_walls=False)
    listed = _listed(basis.order)
    return base, tuple(_changed(text, base, changed_by(basis, text, rebuy), listed) for text in words)


def _summed(basis: PriceBasis) -> PriceBasis:
    """The basis with its work summed once for all changes."""
    return replace(basis, sums=summed(basis.work, basis.rates, storeys_up(basis.pricing)))


def _groups(basis: PriceBasis) -> list[str]:
    """Groups of material that are bought."""
    return sorted({line.group for line in basis.order.lines})


def _listed(order: Order) -> frozenset[str]:
    """Articles that no supplier offers: they are in the order at the firm's price list."""
    return frozenset(line.article for line in order.lines if line.supplier == PRICE_LIST)


def usual(basis: PriceBasis) -> tuple[str, ...]:
    """Changes worth a look for any job, in the words of `what_if`; the supplier is the one who sells most."""
    groups = _groups(basis)
    vat = vat_of(basis.rates, basis.pricing).percent
    sold: dict[str, int] = {}
    for line in basis.order.lines:
        if line.supplier not in (PRICE_LIST, IN_HAND):
            sold[line.supplier] = sold.get(line.supplier, 0) + line.total
    told = ["boards +10 %"] if "boards" in groups else []
    told += ["material +10 %", "labour +5 %", "minutes +10 %", "days +2", f"VAT {vat + 1:g} %"]
    if sold:
        told.append(f"without {max(sorted(sold), key=lambda name: sold[name])}")
    return tuple(told)


def check_words(words: Iterable[str]) -> None:
    """Refuse words that say no change whatever the job is, before anything is planned.

    Raises
    ------
    InputError
        They say none; suppliers are not looked up.
    """
    plain = ("material", *GROUPS, "delivery", "deliveries", "labour", *PEOPLE, "minutes", *_SITE, "overhead")
    known = {*plain, *(f"minutes of {work}" for work in WORKS)}
    for text in words:
        parts = [part.strip() for part in text.split(",") if part.strip()]
        for part in parts:
            found = _CHANGE.match(part)
            more = found is not None and found[1].strip().lower() in known
            if not (more or _DAYS.match(part) or _SET.match(part) or part.lower().startswith("without ")):
                raise InputError("what if", given=part, accepted=_accepted(GROUPS))
        if not parts:
            raise InputError("what if", given=text, accepted=_accepted(GROUPS))


def changed_by(basis: PriceBasis, words: str, rebuy: Rebuy | None = None) -> PriceBasis:
    """What a price rests on after changes in words; a comma joins several."""
    parts = [part.strip() for part in words.split(",") if part.strip()]
    if not parts:
        raise InputError("what if", given=words, accepted=_accepted(_groups(basis)))
    for part in parts:
        basis = _one(basis, part, rebuy)
    return basis


def sensitivities(basis: PriceBasis) -> tuple[Sensitivity, ...]:
    """The ten inputs by which the net price changes most, each 10 % more and reckoned anew."""
    basis = _summed(basis)
    base = price_of(basis, with_walls=False)
    found = []
    for name, cost in _inputs(base).items():
        after = price_of(changed_by(basis, f"{name} +10 %"), with_walls=False)
        change = _unrounded(after) - _unrounded(base)
        found.append(Sensitivity(words=f"{name} +10 %", cost=cost, change_of_net=change))
    found.sort(key=lambda each: (-abs(each.change_of_net), each.words))
    return tuple(found[:_MOST])


def _inputs(base: Price) -> dict[str, int]:
    """Inputs that can be more or less, by the words that change them, with what they cost."""
    inputs: dict[str, int] = {}
    for line in base.labour:
        if line.work in WORKS:
            name = f"minutes of {line.work}"
            inputs[name] = inputs.get(name, 0) + line.total
    for other in base.lines:
        name = (
            other.group if other.part == MATERIAL else "deliveries" if other.part == DELIVERY else other.part
        )
        if other.part in (MATERIAL, DELIVERY, *_SITE):
            inputs[name] = inputs.get(name, 0) + other.total
    inputs["overhead"] = base.of_kind("overhead")
    return inputs


def _unrounded(price: Price) -> int:
    return price.net - price.of_kind("rounding")


def _changed(words: str, base: Price, basis: PriceBasis, listed: frozenset[str]) -> Changed:
    price = price_of(basis, with_walls=False)
    kept = base.net - price.cost
    return Changed(
        words=words,
        cost=price.cost,
        net=price.net,
        gross=price.gross,
        change_of_cost=price.cost - base.cost,
        change_of_net=price.net - base.net,
        change_of_gross=price.gross - base.gross,
        margin_kept=kept,
        margin_kept_percent=round(100 * kept / base.net, 2) if base.net else 0.0,
        days=price.crew.days,
        unpriced=price.unpriced,
        at_list_price=tuple(sorted(_listed(basis.order) - listed)),
    )


def _one(basis: PriceBasis, words: str, rebuy: Rebuy | None) -> PriceBasis:
    if found := _DAYS.match(words):
        days = float(found[2]) * (1 if found[1] == "+" else -1)
        if days < 0:
            raise InputError("what if", given=words, accepted="days that are added, such as days +2")
        return replace(basis, extra_days=basis.extra_days + days)
    if words.lower().startswith("without "):
        return _without(basis, words[len("without ") :].strip(), rebuy)
    if found := _SET.match(words):
        return _set(basis, found[1].lower(), float(found[2]), words)
    if found := _CHANGE.match(words):
        percent = float(found[3]) * (1 if found[2] == "+" else -1)
        if percent >= -100:
            changed = _scaled(basis, found[1].strip().lower(), percent)
            if changed is not None:
                return changed
    raise InputError("what if", given=words, accepted=_accepted(_groups(basis)))


def _without(basis: PriceBasis, supplier: str, rebuy: Rebuy | None) -> PriceBasis:
    known = sorted({line.supplier for line in basis.order.lines} - {PRICE_LIST, IN_HAND})
    named = [name for name in known if name.lower() == supplier.lower()]
    named = named or [name for name in known if name.lower().startswith(supplier.lower())]
    if len(named) != 1:
        raise InputError("what if, supplier", given=supplier, accepted=f"one of {', '.join(known)}")
    if rebuy is None:
        raise InputError("what if", given=f"without {supplier}", accepted="offers of several suppliers")
    return replace(basis, order=rebuy(named[0]))


def _set(basis: PriceBasis, what: str, percent: float, words: str) -> PriceBasis:
    if percent > 100 or (what == "margin" and percent == 100):
        raise InputError("what if", given=words, accepted="at most 100 %, a margin less")
    pricing = basis.pricing
    if what == "margin":
        of = pricing.margin.of if pricing.margin else basis.rates.markups["margin"].of
        margin = MarginFields.model_construct(percent=percent, of=of)
        return replace(basis, pricing=pricing.model_copy(update={"margin": margin}))
    return replace(basis, pricing=pricing.model_copy(update={what: percent}))


def _scaled(basis: PriceBasis, what: str, percent: float) -> PriceBasis | None:
    """The basis with one input so many per cent more; None where there is no such input."""
    groups = set(_groups(basis))
    if what == "material" or what in groups:
        return replace(basis, order=_dearer(basis.order, groups if what == "material" else {what}, percent))
    if what in ("deliveries", "delivery"):
        deliveries = tuple(replace(d, charge=_times(d.charge, percent)) for d in basis.order.deliveries)
        return replace(basis, order=replace(basis.order, deliveries=deliveries))
    if what == "overhead":
        return _more_overhead(basis, percent)
    rates = _scaled_rates(basis.rates, what, percent)
    return replace(basis, rates=rates) if rates else None


def _scaled_rates(rates: FirmRates, what: str, percent: float) -> FirmRates | None:
    if what == "labour" or what in PEOPLE:
        trades = PEOPLE if what == "labour" else (what,)
        more = {trade: _figure(rates.labour[trade], percent) for trade in trades}
        return replace(rates, labour={**rates.labour, **more})
    work = what.removeprefix("minutes of ").strip()
    if what == "minutes" or (what != work and work in WORKS):
        names = WORKS if what == "minutes" else (work,)
        minutes = {
            name: (_figure(fitter, percent), _figure(helper, percent), source)
            for name, (fitter, helper, source) in rates.minutes.items()
            if name in names
        }
        return replace(rates, minutes={**rates.minutes, **minutes})
    if what in ("plant", "preliminaries"):
        return replace(rates, **_each(what, getattr(rates, what), ("price",), percent))
    if what == "waste":
        return replace(rates, **_each(what, rates.waste, ("tonne", "skip"), percent))
    return None


def _more_overhead(basis: PriceBasis, percent: float) -> PriceBasis:
    """Overhead in percent, itself so many per cent more."""
    if basis.pricing.overhead is not None:
        more = _figure(basis.pricing.overhead, percent)
        return replace(basis, pricing=basis.pricing.model_copy(update={"overhead": more}))
    before: MarkUp = basis.rates.markups["overhead"]
    after = replace(before, percent=_figure(before.percent, percent))
    return replace(basis, rates=replace(basis.rates, markups={**basis.rates.markups, "overhead": after}))


def _each(
    section: str, entries: Mapping[str, Any], fields: tuple[str, ...], percent: float
) -> dict[str, Any]:
    """A section of rates with some fields of every entry so many per cent more."""
    return {
        section: {
            name: replace(entry, **{field: _figure(getattr(entry, field), percent) for field in fields})
            for name, entry in entries.items()
        }
    }


def _dearer(order: Order, groups: Iterable[str], percent: float) -> Order:
    named = set(groups)
    lines = tuple(
        replace(line, price_of_pack=_times(line.price_of_pack, percent), total=_times(line.total, percent))
        if line.group in named
        else line
        for line in order.lines
    )
    more = sum(line.total for line in lines) - sum(line.total for line in order.lines)
    return replace(order, lines=lines, total=order.total + more)


def _times(amount: int, percent: float) -> int:
    return cents(exact(amount / 100) * (100 + exact(percent)) / 100)


def _figure(value: float, percent: float) -> float:
    return float(exact(value) * (100 + exact(percent)) / 100)


def _accepted(groups: Iterable[str]) -> str:
    what = ", ".join(("material", *groups, "deliveries", "labour", *PEOPLE, "minutes", *_SITE, "overhead"))
    return (
        f"one of {what} with a change such as +10 %; minutes of one operation (minutes of board +10 %);"
        " days +2; VAT, overhead or margin with its rate (VAT 19 %); without and the name of a supplier"
    )
