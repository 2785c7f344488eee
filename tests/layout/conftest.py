"""What the tests of the layout share."""

from __future__ import annotations

import pytest
from tests.layout.plain import BRACKETED, FREE, everyday_wall, plan

from innerleaf.layout.pieces import WallPlan
from innerleaf.survey.wall import Way


@pytest.fixture(scope="session")
def plans() -> dict[Way, WallPlan]:
    """The everyday wall set out both ways."""
    return {way: plan(everyday_wall(way)) for way in (BRACKETED, FREE)}
