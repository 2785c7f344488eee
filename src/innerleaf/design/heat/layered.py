"""The values of ISO 6946 beside those solved: plane layers, and the combined method, with where they fail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from innerleaf.design.buildup import Depth, Layer, transmittance
from innerleaf.design.heat.details import Bridge, Steel
from innerleaf.physics import layers as iso

# Clause numbers from memory; that metal bridging insulation is left out was also read.
PLANE, COMBINED = "ISO 6946:2017 6.7.1", "ISO 6946:2017 6.7.2"


@dataclass(frozen=True, slots=True)
class Layered:
    """What ISO 6946 gives for a wall without solving it. [W/(m²·K)], [m²·K/W]

    ``plane`` takes the layers as if nothing bridged them; ``combined`` is from the mean of the upper and
    lower limit of resistance, ``error`` its greatest error as the standard reckons it, a fraction. The
    reasons say where the standard does not allow the value; none: it holds.
    """

    plane: float
    plane_fails: tuple[str, ...]
    combined: float
    upper: float
    lower: float
    error: float
    combined_fails: tuple[str, ...]


def layered(
    depth: Depth,
    steel: Steel,
    pitch: float,
    per_area: float,
    bridge: Bridge | None,
    inside: float,
    outside: float,
) -> Layered:
    """Both values for a lined wall.

    Parameters
    ----------
    depth, steel : Depth, Steel
        The layers clear of members, and the members that stand in the depth of the frame.
    pitch : float
        From member to member. [m]
    per_area, bridge : float, Bridge
        Brackets behind the frame: how many [1/m²], and what each is. None: there are none.
    inside, outside : float
        Surface resistances. [m²·K/W]

    Notes
    -----
    The steel of the frame is a path of its own through all of its depth: a web, or both legs of a channel.
    For the lower limit every layer is on its own. The straps of brackets are a path through what lies behind.
    """
    webs = 2 if steel.channel else steel.studs
    share = webs * steel.sheet / pitch
    straps = per_area * 2 * bridge.strap * bridge.sheet if bridge else 0.0
    ends = [iso.Layer.plain(each.resistance) for each in (*depth.old, *depth.boards)]
    ends += [_bridged([each], straps, steel.conductivity) for each in depth.behind]
    split = [_bridged([each], share, steel.conductivity) for each in depth.frame]
    whole = [_bridged(depth.frame, share, steel.conductivity)] if depth.frame else []
    upper, lower = (
        iso.combined_method([*ends, *frame], surface_inside=inside, surface_outside=outside)
        for frame in (whole, split)
    )
    fails = iso.combined_fails(upper.upper, lower.lower, metal=any(each.metal for each in (*ends, *split)))
    both = iso.Combined(upper=upper.upper, lower=lower.lower, does_not_hold=fails)
    return Layered(
        plane=transmittance(depth.layers, inside, outside),
        plane_fails=(f"layers are bridged by steel ({PLANE}: for layers of one material)",),
        combined=both.u_value,
        upper=both.upper,
        lower=both.lower,
        error=both.error,
        combined_fails=tuple(f"{reason} ({COMBINED})" for reason in fails),
    )


def _bridged(parts: Sequence[Layer], share: float, conductivity: float) -> iso.Layer:
    """Layers with steel through a share of their area; metal where it is insulation that is bridged."""
    resistance = sum(part.resistance for part in parts)
    if not share:
        return iso.Layer.plain(resistance)
    steel = sum(part.thickness for part in parts) / conductivity
    paths = ((1 - share, resistance), (share, steel))
    return iso.Layer(paths=paths, metal=any(part.insulating for part in parts))
