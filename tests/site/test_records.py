"""Records cannot be changed unseen; their text is the same wherever it is made."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.site.told import DEVICES, entries, sealed, told

from innerleaf.site.records import (
    Judged,
    Kind,
    Record,
    canonical,
    digest_of,
    entry_document,
    entry_of,
    record_document,
    record_of,
    standing,
    verify,
)

FIGURES = st.floats(-1e6, 1e6, allow_nan=False).map(lambda value: round(value, 3))
PLAIN = st.recursive(
    st.text(max_size=20) | st.booleans() | FIGURES | st.integers(-(10**6), 10**6),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(("a", "b_c")), inner, max_size=2)
    ),
    max_leaves=12,
)


def codes(chain: list[Record]) -> set[str]:
    return {finding.code for finding in verify(chain)}


def test_the_text_of_a_record_is_plain_json_with_whole_numbers_whole() -> None:
    """As `JSON.stringify` writes it: RFC 8785 has the same rules for such numbers."""
    assert canonical({"b": 35.0, "a": [1, 2.5, "ä\n"], "c": -0.0}) == '{"a":[1,2.5,"ä\\n"],"b":35,"c":0}'


@settings(max_examples=25, deadline=None)
@given(st.dictionaries(st.sampled_from("abc"), PLAIN, max_size=3))
def test_the_text_reads_back_as_it_was(document: dict[str, Any]) -> None:
    again = json.loads(canonical(document))
    assert canonical(again) == canonical(document)
    assert digest_of(document) == hashlib.sha256(canonical(again).encode()).hexdigest()


def test_a_record_reads_back_as_it_was() -> None:
    judged = (Judged(name="gap_mm", value=4, limit=6, unit="mm", at_most=True),)
    (record,) = told(
        {"kind": Kind.CHECK, "values": (("gap_mm", 4.0),), "judged": judged, "photos": ("a" * 64,)}
    )
    assert record_of(record_document(record), record.digest) == record
    assert entry_of(entry_document(record.entry)) == record.entry
    assert record.entry.met


def test_a_chain_as_kept_has_nothing_wrong() -> None:
    one, two = (entries(device, [{"text": str(k)} for k in range(4)]) for device in DEVICES)
    assert verify(sealed([one[0], two[0], two[1], one[1], one[2], two[2], one[3], two[3]])) == ()


CHAIN = told(*({"text": f"note {k}", "wall": "W1"} for k in range(5)))
FIELDS: dict[str, Any] = {
    "who": "Ben",
    "role": "inspector",
    "clock_off_s": 7,
    "job": "another",
    "number": 9,
    "before": "f" * 64,
}


@pytest.mark.parametrize("field", list(FIELDS))
@pytest.mark.parametrize("at", range(5))
def test_a_record_changed_by_hand_is_noticed(field: str, at: int) -> None:
    broken = [replace(one, **{field: FIELDS[field]}) if k == at else one for k, one in enumerate(CHAIN)]
    assert "W101" in codes(broken)


@pytest.mark.parametrize("at", range(5))
def test_an_entry_changed_by_hand_is_noticed_even_if_all_digests_are_made_anew(at: int) -> None:
    """Whoever rewrites the whole chain of the job still breaks the chain of the device."""
    changed = [replace(one.entry, text="never said") if k == at else one.entry for k, one in enumerate(CHAIN)]
    assert "W101" in codes([replace(one, entry=entry) for one, entry in zip(CHAIN, changed, strict=True)])
    assert codes(sealed(changed)) == ({"W103"} if at < 4 else set())  # the last one only the device can tell


@given(st.integers(0, 4), st.integers(0, 4))
def test_a_record_taken_out_or_moved_is_noticed(at: int, to: int) -> None:
    rest = [one for k, one in enumerate(CHAIN) if k != at]
    assert at == 4 or "W102" in codes(rest)
    moved = [*rest[:to], CHAIN[at], *rest[to:]]
    assert (codes(moved) == set()) == (moved == CHAIN)


def test_the_end_cut_off_is_noticed_by_what_a_device_had_seen() -> None:
    first = entries(DEVICES[0], [{"text": str(k)} for k in range(3)])
    seen = sealed(first)[-1].digest
    (later,) = entries(DEVICES[1], [{"text": "later", "seen": seen}])
    assert codes(sealed([*first, later])) == set()
    assert codes(sealed([*first[:2], later])) == {"W105"}


def test_a_gap_in_what_a_device_wrote_shows_until_it_has_arrived() -> None:
    one = entries(DEVICES[0], [{"text": str(k)} for k in range(4)])
    assert codes(sealed([one[0], one[3]])) == {"W103"}
    assert codes(sealed([one[0], one[3], one[1], one[2]])) == set()


def test_a_wrong_clock_is_kept_as_told_and_marked() -> None:
    chain = sealed(entries(DEVICES[0], [{"device_time": "2031-01-01T00:00:00.000Z"}]), clock_off_s=86_400)
    (finding,) = verify(chain)
    assert finding.code == "W104"
    assert "86400 s ahead" in finding.text
    assert "2031-01-01" in finding.text


def test_what_is_withdrawn_stands_no_more_and_is_still_there() -> None:
    first = entries(DEVICES[0], [{"text": "wrong"}, {"text": "right"}])
    both = entries(
        DEVICES[0], [{"text": "wrong"}, {"text": "right"}, {"kind": Kind.WITHDRAWN, "about": first[0].id}]
    )
    assert [one.entry.text for one in standing(sealed(both))] == ["right"]
    assert codes(sealed(both)) == set()
