"""`innerleaf revise` as its user meets it, from job files and from plans to papers that are read back."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pypdf
import pytest
from click.testing import CliRunner
from tests.conftest import ROOT
from tests.handover.packs import chain
from tests.job.two_rooms import TWO_ROOMS

from innerleaf.cli_revise import revise as command
from innerleaf.errors import InputError
from innerleaf.plan_read import plan_values
from innerleaf.revise.revision import revise
from innerleaf.revise_case import Revised, revised, revision_schema, write_revision
from innerleaf.site.records_file import records_text

PRICED = f"{TWO_ROOMS.rstrip()}\npricing: {{number: Q-17, date: 2026-02-20}}\n"
LATER = PRICED.replace("{type: casement, x: 1500}", "{type: casement, x: 1750}").replace(
    "length: 4200", "length: 4650"
)


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> tuple[Revised, Path]:
    """The first wall longer and its window further right, all of the earlier order bought; and the papers."""
    folder = tmp_path_factory.mktemp("revise")
    (folder / "old.yaml").write_text(PRICED, encoding="utf-8")
    (folder / "new.yaml").write_text(LATER, encoding="utf-8")
    (folder / "held.yaml").write_text(
        "format: 1\ndeliveries: all\nbuilt: {W-01: [F01], W-02: all}\n", encoding="utf-8"
    )
    made = revised(folder / "old.yaml", folder / "new.yaml", bought=folder / "held.yaml", quick=True)
    write_revision(made, folder / "out", letter="B", date="2026-03-02")
    return made, folder


def test_only_the_changed_wall_is_laid_out_anew(done: tuple[Revised, Path]) -> None:
    made, _ = done

    assert [wall.wall for wall in made.revision.touched] == ["W-01"]
    assert made.before.plans[1] is made.after.plans[1] or made.before.plans[1] == made.after.plans[1]
    assert made.revision.stock is not None
    assert not [piece for piece in made.revision.stock.undone if piece.wall == "W-02"]


def test_a_job_against_itself_is_empty(done: tuple[Revised, Path]) -> None:
    made, _ = done

    assert revise(made.before, made.before).empty
    assert not made.revision.empty


def test_there_and_back(done: tuple[Revised, Path]) -> None:
    """Every figure changes its sign when the plans change places."""
    made, _ = done
    forth, back = revise(made.before, made.after), revise(made.after, made.before)

    def changes(figures: object) -> dict[tuple[str, str], float]:
        return {(f.group, f.what): f.change for f in figures if f.change}  # type: ignore[attr-defined]

    for name in ("quantities", "purchases"):
        one, other = changes(getattr(forth, name)), changes(getattr(back, name))
        assert one == {key: -value for key, value in other.items()}
    assert forth.money is not None
    assert back.money is not None
    assert changes(forth.money.parts) == {key: -value for key, value in changes(back.money.parts).items()}


def test_the_papers_say_what_changed(done: tuple[Revised, Path]) -> None:
    """The revision has the wall's drawings; the variation has the difference and the new price."""
    made, folder = done
    pdf = pypdf.PdfReader(folder / "out" / "revision.pdf")
    words = "\n".join(page.extract_text() for page in pdf.pages)
    money = made.revision.money
    assert money is not None

    assert "x 1500 → 1750" in words
    assert "To be bought more" in words
    titles = [str(item["/Title"]) for item in pdf.outline if not isinstance(item, list)]
    assert titles[0] == "Revision"
    offer = "\n".join(page.extract_text() for page in pypdf.PdfReader(folder / "out" / "variation.pdf").pages)
    assert "Variation quotation" in offer
    assert f"{money.sum_of('gross').after / 100:,.2f}" in offer
    assert "margin" not in offer


def test_the_json_is_as_its_schema_says(done: tuple[Revised, Path]) -> None:
    _, folder = done
    document = json.loads((folder / "out" / "revision.json").read_text("utf-8"))
    schema = json.loads((ROOT / "schema" / "revision.schema.json").read_text("utf-8"))

    assert schema == json.loads(json.dumps(revision_schema()))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(document, schema)
    assert [wall["wall"] for wall in document["walls"]] == ["W-01"]


