"""The outline of a wall and what each of its edges meets."""

from __future__ import annotations

from innerleaf.job import outline as geometry
from innerleaf.job.book import Book, Level, Levels
from innerleaf.job.faults import NOTHING, Said
from innerleaf.job.outline import Point
from innerleaf.job.words import MeetsWord

LARGEST_MM = 100_000
SMALLEST_MM = 100
DADO_TOP: MeetsWord = "open end"
MEETS: dict[str, MeetsWord] = {
    "left": "masonry",
    "right": "masonry",
    "floor": "concrete slab",
    "ceiling": "concrete slab",
    "slope": "roof slope",
}


def resolve_size(
    book: Book, wall: Levels, room: Level | None
) -> tuple[tuple[Point, ...], tuple[MeetsWord, ...]] | None:
    """Outline (counter-clockwise from bottom left) and what its edges meet; None with a fault.

    ``room`` gives the height where nothing nearer does.
    """
    corners = _corners(book, wall, room)
    if corners is None or not _sound(book, wall, corners):
        return None
    meets = _meets(book, wall, corners)
    if meets is None:
        return None
    ring, carried = geometry.from_bottom_left(corners, meets)
    dado = wall.pick("dado")
    if "dado" in wall.doubtful:
        return None
    if dado is not None:
        cut = geometry.cut_at_height(ring, carried, dado, DADO_TOP)
        if cut is None or geometry.first_clash(cut[0]) is not None:
            low, high = min(y for _, y in ring), max(y for _, y in ring)
            accepted = f"a height between {low} and {high} mm at which the lining stays in one piece"
            book.say(wall, "dado", given=dado, accepted=accepted)
            return None
        ring, carried = geometry.from_bottom_left(*cut)
    return ring, carried


def _corners(book: Book, wall: Levels, room: Level | None) -> tuple[Point, ...] | None:
    outline = wall.pick("outline")
    nearest, length = wall.rank("outline"), wall.rank("length")
    if nearest == length < len(wall.levels) and nearest <= wall.rank("height"):
        wall.pick("length")
        accepted = "either an outline, or length and height"
        book.say(wall, "length", given=Said("both length and outline"), accepted=accepted)
        return None
    if nearest < length:
        return None if "outline" in wall.doubtful else tuple((x, y) for x, y in outline)
    width, height = wall.pick("length"), wall.pick("height")
    if room is not None and wall.rank("height") == len(wall.levels):
        said = Levels(book.report, room.place, [room])
        height = said.pick("height")
        room = None if said.doubtful else room  # as if unknown: a height was given, so none is missing
    for field, value, where in (("length", width, ""), ("height", height, ", here or in the room")):
        if value is None and (room or field == "length"):
            accepted = f"the {field} of the wall in mm{where} (or an outline)"
            book.say(wall, field, given=NOTHING, accepted=accepted)
    if width is None or height is None:
        return None
    return ((0, 0), (width, 0), (width, height), (0, height))


def _sound(book: Book, wall: Levels, corners: tuple[Point, ...]) -> bool:
    """Is this an outline at all? Else say why not."""
    left, bottom, right, top = geometry.box_of(corners)
    clash = geometry.first_clash(corners)
    if clash is not None:
        first, second = clash
        given = f"side {first + 1} crossing or touching side {second + 1}"
        if geometry.in_one_line(corners):
            given = "corners in one line"
        elif first == second:
            given = f"corner {first + 1} twice in a row"
        accepted = "corners in order round the wall, whose sides meet only at the corners"
        book.say(wall, "outline", given=Said(given), accepted=accepted)
        return False
    if (
        right - left > LARGEST_MM
        or top - bottom > LARGEST_MM
        or min(right - left, top - bottom) < SMALLEST_MM
    ):
        given, accepted = f"{right - left} by {top - bottom} mm", f"{SMALLEST_MM} to {LARGEST_MM} mm each way"
        book.say(wall, "outline", given=Said(given), accepted=accepted)
        return False
    return True


def _meets(book: Book, wall: Levels, corners: tuple[Point, ...]) -> tuple[MeetsWord, ...] | None:
    edges = wall.pick("edges")
    if edges is not None:
        if len(edges) != len(corners):
            accepted = f"{len(corners)} words, one for each side of the outline"
            book.say(wall, "edges", given=Said(f"{len(edges)} words"), accepted=accepted)
            return None
        return tuple(edges)
    said = wall.within("meets")
    return tuple(said.pick(side, MEETS[side]) for side in geometry.sides(corners))
