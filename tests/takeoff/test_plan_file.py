"""plan.json: what is written is the whole plan, in the committed schema, the same bytes each time."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from tests.small_plan import Head, small_plan

from innerleaf.errors import InputError
from innerleaf.plan_file import plan_document, plan_schema, read_plan, write_plan
from innerleaf.practice.load import load_practice
from innerleaf.takeoff import take_off

ROOT = Path(__file__).parents[2]
PRACTICE = load_practice()
PLANS = [small_plan(PRACTICE), small_plan(PRACTICE, "W-02")]
TAKEOFF = take_off(PLANS, PRACTICE)


def test_committed_schema_is_the_one_of_the_values() -> None:
    """Whoever changes a value writes what ``plan_schema`` returns into the committed file."""
    assert json.loads((ROOT / "schema/plan.schema.json").read_text("utf-8")) == plan_schema()


def test_a_plan_follows_the_schema() -> None:
    """Strict: no field too many, none missing."""
    document = json.loads(json.dumps(plan_document(Head(), PRACTICE, PLANS, TAKEOFF)))

    jsonschema.Draft202012Validator(plan_schema()).validate(document)
    del document["walls"][0]["boards"][0]["ring"]
    with pytest.raises(jsonschema.ValidationError, match="'ring' is a required property"):
        jsonschema.Draft202012Validator(plan_schema()).validate(document)


def test_written_and_read_back(tmp_path: Path) -> None:
    """Nothing is lost on the way, and two runs give the same bytes."""
    for name in ("a.json", "b.json"):
        write_plan(tmp_path / name, Head(), PRACTICE, PLANS, TAKEOFF)

    document = read_plan(tmp_path / "a.json")

    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()
    assert_same(PLANS, document["walls"])
    assert_same(TAKEOFF.lines, document["takeoff"]["lines"])
    assert document["practice"]["rules"]["jamb_clear_mm"] == PRACTICE.rules.jamb_clear_mm
    assert document["practice"]["profiles"].keys() == {"CW-75", "UW-75"}


def assert_same(value: Any, read: Any) -> None:
    """Walk a value and what was read of it side by side."""
    if is_dataclass(value):
        assert [field.name for field in fields(value)] == list(read)
        for field in fields(value):
            assert_same(getattr(value, field.name), read[field.name])
    elif isinstance(value, (tuple, list)):
        assert len(value) == len(read)
        for one, two in zip(value, read, strict=True):
            assert_same(one, two)
    elif isinstance(value, float):
        assert abs(value - read) <= 0.0005
    else:
        assert value == read


@pytest.mark.parametrize(
    "text", ["", "[]", '{"format":"innerleaf-plan","version":2}', '{"a":1', "[" * 200_000]
)
def test_other_files_are_refused(tmp_path: Path, text: str) -> None:
    """A file that is no plan gives a sentence, no traceback."""
    (tmp_path / "plan.json").write_text(text, "utf-8")

    with pytest.raises(InputError, match="plan file"):
        read_plan(tmp_path / "plan.json")


def test_every_field_is_documented() -> None:
    """Whoever reads plan.json with a program of their own finds each name in its manual page."""
    page = (ROOT / "docs/plan-json.md").read_text("utf-8")
    schema = plan_schema()
    names = {name for part in [schema, *schema["$defs"].values()] for name in part["properties"]}
    names -= schema["$defs"]["Rules"]["properties"].keys()  # each has its line in the practice set

    assert sorted(name for name in names if f"`{name}`" not in page) == []
