"""Parts of a schedule to be thought over anew."""

from __future__ import annotations

from random import Random

from innerleaf.programme.engine.constraint import Question, chains
from innerleaf.programme.engine.grid import Grid, Ints

_SLIDING = 1500  # activities up to which all of the others may slide along
_LOOSE = 45  # activities thought over at once, or every twelfth, if that is more


def part_question(
    grid: Grid,
    starts: Ints,
    spans: tuple[Ints, Ints],
    random: Random,
    *,
    below: int | None,
    work: float,
    seconds: float,
) -> Question:
    """A part chosen by chance: a stretch of time, or work near one activity; with it all may slide.

    Where there is too much to slide, all else stands still.
    """
    loose = _near_one(grid, starts, random) if random.random() < 0.3 else _stretch(grid, starts, random)
    low, high = spans
    if len(grid.free) <= _SLIDING:
        return Question(
            grid=grid,
            moving=grid.free.tolist(),
            low=low,
            high=high,
            starts=starts,
            kept=chains(grid, starts, loose),
            below=below,
            work=work,
            seconds=seconds,
            seed=random.randrange(1 << 30),
        )
    return Question(
        grid=grid,
        moving=sorted(loose),
        low=low,
        high=high,
        starts=starts,
        below=below,
        work=work,
        seconds=seconds,
        seed=random.randrange(1 << 30),
    )


def _stretch(grid: Grid, starts: Ints, random: Random) -> set[int]:
    """Those that follow each other in time."""
    order = sorted(grid.free.tolist(), key=lambda i: (int(starts[i]), random.random()))
    most = max(_LOOSE, len(order) // 12)
    many = min(len(order), random.randint(most // 2, most))
    begin = random.randrange(max(1, len(order) - many + 1))
    return set(order[begin : begin + many])


def _near_one(grid: Grid, starts: Ints, random: Random) -> set[int]:
    """Those that one is tied to, and theirs in turn."""
    many = min(len(grid.free), _LOOSE)
    front = [random.choice(grid.free.tolist())]
    free = set(grid.free.tolist())
    found = set(front)
    while len(found) < many:
        if not front:
            front = [random.choice(sorted(free - found))]
            found.add(front[0])
        i = front.pop(0)
        near = [row[0] for row in grid.out[grid.out_from[i] : grid.out_from[i + 1]].tolist()]
        near += [row[0] for row in grid.into[grid.into_from[i] : grid.into_from[i + 1]].tolist()]
        random.shuffle(near)
        for j in near[:6]:
            if j in free and j not in found and abs(int(starts[j]) - int(starts[i])) < grid.slots:
                found.add(j)
                front.append(j)
    return found
