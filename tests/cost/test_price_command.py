"""`innerleaf price` and the plan's own price: from a job file to what people and programs read."""

from __future__ import annotations

import json
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import jsonschema
import openpyxl
import pytest
from click.testing import CliRunner
from tests.conftest import ROOT
from tests.cost.by_hand import PRACTICE, hand_order, two_walls
from tests.job.two_rooms import TWO_ROOMS, read

from innerleaf import pipeline
from innerleaf.cli import plan as plan_command
from innerleaf.cli_price import price as command
from innerleaf.cost.price import price_of
from innerleaf.cost.price_job import basis_of_job
from innerleaf.documents.title import TitleBlock
from innerleaf.documents.xlsx import takeoff_xlsx
from innerleaf.errors import FileFaults, InputError
from innerleaf.job.read import read_job
from innerleaf.pipeline import Planned
from innerleaf.plan_file import plan_document, read_plan, write_plan
from innerleaf.practice.prices import load_prices
from innerleaf.takeoff import take_off

PRICING = "pricing: {number: Q-17, date: 2026-02-20, client: {name: Widow Larkspur}}\n"


def planned(tmp_path: Path, text: str = PRICING) -> Planned:
    """The walls set out by hand, as if a job had asked for them."""
    (tmp_path / "job.yaml").write_text(f"{TWO_ROOMS.rstrip()}\n{text}", encoding="utf-8")
    job = read_job(tmp_path / "job.yaml")
    return Planned(job=job, practice=PRACTICE, plans=two_walls(), takeoff=take_off(two_walls(), PRACTICE))


@pytest.fixture(scope="module")
def priced(tmp_path_factory: pytest.TempPathFactory) -> Planned:
    """The same with its price."""
    return pipeline.priced(planned(tmp_path_factory.mktemp("job")))


def test_material_comes_from_the_order(priced: Planned) -> None:
    """Every article that the takeoff buys is in the price or said to be missing."""
    assert priced.priced is not None
    price = priced.priced.report.price
    bought = {line.text.split(" ")[0] for line in price.lines if line.part == "material"}
    missing = {text.partition(":")[0] for text in price.unpriced}

    assert {buy.item for buy in priced.takeoff.purchases if buy.bought} <= bought | missing
    assert price.net == sum(wall.net for wall in price.walls)
    order = pipeline.bought(priced).order
    assert order is not None
    assert price.part("material") + price.part("delivery") == order.total


def test_extras_of_walls_that_are_not_planned_stay_out(tmp_path: Path) -> None:
    """The hand-set walls are W-01 and W-02; of the file's walls W-02 is left out here."""
    extras = "[{text: sill, each: 80, wall: W-02, reason: r}, {text: van, each: 50, reason: r}]"
    there = planned(tmp_path, f"pricing: {{extras: {extras}}}\n")
    part = replace(there, plans=there.plans[:1], takeoff=take_off(there.plans[:1], PRACTICE))

    for one, total in ((there, 13000), (part, 5000)):
        order, prices = hand_order(one.takeoff), load_prices(PRACTICE)
        basis = basis_of_job(one.job, PRACTICE, one.plans, one.takeoff, order, prices)
        assert price_of(basis).part("extra") == total


def test_plan_json_holds_the_price_in_its_schema(priced: Planned, tmp_path: Path) -> None:
    assert priced.priced is not None
    report = priced.priced.report
    write_plan(tmp_path / "plan.json", priced.job, PRACTICE, priced.plans, priced.takeoff, (), report)
    document = read_plan(tmp_path / "plan.json")
    schema = json.loads((ROOT / "schema" / "plan.schema.json").read_text("utf-8"))

    jsonschema.validate(document, schema)
    assert document["price"]["price"]["gross"] == report.price.gross
    assert sum(line["total"] for line in document["price"]["price"]["labour"]) == report.price.part("labour")
    assert plan_document(priced.job, PRACTICE, priced.plans, priced.takeoff)["price"] is None


def test_the_workbook_has_the_price_where_there_is_one(priced: Planned) -> None:
    assert priced.priced is not None
    title = TitleBlock(project="P")
    without = openpyxl.load_workbook(BytesIO(takeoff_xlsx(priced.plans, priced.takeoff, title)))
    price = priced.priced.report.price
    book = openpyxl.load_workbook(BytesIO(takeoff_xlsx(priced.plans, priced.takeoff, title, price=price)))

    assert set(book.sheetnames) - set(without.sheetnames) == {"Price", "Price by wall"}
    assert book["Price by wall"].max_row == 1 + len(price.walls) + 1


