"""Tables are set so that no line is broken by the typesetter."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from innerleaf.documents.schedule import Table
from innerleaf.documents.sheet import text_width
from innerleaf.documents.tables import LETTERS_MM, block_of, broken

WORDS = st.text("abcdefg ", max_size=80)


@given(st.lists(st.tuples(WORDS, WORDS, st.integers(0, 99999)), min_size=1, max_size=20))
def test_all_columns_of_a_group_have_as_many_lines_and_keep_their_words(
    rows: list[tuple[str, str, int]],
) -> None:
    block = block_of(Table("t", ("a", "b", "n"), tuple(rows), ("n",)), 100)

    assert all(len({cell.count("\n") for cell in group}) == 1 for group in block.groups)
    words = [word for group in block.groups for word in group[0].split()]
    assert words == [word for a, _, _ in rows for word in a.split()]
    assert [int(n) for group in block.groups for n in group[2].split()] == [n for _, _, n in rows]
    assert block.right == (False, False, True)


@given(st.lists(st.tuples(WORDS, WORDS), min_size=1, max_size=8))
def test_lines_fit_their_columns(rows: list[tuple[str, str]]) -> None:
    block = block_of(Table("t", ("a", "b"), tuple(rows)), 100)

    assert sum(block.widths_mm) <= 100.1
    for group in block.groups:
        for cell, width in zip(group, block.widths_mm, strict=True):
            for line in cell.split("\n"):
                assert text_width(line, LETTERS_MM) <= width or " " not in line.strip()


def test_a_short_table_is_no_wider_than_its_words() -> None:
    assert sum(block_of(Table("t", ("a", "b"), (("x", "y"),)), 141).widths_mm) < 20


def test_words_are_broken_at_spaces() -> None:
    assert broken("carry it on a frame of its own", 24) == ["carry it on a frame", "of its own"]


def test_a_cell_keeps_its_line_breaks_and_a_row_its_line_above() -> None:
    table = Table("t", ("a", "n"), (("x\ny z", 1), ("u", 2), ("v", 3)), ("n",), ruled=(1,))

    assert block_of(table, 100).groups == (("x\ny z", "1\n"), ("u\nv", "2\n3"))
