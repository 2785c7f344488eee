"""The reader says what is wrong, where, and never breaks."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from innerleaf.errors import FileFaults
from innerleaf.reading import Bounds, Text, read_file, read_text


def test_values_keep_what_was_written() -> None:
    """`no` is no false, a time no number, and 012 is twelve."""
    text = read_text(
        "a: no\nb: 08:30\nc: 012\nd: 0x1F\ne: 1_000\nf: 2026-03-01\ng: true\nh: '5'\ni: 12.5\nj: ~\n"
        "k: -7\nl: .5\nm: 'null'\nn: |\n  12\no:\n",
        "job.yaml",
    )

    assert text.faults == ()
    assert text.value == {
        "a": "no",
        "b": "08:30",
        "c": 12,
        "d": "0x1F",
        "e": "1_000",
        "f": "2026-03-01",
        "g": True,
        "h": "5",
        "i": 12.5,
        "j": None,
        "k": -7,
        "l": 0.5,
        "m": "null",
        "n": "12\n",
        "o": None,
    }
    assert type(text.value["c"]) is int


def test_positions_of_values_and_keys() -> None:
    text = read_text("walls:\n  - name: W-01\n    length: 4000\n  - {name: W-02}\n", "job.yaml")

    assert text.position(("walls", 0, "length")) == (3, 13)
    assert text.position(("walls", 0, "length"), key=True) == (3, 5)
    assert text.position(("walls", 1, "name")) == (4, 12)
    assert text.position(("walls", 1, "height")) == (4, 5), "a missing field is looked for where it should be"
    assert text.position(("rooms",), key=True) == (1, 1)
    assert text.line(("walls", 0, "length"), "too long.") == "job.yaml:3:13: too long."


FAULTY = [
    pytest.param("a: 1\nb: 2\na: 3\n", ["3:1: 'a' is written twice (first in line 1)."], id="twice"),
    pytest.param("a: &x 1\n", ["1:4: anchors (&x) are not used here; write the value out."], id="anchor"),
    pytest.param(
        "a: {b: &y [1]}\nc: *y\n",
        ["1:8: anchors (&y)", "2:4: aliases (*y) are not used here; write the value out."],
        id="alias",
    ),
    pytest.param("*x : 1\n", ["1:1: aliases (*x)"], id="alias as key"),
    pytest.param("a: !!int 7\n", ["1:4: tags (tag:yaml.org,2002:int) are not used here"], id="tag"),
    pytest.param("a: !mine {b: 1}\n", ["1:4: tags (!mine)"], id="own tag"),
    pytest.param("? [a, b]\n: 1\n", ["1:3: a key is a word, not a list or a group."], id="list as key"),
    pytest.param("? {a: [1, {b: 2}]}\n: [3]\nc: 4\n", ["1:3: a key is a word"], id="group as key"),
    pytest.param("?\n: 1\n", ["1:2: a key is missing before the colon."], id="no key"),
    pytest.param(
        "? [a]\n: 1\n'': 2\n",
        ["1:3: a key is a word", "3:1: a key is missing before the colon."],
        id="empty key after a refused one",
    ),
    pytest.param("a: 1\n---\nb: 2\n", ["2:1: a second document begins here (---)"], id="two documents"),
    pytest.param("a: 1e999\n", ["1:4: the number 1e999 is too large."], id="infinite"),
    pytest.param(f"a: {'9' * 6000}\n", ["1:4: the number 9999"], id="digits"),
    pytest.param("", ["1:1: the file is empty."], id="empty"),
    pytest.param("# only a comment\n", ["1:1: the file is empty."], id="comment"),
    pytest.param("a: x\x00y\n", ["1:5: the character U+0000 cannot stand in a text; remove it."], id="NUL"),
    pytest.param("a:\n  '\ud800'\n", ["2:4: the character U+D800"], id="lone surrogate"),
    pytest.param(
        "a: [1, 2\n", ["2:1: this cannot be read: the list begun in line 1 has no closing ]"], id="open list"
    ),
    pytest.param("a: b: c\n", ["1:5: this cannot be read: mapping values are not allowed"], id="two colons"),
    pytest.param("\ta: 1\n", ["1:1: this cannot be read: found character that cannot start"], id="tab"),
    pytest.param("%YAML 3.0\n---\na: 1\n", ["1:1: this cannot be read"], id="version"),
]


@pytest.mark.parametrize(("given_text", "expected"), FAULTY)
def test_each_fault_has_its_place_and_sentence(given_text: str, expected: list[str]) -> None:
    text = read_text(given_text, "job.yaml")

    assert len(text.lines()) == len(expected)
    for line, start in zip(text.lines(), expected, strict=True):
        assert line.startswith(f"job.yaml:{start}")
    with pytest.raises(FileFaults) as caught:
        text.checked()
    assert caught.value.faults == text.lines()


def test_faults_do_not_hide_the_rest() -> None:
    """What can be read is there beside the faults, so that later checks speak too."""
    text = read_text("? [a]\n: 1\nb: {c: *x, d: 2}\nb: {c: 9}\n", "job.yaml")

    assert len(text.faults) == 3
    assert text.value["b"] == {"c": None, "d": 2}


HOSTILE = {
    "flow lists": "[" * 100_000,
    "flow lists over lines": "[\n" * 100_000,
    "flow groups": "{a: " * 100_000,
    "flow groups as keys": "{" * 100_000,
    "block lists": "- " * 100_000,
    "keys": "? " * 100_000,
    "keys within a key": "? " + "[" * 500,
    "deep blocks": "".join(f"{' ' * depth}a:\n" for depth in range(2_000)),
}


@pytest.mark.parametrize("hostile", HOSTILE.values(), ids=HOSTILE)
def test_depth_is_refused_at_once(hostile: str) -> None:
    start = time.perf_counter()

    text = read_text(hostile, "job.yaml")

    assert time.perf_counter() - start < 1
    assert text.faults
    assert any("deep" in line or "nesting depth" in line for line in text.lines())


def test_many_values_and_many_faults_are_bounded() -> None:
    many = read_text("[" + "1," * 200 + "]", "job.yaml", bounds=Bounds(values=100))
    faulty = read_text("a: 1\n" * 500, "job.yaml", bounds=Bounds(faults=7))

    assert many.lines() == ("job.yaml:1:200: the file holds more than 100 values.",)
    assert len(faulty.faults) == 7


def test_files(tmp_path: Path) -> None:
    """Too large, not UTF-8, missing, a folder, with a byte order mark, with a NUL in its name."""
    large, latin, marked = tmp_path / "large.yaml", tmp_path / "latin.yaml", tmp_path / "marked.yaml"
    large.write_bytes(b"a" * 1025)
    latin.write_bytes(b"a: 1\nname: Stra\xdfe")
    marked.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")

    assert read_file(large, bounds=Bounds(size=1024)).lines() == (
        f"{large}:1:1: the file is larger than 0.000977 MiB.",
    )
    assert read_file(latin).lines() == (f"{latin}:2:11: this is not UTF-8 text; save the file as UTF-8.",)
    assert read_file(tmp_path / "none.yaml").lines() == (
        f"{tmp_path / 'none.yaml'}:1:1: this file cannot be opened: No such file or directory.",
    )
    assert "cannot be opened: Is a directory" in read_file(tmp_path).lines()[0]
    assert "cannot be opened" in read_file(Path("a\x00b")).lines()[0]
    assert read_file(marked).checked().value == {"a": 1, "b": 2}
    assert read_file(marked).position(("b",)) == (2, 4)


YAML_LIKE = st.text(
    alphabet=st.sampled_from("ab1.-+e:,[]{}&*!|>?%@#'\"~ \n\t\r\\x0\x00\ud800\ufeffé\u2028"), max_size=80
)


@settings(max_examples=600, deadline=None)
@given(st.one_of(YAML_LIKE, st.text(max_size=60)))
@example("? *a\n: &b !c d\n? ? [{}: 1]\n")
@example("a: !<tag:yaml.org,2002:binary> x")
def test_no_text_breaks_the_reader(given_text: str) -> None:
    """Whatever is written: a value and faults, each with a place in the text."""
    text = read_text(given_text, "job.yaml", bounds=Bounds(depth=6, values=30, faults=5))

    assert text.faults or text.value is not None
    assert len(text.faults) <= 6
    lines = given_text.count("\n") + given_text.count("\r") + given_text.count("\u2028") + 2
    assert all(1 <= fault.line <= lines and fault.column >= 1 and fault.sentence for fault in text.faults)


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=80))
def test_no_bytes_break_the_reader(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "bytes.yaml"
    path.write_bytes(raw)

    text = read_file(path)

    assert isinstance(text, Text)
    assert text.faults or text.value is not None


PLAIN = st.recursive(
    st.one_of(
        st.booleans(),
        st.integers(-(10**17), 10**17),
        st.text(st.characters(codec="utf-8", categories=["L", "N"])),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(st.text("abcd", min_size=1), inner, max_size=4)
    ),
    max_leaves=12,
)


def _written(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f'"{key}": {_written(inner)}' for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_written(inner) for inner in value) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else str(value)


def _places(value: Any, place: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [place, *(found for key, held in inner for found in _places(held, (*place, key)))]


@settings(max_examples=300, deadline=None)
@given(PLAIN)
def test_what_is_written_is_read(value: Any) -> None:
    """Values come back as they were, and every one of them has its place."""
    text = read_text(_written(value), "job.yaml").checked()

    assert text.value == value
    assert set(text.where) == set(_places(value))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            '{"kerf": 3, "stock": [{"length": 30',
            "the group begun in line 1 has no closing }, or lacks a comma",
        ),
        ('{"kerf": 3,\n "stock": [1, 2', "the list begun in line 2 has no closing ], or lacks a comma"),
        ('{"kerf": 3,\n "stock": [}', "a value is missing"),
        ('{"kerf": "3', "the text begun in line 1 has no closing quote"),
    ],
)
def test_what_breaks_off_is_said_in_plain_words(text: str, said: str) -> None:
    (fault,) = read_text(text, "a.json").faults

    assert said in fault.sentence
    assert "pars" not in fault.sentence
