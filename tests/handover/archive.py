"""A PDF held against the clauses of PDF/A-3b that another reader can see, knowing nothing of how it was made.

ISO 19005-3 is ISO 19005-2 with files of any kind inside (clause numbers from memory). No validator of the
whole standard could be had from the package registries that the project installs from; the typesetter refuses
what it knows to be unlawful, and this looks again with another library. Not looked at: the tables inside font
programs, colour values one by one, and syntax below the level that a tolerant reader sees.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from typing import Any, Final
from xml.etree import ElementTree as ET

from pypdf import PdfReader
from pypdf.generic import ArrayObject, ContentStream, DictionaryObject, IndirectObject, StreamObject

PDFAID: Final = "{http://www.aiim.org/pdfa/ns/id/}"
DC: Final = "{http://purl.org/dc/elements/1.1/}"
_FORBIDDEN_ACTIONS: Final = {
    *("/Launch", "/Sound", "/Movie", "/ResetForm", "/ImportData", "/Hide", "/SetOCGState", "/Rendition"),
    *("/Trans", "/GoTo3DView", "/JavaScript"),
}
_BLENDS: Final = {
    *("/Normal", "/Compatible", "/Multiply", "/Screen", "/Overlay", "/Darken", "/Lighten", "/ColorDodge"),
    *("/ColorBurn", "/HardLight", "/SoftLight", "/Difference", "/Exclusion", "/Hue", "/Saturation"),
    *("/Color", "/Luminosity"),
}
_FILTERS: Final = {
    *("/FlateDecode", "/ASCIIHexDecode", "/ASCII85Decode", "/RunLengthDecode", "/CCITTFaxDecode"),
    *("/JBIG2Decode", "/DCTDecode", "/JPXDecode"),
}
_ANNOTATIONS: Final = {
    "/Link",
    "/Text",
    "/FreeText",
    "/Widget",
    "/Popup",
    "/FileAttachment",
    "/Stamp",
    "/Ink",
}
_NEST_MOST, _NAME_MOST, _STRING_MOST = 28, 127, 32767
_PRINT, _UNSEEN = 4, 1 | 2 | 32  # flags of an annotation


def archive_faults(raw: bytes, part: str = "3", conformance: str = "B", *, drawn: bool = True) -> list[str]:
    """What is wrong with a file, each with its clause; ``drawn``: look through pages, too."""
    reader = PdfReader(BytesIO(raw))
    catalog: Any = reader.trailer["/Root"]
    trailer: Any = reader.trailer
    every = [_resolved(reader, number) for number in range(1, trailer["/Size"])]
    objects = [one for one in every if isinstance(one, DictionaryObject)]
    return [
        *_file(raw, reader),
        *_metadata(reader, catalog, part, conformance),
        *_colours(catalog),
        *_objects(objects),
        *_embedded(catalog, objects),
        *_catalog(catalog),
        *(_pages(reader) if drawn else ()),
    ]


def _resolved(reader: PdfReader, number: int) -> Any:
    return IndirectObject(number, 0, reader).get_object()


def _file(raw: bytes, reader: PdfReader) -> Iterator[str]:
    head = raw[:20].split(b"\n")
    if not re.fullmatch(rb"%PDF-1\.[0-7]", head[0].rstrip(b"\r")):
        yield "6.1.2: no header %PDF-1.0 to 1.7 at the first byte"
    if not (head[1:2] and head[1][:1] == b"%" and sum(byte > 127 for byte in head[1][1:5]) == 4):
        yield "6.1.2: no comment of four bytes above 127 after the header"
    if raw.rstrip(b"\r\n")[-5:] != b"%%EOF":
        yield "6.1.3: data after the end"
    marks = reader.trailer.get("/ID")
    if not isinstance(marks, ArrayObject) or len(marks) != 2 or not all(map(len, marks)):
        yield "6.1.3: no file identifier"
    if "/Encrypt" in reader.trailer:
        yield "6.1.3: encrypted"


def _metadata(reader: PdfReader, catalog: Any, part: str, conformance: str) -> Iterator[str]:
    stream = catalog.get("/Metadata")
    if stream is None:
        yield "6.6.2: no metadata"
        return
    if "/Filter" in stream:
        yield "6.6.2: metadata is compressed"
    try:
        root = ET.fromstring(stream.get_data())
    except ET.ParseError as error:
        yield f"6.6.2: metadata is no XML ({error})"
        return
    said = {name: _told(root, f"{PDFAID}{name}") for name in ("part", "conformance")}
    if said != {"part": part, "conformance": conformance}:
        yield f"6.6.4: says {said}"
    title = root.find(f".//{DC}title//*[@{{http://www.w3.org/XML/1998/namespace}}lang]")
    named = reader.metadata.title if reader.metadata else None
    if title is None or title.text != named:
        yield "6.6.2: title of the metadata is not that of the document"


def _told(root: ET.Element, name: str) -> str | None:
    """A property, written as an element or as an attribute."""
    found = root.find(f".//{name}")
    if found is not None:
        return found.text
    return next((one.attrib[name] for one in root.iter() if name in one.attrib), None)


def _colours(catalog: Any) -> Iterator[str]:
    intents = [one.get_object() for one in catalog.get("/OutputIntents", ())]
    archive = [one for one in intents if one.get("/S") == "/GTS_PDFA1"]
    if len(archive) != 1:
        yield "6.2.3: not one output intent for the archive"
        return
    profile = archive[0].get("/DestOutputProfile")
    if profile is None or profile.get_object().get("/N") not in (1, 3, 4):
        yield "6.2.3: output intent without a colour profile"
        return
    head = profile.get_object().get_data()[:40]
    if head[36:40] != b"acsp" or head[16:20] not in (b"RGB ", b"CMYK", b"GRAY"):
        yield "6.2.3: the colour profile is none"


def _objects(objects: list[DictionaryObject]) -> Iterator[str]:
    for one in objects:
        if isinstance(one, StreamObject):
            yield from _stream(one)
        if one.get("/Type") == "/Font":
            yield from _font(one)
        if one.get("/Type") == "/ExtGState" or "/BM" in one or "/SMask" in one:
            yield from _graphics(one)
        if one.get("/S") in _FORBIDDEN_ACTIONS or "/JS" in one:
            yield f"6.5.1: action {one.get('/S')}"
        if one.get("/Type") == "/Annot" or one.get("/Subtype") == "/Link":
            yield from _annotation(one)
        if any(len(name) - 1 > _NAME_MOST for name in one):
            yield "6.1.13: a name longer than 127"
        if any(isinstance(value, str) and len(value) > _STRING_MOST for value in one.values()):
            yield "6.1.13: a string longer than 32767"
        if "/AA" in one:
            yield "6.5.2: additional actions"


def _stream(one: StreamObject) -> Iterator[str]:
    filters = one.get("/Filter", ArrayObject())
    names = filters if isinstance(filters, ArrayObject) else [filters]
    for name in names:
        if name not in _FILTERS:
            yield f"6.1.7.2: filter {name}"
    if {"/F", "/FFilter", "/FDecodeParms"} & set(one):
        yield "6.1.7.1: a stream outside the file"
    if one.get("/Subtype") == "/Image":
        if "/Alternates" in one or "/OPI" in one or one.get("/Interpolate") is True:
            yield "6.2.8: an image with alternates, OPI or interpolation"
        if one.get("/ColorSpace") == "/DeviceCMYK":
            yield "6.2.4.3: CMYK without an intent for it"
    if one.get("/Subtype") == "/PS" or "/PS" in one or "/Ref" in one:
        yield "6.2.9: a PostScript or reference object"


def _font(one: DictionaryObject) -> Iterator[str]:
    if one.get("/Subtype") in ("/Type0", "/Type3"):
        if one.get("/Subtype") == "/Type0" and "/Encoding" not in one:
            yield "6.2.11.3: a composite font without encoding"
        return
    descriptor: Any = one.get("/FontDescriptor")
    programs = {"/FontFile", "/FontFile2", "/FontFile3"}
    if descriptor is None or not programs & set(descriptor.get_object()):
        yield f"6.2.11.4: font {one.get('/BaseFont')} is not inside"
    if one.get("/Subtype") == "/CIDFontType2" and "/CIDToGIDMap" not in one:
        yield f"6.2.11.3: font {one.get('/BaseFont')} without a map of its glyphs"


def _graphics(one: DictionaryObject) -> Iterator[str]:
    blend = one.get("/BM", "/Normal")
    for name in blend if isinstance(blend, ArrayObject) else [blend]:
        if name not in _BLENDS:
            yield f"6.2.10: blend mode {name}"
    if "/TR" in one or one.get("/TR2", "/Default") != "/Default":
        yield "6.2.5: a transfer function"


def _annotation(one: DictionaryObject) -> Iterator[str]:
    if one.get("/Subtype") not in _ANNOTATIONS:
        yield f"6.3.1: annotation {one.get('/Subtype')}"
    flags = int(one.get("/F", 0))
    if not flags & _PRINT or flags & _UNSEEN:
        yield "6.3.2: an annotation that is not printed"


def _embedded(catalog: Any, objects: list[DictionaryObject]) -> Iterator[str]:
    """6.8 of part 3: what a file inside must say of itself."""
    listed = [one.get_object() for one in catalog.get("/AF", ())]
    for one in (one for one in objects if one.get("/Type") == "/Filespec"):
        if not {"/F", "/UF", "/EF", "/AFRelationship"} <= set(one):
            yield f"6.8: file {one.get('/UF')} without name or relation"
            continue
        inside: Any = one["/EF"]
        content: Any = inside["/F"].get_object()
        if not str(content.get("/Subtype", "")).startswith("/") or "/ModDate" not in content.get(
            "/Params", {}
        ):
            yield f"6.8: file {one['/UF']} without kind or day"
        if one not in listed:
            yield f"6.8: file {one['/UF']} belongs to nothing"


def _catalog(catalog: Any) -> Iterator[str]:
    form = catalog.get("/AcroForm")
    if form is not None and ("/XFA" in form or form.get("/NeedAppearances")):
        yield "6.4: a form that makes its looks itself"
    for name in ("/Requirements", "/NeedsRendering", "/OCProperties"):
        if name in catalog:
            yield f"6.9 to 6.11: {name}"
    names = catalog.get("/Names") or {}
    if "/JavaScript" in names or "/AlternatePresentations" in names:
        yield "6.5.1: a script"


def _pages(reader: PdfReader) -> Iterator[str]:
    for page in reader.pages:
        depth = deepest = 0
        for _, operator in ContentStream(page.get_contents(), reader).operations:
            depth += (operator == b"q") - (operator == b"Q")
            deepest = max(deepest, depth)
        if deepest > _NEST_MOST or depth:
            yield f"6.1.13: graphics states {deepest} deep, {depth} left open"
        if "/PresSteps" in page:
            yield "6.10: steps of a presentation"