def test_papers_go_into_one_folder(priced: Planned, tmp_path: Path) -> None:
    pipeline.write_price(priced, tmp_path / "out")

    assert {path.name for path in (tmp_path / "out").glob("*.pdf")} == {"quotation.pdf", "price.pdf"}
    with pytest.raises(InputError, match="output folder"):
        pipeline.write_price(priced, tmp_path / "out")
    pipeline.write_price(priced, tmp_path / "out", replace=True)


@pytest.fixture
def fast(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A job file whose walls are set out already."""
    there = planned(tmp_path)
    monkeypatch.setattr(pipeline, "plan_job", lambda *_args, **_more: there)
    return tmp_path / "job.yaml"


ONE_ROOM = """\
format: 1
site: {name: Test house (invented)}
pricing: {number: Q-1, date: 2026-02-20}
linings:
  free: {way: stud and track, profile: CW-75, boards: [board-A-12.5]}
  thin: {way: bracketed, profile: CD-60-27, boards: [board-A-12.5]}
rooms: [{id: R1}]
walls:
  - id: W-01
    room: R1
    length: 4300
    height: 2650
    lining: free
    openings: [{kind: door, x: 3050, width: 900, height: 2030}]
  - id: W-02
    room: R1
    length: 3900
    height: 2650
    lining: thin
    openings: [{kind: window, x: 1500, width: 1000, sill: 900, height: 1250}]
"""


def test_plan_and_price_ask_the_same(tmp_path: Path) -> None:
    """One job has one price: that of the layouts chosen together with cutting."""
    job = tmp_path / "job.yaml"
    job.write_text(ONE_ROOM, encoding="utf-8")
    papers = ("--layout-only", "--no-pdf", "--no-dxf")
    CliRunner().invoke(plan_command, [str(job), "--out", str(tmp_path / "out"), *papers])
    planned = read_plan(tmp_path / "out" / "plan.json")["price"]["price"]["net"]
    same, quick = (
        json.loads(CliRunner().invoke(command, [str(job), "--json", *more]).output)["price"]["net"]
        for more in ((), ("--quick",))
    )

    assert planned == same
    assert same < quick  # so that equal prices say something


def test_the_command_prints_price_rooms_and_changes(fast: Path) -> None:
    answer = CliRunner().invoke(command, [str(fast), "--what-if", "boards +10 %"])

    assert answer.exit_code == 0, answer.output
    for words in ("labour", "direct cost", "VAT 20 %", "R1, ground", "boards +10 %", "Cash flow (estimate)"):
        assert words in answer.output, words
    assert "labour +5 %" not in answer.output


def test_the_command_answers_programs(fast: Path) -> None:
    said = json.loads(CliRunner().invoke(command, [str(fast), "--json"]).output)

    assert said["ok"]
    assert said["price"]["net"] == sum(room["net"] for room in said["quotation"]["rooms"])
    assert said["quotation"]["number"] == "Q-17"
    assert {change["words"] for change in said["changes"]} > {"labour +5 %", "days +2"}


def test_mistakes_are_said_before_anything_is_planned(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="bords"):
        CliRunner().invoke(
            command, [str(tmp_path / "none.yaml"), "--what-if", "bords +1 %"], catch_exceptions=False
        )


def test_rates_that_cannot_be_used_are_said(tmp_path: Path) -> None:
    (tmp_path / "rates.yaml").write_text("crew: {fitter: {people: none, source: s}}\n", encoding="utf-8")
    job = planned(tmp_path, "firm: {rates: rates.yaml}\n")

    with pytest.raises(FileFaults, match=r"rates.yaml:1:.*crew.fitter.people: given 'none'"):
        pipeline.priced(job)
    assert read(TWO_ROOMS).rates is None


def test_what_nobody_sells_is_a_finding_on_its_walls(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """B101: the walls, the price and what it says to programs name what is in no sum."""
    (tmp_path / "prices.yaml").write_text("screws: {screw-35: 11.20}\n", encoding="utf-8")
    there = planned(tmp_path, PRICING + "firm: {prices: prices.yaml}\n")
    monkeypatch.setattr(pipeline, "plan_job", lambda *_args, **_more: there)
    found = [one for plan in pipeline.bought(there).plans for one in plan.findings if one.code == "B101"]
    screws = [one for one in found if one.text.startswith("screw-25:")]
    said, shown = (
        CliRunner().invoke(command, [str(tmp_path / "job.yaml"), *more]).output for more in (["--json"], [])
    )

    assert {one.wall for one in screws} == {plan.wall.id for plan in there.plans}
    assert sum(int(one.text.split()[1].replace(",", "")) for one in screws) == next(
        line.quantity for line in there.takeoff.lines if line.item == "screw-25"
    )
    assert [one["text"] for one in json.loads(said)["findings"]] == [str(one) for one in found]
    assert "B101 article without a price" in shown
    assert not [one for one in pipeline.priced(planned(tmp_path)).plans[0].findings if one.code == "B101"]
