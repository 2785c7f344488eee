"""The search for the grid's start: no worse than trying every millimetre, and it says why."""

from __future__ import annotations

from tests.layout.plain import PRACTICE

from innerleaf.layout.grid import _box_places, _ruling, _try_all, choose_grid
from innerleaf.layout.panels import Panel, movement_joint_ways, panels_of
from innerleaf.layout.posts import fixed_posts
from innerleaf.layout.setting import Setting, setting_for
from innerleaf.layout.trial import Stretch
from innerleaf.layout.zone import Zone
from innerleaf.survey.wall import Wall

RULE, SLIVER, BOARDS, MEMBERS, WIDTHS = range(5)  # terms of the cost, in their order


def stretch_of(setting: Setting, zone: Zone, panel: Panel) -> Stretch:
    """The panel as numbers, as the search sees it."""
    faces = tuple((post.left, post.right) for post in fixed_posts(setting, zone, panel)[0])
    jambs = sorted(x for b in zone.blockers if b.opening for x in (b.x0, b.x1) if panel.x0 < x < panel.x1)
    return Stretch(
        panel.x0, panel.x1, panel.board_x0, panel.board_x1, faces, tuple(jambs), _box_places(setting)
    )


def chosen_and_best(some: Wall) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """For each panel up to 5 m: cost of the chosen start, and the least of all starts there are."""
    setting, zone = setting_for(some, PRACTICE), Zone(some)
    ruling, costs = _ruling(setting), []
    for panel in panels_of(setting, zone, movement_joint_ways(setting, zone)[0]):
        if panel.board_x1 - panel.board_x0 <= 5000:
            chosen = choose_grid(setting, ruling, zone, panel).choice.cost
            every = range(ruling.period)
            broken = chosen[RULE] > 0 or chosen[SLIVER] > 0
            trials = _try_all(ruling, stretch_of(setting, zone, panel), every, thorough=broken)
            costs.append((chosen, min(trial.cost for trial in trials)))
    return costs
