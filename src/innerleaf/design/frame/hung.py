"""What is hung on a lining: cupboards, basins, shelves and radiators, each with its lever arm."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.layout.pieces import WallPlan
from innerleaf.physics.frame.anchors import GRAVITY, couple_force
from innerleaf.survey.wall import ObstacleKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """A thing on the lining, from ``x0`` to ``x1``; ``y`` is the height of its upper fixings. [mm, kg]"""

    id: str
    mass: float
    reach: float  # of its centre of mass from the face
    x0: float
    x1: float
    y: float
    radiator: bool

    @property
    def width(self) -> float:
        """Along the wall. [mm]"""
        return self.x1 - self.x0

    @property
    def weight(self) -> float:
        """Its weight. [N]"""
        return self.mass * GRAVITY

    @property
    def per_metre(self) -> float:
        """Weight to a metre of wall. [N/m]"""
        return self.weight / self.width * 1000

    def counted(self, reach_mm: float) -> float:
        """Weight to a metre as if it hung ``reach_mm`` from the face, where it hangs farther out. [N/m]"""
        return self.per_metre * max(1.0, self.reach / reach_mm)

    def pull(self, arm_mm: float, *, behind_mm: float = 0.0) -> float:
        """Pull of its upper fixings on what lies ``behind_mm`` the face, an arm above the lower ones. [N]"""
        return float(couple_force(self.weight, (self.reach + behind_mm) / 1000, arm_mm / 1000))


def hung_on(plan: WallPlan) -> tuple[Hung, ...]:
    """Everything hung on the lining of a wall; a radiator's centre of mass lies in its middle."""
    loads = [
        Hung(
            id=load.id,
            mass=load.mass_kg,
            reach=load.depth_mm,
            x0=load.x_mm,
            x1=load.x_mm + load.width_mm,
            y=load.y_mm,
            radiator=False,
        )
        for load in plan.wall.loads
    ]
    radiators = [
        Hung(
            id=o.id,
            mass=o.mass_kg,
            reach=o.projection_mm / 2,
            x0=o.x_mm,
            x1=o.x_mm + o.width_mm,
            y=o.y_mm + o.height_mm,
            radiator=True,
        )
        for o in plan.wall.obstacles
        if o.kind == ObstacleKind.RADIATOR and o.mass_kg > 0
    ]
    return (*loads, *radiators)
