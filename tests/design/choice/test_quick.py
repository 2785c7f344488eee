"""Linings judged together stay near their full solves; the disk keeps what was found."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.design.choice.small import PRICES, brick_wall, small_practice

from innerleaf.design.choice import quick
from innerleaf.design.choice.catalogue import buyable
from innerleaf.design.choice.cross import Cross, cross_of
from innerleaf.design.choice.generate import Extent, generate
from innerleaf.design.choice.heat import Frames, frames_of, solved_in_full
from innerleaf.design.choice.trial import set_trials
from innerleaf.survey.wall import Way
from innerleaf.survey.wish import Wish


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing from another run."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))


def case(way: Way, **wish: object) -> tuple[Cross, Frames]:
    practice = small_practice(
        profiles=("CW-75", "UW-75", "CD-60-27", "UD-28-27"),
        boards=("board-A-12.5", "board-D-12.5"),
        insulation=("wool-50",),
    )
    wall, asked = brick_wall(), Wish(way=way, membrane="", **wish)  # type: ignore[arg-type]
    options = generate(wall, asked, buyable(practice, PRICES), practice, Extent(spacings=2, air_mm=()))
    frames = frames_of(options, set_trials(wall, options, practice), practice)
    return cross_of(wall, options, practice), frames


def at(frames: Frames, rows: list[int]) -> Frames:
    return replace(frames, steel=frames.steel[rows], bridge=frames.bridge[rows], pitch=frames.pitch[rows])


@pytest.mark.parametrize(
    ("way", "wish", "rows", "near"),
    [
        (Way.STUD_AND_TRACK, {}, [0, 5, 17, 30], 3e-4),  # empty and filled cavities, one layer and two
        (Way.BRACKETED, {"insulation": ("wool-50",), "boards": ("board-A-12.5",)}, [1], 1e-3),
    ],
)
def test_judged_together_as_solved_alone(
    way: Way, wish: dict[str, object], rows: list[int], near: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(quick, "_FEW", 1)
    cross, frames = case(way, **wish)
    found = quick.quick_or_full(cross, frames)
    full = solved_in_full(cross.only(np.array(rows)), at(frames, rows))
    assert len(frames.steel) > len(rows)
    pitch = frames.pitch[rows]

    def heat(psi: np.ndarray, chi: np.ndarray) -> np.ndarray:
        return np.asarray(cross.transmittance()[rows] + psi / pitch + chi / pitch / frames.rise)

    assert np.allclose(heat(found.psi[rows], found.chi[rows]), heat(full.psi, full.chi), rtol=near)
    assert np.allclose(found.factor[rows], full.factor, atol=0.007)


def test_the_second_time_comes_from_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    cross, frames = case(Way.STUD_AND_TRACK)
    first = quick.quick_or_full(cross, frames)
    monkeypatch.delattr(quick, "bounds_of_given")
    second = quick.quick_or_full(cross, frames)

    assert (first.psi == second.psi).all()
    assert (first.factor == second.factor).all()


def test_few_linings_are_solved_in_full(monkeypatch: pytest.MonkeyPatch) -> None:
    cross, frames = case(Way.STUD_AND_TRACK)
    monkeypatch.delattr(quick, "bounds_of_given")
    found = quick.quick_or_full(cross.only(np.array([0])), at(frames, [0]))

    assert found.psi == solved_in_full(cross.only(np.array([0])), at(frames, [0])).psi
