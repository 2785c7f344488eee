"""What is wrong with a plan of boards, knowing nothing of how it was found."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from innerleaf.cutting.boards import BOUGHT, Board, BoardDemand, BoardPlan, BoardProblem, Place

Box = tuple[int, int, int, int]  # left, bottom, right, top


def check_boards(plan: BoardPlan, problem: BoardProblem) -> list[str]:
    """Every piece once, inside its board and clear of the others, with its factory edges, and snappable."""
    demands = {demand.mark: demand for demand in problem.demands}
    return [
        *_pieces(plan, problem),
        *_phases(plan),
        *(
            f"board {b.number}: {fault}"
            for b in _as_bought(plan, demands)
            for fault in _board(b, demands, problem)
        ),
        *_stock(plan, problem),
        *_money(plan),
    ]


def _phases(plan: BoardPlan) -> Iterator[str]:
    """What is left of a board is there from then on, and nowhere before."""
    by_number = {board.number: board for board in plan.boards}
    for board in plan.boards:
        host = by_number.get(board.rest_of)
        if board.rest_of and (host is None or host.number >= board.number or host.phase > board.phase):
            yield f"board {board.number}: cut from what is left of a board that is not there yet"
        elif board.rest_of and board.price:
            yield f"board {board.number}: what is left of a board is paid twice"


def _as_bought(plan: BoardPlan, demands: dict[str, BoardDemand]) -> Iterator[Board]:
    """Each board with all that is cut from it in the end, also from what is left of it in a later phase."""
    whole: dict[int, Board] = {}
    root: dict[int, tuple[int, int, int]] = {}  # of each board: the one bought, and where on it its corner is
    for board in sorted(plan.boards, key=lambda b: b.number):
        if board.rest_of not in root:
            root[board.number] = board.number, 0, 0
            whole[board.number] = board
            continue
        number, x, y = root[board.rest_of]
        x, y = x + board.rest_x_mm, y + board.rest_y_mm
        root[board.number] = number, x, y
        bought = whole[number]
        box = x, y, x + board.width_mm, y + board.length_mm
        within = next(
            (
                at
                for at, place in enumerate(bought.places, 1)
                if place.mark in demands
                and any(_covers(notch, box) for notch in _notches(place, demands[place.mark]))
            ),
            0,
        )
        moved = (
            replace(
                place,
                x_mm=place.x_mm + x,
                y_mm=place.y_mm + y,
                within=place.within + len(bought.places) if place.within else within,
            )
            for place in board.places
        )
        inside = all(_covers((0, 0, board.width_mm, board.length_mm), _box(p)) for p in board.places)
        whole[number] = replace(bought, places=(*bought.places, *moved) if inside else ())
    yield from whole.values()


def _pieces(plan: BoardPlan, problem: BoardProblem) -> Iterator[str]:
    """What is cut is what is asked for."""
    asked = Counter[str]()
    for demand in problem.demands:
        asked[demand.mark] += demand.count
    cut = Counter(place.mark for board in plan.boards for place in board.places)
    for mark in sorted(asked.keys() | cut.keys()):
        if asked[mark] != cut[mark]:
            yield f"piece {mark}: {cut[mark]} cut, {asked[mark]} asked for"


def _board(board: Board, demands: dict[str, BoardDemand], problem: BoardProblem) -> Iterator[str]:
    """One board, its pieces and what is cut from their notches."""
    if not board.places:
        yield "nothing is cut from it"
    if any(place.mark not in demands for place in board.places):
        return
    whole = (0, 0, board.width_mm, board.length_mm)
    inside: dict[int, list[Place]] = defaultdict(list)
    for place in board.places:
        inside[place.within].append(place)
        yield from _lies(place, demands[place.mark])
        if not _covers(whole, _box(place)):
            yield f"piece {place.mark} reaches beyond it"
    stock = [
        s for s in problem.stocks
        if (s.width_mm, s.length_mm, s.price, s.mark or BOUGHT)
        == (board.width_mm, board.length_mm, board.price, board.source)
    ]  # fmt: skip
    for place in board.places:
        if not any(_edges_kept(place, demands[place.mark], board, s.left, s.right) for s in stock):
            yield f"piece {place.mark} is not at its factory edge"
    for host, places in sorted(inside.items()):
        if host == 0:
            rooms = [whole]
        elif host > len(board.places) or board.places[host - 1] in places:
            yield f"piece {places[0].mark} comes from a piece that is not there"
            continue
        else:
            holder = board.places[host - 1]
            rooms = [
                box for box in _notches(holder, demands[holder.mark])
                if min(box[2] - box[0], box[3] - box[1]) >= problem.least_strip_mm
            ]  # fmt: skip
        yield from _rooms(rooms, places)


def _rooms(rooms: Sequence[Box], places: Sequence[Place]) -> Iterator[str]:
    """Pieces lie in one room each, and those of one room come apart by cuts from side to side."""
    by_room: dict[Box, list[Box]] = defaultdict(list)
    for place in places:
        room = next((room for room in rooms if _covers(room, _box(place))), None)
        if room is None:
            yield f"piece {place.mark} is in no notch that is large enough"
        else:
            by_room[room].append(_box(place))
    for boxes in by_room.values():
        if not snappable(boxes):
            yield "cannot be cut by cuts from side to side"


def _lies(place: Place, demand: BoardDemand) -> Iterator[str]:
    """A piece has its size, and is turned only if it may be."""
    size = demand.width_mm, demand.length_mm
    if place.turned_deg == 90:
        size = size[::-1]
    if place.turned_deg not in (0, 90, 180) or (place.turned_deg == 90 and not demand.turns):
        yield f"piece {place.mark} may not be turned by {place.turned_deg} degrees"
    if (place.width_mm, place.length_mm) != size:
        yield f"piece {place.mark} is cut to {place.width_mm} x {place.length_mm} mm"


def _edges_kept(place: Place, demand: BoardDemand, board: Board, left: bool, right: bool) -> bool:
    """The edges that must be factory edges lie at such an edge of the board itself."""
    wants = (demand.left, demand.right)
    if place.turned_deg == 180:
        wants = wants[::-1]
    if place.within and any(wants):
        return False
    at_left = left and place.x_mm == 0
    at_right = right and place.x_mm + place.width_mm == board.width_mm
    return (at_left or not wants[0]) and (at_right or not wants[1])


def _notches(place: Place, demand: BoardDemand) -> Iterator[Box]:
    """The notches of a piece on the board: corner by corner, turned about the middle of the piece."""
    for notch in demand.notches:
        corners = [
            (notch.x_mm, notch.y_mm),
            (notch.x_mm + notch.width_mm, notch.y_mm + notch.length_mm),
        ]
        if place.turned_deg == 90:
            corners = [(demand.length_mm - y, x) for x, y in corners]
        if place.turned_deg == 180:
            corners = [(demand.width_mm - x, demand.length_mm - y) for x, y in corners]
        xs, ys = sorted(x for x, _ in corners), sorted(y for _, y in corners)
        yield place.x_mm + xs[0], place.y_mm + ys[0], place.x_mm + xs[1], place.y_mm + ys[1]


def _box(place: Place) -> Box:
    return place.x_mm, place.y_mm, place.x_mm + place.width_mm, place.y_mm + place.length_mm


def _covers(outer: Box, inner: Box) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def snappable(boxes: Sequence[Box]) -> bool:
    """True if rectangles come apart by cuts right across; overlapping ones never do."""
    if len(boxes) <= 1:
        return True
    for low, high in ((0, 2), (1, 3)):
        spans = sorted(boxes, key=lambda box: box[low])
        reach = spans[0][high]
        for at in range(1, len(spans)):
            if spans[at][low] >= reach:
                return snappable(spans[:at]) and snappable(spans[at:])
            reach = max(reach, spans[at][high])
    return False


def _stock(plan: BoardPlan, problem: BoardProblem) -> Iterator[str]:
    """Every board is one that can be had, and none oftener than there are."""
    there: dict[tuple[int, int, int, str], float] = defaultdict(float)
    for stock in problem.stocks:
        key = stock.width_mm, stock.length_mm, stock.price, stock.mark or BOUGHT
        there[key] += float("inf") if stock.limit is None else stock.limit
    used = Counter((b.width_mm, b.length_mm, b.price, b.source) for b in plan.boards if not b.rest_of)
    for (width, length, price, source), number in sorted(used.items()):
        if number > there[width, length, price, source]:
            yield f"{number} boards of {width} x {length} mm ({source}) are more than can be had"


def _money(plan: BoardPlan) -> Iterator[str]:
    """Cost, and that it is not below what is said to be the least."""
    cost = sum(board.price for board in plan.boards)
    if plan.cost != cost:
        yield f"cost said {plan.cost}, the boards cost {cost}"
    if plan.bound > cost:
        yield f"the plan costs {cost}, less than the bound {plan.bound}"
