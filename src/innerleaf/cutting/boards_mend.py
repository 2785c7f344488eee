"""Ruin and recreate: a few boards are emptied and filled anew, again and again.

After Schrimpf, Schneider, Stamm-Wilbrandt and Dueck, Journal of Computational Physics 159, 2000, 139-171
(from memory); a worse plan is accepted now and then, ever less often.
"""

# numba ships no types, and its decorator hides those below it
# mypy: disable-error-code="untyped-decorator, no-any-return, import-untyped"

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

from innerleaf.cutting.boards_fit import FITS, SPLITS, Boards, Pieces, Rules, Spots, by_size, fit
from innerleaf.cutting.boards_job import Ints, Job

_MOST_EMPTIED = 10  # boards at once
_MOST_MOVED = 60  # pieces at once
_WARM, _COLD = 0.02, 0.0004  # of the dearest board: how much worse may pass, at the beginning and at the end
_LEVEL = 0.05  # how often a plan of equal cost passes that is no better otherwise
_LOOKED_AT = 4  # boards of which the worst is emptied, at most
_SIZES = 5  # measures of size to order pieces by
_LIVE, _SPARE, _LOST = 0, 1, 2
_NOT_CUT = 10  # times the dearest board, for a piece that lies nowhere


class _Book(NamedTuple):
    """Which boards are begun and where each stands in that list; spare numbers; pieces that lie nowhere.

    ``counts`` says how many there are of the three.
    """

    live: Ints
    place: Ints
    slots: Ints
    nowhere: Ints
    counts: Ints


def pieces_of(job: Job, demand: Ints) -> Pieces:
    """A piece for each that is wanted, types in their order."""
    first = np.searchsorted(job.shapes.type, np.arange(len(job.demand) + 1))
    return Pieces(np.repeat(np.arange(len(demand)), demand), first)


def empty(pieces: Pieces, limit: Ints) -> tuple[Spots, Boards]:
    """No piece placed, no board begun."""
    n = len(pieces.type)
    nowhere = np.full((8, n), -1, np.int64)
    return Spots(*nowhere), Boards(np.full(n, -1), np.full(n, -1), limit.copy())


def start(job: Job, pieces: Pieces, limit: Ints, number: int, seed: int) -> tuple[Spots, Boards]:
    """Plan ``number``: the first are by plain rules, one after the other, the others are shuffled."""
    spots, boards = empty(pieces, limit)
    least = np.array([job.shapes.width.min(), job.shapes.length.min()])
    _start(pieces, job.shapes, job.sheets, spots, boards, least, number, seed)
    return spots, boards


def mend(
    job: Job, pieces: Pieces, spots: Spots, boards: Boards, *, repairs: int, bound: int, seed: int
) -> tuple[Spots, Boards]:
    """The best plan met from a given one on; stops at the bound."""
    if not len(pieces.type):
        return spots, boards
    least = np.array([job.shapes.width.min(), job.shapes.length.min()])
    now, best = np.array(spots), np.array(spots)
    boards, best_boards = (Boards(*(a.copy() for a in boards)) for _ in range(2))
    book = _book(spots, boards)
    _mend(
        pieces, job.shapes, job.sheets, job.net, now, Spots(*now), boards, best, best_boards, book, least,
        cost_of(job, spots, boards), bound, repairs, seed,
    )  # fmt: skip
    return Spots(*best), best_boards


def _book(spots: Spots, boards: Boards) -> _Book:
    n = len(spots.board)
    begun, lost = np.flatnonzero(boards.head >= 0), np.flatnonzero(spots.board < 0)
    place = np.full(n, -1)
    place[begun] = np.arange(len(begun))
    live, slots, nowhere = (np.zeros(n, np.int64) for _ in range(3))
    live[: len(begun)], nowhere[: len(lost)] = begun, lost
    slots[: n - len(begun)] = np.flatnonzero(boards.head < 0)
    return _Book(live, place, slots, nowhere, np.array([len(begun), n - len(begun), len(lost)]))


