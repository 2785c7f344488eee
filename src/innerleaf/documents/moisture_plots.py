"""A wall through the years as pictures: courses week by week, and profiles across it, its layers to scale.

Three panels over one line of time: water by layer, humidity behind the insulation, mould index. Below, the
wall across its depth with temperature, humidity and water on days of the last year.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

import numpy as np

from innerleaf.design.moisture.transient_years import WEEKS, MoistureYears
from innerleaf.documents.buildup import material_hatch
from innerleaf.documents.panel import GRID, LETTERS, Panel, framed, name_lines
from innerleaf.documents.section_parts import wave
from innerleaf.documents.sheet import (
    FINE,
    HAIR,
    INSULATION,
    MEDIUM,
    MEMBRANE,
    OUTLINE_THIN,
    THICK,
    THIN,
    Hatch,
    Pen,
    Place,
    Rect,
    Sheet,
    text_width,
)
from innerleaf.documents.svg import SvgSheet
from innerleaf.documents.view import NORMAL
from innerleaf.physics.monthly import DAYS, MONTHS
from innerleaf.physics.mould import CLASSES, critical_humidity

HEIGHT_MM = 213.0
_LEFT_MM, _RIGHT_MM = 14.0, 46.0  # figures of the axis, names of the lines
_COURSES_MM = (25.0, 24.0, 18.0)  # heights of the panels of time
_PROFILE_MM = 22.0  # of each panel of depth
_GAP_MM = 6.0  # above each panel, for its title
_BAND_MM = 11.0  # layers drawn to scale above the profiles
_NAMES_MM = 9.0  # room for the names of layers above the band
_SCALES = (1, 2, 2.5, 4, 5, 10, 20)
_LEAST_WATER = 0.02  # kg/m²: a layer that never holds more gets no line

_LIMIT = Pen("LIMIT", FINE, (3.0, 1.2))
_LINES = (
    Pen("COURSE", MEDIUM),
    Pen("COURSE", FINE, (2.2, 0.9)),
    Pen("COURSE", THIN, (0.7, 0.7)),
    Pen("COURSE", HAIR),
    Pen("COURSE", FINE, (5.0, 0.9, 0.9, 0.9)),
    Pen("COURSE", THICK, (0.5, 1.2)),
)
_DAYS = _LINES[:3]  # dampest day, ends of the seasons


def moisture_svg(years: MoistureYears, mould_most: float, width_mm: float) -> str:
    """Courses and profiles as one drawing. ``mould_most`` is the limit on the index."""
    sheet = SvgSheet(width_mm, HEIGHT_MM)
    draw_moisture(sheet, years, mould_most, width_mm)
    return sheet.svg()


def draw_moisture(sheet: Sheet, years: MoistureYears, mould_most: float, width_mm: float) -> None:
    """Draw courses above, profiles below, within the width."""
    bottom = draw_courses(sheet, years, mould_most, width_mm, HEIGHT_MM)
    draw_profiles(sheet, years, width_mm, bottom - 5.0)


def draw_courses(sheet: Sheet, years: MoistureYears, mould_most: float, width_mm: float, top: float) -> float:
    """Three panels, one below the other, from ``top``; returns where they end."""
    course = years.course
    weeks = [week + 0.5 for week in range(len(course.humidity))]
    water = [
        (layer.name, course.water[k])
        for k, layer in enumerate(years.layers)
        if max(course.water[k]) > _LEAST_WATER
    ]
    critical = critical_humidity(course.temperature, CLASSES[years.case.mould_class - 1]).tolist()
    most_water = max((max(line) for _, line in water), default=1.0)
    most_index = max(1.25 * mould_most, 1.1 * max(course.mould))
    humid = [100 * phi for phi in course.humidity]
    plots: list[tuple[str, tuple[float, float], list[tuple[str, Sequence[float], Pen]]]] = [
        (
            "Water in each layer, kg/m²",
            (0.0, 1.08 * most_water),
            [(name, line, _LINES[k % len(_LINES)]) for k, (name, line) in enumerate(water)],
        ),
        (
            f"Humidity at the {years.mould_place}, %",
            (min(50.0, floor(min(humid) / 10) * 10), 101.0),
            [("humidity", humid, _LINES[0]), ("mould grows above", critical, _LIMIT)],
        ),
        (
            f"Mould index there; greatest in ten years {years.mould_index:.2f}",
            (0.0, most_index),
            [("index", course.mould, _LINES[0]), ("limit", [mould_most] * len(weeks), _LIMIT)],
        ),
    ]
    for (title, scale, lines), height in zip(plots, _COURSES_MM, strict=True):
        top -= _GAP_MM
        panel = framed(
            sheet, title, (_LEFT_MM, top - height, width_mm - _RIGHT_MM, top), (0.0, float(len(weeks))), scale
        )
        for week in range(0, len(weeks) + 1, WEEKS):
            sheet.line(GRID, panel.at(week, scale[0]), panel.at(week, scale[1]))
        for _, values, pen in lines:
            panel.line(sheet, pen, weeks, values)
        name_lines(sheet, panel, [(words, values[-1], pen) for words, values, pen in lines])
        top -= height
    for year in range(len(weeks) // WEEKS):
        middle = panel.at((year + 0.5) * WEEKS, 0)[0]
        months = f"{MONTHS[years.begins - 1]} to {MONTHS[years.begins - 2]}"
        sheet.text((middle, top - 2.6), f"year {year + 1}, {months}", LETTERS)
    return top - 5.0


def draw_profiles(sheet: Sheet, years: MoistureYears, width_mm: float, top: float) -> float:
    """The layers to scale with three panels below; returns where they end."""
    thickness = sum(layer.thickness for layer in years.layers)
    room = width_mm - _LEFT_MM - _RIGHT_MM
    scale = next((each for each in _SCALES if 1000 * thickness / each <= room), _SCALES[-1])
    wide = 1000 * thickness / scale
    sheet.text(
        (_LEFT_MM, top),
        f"Across the wall, depth 1:{scale:g}, on days of the last year",
        NORMAL,
        "start",
        bold=True,
    )
    band = top - _NAMES_MM - 3.0
    _draw_layers(sheet, years, (_LEFT_MM, band - _BAND_MM, _LEFT_MM + wide, band))
    _day_key(sheet, years, (_LEFT_MM + wide + 4.0, band - 1.0))
    top = band - _BAND_MM
    for title, values_of in (
        ("Temperature, °C", lambda day: day.temperature),
        ("Humidity, %", lambda day: [[100 * phi for phi in layer] for layer in day.humidity]),
        ("Water, kg/m³", lambda day: day.water),
    ):
        top -= _GAP_MM
        rows = [values_of(day) for day in years.profiles]
        flat = [value for row in rows for layer in row for value in layer]
        low, high = (0.0, max(flat) * 1.08 + 1e-9) if "Water" in title else _round(min(flat), max(flat))
        panel = framed(
            sheet,
            title,
            (_LEFT_MM, top - _PROFILE_MM, wide + _LEFT_MM, top),
            (0.0, thickness),
            (low, high),
        )
        _interfaces(sheet, panel, years)
        for day, row, pen in zip(years.profiles, rows, _DAYS, strict=False):
            xs = [x for layer in day.depth for x in layer]
            panel.line(sheet, pen, xs, [value for layer in row for value in layer])
        top -= _PROFILE_MM
    sheet.text((_LEFT_MM, top - 2.6), "outside", LETTERS, "start")
    sheet.text((_LEFT_MM + wide, top - 2.6), "room", LETTERS, "end")
    return top - 5.0


def _round(low: float, high: float) -> tuple[float, float]:
    return 5 * floor(low / 5), 5 * ceil(high / 5) + 0.5


def _draw_layers(sheet: Sheet, years: MoistureYears, box: Rect) -> None:
    """Layers hatched by what they are, their names above in two rows."""
    left, bottom, right, top = box
    per = (right - left) / sum(layer.thickness for layer in years.layers)
    names: list[tuple[float, str]] = []
    for layer, of_case in zip(years.layers, years.case.layers, strict=True):
        here: Rect = (left, bottom, left + layer.thickness * per, top)
        if of_case.sd and layer.name != "air":
            sheet.line(MEMBRANE, (left, bottom), (left, top))
        elif layer.name == "air":
            sheet.rect(OUTLINE_THIN, here, Hatch.WHITE)
        else:
            hatch = Hatch.INSULATION if of_case.conductivity < 0.1 else material_hatch(layer.name)
            _fill(sheet, hatch, here)
        thick = f", {1000 * layer.thickness:.4g} mm" if not of_case.sd or layer.name == "air" else ""
        names.append(((here[0] + here[2]) / 2, f"{layer.name}{thick}"))
        left = here[2]
    _names_above(sheet, names, top, (_LEFT_MM, right + _RIGHT_MM - 2.0))


def _fill(sheet: Sheet, hatch: Hatch, box: Rect) -> None:
    if hatch is Hatch.INSULATION:
        sheet.rect(OUTLINE_THIN, box, Hatch.NONE)
        sheet.polyline(INSULATION, wave(box, upright=box[2] - box[0] < box[3] - box[1]))
    else:
        sheet.rect(OUTLINE_THIN, box, hatch)


def _names_above(
    sheet: Sheet, names: Sequence[tuple[float, str]], top: float, within: tuple[float, float]
) -> None:
    """Names in two rows in turn, pushed apart, with a line to the middle of their layers."""
    for row in (0, 1):
        own = list(names[row::2])
        if not own:
            continue
        widths = [text_width(words, LETTERS) + 3.0 for _, words in own]
        starts = _side_by_side([x for x, _ in own], widths, within)
        level = top + 3.0 + 3.6 * row
        for (x, words), start, width in zip(own, starts, widths, strict=True):
            middle = start + width / 2
            sheet.polyline(GRID, [(x, top), (middle, level - 1.6)])
            sheet.text((middle, level), words, LETTERS)


def _side_by_side(
    wanted: Sequence[float], widths: Sequence[float], within: tuple[float, float]
) -> list[float]:
    """Left ends of words of given widths, near the middles wanted, in order and within."""
    starts: list[float] = []
    edge = within[0]
    for x, width in zip(wanted, widths, strict=True):
        starts.append(max(edge, x - width / 2))
        edge = starts[-1] + width
    right = within[1]
    for k in range(len(starts) - 1, -1, -1):
        starts[k] = min(starts[k], right - widths[k])
        right = starts[k]
    return starts


def _interfaces(sheet: Sheet, panel: Panel, years: MoistureYears) -> None:
    at = 0.0
    for layer in years.layers[:-1]:
        at += layer.thickness
        sheet.line(GRID, panel.at(at, panel.y[0]), panel.at(at, panel.y[1]))


def _day_key(sheet: Sheet, years: MoistureYears, corner: Place) -> None:
    x, y = corner
    for day, pen in zip(years.profiles, _DAYS, strict=False):
        sheet.line(pen, (x, y), (x + 7.0, y))
        for words in (day.title, f"({calendar(day.day, years.begins)})"):
            sheet.text((x + 8.5, y), words, LETTERS, "start")
            y -= 3.1
        y -= 0.9


def calendar(day: int, begins: int) -> str:
    """The date of a day of the year that begins with a month, 1 is January.

    >>> calendar(1, 10), calendar(182, 10), calendar(183, 4)
    ('1 October', '31 March', '30 September')
    """
    ends = np.cumsum(np.roll(DAYS, 1 - begins))
    month = int(np.searchsorted(ends, day))
    name = MONTHS[(begins - 1 + month) % 12]
    return f"{day - (int(ends[month - 1]) if month else 0)} {name}"
