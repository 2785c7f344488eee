"""Screws: every board on every member it crosses, at lawful spacing and lawful distances from its edges."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

from innerleaf.layout.pieces import Bar, BoardPiece, Member, Ring, Role, ScrewLine
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Span, intersect, nearest, spans_over
from innerleaf.practice.model import Practice, Screw


def screw_for(setting: Setting, practice: Practice, layer: int) -> Screw:
    """The shortest screw that goes through the packet up to this layer and far enough into the frame.

    The length is counted from the back of the packet, the thin sheet included, as the trade does when
    it takes a 35 mm screw for two boards of 12.5 mm (DIN 18181 practice, see the rule's note).
    """
    packet = sum(board.thickness_mm for board in setting.boards[:layer])
    need = packet + setting.rules.screw_beyond_steel_min_mm
    ordered = sorted(practice.screws.values(), key=lambda s: s.length_mm)
    return next((s for s in ordered if s.length_mm >= need), ordered[-1])


def drive_screws(
    setting: Setting,
    practice: Practice,
    members: Sequence[Member],
    noggings: Sequence[Bar],
    boards: Sequence[BoardPiece],
) -> list[ScrewLine]:
    """Screw lines of all face boards."""
    items = [screw_for(setting, practice, layer).id for layer in range(1, len(setting.boards) + 1)]
    lines: list[ScrewLine] = []
    for board in boards:
        if board.plane != "face":
            continue
        left = min(x for x, _ in board.ring)
        right = max(x for x, _ in board.ring)
        low = min(y for _, y in board.ring)
        high = max(y for _, y in board.ring)
        spacing = setting.screw_spacing_mm(board.layer)
        plain = len(board.ring) == 4 and not board.holes and _level_and_plumb(board.ring)
        for member in members:
            half = member.face_mm / 2
            if (
                member.x_mm + half <= left
                or member.x_mm - half >= right
                or member.top_mm <= low
                or member.bottom_mm >= high
            ):
                continue
            line = _upright_line(setting, board, member, left, right, low, high, plain)
            if line is not None:
                at, spans = line
                places = [y for span in spans for y in _places(span, spacing)]
                if places:
                    lines.append(
                        ScrewLine(
                            board.mark,
                            member.mark,
                            board.layer,
                            True,
                            at,
                            tuple(places),
                            items[board.layer - 1],
                        )
                    )
        for nogging in noggings:
            lines += _level_lines(
                setting, board, nogging, left, right, low, high, spacing, items[board.layer - 1]
            )
    return lines


def _upright_line(
    setting: Setting,
    board: BoardPiece,
    member: Member,
    left: float,
    right: float,
    low: float,
    high: float,
    plain: bool,
) -> tuple[float, list[Span]] | None:
    """Where on a member a board is screwed: x, and the stretches for screws."""
    rules = setting.rules
    band = setting.screw_band_mm
    flange = rules.screw_flange_edge_min_mm
    half = member.face_mm / 2
    from_left = rules.screw_edge_bound_min_mm if board.left_bound else rules.screw_edge_cut_min_mm
    from_right = rules.screw_edge_bound_min_mm if board.right_bound else rules.screw_edge_cut_min_mm
    first = max(left + from_left, member.x_mm - half + flange)
    last = min(right - from_right, member.x_mm + half - flange)
    if first > last:
        return None
    if left < member.x_mm < right and first <= member.x_mm <= last:
        wanted = [member.x_mm, (first + last) / 2, first, last]
    else:
        wanted = [(first + last) / 2, first, last]
    for choice in wanted:
        at = nearest(choice)
        if not first <= at <= last:
            at = ceil(first) if ceil(first) <= last else floor(last)
            if not first <= at <= last:
                continue
        if plain:
            spans: list[Span] = [(low + band, high - band)]
        else:
            spans = _inside(board, at, band, left, right)
        spans = intersect(spans, [(member.bottom_mm + flange, member.top_mm - flange)])
        if spans:
            return at, spans
    return None


def _inside(board: BoardPiece, at: float, band: int, left: float, right: float) -> list[Span]:
    """Stretches of a plumb line at least ``band`` inside a board that is cut to shape.

    Beside the board's own long edges the line already keeps its distance, so the strip that must be
    free ends there.
    """
    strip = spans_over([board.ring, *board.holes], max(at - band, left), min(at + band, right))
    return [(a + band, b - band) for a, b in strip if b - a > 2 * band]


def _level_and_plumb(ring: Ring) -> bool:
    return all(a[0] == b[0] or a[1] == b[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True))


def _places(span: Span, spacing: int) -> list[int]:
    """Screws from one end of a stretch to the other, evenly, none farther apart than ``spacing``."""
    low, high = ceil(span[0]), floor(span[1])
    if high < low:
        return []
    count = max(1, ceil((high - low) / spacing))
    if high - low < 2 * _CLOSEST_MM:
        return [low] if high - low < _CLOSEST_MM else [low, high]
    return [nearest(low + (high - low) * k / count) for k in range(count + 1)]


# Two screws closer than this in one line only tear the core; common practice, no source.
_CLOSEST_MM = 30


def _level_lines(
    setting: Setting,
    board: BoardPiece,
    nogging: Bar,
    left: float,
    right: float,
    low: float,
    high: float,
    spacing: int,
    item: str,
) -> list[ScrewLine]:
    """Screws along a cut end of a board into the nogging behind it."""
    if nogging.role != Role.NOGGING or board.layer != 1:
        return []
    half, flange, cut = (
        nogging.face_mm / 2,
        setting.rules.screw_flange_edge_min_mm,
        setting.rules.screw_edge_cut_min_mm,
    )
    for end, inwards in ((low, 1), (high, -1)):
        if abs(end - nogging.ay_mm) > 1:
            continue
        near, far = end + inwards * cut, end + inwards * (half - flange)
        at = nearest((near + far) / 2)
        span = (
            max(left + setting.screw_band_mm, min(nogging.ax_mm, nogging.bx_mm) + flange),
            min(right - setting.screw_band_mm, max(nogging.ax_mm, nogging.bx_mm) - flange),
        )
        inside = [
            s for s in intersect([span], [_level_extent(board, at, setting.screw_band_mm)]) if s[1] > s[0]
        ]
        places = tuple(x for s in inside for x in _places(s, spacing))
        if places:
            return [ScrewLine(board.mark, nogging.mark, 1, False, at, places, item)]
    return []


def _level_extent(board: BoardPiece, y: float, band: int) -> Span:
    """The stretch of a level line inside a board, by turning the board on its side."""
    turned = [tuple((py, px) for px, py in reversed(ring)) for ring in (board.ring, *board.holes)]
    spans = spans_over(turned, y - band, y + band)
    if not spans:
        return (0, 0)
    widest = max(spans, key=lambda s: s[1] - s[0])
    return (widest[0] + band, widest[1] - band)