def cost_of(job: Job, spots: Spots, boards: Boards) -> int:
    """Price of the boards; each piece not cut costs as much as many boards."""
    used = boards.sheet[boards.head >= 0]
    missing = int((spots.board < 0).sum())
    return int(job.sheets.price[used].sum()) + missing * _NOT_CUT * int(job.sheets.price.max() + 1)


@njit(cache=True)
def _start(pieces: Any, shapes: Any, sheets: Any, spots: Any, boards: Any, least: Ints, number: int,
           seed: int) -> None:  # fmt: skip
    np.random.seed(seed + number)
    kinds = len(sheets.width)
    fit_rule, split, opening, spare = number // kinds % 2 * 2, 0, number % kinds, True
    kind, noise = 0, 0.0
    if number >= 2 * kinds:
        fit_rule, split = np.random.randint(FITS), np.random.randint(SPLITS)
        opening = np.random.randint(-2, kinds)
        spare = np.random.random() < 0.7
        kind, noise = np.random.randint(_SIZES), np.random.random() ** 2 * 0.5
    rules = Rules(fit_rule, split, opening, spare, noise * 0.5)
    order = by_size(np.arange(len(pieces.type)), pieces, shapes, kind, noise)
    slots = np.arange(len(pieces.type))
    fit(order, pieces, shapes, sheets, rules, spots, boards, slots, least)


@njit(cache=True)
def _mend(pieces: Any, shapes: Any, sheets: Any, net: Ints, now: Ints, spots: Any, boards: Any, best: Ints,
          best_boards: Any, book: Any, least: Ints, cost: int, bound: int, repairs: int,
          seed: int) -> None:  # fmt: skip
    np.random.seed(seed)
    dearest = sheets.price.max()
    lowest = cost
    emptied = np.empty((3, _MOST_EMPTIED), np.int64)  # board, sheet, first piece
    moved = np.empty(len(pieces.type), np.int64)
    left = boards.left.copy()
    for step in range(repairs):
        if lowest <= bound or book.counts[_LIVE] == 0:
            break
        left[:] = boards.left
        missing = book.counts[_LOST]
        gone, count = _empty_some(pieces, net, spots, boards, sheets, book, emptied, moved)
        used, spent = 0.0, 0
        for i in range(gone):
            used += _used(emptied[2, i], pieces, net, spots)
            spent += sheets.price[emptied[1, i]]
        saved = now[:, moved[:count]]
        # boards are begun in the places of those emptied, then in spare ones
        room = _room(book, emptied, gone, count)
        noise = np.random.random() ** 2 * 0.6
        rules = Rules(
            np.random.randint(FITS), np.random.randint(SPLITS), np.random.randint(-2, len(sheets.width)),
            np.random.random() < 0.7, noise * 0.5,
        )  # fmt: skip
        order = by_size(moved[:count], pieces, shapes, np.random.randint(_SIZES), noise)
        opened = fit(order, pieces, shapes, sheets, rules, spots, boards, room, least)
        change = -spent
        for b in room[:opened]:
            used -= _used(boards.head[b], pieces, net, spots)
            change += sheets.price[boards.sheet[b]]
        lost = 0
        for p in moved[:count]:
            lost += spots.board[p] < 0
        change += (lost - missing) * _NOT_CUT * (dearest + 1)
        if _accepted(change, used, dearest * _WARM * (_COLD / _WARM) ** (step / repairs)):
            cost += change
            _enter(book, spots, room, opened, emptied, gone, moved[:count])
            if cost < lowest:
                lowest = cost
                best[:] = now
                best_boards.sheet[:], best_boards.head[:] = boards.sheet, boards.head
                best_boards.left[:] = boards.left
        else:
            boards.head[room[:opened]] = -1
            boards.left[:] = left
            now[:, moved[:count]] = saved
            for i in range(gone):
                boards.sheet[emptied[0, i]], boards.head[emptied[0, i]] = emptied[1, i], emptied[2, i]
                _begin(book, emptied[0, i])


