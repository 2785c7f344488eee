"""Whatever a job file holds, reading ends with a job or with faults, never with anything else."""

from __future__ import annotations

import copy
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.conftest import ROOT
from tests.job.test_types_and_defaults import FLATS
from tests.job.two_rooms import TWO_ROOMS, lines

from innerleaf.job.read import check_job
from innerleaf.job.starter import starter_text

BASES: list[Any] = [yaml.safe_load(text) for text in (TWO_ROOMS, FLATS, starter_text())]

values = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**7), 10**7),
    st.floats(-1e6, 1e6),
    st.text(alphabet="aZ09.-_ '\"é\u2028", max_size=50),
    st.sampled_from(
        ["choose", "none", "outer", "warm", "W-01", "bed2", "A", "2.6 m", "open end", "door", "column"]
    ),
    st.lists(st.integers(-3000, 9000), max_size=4),
    st.lists(st.lists(st.integers(-3000, 9000), min_size=2, max_size=2), min_size=2, max_size=7),
    st.dictionaries(
        st.sampled_from(["x", "y", "id", "type", "length", "boards"]), st.integers(-9, 9), max_size=3
    ),
)
keys = st.sampled_from(
    ["outline", "dado", "edges", "offsets", "lining", "type", "storey", "flats", "walls", "zzz"]
)


def places(value: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The place of every value in a tree."""
    steps = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [at, *(place for step, part in steps for place in places(part, (*at, step)))]


def change(data: st.DataObject, tree: Any) -> Any:
    """Put another value in one place, take one out, add a field, or say an item twice."""
    place = data.draw(st.sampled_from(places(tree)))
    if not place:
        return tree
    around = tree
    for step in place[:-1]:
        around = around[step]
    match data.draw(st.sampled_from(["put", "put", "take", "add", "twice"])):
        case "take":
            del around[place[-1]]
        case "add" if isinstance(around, dict):
            around[data.draw(keys)] = data.draw(values)
        case "twice" if isinstance(around, list):
            around.append(copy.deepcopy(around[place[-1]]))
        case _:
            around[place[-1]] = data.draw(values)
    return tree


# `lines` lets every error through but the faults of a job file.


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_a_job_changed_anywhere_is_read_or_refused_with_places(data: st.DataObject) -> None:
    tree = copy.deepcopy(data.draw(st.sampled_from(BASES)))
    for _ in range(data.draw(st.integers(1, 4))):
        tree = change(data, tree)

    assert all(line.startswith("mill.yaml:") for line in lines(json.dumps(tree)))


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2), st.integers(0, 3000), st.integers(0, 40), st.text(max_size=12))
def test_a_text_cut_and_patched_anywhere_is_read_or_refused(
    which: int, at: int, cut: int, patch: str
) -> None:
    text = (TWO_ROOMS, FLATS, starter_text())[which]
    at %= len(text)

    assert all(line.startswith("mill.yaml:") for line in lines(text[:at] + patch + text[at + cut :]))


@pytest.mark.parametrize("path", ["missing.yaml", "."])
def test_a_file_that_cannot_be_read_is_a_fault(path: str, tmp_path: Path) -> None:
    assert len(check_job(tmp_path / path)) == 1


@pytest.mark.parametrize("job", ["src/innerleaf/job/starter.yaml", "examples/demo/job.yaml"])
def test_checking_loads_no_heavy_library(job: str) -> None:
    """`innerleaf check` answers at once; pydantic is the only library of weight it may load."""
    program = (
        "import sys; from innerleaf.cli import commands;"
        f"commands.main(['check', {str(ROOT / job)!r}], standalone_mode=False);"
        "print([m for m in ('numpy', 'scipy', 'numba', 'shapely', 'typst', 'ezdxf', 'xlsxwriter', 'rich')"
        " if m in sys.modules])"
    )

    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)

    assert done.stdout.splitlines()[-1] == "[]"
