"""Find the best numbers of stocks: ask for the least that are not excluded, until some are enough.

From cheap to dear: rules and a short search; prices of a linear program and a search guided by them; an integer program
over the patterns that those prices leave; a long search; and at last, unproved, more stock until a rule packs it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import gcd

from solver.cover import Cover, TooHardError, dot
from solver.enough import OPEN, Answer, Enough
from solver.packing import Effort
from solver.patterns import columns_within, linear_prices
from solver.prices import Worth
from solver.problems import Met
from solver.program import Outcome, Program
from solver.strips import Filled, Model, Used

MOST_ASKED = 12
"""numbers asked about before something dearer is tried (assumed)"""
GUIDED_SEARCH = 40_000
"""effort of a search guided by the prices of the linear program (assumed)"""
STEPS = (0.0, 0.005, 0.01, 0.02, 0.04, 0.1, 0.3)
"""shares above the bound at which the integer program looks for an answer, one after another (assumed)"""
SHARES = (4, 16, 64, 256, 1024)
"""parts of the slack to which patterns are cut down where there are too many (assumed)"""
NODE_WORK = 250
"""effort that one node of branch and bound counts for (assumed)"""
MOST_EXACT = 10**9
"""largest value of an objective that floating point is trusted to tell from the next (assumed)"""


class StockNumbers:
    """The search for the best numbers of stocks of one problem; `used`, `none` and `met` tell how it ended."""

    def __init__(
        self, model: Model, rows: Sequence[tuple[int, ...]], effort: Effort, progress: Callable[[str], None]
    ) -> None:
        self.model, self.rows, self.effort, self.progress = model, rows, effort, progress
        self.active = [*(row for row in rows if any(row)), (1,) * len(model.counts)]
        held = [sum(kind.demand for k, kind in enumerate(model.kinds) if self._fits(k, s)) for s in self._stocks()]
        limits = zip(model.counts, held, strict=True)
        self.cover = Cover(tuple(most if count is None else min(count, most) for count, most in limits))
        self.enough = Enough(model, self.cover, effort, progress)
        self.asked = (0,) * len(self.cover.most)
        """numbers asked about last"""
        self.used: tuple[Used, ...] | None = None
        self.none = False
        """whether it is proved that there is no answer"""

    def _stocks(self) -> range:
        return range(len(self.model.counts))

    def _fits(self, kind: int, stock: int) -> bool:
        """Tell whether a kind fits a stock."""
        types = (t for m in self.model.modes_of(stock) for t in self.model.modes[m].strips)
        return any(kind in self.model.strips[t].kinds for t in types)

    def run(self) -> None:
        """Search until an answer is found or there is none."""
        try:
            if self._ask_upwards(self.enough.ask):
                return
        except TooHardError:
            pass
        worth = self._linear()
        try:
            if self._ask_upwards(lambda numbers: self._guided(numbers, worth)):
                return
        except TooHardError:
            pass
        if self._program(worth):
            return
        answer = self.enough.search(self.asked, worth, self.effort.left)
        if answer.used is None:
            answer = self._grown()
        if answer.used is not None:
            self._consider(answer.used)

    def met(self) -> tuple[Met, ...]:
        """Return how well each objective is met."""
        numbers = self._numbers(self.used or ())
        held: list[tuple[Sequence[int], int]] = []
        found: list[Met] = []
        for place, row in enumerate(self.rows):
            value = dot(row, numbers)
            bound = self.cover.floor(row, held, numbers)
            found.append(Met(f"objective {place + 1}", value, bound, bound == value))
            held.append((row, value))
        return tuple(found)

    def _numbers(self, used: Sequence[Used]) -> tuple[int, ...]:
        """Count the stocks of each kind in a packing."""
        stocks = [self.model.modes[each.mode].stock for each in used]
        return tuple(stocks.count(s) for s in self._stocks())

    def _ask_upwards(self, ask: Callable[[Sequence[int]], Answer]) -> bool:
        """Ask about the least numbers, then the next, until one is enough (True) or stays open (False)."""
        for _ in range(MOST_ASKED):
            numbers = self.cover.least(self.active)
            if numbers is None:
                self.none = True
                return True
            self.asked = numbers
            self.progress(f"numbers {numbers}")
            answer = ask(numbers)
            if answer.used is not None:
                self._consider(answer.used)
                return True
            if answer == OPEN:
                return False
            self._refute(numbers)
        return False

    def _refute(self, numbers: tuple[int, ...]) -> None:
        """Note that some numbers are not enough, unless a bound says so already."""
        if all(dot(row, numbers) >= least for row, least in self.cover.bounds):
            self.cover.refuted.append(numbers)

    def _linear(self) -> Worth:
        """Add the bound that a linear program gives for the first objective."""
        self.progress("linear program")
        return self.enough.learn(linear_prices(self.model, self.active[0]))

    def _guided(self, numbers: Sequence[int], worth: Worth) -> Answer:
        """Look for a packing by rule, then search with given prices."""
        answer = self.enough.by_rule(numbers)
        return answer if answer.used is not None else self.enough.search(numbers, worth, GUIDED_SEARCH)

    def _program(self, worth: Worth) -> bool:
        """Solve the integer program over the patterns for ever higher values; tell whether it gave an answer."""
        row = self.active[0]
        ceiling = dot(row, self.cover.most)
        least = self.cover.floor(row)
        tops = [min(ceiling, int(least * (1 + share))) for share in STEPS]
        for top in [*dict.fromkeys(tops), ceiling]:
            if top < least:
                continue
            self.progress(f"integer program up to {top}")
            outcome = self._step(worth, least, top)
            if outcome is None or outcome.used is not None:
                return outcome is not None
            least = top + 1
            self.cover.bounds.append((row, least))
        self.none = True
        return True

    def _step(self, worth: Worth, least: int, top: int) -> Outcome | None:
        """Find the best answer between two values of the first objective; None: undecided."""
        row = self.active[0]
        columns = columns_within(self.model, worth, row, self.cover.most, top)
        if columns is None:
            self._take_part(worth, least, top)
            return None
        program = Program(self.model, columns, self.cover.most)
        program.hold(row, least, top)
        outcome = self._solved(program, row if least < top else None)
        if outcome.used is None:
            return outcome if outcome.closed else None
        sure = self._take(row, outcome)
        limits: list[tuple[Sequence[int], int]] = []
        for held, after in pairwise(self.active):
            value = dot(held, self._numbers(self.used or ()))
            program.hold(held, 0, value)
            limits.append((held, value))
            numbers = self._numbers(self.used or ())
            if self.cover.floor(after, limits, numbers) < dot(after, numbers):
                sure = self._take(after, self._solved(program, after), sure=sure)
        return outcome

    def _solved(self, program: Program, row: Sequence[int] | None) -> Outcome:
        """Solve a program with the effort left, and take its work off."""
        outcome = program.least(row, max(1, self.effort.left // NODE_WORK))
        self.effort.spend(outcome.nodes * NODE_WORK)
        return outcome

    def _take_part(self, worth: Worth, least: int, top: int) -> None:
        """Look for a good answer among the patterns of least loss, where there are too many to list."""
        row = self.active[0]
        for share in SHARES:
            columns = columns_within(self.model, worth, row, self.cover.most, top, share)
            if columns is not None:
                program = Program(self.model, columns, self.cover.most)
                program.hold(row, least, dot(row, self.cover.most))
                self._take(row, self._solved(program, row), sure=False)
                return

    def _take(self, row: Sequence[int], outcome: Outcome, *, sure: bool = True) -> bool:
        """Keep what an integer program found; where it is surely the best, that is a bound from here on.

        Such a bound on a later objective holds only while those before it stay, so it counts only if they are sure.
        """
        if outcome.used is None:
            return False
        self._consider(outcome.used)
        value = dot(row, self._numbers(trimmed(self.model, outcome.used)))
        sure = sure and outcome.closed and value <= MOST_EXACT * gcd(*row)
        if sure:
            self.cover.bounds.append((tuple(row), value))
        return sure

    def _grown(self) -> Answer:
        """Add stocks to those asked about last until a rule finds a packing."""
        grown = list(self.asked)
        while True:
            answer = self.enough.by_rule(grown)
            spare = [s for s, most in enumerate(self.cover.most) if grown[s] < most]
            if answer.used is not None or not spare:
                return answer
            grown[min(spare, key=self._dearness)] += 1

    def _consider(self, used: Sequence[Used]) -> None:
        """Keep a packing if it is better than the one kept so far."""
        packing = trimmed(self.model, used)
        if self.used is None or self._values(packing) < self._values(self.used):
            self.used = packing

    def _values(self, used: Sequence[Used]) -> list[int]:
        """Return the values of all objectives."""
        return [dot(row, self._numbers(used)) for row in self.active]

    def _dearness(self, stock: int) -> tuple[float, int]:
        """Rank a stock by the first objective for the material it holds."""
        worth = self.enough.material.stocks[stock]
        return (self.active[0][stock] / worth if worth else float("inf"), stock)


def trimmed(model: Model, used: Sequence[Used]) -> tuple[Used, ...]:
    """Take out the pieces that nobody asked for, and then what is empty."""
    left = list(model.demand)
    kept: list[Used] = []
    for each in used:
        strips: list[Filled] = []
        for filled in each.strips:
            kinds = model.strips[filled.strip].kinds
            fill = tuple(min(count, left[k]) for k, count in zip(kinds, filled.fill, strict=True))
            for k, count in zip(kinds, fill, strict=True):
                left[k] -= count
            if any(fill):
                strips.append(Filled(filled.strip, fill))
        if strips:
            kept.append(Used(each.mode, tuple(strips)))
    return tuple(kept)
