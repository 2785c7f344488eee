"""A small job for tests: two rooms, brick walls, a window and a door, a bracketed lining. Invented."""

from __future__ import annotations

from pathlib import Path

from innerleaf.job.model import Job, JobWall
from innerleaf.job.read import JobFaults, read_job_text

FILE = Path("mill.yaml")

HEAD = """\
format: 1
site: {name: Mill House (invented), place: Ostermill (invented)}
constructions:
  brick: [{material: brick-1800, thickness: 365}, {material: gypsum-plaster-1300, thickness: 15}]
linings:
  warm: {way: bracketed, profile: CD-60-27, boards: [board-A-12.5], gap: 60, insulation_behind: [wool-60]}
  quiet: {way: stud and track, profile: CW-75, boards: [board-A-12.5, board-A-12.5], insulation: [wool-60]}
opening_types:
  casement: {kind: window, width: 1200, height: 1350, sill: 850, reveal: 180}
box_types:
  socket: {y: 300}
wall_types:
  outer: {construction: brick, lining: warm, targets: {u_value: 0.4}}
defaults: {meets: {floor: screed}}
rooms:
  - {id: bed2, name: bedroom 2, storey: "1", height: 2600}
  - {id: bath, name: bathroom, storey: "1", height: 2600, wet: true}
"""

WALLS = """\
walls:
  - id: W-01
    name: street side
    room: bed2
    type: outer
    length: 4200
    openings:
      - {type: casement, x: 1500}
    boxes:
      - {type: socket, x: 600, count: 2}
  - id: W-02
    room: bath
    type: outer
    length: 3000
    openings:
      - {kind: door, x: 1800, width: 900, height: 2020}
"""

TWO_ROOMS = HEAD + WALLS


def one_wall(fields: str, *, head: str = HEAD) -> str:
    """The job with one wall W-01 of bedroom 2, whose further fields are given line by line."""
    lines = "".join(f"    {line}\n" for line in fields.splitlines())
    return f"{head}walls:\n  - id: W-01\n    room: bed2\n{lines}"


def read(text: str) -> Job:
    return read_job_text(text, FILE)


def wall(text: str, name: str = "W-01") -> JobWall:
    return next(wall for wall in read(text).walls if wall.id == name)


def faults(text: str) -> list[str]:
    """The sentences of all faults, without the name of the file and the line."""
    return [sentence.split(": ", 1)[1] for sentence in lines(text)]


def lines(text: str) -> list[str]:
    """The sentences of all faults."""
    try:
        read(text)
    except JobFaults as error:
        return list(error.faults)
    return []
