"""From posts to members: where each stands free, how long it is cut, how it is raked and spliced."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import atan, ceil, degrees

from innerleaf.findings import Finding
from innerleaf.layout.grid import PanelGrid
from innerleaf.layout.pieces import Bar, Member, Role
from innerleaf.layout.posts import Post
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Zone, y_at
from innerleaf.practice.model import Profile


@dataclass(frozen=True, slots=True)
class _Cut:
    """A member before it has a mark: its place, and the slopes of its ends (rise per run)."""

    post: Post
    role: Role
    bottom: float
    top: float
    bottom_slope: float
    top_slope: float


def stand_members(
    setting: Setting, zone: Zone, grids: Sequence[PanelGrid]
) -> tuple[list[Member], list[Bar], list[Finding]]:
    """Members of all panels with their cut bars, and those that are higher than they may be."""
    return _stand(
        setting, [cut for grid in grids for post in grid.posts for cut in _cuts(setting, zone, post)]
    )


def _cuts(setting: Setting, zone: Zone, post: Post) -> list[_Cut]:
    """The stretches of one post that are free, shortened at the top, raked under slopes."""
    rules = setting.rules
    found = []
    for low, high in zone.clear(post.left, post.right):
        if high - low < rules.cripple_min_mm:
            continue
        bottom, bottom_slope = _raked(zone, post, low, lower=True)
        top, top_slope = _raked(zone, post, high, lower=False)
        at_head = _at_outline(zone, post, high)
        less = setting.short_at_head_mm if at_head else setting.short_mm
        whole = at_head and _at_outline(zone, post, low)
        role = post.role if whole or post.role not in (Role.GRID, Role.JOINT) else Role.CRIPPLE
        found.append(_Cut(post, role, bottom, top - less, bottom_slope, top_slope))
    return found


def _outline_edges(zone: Zone, post: Post) -> Iterable[tuple[float, float, float]]:
    """(y at the left face, y at the right face, slope) of outline edges right across a post."""
    ring = zone.outline
    for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
        if a[0] != b[0] and min(a[0], b[0]) <= post.left and max(a[0], b[0]) >= post.right:
            yield y_at(a, b, post.left), y_at(a, b, post.right), (b[1] - a[1]) / (b[0] - a[0])


def _raked(zone: Zone, post: Post, y: float, *, lower: bool) -> tuple[float, float]:
    """Height at the centre line and slope of the end at ``y``: that of the outline, if it is the outline."""
    if zone.rectangle:
        return y, 0.0
    for left, right, slope in _outline_edges(zone, post):
        if slope and y == (max(left, right) if lower else min(left, right)):
            if any(
                b.x0 < post.right and post.left < b.x1 and min(left, right) < edge < max(left, right)
                for b in zone.blockers
                for edge in (b.y0, b.y1)
            ):
                return y, 0.0  # part of the end is at an opening: cut square where both are cleared
            return (left + right) / 2, slope
    return y, 0.0


def _at_outline(zone: Zone, post: Post, y: float) -> bool:
    """Whether the end of a span at ``y`` is the outline's and not that of an opening, column or beam."""
    return not any(b.x0 < post.right and post.left < b.x1 and y in (b.y0, b.y1) for b in zone.blockers)


def _stand(setting: Setting, cuts: Sequence[_Cut]) -> tuple[list[Member], list[Bar], list[Finding]]:
    """Number the members left to right, bottom up, and cut their bars."""
    wall = setting.wall
    members: list[Member] = []
    bars: list[Bar] = []
    findings: list[Finding] = []
    for number, cut in enumerate(sorted(cuts, key=lambda c: (c.post.x, c.bottom)), 1):
        mark = f"{wall.id}/S{number:02d}"
        profile = setting.track if cut.role == Role.SIDE_TRACK and cut.post.studs == 1 else setting.stud
        members.append(Member(mark, cut.role, cut.post.x, cut.post.face, cut.bottom, cut.top))
        height = cut.top - cut.bottom
        limit = profile.greatest_height_mm if cut.post.studs == 1 else profile.greatest_height_doubled_mm
        if limit and height > limit and not setting.bracketed:
            findings.append(
                Finding(
                    code="L102",
                    wall=wall.id,
                    rule="greatest_height_mm",
                    text=f"{mark} is {height:.0f} mm high, {profile.id} goes to {limit} mm",
                    remedy="take a deeper profile or brackets to the wall, or have it proved",
                    x_mm=cut.post.x,
                    by_mm=height - limit,
                )
            )
        bars += _member_bars(setting, profile, mark, cut, number)
    return members, bars, findings


