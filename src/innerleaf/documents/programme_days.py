"""Day plans: for every crew, day by day, what it does where, what must be ready, and a place to tick off."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from innerleaf.documents.pdf import typeset
from innerleaf.documents.title import TitleBlock
from innerleaf.programme.model import HOLD, OURS, Programme, Timed


def day_plans_pdf(programme: Programme, title: TitleBlock) -> bytes:
    """The day plans as PDF; the same programme gives the same bytes."""
    given = {
        "project": title.project,
        "place": title.place,
        "firm": title.firm,
        "statement": title.statement,
        "crews": [_crew(programme, crew, work) for crew, work in by_crew(programme).items()],
    }
    text = json.dumps(given, ensure_ascii=False).encode()
    return typeset("day_plans.typ", {"days.json": text})


def by_crew(programme: Programme) -> Mapping[str, Sequence[Timed]]:
    """Operations still ahead by crew or trade: crews of ours first, then others, then those who release."""
    order = [OURS, "other trade", HOLD]
    ahead = [one for one in programme.operations if one.state != "done"]
    names = sorted({(order.index(one.kind), one.crew) for one in ahead})
    return {
        crew: [one for one in ahead if one.crew == crew and order.index(one.kind) == kind]
        for kind, crew in names
    }


def by_day(work: Sequence[Timed]) -> Mapping[str, Sequence[Timed]]:
    """Operations by the day they begin on."""
    found: dict[str, list[Timed]] = {}
    for one in work:
        found.setdefault(one.start[:10], []).append(one)
    return found


def _crew(programme: Programme, crew: str, work: Sequence[Timed]) -> dict[str, Any]:
    about = {one.crew: one for one in programme.crews}.get(crew)
    people = f"{about.people} people" if about and about.people != 1 else "1 person" if about else ""
    known = {one.id: one for one in programme.operations}
    return {
        "name": crew,
        "about": ", ".join(part for part in (people, about.skills if about else work[0].kind) if part),
        "days": [
            {
                "day": day_words(day),
                "hours": f"{sum(one.hours for one in today):.2f} h" if about else "",
                "rows": [_row(some, known) for some in in_one(today)],
                "notes": _notes(programme, today),
            }
            for day, today in by_day(work).items()
        ],
    }


def day_words(day: str) -> str:
    """A day as people say it.

    >>> day_words("2026-03-02")
    'Monday 2 March 2026'
    """
    found = date.fromisoformat(day)
    return f"{found:%A} {found.day} {found:%B %Y}"


def in_one(work: Sequence[Timed]) -> list[list[Timed]]:
    """The same step in one room, wall after wall: one line for a person to read."""
    found: list[list[Timed]] = []
    for one in work:
        last = found[-1][-1] if found else None
        if last and last.wall and (last.room, last.step) == (one.room, one.step):
            found[-1].append(one)
        else:
            found.append([one])
    return found


def _row(some: Sequence[Timed], known: Mapping[str, Timed]) -> list[str]:
    one, last = some[0], some[-1]
    same = last.end[:10] == one.start[:10]
    end = last.end[11:] if same else f"{date.fromisoformat(last.end[:10]):%a} {last.end[11:]}"
    hours = sum(each.hours for each in some)
    where = ", ".join(part for part in (one.room_name, one.storey) if part)
    return [
        f"{one.start[11:]}–{end}",
        where,
        ", ".join(each.wall for each in some if each.wall),
        one.step,
        f"{hours:.2f}" if hours else "",
        "; ".join(dict.fromkeys(words for each in some for words in ready(each, known))),
    ]


def ready(one: Timed, known: Mapping[str, Timed]) -> list[str]:
    """What must be ready before an operation begins: hold points passed, coats dry, others done."""
    found = []
    for name in one.after:
        before = known[name]
        if before.kind == HOLD:
            found.append(f"{before.step} passed ({before.crew})")
        elif before.dry_at:
            found.append(f"{before.step} dry, {before.dry_at}")
        elif before.kind != OURS:
            found.append(f"{before.step} done ({before.crew})")
    return list(dict.fromkeys(found))


def _notes(programme: Programme, today: Sequence[Timed]) -> list[str]:
    """What comes this day, and what the air must be."""
    day, storeys = today[0].start[:10], {one.storey for one in today}
    coming = [
        f"Delivery {one.delivery} for {one.storey or 'the building'}{f', {one.phase}' if one.phase else ''}:"
        f" {one.mass_kg:,.0f} kg" + (f", set down in {one.places} places" if one.places > 1 else "")
        for one in programme.call_offs
        if one.on == day and (not one.storey or one.storey in storeys) and one.mass_kg
    ]
    coats = any(one.dry_at for one in today)
    return [*coming, *(["Coats: 10 °C at least, thermometer and hygrometer in the room."] if coats else [])]
