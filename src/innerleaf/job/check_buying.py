"""The section ``buying``: articles, counts and storeys that there are."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from innerleaf.job.faults import NOTHING, Report, Said, StandIn, one_of
from innerleaf.job.model import JobRoom
from innerleaf.job.schema import JobFile
from innerleaf.job.schema_buying import Allowance, Buying, InHand, Offcut
from innerleaf.practice.measures import Measure, articles, measure_of
from innerleaf.practice.model import Practice
from innerleaf.reading import Place


def check_buying(report: Report, file: JobFile, rooms: Iterable[JobRoom], practice: Practice) -> None:
    """Is what it names known, and counted as such things are counted?"""
    buying = file.buying
    if buying is None:
        return
    for number, there in enumerate(buying.in_hand):
        place: Place = ("buying", "in_hand", number)
        measure = _article(report, (*place, "article"), there.article, practice)
        if measure is not None:
            _in_hand(report, place, there, measure)
    _cutting(report, buying, practice)
    for article, allowance in buying.allowances.items():
        place = ("buying", "allowances", article)
        if _article(report, place, article, practice, key=True) is not None:
            _allowance(report, place, allowance)
    if not report.is_unsure(("rooms",)) and not report.is_unsure(("flats",)):
        known = list(dict.fromkeys(room.storey for room in rooms if room.storey))
        for number, storey in enumerate(buying.storeys):
            _storey(report, ("buying", "storeys", number), storey, known)
        for storey in buying.lifts:
            _storey(report, ("buying", "lifts", storey), storey, known, key=True)
    if buying.order_date and not _is_date(buying.order_date):
        accepted = "a date such as 2026-02-02"
        report.add(("buying", "order_date"), given=buying.order_date, accepted=accepted)


def _article(
    report: Report, place: Place, article: str, practice: Practice, *, key: bool = False
) -> Measure | None:
    if isinstance(article, StandIn):
        return None
    measure = measure_of(practice, article)
    if measure is None:
        accepted = one_of(articles(practice), article, what="articles of the practice set")
        report.add(place, given=article, accepted=accepted, key=key)
    return measure


def _cutting(report: Report, buying: Buying, practice: Practice) -> None:
    """Offcuts, and the lengths that are to be few."""
    for number, offcut in enumerate(buying.offcuts):
        _offcut(report, ("buying", "offcuts", number), offcut, practice)
    lengths = ["profile", "board", *practice.profiles, *practice.boards]
    for name in buying.most_lengths:
        if not isinstance(name, StandIn) and name not in lengths:
            accepted = one_of(lengths, name, what="profiles and boards, or profile, board")
            report.add(("buying", "most_lengths", name), given=name, accepted=accepted, key=True)


def _offcut(report: Report, place: Place, offcut: Offcut, practice: Practice) -> None:
    """A profile without a width, or a board with one that fits it."""
    if isinstance(offcut.article, StandIn):
        return
    board = practice.boards.get(offcut.article)
    if board is None and offcut.article not in practice.profiles:
        known = [*practice.profiles, *practice.boards]
        accepted = one_of(known, offcut.article, what="profiles and boards of the practice set")
        report.add((*place, "article"), given=offcut.article, accepted=accepted)
    elif board is None and offcut.width is not None:
        report.add((*place, "width"), given=offcut.width, accepted="none for a bar")
    elif board is not None and offcut.width is None and not report.is_spoilt((*place, "width")):
        report.add((*place, "width"), given=NOTHING, accepted="the width of the piece of board in mm")
    elif board is not None and offcut.width is not None and offcut.width > board.width_mm:
        accepted = f"{board.width_mm} or less, the width of {offcut.article}"
        report.add((*place, "width"), given=offcut.width, accepted=accepted)


def _in_hand(report: Report, place: Place, there: InHand, measure: Measure) -> None:
    """Length and count, or amount, as the article wants it."""
    counted = measure.by_length or measure.unit == "piece"
    wanted, other = ("count", "amount") if counted else ("amount", "count")
    of = f"{measure.piece}s" if counted else ("m" if measure.unit == "mm" else measure.unit)
    if getattr(there, other) is not None:
        accepted = f"`{wanted}` instead, as {there.article} is counted in {of}"
        report.add((*place, other), given=getattr(there, other), accepted=accepted)
    elif getattr(there, wanted) is None and not report.is_spoilt((*place, wanted)):
        report.add((*place, wanted), given=NOTHING, accepted=f"how many {of} there are")
    several = measure.by_length and not measure.length_mm
    if several and there.length is None and not report.is_spoilt((*place, "length")):
        report.add((*place, "length"), given=NOTHING, accepted=f"the length of the {measure.piece}s in mm")
    if there.length is not None and there.length != measure.length_mm and not several:
        accepted = f"{measure.length_mm} or none" if measure.length_mm else f"none for {there.article}"
        report.add((*place, "length"), given=there.length, accepted=accepted)


def _allowance(report: Report, place: Place, allowance: Allowance) -> None:
    given = [field for field in ("share", "amount") if getattr(allowance, field) is not None]
    if any(report.is_spoilt((*place, field)) for field in ("share", "amount")):
        return
    if len(given) != 1:
        said = Said(" and ".join(given)) if given else NOTHING
        report.add(place, given=said, accepted="either `share` or `amount`")


def _storey(report: Report, place: Place, storey: str, known: list[str], *, key: bool = False) -> None:
    if storey not in known:
        accepted = one_of(known, storey, what="storeys of the rooms")
        report.add(place, given=storey, accepted=accepted, key=key)


def _is_date(words: str) -> bool:
    try:
        date.fromisoformat(words)
    except ValueError:
        return False
    return True
