"""Random problems of every kind, and the least cost by trying everything."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import strategies as st

from innerleaf.cutting.bars import BarDemand, BarProblem, BarStock, Keeping, Splice

STOCKS = (2600, 3000, 4000)


def bars(*lengths: int) -> tuple[BarStock, ...]:
    """Bars without end that cost their length."""
    return tuple(BarStock(length_mm=length, price=length) for length in lengths)


def pieces(*lengths: int) -> tuple[BarDemand, ...]:
    """One piece of each length, marked by its number."""
    return tuple(BarDemand(mark=f"p{n}", length_mm=length) for n, length in enumerate(lengths, 1))


@st.composite
def problems(draw: st.DrawFn, *, most: int = 25, phases: int = 1, splices: bool = False) -> BarProblem:
    """Bars with and without limit, trims, offcuts, rests worth keeping; every piece fits somewhere."""
    lengths = draw(st.lists(st.integers(1000, 6000), min_size=1, max_size=3, unique=True))
    stocks = [
        BarStock(
            length_mm=length,
            price=draw(st.integers(length // 2, 2 * length)),
            trim_mm=draw(st.integers(0, 30)),
        )
        for length in lengths
    ]
    stocks += [
        BarStock(
            length_mm=draw(st.integers(300, 5000)),
            price=draw(st.integers(2600, 5000)),
            limit=draw(st.integers(0, 3)),
            mark=draw(st.sampled_from(["", f"K-{number}"])),
            phase=draw(st.integers(0, phases - 1)),
        )
        for number in range(draw(st.integers(0, 3)))
    ]
    longest = max(stock.usable_mm for stock in stocks if stock.limit is None)
    demands = []
    for number in range(draw(st.integers(0, most))):
        splice = None
        top = longest
        if splices and draw(st.booleans()):
            splice, top = Splice(overlap_mm=draw(st.integers(0, 99)), least_mm=100), 3 * longest
        demands.append(
            BarDemand(
                mark=f"p{number}",
                length_mm=draw(st.integers(100, top)),
                count=draw(st.integers(1, 4)),
                phase=draw(st.integers(0, phases - 1)),
                splice=splice,
            )
        )
    keeping = draw(
        st.none()
        | st.builds(Keeping, least_mm=st.integers(50, 900), worth_per_m=st.sampled_from([0, 200, 480]))
    )
    kerf = draw(st.integers(0, 5))
    return BarProblem(demands=tuple(demands), stocks=tuple(stocks), kerf_mm=kerf, keeping=keeping)


def least_cost(problem: BarProblem) -> int:
    """Try every way to put the pieces (in one phase, none spliced) into bars; small problems only."""
    lengths = sorted((d.length_mm for d in problem.demands for _ in range(d.count)), reverse=True)
    limits = [stock.limit for stock in problem.stocks]
    best = [10**12]

    def net(stock: BarStock, bar: Sequence[int]) -> int:
        rest = stock.usable_mm - sum(bar) - problem.kerf_mm * (len(bar) - 1)
        if rest < 0:
            return 10**9
        worth = problem.keeping.worth(max(0, rest - problem.kerf_mm)) if problem.keeping else 0
        return problem.price_of(stock) - worth

    def go(rest: list[int], cost: int) -> None:
        if cost >= best[0]:
            return
        if not rest:
            best[0] = cost
            return
        first, others = rest[0], rest[1:]
        for chosen in range(1 << len(others)):
            bar = [first] + [o for k, o in enumerate(others) if chosen >> k & 1]
            left = [o for k, o in enumerate(others) if not chosen >> k & 1]
            for at, stock in enumerate(problem.stocks):
                price, limit = net(stock, bar), limits[at]
                if price < 10**9 and limit != 0:
                    limits[at] = None if limit is None else limit - 1
                    go(left, cost + price)
                    limits[at] = limit

    go(lengths, 0)
    return best[0]
