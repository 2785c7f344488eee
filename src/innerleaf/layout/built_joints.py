"""Joints of a panel that is partly built: columns that hang stay, the others are laid on what stands."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from innerleaf.layout.built_parts import Hung
from innerleaf.layout.joints import JointPath, lay_joints
from innerleaf.layout.posts import Post
from innerleaf.layout.trial import Ruling, Stretch, bridges_over, missed_at, off_grid


@dataclass(frozen=True, slots=True)
class Laying:
    """What joints of one panel are laid on.

    ``stretch`` has the faces of every member that stands or must; ``grid`` places that stand or are to come;
    ``free`` members that stand and may be doubled; ``drawn`` joints of the plan before, by layer.
    """

    ruling: Ruling
    stretch: Stretch
    grid: tuple[int, ...]
    free: tuple[Post, ...]
    drawn: tuple[tuple[int, ...], ...]
    hanging: tuple[Hung, ...]

    def layers(self) -> list[JointPath]:
        """Joints of every layer: as drawn where that is no worse by the rules, or else the cheapest found.

        What was drawn may be cut already. Layers hinder each other, so that several ways round are tried.
        """
        layers = range(1, self.ruling.layers + 1)
        hung_first = sorted(layers, key=lambda layer: all(one.piece.layer != layer for one in self.hanging))
        orders = {tuple(hung_first), tuple(layers), tuple(layers[::-1])}
        ways = [self._in_turn(order, wide) for order in sorted(orders) for wide in (False, True)]
        best = min(ways, key=lambda paths: sum(path.price for path in paths))
        drawn = self._as_drawn()
        return drawn if drawn and _faults(drawn) <= _faults(best) else best

    def _as_drawn(self) -> list[JointPath] | None:
        """The joints of the plan before, where each still can have a member and no board is too wide."""
        ends = self.stretch.board_x0, self.stretch.board_x1
        found: list[JointPath] = []
        for layer, drawn in enumerate(self.drawn, 1):
            hung = [(one.left_mm, one.right_mm) for one in self.hanging if one.piece.layer == layer]
            kept = {x for x in drawn if all(not left < x < right for left, right in hung)}
            joints = sorted({x for x in kept | self._hung_edges(layer) if ends[0] < x < ends[1]})
            extra = [x for x in joints if x not in self.grid]
            widths = [b - a for a, b in pairwise((ends[0], *joints, ends[1]))]
            if max(widths) > self.ruling.board or not all(self._bears_new(self.grid, x) for x in extra):
                return None
            near = found[-1].joints if found else ()
            rules = ((self.ruling.jamb_clear, self.stretch.jambs), (self.ruling.layer_offset, near))
            slivers = [self.ruling.strip_min - width for width in widths if width < self.ruling.strip_min]
            found.append(
                JointPath(tuple(joints), sum(missed_at(joints, rules)), sum(slivers), tuple(extra), 0, False)
            )
        return found

    def beside(self, x: float) -> float | None:
        """Where a member beside one that stands makes the two carry a joint at ``x``; None if nowhere.

        The joint then lies on the two faces together, as far from their outer edges as on one face alone.
        """
        for post in self.free:
            if 0 < abs(x - post.x) < post.face:
                at = post.x + (post.face / 2 + self.ruling.face / 2) * (1 if x > post.x else -1)
                if self._clear([place for place in self.grid if place != post.x], at, post):
                    return at
        return None

    def _in_turn(self, order: Sequence[int], wide: bool) -> list[JointPath]:
        """Layer by layer, each with its neighbours in mind; ``wide``: new members offered from the start."""
        done: dict[int, JointPath] = {}
        added: list[int] = []
        for layer in order:
            near = [
                x
                for other in (layer - 1, layer + 1)
                for x in (done[other].joints if other in done else self._hung_edges(other))
            ]
            standing = sorted({*self.grid, *added})
            path = self._layer(layer, standing, near, wide=wide)
            if not wide and (path.missed_mm or path.sliver_mm):
                path = min(path, self._layer(layer, standing, near, wide=True), key=lambda one: one.price)
            done[layer] = path
            added += path.extra
        return [done[layer] for layer in sorted(done)]

    def _hung_edges(self, layer: int) -> set[int]:
        edges = (x for one in self.hanging if one.piece.layer == layer for x in (one.left_mm, one.right_mm))
        return {round(x) for x in edges}

    def _layer(self, layer: int, standing: Sequence[int], near: Sequence[int], *, wide: bool) -> JointPath:
        """Joints of one layer: each gap between columns that hang is laid on its own."""
        ends = self.stretch.board_x0, self.stretch.board_x1
        edges = {x for x in self._hung_edges(layer) if ends[0] < x < ends[1]}
        paths = [
            self._shortest(low, high, standing, near, wide=wide)
            for low, high in _gaps(ends, [one for one in self.hanging if one.piece.layer == layer])
        ]
        bare = {x for x in edges - set(standing) if self._bears_new(standing, x)}
        return JointPath(
            joints=tuple(sorted(edges.union(*(path.joints for path in paths)))),
            missed_mm=sum(path.missed_mm for path in paths),
            sliver_mm=sum(path.sliver_mm for path in paths),
            extra=tuple(sorted(bare.union(*(path.extra for path in paths)))),
            price=sum(path.price for path in paths),
            ambiguous=False,
        )

    def _shortest(
        self, low: int, high: int, standing: Sequence[int], near: Sequence[int], *, wide: bool
    ) -> JointPath:
        """The cheapest joints between two edges: on members there, or new ones (drawn, or ``wide``)."""
        ruling, part = self.ruling, replace(self.stretch, board_x0=low, board_x1=high)
        inside = [x for x in standing if low < x < high]
        offered = {x for layer in self.drawn for x in layer}
        if wide:
            offered |= {edge + way * ruling.board for edge in (low, high, *inside) for way in (-1, 1)}
            offered |= set(off_grid(ruling, part, near, standing))
        new = {x for x in offered - set(standing) if low < x < high and self._bears_new(standing, x)}
        new |= set(bridges_over(ruling, part, sorted({*inside, *new})))
        places = sorted({*inside, *new})
        return lay_joints(
            low,
            high,
            places,
            missed_at(places, ((ruling.jamb_clear, self.stretch.jambs), (ruling.layer_offset, near))),
            frozenset(new),
            board_mm=ruling.board,
            strip_min_mm=ruling.strip_min,
        )

    def _bears_new(self, standing: Sequence[int], x: int) -> bool:
        """Whether a joint at ``x`` can get a member: there, or beside one that stands."""
        return self._clear(standing, x) or self.beside(x) is not None

    def _clear(self, standing: Sequence[int], x: float, but: Post | None = None) -> bool:
        """Whether a member at ``x`` would stand clear of all others."""
        half = self.ruling.face / 2
        faces = [face for face in self.stretch.fixed if but is None or face != (but.left, but.right)]
        taken = sorted([*faces, *((at - half, at + half) for at in standing)])
        following = bisect_right(taken, (x + half, -1.0))
        return all(right <= x - half for _, right in taken[max(0, following - 3) : following])


def _faults(paths: Sequence[JointPath]) -> tuple[int, int]:
    return sum(path.missed_mm for path in paths), sum(path.sliver_mm for path in paths)


def _gaps(ends: tuple[int, int], hanging: Sequence[Hung]) -> list[tuple[int, int]]:
    """What of a panel no column that hangs covers."""
    gaps, at = [], ends[0]
    for left, right in sorted((round(one.left_mm), round(one.right_mm)) for one in hanging):
        if left > at:
            gaps.append((at, left))
        at = max(at, right)
    return [*gaps, (at, ends[1])] if at < ends[1] else gaps
