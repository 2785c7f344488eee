"""The offers of a supply list: each entry is one, or one for each of its lengths."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from fractions import Fraction
from typing import Any, Final

from innerleaf.cost.price_money import cents
from innerleaf.cost.supply import MOST_CENTS, Break, Offer
from innerleaf.cost.supply_values import PER, Fields, content_of, meant
from innerleaf.practice.measures import Measure, measure_of, usual_pack
from innerleaf.practice.model import Practice
from innerleaf.reading import Place

MOST_OFFERS: Final = 50_000
MOST_DAYS: Final = 400
MOST_PACKS: Final = 10**6
_FIELDS: Final = (
    "article",
    "length",
    "supplier",
    "code",
    "pack",
    "pack_name",
    "price",
    "per",
    "breaks",
    "least_packs",
    "lead_days",
    "valid_until",
    "pack_kg",
    "note",
)


class OfferReader:
    """Takes offers apart; what is wrong is noted in ``values``."""

    def __init__(self, values: Fields, practice: Practice, suppliers: Collection[str]) -> None:
        self.values, self.practice, self.suppliers = values, practice, suppliers

    def all(self, place: Place, given: Any) -> list[Offer]:
        """Every offer that can be used."""
        if isinstance(given, list) and len(given) > MOST_OFFERS:
            raise self.values.wrong(place, "offers", f"{len(given)} offers", f"{MOST_OFFERS} or fewer")
        made = self.values.each(place, given, "offers", self._some)
        offers = [offer for some in made for offer in some]
        seen: set[tuple[str, str]] = set()
        for offer in offers:
            key = (offer.supplier, offer.code)
            if key in seen:
                accepted = f"each code of a supplier once ({offer.supplier} has it twice)"
                self.values.wrong(place, "code", offer.code, accepted)
            seen.add(key)
        return offers

    def _some(self, at: Place, entry: Any) -> list[Offer]:
        values = self.values
        said = values.group(at, entry, _FIELDS, "offer")
        article = values.word((*at, "article"), said.get("article"), "article")
        measure = measure_of(self.practice, article)
        if measure is None:
            accepted = f"an article of practice set {self.practice.id}{meant(self.practice, article)}"
            raise values.wrong((*at, "article"), "article", article, accepted)
        about = f"offer of {article}"
        pack = self._pack(at, said, measure, article)
        lengths = self._lengths(at, said, measure, article)
        code = values.line((*at, "code"), said.get("code"), f"{about}: code")
        name = said.get("pack_name", measure.piece if pack == 1 and measure.by_length else "pack")

        def whole(field: str, usual: int, most: int) -> int:
            return values.whole((*at, field), said.get(field, usual), f"{about}: {field}", usual, most)

        return [
            Offer(
                article=article,
                supplier=self._supplier(at, said, about),
                code=f"{code}-{length}" if len(lengths) > 1 else code,
                pack=pack,
                pack_name=values.line((*at, "pack_name"), name, f"{about}: pack_name"),
                prices=_Prices(values, at, about, measure, pack, length).read(said),
                length_mm=length,
                least_packs=whole("least_packs", 1, MOST_PACKS),
                lead_days=whole("lead_days", 0, MOST_DAYS),
                valid_until=(
                    values.date((*at, "valid_until"), said["valid_until"], f"{about}: valid_until")
                    if "valid_until" in said
                    else ""
                ),
                pack_kg=values.from_((*at, "pack_kg"), said.get("pack_kg", 0), f"{about}: pack_kg"),
                note=values.line((*at, "note"), said["note"], f"{about}: note") if "note" in said else "",
            )
            for length in lengths
        ]

    def _supplier(self, at: Place, said: dict[str, Any], about: str) -> str:
        supplier = self.values.word((*at, "supplier"), said.get("supplier"), f"{about}: supplier")
        if supplier not in self.suppliers:
            accepted = f"one of `suppliers`: {', '.join(self.suppliers) or '(there are none)'}"
            raise self.values.wrong((*at, "supplier"), f"{about}: supplier", supplier, accepted)
        return supplier

    def _lengths(self, at: Place, said: dict[str, Any], measure: Measure, article: str) -> Sequence[int]:
        place, field = (*at, "length"), f"offer of {article}: length"
        if not measure.by_length:
            if "length" in said:
                accepted = f"no length: {article} is bought by the pack"
                raise self.values.wrong(place, field, said["length"], accepted)
            return (0,)
        given = said.get("length", measure.length_mm or None)
        lengths = given if isinstance(given, list) else [given]
        made = [self.values.whole(place, each, field, 10, 100_000) for each in lengths]
        if not made or len(set(made)) < len(made):
            raise self.values.wrong(place, field, given, "a length in mm, or a list of different lengths")
        if measure.length_mm and set(made) != {measure.length_mm}:
            accepted = f"{measure.length_mm}, the length of {article} in practice set {self.practice.id}"
            raise self.values.wrong(place, field, given, accepted)
        return made

    def _pack(self, at: Place, said: dict[str, Any], measure: Measure, article: str) -> float:
        """Pieces, mm or kg in a pack; the file gives rolls and beads of sealant in metres."""
        place, field = (*at, "pack"), f"offer of {article}: pack"
        if "pack" not in said:
            return usual_pack(self.practice, article)
        if measure.by_length or measure.unit == "piece":
            return self.values.whole(place, said["pack"], field, 1, MOST_PACKS)
        number = self.values.from_(place, said["pack"], field, above=True)
        return number * 1000 if measure.unit == "mm" else number


class _Prices:
    """The price of one offer and its breaks."""

    def __init__(
        self, values: Fields, at: Place, about: str, measure: Measure, pack: float, length_mm: int
    ) -> None:
        self.values, self.at, self.about = values, at, about
        self.measure, self.pack, self.length_mm = measure, pack, length_mm

    def read(self, said: dict[str, Any]) -> tuple[Break, ...]:
        """All prices, of the first pack first."""
        per = str(said.get("per", "pack"))
        content = content_of(self.measure, self.pack, self.length_mm, per)
        if content is None:
            known = [word for word in PER if content_of(self.measure, self.pack, self.length_mm, word)]
            raise self.values.wrong((*self.at, "per"), f"{self.about}: per", per, ", ".join(known))
        steps = [Break(1, self._price(self.at, said, content))]
        entries = said.get("breaks", [])
        if not isinstance(entries, list):
            accepted = "a list such as [{packs: 10, price: 4.20}]"
            raise self.values.wrong((*self.at, "breaks"), f"{self.about}: breaks", entries, accepted)
        for index, entry in enumerate(entries):
            place = (*self.at, "breaks", index)
            step = self._break(place, entry, content, per)
            if step.packs <= steps[-1].packs or step.price >= steps[-1].price:
                accepted = "breaks from few packs to many, each cheaper than the one before"
                raise self.values.wrong(place, f"{self.about}: break", entry, accepted)
            steps.append(step)
        return tuple(steps)

    def _break(self, place: Place, entry: Any, content: Fraction, per: str) -> Break:
        step = self.values.group(place, entry, ("packs", "quantity", "price"), f"{self.about}: break")
        if ("packs" in step) == ("quantity" in step):
            accepted = f"either `packs` or `quantity` (of what the price is for: {per})"
            raise self.values.wrong(place, f"{self.about}: break", entry, accepted)
        if "packs" in step:
            packs = self.values.whole((*place, "packs"), step["packs"], f"{self.about}: packs", 2, MOST_PACKS)
        else:
            at = (*place, "quantity")
            amount = self.values.from_(at, step["quantity"], f"{self.about}: quantity", above=True)
            packs = math.ceil(Fraction(str(amount)) / content)
        return Break(packs, self._price(place, step, content))

    def _price(self, at: Place, said: dict[str, Any], content: Fraction) -> int:
        place, field = (*at, "price"), f"{self.about}: price"
        price = self.values.from_(place, said.get("price"), field, above=True)
        cost = cents(Fraction(str(price)) * content)
        if not 0 < cost <= MOST_CENTS:
            accepted = "a price at which a pack costs 0.01 or more, and less than a thousand million"
            raise self.values.wrong(place, field, price, accepted)
        return cost
