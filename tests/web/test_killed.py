"""A server killed in the middle of a save loses nothing that it acknowledged."""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
import time
from pathlib import Path

import httpx2 as httpx

from innerleaf.store.engine import open_store
from innerleaf.store.history import revisions, verify

_KILLS = int(os.environ.get("INNERLEAF_KILLS", "3"))


def _start(folder: Path) -> tuple[subprocess.Popen[str], str]:
    command = [str(Path(sys.executable).with_name("innerleaf")), "serve", "--port", "0"]
    environment = os.environ | {"XDG_DATA_HOME": str(folder)}
    server = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)
    assert server.stdout
    found = re.search(r"http://[\d.:]+", server.stdout.readline())
    assert found
    return server, found[0]


def test_what_was_acknowledged_is_there_after_a_kill(tmp_path: Path) -> None:
    chance = random.Random(7)
    job, acknowledged = "", 1
    for _ in range(_KILLS):
        server, url = _start(tmp_path)
        try:
            with httpx.Client(base_url=url, timeout=30) as client:
                if not job:
                    job = client.post("/api/jobs/blank").json()["id"]
                wall = client.get(f"/api/jobs/{job}").json()["walls"][0]["id"]
                acknowledged = client.get(f"/api/jobs/{job}").json()["revision"]["number"]
                until = time.monotonic() + chance.uniform(0.2, 1.2)
                while time.monotonic() < until:
                    asked = {"base": acknowledged, "value": f"name {acknowledged}"}
                    acknowledged = client.put(f"/api/jobs/{job}/walls/{wall}/name", json=asked).json()[
                        "revision"
                    ]
        finally:
            server.kill()
            server.communicate()
        store = open_store(f"sqlite:///{tmp_path / 'innerleaf' / 'store.db'}")
        numbers = [line.number for line in revisions(store, job)]
        assert numbers == list(range(len(numbers), 0, -1))
        assert len(numbers) >= acknowledged
        assert verify(store) == ()
        store.dispose()
    assert acknowledged > _KILLS
