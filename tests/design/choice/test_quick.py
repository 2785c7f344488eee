"""Linings that the reduced models do not know are found out and stay near their full solves."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.design.choice.small import PRICES, brick_wall, small_practice

from innerleaf.design.choice import quick
from innerleaf.design.choice.catalogue import buyable
from innerleaf.design.choice.cross import Cross, cross_of
from innerleaf.design.choice.generate import Extent, generate
from innerleaf.design.choice.heat import Bridging, Frames, frames_of, solved_in_full
from innerleaf.design.choice.trial import set_trials
from innerleaf.design.heat.quick import Linings, QuickU
from innerleaf.errors import InputError
from innerleaf.survey.wish import Wish


@pytest.fixture(scope="module")
def case() -> tuple[Cross, Frames]:
    """Studs before an empty or a part-filled cavity, eight packets of board, two spacings."""
    practice = small_practice(
        profiles=("CW-75", "UW-75"),
        boards=("board-A-9.5", "board-A-12.5", "board-A-15", "board-D-12.5"),
        insulation=("wool-50",),
    )
    wall, wish = brick_wall(), Wish(profile="CW-75", insulation_behind=(), membrane="")
    options = generate(wall, wish, buyable(practice, PRICES), practice, Extent(spacings=2, air_mm=()))
    return cross_of(wall, options, practice), frames_of(
        options, set_trials(wall, options, practice), practice
    )


def refuse_empty(linings: Linings) -> QuickU:
    """A reduced model that knows insulated frames only and says the same of all."""
    if (linings.frame[:, 1, 0] == 0).any():
        raise InputError("design", given="empty", accepted="insulated")
    clear = linings.u_clear
    return QuickU(low=clear + 0.01, high=clear + 0.03, frsi=np.full(len(clear), 0.9))


def test_what_the_models_do_not_know_is_found_and_solved(
    case: tuple[Cross, Frames], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Insulated ones keep the model's word; empty ones are within 2 % of their own full solve."""
    cross, frames = case
    solved: list[int] = []

    def counted(some: Cross, steel: Frames) -> Bridging:
        solved.append(len(steel.steel))
        return solved_in_full(some, steel)

    monkeypatch.setattr(quick, "quick_u", refuse_empty)
    monkeypatch.setattr(quick, "solved_in_full", counted)
    monkeypatch.setattr(quick, "_FEW", 0)
    found = quick.quick_or_full(cross, frames)

    filled = cross.inside.thickness > 0
    assert filled.any()
    assert not filled.all()
    assert np.allclose(found.psi[filled], 0.02 * frames.pitch[filled])
    assert np.allclose(found.psi_half[filled], 0.01 * frames.pitch[filled])
    empty = np.flatnonzero(~filled)
    assert sum(solved) <= 4 < len(empty)
    some = np.array([empty[1], empty[len(empty) // 2]])
    full = solved_in_full(cross.only(some), quick._frames_at(frames, some))
    assert np.allclose(found.psi[some], full.psi, rtol=0.02, atol=2e-4)
    assert (found.psi_half[some] >= 0).all()


def test_few_linings_are_solved_in_full(case: tuple[Cross, Frames], monkeypatch: pytest.MonkeyPatch) -> None:
    cross, frames = case
    few = np.array([0])

    def never(_linings: Any) -> QuickU:
        raise AssertionError("no family is made for one lining")

    monkeypatch.setattr(quick, "quick_u", never)
    found = quick.quick_or_full(cross.only(few), quick._frames_at(frames, few))

    assert found.psi == solved_in_full(cross.only(few), quick._frames_at(frames, few)).psi
