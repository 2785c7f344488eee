"""Fifty people at once: a server with demo buildings, and people who look round as people do.

Each goes from the jobs to a building, a wall, its proof, the material and the history, and looks at each
page for a few seconds. A page brings what its scripts ask for; files and pages that a browser would have kept
are asked for with their tag only. Prints requests per second, the time that answers took, and the server's
processor time.
"""

from __future__ import annotations

import asyncio
import random
import re
import sys
from collections import defaultdict
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

import httpx2 as httpx
from benchmarks.pages import processor_ms, serving

PEOPLE = 50
SECONDS = 40.0
THINK_S = (2.0, 6.0)
JOBS = 3
GOAL_MS = 300.0
_FILES = re.compile(r'(?:href|src)="(/static/[^"]+)"')


def main() -> int:
    """Run everything; 1 if the goal is missed."""
    with TemporaryDirectory() as folder, serving(Path(folder)) as (address, pid):
        return asyncio.run(_all(address, pid))


async def _all(address: str, pid: int) -> int:
    times: dict[str, list[float]] = defaultdict(list)
    async with httpx.AsyncClient(base_url=address, timeout=600) as first:
        jobs = [(await first.post("/api/jobs/demo")).json()["id"] for _ in range(JOBS)]
        walls = [one["id"] for one in (await first.get(f"/api/jobs/{jobs[0]}")).json()["walls"]]
        small = (await first.post("/api/jobs/blank")).json()["id"]
        wall = (await first.get(f"/api/jobs/{small}")).json()["walls"][0]["id"]
        await worked_out(first, small, {"kind": "numbers"})
        await worked_out(first, small, {"kind": "proof", "wall": wall})
    before, begin = processor_ms(pid)[0], perf_counter()
    there = (small, wall)
    ready = [Person(address, jobs, walls, there, times, number) for number in range(PEOPLE)]
    await asyncio.gather(*(person.looks_round(begin + SECONDS) for person in ready))
    took, busy = perf_counter() - begin, processor_ms(pid)[0] - before
    count = sum(map(len, times.values()))
    print(f"{'':<12}{'asked':>8}{'p50':>9}{'p95':>9}   [ms]")
    for name, some in sorted(times.items()):
        print(f"{name:<12}{len(some):>8}{median(some):>9.1f}{_p95(some):>9.1f}")
    pages = [one for name, some in times.items() if name not in ("files", "data") for one in some]
    found = _p95(pages)
    print(f"{PEOPLE} people, {count / took:.1f} requests/s, {busy / count:.1f} ms of processor each")
    print(f"pages: p50 {median(pages):.1f} ms, p95 {found:.1f} ms, goal {GOAL_MS:.0f} ms")
    return int(found > GOAL_MS)


async def worked_out(client: httpx.AsyncClient, job: str, asked: dict[str, str]) -> None:
    """Have numbers worked out that people then look at."""
    run = (await client.post(f"/api/jobs/{job}/runs", json=asked)).json()["id"]
    while (state := (await client.get(f"/api/runs/{run}")).json()["state"]) != "done":
        if state in ("failed", "stopped"):
            sys.exit(f"{asked}: {state}")
        await asyncio.sleep(0.5)


class Person:
    """Somebody with a browser of their own, which keeps what it may keep."""

    def __init__(
        self,
        address: str,
        jobs: list[str],
        walls: list[str],
        worked_out: tuple[str, str],
        times: dict[str, list[float]],
        number: int,
    ) -> None:
        self.client = httpx.AsyncClient(base_url=address, timeout=60)
        self.jobs, self.walls, self.worked_out, self.times = jobs, walls, worked_out, times
        self.chance = random.Random(number)
        self.tags: dict[str, str] = {}
        self.kept: set[str] = set()

    async def looks_round(self, until: float) -> None:
        """Go from page to page until it is late."""
        await asyncio.sleep(self.chance.uniform(0, THINK_S[1]))
        async with self.client:
            while perf_counter() < until:
                for name, path, data in self._way():
                    await self._opens(name, path, data)
                    await asyncio.sleep(self.chance.uniform(*THINK_S))
                    if perf_counter() > until:
                        break

    def _way(self) -> list[tuple[str, str, list[tuple[str, str, dict[str, str] | None]]]]:
        job, wall = self.chance.choice(self.jobs), self.chance.choice(self.walls)
        known, proved = self.worked_out
        there, proof = f"/jobs/{known}", {"kind": "proof", "wall": proved}
        return [
            ("jobs", "/", []),
            ("building", f"/jobs/{job}", [("GET", f"/api/jobs/{job}/states", None)]),
            ("wall", f"/jobs/{job}/walls/{wall}", []),
            ("proof", f"{there}/walls/{proved}/proof", [("POST", f"/api{there}/runs", proof)]),
            ("material", f"{there}/numbers/material", [("POST", f"/api{there}/runs", {"kind": "numbers"})]),
            ("history", f"/jobs/{job}/history", []),
        ]

    async def _opens(self, name: str, path: str, data: list[tuple[str, str, dict[str, str] | None]]) -> None:
        body = await self._asks(name, "GET", path)
        files = [file for file in _FILES.findall(body) if file not in self.kept]
        await asyncio.gather(*(self._asks("files", "GET", file) for file in files))
        await self._asks("data", "GET", "/api/me")
        for method, address, asked in data:
            answer = await self._asks("data", method, address, asked)
            run = re.search(r'"id":\s*"(\w+)"', answer) if method == "POST" else None
            if run:
                tab = "material" if name == "material" else ""
                await self._asks("data", "GET", f"/runs/{run[1]}/report?tab={tab}")

    async def _asks(self, name: str, method: str, path: str, asked: dict[str, str] | None = None) -> str:
        headers = {"If-None-Match": self.tags[path]} if path in self.tags else {}
        begin = perf_counter()
        answer = await self.client.request(method, path, json=asked, headers=headers)
        self.times[name].append((perf_counter() - begin) * 1000)
        if answer.status_code not in (200, 202, 304):
            sys.exit(f"{method} {path}: {answer.status_code}")
        if "etag" in answer.headers:
            self.tags[path] = answer.headers["etag"]
        if "immutable" in answer.headers.get("cache-control", ""):
            self.kept.add(path)
        return answer.text


def _p95(some: list[float]) -> float:
    return sorted(some)[int(0.95 * len(some))]


if __name__ == "__main__":
    sys.exit(main())
