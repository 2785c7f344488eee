"""A profile of the catalogue as a beam: how stiff it is, and what moment it bears by calculation."""

from __future__ import annotations

from dataclasses import dataclass

from innerleaf.physics.frame.effective import Effective, Steel, bending, web_pressed
from innerleaf.physics.frame.section import c_shape, core_thickness, properties
from innerleaf.practice.model import Profile, ProfileUse
from innerleaf.practice.structure import Structure


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One member made of a profile or of two alike, bent across the wall.

    Resistances are of the stud alone: with the yield to be expected, its standard deviation, and with the
    least yield a profile may have. ``outside``: why EN 1993-1-3 does not cover it.
    """

    profile: str
    count: int
    stiffness: float  # EI [N·m²]
    second_moment: float  # I [m⁴]
    modulus: float  # effective, at the expected yield [m³]
    resistance: float  # [N·m]
    resistance_spread: float  # [N·m]
    resistance_least: float  # [N·m]
    core: float  # thickness of the steel [m]
    outside: tuple[str, ...]

    @property
    def name(self) -> str:
        """Such as "CW-75" or "2 × CW-75"."""
        return self.profile if self.count == 1 else f"{self.count} × {self.profile}"


def bar_of(profile: Profile, structure: Structure, count: int = 1) -> Bar:
    """A profile as a beam across the wall; two of them share their load.

    Studs bend about their major axis, the web across the wall; channels, whose web lies under the board,
    about their minor one. Deflections are those of the whole section in its core of steel.
    """
    steel = structure.steel["strip"]
    fold = structure.folds[profile.use.value]
    sheet = profile.sheet_mm / 1000
    core = float(core_thickness(sheet, steel.zinc_g_m2 / 1000))
    channel = profile.use == ProfileUse.CHANNEL
    web, flange = (
        (profile.face_mm, profile.depth_mm)
        if channel
        else (profile.depth_mm - fold.web_short_mm, profile.face_mm)
    )
    size = {
        "web": web / 1000,
        "flange": flange / 1000,
        "other_flange": flange / 1000 - fold.flanges_differ_sheets * sheet,
        "lip": profile.lip_mm / 1000,
        "radius": fold.inner_radius_mm / 1000,
    }
    shape, whole = c_shape(sheet=sheet, **size), properties(c_shape(sheet=core, **size))
    second = float(whole.i_minor if channel else whole.i_major)

    def bears(strength: float) -> Effective:
        """The effective section that bears least, whichever way the member is bent."""
        made = Steel(yield_strength=strength * 1e6, elasticity=steel.elasticity_n_mm2 * 1e6)
        ways = (
            [web_pressed(shape, core, made)]
            if channel
            else [bending(shape, core, made, flange_1_pressed=first) for first in (True, False)]
        )
        return min(ways, key=lambda way: way.resistance)

    mean, spread = steel.yield_mean_n_mm2, steel.yield_spread_n_mm2
    expected = bears(mean)
    return Bar(
        profile=profile.id,
        count=count,
        stiffness=count * second * steel.elasticity_n_mm2 * 1e6,
        second_moment=count * second,
        modulus=count * min(expected.modulus_pressed, expected.modulus_pulled),
        resistance=count * expected.resistance,
        resistance_spread=count * (bears(mean + spread).resistance - bears(mean - spread).resistance) / 2,
        resistance_least=count * bears(steel.yield_least_n_mm2).resistance,
        core=core,
        outside=expected.outside,
    )