def test_the_later_plan_can_be_revised_again(done: tuple[Revised, Path]) -> None:
    """plan.json of the folder reads back as the later plan, and differs from it in nothing."""
    made, folder = done
    read = plan_values(folder / "out" / "plan.json")

    assert read.plans == made.after.plans
    assert read.takeoff.bars == made.after.takeoff.bars
    assert read.price == made.after.price
    again = CliRunner().invoke(command, [str(folder / "out" / "plan.json")] * 2)
    assert again.exit_code == 0, again.output
    assert again.output == "Nothing differs.\n"


def test_papers_repeat_to_the_byte(done: tuple[Revised, Path], tmp_path: Path) -> None:
    made, folder = done

    write_revision(made, tmp_path / "again", letter="B", date="2026-03-02")

    for name in ("revision.pdf", "revision.json", "variation.pdf", "plan.json"):
        assert (tmp_path / "again" / name).read_bytes() == (folder / "out" / name).read_bytes()


def test_a_plan_against_what_is_built(tmp_path: Path) -> None:
    """A moved stud stands elsewhere; what stands is built without anybody saying so again."""
    (tmp_path / "job.yaml").write_text(PRICED.replace("W-02", "W-03"), encoding="utf-8")
    (tmp_path / "records.json").write_text(records_text(chain()), encoding="utf-8")
    (tmp_path / "held.yaml").write_text("format: 1\ndeliveries: all\n", encoding="utf-8")

    made = revised(
        tmp_path / "job.yaml", tmp_path / "records.json", bought=tmp_path / "held.yaml", quick=True
    )

    (wall,) = made.revision.touched
    (moved,) = [change for change in wall.pieces if change.before and change.before.mark == "W-03/S02"]
    assert moved.how == "moved"
    assert moved.after is not None
    assert (moved.after.box[0] + moved.after.box[2]) / 2 == 640
    assert made.revision.money is not None
    assert made.revision.stock is not None
    assert made.revision.stock.stays > 0
    assert made.revision.stock.undone == ()


def test_what_remains_to_be_cut_goes_with_the_papers(tmp_path: Path) -> None:
    """Cut list and labels of the pieces that do not stand; from the plan that was issued, as from its job."""
    (tmp_path / "job.yaml").write_text(PRICED.replace("W-02", "W-03"), encoding="utf-8")
    (tmp_path / "records.json").write_text(records_text(chain()), encoding="utf-8")
    said = [str(tmp_path / "job.yaml"), str(tmp_path / "records.json"), "--out", str(tmp_path / "out")]

    answer = CliRunner().invoke(command, [*said, "--quick"])

    assert answer.exit_code == 0, answer.output
    assert "Still to be cut: " in answer.output
    assert "What is in hand will do for it." in answer.output
    words = "\n".join(p.extract_text() for p in pypdf.PdfReader(tmp_path / "out" / "cut-list.pdf").pages)
    assert "in hand" in words
    assert "W-03/B1-01" in words
    assert "W-03/S02" not in words  # it stands
    labels = "\n".join(p.extract_text() for p in pypdf.PdfReader(tmp_path / "out" / "labels.pdf").pages)
    assert "W-03/B1-01" in labels
    assert "W-03/S02" not in labels


def test_a_plan_without_order_cannot_be_bought(done: tuple[Revised, Path], tmp_path: Path) -> None:
    _, folder = done
    plan = json.loads((folder / "out" / "plan.json").read_text("utf-8")) | {"order": None}
    (tmp_path / "plan.json").write_text(json.dumps(plan), encoding="utf-8")

    with pytest.raises(InputError, match=r"bought: given 'plan\.json', accepted: a plan\.json"):
        revised(tmp_path / "plan.json", tmp_path / "plan.json", bought=tmp_path / "plan.json")
