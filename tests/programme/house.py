"""A small house on two storeys, lined and put in time. Everything in it is invented."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from innerleaf.cost.model import Delivery, Order
from innerleaf.cost.price_job import basis_of_job
from innerleaf.cost.price_model import PriceBasis
from innerleaf.job.model import Job
from innerleaf.job.read import read_job_text
from innerleaf.layout.pieces import WallPlan
from innerleaf.layout.plan import plan_wall
from innerleaf.practice.load import load_practice
from innerleaf.practice.prices import load_prices
from innerleaf.programme.build import Built
from innerleaf.programme.operations import operations_of
from innerleaf.programme.schedule import Effort
from innerleaf.survey.build import survey
from innerleaf.takeoff import take_off
from innerleaf.takeoff.model import Takeoff

HOUSE = """\
format: 1
site: {name: Ferry House (invented)}
constructions:
  brick: [{material: brick-1800, thickness: 365}, {material: gypsum-plaster-1300, thickness: 15}]
linings:
  warm:
    {way: bracketed, profile: CD-60-27, boards: [board-A-12.5], gap: 60, insulation_behind: [wool-60],
     membrane: membrane-variable}
  quiet:
    {way: stud and track, profile: CW-75, boards: [board-A-12.5, board-A-12.5], insulation: [wool-60],
     finish: Q3}
defaults: {construction: brick, lining: warm, meets: {floor: screed}}
rooms:
  - {id: bed, name: bedroom, storey: "1", height: 2600}
  - {id: bath, name: bathroom, storey: "1", height: 2600, wet: true}
  - {id: loft, name: loft, storey: "2", height: 2500}
  - {id: den, name: den, storey: "2", height: 2500}
walls:
  - {id: W-01, room: bed, length: 4200, boxes: [{x: 600, y: 300, count: 2}]}
  - {id: W-02, room: bed, length: 3000, lining: quiet}
  - {id: W-03, room: bath, length: 2400, lining_changes: {tiled: true, finish: Q1}}
  - {id: W-04, room: loft, length: 5000}
  - {id: W-05, room: den, length: 3200, lining: quiet}
"""

PROGRAMME = """\
programme:
  start: 2026-03-02
  air: [{since: 2026-03-02, temperature: 18, humidity: 55}]
  priming: {minutes: 4, by: painters}
"""

QUICK = Effort(schedules=200)


def job_of(programme: str = PROGRAMME, house: str = HOUSE) -> Job:
    """The house with a programme."""
    return read_job_text(house + programme, Path("ferry.yaml"))


@cache
def planned() -> tuple[tuple[WallPlan, ...], Takeoff]:
    """Its walls set out; what is said of time does not matter for that."""
    job = job_of()
    practice = load_practice(job.practice)
    plans = tuple(plan_wall(wall, practice) for wall in survey(job, practice))
    return plans, take_off(plans, practice)


def order_of(*deliveries: Delivery) -> Order:
    """An order of deliveries alone."""
    return Order(
        currency="EUR", source="", lines=(), deliveries=deliveries, total=0, lower_bound=0, unpriced=()
    )


@cache
def basis() -> PriceBasis:
    """What the price of the house rests on."""
    job, (plans, takeoff) = job_of(), planned()
    practice = load_practice(job.practice)
    return basis_of_job(job, practice, plans, takeoff, order_of(), load_prices(practice))


@cache
def built(programme: str = PROGRAMME, *, deliveries: tuple[Delivery, ...] = ()) -> Built:
    """The house ready to be put in time."""
    job, (plans, takeoff) = job_of(programme), planned()
    assert job.programme is not None
    work = operations_of(job, job.programme, plans, takeoff, basis())
    return Built(job, job.programme, work, basis().rates, order_of(*deliveries))


def silent(_doing: str, _done: int, _of: int) -> None:
    """Progress that nobody watches."""
