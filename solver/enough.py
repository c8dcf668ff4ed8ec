"""Decide whether given numbers of stocks are enough: find a packing, or prove that there is none.

From cheap to dear: rules, a short search, bounds from dual feasible functions, a search guided by better prices.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice, product

from solver.cover import Cover
from solver.packing import Completion, Effort, first_fit
from solver.prices import Worth, first_prices, more_prices, worth_of
from solver.shelves import fill_in_turn, value_rules
from solver.strips import Filled, Model, Used

SHORT_SEARCH = 40_000
"""effort of a first search (assumed)"""
MOST_PRICES = 150
BEST_PRICES = 8
"""price vectors that are tried at once, and of those that prove something the ones kept (assumed)"""
MOST_SPLITS = 64
"""ways of turning some of the stocks and not others that are looked at (assumed)"""


@dataclass(frozen=True)
class Answer:
    """A packing, or the proof that there is none, or neither."""

    used: tuple[Used, ...] | None = None
    refuted: bool = False


NO = Answer(refuted=True)
OPEN = Answer()


@dataclass
class Enough:
    """Answers whether numbers of stocks are enough, and gathers in `cover` what it learns on the way."""

    model: Model
    cover: Cover
    effort: Effort
    progress: Callable[[str], None]
    material: Worth = field(init=False)
    deeper: bool = False
    """whether the dearer dual feasible functions are in the cover already"""

    def __post_init__(self) -> None:
        for prices in first_prices(self.model):
            self.material = self.learn(prices)

    def ask(self, numbers: Sequence[int]) -> Answer:
        """Decide about some numbers of stocks, as far as that is cheap."""
        answer = self.by_rule(numbers)
        if answer == OPEN:
            answer = self.search(numbers, self.material, SHORT_SEARCH)
        return self._by_bounds(numbers) if answer == OPEN else answer

    def by_rule(self, numbers: Sequence[int]) -> Answer:
        """Look for a packing by rules alone."""
        if self.model.one_strip:
            return self._first_fit(numbers)
        for values in value_rules(self.model):
            for largest_first, look_ahead in product((True, False), (True, False)):
                self.progress("rule")
                used, left = fill_in_turn(
                    self.model, numbers, values, largest_first=largest_first, look_ahead=look_ahead
                )
                if not any(left):
                    return Answer(used)
        return OPEN

    def learn(self, prices: Sequence[int]) -> Worth:
        """Add the bound of one price vector."""
        worth = worth_of(self.model, prices)
        self.cover.bounds.append((worth.stocks, worth.total))
        return worth

    def _by_bounds(self, numbers: Sequence[int]) -> Answer:
        """Bring in the dearer bounds, once."""
        if self.deeper:
            return OPEN
        self.deeper = True
        self.progress("bounds")
        worths = [worth_of(self.model, prices) for prices in islice(more_prices(self.model), MOST_PRICES)]
        lacking = sorted((w for w in worths if w.lack(numbers) > 0), key=lambda w: -w.lack(numbers) / w.total)
        self.cover.bounds += [(worth.stocks, worth.total) for worth in lacking[:BEST_PRICES]]
        return NO if lacking else OPEN

    def _first_fit(self, numbers: Sequence[int]) -> Answer:
        """Try first and best fit on every way of turning the stocks."""
        for split in islice(self._splits(numbers), MOST_SPLITS):
            strips = self._strips(split)
            for tightest in (True, False):
                filled = first_fit(self.model, strips, tightest=tightest)
                if filled is not None:
                    return Answer(self._laid_out(split, filled))
        return OPEN

    def search(self, numbers: Sequence[int], worth: Worth, work: int) -> Answer:
        """Search every way of turning the stocks; refuted only when each of them is."""
        if not self.model.one_strip:
            return OPEN
        refuted = True
        for place, split in enumerate(self._splits(numbers)):
            if place == MOST_SPLITS:
                return OPEN
            allowed = Effort(max(0, min(work, self.effort.left)))
            self.effort.spend(allowed.left)
            verdict = Completion(self.model, worth, allowed).run(self._strips(split))
            self.effort.left += max(0, allowed.left)
            if verdict.filled is not None:
                return Answer(self._laid_out(split, verdict.filled))
            refuted = refuted and verdict.refuted
        return NO if refuted else OPEN

    def _splits(self, numbers: Sequence[int]) -> Iterator[tuple[int, ...]]:
        """Yield how many stocks go to each mode, for every way of turning some of them."""
        ways: list[list[tuple[int, ...]]] = []
        for stock, number in enumerate(numbers):
            modes = self.model.modes_of(stock)
            ways.append([(number - n, n) for n in range(number + 1)] if len(modes) == 2 else [(number,) * len(modes)])
        for choice in product(*ways):
            yield tuple(n for each in choice for n in each)

    def _strips(self, split: Sequence[int]) -> list[int]:
        """Count the strips of each type that the modes give."""
        numbers = [0] * len(self.model.strips)
        for m, times in enumerate(split):
            numbers[self.model.modes[m].strips[0]] += times * self.model.strips_of(m)
        return numbers

    def _laid_out(self, split: Sequence[int], filled: Sequence[Filled]) -> tuple[Used, ...]:
        """Lay filled strips into the stocks of a split, like to like."""
        waiting: dict[int, list[Filled]] = {}
        for each in sorted(filled, key=lambda f: (f.strip, f.fill), reverse=True):
            waiting.setdefault(each.strip, []).append(each)
        used: list[Used] = []
        for m, times in enumerate(split):
            pool = waiting.get(self.model.modes[m].strips[0], [])
            number = self.model.strips_of(m)
            for _ in range(times):
                if pool:
                    used.append(Used(m, tuple(pool[:number])))
                    del pool[:number]
        return tuple(used)
