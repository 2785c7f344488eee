"""All the steel of one wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from innerleaf.findings import Finding
from innerleaf.layout.grid import PanelGrid
from innerleaf.layout.members import stand_members
from innerleaf.layout.pieces import Bar, FixingLine, Member, Run
from innerleaf.layout.setting import Setting
from innerleaf.layout.tracks import fix_ends, run_tracks
from innerleaf.layout.zone import Zone
from innerleaf.practice.model import Practice


@dataclass(frozen=True, slots=True)
class Frame:
    """Steel of one wall."""

    members: tuple[Member, ...]
    bars: tuple[Bar, ...]
    fixings: tuple[FixingLine, ...]
    strips: tuple[Run, ...]
    findings: tuple[Finding, ...]


def build_frame(setting: Setting, practice: Practice, zone: Zone, grids: Sequence[PanelGrid]) -> Frame:
    """Stand the members, run the tracks, cut and splice all of it."""
    members, bars, findings = stand_members(setting, zone, grids)
    level_bars, fixings, strips = run_tracks(setting, practice, zone, grids)
    side_fixings, side_strips = fix_ends(setting, practice, zone, members, bars)
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
