"""How pages speak to whoever asks: in which language, and lengths in which unit.

Both are chosen on any page and kept in cookies; without a choice the browser's languages and metric hold.
"""

from __future__ import annotations

from contextvars import ContextVar
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from typing import Annotated, Final
from urllib.parse import quote

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse, Response

from innerleaf.errors import InputError
from innerleaf.web.guard import App, Message, Receive, Scope, Send
from innerleaf.web.words import ENGLISH, best_language, languages

UNITS: Final = ("mm", "in")
_UNIT_COOKIE, _LANGUAGE_COOKIE = "innerleaf-units", "innerleaf-language"
_YEAR_S = 365 * 86_400

router = APIRouter(include_in_schema=False)
Word = Annotated[str, Form(max_length=2000)]


@dataclass(frozen=True, slots=True)
class Manner:
    """Language, unit of lengths ("mm" or "in") and the address that the answer stands under."""

    language: str = ENGLISH
    unit: str = "mm"
    address: str = "/"


_METRIC: Final = Manner()
_now: ContextVar[Manner] = ContextVar("manner", default=_METRIC)


def manner() -> Manner:
    """How to speak in the answer to the request at hand."""
    return _now.get()


class Speaking:
    """An application that answers everybody in their manner."""

    def __init__(self, app: App) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Find out the manner, and answer in it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def told(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", []), (b"vary", b"Accept-Language, Cookie")]
            await send(message)

        token = _now.set(_manner_of(scope))
        try:
            await self.app(scope, receive, told)
        finally:
            _now.reset(token)


def _manner_of(scope: Scope) -> Manner:
    headers = {name: value.decode("latin-1") for name, value in scope["headers"]}
    try:
        cookies = SimpleCookie(headers.get(b"cookie", ""))
    except CookieError:
        cookies = SimpleCookie()
    chosen = cookies[_LANGUAGE_COOKIE].value if _LANGUAGE_COOKIE in cookies else ""
    unit = cookies[_UNIT_COOKIE].value if _UNIT_COOKIE in cookies else ""
    address = "/"
    if scope["method"] == "GET":
        query = scope.get("query_string", b"").decode("latin-1")
        address = quote(scope["path"], safe="/:@!$&'()*+,;=~-._") + (f"?{query}" if query else "")
    return Manner(
        best_language(headers.get(b"accept-language", ""), chosen), unit if unit in UNITS else "mm", address
    )


@router.post("/manner")
def choose(request: Request, units: Word = "", language: Word = "", on: Word = "/") -> Response:
    """Keep what a person chooses, and show the page again.

    Raises
    ------
    InputError
        There is no such unit or language.
    """
    if units and units not in UNITS:
        raise InputError("units", given=units, accepted=" or ".join(UNITS))
    if language and language not in languages():
        raise InputError("language", given=language, accepted=", ".join(languages()))
    # Only to places of our own: not "//elsewhere", and no other scheme.
    onward = on if on.startswith("/") and not on.startswith(("//", "/\\")) else "/"
    answer = RedirectResponse(onward, status_code=303)
    secure = request.url.scheme == "https"
    for name, value in ((_UNIT_COOKIE, units), (_LANGUAGE_COOKIE, language)):
        if value:
            answer.set_cookie(name, value, max_age=_YEAR_S, httponly=True, samesite="lax", secure=secure)
    return answer
