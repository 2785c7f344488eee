"""What would keep a cold edge warm: tried out, not guessed.

Each detail that is too cold is solved again with every insulation of the practice set that can lie on its
reveal or flank, the thinnest first.
"""

from __future__ import annotations

from collections.abc import Iterator

from innerleaf.design.buildup import depth_of, insulation_layer
from innerleaf.design.heat.assess import warm_side
from innerleaf.design.heat.details import ROOM, Detail
from innerleaf.design.heat.edges import FLOOR, REVEAL, Edge, edges_of
from innerleaf.design.heat.wall import Heat, steel_of
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Insulation, Practice


def surface_remedy(plan: WallPlan, practice: Practice, heat: Heat, limit: float, share: float) -> str:
    """One sentence on every detail whose surface is colder than asked for, the coldest first.

    ``limit`` and what is said are temperature factors against outside air; ``share`` is the temperature
    difference beyond the wall as a share of that to outside.
    """

    def factor(frsi: float) -> float:
        return 1 - share * (1 - frsi)

    edges: dict[tuple[Detail, str], Edge] = {}
    for edge in edges_of(plan, practice, depth_of(plan, practice), steel_of(plan, practice)):
        key = (edge.after, edge.place)
        if key not in edges or edge.room < edges[key].room:
            edges[key] = edge
    said = []
    for each in sorted(heat.details, key=lambda each: each.frsi):
        if factor(each.frsi) < limit:
            here = [edge for edge in edges.values() if edge.after == each.detail]
            told = [_tried(edge, practice, limit, share) for edge in here] or ["insulate behind the members"]
            said += [f"{each.detail.title} {factor(each.frsi):.3f}: {text}" for text in dict.fromkeys(told)]
    return "; ".join(said)


def _tried(edge: Edge, practice: Practice, limit: float, share: float) -> str:
    """The thinnest insulation that is enough, or how far the thickest falls short."""
    if edge.covered is None:
        where = "at the floor" if edge.place == FLOOR else "here"
        return f"no strip of insulation goes {where}; have the detail proved"
    where = "in the reveal" if edge.place == REVEAL else f"on the flank over {_strip_mm(practice)} mm"
    best = ("", -1.0)
    for item in _thinnest_first(practice):
        layer = insulation_layer(item)
        if layer.thickness > edge.room + 1e-9:
            continue
        frsi = warm_side(edge.covered(layer)).surface(ROOM).least
        value = 1 - share * (1 - frsi)
        if value >= limit:
            return f"{item.id} {where} gives {value:.3f}"
        best = max(best, (item.id, value), key=lambda tried: tried[1])
    if not best[0]:
        return "the window's frame leaves no room for insulation in the reveal"
    return f"{best[0]} {where}, the best there is, gives {best[1]:.3f}, {limit - best[1]:.3f} short"


def _thinnest_first(practice: Practice) -> Iterator[Insulation]:
    fit = (item for item in practice.insulation.values() if item.carries_board)
    yield from sorted(fit, key=lambda item: (item.thickness_mm, item.id))


def _strip_mm(practice: Practice) -> int:
    return practice.rules.flank_width_mm
