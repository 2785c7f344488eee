"""Work shared among processes, with results in order, so that nothing depends on how many there are."""

from __future__ import annotations

import gc
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import contextmanager
from contextvars import ContextVar
from multiprocessing import get_context
from typing import TypeVar

from innerleaf.threads import one_thread_each

_T = TypeVar("_T")

_kept: ContextVar[ProcessPoolExecutor | None] = ContextVar("kept", default=None)


@contextmanager
def same_processes(workers: int) -> Iterator[None]:
    """Tasks run inside share their processes: what one of them has loaded need not be loaded again.

    Processes start as tasks need them, so that nothing is lost where none does.
    """
    if workers <= 1:
        yield
        return
    pool = _pool(workers)
    token = _kept.set(pool)
    try:
        yield
    finally:
        _kept.reset(token)
        pool.shutdown(cancel_futures=True)


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
    kept = None if fresh else _kept.get()
    pool = kept or _pool(workers, tasks_each=1 if fresh else None)
    futures: list[Future[_T]] = []
    try:
        futures += [pool.submit(task) for task in tasks]
        for future in futures:
            yield future.result()
    finally:
        for future in futures:
            future.cancel()  # those not begun; the others are done, or nobody waits for them
        if not kept:
            pool.shutdown()


def _pool(workers: int, tasks_each: int | None = None) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(workers, get_context("forkserver"), _start, max_tasks_per_child=tasks_each)


def _start() -> None:
    one_thread_each()
    gc.disable()  # plans hold no cycles: nothing to collect, and looking takes a third of the time
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent hears Ctrl-C and ends the pool
