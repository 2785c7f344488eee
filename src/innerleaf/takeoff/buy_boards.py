"""Buying what is cut from rectangles: boards and slabs of insulation, offcuts and notches used."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import ceil
from typing import TYPE_CHECKING

from innerleaf.cutting.boards import BOUGHT, Board, BoardDemand, BoardPlan, BoardProblem, BoardStock
from innerleaf.cutting.boards_order import sequence_of
from innerleaf.layout.pieces import BoardPiece, WallPlan
from innerleaf.practice.model import Board as BoardType
from innerleaf.practice.model import Practice
from innerleaf.takeoff.count import ring_area
from innerleaf.takeoff.model import BoardCut, CutBoard, CutPiece, Offcut, Pack, Purchase
from innerleaf.takeoff.notches import notches_of_ring
from innerleaf.takeoff.rates import Rates
from innerleaf.takeoff.rules import BOARD, COMMON_RULES, BuyingRules

if TYPE_CHECKING:
    from innerleaf.cutting.boards_limits import BoardLimits

_TOLERANCE_MM = 1e-6
_CLOSE = 1e-3  # a plan this near the bound is good enough
_CLOSE_SLABS = 0.03  # of slabs, which cost little and are cut by eye
# where the search stops: a building in seconds
_STARTS = 2  # beyond one or two for each length of board
_REPAIRS, _REPAIRS_EACH = 60_000, 150  # in all, and for each piece
_ROUNDS, _LEAST_ROUNDS, _WORK = 40, 8, 12_000  # pricings: the fewer, the more kinds of pieces there are
_STEPS, _KINDS = 30, 500
_TYPES, _MANY = 400, 3000


def buy_boards(
    plans: Sequence[WallPlan], practice: Practice, rates: Rates, rules: BuyingRules = COMMON_RULES
) -> tuple[list[Purchase], list[CutBoard]]:
    """Boards by length, with the cut list; offcuts serve any wall."""
    purchases, cuts = [], []
    for item, pieces in boards_by_item(plans).items():
        problem, special = board_problem(pieces, practice.boards[item], rates)
        problem = replace(problem, stocks=(*problem.stocks, *_in_hand(rules, item)))
        problem, told = _lengths_chosen(problem, rules.most(item, BOARD))
        batch_of = {piece.mark: rules.batch_of.get(wall, 0) for piece, wall in pieces}
        packed = _cut(problem, _CLOSE, batch_of, rates.least_kept_board_mm)
        net = sum(ring_area(p.ring) - sum(map(ring_area, p.holes)) for p, _ in pieces)
        how = f"score and snap, notches sawn and what comes out of them used{told}"
        batches = len(set(batch_of.values()))
        purchases.append(_purchase("boards", item, net, packed, special, how, batches))
        known = {piece.mark: (piece, wall) for piece, wall in pieces}
        by_mark = {demand.mark: demand for demand in problem.demands}
        cuts += [_cut_board(item, board, known, by_mark, rates) for board in packed.boards]
    return purchases, cuts


def _cut_board(
    item: str,
    board: Board,
    known: dict[str, tuple[BoardPiece, str]],
    demands: dict[str, BoardDemand],
    rates: Rates,
) -> CutBoard:
    """One board of the cut list, pieces at their true size at the edge where they were put."""
    found = sequence_of(board, demands, rates.least_strip_mm)
    pieces = []
    for number in found.order:
        place = board.places[number]
        piece, wall = known[place.mark]
        at_right = place.x_mm + place.width_mm == board.width_mm and place.x_mm > 0
        pieces.append(
            CutPiece(
                mark=piece.mark,
                wall=wall,
                use=f"layer {piece.layer}",
                length_mm=piece.length_mm,
                width_mm=piece.width_mm,
                x_mm=place.x_mm + (place.width_mm - piece.width_mm if at_right else 0),
                y_mm=place.y_mm,
                turned_deg=place.turned_deg,
                within=board.places[place.within - 1].mark if place.within else "",
            )
        )
    return CutBoard(
        number=board.number,
        item=item,
        width_mm=board.width_mm,
        stock_mm=board.length_mm,
        pieces=tuple(pieces),
        cuts=tuple(BoardCut(c.x1_mm, c.y1_mm, c.x2_mm, c.y2_mm, c.sawn) for c in found.cuts),
        offcuts=tuple(
            Offcut(o.x_mm, o.y_mm, o.width_mm, o.length_mm, o.left, o.right) for o in found.offcuts
        ),
        batch=board.phase,
        source="" if board.source == BOUGHT else board.source,
    )


def demand_of(piece: BoardPiece, board_width: int) -> BoardDemand:
    """A piece by the rectangle round it, in whole millimetres; two factory edges only at full width."""
    whole = piece.width_mm >= board_width - _TOLERANCE_MM
    return BoardDemand(
        mark=piece.mark,
        width_mm=_up(piece.width_mm),
        length_mm=_up(piece.length_mm),
        left=piece.left_bound,
        right=piece.right_bound and (whole or not piece.left_bound),
        notches=notches_of_ring(piece.ring, piece.holes),
    )


def _up(size_mm: float) -> int:
    return ceil(size_mm - _TOLERANCE_MM)


def boards_by_item(plans: Sequence[WallPlan]) -> dict[str, list[tuple[BoardPiece, str]]]:
    """The pieces of each board with their walls, boards by name."""
    by_item: dict[str, list[tuple[BoardPiece, str]]] = {}
    for plan in plans:
        for board in plan.boards:
            by_item.setdefault(board.item, []).append((board, plan.wall.id))
    return dict(sorted(by_item.items()))


def board_problem(
    pieces: Sequence[tuple[BoardPiece, str]], sort: BoardType, rates: Rates
) -> tuple[BoardProblem, int]:
    """Pieces of one board as a problem of least area; and how many no board holds."""
    demands = [demand_of(piece, sort.width_mm) for piece, _ in pieces]
    return _problem(demands, sort.width_mm, sort.lengths_mm, rates.least_strip_mm)


def _problem(
    demands: Sequence[BoardDemand], width: int, lengths: Sequence[int], least_strip: int
) -> tuple[BoardProblem, int]:
    """What fits, from boards that cost their area; also how many pieces do not."""
    fitting = [d for d in demands if d.width_mm <= width and d.length_mm <= max(lengths)]
    stocks = [BoardStock(width_mm=width, length_mm=length, price=width * length) for length in lengths]
    problem = BoardProblem(demands=tuple(fitting), stocks=tuple(stocks), least_strip_mm=least_strip)
    return problem, len(demands) - len(fitting)


def _in_hand(rules: BuyingRules, item: str) -> tuple[BoardStock, ...]:
    return tuple(
        BoardStock(
            width_mm=each.width_mm,
            length_mm=each.length_mm,
            price=each.price,
            limit=each.count,
            left=each.left_bound,
            right=each.right_bound,
            mark=each.mark,
        )
        for each in rules.in_hand
        if each.item == item
    )


def _lengths_chosen(problem: BoardProblem, most: int) -> tuple[BoardProblem, str]:
    """The problem with at most so many lengths to buy, and words on the choice; 0: as it is."""
    offered = [stock for stock in problem.stocks if stock.limit is None]
    if not 0 < most < len(offered):
        return problem, ""
    from innerleaf.cutting.boards_choice import choose_boards

    stocks = choose_boards(problem, most, limits_for(problem)).stocks
    told = ", ".join(str(stock.length_mm) for stock in stocks if stock.limit is None)
    return replace(problem, stocks=stocks), f"; at most {most} lengths: {told} mm"


def limits_for(problem: BoardProblem, close: float = _CLOSE) -> BoardLimits:
    """Where the search stops: the more kinds of pieces there are, the sooner."""
    from innerleaf.cutting.boards_limits import BoardLimits

    fitting = problem.demands
    kinds = len({(d.width_mm, d.length_mm, d.left or d.right, d.notches) for d in fitting})
    return BoardLimits(
        starts=len(problem.stocks) * (1 if len(fitting) > _MANY else 2) + _STARTS,
        repairs=min(_REPAIRS, _REPAIRS_EACH * sum(d.count for d in fitting)),
        rounds=max(_LEAST_ROUNDS, min(_ROUNDS, _WORK // max(1, kinds))),
        types=_TYPES,
        dives=1,
        steps=_STEPS if kinds <= _KINDS else 1,
        again=0,
        close=close,
    )


def _cut(
    problem: BoardProblem, close: float, batch_of: Mapping[str, int] | None = None, least_kept_mm: int = 1
) -> BoardPlan:
    """Boards of least total area; the search is bounded by counts, so the same pieces give the same plan."""
    from innerleaf.cutting.boards_phases import cut_boards_in_phases

    return cut_boards_in_phases(problem, batch_of or {}, least_kept_mm, limits_for(problem, close))


def _purchase(
    group: str, item: str, net: float, packed: BoardPlan, special: int, how: str, batches: int = 1
) -> Purchase:
    counts = Counter(board.length_mm for board in packed.boards if board.source == BOUGHT)
    over = "over the building"
    if batches > 1:
        over = f"in {batches} deliveries, offcuts carried on; the bound is that of the whole building"
    return Purchase(
        group=group,
        item=item,
        unit="mm2",
        net=net,
        bought=packed.bought_mm2,
        packs=tuple(Pack(size, count) for size, count in sorted(counts.items())),
        pack_unit="mm",
        lower_bound=packed.bound,
        special=special,
        stopped_by=packed.stopped_by,
        basis=f"cut {over}, {how}; the bound counts bounding rectangles",
    )


def buy_insulation(plans: Sequence[WallPlan], practice: Practice) -> list[Purchase]:
    """Slabs: cut pieces packed into whole slabs, offcuts used."""
    by_item: dict[str, list[BoardDemand]] = {}
    net: dict[str, float] = {}
    for plan in plans:
        for slab in plan.slabs:
            piece = BoardDemand(mark=slab.mark, width_mm=_up(slab.width_mm), length_mm=_up(slab.length_mm))
            by_item.setdefault(slab.item, []).append(piece)
            net[slab.item] = net.get(slab.item, 0.0) + ring_area(slab.ring)
    purchases = []
    for item, pieces in sorted(by_item.items()):
        sort = practice.insulation[item]
        problem, special = _problem(pieces, sort.width_mm, (sort.length_mm,), 0)
        packed = _cut(problem, _CLOSE_SLABS)
        purchases.append(_purchase("insulation", item, net[item], packed, special, "by knife"))
    return purchases
