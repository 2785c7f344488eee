"""The pack as an inspector reads it: text, bookmarks, files inside, data; nothing hidden, nothing twice."""

from __future__ import annotations

import json
from dataclasses import replace
from io import BytesIO

import jsonschema
import pytest
from PIL import Image
from pypdf import PdfReader
from tests.conftest import ROOT
from tests.documents.fixture import practice
from tests.handover.packs import (
    GONE,
    PHOTO,
    WALL,
    chain,
    made_pdf,
    picture,
    small_pack,
    small_pack_pdf,
    walls,
)

from innerleaf.documents.handover_care import guide_of
from innerleaf.documents.handover_files import LONGEST_PX, smaller
from innerleaf.documents.handover_model import WallPack
from innerleaf.errors import InputError
from innerleaf.handover_case import handover_data, handover_schema


@pytest.fixture(scope="module")
def reader() -> PdfReader:
    return PdfReader(BytesIO(small_pack_pdf()))


@pytest.fixture(scope="module")
def words(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def wall() -> WallPack:
    return small_pack().walls[0]


def test_every_part_is_a_bookmark(reader: PdfReader) -> None:
    """The outline has each wall with its sections and drawings, and the parts common to all."""
    outline: list[object] = list(reader.outline)
    flat = [str(item["/Title"]) for item in outline if isinstance(item, dict)]

    assert flat[0] == "Hand-over of inner linings"
    assert "W-03 · north wall" in flat
    assert flat[-4:] == ["Materials and documents", "Care and fixing", "Cautions", "Signatures"]
    below = next(item for item in outline if isinstance(item, list) and len(item) > 4)
    titles = [str(item["/Title"]) for item in below if isinstance(item, dict)]
    assert {"Checks", "Photos", "Where to fix, and what may hang", "Frame, as built"} <= set(titles)


def test_what_was_measured_is_said_with_its_margin(words: str) -> None:
    """Value, limit, margin; who made it and who answers for what was missed."""
    assert "widest gap 9 mm at most 7 mm −2 × OUTSIDE" in words
    assert "widest gap 4 mm at most 7 mm +3 ✓ met" in words
    assert (
        "accepted by Tam Finch (tablet 2), foreman, 2026-03-30 15:00 (record 7): behind a cupboard" in words
    )
    assert "made again: record 8" in words
    assert "OPEN: nobody answers for it" in words


def test_what_stands_otherwise_is_said_with_who_took_it_on(words: str) -> None:
    assert "stud moved, S02 x 640 mm" in words
    assert "boards re-cut" in words
    assert "damage: board dented" in words
    assert "not accepted by name" in words


def test_the_end_of_the_chain_is_on_the_cover(reader: PdfReader) -> None:
    """Who holds a copy of the records can see whether any came after, or were cut off."""
    cover = " ".join(reader.pages[0].extract_text().split())

    assert chain()[-1].digest in cover
    assert "whole: no record changed, missing or out of order" in cover


def test_a_changed_record_is_on_the_cover() -> None:
    """A value changed by hand breaks the chain, and the pack says so."""
    told = list(chain())
    told[4] = replace(told[4], entry=replace(told[4].entry, text="was fine"))

    assert [fault for fault in small_pack(tuple(told)).chain.faults if fault.startswith("W101")]


def test_missed_checks_end_in_one_of_three_ways() -> None:
    missed = [check for check in wall().checks if not check.met]

    assert [(bool(check.again), bool(check.accepted), check.settled) for check in missed] == [
        (True, False, True),
        (False, True, True),
        (False, False, False),
    ]
    assert sum("W201" in point for point in wall().open_points) == 1


def test_the_files_inside_are_the_files_given(reader: PdfReader) -> None:
    inside = {name: parts[0] for name, parts in reader.attachments.items()}

    assert inside["documents/boards.txt"] == b"hello"
    assert inside["handover.json"] == handover_data(small_pack())
    assert len(inside) == 2


def test_the_data_is_as_its_schema_says() -> None:
    document = json.loads(handover_data(small_pack()))
    schema = json.loads((ROOT / "schema" / "handover.schema.json").read_text("utf-8"))

    assert schema == json.loads(json.dumps(handover_schema()))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(document, schema)
    assert document["walls"][0]["checks"][0]["values"][0]["margin"] == -2


def test_the_same_pack_gives_the_same_bytes() -> None:
    assert made_pdf() == small_pack_pdf()


def test_the_guide_has_every_stud_where_it_stands() -> None:
    """Also the one that was moved: whoever drills there later finds steel, not a cable."""
    _, built = walls()
    guide = guide_of(built, practice())

    assert sorted(stud.x_mm for stud in guide.studs) == sorted(member.x_mm for member in built.members)
    assert 640 in {stud.x_mm for stud in guide.studs}
    assert guide.load_n_m == practice().rules.hung_load_max_n_m  # two layers of 12.5
    assert any("E1" in thing for thing in guide.keep_off)
    assert any("H1: 40 kg" in load for load in guide.drawn_loads)


def test_photos_are_small_upright_and_missing_ones_are_said(words: str) -> None:
    with Image.open(BytesIO(smaller(picture(), "a.jpg"))) as made:
        assert made.size == (LONGEST_PX * 3 // 4, LONGEST_PX)  # turned upright
        assert not made.getexif()
    shown = {photo.digest: photo.missing for photo in wall().photos}
    assert shown == {PHOTO: False, GONE: True}
    assert "the file of this photo did not come along" in words


def test_a_photo_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match=r"photo: given 'a\.jpg', accepted: a JPEG, PNG or WebP picture"):
        smaller(b"no picture", "a.jpg")


def test_materials_bring_their_source_and_documents(words: str) -> None:
    material = next(one for one in small_pack().materials if one.article == "board-A-12.5")

    assert "thickness 12.5 mm" in material.properties
    assert "W/(m·K)" in material.properties
    assert material.documents == ("boards.txt",)
    assert "attached: boards.txt" in words


def test_walls_without_records_are_named(words: str) -> None:
    assert "walls of the job without records W-04" in words
    assert small_pack().walls[0].wall == WALL
