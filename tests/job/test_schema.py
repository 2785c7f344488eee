"""The model, its JSON Schema, the starter and the manual say the same."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import get_args

import jsonschema
import pytest
import yaml
from pydantic import BaseModel
from tests.conftest import ROOT
from tests.job.two_rooms import TWO_ROOMS, lines, read

from innerleaf.job import schema, schema_buying, schema_pricing, schema_programme, schema_sound, words
from innerleaf.job.json_schema import job_schema_text
from innerleaf.job.starter import starter_text
from innerleaf.survey import wall as contract

COMMITTED = ROOT / "schema" / "job.schema.json"
MANUAL = (ROOT / "docs" / "job-file.md").read_text(encoding="utf-8")
PARTS = [
    part
    for module in (schema, schema_buying, schema_pricing, schema_programme, schema_sound)
    for part in vars(module).values()
    if isinstance(part, type) and issubclass(part, BaseModel) and part.__module__ == module.__name__
]


def test_the_committed_schema_is_the_one_of_the_model() -> None:
    assert COMMITTED.read_text(encoding="utf-8") == job_schema_text()


@pytest.mark.parametrize("text", [starter_text(), TWO_ROOMS], ids=["starter", "two rooms"])
def test_the_schema_accepts_good_jobs(text: str) -> None:
    jsonschema.validate(yaml.safe_load(text), json.loads(COMMITTED.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("good", "bad"),
    [
        ("format: 1", "format: 2"),
        ("length: 4200", "lenght: 4200"),
        ("kind: door", "kind: gate"),
        ("x: 600", "x: {}"),
    ],
)
def test_the_schema_refuses_what_reading_refuses(good: str, bad: str) -> None:
    text = TWO_ROOMS.replace(good, bad)

    assert lines(text)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(yaml.safe_load(text), json.loads(COMMITTED.read_text(encoding="utf-8")))


def test_the_starter_is_a_job_without_faults() -> None:
    assert lines(starter_text()) == []
    assert len(read(starter_text()).walls) == 2


@pytest.mark.parametrize(
    ("literal", "enum"),
    [
        (words.WayWord, contract.Way),
        (words.BuildWord, contract.MemberBuild),
        (words.OpeningWord, contract.OpeningKind),
        (words.ObstacleWord, contract.ObstacleKind),
        (words.MeetsWord, contract.Meets),
    ],
)
def test_the_words_of_the_file_are_those_of_the_walls(literal: object, enum: type) -> None:
    assert list(get_args(literal)) == [member.value for member in enum]  # type: ignore[attr-defined]


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.__name__)
def test_the_manual_describes_every_field(part: type[BaseModel]) -> None:
    missing = [field for field in part.model_fields if f"`{field}`" not in MANUAL]

    assert not missing


def test_the_examples_of_the_manual_are_jobs_without_faults() -> None:
    examples = re.findall(r"```yaml\n(format: 1\n.*?)```", MANUAL, flags=re.DOTALL)

    assert examples
    assert [lines(example) for example in examples] == [[] for _ in examples]


def test_the_manual_lists_every_word_that_may_be_chosen() -> None:
    literals = [value for name, value in vars(words).items() if name.endswith("Word")]
    said = [word for literal in literals for word in get_args(literal)]

    assert len(said) > 30
    assert [word for word in said if f"`{word}`" not in MANUAL] == []
    assert Path(COMMITTED).name in MANUAL
