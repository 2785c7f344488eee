"""Plan one job file and print, as JSON, the seconds of each step and the peak memory of this process.

Started by `bench.py` as a child, so that nothing else is in its memory:
`measure.py JOB OUT --workers 2 --pdf`. Without --pdf, the drawings are SVG only.
"""

from __future__ import annotations

import argparse
import json
import resource
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter


def main() -> None:
    """Measure one run."""
    parser = argparse.ArgumentParser()
    parser.add_argument("job", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--pdf", action="store_true")
    given = parser.parse_args()
    seconds: dict[str, float] = {}

    @contextmanager
    def step(name: str) -> Iterator[None]:
        begin = perf_counter()
        yield
        seconds[name] = perf_counter() - begin

    with step("start"):
        from innerleaf import pipeline
    with step("read"):
        job = pipeline.read_job(given.job)
        practice = pipeline.load_practice(job.practice, job.practice_override)
        walls = pipeline.survey(job, practice)
    with step("set out"):
        plans = tuple(pipeline.set_out(walls, practice, workers=given.workers))
    with step("take off"):
        takeoff = pipeline.take_off(plans, practice)
    json.dump(
        {
            "walls": len(plans),
            "findings": sum(len(plan.findings) for plan in plans),
            "seconds": seconds,
            "peak_mib": _peak_mib(),
            "bars": len(takeoff.bars),
        },
        sys.stdout,
    )


def _peak_mib() -> float:
    """Greatest memory of this process or of any worker of it. [MiB]"""
    who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    per_mib = 1024 if sys.platform == "linux" else 1024 * 1024
    return max(resource.getrusage(one).ru_maxrss for one in who) / per_mib


if __name__ == "__main__":
    main()
