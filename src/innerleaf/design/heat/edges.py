"""Every edge of a wall's lining with its detail, before and after, and what could cover it.

What the old wall meets is known by its kind only: its sizes and materials are those of ``junctions`` in
the practice set.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import hypot, inf

from innerleaf.design.buildup import Depth, Layer, board_layer, insulation_layer, thinned, transmittance
from innerleaf.design.heat.assess import RSE, RSI
from innerleaf.design.heat.details import Block, Detail, Steel
from innerleaf.design.heat.details_edges import (
    Cover,
    abutment,
    corner_into_room,
    corner_of_room,
    moved,
    niche,
    obstacle,
    reveal,
    roof_edge,
    stop,
)
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.survey.wall import Meets, Obstacle, ObstacleKind, Opening, OpeningKind

_BLOCKS = {
    Meets.MASONRY: "side-wall",
    Meets.PARTITION: "partition",
    Meets.SLAB: "slab",
    Meets.SCREED: "slab",
    Meets.CEILING: "slab",
}
REVEAL, FLANK, FLOOR = "reveal", "flank", "floor"


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge of so many metres: its detail lined, and that of the old wall.

    ``place`` says what can be done about it: insulate the reveal or the flank; nothing on a floor or
    elsewhere (""). ``covered`` makes the detail with other insulation, up to ``room`` metres thick.
    """

    length: float
    after: Detail
    before: Detail
    place: str = ""
    covered: Callable[[Layer], Detail] | None = None
    room: float = inf


@dataclass(frozen=True, slots=True)
class Back:
    """The old wall behind a niche: its area [m²], U lined and before [W/(m²·K)]."""

    area: float
    after: float
    before: float


def edges_of(plan: WallPlan, practice: Practice, depth: Depth, steel: Steel) -> Iterator[Edge]:
    """Every edge, in the order of outline, openings, columns and beams."""
    work = _Work(plan, practice, depth, steel)
    yield from work.outline()
    for opening in plan.wall.openings:
        yield work.niche(opening) if opening.kind == OpeningKind.NICHE else work.reveal(opening)
    for each in plan.wall.obstacles:
        if each.kind in (ObstacleKind.COLUMN, ObstacleKind.BEAM):
            yield from work.obstacle(each)


def backs_of(plan: WallPlan, practice: Practice, depth: Depth, steel: Steel) -> Iterator[Back]:
    """The plane wall behind every niche."""
    work = _Work(plan, practice, depth, steel)
    for opening in plan.wall.openings:
        if opening.kind == OpeningKind.NICHE:
            thin, cover = thinned(depth.old, opening.reveal_mm / 1000), work.reveal_cover(opening)
            yield Back(
                opening.width_mm * opening.height_mm / 1e6,
                transmittance((*thin, *(cover.layers if cover else ())), RSI, RSE),
                transmittance(thin, RSI, RSE),
            )


