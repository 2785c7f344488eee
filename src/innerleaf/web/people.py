"""Who asks, and what they may do: alone, whoever sits at the machine may do all; in a team, by role."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Any, Final

from fastapi import Depends, Request
from starlette.concurrency import run_in_threadpool

from innerleaf.store.people import Person, Role, who_is
from innerleaf.web.desk import Desk

COOKIE: Final = "innerleaf"


class Action(StrEnum):
    """What a person may do, from looking to letting others in."""

    LOOK = "look"
    MONEY = "see prices"
    EDIT = "change jobs"
    RECORD = "record on site"
    INVITE = "invite"


MAY: Final[dict[Role, frozenset[Action]]] = {
    Role.ESTIMATOR: frozenset(Action),
    Role.FOREMAN: frozenset({Action.LOOK, Action.MONEY, Action.EDIT, Action.RECORD}),
    Role.INSTALLER: frozenset({Action.LOOK, Action.RECORD}),
    Role.INSPECTOR: frozenset({Action.LOOK, Action.RECORD}),
    Role.READER: frozenset({Action.LOOK, Action.MONEY}),
}
# Files of a plan in which no price stands.
_WITHOUT_PRICES: Final = ("sheets", "cut-list", "labels", "programme.", "day-plans", "walls/", "dxf/", "svg/")
_RUNS_WITHOUT_PRICES: Final = ("proof", "programme", "handover")


class SignInFirst(Exception):
    """Nobody is signed in."""


class MayNot(Exception):
    """Somebody is signed in who may not do this."""

    def __init__(self, person: Person, action: Action) -> None:
        super().__init__(f"{person.name} is here as {person.role}, who may not {action}.")


async def desk_of(request: Request) -> Desk:
    """The desk that the server works at."""
    found = request.app.state.desk
    assert isinstance(found, Desk)
    return found


async def person_of(request: Request) -> Person:
    """Who asks.

    Raises
    ------
    SignInFirst
        The server is one of a team, and no session is open.
    """
    if not request.app.state.team:
        return Person(id="", name=request.app.state.user, role=Role.ESTIMATOR, active=True)
    desk, word = await desk_of(request), request.cookies.get(COOKIE, "")
    person = await run_in_threadpool(who_is, desk.engine, word, at=desk.clock())
    if person is None:
        raise SignInFirst
    return person


OfDesk = Annotated[Desk, Depends(desk_of)]
Asking = Annotated[Person, Depends(person_of)]


class May:
    """A dependency of a route: whoever asks may do this."""

    def __init__(self, action: Action) -> None:
        self.action = action

    async def __call__(self, person: Asking) -> None:
        """Refuse whoever may not.

        Raises
        ------
        MayNot
            The role of the person does not allow it.
        """
        if self.action not in MAY[person.role]:
            raise MayNot(person, self.action)


def may(action: Action) -> Any:
    """What a route asks of whoever calls it."""
    return Depends(May(action))


def may_fetch(person: Person, kind: str, name: str) -> bool:
    """Whether a person may have a file of a run: those with prices are for those who may see them."""
    free = kind in _RUNS_WITHOUT_PRICES or name.startswith(_WITHOUT_PRICES)
    return free or Action.MONEY in MAY[person.role]


async def who_asks(person: Asking) -> str:
    """The name that stands beside what is saved."""
    return person.name


Who = Annotated[str, Depends(who_asks)]
