"""Long work that was asked for: it waits in the store, one process at a time does it, it can be stopped.

Whoever works on a run gives a sign of life now and then; a run without one for long is taken up again by the
next, so that a server that was killed loses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any
from uuid import uuid4

from sqlalchemy import Engine, Row, and_, insert, or_, select, update

from innerleaf.errors import InputError
from innerleaf.store.engine import looking
from innerleaf.store.tables import RUN

PATIENCE = timedelta(seconds=60)  # without a sign of life for so long, nobody works on it any more


class RunState(StrEnum):
    """How far a run is."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Work asked for on one revision of a job, or on its ``subject``, a wall.

    ``doing``, ``done``, ``of`` tell how far it is.
    """

    id: str
    document: str
    revision: int
    kind: str
    subject: str
    who: str
    asked_at: datetime
    state: RunState
    doing: str
    done: int
    of: int
    stop_asked: bool
    sign_at: datetime | None
    error: str

    @property
    def over(self) -> bool:
        """Whether nothing will come of it any more, or all has."""
        return self.state in (RunState.DONE, RunState.FAILED, RunState.STOPPED)


def ask_for(
    engine: Engine, document: str, revision: int, kind: str, subject: str = "", *, who: str, at: datetime
) -> Run:
    """Have work done on a revision; the same work on the same revision is not begun twice."""
    same = and_(
        RUN.c.document == document,
        RUN.c.revision == revision,
        RUN.c.kind == kind,
        RUN.c.subject == subject,
    )
    alive = RUN.c.state.in_((RunState.WAITING, RunState.RUNNING, RunState.DONE))
    there = select(RUN).where(same, alive)
    with looking(engine) as connection:  # mostly it is there: nobody has to wait for that
        found = connection.execute(there).first()
    if found is not None:
        return _run(found)
    with engine.begin() as connection:
        found = connection.execute(there).first()
        if found is not None:
            return _run(found)
        values: dict[str, Any] = {
            "id": uuid4().hex,
            "document": document,
            "revision": revision,
            "kind": kind,
            "subject": subject,
            "who": who,
            "asked_at": at,
            "state": RunState.WAITING,
            "doing": "",
            "done": 0,
            "of": 0,
            "stop_asked": False,
            "sign_at": None,
            "error": "",
        }
        connection.execute(insert(RUN).values(values))
        return Run(**values)


def take_up(engine: Engine, at: datetime) -> Run | None:
    """The run that has waited longest, or one that nobody works on any more; it is then ours."""
    waiting = RUN.c.state == RunState.WAITING
    left = and_(RUN.c.state == RunState.RUNNING, RUN.c.sign_at < at - PATIENCE)
    wanted = select(RUN).where(or_(waiting, left)).order_by(RUN.c.asked_at, RUN.c.id).limit(1)
    with looking(engine) as connection:  # mostly there is none: no turn as a writer is taken for that
        if connection.execute(wanted).first() is None:
            return None
    with engine.begin() as connection:
        row = connection.execute(wanted.with_for_update(skip_locked=True)).one_or_none()
        if row is None:
            return None
        change = update(RUN).where(RUN.c.id == row.id).values(state=RunState.RUNNING, sign_at=at)
        connection.execute(change)
        return _run(connection.execute(select(RUN).where(RUN.c.id == row.id)).one())


def sign_of_life(engine: Engine, key: str, doing: str, done: int, of: int, at: datetime) -> bool:
    """Tell how far the work is; False if it is to stop."""
    with engine.begin() as connection:
        mine = RUN.c.id == key
        connection.execute(update(RUN).where(mine).values(doing=doing, done=done, of=of, sign_at=at))
        return not connection.scalar(select(RUN.c.stop_asked).where(mine))


def end(engine: Engine, key: str, state: RunState, error: str = "") -> None:
    """The work is over."""
    with engine.begin() as connection:
        connection.execute(update(RUN).where(RUN.c.id == key).values(state=state, error=error))


def stop(engine: Engine, key: str) -> Run:
    """Have a run stopped: at once if it waits, at its next sign of life if it runs.

    Raises
    ------
    InputError
        There is no such run.
    """
    with engine.begin() as connection:
        mine, waits = RUN.c.id == key, RUN.c.state == RunState.WAITING
        connection.execute(update(RUN).where(mine).values(stop_asked=True))
        connection.execute(update(RUN).where(mine, waits).values(state=RunState.STOPPED))
    return run_of(engine, key)


def run_of(engine: Engine, key: str) -> Run:
    """One run.

    Raises
    ------
    InputError
        There is none of this id.
    """
    with looking(engine) as connection:
        row = connection.execute(select(RUN).where(RUN.c.id == key)).one_or_none()
    if row is None:
        raise InputError("run", given=key, accepted="the id of a run of this store")
    return _run(row)


def runs_of(engine: Engine, document: str) -> tuple[Run, ...]:
    """The runs of a job, the newest first."""
    wanted = select(RUN).where(RUN.c.document == document).order_by(RUN.c.asked_at.desc(), RUN.c.id)
    with looking(engine) as connection:
        return tuple(_run(row) for row in connection.execute(wanted))


def _run(row: Row[Any]) -> Run:
    values = {name: getattr(row, name) for name in Run.__slots__}
    return Run(**values | {"state": RunState(row.state)})
