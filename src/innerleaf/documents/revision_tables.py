"""What became of a plan as plain tables: walls, pieces, quantities, money, hours, bought and built."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from innerleaf.cost.price_money import money
from innerleaf.documents.schedule import Cell, Table
from innerleaf.documents.verdict_table import signed
from innerleaf.documents.view import short
from innerleaf.practice.measures import AS_READ, figure_words
from innerleaf.revise.figures import Figure, Money
from innerleaf.revise.match import HOWS, STAYED, PieceChange
from innerleaf.revise.pieces import KINDS
from innerleaf.revise.revision import Revision
from innerleaf.revise.stock import StockLine, StockReport
from innerleaf.revise.walls import NEW_WALL, WallRevision

_TINY: Final = 1e-6


def wall_change_table(revision: Revision) -> Table:
    """One row a wall that is not the same: what the survey says otherwise, what became of its pieces."""
    rows = tuple(
        (
            wall.wall,
            ", ".join(filter(None, (wall.room, wall.storey))),
            wall.how,
            "; ".join(wall.words) or ("" if wall.how == NEW_WALL else "laid out otherwise"),
            *(str(sum(change.how == how for change in wall.pieces) or "–") for how in HOWS),
        )
        for wall in revision.touched
    )
    same = len(revision.walls) - len(rows)
    title = f"Walls that changed: {len(rows)} of {len(revision.walls)}; {same} stay as they are"
    return Table(title, ("wall", "room", "", "what changed", *HOWS), rows, HOWS, tuple(range(len(rows))))


def piece_table(wall: WallRevision) -> Table:
    """Every piece of a wall that did not stay, by kind."""
    order = {kind: number for number, kind in enumerate(KINDS)}
    touched = sorted(wall.touched, key=lambda change: order[change.piece.kind])
    rows = tuple(piece_row(change) for change in touched)
    renamed = sum(change.renamed and change.how == STAYED for change in wall.pieces)
    note = f"; {renamed} stay under another mark" if renamed else ""
    title = f"Wall {wall.wall}: pieces that did not stay{note}"
    return Table(title, ("mark before", "after", "piece", "", "before", "after", "by"), rows)


def piece_row(change: PieceChange) -> tuple[Cell, ...]:
    """A piece: marks, what it is, what became of it, its sizes and how far it went."""
    before, after, piece = change.before, change.after, change.piece
    return (
        short(before.mark, before.wall) if before else "–",
        short(after.mark, after.wall) if after else "–",
        f"{piece.kind}, {piece.what}" if piece.kind != piece.what else piece.kind,
        change.how,
        f"{before.item} {before.size}" if before else "–",
        f"{after.item} {after.size}" if after else "–",
        moved_words(change),
    )


def moved_words(change: PieceChange) -> str:
    """How far a piece went: right and up are positive. [mm]"""
    if not (change.before and change.after):
        return ""
    old, new = change.before.box, change.after.box
    right, up = new[0] - old[0], new[1] - old[1]
    parts = [
        f"{signed(value, 0, plus=True)} {way}" for value, way in ((right, "x"), (up, "y")) if round(value)
    ]
    return ", ".join(parts)


def quantity_table(revision: Revision) -> Table:
    """Quantities as built that are not the same."""
    rows = [
        (
            figure.group,
            figure.what,
            figure_words(figure.unit, figure.before),
            figure_words(figure.unit, figure.after),
            _change(figure),
            AS_READ.get(figure.unit, (figure.unit, 1.0))[0],
        )
        for figure in _different(revision.quantities)
    ]
    title = "Quantities as built that change"
    return Table(title, ("group", "what", "before", "after", "change", "unit"), tuple(rows), _RIGHT)


_RIGHT: Final = ("before", "after", "change")


def purchase_table(revision: Revision) -> Table:
    """Packs that would be bought were nothing there yet."""
    rows = [
        (
            figure.group,
            figure.what,
            f"{figure.before:,.0f}",
            f"{figure.after:,.0f}",
            signed(figure.change, 0, plus=True),
        )
        for figure in _different(revision.purchases)
    ]
    title = "To buy, if nothing were bought yet"
    return Table(title, ("group", "article and size", *_RIGHT), tuple(rows), _RIGHT)


def money_table(held: Money) -> Table:
    """Parts of the cost, steps to the price, and the sums; all of them, also those that stay."""
    rows = [_money_row(figure) for figure in held.parts if figure.before or figure.after]
    parts = len(rows)
    rows.append(_money_row(held.sum_of("direct cost")))
    rows += [_money_row(figure) for figure in held.steps if figure.before or figure.after]
    steps = len(rows)
    rows += [_money_row(held.sum_of(name)) for name in ("net", "tax", "gross")]
    title = f"Money, {held.currency}"
    return Table(title, ("", *_RIGHT), tuple(rows), _RIGHT, ruled=(parts, parts + 1, steps))


def wall_money_table(revision: Revision, held: Money) -> Table:
    """Net prices of the walls that changed; of all others together."""
    touched = {wall.wall for wall in revision.touched}
    mine = [figure for figure in held.walls if figure.what in touched]
    rest = [figure for figure in held.walls if figure.what not in touched]
    others = Figure(
        "wall",
        "all other walls",
        "money",
        sum(figure.before for figure in rest),
        sum(figure.after for figure in rest),
    )
    rows = tuple(_money_row(figure) for figure in (*mine, *([others] if rest else [])))
    return Table("Net price by wall, its share of what is common in it", ("wall", *_RIGHT), rows, _RIGHT)


def hours_table(held: Money) -> Table:
    """Hours by work and trade that change, their sum, and the days on site."""
    rows: list[tuple[Cell, ...]] = [
        (
            figure.what,
            figure.group,
            f"{figure.before:,.2f}",
            f"{figure.after:,.2f}",
            signed(figure.change, 2, plus=True),
        )
        for figure in _different(held.hours)
    ]
    before, after = sum(f.before for f in held.hours), sum(f.after for f in held.hours)
    rows.append(
        ("all hours", "", f"{before:,.2f}", f"{after:,.2f}", signed(round(after - before, 2), 2, plus=True))
    )
    days = held.days
    rows.append(
        (
            days.what,
            "crew",
            f"{days.before:g}",
            f"{days.after:g}",
            signed(days.change, 0, plus=True),
        )
    )
    return Table("Hours and days", ("work", "trade", *_RIGHT), tuple(rows), _RIGHT, ruled=(len(rows) - 2,))


def stock_tables(report: StockReport) -> list[Table]:
    """What must come more, what is over, what would be undone."""
    more = tuple(_stock_row(line, line.added, _still(line)) for line in report.added)
    fewer = tuple(_stock_row(line, -line.added, _still(line)) for line in report.dropped)
    freed = tuple(
        _stock_row(line, line.freed, f"{_amount(line, line.over)} left in all") for line in report.freed
    )
    columns = ("article", "length", "bought", "used", "", "unit", "note")
    undone = tuple(
        (piece.wall, short(piece.mark, piece.wall), piece.what, f"{piece.item} {piece.size}", piece.how)
        for piece in report.undone
    )
    useless = "; ".join(report.cut_for_nothing)
    tables = [
        Table("To be bought more", (*columns[:4], "more", *columns[5:]), more, ("bought", "used", "more")),
        Table("To be bought less", (*columns[:4], "less", *columns[5:]), fewer, ("bought", "used", "less")),
        Table(
            "Bought, and used no longer",
            (*columns[:4], "over", *columns[5:]),
            freed,
            ("bought", "used", "over"),
        ),
        Table(
            f"Built, and not as the later plan has it: {len(undone)}; {report.stays} built pieces stay",
            ("wall", "mark", "piece", "size", "would be"),
            undone,
        ),
    ]
    if useless:
        rows = ((useless,),)
        tables.append(Table("Cut already, and wanted no more", ("marks",), rows))
    return [table for table in tables if table.rows]


def _still(line: StockLine) -> str:
    return f"{_amount(line, line.more)} still to come in all" if line.more_before or line.added < 0 else ""


def _stock_row(line: StockLine, amount: float, words: str) -> tuple[Cell, ...]:
    note = "; ".join(filter(None, (words, line.note)))
    return (
        line.article,
        str(line.length_mm or ""),
        _amount(line, line.bought),
        _amount(line, line.used),
        _amount(line, amount),
        AS_READ.get(line.unit, (line.unit, 1.0))[0],
        note,
    )


def _amount(line: StockLine, amount: float) -> str:
    return figure_words(line.unit, amount)


def _different(figures: Iterable[Figure]) -> Sequence[Figure]:
    return [figure for figure in figures if abs(figure.change) > _TINY]


def _change(figure: Figure) -> str:
    per = AS_READ.get(figure.unit, (figure.unit, 1.0))[1]
    return signed(figure.change / per, 0 if figure.unit == "piece" else 2, plus=True)


def _money_row(figure: Figure) -> tuple[Cell, ...]:
    change = round(figure.change)
    sign = "+" if change > 0 else ""
    return figure.what, *(
        text.replace("-", "−")
        for text in (money(round(figure.before)), money(round(figure.after)), f"{sign}{money(change)}")
    )
