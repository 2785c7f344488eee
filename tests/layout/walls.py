"""Random lawful walls, seeded, for property tests and benchmarks. All of it is invented."""

from __future__ import annotations

from math import ceil
from random import Random

from innerleaf.layout.zone import spans_over
from innerleaf.survey.wall import (
    Box,
    ExistingLayer,
    HungLoad,
    InsulationLayer,
    InsulationPlace,
    Lining,
    Meets,
    MemberBuild,
    Obstacle,
    ObstacleKind,
    OffsetGrid,
    Opening,
    OpeningKind,
    Point,
    Targets,
    Wall,
    Way,
)

_SIDES = (Meets.MASONRY, Meets.PARTITION, Meets.OPEN, Meets.OUTER_CORNER, Meets.INNER_CORNER)


def random_lining(rng: Random, tall: bool) -> Lining:
    """A lining that can be bought from the metric set."""
    way = rng.choice([Way.BRACKETED, Way.STUD_AND_TRACK])
    profile = (
        "CD-60-27" if way == Way.BRACKETED else rng.choice(["CW-75", "CW-100"] if not tall else ["CW-100"])
    )
    layers = rng.choice([1, 1, 2, 2, 3])
    wide = rng.random() < 0.25
    suffix = "x1250" if wide else ""
    return Lining(
        id="random",
        way=way,
        profile=profile,
        bays_per_board=rng.choice([3, 4]) if wide else rng.choice([2, 2, 3]),
        build=rng.choice([MemberBuild.SINGLE] * 6 + [MemberBuild.BOXED, MemberBuild.DOUBLED]),
        boards=tuple("board-A-12.5" + suffix for _ in range(layers)),
        insulation=(InsulationLayer(item="wool-50", place=rng.choice(list(InsulationPlace))),)
        if rng.random() < 0.7
        else (),
        membrane="membrane-PE-0.25" if rng.random() < 0.5 else "",
        bracket="",
        gap_mm=rng.choice([25, 40]) if way == Way.BRACKETED else rng.choice([0, 20, 40]),
        tiled=False,
        finish="Q2",
    )


