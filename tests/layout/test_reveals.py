"""Reveal boards of one opening meet without sharing a corner."""

from __future__ import annotations

import pytest
from tests.layout.plain import plan, wall, window

from innerleaf.survey.wall import OpeningKind


@pytest.mark.parametrize("kind", list(OpeningKind))
def test_reveal_boards_do_not_share_corners(kind: OpeningKind) -> None:
    """Head and sill between the sides, two boards of 12.5 shorter; a niche's sides in front of its back."""
    opening = window(1500, kind=kind, sill=0 if kind == OpeningKind.DOOR else 900)
    some = plan(wall(openings=(opening,)))
    depth = 180 + some.build_up.total_mm

    sizes = {p.plane.removeprefix("N1 "): (p.width_mm, p.length_mm) for p in some.boards if p.plane != "face"}

    assert sizes.pop("back", None) == ((1200, 1200) if kind == OpeningKind.NICHE else None)
    # The back of a niche takes 12.5 of the depth; cut sizes are whole millimetres.
    deep = depth - 12 if kind == OpeningKind.NICHE else depth
    assert sizes.pop("left") == sizes.pop("right") == (deep, 1200)
    assert sizes.pop("head") == (deep, 1175)
    assert sizes.pop("sill", None) == (None if kind == OpeningKind.DOOR else (deep, 1175))
    assert not sizes
