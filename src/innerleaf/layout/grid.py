"""The search for the best grid: where members stand and where boards meet, panel by panel.

Every start of the grid that could be best makes something coincide: a joint with the end of the
clear zone of a jamb, a member with a jamb stud, a first board with its full width, a last strip with
the least strip. Only these starts are tried; the set is the same seen from the right, so a mirrored
wall gets an equally good layout.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from innerleaf.layout.panels import Panel, movement_joint_ways, panels_of
from innerleaf.layout.pieces import GridChoice, Role
from innerleaf.layout.posts import Post, fixed_posts
from innerleaf.layout.setting import Setting
from innerleaf.layout.trial import Stretch, Trial, try_origin
from innerleaf.layout.zone import Zone


@dataclass(frozen=True, slots=True)
class PanelGrid:
    """Members and joints of one panel; ``squeezed`` are gaps too narrow for any stud."""

    panel: Panel
    posts: tuple[Post, ...]
    joints: tuple[tuple[int, ...], ...]  # by layer
    choice: GridChoice
    squeezed: tuple[tuple[float, float], ...]


def candidate_origins(
    setting: Setting, panel: Panel, jambs: Sequence[int], posts: Sequence[Post]
) -> list[int]:
    """Starts worth trying, in ``0 .. spacing``, the same set when the panel is mirrored."""
    rules = setting.rules
    strip = rules.strip_min_mm
    middle, half_bay = panel.board_x0 + panel.board_x1, setting.spacing_mm / 2
    marks: list[float] = [
        panel.board_x0,
        panel.board_x1,
        panel.board_x0 + strip,
        panel.board_x1 - strip,
        middle / 2,
        middle / 2 + half_bay,
        middle / 2 - half_bay,
    ]
    for jamb in jambs:
        marks += [jamb - rules.jamb_clear_mm, jamb + rules.jamb_clear_mm]
    marks += [post.x for post in posts if post.role in (Role.JAMB, Role.EDGE)]
    # Half millimetres go both ways, so that the mirrored panel finds the same starts.
    whole = {near for mark in marks for near in (ceil(mark - 0.5), floor(mark + 0.5))}
    return sorted({mark % _period(setting) for mark in whole})


def _period(setting: Setting) -> int:
    """After how much a shifted grid is the same again: a bay, or a board where bays are rounded."""
    return int(setting.spacing_mm) if setting.spacing_mm.is_integer() else setting.board_width_mm


def set_out_panels(setting: Setting, zone: Zone) -> tuple[list[int], list[PanelGrid]]:
    """Movement joints and the grid of each panel between them; the cheaper way where there are two."""
    ways = [
        (joints, [choose_grid(setting, zone, panel) for panel in panels_of(setting, zone, joints)])
        for joints in movement_joint_ways(setting, zone)
    ]
    return min(
        ways, key=lambda way: [sum(terms) for terms in zip(*(g.choice.cost for g in way[1]), strict=True)]
    )


def choose_grid(setting: Setting, zone: Zone, panel: Panel) -> PanelGrid:
    """Try every candidate start and keep the best: rules, slivers, waste, then fewest pieces."""
    fixed, squeezed = fixed_posts(setting, zone, panel)
    jambs = sorted(x for b in zone.blockers if b.opening for x in (b.x0, b.x1) if panel.x0 < x < panel.x1)
    stretch = Stretch(
        panel.x0, panel.x1, panel.board_x0, panel.board_x1, tuple(fixed), tuple(jambs), _box_places(setting)
    )
    origins = candidate_origins(setting, panel, jambs, fixed)
    trials = _try_all(setting, stretch, origins, thorough=False)
    best = _best(setting, stretch, trials)
    if best.cost[0] or best.cost[1]:  # a rule or a sliver: worth a closer search
        trials += _try_all(setting, stretch, origins, thorough=True)
        best = _best(setting, stretch, trials)
    plain_origin = panel.board_x0 % _period(setting)
    plain = min((trial for trial in trials if trial.origin == plain_origin), key=lambda trial: trial.cost)
    choice = GridChoice(
        from_mm=panel.x0,
        to_mm=panel.x1,
        origin_mm=best.origin,
        spacing_mm=setting.spacing_mm,
        tried=len(origins),
        cost=best.cost,
        reason=_reason(best, plain),
    )
    return PanelGrid(panel, best.posts, best.joints, choice, tuple(squeezed))


_COST_NAMES = ("rules missed", "slivers", "boards", "members", "widths of board")


def _try_all(setting: Setting, stretch: Stretch, origins: Sequence[int], *, thorough: bool) -> list[Trial]:
    """Every start, from the left and from the right."""
    period, ends, image = _period(setting), stretch.x0 + stretch.x1, stretch.mirrored()
    trials = []
    for origin in origins:
        trials.append(try_origin(setting, stretch, origin, thorough=thorough))
        back = try_origin(setting, image, (ends - origin) % period, thorough=thorough)
        trials.append(back.mirrored(ends, period))
    return trials


def _best(setting: Setting, stretch: Stretch, trials: Sequence[Trial]) -> Trial:
    """The cheapest trial; among equals the one nearest to a full board at the left end."""
    period = _period(setting)
    return min(trials, key=lambda trial: (trial.cost, (trial.origin - stretch.board_x0) % period))


def _box_places(setting: Setting) -> tuple[tuple[float, float], ...]:
    """Stretches that members should leave free for boxes."""
    places = []
    for box in setting.wall.boxes:
        half = box.diameter_mm / 2 + setting.rules.box_clear_of_member_mm
        places.append((box.x_mm - half, box.x_mm + (box.count - 1) * box.pitch_mm + half))
    return tuple(places)


def _reason(best: Trial, plain: Trial) -> str:
    """Why this start, against a full board at the left end."""
    if best.cost == plain.cost:
        return (
            "as good as any start tried; a full board at the left end"
            if best.origin == plain.origin
            else ("as good as a full board at the left end")
        )
    for name, ours, theirs in zip(_COST_NAMES, best.cost, plain.cost, strict=True):
        if ours != theirs:
            unit = " mm" if name in ("rules missed", "slivers") else ""
            return f"{name} {ours}{unit}; with a full board at the left end {theirs}{unit}"
    return ""
