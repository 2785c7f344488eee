"""What every request passes: the right host, no page of somebody else's behind it, no body too large.

The server answers to the names it was started with only, so that a page elsewhere cannot reach it by a name
of its own; a request that changes something must come from one of our pages or from a program.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

LARGEST_BODY: Final = 32 * 1024 * 1024  # a job file, its catalogues, a year of weather
_CHANGES_NOTHING: Final = ("GET", "HEAD", "OPTIONS")
_HEADERS: Final = (
    (
        b"content-security-policy",
        b"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self';"
        b" connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none';"
        b" frame-ancestors 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
)


class Guard:
    """Stands before an application; ``hosts`` are the names that it answers to, without ports.

    ``refused`` makes an answer of a path, a status and a sentence.
    """

    def __init__(self, app: App, *, hosts: frozenset[str], refused: Callable[[str, int, str], App]) -> None:
        self.app, self.hosts, self.refused = app, hosts, refused

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it in a sentence."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", []), *_HEADERS]
            await send(message)

        refusal = self._refusal(scope)
        if refusal:
            await self.refused(scope["path"], *refusal)(scope, receive, with_headers)
        else:
            await self.app(scope, _limited(receive), with_headers)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = {name: value.decode("latin-1") for name, value in scope["headers"]}
        host = headers.get(b"host", "")
        if _name(host) not in self.hosts:
            return 421, "This address is not one that innerleaf was started with."
        if scope["method"] not in _CHANGES_NOTHING:
            origin = headers.get(b"origin")
            if headers.get(b"sec-fetch-site", "none") not in ("none", "same-origin") or (
                origin is not None and origin.partition("://")[2] != host
            ):
                return 403, "This request comes from a page of another site."
        length = headers.get(b"content-length", "0")
        if not length.isdigit() or int(length) > LARGEST_BODY:
            return 413, f"More than {LARGEST_BODY // 1024 // 1024} MiB at once is not taken."
        return None


def _name(host: str) -> str:
    """The name without its port."""
    return host.partition("]")[0] + "]" if host.startswith("[") else host.partition(":")[0].lower()


def _limited(receive: Receive) -> Receive:
    """A body that does not say how long it is ends where it is too long."""
    taken = 0

    async def limited() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        return {"type": "http.disconnect"} if taken > LARGEST_BODY else message

    return limited
