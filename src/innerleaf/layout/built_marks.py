"""Marks of a plan made anew: what is the same keeps its mark, and no mark is ever used for something else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from innerleaf.layout.built_parts import Built
from innerleaf.layout.pieces import FACE, Member, WallPlan


def keep_marks(before: WallPlan, after: WallPlan, built: Built, taken: frozenset[str]) -> WallPlan:
    """The plan with the marks of before on members and boards that are the same; others get new ones.

    ``taken``: marks that were ever used of this wall; none is used again for something else.
    """
    names = dict(_member_names(before, after, built, taken)) | dict(_board_names(before, after, built, taken))
    bars = {bar.mark: names[bar.member] + bar.mark[len(bar.member) :] for bar in after.bars if bar.member}
    return replace(
        after,
        members=tuple(replace(one, mark=names[one.mark]) for one in after.members),
        bars=tuple(
            replace(one, mark=bars[one.mark], member=names[one.member]) if one.member else one
            for one in after.bars
        ),
        boards=tuple(replace(one, mark=names.get(one.mark, one.mark)) for one in after.boards),
        screws=tuple(
            replace(one, board=names[one.board], support=names.get(one.support, one.support))
            for one in after.screws
        ),
        brackets=tuple(replace(one, member=names[one.member]) for one in after.brackets),
        fixings=tuple(replace(one, bar=bars.get(one.bar, one.bar)) for one in after.fixings),
    )


def _member_names(
    before: WallPlan, after: WallPlan, built: Built, taken: frozenset[str]
) -> Iterator[tuple[str, str]]:
    moved = {one.mark for one in built.members}
    known = [*built.members, *(one for one in before.members if one.mark not in moved | built.dropped)]
    in_line: dict[float, list[Member]] = {}
    for one in known:
        in_line.setdefault(one.x_mm, []).append(one)
    used = set[str]()
    for one in after.members:
        mark = next(
            (
                other.mark
                for other in in_line.get(one.x_mm, ())
                if other.mark not in used and other.bottom_mm < one.top_mm and one.bottom_mm < other.top_mm
            ),
            "",
        )
        if not mark:
            mark = _free(f"{after.wall.id}/S", taken | used)
        used.add(mark)
        yield one.mark, mark


def _board_names(
    before: WallPlan, after: WallPlan, built: Built, taken: frozenset[str]
) -> Iterator[tuple[str, str]]:
    known = [*(one for one in before.boards if one.plane == FACE), *(one.piece for one in built.boards)]
    of_ring = {(one.layer, one.ring, one.holes): one.mark for one in known}
    used = set[str]()
    for one in after.boards:
        if one.plane == FACE:
            mark = of_ring.get((one.layer, one.ring, one.holes), "")
            mark = mark or _free(f"{after.wall.id}/B{one.layer}-", taken | used)
            used.add(mark)
            yield one.mark, mark


def _free(start: str, taken: frozenset[str]) -> str:
    """The next number after all that were ever used."""
    numbers = [mark.removeprefix(start) for mark in taken if mark.startswith(start)]
    return f"{start}{max((int(number) for number in numbers if number.isdigit()), default=0) + 1:02d}"
