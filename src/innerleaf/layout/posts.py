"""Members that the wall itself asks for, wherever the grid starts: at ends, jambs, steps and columns."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from innerleaf.layout.panels import EndKind, Panel
from innerleaf.layout.pieces import Role
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Zone


@dataclass(frozen=True, slots=True)
class Post:
    """A place for a vertical member. ``studs``: how many profiles make it up."""

    x: float
    face: int
    role: Role
    studs: int = 1

    @property
    def left(self) -> float:
        """Left edge of its face."""
        return self.x - self.face / 2

    @property
    def right(self) -> float:
        """Right edge of its face."""
        return self.x + self.face / 2


_Side = tuple[float, bool, Role]  # (edge, the lining lies to the right of it, role)


def fixed_posts(setting: Setting, zone: Zone, panel: Panel) -> tuple[list[Post], list[tuple[float, float]]]:
    """Members that the wall itself asks for: ends, jambs, steps, sides of columns."""
    sides: list[_Side] = []
    for kind, end, rightwards in ((panel.left, panel.x0, True), (panel.right, panel.x1, False)):
        role = {
            EndKind.STRUCTURE: Role.SIDE_TRACK if setting.bracketed else Role.END,
            EndKind.FREE: Role.END,
            EndKind.POINT: Role.END,
            EndKind.MOVEMENT: Role.MOVEMENT,
            EndKind.OPENING: Role.JAMB,
            EndKind.OBSTACLE: Role.SIDE_TRACK if setting.bracketed else Role.EDGE,
        }[kind]
        sides.append((end, rightwards, role))
    for b in zone.blockers:
        role = Role.JAMB if b.opening else Role.EDGE
        if panel.x0 < b.x0 < panel.x1:
            sides.append((b.x0, False, role))
        if panel.x0 < b.x1 < panel.x1:
            sides.append((b.x1, True, role))
    for x, _, _, rightwards, _ in zone.uprights():
        if panel.x0 < x < panel.x1:
            sides.append((x, rightwards, Role.EDGE))
    return _settle(setting, sides)


def _settle(setting: Setting, sides: Iterable[_Side]) -> tuple[list[Post], list[tuple[float, float]]]:
    """One post at each side; where two would stand in one another, a box of two studs as wide as the pier.

    Two C studs pushed into one another can be drawn out to any width between one and two flanges. A pier
    narrower than one stud takes none and is returned as squeezed; a post still stands above and below.
    """
    face = setting.face_mm
    posts: list[tuple[Post, bool]] = []
    squeezed: list[tuple[float, float]] = []
    seen: set[tuple[float, bool]] = set()
    for edge, rightwards, role in sorted(
        sides, key=lambda s: (s[0], s[1], s[2] not in (Role.JAMB, Role.MOVEMENT))
    ):
        if (edge, rightwards) in seen:
            continue
        seen.add((edge, rightwards))
        own = setting.track.face_mm if role == Role.SIDE_TRACK else face
        post = Post(
            edge + own / 2 if rightwards else edge - own / 2,
            own,
            role,
            1 if role == Role.SIDE_TRACK else setting.studs,
        )
        before, before_rightwards = posts[-1] if posts else (None, False)
        if before is None or post.left >= before.right:
            posts.append((post, rightwards))
        elif before_rightwards and not rightwards and edge - before.left >= setting.stud.face_mm:
            kept = role if before.role in (Role.END, Role.SIDE_TRACK) else before.role
            pier = Post((before.left + edge) / 2, int(edge - before.left), kept, 2)
            posts[-1] = (pier, rightwards)
        elif before_rightwards and not rightwards:
            squeezed.append((before.left, edge))
            posts.pop()
            spare = _across(before, post)
            if not posts or posts[-1][0].right <= spare.left:
                posts.append((spare, rightwards))
        elif rightwards:  # a strip narrower than a stud on the left: the post farther in stays
            squeezed.append((before.left, edge))
            posts[-1] = (post, rightwards)
        else:
            squeezed.append((before.right, edge))
    return [post for post, _ in posts], squeezed


def _across(left: Post, right: Post) -> Post:
    """The post that stands above and below a pier too narrow for one: at the end, or in the middle."""
    for post in (left, right):
        if post.role not in (Role.JAMB, Role.EDGE):
            return post
    return replace(left, x=(left.left + right.right) / 2)
