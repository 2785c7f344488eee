"""Photos and documents that go into a hand-over pack: found by what they hold, photos made smaller."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from innerleaf.documents.handover_model import FirmDocument
from innerleaf.errors import FileFaults, InputError
from innerleaf.reading import read_file

INDEX: Final = "index.yaml"
LONGEST_PX: Final = 1000  # of a photo in the pack: 90 mm at 280 dots an inch
_QUALITY: Final = 72
_MOST_BYTES: Final = 20 * 1024 * 1024  # of one document
_MOST_PIXELS: Final = 60_000_000
_MEDIA: Final = {
    ".pdf": "application/pdf",
    ".txt": "text/plain",
    ".csv": "text/csv",
    ".xml": "application/xml",
    ".json": "application/json",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
}


@dataclass(frozen=True, slots=True)
class Attached:
    """A document with its bytes."""

    about: FirmDocument
    content: bytes


def photos_in(folder: Path, wanted: Iterable[str]) -> dict[str, bytes]:
    """Photos by their digest, made smaller: those of ``wanted`` that lie in a folder, whatever their names.

    Raises
    ------
    InputError
        A file of a wanted digest is no picture that can be read.
    """
    left, found = set(wanted), dict[str, bytes]()
    if not folder.is_dir():
        return found
    for path in sorted(path for path in folder.iterdir() if path.is_file()):
        raw = path.read_bytes()
        digest = hashlib.sha256(raw).hexdigest()
        if digest in left:
            found[digest] = smaller(raw, path.name)
            left.discard(digest)
    return found


def smaller(raw: bytes, name: str) -> bytes:
    """A photo upright, in plain colours, of at most ``LONGEST_PX``, without what cameras add; as JPEG."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(BytesIO(raw)) as opened:
            if opened.width * opened.height > _MOST_PIXELS:
                raise InputError("photo", given=name, accepted=f"at most {_MOST_PIXELS // 10**6} megapixels")
            picture = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError("photo", given=name, accepted="a JPEG, PNG or WebP picture") from error
    picture.thumbnail((LONGEST_PX, LONGEST_PX))
    made = BytesIO()
    picture.save(made, "JPEG", quality=_QUALITY, optimize=True)
    return made.getvalue()


def documents_in(folder: Path | None, articles: Iterable[str]) -> tuple[Attached, ...]:
    """The firm's documents in a folder, by name; what `index.yaml` there says of each.

    The index maps file names to ``title`` and ``articles``; a file it does not name goes along under its own.

    Raises
    ------
    FileFaults
        The index names a file that is not there, or an article the practice does not have.
    InputError
        There is no such folder, or a document is too large or of another kind.
    """
    if folder is None:
        return ()
    if not folder.is_dir():
        raise InputError("documents", given=str(folder), accepted="a folder")
    index = _index(folder / INDEX, frozenset(articles))
    found = []
    for path in sorted(path for path in folder.iterdir() if path.is_file() and path.name != INDEX):
        media = _MEDIA.get(path.suffix.lower())
        if media is None or path.stat().st_size > _MOST_BYTES:
            accepted = f"{', '.join(_MEDIA)} of at most {_MOST_BYTES // 2**20} MiB"
            raise InputError("document", given=path.name, accepted=accepted)
        content = path.read_bytes()
        said = index.get(path.name, {})
        about = FirmDocument(
            file=path.name,
            title=said.get("title", path.stem),
            media=media,
            size=len(content),
            sha256=hashlib.sha256(content).hexdigest(),
            articles=tuple(said.get("articles", ())),
        )
        found.append(Attached(about, content))
    return tuple(found)


def _index(path: Path, articles: frozenset[str]) -> Mapping[str, Mapping[str, Any]]:
    if not path.is_file():
        return {}
    text = read_file(path).checked()
    faults = []
    said = text.value if isinstance(text.value, dict) else {}
    if not said:
        faults.append(text.line((), "the index maps file names to title and articles."))
    for name, about in said.items():
        if not (path.parent / name).is_file():
            faults.append(text.line((name,), f"there is no file {name} beside the index.", key=True))
        if not isinstance(about, dict) or not set(about) <= {"title", "articles"}:
            faults.append(text.line((name,), f"{name}: accepted: title and articles."))
            continue
        for number, article in enumerate(about.get("articles") or ()):
            if article not in articles:
                sentence = f"given {article!r}, accepted: an article of the practice set."
                faults.append(text.line((name, "articles", number), sentence))
    if faults:
        raise FileFaults(faults)
    return said
