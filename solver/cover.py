"""The fewest, cheapest, ... stocks that meet every bound known so far: a small integer program, solved exactly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

NODES = 3_000
"""nodes of one search (assumed); past it the search gives up"""


class TooHardError(Exception):
    """The numbers were not found within NODES."""


@dataclass
class Cover:
    """What is known of the numbers x of stocks in any answer; it only grows.

    `bounds` are pairs (row, least): Σ row·x ≥ least. `refuted` are numbers that are known not to do, and neither
    does anything below them. `most` caps each number.
    """

    most: tuple[int, ...]
    bounds: list[tuple[tuple[int, ...], int]] = field(default_factory=list)
    refuted: list[tuple[int, ...]] = field(default_factory=list)

    def least(self, rows: Sequence[Sequence[int]]) -> tuple[int, ...] | None:
        """Return the numbers that are least in the first row, then in the second, ...; None: none will do.

        Raises
        ------
        TooHardError
            When the search gives up.

        Examples
        --------
        >>> cover = Cover((9, 9), [((3, 2), 10)])
        >>> cover.least([(5, 4), (1, 1)])
        (2, 2)
        >>> Cover((1, 1), [((3, 2), 10)]).least([(1, 1)]) is None
        True
        """
        held: list[tuple[Sequence[int], int]] = []
        answer: tuple[int, ...] | None = None
        for row in rows:
            search = _Search(self, row, held, answer)
            answer = search.run()
            if search.nodes > NODES:
                raise TooHardError
            if answer is None:
                return None
            held.append((row, dot(row, answer)))
        return answer

    def floor(
        self,
        row: Sequence[int],
        held: Sequence[tuple[Sequence[int], int]] = (),
        known: tuple[int, ...] | None = None,
    ) -> int:
        """Return a number that Σ row·x cannot be below while each held row stays at or below its value.

        It is the least Σ row·x unless the search gives up: then what the best single bound says. `known` are numbers
        that do, from which the search may start.

        Examples
        --------
        >>> Cover((9, 9), [((3, 2), 10)]).floor((1, 1), [((5, 4), 19)])
        4
        """
        search = _Search(self, row, held, known)
        answer = search.run()
        return dot(row, answer) if answer is not None and search.nodes <= NODES else search.root()


def dot(row: Sequence[int], numbers: Sequence[int]) -> int:
    """Sum the products of two vectors."""
    return sum(a * b for a, b in zip(row, numbers, strict=True))


class _Search:
    """Depth-first search for the least row·x, bounded by the best single bound with fractions allowed."""

    def __init__(
        self,
        cover: Cover,
        row: Sequence[int],
        held: Sequence[tuple[Sequence[int], int]],
        known: tuple[int, ...] | None,
    ) -> None:
        self.row, self.held, self.cover = row, held, cover
        self.best = known
        self.best_value = None if known is None else dot(row, known)
        self.number = len(cover.most)
        self.nodes = 0
        self.order = sorted(range(self.number), key=self._dearness)
        self.ranked = [self._by_ratio(bound) for bound, _ in cover.bounds]

    def _dearness(self, stock: int) -> tuple[float, int]:
        """Rank a stock by what it costs for what it holds, by the bound that was added last."""
        worth = self.cover.bounds[-1][0][stock] if self.cover.bounds else 1
        return (self.row[stock] / worth if worth else float("inf"), stock)

    def _by_ratio(self, bound: Sequence[int]) -> list[tuple[int, int, int, int]]:
        """List (depth, price, worth, most) of the stocks that count in a bound, best ratio first."""
        depth = {stock: d for d, stock in enumerate(self.order)}
        useful = sorted((s for s in range(self.number) if bound[s]), key=lambda s: (self.row[s] / bound[s], s))
        return [(depth[s], self.row[s], bound[s], self.cover.most[s]) for s in useful]

    def run(self) -> tuple[int, ...] | None:
        """Return the best numbers."""
        needs = [least for _, least in self.cover.bounds]
        self._descend([0] * self.number, 0, 0, needs)
        return self.best

    def root(self) -> int:
        """Return what the best single bound says before any number is fixed."""
        needs = (least for _, least in self.cover.bounds)
        found = (_fractional(need, 0, ranked) for need, ranked in zip(needs, self.ranked, strict=True))
        return max((price for price in found if price is not None), default=0)

    def _descend(self, x: list[int], depth: int, price: int, needs: list[int]) -> None:
        """Try every number of the stock at this depth that can still give something better."""
        self.nodes += 1
        if self.nodes > NODES:
            return
        if not self._promising(depth, price, needs) or any(dot(row, x) > most for row, most in self.held):
            return
        if depth == self.number:
            self._accept(x, price)
            return
        stock = self.order[depth]
        for number in self._range(x, depth, needs):
            x[stock] = number
            rest = [need - bound[stock] * number for need, (bound, _) in zip(needs, self.cover.bounds, strict=True)]
            self._descend(x, depth + 1, price + self.row[stock] * number, rest)
        x[stock] = 0

    def _range(self, x: list[int], depth: int, needs: list[int]) -> range:
        """Bound the numbers of one stock: no more than could be needed; on the last, no fewer than is needed."""
        stock = self.order[depth]
        most = least = 0
        for need, (bound, _) in zip(needs, self.cover.bounds, strict=True):
            if need > 0 and bound[stock]:
                most = max(most, -(-need // bound[stock]))
        above = [gone[stock] + 1 for gone in self.cover.refuted if all(x[s] <= gone[s] for s in self.order[:depth])]
        most = min(max([most, *above]), self.cover.most[stock])
        if depth == self.number - 1:
            least = max([self._least_of_last(stock, needs), *above])
            return range(least, min(least, most) + 1)
        return range(most, -1, -1)

    def _least_of_last(self, stock: int, needs: list[int]) -> int:
        """Return the number of the last stock that meets every need; more than there are where none does."""
        least = 0
        for need, (bound, _) in zip(needs, self.cover.bounds, strict=True):
            if need > 0:
                least = max(least, -(-need // bound[stock]) if bound[stock] else self.cover.most[stock] + 1)
        return least

    def _promising(self, depth: int, price: int, needs: list[int]) -> bool:
        """Tell whether the rest can meet every need and stay below the best price."""
        for need, ranked in zip(needs, self.ranked, strict=True):
            extra = _fractional(need, depth, ranked)
            if extra is None or (self.best_value is not None and price + extra >= self.best_value):
                return False
        return self.best_value is None or price < self.best_value

    def _accept(self, x: list[int], price: int) -> None:
        """Keep the numbers unless a refuted answer covers them."""
        if not any(all(a <= b for a, b in zip(x, gone, strict=True)) for gone in self.cover.refuted):
            self.best, self.best_value = tuple(x), price


def _fractional(need: int, depth: int, ranked: Sequence[tuple[int, int, int, int]]) -> int | None:
    """Return the least price, rounded up, of meeting a need from the stocks not yet fixed; None: impossible."""
    price = 0
    for own_depth, cost, worth, most in ranked:
        if need <= 0:
            break
        if own_depth < depth:
            continue
        if need > worth * most:
            price += cost * most
            need -= worth * most
        else:
            return price - (-need * cost // worth)
    return price if need <= 0 else None
