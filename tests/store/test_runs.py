"""Long work waits in the store, is done once, can be stopped, and outlives whoever works on it."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from innerleaf.errors import InputError
from innerleaf.store.history import add
from innerleaf.store.model import Kind
from innerleaf.store.runs import (
    PATIENCE,
    Run,
    RunState,
    ask_for,
    end,
    run_of,
    runs_of,
    sign_of_life,
    stop,
    take_up,
)

if TYPE_CHECKING:
    from sqlalchemy import Engine

AT = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)


def _job(store: Engine, name: str = "a job") -> str:
    return add(store, Kind.JOB, name, "text", who="Ada", at=AT).line.document


def _asked(store: Engine, job: str, number: int = 1, minutes: int = 0) -> Run:
    return ask_for(store, job, number, "plan", who="Ada", at=AT + timedelta(minutes=minutes))


def test_work_is_taken_up_in_the_order_it_was_asked_for(store: Engine) -> None:
    job = _job(store)
    second, first = _asked(store, job, 2, minutes=5), _asked(store, job, 1)
    assert [run and run.id for run in (take_up(store, AT), take_up(store, AT), take_up(store, AT))] == [
        first.id,
        second.id,
        None,
    ]
    assert [run.id for run in runs_of(store, job)] == [second.id, first.id]


def test_the_same_work_is_asked_for_once_unless_it_failed(store: Engine) -> None:
    job = _job(store)
    first = _asked(store, job)
    assert _asked(store, job).id == first.id
    take_up(store, AT)
    assert _asked(store, job).id == first.id
    end(store, first.id, RunState.FAILED, "the disk is full")
    assert _asked(store, job).id != first.id
    assert run_of(store, first.id).error == "the disk is full"


def test_signs_of_life_tell_how_far_it_is_and_hear_that_it_is_to_stop(store: Engine) -> None:
    run = _asked(store, _job(store))
    take_up(store, AT)
    assert sign_of_life(store, run.id, "heat", 3, 58, AT)
    told = run_of(store, run.id)
    assert (told.state, told.doing, told.done, told.of, told.over) == (RunState.RUNNING, "heat", 3, 58, False)
    assert stop(store, run.id).state == RunState.RUNNING
    assert not sign_of_life(store, run.id, "heat", 4, 58, AT)
    end(store, run.id, RunState.STOPPED)
    assert run_of(store, run.id).over


def test_what_waits_is_stopped_at_once(store: Engine) -> None:
    run = _asked(store, _job(store))
    assert stop(store, run.id).state == RunState.STOPPED
    assert take_up(store, AT) is None
    with pytest.raises(InputError, match="run: given 'none'"):
        stop(store, "none")


def test_work_that_nobody_does_any_more_is_taken_up_again(store: Engine) -> None:
    run = _asked(store, _job(store))
    take_up(store, AT)
    assert take_up(store, AT + PATIENCE) is None
    again = take_up(store, AT + PATIENCE + timedelta(seconds=1))
    assert again is not None
    assert again.id == run.id


def test_of_many_who_ask_for_work_each_run_goes_to_one(store: Engine) -> None:
    job = _job(store)
    runs = {_asked(store, job, number).id for number in range(1, 13)}
    with ThreadPoolExecutor(6) as pool:
        taken = [run.id for run in pool.map(lambda _: take_up(store, AT), range(24)) if run]
    assert sorted(taken) == sorted(runs)
