"""Is the old wall damp? A damp wall is not lined before its cause is cured."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.findings import Finding
from innerleaf.practice.model import Rules
from innerleaf.practice.moisture import water_of
from innerleaf.survey.wall import Wall

NOT_TO_BE_LINED = "not to be lined until the cause is cured"
_USUAL = "brick-1800"  # stands in where nothing is known of the wall's own water


@dataclass(frozen=True, slots=True)
class Soaking:
    """Water found in an old wall, held against what it takes up by suction."""

    material: str  # whose figures these are
    reading_percent: float  # of the dry mass
    held_kg_m3: float
    free_kg_m3: float

    @property
    def percent(self) -> float:
        """Degree of soaking."""
        return 100 * self.held_kg_m3 / self.free_kg_m3


def soaking(wall: Wall) -> Soaking | None:
    """How soaked the thickest layer of the old wall is by the reading of the survey, if there is one."""
    if wall.moisture_reading_percent is None:
        return None
    known = [layer for layer in wall.construction if water_of(layer.material)]
    thickest = max(known, key=lambda layer: layer.thickness_mm).material if known else _USUAL
    water = water_of(thickest)
    assert water
    held = wall.moisture_reading_percent / 100 * water.density_kg_m3
    return Soaking(water.id, wall.moisture_reading_percent, held, water.water_free_kg_m3)


def damp_findings(wall: Wall, rules: Rules) -> list[Finding]:
    """One finding if the survey found the wall damp, by eye or by a reading above the limit."""
    found = soaking(wall)
    reasons = ["the survey found the wall damp"] if wall.damp else []
    if found and found.percent >= rules.damp_from_percent:
        reasons.append(
            f"{found.reading_percent:g} % of its dry mass is {found.held_kg_m3:.0f} kg/m³,"
            f" {found.percent:.0f} % of what {found.material} takes up by suction; below"
            f" {rules.damp_from_percent} % wanted"
        )
    if not reasons:
        return []
    return [
        Finding(
            code="H111",
            wall=wall.id,
            rule="damp",
            text=f"{NOT_TO_BE_LINED}: {'; '.join(reasons)}. Its parts stand in the takeoff:"
            " hold them back until then",
            remedy="find and cure the cause, let the wall dry, measure again; then mend the job's survey",
        )
    ]
