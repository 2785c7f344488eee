"""What all tests share."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import NoReturn

import pytest

from innerleaf.threads import one_thread_each

one_thread_each()  # before anything loads numpy: tests run in several processes

ROOT = Path(__file__).parents[1]


def need_tool(program: str) -> str:
    """The path of a system program. Without it the test is skipped, but under CI it fails."""
    path = shutil.which(program)
    if path is None:
        missing(program)
    return path


def missing(what: str) -> NoReturn:
    """Skip the test that needs what is not installed; under CI it fails."""
    reason = f"{what} is not installed; `make tools` says how to get it"
    if os.environ.get("CI"):
        pytest.fail(reason)
    pytest.skip(reason)
