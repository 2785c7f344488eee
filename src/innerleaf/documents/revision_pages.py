"""revision.pdf: what became of a plan, in tables and on the drawings of the walls that changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from innerleaf.documents.pages import Note, Page, fitting, subject_of
from innerleaf.documents.pdf import set_pdf
from innerleaf.documents.revision_drawing import Cloud, drawings_of
from innerleaf.documents.revision_tables import (
    hours_table,
    money_table,
    moved_words,
    piece_table,
    purchase_table,
    quantity_table,
    stock_tables,
    wall_change_table,
    wall_money_table,
)
from innerleaf.documents.schedule import Table
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.view import short
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.measures import quantity_words
from innerleaf.revise.match import CAME, CHANGED, MOVED, STAYED, WENT, PieceChange
from innerleaf.revise.revision import Revision
from innerleaf.revise.walls import GONE_WALL, NEW_WALL, WallRevision

_NAMED: Final = 6  # pieces of one kind that a note names by mark


def revision_pdf(revision: Revision, plans: Sequence[WallPlan], title: TitleBlock) -> bytes:
    """The revision to PDF; ``plans`` are those of the later plan. The same revision gives the same bytes."""
    return set_pdf(revision_pages(revision, plans), [], title)


def revision_pages(revision: Revision, plans: Sequence[WallPlan]) -> list[Page]:
    """Summary, figures, then each wall that changed."""
    by_wall = {plan.wall.id: plan for plan in plans}
    pages = [_summary(revision), *_figures(revision)]
    for wall in revision.touched:
        pages += _wall_pages(wall, by_wall)
    return pages


def headline(revision: Revision) -> list[str]:
    """What changed, in a few sentences."""
    touched = revision.touched
    if revision.empty:
        return ["Nothing differs."]
    counts = {
        how: sum(c.how == how for w in touched for c in w.pieces) for how in (MOVED, CHANGED, CAME, WENT)
    }
    pieces = ", ".join(f"{count} {how}" for how, count in counts.items() if count)
    told = [
        f"{len(touched)} of {len(revision.walls)} walls differ" + (f": pieces {pieces}." if pieces else ".")
    ]
    held = revision.money
    if held:
        net, hours = held.sum_of("net"), sum(figure.change for figure in held.hours)
        told.append(
            f"Net price {_signed(net.change / 100, 2)} {held.currency}, now {net.after / 100:,.2f};"
            f" {_signed(hours, 1)} hours, {_signed(held.days.change, 0)} days on site."
        )
    stock = revision.stock
    if stock:
        told.append(
            f"{len(stock.added)} articles to be bought more, {len(stock.freed)} bought and used no longer"
            f" (paid: {stock.worth_freed / 100:,.2f}, in no sum above);"
            f" {stock.stays} built pieces stay, {len(stock.undone)} would be undone."
        )
    return told


def wall_lines(revision: Revision) -> Iterator[str]:
    """One line for each wall that differs, then what must be bought more and what is over."""
    for wall in revision.touched:
        counts = ", ".join(
            f"{count} {kind}{'s' * (count != 1)} {how}"
            for (kind, how), count in wall.counts().items()
            if how != STAYED
        )
        words = "; ".join(wall.words)
        yield f"  {wall.wall}, {wall.room}: {wall.how}" + "".join(
            f"; {text}" for text in (words, counts) if text
        )
    if revision.stock:
        stock = revision.stock
        sides = ("more", stock.added), ("less", stock.dropped), ("over", stock.freed)
        for title, lines in sides:
            for line in lines:
                amount = quantity_words(line.unit, line.freed if title == "over" else abs(line.added))
                length = f" {line.length_mm}" if line.length_mm else ""
                yield f"  {title}: {line.article}{length}, {amount}"


def _signed(value: float, decimals: int) -> str:
    words = f"{abs(value):,.{decimals}f}"
    return words if not float(words.replace(",", "")) else f"{'+' if value > 0 else '−'}{words}"


def _summary(revision: Revision) -> Page:
    notes = [
        Note(heading="In short" if number == 0 else "", text=text)
        for number, text in enumerate(headline(revision))
    ]
    notes.append(
        Note(
            heading="How pieces are told apart",
            text="Stayed: the same cut at the same place, perhaps under another mark. Moved: the same cut"
            " elsewhere on the wall. Changed: another cut in much of the same place. Came and went: the"
            " rest. On the drawings clouds with a number stand round what changed; dashes show what was.",
        )
    )
    if revision.money:
        notes.append(
            Note(
                heading="Money",
                text="Both prices are reckoned in full by the same rules; the difference holds overhead, risk"
                " and margin. What is common to all walls is shared out anew, so walls nothing was changed"
                " on may move a little.",
            )
        )
    return Page(
        wall="",
        title="Revision",
        subject=f"{revision.before} → {revision.after}",
        scale="",
        tables=_filled([wall_change_table(revision), *_money(revision)]),
        notes=fitting(notes, ""),
        wide=True,
    )


def _money(revision: Revision) -> list[Table]:
    held = revision.money
    return [money_table(held), wall_money_table(revision, held), hours_table(held)] if held else []


def _figures(revision: Revision) -> Iterator[Page]:
    sections: list[tuple[str, list[Table]]] = [
        ("Bought and built", stock_tables(revision.stock) if revision.stock else []),
        ("Quantities", [quantity_table(revision), purchase_table(revision)]),
    ]
    for title, tables in sections:
        filled = _filled(tables)
        if filled:
            subject = f"{revision.before} → {revision.after}"
            yield Page(wall="", title=title, subject=subject, scale="", tables=filled)


def _filled(tables: Sequence[Table]) -> tuple[Table, ...]:
    return tuple(table for table in tables if table.rows)


def _wall_pages(wall: WallRevision, plans: Mapping[str, WallPlan]) -> list[Page]:
    """A wall that is new or gone stands in the tables alone."""
    if wall.how in (NEW_WALL, GONE_WALL) or not wall.touched:
        return []
    plan = plans[wall.wall]
    subject = subject_of(plan)
    first = [
        Note(heading="What changed" if number == 0 else "", text=f"{words}.")
        for number, words in enumerate(wall.words)
    ]
    pages = [
        Page(
            wall=wall.wall,
            title=drawing.title,
            subject=subject,
            scale=f"1:{drawing.scale}",
            svg=drawing.svg,
            notes=fitting([*first, *cloud_notes(drawing.clouds)], "More: see the table of pieces."),
        )
        for drawing in drawings_of(plan, wall.touched)
    ]
    pages.append(
        Page(
            wall=wall.wall, title="Pieces", subject=subject, scale="", tables=(piece_table(wall),), wide=True
        )
    )
    return pages


def cloud_notes(clouds: Sequence[Cloud]) -> list[Note]:
    """What each cloud is about."""
    return [
        Note(
            heading="Clouds" if number == 0 else "",
            lead=f"{cloud.number}:",
            text="; ".join(_told(cloud.changes)) + ".",
        )
        for number, cloud in enumerate(clouds)
    ]


def _told(changes: Sequence[PieceChange]) -> Iterator[str]:
    """Pieces alike together: what they are, their marks, what became of them."""
    groups: dict[tuple[str, str, str], list[PieceChange]] = {}
    for change in changes:
        groups.setdefault((change.piece.what, change.how, moved_words(change)), []).append(change)
    for (what, how, by), group in groups.items():
        marks = [short(one.piece.mark, one.piece.wall) for one in group]
        named = ", ".join(marks[:_NAMED]) + (
            f" and {len(marks) - _NAMED} more" if len(marks) > _NAMED else ""
        )
        yield f"{what} {named} {how}" + (f" ({by})" if by else "")
