"""Doing the long work that pages ask for: one run at a time, in a process of its own.

Results lie in a folder of the run, which appears whole or not at all.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime
from multiprocessing import get_context
from pathlib import Path

from innerleaf.errors import FileFaults, InputError
from innerleaf.store.engine import open_store
from innerleaf.store.history import revision
from innerleaf.store.runs import Run, RunState, end, sign_of_life, take_up
from innerleaf.web.desk import Desk

SHEETS, NUMBERS, PROOF, OPTIONS, PROGRAMME = "sheets", "numbers", "proof", "options", "programme"
REVISION, HANDOVER = "revision", "handover"
OF_A_WALL = (PROOF, OPTIONS)
_TOGETHER = 2  # so many runs at a time: a long one does not keep a short one waiting
_LOOK_S = 0.5  # between two looks for work
_SIGN_S = 1.0  # between two signs of life


Progress = Callable[[str, int, int], None]


class Stopped(Exception):
    """The person who asked for the work wants it no more."""


def folder_of(work: Path, run: str) -> Path:
    """Where the results of a run lie."""
    return work / "runs" / run


class Runner:
    """Looks for work until it is told to stop; ``url`` is the store, ``work`` the folder for results."""

    def __init__(self, url: str, work: Path) -> None:
        self._url, self._work = url, work
        self._over = threading.Event()
        self._threads = [
            threading.Thread(target=self._look, name="runs", daemon=True) for _ in range(_TOGETHER)
        ]

    def start(self) -> None:
        """Begin to look for work."""
        for thread in self._threads:
            thread.start()

    def stop(self) -> None:
        """Look no more; work that is going on is taken up again later."""
        self._over.set()
        for thread in self._threads:
            thread.join(10)

    def _look(self) -> None:
        engine = open_store(self._url)
        context = get_context("spawn")  # threads and a copied process do not mix
        while not self._over.wait(_LOOK_S):
            run = take_up(engine, datetime.now(UTC))
            if run is None:
                continue
            worker = context.Process(target=do_run, args=(self._url, self._work, run), daemon=False)
            worker.start()
            while worker.is_alive() and not self._over.is_set():
                worker.join(_LOOK_S)
            if self._over.is_set():
                worker.terminate()
            elif worker.exitcode:
                end(engine, run.id, RunState.FAILED, "The work broke off; ask for it again.")
        engine.dispose()


def do_run(url: str, work: Path, run: Run) -> None:
    """Do the work of a run, and say in the store how it ended."""
    engine = open_store(url)
    try:
        _WORK[run.kind](Desk(engine, work), folder_of(work, run.id), run, _teller(url, run))
        end(engine, run.id, RunState.DONE)
    except Stopped:
        end(engine, run.id, RunState.STOPPED)
    except (InputError, FileFaults) as error:
        end(engine, run.id, RunState.FAILED, str(error))
    finally:
        engine.dispose()


def _teller(url: str, run: Run) -> Progress:
    """Progress that goes into the store now and then."""
    engine, last = open_store(url), 0.0

    def tell(doing: str, done: int, of: int) -> None:
        nonlocal last
        if time.monotonic() - last > _SIGN_S:
            last = time.monotonic()
            if not sign_of_life(engine, run.id, doing, done, of, datetime.now(UTC)):
                raise Stopped

    return tell


def _numbers(desk: Desk, folder: Path, run: Run, tell: Progress) -> None:
    """What the building takes and costs."""
    from innerleaf.web.reports import write_numbers

    write_numbers(desk.open(run.document, run.revision), folder, tell)


def _proof(desk: Desk, folder: Path, run: Run, tell: Progress) -> None:
    """What one wall does."""
    from innerleaf.web.reports import write_proof

    write_proof(desk.open(run.document, run.revision), run.subject, folder, tell)


def _options(desk: Desk, folder: Path, run: Run, tell: Progress) -> None:
    """Every lining that can be bought for one wall."""
    from innerleaf.web.reports import write_options

    write_options(desk.open(run.document, run.revision), run.subject, folder, tell)


def _sheets(desk: Desk, folder: Path, run: Run, tell: Progress) -> None:
    """Everything that `plan` writes, for the revision that was asked for."""
    from innerleaf.pipeline import bought, judged, plan_job, priced, write_folder
    from innerleaf.programme_case import programmed

    opened = desk.open(run.document, run.revision)
    saved = revision(desk.engine, run.document, run.revision).line
    planned = plan_job(opened.file, together=True, progress=tell)
    planned = priced(bought(judged(planned, progress=tell)))
    if planned.job.programme:
        planned = programmed(planned, progress=tell)
    write_folder(
        planned,
        folder,
        replace=True,
        revision=str(run.revision),
        date=saved.saved_at.date().isoformat(),
        workers=1,
        progress=tell,
    )


def _programme(desk: Desk, folder: Path, run: Run, tell: Progress) -> None:
    """When who does what."""
    from innerleaf.web.programme import make_programme

    make_programme(desk, folder, run, tell)


def _revision(desk: Desk, folder: Path, run: Run, tell: Progress) -> None:
    """What became of an earlier revision."""
    from innerleaf.web.revising import make_revision

    make_revision(desk, folder, run, tell)


def _handover(desk: Desk, folder: Path, run: Run, tell: Progress) -> None:
    """The pack for whoever takes the work over."""
    from innerleaf.web.handing import make_handover

    make_handover(desk, folder, run, tell)


_WORK: dict[str, Callable[[Desk, Path, Run, Progress], None]] = {
    SHEETS: _sheets,
    NUMBERS: _numbers,
    PROOF: _proof,
    OPTIONS: _options,
    PROGRAMME: _programme,
    REVISION: _revision,
    HANDOVER: _handover,
}
