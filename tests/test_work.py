"""Work shared among processes."""

from __future__ import annotations

import os
import time
from functools import partial
from pathlib import Path

import pytest

from innerleaf.errors import InputError, about
from innerleaf.work import run_tasks, same_processes


def _own(number: int) -> tuple[int, int]:
    return number, os.getpid()


def _refuse(field: str) -> None:
    with about("wall W-01"):
        raise InputError(field, given=0, accepted="above 0")


def _leave(path: Path) -> None:
    path.touch()


def _leave_slowly(path: Path) -> None:
    """Long enough that one process cannot do many while another has just begun."""
    time.sleep(0.1)
    _leave(path)


def test_one_worker_works_here() -> None:
    assert list(run_tasks([partial(_own, 1), partial(_own, 2)], workers=1)) == [
        (1, os.getpid()),
        (2, os.getpid()),
    ]


def test_results_come_in_order_of_tasks() -> None:
    found = list(run_tasks([partial(_own, number) for number in range(20)], workers=2))
    assert [number for number, _ in found] == list(range(20))
    assert os.getpid() not in {process for _, process in found}


def test_fresh_tasks_each_have_a_process_of_their_own() -> None:
    """Memory that a library keeps goes with its process, also when only one runs at a time."""
    found = list(run_tasks([partial(_own, number) for number in range(3)], workers=1, fresh=True))
    assert len({process for _, process in found}) == 3


@pytest.mark.parametrize("workers", [1, 2])
def test_error_of_a_task_arrives_whole(workers: int) -> None:
    """The sentence a person reads is the same whichever process found the mistake."""
    with pytest.raises(InputError, match="wall W-01, width: given 0, accepted: above 0"):
        list(run_tasks([partial(_refuse, "width")] * 2, workers=workers))


def test_tasks_not_begun_are_dropped_after_an_error(tmp_path: Path) -> None:
    tasks = [
        partial(_refuse, "width"),
        *(partial(_leave_slowly, tmp_path / str(number)) for number in range(200)),
    ]
    with pytest.raises(InputError):
        list(run_tasks(tasks, workers=2))
    assert len(list(tmp_path.iterdir())) < 200


def test_processes_are_kept_from_one_lot_of_tasks_to_the_next() -> None:
    with same_processes(2):
        lots = [list(run_tasks([partial(_own, number) for number in range(8)], workers=2)) for _ in range(2)]
    assert [[number for number, _ in lot] for lot in lots] == [list(range(8))] * 2
    assert len({process for lot in lots for _, process in lot}) <= 2


def test_kept_processes_go_on_after_an_error() -> None:
    with same_processes(2):
        with pytest.raises(InputError, match="wall W-01"):
            list(run_tasks([partial(_refuse, "width")] * 20, workers=2))
        assert [number for number, _ in run_tasks([partial(_own, n) for n in range(4)], workers=2)] == [
            0,
            1,
            2,
            3,
        ]
