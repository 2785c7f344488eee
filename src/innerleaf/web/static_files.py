"""Static files: their address carries a digest of all of them; a browser keeps them and asks no more."""

from __future__ import annotations

import hashlib
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from fastapi.staticfiles import StaticFiles

if TYPE_CHECKING:
    from fastapi.responses import Response

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
        response = await super().get_response(rest if _DIGEST.match(first) else path, scope)
        response.headers["cache-control"] = _FOR_GOOD if first == static_digest() else "no-cache"
        return response


class Fonts(StaticFiles):
    """Fonts of a package: they change with it only."""

    async def get_response(self, path: str, scope: Any) -> Response:
        """The file of a path, to be kept for a month."""
        response = await super().get_response(path, scope)
        response.headers["cache-control"] = "public, max-age=2592000"
        return response
