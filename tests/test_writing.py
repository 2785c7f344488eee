"""One value changes in a text that a person wrote; every other character stays as it was."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from innerleaf.errors import InputError
from innerleaf.reading import Text, read_text
from innerleaf.writing import Change, Insert, Put, Remove, changed, one_line

JOB = """\
# The flat of Mrs Example (invented)
format: 1
site: {name: "Mill Lane 3", practice: en_metric} # metric

rooms:
  - id: living # faces the street
    height: 2600
  - {id: bath, height: 2400}

walls:
  - id: W1
    openings:
      - type: window # old sashes
        x: 900
      # the door was walled up in 1950
      - {type: door, x: 2400}
    note: >
      two lines
      folded

  - id: W2
    boxes: [{x: 300, y: 1100}, {x: 900, y: 300}]
    pipes: []
"""


def _value(text: str) -> Any:
    return read_text(text, "job.yaml").checked().value


def _changed(text: str, *changes: Change) -> str:
    after, read = changed(text, read_text(text, "job.yaml").checked(), changes)
    assert read == read_text(after, "job.yaml")
    return after


def _lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines that went, and lines that came."""
    old, new = before.splitlines(), after.splitlines()
    return [line for line in old if line not in new], [line for line in new if line not in old]


@pytest.mark.parametrize(
    ("change", "gone", "come"),
    [
        (Put(("rooms", 0, "height"), 2650), ["    height: 2600"], ["    height: 2650"]),
        (
            Put(("rooms", 0, "id"), "parlour"),
            ["  - id: living # faces the street"],
            ["  - id: parlour # faces the street"],
        ),
        (
            Put(("site", "place"), "Nowhere: 3"),
            ['site: {name: "Mill Lane 3", practice: en_metric} # metric'],
            ['site: {name: "Mill Lane 3", practice: en_metric, place: "Nowhere: 3"} # metric'],
        ),
        (Put(("walls", 1, "lining"), "warm"), [], ["    lining: warm"]),
        (
            Insert(("walls", 0, "openings", 1), {"type": "niche", "x": 1700}),
            [],
            ["      - {type: niche, x: 1700}"],
        ),
        (
            Insert(("walls", 1, "boxes", 2), {"x": 5, "y": 6}),
            ["    boxes: [{x: 300, y: 1100}, {x: 900, y: 300}]"],
            ["    boxes: [{x: 300, y: 1100}, {x: 900, y: 300}, {x: 5, y: 6}]"],
        ),
        (Insert(("walls", 1, "pipes", 0), 40), ["    pipes: []"], ["    pipes: [40]"]),
        (Remove(("walls", 0, "openings", 1)), ["      - {type: door, x: 2400}"], []),
        (Remove(("walls", 0, "note")), ["    note: >", "      two lines", "      folded"], []),
        (
            Remove(("walls", 1, "boxes", 0)),
            ["    boxes: [{x: 300, y: 1100}, {x: 900, y: 300}]"],
            ["    boxes: [{x: 900, y: 300}]"],
        ),
        (
            Remove(("rooms", 0)),
            ["  - id: living # faces the street", "    height: 2600"],
            [],
        ),
    ],
)
def test_only_the_lines_of_the_change_change(change: Change, gone: list[str], come: list[str]) -> None:
    assert _lines(JOB, _changed(JOB, change)) == (gone, come)


def test_the_order_of_new_items_is_as_said() -> None:
    text = _changed(JOB, Insert(("walls", 0, "openings", 1), "new"), Insert(("rooms", 2), "last"))
    assert _value(text)["walls"][0]["openings"] == [
        {"type": "window", "x": 900},
        "new",
        {"type": "door", "x": 2400},
    ]
    assert _value(text)["rooms"][-1] == "last"


@pytest.mark.parametrize(
    "change",
    [
        Put((), {}),
        Put(("rooms", 5), 1),
        Put(("rooms", 0, "id", "x"), 1),
        Insert(("rooms", 4), 1),
        Insert(("site", "x"), 1),
        Remove(("nothing",)),
        Remove(("walls", 9, "id")),
    ],
)
def test_a_place_that_is_not_there_is_refused(change: Change) -> None:
    with pytest.raises(InputError):
        _changed(JOB, change)


def test_a_sign_that_no_text_can_hold_is_refused() -> None:
    with pytest.raises(InputError, match=r"walls\.1\.id: .* signs that a text can hold"):
        _changed(JOB, Put(("walls", 1, "id"), "\ud800"))


@pytest.mark.parametrize("breaks", ["\n", "\r\n"])
@pytest.mark.parametrize("wall", [0, 1])
def test_a_change_in_one_wall_reads_only_that_wall(
    breaks: str, wall: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = JOB.replace("\n", breaks)
    before, lengths = read_text(text, "job.yaml").checked(), list[int]()

    def counted(part: str, name: str) -> Text:
        lengths.append(len(part))
        return read_text(part, name)

    monkeypatch.setattr("innerleaf.excerpt.read_text", counted)
    monkeypatch.setattr("innerleaf.writing.read_text", counted)
    after, said = changed(text, before, [Put(("walls", wall, "openings"), [{"x": 1}, {"x": 2}])])
    assert said == read_text(after, "job.yaml")
    assert lengths
    assert max(lengths) < len(text) / 2


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-9999, 9999)
    | st.floats(-1e6, 1e6).map(lambda number: round(number, 3))
    | st.text(st.characters(codec="utf-8") | st.sampled_from("\x7f\x85\u2028\ufeff\ufffe"), max_size=12)
    | st.sampled_from(
        ["true", "no", "08:30", "012", "a: b", "- x", "#", " x ", "ä ö", "null", "~", "1e3", "a #b"]
    ),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text("abcdeä -:#", min_size=1, max_size=6), inner, max_size=4)
    ),
    max_leaves=12,
)


@settings(deadline=None)
@given(value=VALUES)
def test_one_line_reads_back_as_it_was(value: Any) -> None:
    assert read_text(f"x: {one_line(value)}", "x").checked().value == {"x": value}


def _places(value: Any, place: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    steps = value if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ()
    return [place, *(below for step in steps for below in _places(value[step], (*place, step)))]


@settings(max_examples=300, deadline=None)
@given(data=st.data())
def test_whatever_a_text_looks_like_it_reads_as_meant(data: st.DataObject) -> None:
    value = data.draw(st.dictionaries(st.text("abc", min_size=1, max_size=3), VALUES, min_size=1, max_size=4))
    text = yaml.safe_dump(
        value,
        default_flow_style=data.draw(st.sampled_from([True, False, None])),
        allow_unicode=True,
        width=data.draw(st.sampled_from([20, 80])),
        indent=data.draw(st.sampled_from([2, 4])),
        sort_keys=False,
    )
    read = read_text(text, "x")
    if read.faults:
        return  # what stock YAML writes and we do not read
    before = deepcopy(read.value)
    place = data.draw(st.sampled_from(_places(before)[1:]))
    around: Any = before
    for step in place[:-1]:
        around = around[step]
    new = data.draw(VALUES)
    change: Change
    if isinstance(around, list) and data.draw(st.booleans()):
        change = Insert(place, new)
        around.insert(place[-1], new)
    elif data.draw(st.booleans()):
        change = Remove(place)
        del around[place[-1]]
    else:
        change = Put(place, new)
        around[place[-1]] = new
    assert _value(_changed(text, change)) == before
