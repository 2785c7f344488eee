"""The programme on paper, in calendars and for other programs: whole, the same every time."""

from __future__ import annotations

import csv
import io
import json
from datetime import date, datetime
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest
from icalendar import Calendar
from pypdf import PdfReader
from tests.conftest import ROOT
from tests.programme.house import HOUSE, PROGRAMME, QUICK, built, silent
from tests.programme.test_schedule import delivery, programme

from innerleaf import cli
from innerleaf.documents.programme_charts import DayAxis, balance_chart, bars_charts
from innerleaf.documents.programme_days import by_crew, day_plans_pdf, in_one
from innerleaf.documents.programme_pages import call_off_csv, programme_files, programme_pages
from innerleaf.documents.title import TitleBlock
from innerleaf.programme.calendar_file import calendar_bytes
from innerleaf.programme.model import Programme
from innerleaf.programme.schedule import programme_of

TITLE = TitleBlock(project="Ferry House (invented)", place="Lowferry (invented)")
GOODS = (delivery("D1", "frame", 3), delivery("D2", "boards", 5, storey="2"))


@pytest.fixture(scope="module")
def made() -> Programme:
    """The house with deliveries."""
    return programme_of(built(deliveries=GOODS), QUICK, silent)


def test_the_same_programme_gives_the_same_bytes(made: Programme) -> None:
    first, second = ([make() for _, make in programme_files(made, TITLE)] for _ in range(2))

    assert first == second


def test_the_set_has_charts_call_offs_and_every_operation(made: Programme) -> None:
    pages = programme_pages(made)

    assert [page.title for page in pages] == [
        "Programme",
        "Line of balance",
        "Deliveries and crews",
        "Operations",
    ]
    assert all(page.svg for page in pages[:2])
    assert [len(table.rows) for page in pages[3:] for table in page.tables] == [len(made.operations)]
    assert {row[2] for row in pages[2].tables[0].rows} == {"D1", "D2"}


def test_charts_are_drawings_with_every_room(made: Programme) -> None:
    for drawing in (*bars_charts(made), balance_chart(made)):
        words = "".join(ElementTree.fromstring(drawing).itertext())
        assert all(room in words for room in ("bedroom", "bathroom", "loft", "den"))


def test_the_axis_has_working_days_side_by_side(made: Programme) -> None:
    axis = DayAxis.of(made)

    assert axis.days[0] == date(2026, 3, 2)
    assert all(day.weekday() < 5 for day in axis.days)
    assert axis.at(datetime(2026, 3, 2, 7)) == 0
    assert axis.at(datetime(2026, 3, 6, 15, 30)) == 5 == axis.at(datetime(2026, 3, 9, 7))


def test_day_plans_hold_every_operation_of_every_crew_once(made: Programme) -> None:
    planned = [one for work in by_crew(made).values() for some in in_one(work) for one in some]
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(day_plans_pdf(made, TITLE))).pages)

    assert sorted(one.id for one in planned) == sorted(one.id for one in made.operations)
    assert "Monday 2 March 2026" in text
    assert "close-up inspection passed (foreman)" in " ".join(text.split())


def test_calendars_read_it(made: Programme) -> None:
    """Read back by the library: every entry once, times within the programme, work and deliveries."""
    known = Calendar.from_ical(calendar_bytes(made, TITLE.project, TITLE.place))
    events = known.walk("VEVENT")
    begins = [event.decoded("dtstart") for event in events]

    assert len({str(event["uid"]) for event in events}) == len(events)
    assert min(when for when in begins if isinstance(when, datetime)) == datetime(2026, 3, 2, 7)
    assert sum("HOLD POINT" in str(event["summary"]) for event in events) == 4
    assert {str(event["summary"]) for event in events if str(event["summary"]).startswith("call off")} == {
        "call off: delivery D1, frame",
        "call off: delivery D2, 2, boards",
    }


def test_the_list_of_call_offs_is_a_table(made: Programme) -> None:
    rows = list(csv.DictReader(io.StringIO(call_off_csv(made).decode())))

    calls = {row["delivery"]: (row["call_off_by"], row["agreed"], row["kg"]) for row in rows}
    assert calls["D1"] == ("2026-02-25", "no", "500.0")


def test_planned_on_it_tells_what_moved(tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(HOUSE + PROGRAMME, encoding="utf-8")
    done = tmp_path / "done.yaml"
    first = programme().operations[0]
    done.write_text(
        f"operations:\n  {first.id}: {{started: '{first.start}', done: '{first.end}'}}\n", encoding="utf-8"
    )
    again = ["--today", "2026-03-09", "--done", str(done)]
    code = cli._run(["programme", str(job), "--quick", *again, "--out", str(tmp_path / "out")])

    assert code == 0
    files = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"programme.pdf", "day-plans.pdf", "programme.ics", "call-offs.csv"} <= files
    text = "".join(page.extract_text() for page in PdfReader(tmp_path / "out" / "programme.pdf").pages)
    assert "Against the first programme" in text


def test_plan_writes_it_where_the_job_has_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(HOUSE + PROGRAMME, encoding="utf-8")
    quick = ["--quick", "--layout-only", "--no-pdf", "--no-dxf"]

    assert cli._run(["plan", str(job), "--out", str(tmp_path / "out"), *quick]) == 0
    files = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"programme.ics", "call-offs.csv"} <= files
    document = json.loads((tmp_path / "out" / "plan.json").read_text("utf-8"))
    schema = json.loads((ROOT / "schema" / "plan.schema.json").read_text("utf-8"))
    part = {"$defs": schema["$defs"], **schema["properties"]["programme"]}
    jsonschema.validate(document["programme"], part)
    assert document["programme"]["operations"]
    capsys.readouterr()


def test_the_command_tells_what_if_and_refuses_what_it_does_not_know(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(HOUSE + PROGRAMME, encoding="utf-8")

    assert cli._run(["programme", str(job), "--quick", "--what-if", "two days lost", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [one["words"] for one in told["what_if"]] == ["two days lost"]
    assert cli._run(["programme", str(job), "--what-if", "more haste"]) == 2
    assert "one more fitter" in capsys.readouterr().err
    job.write_text(HOUSE, encoding="utf-8")
    assert cli._run(["programme", str(job), "--quick"]) == 2
    assert "section `programme`" in capsys.readouterr().err
