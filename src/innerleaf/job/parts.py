"""The things on a wall, complete: openings, obstacles, boxes and hung loads."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from innerleaf.job.book import Book, Level, Levels
from innerleaf.job.faults import NOTHING
from innerleaf.job.model import JobBox, JobLoad, JobObstacle, JobOpening
from innerleaf.job.outline import Rect

# Common device boxes: hole 68, centre to centre 71 (from memory: DIN 49073).
BOX_DIAMETER_MM = 68
BOX_PITCH_MM = 71
NONE = "none"  # takes away what a type or the defaults name


class Marks:
    """Gives a mark to whatever on one wall has none: its kind and its order among its kind."""

    def __init__(self) -> None:
        self._counted: Counter[str] = Counter()

    def mark(self, given: str | None, kind: str) -> str:
        """The mark given, or else the next of its kind."""
        self._counted[kind] += 1
        return given or f"{kind}-{self._counted[kind]}"


def openings(book: Book, wall: Levels, marks: Marks) -> Iterator[JobOpening]:
    """Openings with what their types say; that one lacks something is a fault."""
    for said in _each(book, wall, "openings", "opening_types"):
        kind = said.pick("kind")
        book.need(said, ("kind", "width", "height", *(["sill"] if kind in ("window", "niche") else [])))
        if "kind" in said.doubtful and said.pick("sill") is None:
            said.doubtful.add("sill")  # only doors need none
        yield JobOpening(
            id=marks.mark(said.pick("id"), kind or "opening"),
            index=int(said.steps[1]),
            kind=kind,
            x_mm=said.pick("x"),
            sill_mm=said.pick("sill", 0),
            width_mm=said.pick("width", 0),
            height_mm=said.pick("height", 0),
            reveal_mm=said.pick("reveal", 0),
            reveal_lined=said.pick("reveal_lined", False),
            reveal_insulation=named_or_none(said.pick("reveal_insulation")),
            frame_mm=said.pick("frame"),
            doubtful=said.doubtful,
        )


def named_or_none(item: str | None) -> str:
    """An article that `none` takes away."""
    return "" if item in (None, NONE) else str(item)


def below(dado: int | None, given: Iterable[JobOpening]) -> tuple[JobOpening, ...]:
    """Openings as far as they reach into a lining that stops at a dado."""
    if dado is None:
        return tuple(given)
    low = (opening for opening in given if opening.sill_mm < dado)
    return tuple(replace(o, height_mm=min(o.height_mm, dado - o.sill_mm)) for o in low)


def boxes(book: Book, wall: Levels, marks: Marks) -> Iterator[JobBox]:
    """Boxes with what their types say; that one has no height is a fault."""
    for said in _each(book, wall, "boxes", "box_types"):
        book.need(said, ("y",))
        yield JobBox(
            id=marks.mark(said.pick("id"), "box"),
            index=int(said.steps[1]),
            x_mm=said.pick("x"),
            y_mm=said.pick("y", 0),
            diameter_mm=said.pick("diameter", BOX_DIAMETER_MM),
            count=said.pick("count", 1),
            pitch_mm=said.pick("pitch", BOX_PITCH_MM),
            doubtful=said.doubtful,
        )


def obstacles(book: Book, wall: Levels, marks: Marks, around: Rect | None) -> Iterator[JobObstacle]:
    """Obstacles; a column without height goes to the top of the wall, a beam without width to its end.

    ``around`` the wall; None: not known.
    """
    _left, _bottom, right, top = around or (0, 0, 0, 0)
    for said in _each(book, wall, "obstacles"):
        kind, x, y = said.pick("kind"), said.pick("x"), said.pick("y")
        width, height = said.pick("width"), said.pick("height")
        to_end = {"beam": "width", "column": "height"}.get(kind, "")
        if to_end and around is None and said.pick(to_end) is None:
            said.doubtful.add(to_end)
        elif width is None and kind == "beam":
            width = max(right - x, 1)
        elif height is None and kind == "column":
            height = max(top - y, 1)
        for field, value in (("width", width), ("height", height)):
            if value is None and not said.doubtful & {"kind", field}:
                book.say(said, field, given=NOTHING, accepted=f"the {field} of the {kind} in mm")
        yield JobObstacle(
            id=marks.mark(said.pick("id"), kind),
            index=int(said.steps[1]),
            kind=kind,
            x_mm=x,
            y_mm=y,
            width_mm=width or 0,
            height_mm=height or 0,
            projection_mm=said.pick("projection"),
            mass_kg=said.pick("mass"),
            doubtful=said.doubtful,
        )


def loads(book: Book, wall: Levels, marks: Marks) -> Iterator[JobLoad]:
    """Hung loads."""
    for said in _each(book, wall, "loads"):
        yield JobLoad(
            id=marks.mark(said.pick("id"), "load"),
            index=int(said.steps[1]),
            x_mm=said.pick("x"),
            y_mm=said.pick("y"),
            width_mm=said.pick("width"),
            mass_kg=said.pick("mass"),
            depth_mm=said.pick("depth"),
            doubtful=said.doubtful,
        )


def _each(book: Book, wall: Levels, field: str, types: str = "") -> Iterator[Levels]:
    """Each item of a list of the wall, over the type it names."""
    for index, item in enumerate(wall.pick(field, ())):
        place = (*wall.place(field), index)
        said = Levels(book.report, wall.subject, [Level(item, place)], (field, index))
        if types:
            kind = book.find(types, said, "type")
            if kind is None and (said.pick("type") is not None or "type" in said.doubtful):
                continue
            if kind is not None:
                over = [*said.levels, Level(kind, (types, said.pick("type")))]
                said = Levels(book.report, wall.subject, over, said.steps)
        yield said
