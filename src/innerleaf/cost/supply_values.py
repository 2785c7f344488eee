"""Single values of supply lists: texts, numbers, dates, money, and how many a price is for."""

from __future__ import annotations

import difflib
from datetime import date
from fractions import Fraction
from typing import Any, Final

from innerleaf.practice.measures import Measure, articles
from innerleaf.practice.model import Practice
from innerleaf.reading import Place
from innerleaf.section_values import Values

PER: Final = ("pack", "piece", "100", "1000", "m", "m2", "kg")
MOST_NUMBER: Final = 1e9
LONGEST_LINE: Final = 500


class Fields(Values):
    """Values out of a supply list; what is wrong is noted with its line."""

    def line(self, place: Place, value: Any, field: str) -> str:
        """One line of text, spaces tidied; a bare whole number will do."""
        if isinstance(value, int) and not isinstance(value, bool):
            value = str(value)
        words = " ".join(value.split()) if isinstance(value, str) else ""
        if not words or not words.isprintable() or len(words) > LONGEST_LINE:
            accepted = f"a line of text of {LONGEST_LINE} characters or fewer"
            raise self.wrong(place, field, value, accepted)
        return words

    def from_(self, place: Place, value: Any, field: str, *, low: float = 0, above: bool = False) -> float:
        """A number from ``low`` on; ``above`` it."""
        words = f"a number above {low:g}" if above else f"a number, {low:g} or more"

        def good(number: float) -> bool:
            return number < MOST_NUMBER and (number > low if above else number >= low)

        return self.number(place, value, field, words, good)

    def whole(self, place: Place, value: Any, field: str, low: int, high: int) -> int:
        """A whole number within bounds."""
        words = f"a whole number from {low} to {high}"
        return int(self.number(place, value, field, words, lambda n: n == int(n) and low <= n <= high))

    def date(self, place: Place, value: Any, field: str) -> str:
        """A date."""
        try:
            return date.fromisoformat(str(value)).isoformat()
        except ValueError:
            raise self.wrong(place, field, value, "a date such as 2026-01-15") from None


def content_of(measure: Measure, pack: float, length_mm: int, per: str) -> Fraction | None:
    """How many of what a price is for are in one pack; None where such a price means nothing."""
    number = Fraction(str(pack))
    known = {"pack": Fraction(1)}
    if measure.by_length or measure.unit == "piece":
        known |= {"piece": number, "100": number / 100, "1000": number / 1000}
    if measure.by_length:
        known["m"] = number * length_mm / 1000
        if measure.width_mm:
            known["m2"] = known["m"] * measure.width_mm / 1000
    elif measure.unit == "mm":
        known["m"] = number / 1000
    elif measure.unit == "kg":
        known |= {"kg": number, "1000": number / 1000}
    return known.get(per)


def meant(practice: Practice, article: str) -> str:
    """`` (did you mean board-A-12.5?)``, where an article is near."""
    near = difflib.get_close_matches(article[:60], list(articles(practice)), n=1)
    return f" (did you mean {near[0]}?)" if near else ""
