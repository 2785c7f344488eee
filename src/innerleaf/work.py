"""Work shared among processes, with results in order, so that nothing depends on how many there are."""

from __future__ import annotations

import gc
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import TypeVar

_T = TypeVar("_T")


def run_tasks(tasks: Sequence[Callable[[], _T]], *, workers: int, fresh: bool = False) -> Iterator[_T]:
    """Results of tasks, in their order.

    With one worker they run here, one after the other; with more, in as many processes, and tasks
    and results must be picklable. ``fresh`` gives each task a process of its own, also with one
    worker: for libraries that keep memory until their process ends.
    """
    workers = min(workers, len(tasks))
    if workers <= 1 and not fresh:
        yield from (task() for task in tasks)
        return
    limit = 1 if fresh else None
    pool = ProcessPoolExecutor(workers, get_context("forkserver"), _start, max_tasks_per_child=limit)
    try:
        futures = [pool.submit(task) for task in tasks]
        for future in futures:
            yield future.result()
    finally:
        pool.shutdown(cancel_futures=True)


def _start() -> None:
    gc.disable()  # plans hold no cycles: nothing to collect, and looking takes a third of the time
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent hears Ctrl-C and ends the pool
