"""A plan buys: the order of a job stands in plan.json and in the workbook, by the firm's own lists."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from tests.cost.small_takeoff import SUPPLY
from tests.job.two_rooms import TWO_ROOMS

from innerleaf.cost.order_check import check_order
from innerleaf.errors import InputError
from innerleaf.pipeline import Planned, bought, plan_job, write_folder
from innerleaf.plan_file import plan_schema, read_plan
from innerleaf.practice.prices import load_prices

BUYING = """
firm: {supply: supply.yaml}
buying: {deliveries: storeys, allowances: {screw-25: {amount: 100, reason: they fall}}}
"""


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Planned:
    """Two rooms, bought by a supply list of their own."""
    folder = tmp_path_factory.mktemp("job")
    (folder / "supply.yaml").write_text(SUPPLY, encoding="utf-8")
    (folder / "job.yaml").write_text(TWO_ROOMS + BUYING, encoding="utf-8")
    return bought(plan_job(folder / "job.yaml"))


def test_the_order_of_a_plan_is_right(planned: Planned) -> None:
    from innerleaf.cost.supply_job import supply_of_job

    assert planned.order is not None
    job, practice = planned.job, planned.practice
    prices, supply = load_prices(practice, job.prices), supply_of_job(job, practice)

    assert check_order(planned.order, planned.takeoff, practice, supply, prices, job.buying) == []
    assert planned.order.total == planned.order.lower_bound > 0
    assert any(line.allowance == 100 for line in planned.order.lines if line.article == "screw-25")
    assert any(line.supplier == "price list" for line in planned.order.lines)


def test_the_plan_file_holds_the_order(planned: Planned, tmp_path: Path) -> None:
    assert planned.order is not None
    write_folder(planned, tmp_path / "out", pdf=False, dxf=False)
    plan = read_plan(tmp_path / "out" / "plan.json")
    schema = plan_schema()
    order = json.loads(json.dumps(plan["order"]))

    jsonschema.validate(order, {"$defs": schema["$defs"], **schema["properties"]["order"]})
    assert order["total"] == planned.order.total
    assert len(order["lines"]) == len(planned.order.lines)


def test_a_supplier_that_is_not_there_is_named(planned: Planned) -> None:
    from innerleaf.cost.supply_file import load_supply
    from innerleaf.cost.supply_job import check_suppliers

    supply = load_supply(planned.practice, planned.job.supply)
    other = planned.job.buying.model_copy(update={"leave_out": ("Elm",)})
    with pytest.raises(InputError, match=r"buying\.leave_out: given 'Elm'"):
        check_suppliers(other, supply)