@njit(cache=True)
def _accepted(change: int, used: float, warm: float) -> bool:
    """Cheaper always, dearer now and then; at equal cost rather what leaves boards full or empty."""
    if change == 0:
        return used <= 0 or np.random.random() < _LEVEL
    return change < 0 or np.random.random() < np.exp(-change / warm)


@njit(cache=True)
def _empty_some(
    pieces: Any, net: Ints, spots: Any, boards: Any, sheets: Any, book: Any, emptied: Ints, moved: Ints
) -> tuple[int, int]:
    """Empty a few boards, rather those badly used; returns how many, and how many pieces lie nowhere now."""
    gone = 0
    count = book.counts[_LOST]
    moved[:count] = book.nowhere[:count]
    for _ in range(min(book.counts[_LIVE], 2 + np.random.randint(_MOST_EMPTIED - 1))):
        b, least = -1, 0.0
        for _ in range(1 + np.random.randint(_LOOKED_AT)):
            other = book.live[np.random.randint(book.counts[_LIVE])]
            k = boards.sheet[other]
            area = float(sheets.width[k] * sheets.length[k])
            share = _used(boards.head[other], pieces, net, spots) / (area * area)
            if b < 0 or share < least:
                b, least = other, share
        size = 0
        p = boards.head[b]
        while p >= 0:
            size += 1
            p = spots.next[p]
        if gone > 1 and count + size > _MOST_MOVED:
            break
        p = boards.head[b]
        while p >= 0:
            moved[count] = p
            count += 1
            p = spots.next[p]
        k = boards.sheet[b]
        emptied[0, gone], emptied[1, gone], emptied[2, gone] = b, k, boards.head[b]
        gone += 1
        boards.left[k] += boards.left[k] >= 0
        boards.head[b] = -1
        _end(book, b)
    return gone, count


@njit(cache=True)
def _used(first: int, pieces: Any, net: Ints, spots: Any) -> float:
    """Area of a piece and those after it on the board, squared: the sum over boards tells full ones."""
    used = 0.0
    p = first
    while p >= 0:
        used += net[pieces.type[p]]
        p = spots.next[p]
    return used * used


@njit(cache=True)
def _room(book: Any, emptied: Ints, gone: int, count: int) -> Ints:
    room = np.full(max(count, gone), -1)
    room[:gone] = emptied[0, :gone]
    for i in range(min(count - gone, book.counts[_SPARE])):
        room[gone + i] = book.slots[book.counts[_SPARE] - 1 - i]
    return room


@njit(cache=True)
def _begin(book: Any, b: int) -> None:
    book.live[book.counts[_LIVE]], book.place[b] = b, book.counts[_LIVE]
    book.counts[_LIVE] += 1


@njit(cache=True)
def _end(book: Any, b: int) -> None:
    book.counts[_LIVE] -= 1
    last = book.live[book.counts[_LIVE]]
    book.live[book.place[b]], book.place[last] = last, book.place[b]
    book.place[b] = -1


@njit(cache=True)
def _enter(book: Any, spots: Any, room: Ints, opened: int, emptied: Ints, gone: int, moved: Ints) -> None:
    """Write into the book what boards there are now, and which pieces lie nowhere."""
    book.counts[_SPARE] -= max(0, opened - gone)
    for i in range(opened, gone):
        book.slots[book.counts[_SPARE]] = emptied[0, i]
        book.counts[_SPARE] += 1
    for b in room[:opened]:
        _begin(book, b)
    book.counts[_LOST] = 0
    for p in moved:
        if spots.board[p] < 0:
            book.nowhere[book.counts[_LOST]] = p
            book.counts[_LOST] += 1
