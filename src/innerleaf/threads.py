"""How many threads numerical libraries start: one for each of our processes."""

from __future__ import annotations

import os
from typing import Final

_COUNTS: Final = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


def one_thread_each() -> None:
    """Keep libraries of linear algebra, loaded after this call, to one thread, unless the user says more.

    Our matrices are small: further threads only wait for each other, which takes five times the processor
    time of the work itself, and keeps other workers from theirs.
    """
    for name in _COUNTS:
        os.environ.setdefault(name, "1")
