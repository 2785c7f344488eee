"""Signing in and out, joining by an invitation, and who is in the team."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Path, Request
from fastapi.responses import RedirectResponse, Response

from innerleaf.errors import InputError
from innerleaf.store.people import (
    SHORTEST_PASSWORD,
    Role,
    TooManyGuesses,
    invite,
    invited_as,
    join,
    people,
    set_person,
    sign_in,
    sign_out,
)
from innerleaf.web.page import page
from innerleaf.web.people import COOKIE, Action, OfDesk, Who, may

router = APIRouter(include_in_schema=False)
_DAYS = 14

Word = Annotated[str, Path(max_length=100)]
Typed = Annotated[str, Form(max_length=1000)]


@router.get("/sign-in")
def ask_who(request: Request) -> Response:
    """Name and password."""
    return page("sign_in", on="") if request.app.state.team else RedirectResponse("/", status_code=303)


@router.post("/sign-in")
def let_in(request: Request, desk: OfDesk, name: Typed, password: Typed, on: Typed = "/") -> Response:
    """Begin a session and go on to where the person wanted to be."""
    try:
        word = sign_in(desk.engine, name, password, at=desk.clock())
    except TooManyGuesses as error:
        answer = page("sign_in", status=429, said=str(error), name=name, on=on)
        answer.headers["Retry-After"] = str(error.wait_s)
        return answer
    except InputError:
        return page("sign_in", status=401, wrong=True, name=name, on=on)
    # Only to places of our own: not "//elsewhere", and no other scheme.
    onward = on if on.startswith("/") and not on.startswith(("//", "/\\")) else "/"
    return _with_session(request, onward, word)


@router.post("/sign-out")
def let_out(request: Request, desk: OfDesk) -> Response:
    """End the session."""
    sign_out(desk.engine, request.cookies.get(COOKIE, ""))
    answer = RedirectResponse("/sign-in", status_code=303)
    answer.delete_cookie(COOKIE, httponly=True, samesite="strict")
    return answer


@router.get("/join/{word}")
def ask_new(desk: OfDesk, word: Word) -> Response:
    """Whoever follows an invitation chooses a name and a password."""
    role = invited_as(desk.engine, word, desk.clock())
    return page("join", status=200 if role else 404, role=role, word=word, shortest=SHORTEST_PASSWORD)


@router.post("/join/{word}")
def take_in(request: Request, desk: OfDesk, word: Word, name: Typed, password: Typed) -> Response:
    """Make the account and begin its first session."""
    at = desk.clock()
    try:
        join(desk.engine, word, name, password, at=at)
    except InputError as error:
        role = invited_as(desk.engine, word, at)
        values = {"role": role, "word": word, "name": name, "shortest": SHORTEST_PASSWORD}
        return page("join", status=422, said=str(error), **values)
    return _with_session(request, "/", sign_in(desk.engine, name, password, at=at))


@router.get("/people", dependencies=[may(Action.INVITE)])
def list_people(desk: OfDesk) -> Response:
    """Everybody with an account, and new invitations."""
    return page("people", people=people(desk.engine), roles=list(Role), link="")


@router.post("/people/invite", dependencies=[may(Action.INVITE)])
def invite_one(request: Request, desk: OfDesk, who: Who, role: Annotated[Role, Form()]) -> Response:
    """A link to hand on; it is shown once."""
    word = invite(desk.engine, role, by=who, at=desk.clock())
    link = f"{request.url.scheme}://{request.headers['host']}/join/{word}"
    return page("people", people=people(desk.engine), roles=list(Role), link=link, invited=role)


@router.post("/people/{key}", dependencies=[may(Action.INVITE)])
def change_one(
    desk: OfDesk, key: Word, role: Annotated[Role, Form()], active: Annotated[bool, Form()] = False
) -> Response:
    """Change what somebody may."""
    set_person(desk.engine, key, role=role, active=active)
    return RedirectResponse("/people", status_code=303)


def _with_session(request: Request, onward: str, word: str) -> Response:
    answer = RedirectResponse(onward, status_code=303)
    secure = request.url.scheme == "https"
    answer.set_cookie(COOKIE, word, max_age=_DAYS * 86_400, httponly=True, samesite="strict", secure=secure)
    return answer
