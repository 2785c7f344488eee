"""Whether linings hold through the years: each case once, for those that are still to be chosen among."""

from __future__ import annotations

from innerleaf.design.moisture.transient import settle
from innerleaf.design.moisture.transient_case import Case, case_of
from innerleaf.design.moisture.transient_years import Settled
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.weather import Weather
from innerleaf.practice.model import Practice


class SettledYears:
    """What the years say of plans at one site."""

    def __init__(self, practice: Practice, weather: Weather) -> None:
        self.practice, self.weather = practice, weather
        self._known: dict[Case, Settled] = {}

    def __call__(self, plan: WallPlan) -> Settled | str:
        """Of the lining of a plan; or why the wall is not followed.

        Raises
        ------
        InputError
            Insulation is thicker than the room for it, or a value of a layer cannot be.
        """
        case = case_of(plan, self.practice, self.weather)
        if isinstance(case, str):
            return case
        if case not in self._known:
            self._known[case] = settle(case, self.weather)
        return self._known[case]
