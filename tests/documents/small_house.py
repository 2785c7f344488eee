"""Two rooms side by side, measured and placed, for tests of plans and of rooms in space. All invented."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from innerleaf.job.model import Job
from innerleaf.job.read import read_job_text
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.survey.build import given_walls
from innerleaf.survey.storey_plan import StoreyPlan, plan_storeys
from innerleaf.survey.wall import Wall

TEXT = """\
format: 1
site: {name: Net loft (invented)}
constructions:
  brick: [{material: brick-1800, thickness: 240}]
linings:
  stood:
    way: stud and track
    profile: CW-75
    boards: [board-A-12.5, board-A-12.5]
    insulation: [wool-60]
    gap: 20
  held: {way: bracketed, profile: CD-60-27, boards: [board-A-12.5], insulation_behind: [wool-60], gap: 60}
defaults: {construction: brick, height: 2600, lining: stood}
rooms:
  - id: net
    name: net room
    storey: ground floor
    place: {x: 0, y: 0}
    sides:
      - {wall: N-1}
      - {wall: N-2, beyond: cord}
      - {wall: N-3}
      - {length: 3600}
  - id: cord
    name: cord room
    storey: ground floor
    place: {x: 4400, y: 0}
    sides: [{length: 3000}, {wall: C-2}, {length: 3000}, {length: 3600}]
walls:
  - id: N-1
    room: net
    length: 4200
    orientation: north
    openings: [{kind: window, x: 1400, width: 1100, height: 1300, sill: 900, reveal: 150, reveal_lined: true}]
  - {id: N-2, room: net, length: 3600, openings: [{kind: door, x: 900, width: 900, height: 2030}]}
  - id: N-3
    room: net
    lining: held
    outline: [[0, 0], [4200, 0], [4200, 1600], [2100, 2600], [0, 1600]]
  - {id: C-2, room: cord, length: 3600}
"""


@dataclass(frozen=True)
class House:
    """The job, its walls by id as surveyed and as set out, and its only storey."""

    job: Job
    practice: Practice
    walls: dict[str, Wall]
    plans: dict[str, WallPlan]
    storey: StoreyPlan


@cache
def house() -> House:
    """The two rooms."""
    job, practice = read_job_text(TEXT, Path("job.yaml")), load_practice("en_metric")
    walls = {wall.id: wall for wall in given_walls(job, practice)}
    plans = {id_: plan_wall(wall, practice) for id_, wall in walls.items()}
    (storey,) = plan_storeys(job)
    return House(job, practice, walls, plans, storey)
