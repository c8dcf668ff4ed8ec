"""Price vectors on the pieces, and what each stock can be worth under them: every pair is a lower bound.

If no stock rectangle can hold pieces worth more than `worth[s]`, then any answer has Σ worth[s]·x[s] ≥ Σ price·demand.
The prices are free to choose (dual feasible functions, linear programming duals): what makes the bound valid is that
`worth` is computed exactly, in integers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from solver.knapsack import best_fill, most_value
from solver.strips import Mode, Model


@dataclass(frozen=True)
class Worth:
    """What strips, modes and stocks are worth at most under one price vector."""

    prices: tuple[int, ...]
    """of each kind"""
    strips: tuple[int, ...]
    """greatest value of each strip type"""
    modes: tuple[int, ...]
    stocks: tuple[int, ...]
    total: int
    """value of the whole demand"""

    def lack(self, stocks: Sequence[int]) -> int:
        """Return by how much the stocks fall short of the demand; above 0 they cannot hold it."""
        return self.total - sum(w * x for w, x in zip(self.stocks, stocks, strict=True))


def worth_of(model: Model, prices: Sequence[int]) -> Worth:
    """Compute what each strip type, mode and stock is worth at most.

    Examples
    --------
    >>> from solver.problems import Piece, Stock
    >>> from solver.strips import build_model
    >>> worth_of(build_model([Piece(40, 10, 7)], [Stock(100, 25)]), [1])
    Worth(prices=(1,), strips=(2,), modes=(4,), stocks=(4,), total=7)
    """
    demand = model.demand
    strips = [
        most_value(s.sizes, [prices[k] for k in s.kinds], [demand[k] for k in s.kinds], s.run) for s in model.strips
    ]
    modes = [mode_worth(mode, strips)[0] for mode in model.modes]
    stocks = [max((modes[m] for m in model.modes_of(s)), default=0) for s in range(len(model.counts))]
    total = sum(p * d for p, d in zip(prices, demand, strict=True))
    return Worth(tuple(prices), tuple(strips), tuple(modes), tuple(stocks), total)


def mode_worth(mode: Mode, strips: Sequence[int]) -> tuple[int, tuple[int, ...]]:
    """Return the greatest value of the strips of one mode, and how many there are of each type."""
    values = [strips[t] for t in mode.strips]
    if len(values) == 1:
        number = mode.breadth // mode.needs[0]
        return number * values[0], (number,)
    return best_fill(mode.needs, values, [mode.breadth // need for need in mode.needs], mode.breadth)


def first_prices(model: Model) -> Iterator[tuple[int, ...]]:
    """Yield the price vectors that cost little: each kind alone, number of pieces, and material."""
    number = len(model.kinds)
    for k in range(number):
        yield tuple(int(k == j) for j in range(number))
    yield (1,) * number
    yield tuple(kind.length * kind.height for kind in model.kinds)


def more_prices(model: Model, parts: int = 6) -> Iterator[tuple[int, ...]]:
    """Yield price vectors made of dual feasible functions of length times such functions of height.

    Thresholds (Martello & Toth, Discrete Appl. Math. 28, 1990: bound L2) and shares ⌊(k + 1)·x⌋ (Fekete & Schepers,
    Math. Program. 91, 2001).
    """
    along = _functions(
        [kind.length for kind in model.kinds],
        sorted({(s.run, s.kerf) for s in model.strips}, reverse=True)[:2],
        parts,
    )
    breadths = {(mode.breadth, model.strips[t].kerf) for mode in model.modes for t in mode.strips}
    heights = [kind.height for kind in model.kinds]
    across = _functions(heights, sorted(breadths, reverse=True)[:2], 3) if len(set(heights)) > 1 else [heights]
    seen: set[tuple[int, ...]] = set()
    for rows in across:
        for row in along:
            prices = tuple(a * b for a, b in zip(rows, row, strict=True))
            if any(prices) and prices not in seen:
                seen.add(prices)
                yield prices


def _functions(sizes: Sequence[int], rooms: Sequence[tuple[int, int]], parts: int) -> list[list[int]]:
    """List functions of the sizes, for each room (with its kerf); the sizes themselves come first."""
    found = [list(sizes), [1] * len(sizes)]
    for room, kerf in rooms:
        own = [min(size + kerf, room) for size in sizes]
        found += [[(k + 1) * size // room for size in own] for k in range(1, parts + 1)]
        middle = sorted({min(size, room - size) for size in own if size < room})
        levels = middle[:: max(1, len(middle) // parts)]
        found += [[room if s > room - least else s if s >= least else 0 for s in own] for least in levels]
    return found
