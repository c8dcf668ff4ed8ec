"""Which mixes of pieces the stocks give, at charges that are held: decided exactly, mix by mix."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from solver.joint_fit import fits
from solver.joint_kinds import Kinds
from solver.packing import Effort
from solver.prices import more_prices, worth_of
from solver.problems import Charge, Piece, Stock
from solver.stock_numbers import StockNumbers
from solver.strips import build_model

Ints = NDArray[np.int64]
Numbers = tuple[int, ...]
Prices = tuple[int, ...]

MOST_NUMBERS = 200
"""numbers of stocks of which none can be raised, above which nothing is decided (assumed)"""
CUT_EFFORT = 200_000
"""effort of deciding one mix (assumed; up to half a second)"""
SLOW = 40
"""effort of a mix that is cut as any pieces are, beside one that is only put into strips (measured, rounded)"""
MOST_PRICES = 10
"""price vectors by which mixes are told apart before they are cut (assumed)"""


class UndecidedError(Exception):
    """Whether the stocks give a mix is not settled by the work allowed."""


@dataclass
class Yard:
    """The stocks of one problem."""

    kinds: Kinds
    stocks: Sequence[Stock]
    charges: Mapping[str, Charge]

    def __post_init__(self) -> None:
        """Price the kinds: pieces, material, and as dual feasible functions say."""
        self._worth: dict[Prices, Numbers] = {}
        self._cut: dict[tuple[tuple[tuple[int, int], ...], Numbers], bool | None] = {}
        self._numbers: dict[tuple[int, int, tuple[tuple[str, int], ...]], tuple[Numbers, ...] | None] = {}
        found = [(1,) * self.kinds.number, *islice(more_prices(self.kinds.model), 4 * MOST_PRICES)]
        self.prices: list[Prices] = []
        for prices in found if self.kinds.number else []:
            if any(self.worth(prices)) and prices not in self.prices and len(self.prices) < MOST_PRICES:
                self.prices.append(prices)

    def worth(self, prices: Prices) -> Numbers:
        """Return what each stock is worth at most under prices of the kinds."""
        if prices not in self._worth:
            self._worth[prices] = worth_of(self.kinds.model, prices).stocks
        return self._worth[prices]

    def numbers(self, pieces: int, held: Mapping[str, int], most: int | None = None) -> tuple[Numbers, ...] | None:
        """Return the numbers of stocks that the charges held leave for so many pieces; None: there are too many.

        Only such are given of which none can be raised, and of no stock more than there are pieces; with `most` there
        may be so many of these.
        """
        most = pieces if most is None else most
        own = tuple(sorted((name, value) for name, value in held.items() if name in self.charges))
        key = pieces, most, own
        if key not in self._numbers:
            rows = [(self.charges[name].stocks, value - self.charges[name].piece * pieces) for name, value in own]
            tops = [most if stock.count is None else min(most, stock.count) for stock in self.stocks]
            self._numbers[key] = highest_numbers(rows, tops)
        return self._numbers[key]

    def room(self, prices: Prices, numbers: Sequence[Numbers]) -> int:
        """Return the most that a mix may come to under prices, from one of some numbers of stocks."""
        worth = np.array(self.worth(prices), dtype=np.int64)
        return max((int(np.dot(worth, np.array(x, dtype=np.int64))) for x in numbers), default=-1)

    def gives(self, mix: Mapping[int, int], numbers: Sequence[Numbers], effort: Effort) -> Numbers | None:
        """Return numbers of stocks that give a mix, by kind; None: none of these does.

        Raises
        ------
        UndecidedError
            When that is too hard to tell, or the effort does not do.
        """
        undecided = False
        for x in numbers:
            does = self._does(tuple(sorted(mix.items())), x, effort)
            if does:
                return x
            undecided = undecided or does is None
        if undecided:
            raise UndecidedError
        return None

    def _does(self, mix: tuple[tuple[int, int], ...], numbers: Numbers, effort: Effort) -> bool | None:
        key = mix, numbers
        if key not in self._cut:
            rooms = self._rooms(mix, numbers)
            if not effort.spend(1 if rooms is not None else SLOW):
                return None
            sizes = self.kinds.model.kinds
            does = (
                None if rooms is None else fits([sizes[k].length + self._kerf for k, n in mix for _ in range(n)], rooms)
            )
            if does is None and (rooms is None or effort.spend(SLOW)):
                does = self._decided(mix, numbers)
            self._cut[key] = does
        return self._cut[key]

    @property
    def _kerf(self) -> int:
        return self.kinds.model.strips[0].kerf

    def _rooms(self, mix: tuple[tuple[int, int], ...], numbers: Numbers) -> list[tuple[int, int]] | None:
        """Return rooms and numbers of the strips where these are all alike but for their length; None: they are not."""
        model = self.kinds.model
        heights = {model.kinds[k].height for k, _ in mix}
        if len(heights) > 1 or len({strip.kerf for strip in model.strips}) > 1:
            return None
        rooms: list[tuple[int, int]] = []
        for s, n in enumerate(numbers):
            modes = [model.modes[m] for m in model.modes_of(s)] if n else []
            for mode in modes:
                own = [
                    (t, need)
                    for t, need in zip(mode.strips, mode.needs, strict=True)
                    if model.strips[t].height in heights
                ]
                if len(modes) > 1 or len(own) != 1:
                    return None
                strip = model.strips[own[0][0]]
                if any(k not in strip.kinds and model.kinds[k].length + strip.kerf <= strip.run for k, _ in mix):
                    return None
                rooms.append((strip.run, n * (mode.breadth // own[0][1])))
        return rooms

    def _decided(self, mix: tuple[tuple[int, int], ...], numbers: Numbers) -> bool | None:
        sizes = self.kinds.model.kinds
        pieces = [Piece(sizes[k].length, sizes[k].height, n) for k, n in mix]
        stocks = [replace(stock, count=n) for stock, n in zip(self.stocks, numbers, strict=True)]
        model = build_model(pieces, stocks)
        if {k for strip in model.strips for k in strip.kinds} != set(range(len(model.kinds))):
            return False
        search = StockNumbers(model, [(1,) * len(stocks)], Effort(CUT_EFFORT), lambda _: None)
        search.run()
        return True if search.used is not None else False if search.none else None


def highest_numbers(rows: Sequence[tuple[Numbers, int]], tops: Sequence[int]) -> tuple[Numbers, ...] | None:
    """List the x ≤ tops with every Σ row·x ≤ its value, none of which can be raised; None: there are too many.

    Examples
    --------
    >>> highest_numbers([((2, 3), 7)], [9, 9])
    ((0, 2), (2, 1), (3, 0))
    >>> highest_numbers([((2, 3), -1)], [9, 9])
    ()
    """
    if any(value < 0 for _, value in rows):
        return ()
    partial: list[tuple[Numbers, tuple[int, ...]]] = [((), tuple(value for _, value in rows))]
    for s, top in enumerate(tops):
        grown = []
        for x, left in partial:
            most = min([top, *(have // row[s] for have, (row, _) in zip(left, rows, strict=True) if row[s])])
            for n in range(most if s == len(tops) - 1 else 0, most + 1):
                less = tuple(have - row[s] * n for have, (row, _) in zip(left, rows, strict=True))
                grown.append(((*x, n), less))
        partial = grown
        if len(partial) > 10 * MOST_NUMBERS:
            return None
    table = np.array([x for x, _ in partial], dtype=np.int64).reshape(len(partial), len(tops))
    above = np.all(table[None] >= table[:, None], axis=2).sum(axis=1)
    found = tuple(x for (x, _), n in zip(partial, above.tolist(), strict=True) if n == 1)
    return found if len(found) <= MOST_NUMBERS else None