@dataclass(frozen=True, slots=True)
class _Work:
    """One wall's layers and steel, as its edges need them."""

    plan: WallPlan
    practice: Practice
    depth: Depth
    steel: Steel

    def outline(self) -> Iterator[Edge]:
        wall, depth, steel, bare = self.plan.wall, self.depth, self.steel, self.depth.bare()
        ring = wall.outline
        for number, (a, b) in enumerate(zip(ring, ring[1:] + ring[:1], strict=True)):
            meets, length = wall.meets[number], hypot(b[0] - a[0], b[1] - a[1]) / 1000
            if meets in _BLOCKS:
                yield self._abutment(number, self._block(_BLOCKS[meets]), length, floor=b[0] > a[0])
            elif meets == Meets.OPEN:
                yield Edge(length, stop(depth, steel), stop(bare, steel))
            elif meets == Meets.ROOF:
                roof = self._block("roof")
                yield Edge(length, roof_edge(depth, steel, roof), roof_edge(bare, steel, roof))
            elif meets == Meets.INNER_CORNER:  # half: the other half is the next wall's
                yield Edge(length / 2, corner_of_room(depth, steel), corner_of_room(bare, steel))
            elif meets == Meets.OUTER_CORNER:
                yield Edge(length / 2, corner_into_room(depth, steel), corner_into_room(bare, steel))

    def _abutment(self, number: int, block: Block, length: float, *, floor: bool) -> Edge:
        wall, bare = self.plan.wall, self.depth.bare()
        flank = wall.flank if number in wall.flanked else None
        width = (flank.width_mm if flank else self.practice.rules.flank_width_mm) / 1000

        def covered(insulation: Layer) -> Detail:
            cover = Cover(self._board, insulation, width)
            return abutment(self.depth, self.steel, block, cover)

        after = (
            covered(insulation_layer(self.practice.insulation[flank.item]))
            if flank
            else abutment(self.depth, self.steel, block)
        )
        before = abutment(bare, self.steel, block)
        return (
            Edge(length, after, before, FLOOR, None) if floor else Edge(length, after, before, FLANK, covered)
        )

    def reveal(self, opening: Opening) -> Edge:
        frame, recess = self._block("window-frame"), opening.reveal_mm / 1000
        cover, strip = self.reveal_cover(opening), opening.reveal_insulation_mm / 1000
        floor = min(y for _, y in self.plan.wall.outline)
        around = 2 * opening.height_mm + opening.width_mm * (1 + (opening.sill_mm > floor))

        def covered(insulation: Layer) -> Detail:
            return reveal(self.depth, self.steel, frame, recess, Cover(self._board, insulation))

        after = reveal(self.depth, self.steel, frame, recess, cover, strip)
        before = moved(reveal(self.depth.bare(), self.steel, frame, recess), strip)
        room = opening.frame_mm / 1000 - self._board.thickness if opening.frame_mm else inf
        return Edge(around / 1000, after, before, REVEAL, covered, room)

    def niche(self, opening: Opening) -> Edge:
        recess, half = opening.reveal_mm / 1000, min(opening.width_mm, opening.height_mm) / 2000
        cover, strip = self.reveal_cover(opening), opening.reveal_insulation_mm / 1000

        def covered(insulation: Layer) -> Detail:
            return niche(self.depth, self.steel, recess, half, Cover(self._board, insulation))

        after = niche(self.depth, self.steel, recess, half, cover, strip)
        before = moved(niche(self.depth.bare(), self.steel, recess, half), strip)
        around = 2 * (opening.width_mm + opening.height_mm) / 1000
        return Edge(around, after, before, REVEAL, covered)

    def obstacle(self, each: Obstacle) -> Iterator[Edge]:
        """The sides that lie inside the wall; each has its share of the width behind the obstacle."""
        ring = self.plan.wall.outline
        xs, ys = [x for x, _ in ring], [y for _, y in ring]
        left, right = max(each.x_mm, min(xs)), min(each.x_mm + each.width_mm, max(xs))
        low, high = max(each.y_mm, min(ys)), min(each.y_mm + each.height_mm, max(ys))
        free = (high - low) * ((left > min(xs)) + (right < max(xs)))
        free += (right - left) * ((low > min(ys)) + (high < max(ys)))
        if free <= 0:
            return
        half = (right - left) * (high - low) / free / 1000
        block, projection = self._block(each.kind.value), each.projection_mm / 1000
        yield Edge(
            free / 1000,
            obstacle(self.depth, self.steel, block, half, projection),
            obstacle(self.depth.bare(), self.steel, block, half, projection),
        )

    def reveal_cover(self, opening: Opening) -> Cover | None:
        """What lies on the reveals of an opening; None: they are bare."""
        if not opening.reveal_lined:
            return None
        item = opening.reveal_insulation
        return Cover(self._board, insulation_layer(self.practice.insulation[item]) if item else None)

    @property
    def _board(self) -> Layer:
        """The board on reveals and flanks."""
        return board_layer(self.practice.boards[self.plan.wall.lining.boards[0]])

    def _block(self, name: str) -> Block:
        junction = self.practice.junctions[name]
        conductivity = self.practice.materials[junction.material].conductivity_w_mk
        return Block(name, junction.thickness_mm / 1000, junction.bearing_mm / 1000, conductivity)


def merged(edges: Iterator[Edge]) -> list[Edge]:
    """Edges with the same details as one."""
    found: dict[tuple[Detail, Detail], Edge] = {}
    for edge in edges:
        key = (edge.after, edge.before)
        known = found.get(key)
        found[key] = replace(known, length=known.length + edge.length) if known else edge
    return list(found.values())
