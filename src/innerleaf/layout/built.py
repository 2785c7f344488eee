"""A wall that is partly built: what stands stays where it stands, the rest is set out around it.

Members may stand elsewhere than drawn, boards hang already. Joints still to come are looked for on members
that stand, then on members that were to come, then on new ones; boards still to come fill what is left of
each layer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from innerleaf.layout.built_joints import Laying
from innerleaf.layout.built_marks import keep_marks
from innerleaf.layout.built_parts import Built
from innerleaf.layout.grid import Ground, PanelGrid, ground_of, ruling_for
from innerleaf.layout.panels import Panel, panels_of
from innerleaf.layout.pieces import GridChoice, Member, Role, WallPlan
from innerleaf.layout.plan import plan_grids
from innerleaf.layout.posts import Post
from innerleaf.layout.setting import Setting, setting_for
from innerleaf.layout.trial import Ruling, trial_of
from innerleaf.layout.zone import Zone
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Wall

_ROWS = (Role.GRID, Role.JOINT, Role.CRIPPLE)  # members that the grid asks for, not the wall
_REASON = "around what is built"


def grids_around(setting: Setting, zone: Zone, before: WallPlan, built: Built) -> list[PanelGrid]:
    """Members and joints of every panel of a wall that is partly built; movement joints stay."""
    ruling = ruling_for(setting)
    panels = panels_of(setting, zone, before.movement_joints_mm)
    return [_grid_around(setting, ruling, zone, panel, before, built) for panel in panels]


def _grid_around(
    setting: Setting, ruling: Ruling, zone: Zone, panel: Panel, before: WallPlan, built: Built
) -> PanelGrid:
    ground = ground_of(setting, ruling, zone, panel)
    standing = _standing(setting, panel, built.members)
    fixed, free = _settled(ground, standing)
    stretch = replace(
        ground.stretch, fixed=tuple((post.left, post.right) for post in _in_order([*fixed, *free]))
    )
    planned = _to_come(panel, before, built, [*fixed, *free])
    grid = tuple(sorted({*(round(post.x) for post in free), *planned}))
    laying = Laying(
        ruling,
        stretch,
        grid,
        tuple(free),
        tuple(tuple(round(x) for x in joints) for joints in before.vertical_joints_mm),
        tuple(one for one in built.boards if panel.x0 <= (one.left_mm + one.right_mm) / 2 <= panel.x1),
    )
    choice = next((one for one in before.grids if one.from_mm <= panel.x0 < one.to_mm), before.grids[0])
    trial = trial_of(ruling, stretch, choice.origin_mm, grid, laying.layers())
    there = {round(post.x) for post in free}
    posts = [
        *fixed,
        *free,
        *(Post(x, setting.face_mm, Role.GRID, setting.studs) for x in trial.grid if x not in there),
        *(
            Post(laying.beside(x) or x, setting.face_mm, Role.JOINT, setting.studs)
            for x in trial.extra
            if x not in there
        ),
    ]
    return PanelGrid(
        panel,
        tuple(_in_order(posts)),
        trial.joints,
        _choice(panel, choice, trial.cost),
        ground.squeezed,
    )


def _choice(panel: Panel, was: GridChoice, cost: tuple[int, ...]) -> GridChoice:
    return replace(was, from_mm=panel.x0, to_mm=panel.x1, tried=1, cost=cost, reason=_REASON)


def _in_order(posts: Sequence[Post]) -> list[Post]:
    return sorted(posts, key=lambda post: post.x)


def _standing(setting: Setting, panel: Panel, members: Sequence[Member]) -> list[Post]:
    """A post for each line of members that stand in a panel; several in one line are one post."""
    by_place: dict[tuple[float, int], Member] = {}
    for member in members:
        if panel.x0 <= member.x_mm <= panel.x1:
            known = by_place.setdefault((member.x_mm, member.face_mm), member)
            if known.role == Role.CRIPPLE:
                by_place[member.x_mm, member.face_mm] = member
    return [
        Post(
            x,
            face,
            Role.GRID if member.role == Role.CRIPPLE else member.role,
            1 if member.role == Role.SIDE_TRACK or face == setting.stud.face_mm else 2,
        )
        for (x, face), member in sorted(by_place.items())
    ]


def _settled(ground: Ground, standing: Sequence[Post]) -> tuple[list[Post], list[Post]]:
    """Posts that the wall asks for, where they stand if they stand; and the others that stand.

    A post that stands in the place of one asked for, at least in part, stands for it.
    """
    fixed: list[Post] = []
    taken: set[int] = set()
    for asked in ground.fixed:
        near = [
            (post.role != asked.role, abs(post.x - asked.x), number)
            for number, post in enumerate(standing)
            if number not in taken and post.left < asked.right and asked.left < post.right
        ]
        if near:
            number = min(near)[2]
            taken |= {number, *(other for _, _, other in near if standing[other].x == asked.x)}
            fixed.append(replace(standing[number], role=asked.role))
        else:
            fixed.append(asked)
    return fixed, [post for number, post in enumerate(standing) if number not in taken]


def _to_come(panel: Panel, before: WallPlan, built: Built, posts: Sequence[Post]) -> Iterator[int]:
    """Places of the grid drawn before that are still to be built and are clear of what stands."""
    there = {member.mark for member in built.members} | built.dropped
    for member in before.members:
        half = member.face_mm / 2
        if (
            member.role in _ROWS
            and member.mark not in there
            and panel.board_x0 < member.x_mm < panel.board_x1
            and all(post.right <= member.x_mm - half or member.x_mm + half <= post.left for post in posts)
        ):
            yield round(member.x_mm)


def plan_around(
    wall: Wall, practice: Practice, before: WallPlan, built: Built, taken: frozenset[str]
) -> WallPlan:
    """Set out what is still to come of a wall, around what is built.

    Parameters
    ----------
    wall : Wall
        The wall as it was found to be: its openings where they are.
    before : WallPlan
        The plan so far; places that are still to come are taken from it where they fit.
    built : Built
        What stands and hangs.
    taken : frozenset of str
        Marks that were ever used of this wall.

    Raises
    ------
    InputError
        The lining names something the practice does not have.
    """
    setting, zone = setting_for(wall, practice), Zone(wall)
    grids = grids_around(setting, zone, before, built)
    hanging = [one.piece for one in built.boards]
    after = plan_grids(setting, practice, before.movement_joints_mm, grids, hanging=hanging)
    return keep_marks(before, after, built, taken)
