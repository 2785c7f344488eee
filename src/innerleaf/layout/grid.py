"""The search for the best grid: where members stand and where boards meet, panel by panel.

Every start of the grid that could be best makes something coincide: a joint with the end of the
clear zone of a jamb, a member with a jamb stud or the side of a box, a first board with its full
width, a last strip with the least strip. Only these starts are tried; the set is the same seen from
the right, so a mirrored wall gets an equally good layout.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from innerleaf.layout.panels import Panel, movement_joint_ways, panels_of
from innerleaf.layout.pieces import GridChoice, Role
from innerleaf.layout.posts import Post, fixed_posts
from innerleaf.layout.setting import Setting
from innerleaf.layout.trial import Ruling, Stretch, Trial, try_origin
from innerleaf.layout.zone import Zone

_CLOSER = 8  # starts that get the thorough search first; it costs some 2 ms each


@dataclass(frozen=True, slots=True)
class PanelGrid:
    """Members and joints of one panel; ``squeezed`` are gaps too narrow for any stud."""

    panel: Panel
    posts: tuple[Post, ...]
    joints: tuple[tuple[int, ...], ...]  # by layer
    choice: GridChoice
    squeezed: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """A panel before a grid is thought of: members it has anyway, itself as numbers, starts worth trying."""

    panel: Panel
    fixed: tuple[Post, ...]
    squeezed: tuple[tuple[float, float], ...]
    stretch: Stretch
    origins: tuple[int, ...]


def set_out_panels(setting: Setting, zone: Zone) -> tuple[list[int], list[PanelGrid]]:
    """Movement joints and the grid of each panel between them; the cheaper way where there are two."""
    ruling = ruling_for(setting)
    ways = [
        (joints, [choose_grid(setting, ruling, zone, panel) for panel in panels_of(setting, zone, joints)])
        for joints in movement_joint_ways(setting, zone)
    ]
    return min(
        ways,
        key=lambda way: [sum(terms) for terms in zip(*(grid.choice.cost for grid in way[1]), strict=True)],
    )


def choose_grid(setting: Setting, ruling: Ruling, zone: Zone, panel: Panel) -> PanelGrid:
    """Try every candidate start and keep the best: rules, slivers, waste, then fewest pieces."""
    ground = ground_of(setting, ruling, zone, panel)
    stretch, origins = ground.stretch, ground.origins
    trials = _try_all(ruling, stretch, origins, thorough=False)
    best = _best(ruling, stretch, trials)
    if best.cost[0] or best.cost[1]:  # a rule or a sliver: worth a closer search
        promising = _promising(trials)
        trials += _try_all(ruling, stretch, promising, thorough=True)
        best = _best(ruling, stretch, trials)
        if best.cost[0]:
            others = [origin for origin in origins if origin not in promising]
            trials += _try_all(ruling, stretch, others, thorough=True)
            best = _best(ruling, stretch, trials)
    plain_origin = panel.board_x0 % ruling.period
    plain = min((trial for trial in trials if trial.origin == plain_origin), key=lambda trial: trial.cost)
    return grid_of(setting, ground, best, _reason(best, plain))


def ground_of(setting: Setting, ruling: Ruling, zone: Zone, panel: Panel) -> Ground:
    """What stands in a panel anyway, and the starts worth trying."""
    fixed, squeezed = fixed_posts(setting, zone, panel)
    # Beside steps, columns and beams a joint too near leaves a limb as thin as beside an opening.
    sides = {x for b in zone.faces for x in (b.x0, b.x1)} | {round(up[0]) for up in zone.uprights()}
    jambs = sorted(x for x in sides if panel.x0 < x < panel.x1)
    faces = tuple((post.left, post.right) for post in fixed)
    stretch = Stretch(
        panel.x0, panel.x1, panel.board_x0, panel.board_x1, faces, tuple(jambs), _box_places(setting)
    )
    spots = [post.x for post in fixed if post.role in (Role.JAMB, Role.EDGE)]
    for left, right in stretch.boxes:
        if panel.x0 < right and left < panel.x1:
            spots += [left - ruling.face / 2, right + ruling.face / 2]
    origins = candidate_origins(ruling, panel, jambs, spots)
    return Ground(panel, tuple(fixed), tuple(squeezed), stretch, tuple(origins))


def grid_of(setting: Setting, ground: Ground, trial: Trial, reason: str) -> PanelGrid:
    """Members and joints of a panel as a trial has them."""
    posts = [
        *ground.fixed,
        *(Post(x, setting.face_mm, Role.GRID, setting.studs) for x in trial.grid),
        *(Post(x, setting.face_mm, Role.JOINT, setting.studs) for x in trial.extra),
    ]
    choice = GridChoice(
        from_mm=ground.panel.x0,
        to_mm=ground.panel.x1,
        origin_mm=trial.origin,
        spacing_mm=setting.spacing_mm,
        tried=len(ground.origins),
        cost=trial.cost,
        reason=reason,
    )
    return PanelGrid(
        ground.panel, tuple(sorted(posts, key=lambda post: post.x)), trial.joints, choice, ground.squeezed
    )


def candidate_origins(
    ruling: Ruling, panel: Panel, jambs: Sequence[int], spots: Sequence[float]
) -> list[int]:
    """Starts worth trying within one period of the grid, the same set when the panel is mirrored.

    ``spots`` are where a member stands well: on one at a jamb, step or column, which saves a member,
    and just clear of a box.
    """
    middle, half_bay = (panel.board_x0 + panel.board_x1) / 2, ruling.board / len(ruling.bays) / 2
    marks: list[float] = [panel.board_x0, panel.board_x1]
    marks += [panel.board_x0 + ruling.strip_min, panel.board_x1 - ruling.strip_min]
    marks += [middle, middle + half_bay, middle - half_bay]
    marks += [jamb + side for jamb in jambs for side in (-ruling.jamb_clear, ruling.jamb_clear)]
    marks += spots
    # Half millimetres go both ways, so that the mirrored panel finds the same starts.
    whole = {near for mark in marks for near in (ceil(mark - 0.5), floor(mark + 0.5))}
    return sorted({mark % ruling.period for mark in whole})


def _try_all(ruling: Ruling, stretch: Stretch, origins: Sequence[int], *, thorough: bool) -> list[Trial]:
    """Every start, from the left, and from the right as well where that may come out otherwise.

    In the thorough search layers hinder each other, and which yields may depend on the side.
    """
    ends, image = stretch.x0 + stretch.x1, stretch.mirrored()
    trials = []
    for origin in origins:
        trial = try_origin(ruling, stretch, origin, thorough=thorough)
        trials.append(trial)
        if trial.ambiguous or thorough:
            back = try_origin(ruling, image, (ends - origin) % ruling.period, thorough=thorough)
            trials.append(back.mirrored(ends, ruling.period))
    return trials


def _promising(trials: Sequence[Trial]) -> list[int]:
    """Starts worth a closer search: those no dearer than the eighth cheapest, seen from either side."""
    cheapest: dict[int, tuple[int, ...]] = {}
    for trial in trials:
        cheapest[trial.origin] = min(trial.cost, cheapest.get(trial.origin, trial.cost))
    limit = sorted(cheapest.values())[:_CLOSER][-1]
    return sorted(origin for origin, cost in cheapest.items() if cost <= limit)


def _best(ruling: Ruling, stretch: Stretch, trials: Sequence[Trial]) -> Trial:
    """The cheapest trial; among equals the one nearest to a full board at the left end."""
    return min(trials, key=lambda trial: (trial.cost, (trial.origin - stretch.board_x0) % ruling.period))


def ruling_for(setting: Setting) -> Ruling:
    """What the search keeps for the panels of one wall."""
    board, bays = setting.board_width_mm, setting.bays
    return Ruling(
        board=board,
        bays=tuple(round(k * board / bays) for k in range(bays)),
        face=setting.face_mm,
        spacing_max=min(setting.greatest_spacing_mm, ceil(setting.spacing_mm)),
        jamb_clear=setting.rules.jamb_clear_mm,
        layer_offset=setting.layer_offset_mm,
        strip_min=setting.rules.strip_min_mm,
        layers=len(setting.boards),
    )


def _box_places(setting: Setting) -> tuple[tuple[float, float], ...]:
    """Stretches that members should leave free for boxes."""
    places = []
    for box in setting.wall.boxes:
        half = box.diameter_mm / 2 + setting.rules.box_clear_of_member_mm
        places.append((box.x_mm - half, box.x_mm + (box.count - 1) * box.pitch_mm + half))
    return tuple(places)


_COST_NAMES = (
    "mm too near to jambs, joints and boxes",
    "mm that strips are too narrow",
    "boards needed",
    "members needed",
    "widths of board",
)


def _reason(best: Trial, plain: Trial) -> str:
    """Why this start, against a full board at the left end."""
    if best.cost == plain.cost:
        return "a full board at the left end; no start tried is better"
    name, ours, theirs = next(
        terms for terms in zip(_COST_NAMES, best.cost, plain.cost, strict=True) if terms[1] != terms[2]
    )
    return f"{name}: {ours}; with a full board at the left end {theirs}"
