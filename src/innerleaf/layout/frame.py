"""From posts to cut pieces of steel: members with their cut lengths, tracks, heads, sills, splices."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import atan, ceil, degrees, hypot

from innerleaf.findings import Finding
from innerleaf.layout.grid import PanelGrid
from innerleaf.layout.panels import EndKind
from innerleaf.layout.pieces import Bar, FixingLine, Member, Role, Run, RunKind
from innerleaf.layout.posts import Post
from innerleaf.layout.setting import FREE_ENDS, Setting
from innerleaf.layout.zone import Level, Zone, nearest, y_at
from innerleaf.practice.model import ConsumableUse, Practice, Profile


@dataclass(frozen=True, slots=True)
class Frame:
    """Steel of one wall."""

    members: tuple[Member, ...]
    bars: tuple[Bar, ...]
    fixings: tuple[FixingLine, ...]
    strips: tuple[Run, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class _Cut:
    """A member before it has a mark: its place, and the slopes of its ends (rise per run)."""

    post: Post
    role: Role
    bottom: float
    top: float
    bottom_slope: float
    top_slope: float


def build_frame(setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid]) -> Frame:
    """Stand the members, run the tracks, cut and splice all of it."""
    cuts = [cut for grid in grids for post in grid.posts for cut in _cuts(setting, zone, post)]
    members, bars, findings = _stand(setting, cuts)
    level_bars, fixings, strips = _run_tracks(setting, practice, zone, grids)
    side_fixings, side_strips = _fix_ends(setting, practice, zone, members, bars, grids)
    findings += _engagement(setting)
    findings += [
        Finding(
            code="L103",
            wall=setting.wall.id,
            rule="member_spacing_max_mm",
            text=f"pier of {right - left:.0f} mm takes no stud of {setting.stud.face_mm} mm",
            remedy="bond the board of the pier to the wall, or line over the pier from the reveals",
            x_mm=left,
        )
        for grid in grids
        for left, right in grid.squeezed
    ]
    return Frame(
        tuple(members),
        (*level_bars, *bars),
        (*fixings, *side_fixings),
        (*strips, *side_strips),
        tuple(findings),
    )


def _engagement(setting: Setting) -> list[Finding]:
    """Whether members cut short for a moving slab still reach far enough into the head track."""
    reach, least = setting.track.face_mm - setting.short_at_head_mm, setting.rules.track_engagement_min_mm
    if not setting.wall.head_moves or reach >= least:
        return []
    return [
        Finding(
            code="L105",
            wall=setting.wall.id,
            rule="track_engagement_min_mm",
            text=f"members reach {reach} mm into {setting.track.id} under the moving slab",
            remedy=f"take a head track with legs of {setting.short_at_head_mm + least} mm or more",
            y_mm=max(y for _, y in setting.wall.outline),
            by_mm=least - reach,
        )
    ]


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
        ceil(high - low),
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


_LEVEL_ROLES = {
    ("floor", False): (Role.FLOOR_TRACK, "F"),
    ("head", False): (Role.HEAD_TRACK, "H"),
    ("over", True): (Role.HEAD, "L"),
    ("under", True): (Role.SILL, "P"),
    ("over", False): (Role.FLOOR_TRACK, "F"),
    ("under", False): (Role.HEAD_TRACK, "H"),
}


def _run_tracks(
    setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid]
) -> tuple[list[Bar], list[FixingLine], list[Run]]:
    """Tracks along floor and head, head and sill members at openings."""
    rules, wall, track = setting.rules, setting.wall, setting.track
    strip = practice.consumable(ConsumableUse.SEALING_STRIP, track.depth_mm).id
    fixing = practice.consumable(ConsumableUse.PERIMETER_FIXING).id
    bars: list[Bar] = []
    fixings: list[FixingLine] = []
    strips: list[Run] = []
    count: dict[str, int] = {}
    for grid in grids:
        for level in zone.levels(grid.panel.x0, grid.panel.x1):
            role, letter = _LEVEL_ROLES[level.kind, level.opening]
            if level.opening and not _room_for(setting, zone, level):
                continue
            up = 1 if level.kind in ("floor", "over") else -1
            leg = rules.head_member_leg_mm if level.opening else 0
            run = hypot(level.bx - level.ax, level.by - level.ay)
            stock = max(track.stock_lengths_mm)
            lengths = splice_lengths(
                ceil(run) + 2 * leg,
                stock,
                overlap_mm=0,
                least_mm=rules.short_piece_min_mm,
                long_piece_last=False,
            )
            done = 0.0
            for i, piece in enumerate(lengths):
                count[letter] = count.get(letter, 0) + 1
                mark = f"{wall.id}/{letter}{count[letter]:02d}"
                shown = piece - (leg if i == 0 else 0) - (leg if i == len(lengths) - 1 else 0)
                a, b = _along(level, done, run), _along(level, min(run, done + shown), run)
                done += shown
                off = up * track.face_mm / 2
                turned = f", ends turned {leg} mm" if leg else ""
                purpose = role.value + (f" of {level.of}" if level.of else "") + turned
                bars.append(
                    Bar(
                        mark,
                        "",
                        role,
                        track.id,
                        a[0],
                        a[1] + off,
                        b[0],
                        b[1] + off,
                        track.face_mm,
                        piece,
                        0.0,
                        0.0,
                        purpose,
                    )
                )
                if level.opening or level.meets in FREE_ENDS:
                    continue
                fixings.append(
                    FixingLine(
                        mark,
                        fixing,
                        tuple(
                            _along(level, (done - shown) + d, run)
                            for d in spread(
                                shown, rules.track_fixing_spacing_max_mm, rules.fixing_end_distance_mm
                            )
                        ),
                    )
                )
                strips.append(
                    Run(RunKind.SEALING_STRIP, 0, a[0], a[1], b[0], b[1], round(shown), strip, mark)
                )
    return bars, fixings, strips


def _room_for(setting: Setting, zone: Zone, level: Level) -> bool:
    """Whether a head or sill member fits between the opening and what lies beyond it."""
    middle = (level.ax + level.bx) / 2
    spans = zone.clear(middle, middle)
    room = next((high - low for low, high in spans if level.ay in (low, high)), 0)
    return room >= setting.rules.cripple_min_mm


def _along(level: Level, distance: float, run: float) -> tuple[float, float]:
    """The point at a distance along a level."""
    t = distance / run
    x, y = level.ax + (level.bx - level.ax) * t, level.ay + (level.by - level.ay) * t
    return nearest(x), (level.ay if level.ay == level.by else round(y, 1))


def spread(length: float, spacing: int, end: int) -> list[int]:
    """Places along a length: one near each end, none farther apart than ``spacing``. [mm]"""
    if length <= 2 * end:
        return [round(length / 2)]
    span = length - 2 * end
    count = max(1, ceil(span / spacing))
    return [round(end + span * k / count) for k in range(count + 1)]


def _fix_ends(
    setting: Setting,
    practice: Practice,
    zone: Zone,
    members: Sequence[Member],
    bars: Sequence[Bar],
    grids: Sequence[PanelGrid],
) -> tuple[list[FixingLine], list[Run]]:
    """Fix and seal the members that stand against structure."""
    rules = setting.rules
    fixing = practice.consumable(ConsumableUse.PERIMETER_FIXING).id
    strip = practice.consumable(ConsumableUse.SEALING_STRIP, setting.stud.depth_mm).id
    against = _structure_lines(zone, grids)
    fixings: list[FixingLine] = []
    strips: list[Run] = []
    for member in members:
        half = member.face_mm / 2
        if not ({member.x_mm - half, member.x_mm + half} & against):
            continue
        height = member.top_mm - member.bottom_mm
        bar = next(bar for bar in bars if bar.member == member.mark)
        places = spread(height, rules.end_fixing_spacing_max_mm, rules.fixing_end_distance_mm)
        fixings.append(
            FixingLine(bar.mark, fixing, tuple((member.x_mm, nearest(member.bottom_mm + d)) for d in places))
        )
        strips.append(
            Run(
                RunKind.SEALING_STRIP,
                0,
                member.x_mm,
                member.bottom_mm,
                member.x_mm,
                member.top_mm,
                round(height),
                strip,
                member.mark,
            )
        )
    return fixings, strips


def _structure_lines(zone: Zone, grids: Sequence[PanelGrid]) -> set[float]:
    """x of everything solid that a member may stand against: panel ends, steps, columns, beams."""
    solid = (EndKind.STRUCTURE, EndKind.OBSTACLE)
    lines: set[float] = {grid.panel.x0 for grid in grids if grid.panel.left in solid}
    lines |= {grid.panel.x1 for grid in grids if grid.panel.right in solid}
    lines |= {x for x, _, _, _, meets in zone.uprights() if meets not in FREE_ENDS}
    lines |= {x for b in zone.blockers if not b.opening for x in (b.x0, b.x1)}
    return lines
