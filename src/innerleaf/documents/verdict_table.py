"""Verdicts as a table: value, limit, margin, how sure, with the working under each."""

from __future__ import annotations

from collections.abc import Iterable

from innerleaf.documents.schedule import Table
from innerleaf.verdicts import Verdict

# Of values in a unit; 3 in all others.
_DECIMALS = {"mm": 1, "%": 2, "dB": 1, "N·m": 1, "N": 0, "N/m": 0, "signs": 0}
_INDENT = "\u2003"  # a broad space, at which no line is broken


def verdict_table(verdicts: Iterable[Verdict], *, sources_below: bool = False) -> Table:
    """One row a verdict, its working below the requirement; its source likewise, or in a column."""
    rows = [
        (
            "\n".join((verdict.requirement, *(_INDENT + line for line in _working(verdict, sources_below)))),
            verdict_figure(verdict.value, verdict.unit),
            verdict_figure(verdict.uncertainty, verdict.unit) if verdict.uncertainty else "",
            f"{'at most' if verdict.at_most else 'at least'} {verdict_figure(verdict.limit, verdict.unit)}",
            verdict_figure(verdict.margin, verdict.unit, sign=True),
            "" if verdict.unit == "-" else verdict.unit,
            "✓ met" if verdict.met else "× NOT MET",
            "" if verdict.risk is None else likelihood(verdict.risk),
            *(() if sources_below else (verdict.source,)),
        )
        for verdict in verdicts
    ]
    columns = (
        "requirement and working",
        "value",
        "u",
        "limit",
        "margin",
        "unit",
        "verdict",
        "likely missed",
        *(() if sources_below else ("source",)),
    )
    figures = ("value", "u", "limit", "margin", "likely missed")
    return Table("Verdicts", columns, tuple(rows), figures, ruled=tuple(range(len(rows))))


def _working(verdict: Verdict, with_source: bool) -> tuple[str, ...]:
    return (*verdict.working, f"source: {verdict.source}") if with_source else verdict.working


def verdict_figure(value: float, unit: str, *, sign: bool = False) -> str:
    """A figure with the decimals that its unit has here."""
    decimals = _DECIMALS.get(unit, 3)
    if decimals == 1 and abs(value - round(value)) < 0.05:
        decimals = 0
    return signed(value, decimals, plus=sign)


def signed(value: float, decimals: int, *, plus: bool = False) -> str:
    """The figure, with a true minus; a rounded zero has no sign."""
    words = f"{abs(value):.{decimals}f}"
    if not float(words):
        return words
    return f"−{words}" if value < 0 else f"+{words}" if plus else words


def likelihood(risk: float) -> str:
    """Whole percents: what scatters is assumed, so neither end of the scale is known any closer."""
    if risk < 0.01:
        return "< 1 %"
    if risk > 0.99:
        return "> 99 %"
    return f"{100 * risk:.0f} %"
