"""Brackets: where each channel is held to the old wall, and how far each bracket must project."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from innerleaf.findings import Finding
from innerleaf.layout.pieces import BracketPlace, Member, Role
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import nearest
from innerleaf.survey.plane import wall_offset_mm


def bracket_heights(length_mm: float, *, spacing_mm: int, end_min_mm: int, end_max_mm: int) -> list[int]:
    """Distances of brackets from the lower end of a channel. [mm]

    As few as the spacing allows; first and last between ``end_min_mm`` and ``end_max_mm`` from the
    ends, all bays alike. A channel too short for two takes one in its middle.
    """
    if length_mm <= 2 * end_max_mm:
        return [round(length_mm / 2)] if length_mm / 2 <= end_max_mm else []
    bays = max(1, ceil((length_mm - 2 * end_max_mm) / spacing_mm))
    # With the number fixed, ends as short as the spacing lets them be, so that the frame is stiff there.
    end = min(end_max_mm, max(end_min_mm, ceil((length_mm - bays * spacing_mm) / 2)))
    span = length_mm - 2 * end
    return [round(end + span * k / bays) for k in range(bays + 1)]


def place_brackets(setting: Setting, members: Sequence[Member]) -> tuple[list[BracketPlace], list[Finding]]:
    """Brackets for every channel that is not itself fixed to structure, with those that cannot reach."""
    rules, wall = setting.rules, setting.wall
    places: list[BracketPlace] = []
    findings: list[Finding] = []
    for member in members:
        if member.role == Role.SIDE_TRACK:
            continue
        heights = bracket_heights(
            member.top_mm - member.bottom_mm,
            spacing_mm=rules.bracket_spacing_max_mm,
            end_min_mm=rules.bracket_end_distance_min_mm,
            end_max_mm=rules.bracket_end_distance_max_mm,
        )
        for height in heights:
            x, y = nearest(member.x_mm), nearest(member.bottom_mm + height)
            projection = round(setting.build_up.frame_back_mm - wall_offset_mm(wall, x, y))
            reaching = [b for b in setting.brackets if b.reach_min_mm <= projection <= b.reach_max_mm]
            item = reaching[0] if reaching else setting.brackets[-1]
            mark = f"{wall.id}/K{len(places) + 1:02d}"
            places.append(BracketPlace(mark, member.mark, item.id, x, y, projection))
            if not reaching:
                findings.append(
                    Finding(
                        code="L301",
                        wall=wall.id,
                        rule="bracket reach",
                        text=f"{mark} must project {projection} mm; {item.id} reaches"
                        f" {item.reach_min_mm} to {item.reach_max_mm} mm",
                        remedy="pack behind the foot, hack off the bump, or take another bracket",
                        x_mm=x,
                        y_mm=y,
                        by_mm=max(projection - item.reach_max_mm, item.reach_min_mm - projection),
                    )
                )
    return places, findings