def random_outline(rng: Random) -> tuple[tuple[Point, ...], tuple[Meets, ...]]:
    """Rectangles mostly; gables, mono-pitches, stair rakes, stepped heads and floors too."""
    length = rng.choice([rng.randint(900, 9000), rng.randint(1500, 24000)])
    height = rng.choice([rng.randint(2200, 3100), rng.randint(1000, 4600)])
    left, right = rng.choice(_SIDES), rng.choice(_SIDES)
    floor, head = Meets.SLAB, rng.choice([Meets.SLAB, Meets.CEILING])
    kind = rng.choice(["rectangle"] * 6 + ["gable", "mono", "rake", "step head", "step floor", "pocket"])
    if kind == "pocket" and length > 1600 and height > 1800:
        at, low, high = length - rng.randint(200, 800), rng.randint(400, 700), height - rng.randint(400, 700)
        return (
            (
                (0, 0),
                (length, 0),
                (length, low),
                (at, low),
                (at, high),
                (length, high),
                (length, height),
                (0, height),
            ),
            (floor, right, head, Meets.MASONRY, floor, right, head, left),
        )
    if kind == "gable":
        eaves, ridge = rng.randint(600, 1500), rng.randint(200, length - 200)
        top = eaves + rng.randint(500, 2500)
        return ((0, 0), (length, 0), (length, eaves), (ridge, top), (0, eaves)), (
            floor,
            right,
            Meets.ROOF,
            Meets.ROOF,
            left,
        )
    if kind == "mono":
        low = rng.randint(700, max(701, height - 100))
        return ((0, 0), (length, 0), (length, low), (0, height + 200)), (floor, right, Meets.ROOF, left)
    if kind == "rake":
        rise = rng.randint(200, max(201, min(height - 500, length // 2)))
        return ((0, 0), (length, rise), (length, height + rise), (0, height)), (floor, right, head, left)
    if kind == "step head" and length > 1600:
        at, drop = rng.randint(600, length - 600), rng.randint(200, height - 700)
        return (
            ((0, 0), (length, 0), (length, height - drop), (at, height - drop), (at, height), (0, height)),
            (floor, right, head, Meets.MASONRY, head, left),
        )
    if kind == "step floor" and length > 1600:
        at, rise = rng.randint(600, length - 600), rng.randint(150, max(151, height // 3))
        return (
            ((0, 0), (at, 0), (at, rise), (length, rise), (length, height), (0, height)),
            (floor, Meets.MASONRY, floor, right, head, left),
        )
    return ((0, 0), (length, 0), (length, height), (0, height)), (floor, right, head, left)


def random_wall(rng: Random, name: str = "W-01") -> Wall:
    """One wall with openings, obstacles, boxes and loads that do not collide."""
    outline, meets = random_outline(rng)
    length = max(x for x, _ in outline)
    # What is free along the whole wall: there openings are on the wall wherever they stand.
    low, least_head = map(
        ceil, max(spans_over([outline], 0, length), key=lambda s: s[1] - s[0], default=(0, 1))
    )
    openings: list[Opening] = []
    obstacles: list[Obstacle] = []
    x = rng.randint(150, 1800)
    while x < length - 700 and rng.random() < 0.75:
        width = rng.randint(400, 2400)
        if x + width > length - 150:
            break
        what = rng.random()
        number = len(openings) + len(obstacles) + 1
        if what < 0.4 and least_head > 1500:
            sill = low + rng.randint(300, 900)
            height = rng.randint(300, max(301, least_head - sill - 100))
            if sill + height < least_head:
                openings.append(_opening(rng, f"W{number}", OpeningKind.WINDOW, x, sill, width, height))
        elif what < 0.7 and least_head > 2150 and low == 0:
            openings.append(_opening(rng, f"D{number}", OpeningKind.DOOR, x, 0, min(width, 1200), 2050))
        elif what < 0.78 and least_head > low + 1000:
            openings.append(_opening(rng, f"N{number}", OpeningKind.NICHE, x, low + 400, width, 500))
        elif what < 0.86:
            obstacles.append(_obstacle(f"C{number}", ObstacleKind.COLUMN, x, 0, min(width, 400), 30000))
        elif what < 0.92:
            obstacles.append(_obstacle(f"P{number}", ObstacleKind.PIPE, x, low + 150, 60, 60))
        else:
            obstacles.append(_obstacle(f"R{number}", ObstacleKind.RADIATOR, x, low + 120, width, 400))
        x += width + rng.choice([rng.randint(120, 400), rng.randint(400, 3000)])
    taken = [(o.x_mm, o.right_mm) for o in openings] + [(o.x_mm, o.x_mm + o.width_mm) for o in obstacles]
    free = [x for x in range(120, length - 200, 97) if all(x + 130 < a or x - 60 > b for a, b in taken)]
    boxes = tuple(
        Box(id=f"B{k}", x_mm=x, y_mm=low + 300, diameter_mm=68, count=rng.choice([1, 2]), pitch_mm=71)
        for k, x in enumerate(sorted(rng.sample(free, min(len(free), rng.randint(0, 3)))))
    )
    tall = max(y for _, y in outline) > 3400
    offsets = None
    if rng.random() < 0.3:
        xs, ys = tuple(range(0, length + 1, max(1, length // 4))), (200, 1200, 2200)
        offsets = OffsetGrid(
            xs_mm=xs, ys_mm=ys, offsets_mm=tuple(tuple(rng.randint(-15, 15) for _ in xs) for _ in ys)
        )
    return Wall(
        id=name,
        name=name,
        room="R-01",
        storey="0",
        other_side="outside",
        outline=outline,
        meets=meets,
        head_moves=rng.random() < 0.1,
        openings=tuple(openings),
        obstacles=tuple(obstacles),
        boxes=boxes,
        loads=(HungLoad(id="H1", x_mm=200, y_mm=low + 700, width_mm=600, mass_kg=15, depth_mm=200),)
        if length > 1200 and rng.random() < 0.3
        else (),
        construction=(ExistingLayer(material="brick-1800", thickness_mm=365),),
        offsets=offsets,
        building_joints_mm=(),
        wet_room=False,
        questions=(),
        lining=random_lining(rng, tall),
        targets=Targets(),
    )


def _opening(
    rng: Random, name: str, kind: OpeningKind, x: int, sill: int, width: int, height: int
) -> Opening:
    return Opening(
        id=name,
        kind=kind,
        x_mm=x,
        sill_mm=sill,
        width_mm=width,
        height_mm=height,
        reveal_mm=rng.randint(80, 250),
        reveal_lined=rng.random() < 0.6,
    )


def _obstacle(name: str, kind: ObstacleKind, x: int, y: int, width: int, height: int) -> Obstacle:
    return Obstacle(id=name, kind=kind, x_mm=x, y_mm=y, width_mm=width, height_mm=height, projection_mm=100)
