"""The pack as a file for the archive, held against the clauses; and whether the clauses would notice."""

from __future__ import annotations

import json
from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, NumberObject, TextStringObject
from tests.handover.archive import archive_faults
from tests.handover.packs import small_pack_pdf

from innerleaf.documents.pdf import typeset
from innerleaf.documents.price_sheet import PAPER, paper


def test_the_pack_is_a_file_for_the_archive() -> None:
    """Part 3, level B: metadata, output intent, fonts, files inside, no script, nothing encrypted."""
    assert archive_faults(small_pack_pdf()) == []


def test_an_ordinary_paper_is_none() -> None:
    """A file not made for the archive is told from one that is."""
    plain = typeset("quotation.typ", _offer())

    faults = archive_faults(plain)

    assert any("6.2.3" in fault for fault in faults)
    assert any("6.6" in fault for fault in faults)


def _offer() -> dict[str, bytes]:
    lists = ("client", "head", "rooms", "sums", "sections", "cautions")
    words = ("title", "lead", "scope", "firm", "project", "place", "number", "note")
    given = dict.fromkeys(lists, ()) | dict.fromkeys(words, "x")
    return {"offer.json": json.dumps(given).encode(), PAPER: paper()}


def without_intent(writer: PdfWriter) -> None:
    del writer.root_object["/OutputIntents"]


def without_metadata(writer: PdfWriter) -> None:
    del writer.root_object["/Metadata"]


def with_script(writer: PdfWriter) -> None:
    action = DictionaryObject(
        {NameObject("/S"): NameObject("/JavaScript"), NameObject("/JS"): TextStringObject("app.alert(1)")}
    )
    writer.root_object[NameObject("/OpenAction")] = writer._add_object(action)


def with_form(writer: PdfWriter) -> None:
    form = DictionaryObject({NameObject("/XFA"): ArrayObject()})
    writer.root_object[NameObject("/AcroForm")] = form


def hidden_link(writer: PdfWriter) -> None:
    page: Any = next(page for page in writer.pages if "/Annots" in page)
    page["/Annots"][0].get_object()[NameObject("/F")] = NumberObject(2)


def without_font(writer: PdfWriter) -> None:
    for one in writer._objects:
        if isinstance(one, DictionaryObject) and one.get("/Type") == "/FontDescriptor":
            for name in ("/FontFile2", "/FontFile3"):
                one.pop(name, None)


def without_relation(writer: PdfWriter) -> None:
    for one in writer._objects:
        if isinstance(one, DictionaryObject) and one.get("/Type") == "/Filespec":
            del one["/AFRelationship"]


@pytest.mark.parametrize(
    ("spoil", "clause"),
    [
        (without_intent, "6.2.3"),
        (without_metadata, "6.6.2"),
        (with_script, "6.5.1"),
        (with_form, "6.4"),
        (hidden_link, "6.3.2"),
        (without_font, "6.2.11.4"),
        (without_relation, "6.8"),
    ],
)
def test_what_is_spoilt_is_noticed(spoil: Callable[[PdfWriter], None], clause: str) -> None:
    """Each clause finds a file that breaks it, so that no fault found means something."""
    writer = PdfWriter(clone_from=PdfReader(BytesIO(small_pack_pdf())))
    spoil(writer)
    made = BytesIO()
    writer.write(made)

    assert any(fault.startswith(clause) for fault in archive_faults(made.getvalue(), drawn=False))


def test_encryption_is_noticed() -> None:
    writer = PdfWriter(clone_from=PdfReader(BytesIO(small_pack_pdf())))
    writer.encrypt("", algorithm="RC4-40")
    made = BytesIO()
    writer.write(made)

    # an empty password opens it: what is wrong is that there is a lock at all
    assert any("encrypted" in fault for fault in archive_faults(made.getvalue(), drawn=False))