def _member_bars(setting: Setting, profile: Profile, mark: str, cut: _Cut, number: int) -> list[Bar]:
    """The profiles of one member: one, or two side by side when it is doubled or boxed."""
    if cut.post.studs == 1:
        return _stud_bars(setting, profile, mark, cut, 0.0, number)
    apart = max(0, cut.post.face - profile.face_mm) / 2
    return [
        *_stud_bars(setting, profile, mark + "L", cut, -apart, number),
        *_stud_bars(setting, profile, mark + "R", cut, apart, number),
    ]


def _stud_bars(
    setting: Setting, profile: Profile, mark: str, cut: _Cut, shift: float, number: int
) -> list[Bar]:
    """One profile, whole or spliced; ``shift`` is how far it stands from the member's centre."""
    x, half = cut.post.x + shift, profile.face_mm / 2
    bottom, top = cut.bottom + cut.bottom_slope * shift, cut.top + cut.top_slope * shift
    low = bottom - abs(cut.bottom_slope) * half  # lowest and highest corner of the raked ends
    high = top + abs(cut.top_slope) * half
    overlap = profile.splice_overlap_mm
    pieces = splice_lengths(
        ceil(round(high - low, 3)),
        max(profile.stock_lengths_mm),
        overlap_mm=overlap,
        least_mm=setting.rules.short_piece_min_mm,
        long_piece_last=number % 2 == 0,
    )
    bottom_cut, top_cut = (round(degrees(atan(slope)), 1) for slope in (cut.bottom_slope, cut.top_slope))
    if len(pieces) == 1:
        return [
            Bar(
                mark,
                mark.rstrip("LR"),
                cut.role,
                profile.id,
                x,
                bottom,
                x,
                top,
                profile.face_mm,
                pieces[0],
                bottom_cut,
                top_cut,
                cut.role.value,
            )
        ]
    bars, at = [], low
    joined = f"overlaps {overlap} mm" if overlap else "connector"
    for i, piece in enumerate(pieces):
        first, last = i == 0, i == len(pieces) - 1
        bars.append(
            Bar(
                mark + chr(ord("a") + i),
                mark.rstrip("LR"),
                cut.role,
                profile.id,
                x,
                bottom if first else at,
                x,
                top if last else at + piece,
                profile.face_mm,
                piece,
                bottom_cut if first else 0.0,
                top_cut if last else 0.0,
                f"{cut.role.value}, part {i + 1} of {len(pieces)}, {joined}",
            )
        )
        at += piece - overlap
    return bars


def splice_lengths(
    length_mm: int, stock_mm: int, *, overlap_mm: int, least_mm: int, long_piece_last: bool
) -> list[int]:
    """Lengths of the pieces that make up a long bar, in order; one piece where the stock allows.

    Whole stock lengths are used and the rest is the odd piece; when that would be shorter than
    ``least_mm``, all pieces are made alike.
    """
    if length_mm <= stock_mm:
        return [length_mm]
    count = ceil((length_mm - overlap_mm) / (stock_mm - overlap_mm))
    total = length_mm + overlap_mm * (count - 1)
    rest = total - stock_mm * (count - 1)
    if rest < max(least_mm, overlap_mm + 1):
        base, more = divmod(total, count)
        pieces = [base + (1 if i < more else 0) for i in range(count)]
    else:
        pieces = [stock_mm] * (count - 1) + [rest]
    return pieces[::-1] if long_piece_last else pieces
