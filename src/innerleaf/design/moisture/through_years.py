"""All walls of a building through the years: each distinct case once, then what its walls take from it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from innerleaf.design.climate import SiteClimate
from innerleaf.design.moisture.retarder import lacks_retarder, retarder_finding, with_membranes
from innerleaf.design.moisture.transient import follow_all
from innerleaf.design.moisture.transient_case import Case, case_of
from innerleaf.design.moisture.transient_years import MoistureYears
from innerleaf.design.performance import Performance
from innerleaf.errors import about
from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.weather import Weather
from innerleaf.practice.model import Practice

_NO_WEATHER = "the job gives no weather of the site, nor its temperature and humidity by the month"


class Followed:
    """The years of every wall that can be followed; ``tell`` hears how many cases are done, of how many."""

    def __init__(
        self,
        plans: Sequence[WallPlan],
        practice: Practice,
        weather: Weather | None,
        *,
        workers: int = 1,
        tell: Callable[[int, int], None] = lambda _done, _of: None,
    ) -> None:
        self.practice, self.weather, self.workers = practice, weather, workers
        self._known: dict[Case, MoistureYears] = {}
        self.learn(plans, tell)

    def learn(
        self, plans: Sequence[WallPlan], tell: Callable[[int, int], None] = lambda _done, _of: None
    ) -> None:
        """Follow the cases of these plans that are not known yet."""
        new = [case for case in map(self._case, plans) if isinstance(case, Case) and case not in self._known]
        if self.weather and new:
            self._known |= follow_all(new, self.weather, workers=self.workers, tell=tell)

    def years(self, plan: WallPlan) -> MoistureYears | str:
        """The years of a plan, or why it has none."""
        case = self._case(plan)
        return case if isinstance(case, str) else self._known[case]

    def _case(self, plan: WallPlan) -> Case | str:
        if self.weather is None:
            return _NO_WEATHER
        with about(f"wall {plan.wall.id} ({plan.wall.room})"):
            return case_of(plan, self.practice, self.weather)


def completed(
    plans: Sequence[WallPlan],
    performances: Sequence[Performance],
    practice: Practice,
    climate: SiteClimate | None,
    followed: Followed,
) -> list[Performance]:
    """The performances with what only all walls together tell.

    Each gets the name of its case and the walls that share it; those of walls that lack a vapour control
    layer get the finding that says which to add.
    """
    lacking = {
        plan.wall.id: plan
        for plan, performance in zip(plans, performances, strict=True)
        if lacks_retarder(plan, performance.verdicts)
    }
    followed.learn([other for plan in lacking.values() for other in with_membranes(plan, practice).values()])

    def years_of(plan: WallPlan) -> MoistureYears | None:
        years = followed.years(plan)
        return None if isinstance(years, str) else years

    sharing: dict[Case, list[str]] = {}
    for performance in performances:
        if performance.years:
            sharing.setdefault(performance.years.case, []).append(performance.wall)
    names = {case: f"M{number}" for number, case in enumerate(sharing, 1)}
    done = []
    for performance in performances:
        if performance.years:
            case = performance.years.case
            performance = replace(performance, case_id=names[case], case_walls=tuple(sharing[case]))
        if performance.wall in lacking:
            plan = lacking[performance.wall]
            finding = retarder_finding(plan, practice, climate, years_of, performance.verdicts)
            performance = replace(performance, told=(*performance.told, finding))
        done.append(performance)
    return done
