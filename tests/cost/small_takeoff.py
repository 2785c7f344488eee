"""A takeoff of two storeys written by hand, and a supply list to buy it from. Everything is invented."""

from __future__ import annotations

from innerleaf.cost.supply import Supply
from innerleaf.cost.supply_file import supply_of
from innerleaf.practice.load import load_practice
from innerleaf.reading import read_text
from innerleaf.takeoff.model import CutBar, CutBoard, CutPiece, Line, Pack, Purchase, Share, Takeoff
from innerleaf.takeoff.rates import COMMON_RATES

PRACTICE = load_practice()
STOREYS = {"W-1": "ground floor", "W-2": "first floor"}

SUPPLY = """
format: 1
source: invented for tests
currency: EUR
date: 2026-01-15
suppliers:
  Alder (invented): {charge: 40, free_from: 2000}
  Birch (invented): {charge: 15, least_order: 20}
offers:
  - {article: CW-75, length: [2600, 3000], supplier: Alder (invented), code: A-CW, pack: 4, price: 2, per: m}
  - {article: UW-75, length: 4000, supplier: Alder (invented), code: A-UW, pack: 2, price: 7, per: piece,
     lead_days: 3}
  - {article: board-A-12.5, length: 2600, supplier: Alder (invented), code: A-B, price: 3.40, per: m2,
     pack: 1, breaks: [{packs: 10, price: 3.00}], lead_days: 5}
  - {article: screw-25, supplier: Birch (invented), code: B-25, pack: 1000, pack_name: box, price: 9.70,
     pack_kg: 1.5}
  - {article: screw-25, supplier: Birch (invented), code: B-25s, pack: 200, pack_name: packet, price: 2.55}
  - {article: strip-70, supplier: Birch (invented), code: B-S, pack: 30, pack_name: roll, price: 7.90}
  - {article: compound-25, supplier: Birch (invented), code: B-C, pack: 25, pack_name: bag, price: 18.20}
stand_ins:
  board-A-12.5: {by: [board-H-12.5], source: invented for tests}
phases:
  source: invented for tests
  frame: [frame, brackets, fixings, sealing, insulation, membrane]
  boards: [boards, beads, jointing]
"""


def supply(text: str = SUPPLY) -> Supply:
    """The supply list."""
    return supply_of(read_text(text, "supply.yaml"), PRACTICE)


def purchase(
    item: str, group: str, unit: str, net: float, *packs: tuple[float, int], special: int = 0
) -> Purchase:
    """What must be bought of one item."""
    by_length = item.startswith(("CW", "UW", "board", "wool", "corner"))
    return Purchase(
        group=group,
        item=item,
        unit=unit,
        net=net,
        bought=net,
        packs=tuple(Pack(size, count) for size, count in packs),
        pack_unit="mm" if by_length else unit,
        lower_bound=net,
        special=special,
        stopped_by="by hand",
        basis="by hand",
    )


def line(item: str, group: str, unit: str, *by_wall: tuple[str, float]) -> Line:
    """A quantity as built."""
    total = sum(amount for _, amount in by_wall)
    shares = tuple(Share(wall, amount, 1) for wall, amount in by_wall)
    return Line(
        group=group,
        item=item,
        use="by hand",
        unit=unit,
        quantity=total,
        count=len(by_wall),
        mass_kg=0,
        by_wall=shares,
        by_room=shares,
        basis="by hand",
    )


def bars(item: str, stock: int, *walls: tuple[str, ...]) -> list[CutBar]:
    """Bars of the cut plan, each with a piece for each of its walls."""
    return [
        CutBar(
            number=number,
            item=item,
            stock_mm=stock,
            pieces=tuple(CutPiece(mark=f"{wall}/{number}", wall=wall, use="", length_mm=1000) for wall in of),
            remainder_mm=0,
        )
        for number, of in enumerate(walls, 1)
    ]


def boards(item: str, stock: int, *walls: tuple[str, ...]) -> list[CutBoard]:
    """Boards of the cut plan."""
    return [
        CutBoard(
            number=number,
            item=item,
            width_mm=1200,
            stock_mm=stock,
            pieces=tuple(CutPiece(mark=f"{wall}/{number}", wall=wall, use="", length_mm=1000) for wall in of),
            cuts=(),
            offcuts=(),
        )
        for number, of in enumerate(walls, 1)
    ]


def takeoff() -> Takeoff:
    """Seven studs, two tracks, nine boards, 2300 screws, 70 m of strip, 60 kg of compound."""
    both = ("W-1", "W-2")
    return Takeoff(
        lines=(
            line("screw-25", "fixings", "piece", ("W-1", 1500), ("W-2", 800)),
            line("strip-70", "sealing", "mm", ("W-1", 30_000), ("W-2", 40_000)),
            line("compound-25", "jointing", "kg", ("W-1", 30), ("W-2", 30)),
        ),
        purchases=(
            purchase("CW-75", "frame", "mm", 18_000, (2600, 5), (3000, 2)),
            purchase("UW-75", "frame", "mm", 7_000, (4000, 2)),
            purchase("screw-25", "fixings", "piece", 2300, (1000, 3)),
            purchase("boards", "frame", "mm", 0),  # an article the practice does not know
            purchase("board-A-12.5", "boards", "mm2", 27e6, (2600, 9)),
            purchase("compound-25", "jointing", "kg", 60, (25, 3)),
            purchase("strip-70", "sealing", "mm", 70_000, (30_000, 3)),
        ),
        bars=(
            *bars("CW-75", 2600, both, ("W-1",), ("W-1",), ("W-2",), ("W-2",)),
            *bars("CW-75", 3000, ("W-2",), ("W-2",)),
            *bars("UW-75", 4000, ("W-1",), ("W-2",)),
        ),
        boards=tuple(boards("board-A-12.5", 2600, *[("W-1",)] * 4, *[("W-2",)] * 5)),
        rates=COMMON_RATES,
    )
