"""Static files: their address carries a digest of all of them; a browser keeps them and asks no more."""

from __future__ import annotations

import gzip
import hashlib
import re
from functools import cache, lru_cache
from mimetypes import guess_type
from pathlib import Path
from typing import Any, Final

from fastapi.responses import Response
from fastapi.staticfiles import StaticFiles

FOLDER: Final = Path(__file__).parent / "static"
_DIGEST: Final = re.compile(r"[0-9a-f]{12}\Z")
_FOR_GOOD: Final = "public, max-age=31536000, immutable"


@cache
def static_digest() -> str:
    """Twelve signs that change with any of the files."""
    made = hashlib.blake2b(digest_size=6)
    for file in sorted(FOLDER.iterdir()):
        made.update(file.name.encode() + b"\0" + file.read_bytes())
    return made.hexdigest()


def with_digest(html: str) -> str:
    """A page whose links to static files carry the digest."""
    for link in ('href="/static/', 'src="/static/'):
        html = html.replace(link, f"{link}{static_digest()}/")
    return html


class Static(StaticFiles):
    """Files with or without the digest before their name; scripts that import each other stay together."""

    async def get_response(self, path: str, scope: Any) -> Response:
        """The file of a path, to be kept for good under the digest of now."""
        first, _, rest = path.partition("/")
        if first == static_digest() and scope["method"] == "GET" and (packed := _packed(rest)):
            headers = {"cache-control": _FOR_GOOD, "vary": "accept-encoding"}
            media_type = guess_type(rest)[0] or "application/octet-stream"
            if b"gzip" in dict(scope["headers"]).get(b"accept-encoding", b""):
                return Response(packed, 200, headers | {"content-encoding": "gzip"}, media_type)
            return Response(gzip.decompress(packed), 200, headers, media_type)
        response = await super().get_response(rest if _DIGEST.match(first) else path, scope)
        response.headers["cache-control"] = "no-cache"
        return response


@lru_cache(maxsize=200)
def _packed(name: str) -> bytes | None:
    """A file packed, from memory; None if there is none of this name."""
    names = {file.name for file in FOLDER.iterdir()}
    return gzip.compress((FOLDER / name).read_bytes(), mtime=0) if name in names else None


class Fonts(StaticFiles):
    """Fonts of a package: they change with it only."""

    async def get_response(self, path: str, scope: Any) -> Response:
        """The file of a path, to be kept for a month."""
        response = await super().get_response(path, scope)
        response.headers["cache-control"] = "public, max-age=2592000"
        return response
