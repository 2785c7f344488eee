"""From a planned job to its price: the firm's rates, the work in its walls, what is ordered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from innerleaf.cost.model import Order
from innerleaf.cost.price_lines import left_over_kg
from innerleaf.cost.price_model import PriceBasis
from innerleaf.cost.price_report import PriceReport, report_of
from innerleaf.cost.quote import Quotation, QuotationHead, quotation_of
from innerleaf.cost.what_if import Rebuy
from innerleaf.job.model import Job
from innerleaf.job.schema_pricing import Pricing
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import PriceList
from innerleaf.practice.rates_read import load_rates
from innerleaf.takeoff.model import Takeoff
from innerleaf.takeoff.work import work_of
from innerleaf.verdicts import Verdict


def basis_of_job(
    job: Job,
    practice: Practice,
    plans: Sequence[WallPlan],
    takeoff: Takeoff,
    order: Order,
    prices: PriceList,
) -> PriceBasis:
    """What the price of a job rests on.

    Raises
    ------
    FileFaults
        The firm's rates cannot be used.
    """
    rates = load_rates(practice, prices, job.rates)
    work = work_of(
        plans,
        takeoff,
        practice,
        reach_mm=rates.figure("reach"),
        one_lifts_kg=rates.figure("board for one"),
        holds_from_mm=rates.figure("anchor holds from"),
    )
    return PriceBasis(
        work=work,
        lines=takeoff.lines,
        left_kg=left_over_kg(takeoff),
        order=order,
        rates=rates,
        pricing=_of_walls(job.pricing or Pricing.model_validate({}), {plan.wall.id for plan in plans}),
    )


def _of_walls(pricing: Pricing, walls: Set[str]) -> Pricing:
    """What the job says of its price, without the extras of walls that are not planned now."""
    extras = tuple(extra for extra in pricing.extras if extra.wall is None or extra.wall in walls)
    return pricing.model_copy(update={"extras": extras})


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """The price of a job for those who build, and the quotation for the client."""

    report: PriceReport
    quotation: Quotation


def priced_job(
    job: Job,
    practice: Practice,
    plans: Sequence[WallPlan],
    basis: PriceBasis,
    verdicts: Mapping[str, Sequence[Verdict]],
    words: Sequence[str] = (),
    rebuy: Rebuy | None = None,
) -> Priced:
    """The price of a job, what could become of it (`report_of`), and its quotation; ``verdicts`` by wall."""
    report = report_of(basis, words, rebuy)
    head = QuotationHead(firm=job.firm, project=job.name, place=job.site_place)
    quotation = quotation_of(head, report.price, plans, practice, basis.rates, basis.pricing, verdicts)
    return Priced(report=report, quotation=quotation)
