"""Choosing among ten thousand linings of a wall: all figures and all targets, against full solves one by one.

The first answer bounds the heat through all its sections from a few that it solves; that is kept, so the
later ones read it back. Both are told; the goal is for the later ones.
Prints ratios of one run; exits 1 if a goal of docs/benchmarks.md is missed.
"""

from __future__ import annotations

import os
import sys
from random import Random
from tempfile import TemporaryDirectory
from time import perf_counter

from innerleaf.design.choice.catalogue import Catalogue, buyable
from innerleaf.design.choice.consider import Considered, consider
from innerleaf.design.choice.criteria import TRADED, U_VALUE, Ints
from innerleaf.design.choice.evaluate import Setting
from innerleaf.design.choice.finalists import finalise
from innerleaf.design.choice.generate import generate
from innerleaf.design.climate import SiteClimate
from innerleaf.practice.load import load_practice
from innerleaf.practice.prices import load_prices
from innerleaf.survey.wall import (
    UNCHOSEN,
    ExistingLayer,
    Meets,
    MemberBuild,
    Opening,
    OpeningKind,
    Targets,
    Wall,
    Way,
)
from innerleaf.survey.wish import Wish

SAMPLE = 6  # linings set out and solved in full, one by one
REPEATS = 3
GOALS = {"seconds for 10,000 options": 1.0, "greatest difference of U from the full solve [%]": 0.5}
WALL = Wall(
    id="B-01",
    name="benchmark",
    room="room",
    storey="",
    other_side="outside",
    outline=((0, 0), (5400, 0), (5400, 2550), (0, 2550)),
    meets=(Meets.SCREED, Meets.MASONRY, Meets.SLAB, Meets.MASONRY),
    head_moves=False,
    openings=(
        Opening(
            id="N1",
            kind=OpeningKind.WINDOW,
            x_mm=1500,
            sill_mm=850,
            width_mm=1200,
            height_mm=1350,
            reveal_mm=150,
            reveal_lined=True,
        ),
    ),
    obstacles=(),
    boxes=(),
    loads=(),
    construction=(
        ExistingLayer(material="brick-1600", thickness_mm=240),
        ExistingLayer(material="gypsum-plaster-1300", thickness_mm=15),
    ),
    offsets=None,
    building_joints_mm=(),
    wet_room=False,
    questions=(),
    lining=UNCHOSEN,
    targets=Targets(u_value_w_m2k=0.35, moisture_safe=True, sound_gain_db=6.0, thickness_max_mm=170),
)
CLIMATE = SiteClimate(
    (1.2, 2.0, 5.3, 9.1, 13.4, 16.6, 18.4, 18.1, 14.5, 10.2, 5.4, 2.3),
    (0.87, 0.84, 0.79, 0.74, 0.72, 0.73, 0.74, 0.76, 0.80, 0.84, 0.87, 0.88),
)


def main() -> int:
    """Run everything; 1 if a goal is missed."""
    practice = load_practice()
    setting = Setting(practice=practice, prices=load_prices(practice), climate=CLIMATE)
    catalogue = buyable(practice, setting.prices)
    wish = Wish(way=Way.STUD_AND_TRACK, build=MemberBuild.SINGLE, membrane="membrane-variable")
    count = len(generate(WALL, wish, catalogue, practice))
    with TemporaryDirectory() as nothing_kept:
        os.environ["XDG_CACHE_HOME"] = nothing_kept
        begin = perf_counter()
        considered = consider(WALL, wish, catalogue, setting)
        first = perf_counter() - begin
        seconds, front = again(wish, catalogue, setting)
    each, off = one_by_one(considered, setting)
    per_ten_thousand = min(seconds) * 10_000 / count
    print(f"{count} options, {len(considered.passed)} meet all targets, {len(front)} that no other beats")
    print(f"first answer, sections bounded and kernels loaded: {first:.2f} s")
    print(f"figures, targets and the front: {min(seconds):.2f} s, {1e6 * min(seconds) / count:.0f} µs each")
    print(f"set out and solved in full, one by one: {each:.2f} s each ({SAMPLE} sampled)")
    print(f"ratio: {each * count / min(seconds):,.0f}\n")
    found = dict(zip(GOALS, (per_ten_thousand, off), strict=True))
    print(f"{'goal':<62}{'found':>9}{'at most':>9}")
    for name, most in GOALS.items():
        print(f"{name:<62}{found[name]:>9.2f}{most:>9.1f}  {'' if found[name] <= most else 'missed'}")
    return int(any(found[name] > most for name, most in GOALS.items()))


def again(wish: Wish, catalogue: Catalogue, setting: Setting) -> tuple[list[float], Ints]:
    """Seconds of later answers, and the options that no other beats."""
    seconds = []
    for _ in range(REPEATS):
        begin = perf_counter()
        front = consider(WALL, wish, catalogue, setting).front(TRADED)
        seconds.append(perf_counter() - begin)
    return seconds, front


def one_by_one(considered: Considered, setting: Setting) -> tuple[float, float]:
    """Seconds of a lining set out and judged in full, and the greatest difference of U. [s], [%]"""
    options = Random(1).sample(range(len(considered.evaluated.options)), SAMPLE)
    begin = perf_counter()
    finalists = [finalise(considered, option, setting) for option in options]
    seconds = (perf_counter() - begin) / SAMPLE
    off = max(abs(f.quick[U_VALUE.key] / f.exact[U_VALUE.key] - 1) for f in finalists)
    return seconds, 100 * off


if __name__ == "__main__":
    sys.exit(main())
