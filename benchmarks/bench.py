"""How fast, and does it stay so: 10, 100 and 1,000 varied walls, the demo judged, the command line's start.

Prints one table with the goals of docs/benchmarks.md; exits 1 if one is missed.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, sleep
from typing import Any

from benchmarks.jobs import job_text

HERE = Path(__file__).parent
COUNTS = (10, 100, 1000)
STEPS = ("read", "set out", "take off", "papers")
INNERLEAF = (sys.executable, "-c", "from innerleaf.cli import main; main()")
REPEATS = 5
DEMO = HERE.parent / "examples" / "demo" / "job.yaml"
# Plans the demo, then judges it; run twice, since the first run compiles what no run has yet.
JUDGE = """
import gc, sys
from pathlib import Path
from time import process_time
from innerleaf.threads import one_thread_each
one_thread_each()
from innerleaf.pipeline import judged, plan_job
gc.disable()
planned = plan_job(Path(sys.argv[1]))
begin = process_time()
judged(planned)
print(process_time() - begin)
"""


def main() -> int:
    """Run everything; 1 if a goal is missed."""
    with TemporaryDirectory() as folder:
        jobs = {count: Path(folder) / f"job-{count}.yaml" for count in COUNTS}
        for count, path in jobs.items():
            path.write_text(job_text(count), encoding="utf-8")
        print(f"{'walls':>6} {'cores':>5} {'papers':>6}" + "".join(f"{step:>10}" for step in STEPS), end="")
        print(f"{'total':>10}{'per wall':>11}{'peak':>10}")
        svg = {count: measure(path, count, workers=1, papers="svg") for count, path in jobs.items()}
        hundred = measure(jobs[100], 100, workers=1, papers="pdf")
        measure(jobs[100], 100, workers=2, papers="all")
        thousand = measure(jobs[1000], 1000, workers=2, papers="pdf")
        demo = demo_judged()
        starts = {
            name: quickest(*words)
            for name, *words in (
                ("--help", "--help"),
                ("check", "check", jobs[10]),
                ("check demo", "check", DEMO),
            )
        }
    flat = per_wall_ms(svg[1000], "set out") / per_wall_ms(svg[100], "set out")
    goals = (
        ("1,000 walls, job file to layout, takeoff, SVG, one core [s]", total(svg[1000]), 10.0),
        ("time per wall set out, 1,000 walls over 100 [ratio]", flat, 1.2),
        ("a wall with its printed sheets, of 100, one core [ms]", total(hundred) * 10, 100.0),
        ("memory of all processes, 1,000 walls, printed sheets [MiB]", thousand["peak_mib"], 1024.0),
        ("the demo judged: heat, moisture, sound, frame, processor time [s]", demo, 30.0),
        ("innerleaf --help [s]", starts["--help"], 0.15),
        ("innerleaf check, 10 walls [s]", starts["check"], 0.3),
        ("innerleaf check, the demo [s]", starts["check demo"], 0.3),
    )
    print(f"\n{'goal':<62}{'found':>9}{'at most':>9}")
    for name, found, most in goals:
        print(f"{name:<62}{found:>9.2f}{most:>9.1f}  {'' if found <= most else 'missed'}")
    return int(any(found > most for _, found, most in goals))


def measure(job: Path, walls: int, *, workers: int, papers: str) -> dict[str, Any]:
    """Measure one run in a child and print its line."""
    command = [
        sys.executable,
        str(HERE / "measure.py"),
        str(job),
        "--workers",
        str(workers),
        "--papers",
        papers,
    ]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    peak = 0.0
    while process.poll() is None:
        peak = max(peak, memory_mib(process.pid))
        sleep(0.05)
    out, errors = process.communicate()
    if process.returncode:
        sys.exit(errors)
    said: dict[str, Any] = json.loads(out) | {"peak_mib": peak}
    print(f"{walls:>6} {workers:>5} {papers:>6}", end="")
    print("".join(f"{said['seconds'][step]:>8.2f} s" for step in STEPS), end="")
    print(
        f"{total(said):>8.2f} s{total(said) / walls * 1000:>8.1f} ms{said['peak_mib']:>6.0f} MiB", flush=True
    )
    return said


def demo_judged() -> float:
    """Processor time to judge the demo's walls, one worker, everything compiled. [s]"""
    command = [sys.executable, "-c", JUDGE, str(DEMO)]
    runs = [subprocess.run(command, capture_output=True, text=True, check=True) for _ in range(2)]
    return min(float(run.stdout) for run in runs)


def memory_mib(session: int) -> float:
    """Memory of all processes of a session, shared pages counted for each of them. [MiB]

    Zero where there is no /proc: only Linux tells.
    """
    pages = 0
    for process in Path("/proc").glob("[0-9]*"):
        try:
            after_name = (process / "stat").read_text().rpartition(")")[2].split()
        except OSError:  # it has just ended
            continue
        if int(after_name[3]) == session:
            pages += int(after_name[21])
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20


def total(said: dict[str, Any]) -> float:
    """Seconds of all steps, the loading of libraries included."""
    return float(sum(said["seconds"].values()))


def per_wall_ms(said: dict[str, Any], step: str) -> float:
    """Milliseconds of one step for each wall."""
    return float(said["seconds"][step] / said["walls"] * 1000)


def quickest(*words: object) -> float:
    """Least seconds of some runs of the command line: what it takes when nothing disturbs it."""
    times = []
    for _ in range(REPEATS):
        begin = perf_counter()
        subprocess.run([*INNERLEAF, *map(str, words)], capture_output=True, check=True)
        times.append(perf_counter() - begin)
    return min(times)


if __name__ == "__main__":
    sys.exit(main())
