"""Joints of long tracks: fewer bars, never a joint more, and still a wall that keeps every promise."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.independent import check_plan
from tests.layout.plain import BRACKETED, FREE, PRACTICE, wall
from tests.layout.test_invariants import JOB

from innerleaf.layout.pieces import Role, WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.layout.track_joints import long_tracks, with_joints
from innerleaf.plan_file import plan_document
from innerleaf.survey.wall import Way
from innerleaf.takeoff import take_off
from innerleaf.takeoff.track_joints import Joined, with_joints_moved

TRACKS = (Role.FLOOR_TRACK, Role.HEAD_TRACK)
LEAST = PRACTICE.rules.short_piece_min_mm


def walls(*lengths: int, way: Way = BRACKETED) -> tuple[WallPlan, ...]:
    """Plain walls set out."""
    plain = [replace(wall(length, way=way), id=f"W-{n:02d}") for n, length in enumerate(lengths, 1)]
    return tuple(plan_wall(each, PRACTICE) for each in plain)


def joined(plans: tuple[WallPlan, ...]) -> Joined:
    return with_joints_moved(plans, take_off(plans, PRACTICE), PRACTICE)


def stretches(plan: WallPlan) -> list[tuple[str, float, float, float]]:
    """Where tracks run, whatever they are made of."""
    found: list[tuple[str, float, float, float]] = []
    tracks = [bar for bar in plan.bars if bar.role in TRACKS]
    for bar in sorted(tracks, key=lambda bar: (bar.role, bar.ay_mm, bar.ax_mm)):
        if found and found[-1][:2] == (bar.role, bar.ay_mm) and found[-1][3] == bar.ax_mm:
            found[-1] = (*found[-1][:3], bar.bx_mm)
        else:
            found.append((bar.role, bar.ay_mm, bar.ax_mm, bar.bx_mm))
    return found


def test_two_walls_are_cut_from_a_bar_less() -> None:
    """Bars of 3 m. Alone 4.10 m are 3000 + 1100 and 3.15 m are 1575 + 1575, each at floor and head."""
    plans = walls(4100, 3150)
    made = joined(plans)

    assert made.saved_mm == 3000
    assert made.tracks == 2
    assert sum(len(plan.bars) for plan in made.plans) == sum(len(plan.bars) for plan in plans)
    lengths = [[bar.length_mm for bar in track.bars] for track in long_tracks(plans[0], PRACTICE)]
    assert lengths == [[3000, 1100]] * 2


@settings(max_examples=6, deadline=None)
@given(
    st.lists(st.integers(3000, 7000), min_size=1, max_size=3),
    st.sampled_from((BRACKETED, FREE)),
)
def test_walls_stay_what_they_were_and_are_never_dearer(lengths: list[int], way: Way) -> None:
    plans = walls(*lengths, way=way)
    made = joined(plans)
    before = take_off(plans, PRACTICE)

    assert made.takeoff == take_off(made.plans, PRACTICE)
    bought = [sum(p.bought for p in each.purchases if p.group == "frame") for each in (before, made.takeoff)]
    assert bought[1] == bought[0] - made.saved_mm <= bought[0]
    for old, new in zip(plans, made.plans, strict=True):
        assert stretches(new) == stretches(old)
        assert [bar.mark for bar in new.bars] == [bar.mark for bar in old.bars]
        for track in long_tracks(new, PRACTICE):
            longest = max(PRACTICE.profiles[track.item].stock_lengths_mm)
            assert all(LEAST <= bar.length_mm <= longest for bar in track.bars)
            assert all(bar.bx_mm - bar.ax_mm == bar.length_mm for bar in track.bars)
    document = plan_document(JOB, PRACTICE, made.plans, made.takeoff)
    assert check_plan.check(check_plan.as_read(document)) == []


def test_the_joint_of_a_wall_that_moves_stays() -> None:
    """22 m need a movement joint: tracks end there, and no piece runs over it."""
    (plan,) = walls(22_000)
    ends = {bar.bx_mm for track in long_tracks(plan, PRACTICE) for bar in track.bars[:-1]}
    assert plan.movement_joints_mm
    for joint in plan.movement_joints_mm:
        assert all(abs(end - joint) > 100 for end in ends)


def test_fixings_and_strip_follow_the_pieces() -> None:
    (plan,) = walls(4100)
    track = next(long_tracks(plan, PRACTICE))
    moved = with_joints(plan, PRACTICE, {track.mark: (2300, 1800)})
    (floor,) = (each for each in long_tracks(moved, PRACTICE) if each.mark == track.mark)

    assert [bar.length_mm for bar in floor.bars] == [2300, 1800]
    end = PRACTICE.rules.fixing_end_distance_mm
    for bar in floor.bars:
        (line,) = (line for line in moved.fixings if line.bar == bar.mark)
        assert (line.places_mm[0][0], line.places_mm[-1][0]) == (bar.ax_mm + end, bar.bx_mm - end)
        (strip,) = (run for run in moved.runs if run.note == bar.mark)
        assert (strip.ax_mm, strip.bx_mm) == (bar.ax_mm, bar.bx_mm)
    assert with_joints(moved, PRACTICE, {track.mark: [bar.length_mm for bar in track.bars]}) == plan
