"""Plan one job file; print, as JSON, the seconds of each step.

Started by `bench.py`, which watches the memory of this process and its workers:
`measure.py JOB --workers 2 --papers svg`. Papers go into a folder that is removed afterwards.
"""

from __future__ import annotations

import argparse
import gc
import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from innerleaf.threads import one_thread_each


def main() -> None:
    """Measure one run."""
    parser = argparse.ArgumentParser()
    parser.add_argument("job", type=Path)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--papers", choices=["svg", "pdf", "all"], default="svg")
    given = parser.parse_args()
    gc.disable()  # as the command line does
    one_thread_each()
    seconds: dict[str, float] = {}

    @contextmanager
    def step(name: str) -> Iterator[None]:
        begin = perf_counter()
        yield
        seconds[name] = perf_counter() - begin

    with step("load"):
        from innerleaf.documents.boarding import layers_of
        from innerleaf.documents.pages import board_svg, frame_svg
        from innerleaf.job.read import read_job
        from innerleaf.pipeline import Planned, set_out, write_folder
        from innerleaf.practice.load import load_practice
        from innerleaf.survey.build import given_walls
        from innerleaf.takeoff import take_off
    with step("read"):
        job = read_job(given.job)
        practice = load_practice(job.practice, job.practice_override)
        walls = given_walls(job, practice)
    with step("set out"):
        plans = tuple(set_out(walls, practice, workers=given.workers))
    with step("take off"):
        takeoff = take_off(plans, practice)
    with TemporaryDirectory() as folder, step("papers"):
        if given.papers != "svg":
            planned = Planned(job=job, practice=practice, plans=plans, takeoff=takeoff)
            write_folder(planned, Path(folder) / "out", dxf=given.papers == "all", workers=given.workers)
        else:
            for plan in plans:
                drawings = [frame_svg(plan), *(board_svg(plan, layer) for layer in layers_of(plan))]
                (Path(folder) / f"{plan.wall.id}.svg").write_text("\n".join(drawings), encoding="utf-8")
    json.dump({"walls": len(plans), "seconds": seconds}, sys.stdout)


if __name__ == "__main__":
    main()
