"""Charts of a programme as drawings: bars by room, and the line of balance.

The axis is working days of equal width; within a day, time runs from the first to the last minute that
anybody works. Phases differ by hatch and dash.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from innerleaf.documents.sheet import FINE, HAIR, MEDIUM, THICK, Hatch, Pen, text_width
from innerleaf.documents.svg import SvgSheet
from innerleaf.programme.model import HOLD, OURS, Programme, Timed
from innerleaf.programme.steps import PHASES, phase_of

WIDTH_MM, HEIGHT_MM = 290.0, 268.0
ROOMS_OF_A_CHART: Final = 30
_LABEL_MM, _HEAD_MM, _FOOT_MM = 46.0, 16.0, 12.0
_SIZE = 2.5
_HATCH: Final[Mapping[str, Hatch]] = {
    "frame": Hatch.TINT,
    "others": Hatch.WHITE,
    "boards": Hatch.OBSTACLE,
    "joints": Hatch.PLASTER,
    "finish": Hatch.BLACK,
}
_DASH: Final[Mapping[str, tuple[float, ...]]] = {
    "frame": (),
    "others": (0.6, 1.2),
    "boards": (3.0, 1.0),
    "joints": (5.0, 0.8, 0.6, 0.8),
    "finish": (1.6, 0.8),
}
_WORDS: Final[Mapping[str, str]] = {
    "frame": "marking out to vapour layer",
    "others": "other trades, hold points",
    "boards": "boards",
    "joints": "joints and coats",
    "finish": "sanding, clearing up, priming",
}
_GRID, _WEEK, _BAR = Pen("GRID", HAIR, (), 0.75), Pen("GRID", FINE, (), 0.4), Pen("BAR", HAIR)
_CONNECT = Pen("LINE", HAIR, (), 0.5)
_TODAY = Pen("TODAY", MEDIUM, (1.5, 1.0))


@dataclass(frozen=True)
class DayAxis:
    """Working days side by side, each one unit wide."""

    days: tuple[date, ...]
    begin_min: int
    end_min: int

    @classmethod
    def of(cls, programme: Programme) -> DayAxis:
        """Wide enough for all of a programme."""
        times = [time_of(text) for one in programme.operations for text in (one.start, one.end)]
        minutes = [when.hour * 60 + when.minute for when in times] or [0, 1440]
        return cls(tuple(map(date.fromisoformat, programme.days)), min(minutes), max(minutes))

    def at(self, when: datetime) -> float:
        """Place of a time, in days from the first."""
        from bisect import bisect_left

        number = bisect_left(self.days, when.date())
        if number == len(self.days) or self.days[number] != when.date():
            return float(number)
        share = (when.hour * 60 + when.minute - self.begin_min) / max(1, self.end_min - self.begin_min)
        return number + min(1.0, max(0.0, share))


def time_of(text: str) -> datetime:
    """A time as a programme writes it."""
    return datetime.fromisoformat(text)


def rooms_in_order(programme: Programme) -> list[tuple[str, str]]:
    """Rooms with their storey, in the order that work in them begins."""
    return list(dict.fromkeys((one.room, one.storey) for one in programme.operations if one.kind == OURS))


def bars_charts(programme: Programme) -> list[str]:
    """Bars by room, so many rooms to a drawing."""
    rooms = _by_storey(programme)
    parts = range(0, len(rooms), ROOMS_OF_A_CHART)
    return [_bars(programme, rooms[at : at + ROOMS_OF_A_CHART]) for at in parts]


def _by_storey(programme: Programme) -> list[tuple[str, str]]:
    rooms = rooms_in_order(programme)
    storeys = list(dict.fromkeys(storey for _, storey in rooms))
    return sorted(rooms, key=lambda room: storeys.index(room[1]))


def _bars(programme: Programme, rooms: Sequence[tuple[str, str]]) -> str:
    axis, sheet = DayAxis.of(programme), SvgSheet(WIDTH_MM, HEIGHT_MM)
    top = HEIGHT_MM - _HEAD_MM
    high = min(16.0, (top - _FOOT_MM) / max(1, len(rooms)))
    bottom = top - high * len(rooms)
    wide = (WIDTH_MM - _LABEL_MM - 2) / max(1, len(axis.days))
    _calendar(sheet, axis, wide, bottom, top)
    names = {one.room: one.room_name for one in programme.operations}
    for number, (room, storey) in enumerate(rooms):
        y = top - number * high
        sheet.line(_GRID, (0, y), (WIDTH_MM - 2, y))
        sheet.text((0, y - high * 0.35), _short(names[room], _SIZE), _SIZE, "start", bold=True)
        if high > 6:
            sheet.text((0, y - high * 0.35 - 3), _short(storey, 2.1), 2.1, "start")
        lane = high / len(PHASES)
        for phase, begin, end, words in _stretches(programme, room):
            low = y - (PHASES.index(phase) + 1) * lane
            left, right = _LABEL_MM + axis.at(begin) * wide, _LABEL_MM + axis.at(end) * wide
            box = (left, low + 0.12 * lane, max(right, left + 0.25), low + 0.88 * lane)
            sheet.rect(_BAR, box, _HATCH[phase])
            if phase != "finish" and lane > 2.4 and text_width(words, 1.8) + 0.6 < right - left:
                sheet.text(((left + right) / 2, low + lane / 2), words, 1.8, masked=True)
    sheet.line(_WEEK, (0, bottom), (WIDTH_MM - 2, bottom))
    _key(sheet, bottom - 6, bars=True)
    _mark_today(sheet, programme, axis, wide, bottom, top)
    return sheet.svg()


def _stretches(programme: Programme, room: str) -> Iterator[tuple[str, datetime, datetime, str]]:
    """Work of one phase in one room, as one bar where one operation follows another within a day."""
    for phase in PHASES:
        mine = [one for one in programme.operations if one.room == room and _phase(one) == phase]
        run: list[Timed] = []
        for one in mine:
            if run and one.start[:10] != max(each.end for each in run)[:10]:
                yield _run(phase, run)
                run = []
            run.append(one)
        if run:
            yield _run(phase, run)


def _phase(one: Timed) -> str:
    return phase_of(one.step, ours=one.kind == OURS)


def _run(phase: str, run: Sequence[Timed]) -> tuple[str, datetime, datetime, str]:
    steps = list(dict.fromkeys(one.step for one in run))
    words = steps[0] if len(steps) == 1 else f"{steps[0]} to {steps[-1]}"
    return phase, time_of(run[0].start), time_of(max(one.end for one in run)), words


def _calendar(sheet: SvgSheet, axis: DayAxis, wide: float, bottom: float, top: float) -> None:
    """Days and weeks over a chart."""
    shown = -100.0
    for number, day in enumerate(axis.days):
        x = _LABEL_MM + number * wide
        begins = number == 0 or day.isocalendar()[1] != axis.days[number - 1].isocalendar()[1]
        sheet.line(_WEEK if begins else _GRID, (x, bottom), (x, top + (6 if begins else 2)))
        if begins and x - shown > 9:
            sheet.text((x + 0.6, top + 7.5), f"{day.day} {day:%b}", _SIZE, "start")
            shown = x
        if wide >= 3.4:
            sheet.text((x + wide / 2, top + 3.4), str(day.day), 1.8)
    right = _LABEL_MM + len(axis.days) * wide
    sheet.line(_WEEK, (right, bottom), (right, top + 6))


def _key(sheet: SvgSheet, y: float, *, bars: bool) -> None:
    x = _LABEL_MM
    for phase in PHASES:
        if bars:
            sheet.rect(_BAR, (x, y - 1.3, x + 7, y + 1.3), _HATCH[phase])
        else:
            sheet.line(_line_pen(phase), (x, y), (x + 9, y))
        sheet.text((x + 10.5, y), _WORDS[phase], _SIZE, "start")
        x += 15 + text_width(_WORDS[phase], _SIZE)


def _mark_today(
    sheet: SvgSheet, programme: Programme, axis: DayAxis, wide: float, bottom: float, top: float
) -> None:
    if programme.today:
        x = _LABEL_MM + axis.at(time_of(programme.today)) * wide
        sheet.line(_TODAY, (x, bottom), (x, top + 9))
        sheet.text((x + 0.8, top + 10.5), "today", _SIZE, "start", bold=True)


def _line_pen(phase: str) -> Pen:
    return Pen(f"LINE-{phase}", THICK if not _DASH[phase] else 0.4, _DASH[phase])


def balance_chart(programme: Programme) -> str:
    """The line of balance: rooms up, days to the right, one line for each phase from room to room.

    A line runs over a room from the phase's first hour there to its last. Flat: slow; steep: quick; where two
    come close, one crew waits on the other.
    """
    axis, sheet = DayAxis.of(programme), SvgSheet(WIDTH_MM, HEIGHT_MM)
    rooms = rooms_in_order(programme)
    top, bottom = HEIGHT_MM - _HEAD_MM, _FOOT_MM
    high = (top - bottom) / max(1, len(rooms))
    wide = (WIDTH_MM - _LABEL_MM - 2) / max(1, len(axis.days))
    _calendar(sheet, axis, wide, bottom, top)
    names = {one.room: one.room_name for one in programme.operations}
    step = max(1, round(3.2 / high + 0.5)) if high < 3.2 else 1
    for number, (room, _) in enumerate(rooms):
        y = bottom + number * high
        sheet.line(_GRID, (0 if number % step == 0 else _LABEL_MM, y), (WIDTH_MM - 2, y))
        if number % step == 0:
            sheet.text((0, y + min(high, 4) / 2), _short(names[room], _SIZE), _SIZE, "start")
    for phase in PHASES:
        before: tuple[float, float] | None = None
        for number, (room, _) in enumerate(rooms):
            mine = [
                one
                for one in programme.operations
                if one.room == room and _phase(one) == phase and one.kind != HOLD
            ]
            if not mine:
                continue
            begin, end = time_of(mine[0].start), time_of(max(one.end for one in mine))
            y = bottom + number * high
            low, up = (_LABEL_MM + axis.at(begin) * wide, y), (_LABEL_MM + axis.at(end) * wide, y + high)
            if before:
                sheet.line(_CONNECT, before, low)
            sheet.line(_line_pen(phase), low, up)
            before = up
    _key(sheet, bottom - 6, bars=False)
    _mark_today(sheet, programme, axis, wide, bottom, top)
    return sheet.svg()


def _short(words: str, size: float) -> str:
    """Words cut to the column of labels."""
    if text_width(words, size, bold=True) <= _LABEL_MM - 2:
        return words
    while words and text_width(f"{words}…", size, bold=True) > _LABEL_MM - 2:
        words = words[:-1]
    return f"{words}…"
