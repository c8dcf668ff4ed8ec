"""Linear and integer programs over patterns, for what rules and search leave open.

Two levels, as Gilmore & Gomory (Oper. Res. 13, 1965): how a stock gives strips, and how a strip gives pieces. The
linear program yields prices; what they prove is worked out again in integers (`solver.prices`). The integer program
holds every pattern whose loss under those prices an answer of a given value can bear: no such answer uses any other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from solver.knapsack import best_fill
from solver.packing import Effort, fills
from solver.prices import Worth, mode_worth
from solver.strips import Filled, Model

SCALE = 10**6
"""integer prices for one unit of an objective (assumed): finer would be noise of the linear program"""
FINE = 1_000
"""steps finer than those while columns are sought, so that none is missed by rounding (assumed)"""
TOLERANCE = 1e-9
"""reduced cost, as a share of the dearest stock, under which a pattern is no better (assumed)"""
MOST_PATTERNS = 20_000
"""patterns of one integer program (assumed)"""
ENUMERATION = 1_000_000
"""effort of listing them (assumed)"""
MOST_ROUNDS = 2_000
"""rounds of column generation (assumed)"""


@dataclass
class _Master:
    """The linear program: least Σ row·x such that the stocks give the strips, and the strips the demand."""

    model: Model
    row: Sequence[int]
    solver: Any = None
    demand: list[Any] = field(default_factory=list)
    strips: list[Any] = field(default_factory=list)
    stocks: list[Any] = field(default_factory=list)

    def __post_init__(self) -> None:
        from ortools.linear_solver import pywraplp  # noqa: PLC0415 - the easy jobs never load it

        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        big = self.solver.infinity()
        self.demand = [self.solver.Constraint(kind.demand, big) for kind in self.model.kinds]
        self.strips = [self.solver.Constraint(0, big) for _ in self.model.strips]
        limits = [big if count is None else count for count in self.model.counts]
        self.stocks = [self.solver.Constraint(-big, limit) for limit in limits]
        self.solver.Objective().SetMinimization()
        for row in self.demand:  # lets the first rounds be feasible
            row.SetCoefficient(self._column(10.0 * max(self.row)), 1)

    def _column(self, cost: float = 0.0) -> Any:
        column = self.solver.NumVar(0, self.solver.infinity(), "")
        self.solver.Objective().SetCoefficient(column, cost)
        return column

    def solve(self) -> list[list[float]]:
        """Solve, and return the prices of kinds and strip types, and what each stock may cost."""
        self.solver.Solve()
        kinds, strips, stocks = ([row.dual_value() for row in rows] for rows in (self.demand, self.strips, self.stocks))
        costs = [cost - min(dual, 0.0) for cost, dual in zip(self.row, stocks, strict=True)]
        return [[max(price, 0.0) for price in kinds], [max(price, 0.0) for price in strips], costs]

    def add_fill(self, t: int, fill: Sequence[int]) -> None:
        """Add a way to fill strip type t."""
        column = self._column()
        self.strips[t].SetCoefficient(column, -1)
        for k, copies in zip(self.model.strips[t].kinds, fill, strict=True):
            if copies:
                self.demand[k].SetCoefficient(column, copies)

    def add_layout(self, m: int, counts: Sequence[int]) -> None:
        """Add a way to divide a stock into strips."""
        mode = self.model.modes[m]
        column = self._column(self.row[mode.stock])
        self.stocks[mode.stock].SetCoefficient(column, 1)
        for t, copies in zip(mode.strips, counts, strict=True):
            if copies:
                self.strips[t].SetCoefficient(column, copies)


def linear_prices(model: Model, row: Sequence[int]) -> tuple[int, ...]:
    """Return the integer prices, SCALE for one unit of the objective `row`, that prove the most about it.

    Column generation; where it is stopped early the prices are only weaker.
    """
    master = _Master(model, row)
    for m, mode in enumerate(model.modes):
        if len(mode.strips) == 1:
            master.add_layout(m, [model.strips_of(m)])
    prices: list[float] = []
    for _ in range(MOST_ROUNDS):
        prices, strips, costs = master.solve()
        if not _price_out(master, prices, strips, costs):
            break
    return tuple(int(price * SCALE) for price in prices)


def _price_out(master: _Master, prices: Sequence[float], strips: Sequence[float], costs: Sequence[float]) -> int:
    """Add the best pattern of each strip type and mode that improves; return how many were added."""
    model = master.model
    fine = SCALE * FINE
    least = TOLERANCE * max(master.row)
    whole = [int(price * fine) for price in prices]
    added = 0
    for t, strip in enumerate(model.strips):
        caps = [model.kinds[k].demand for k in strip.kinds]
        value, fill = best_fill(strip.sizes, [whole[k] for k in strip.kinds], caps, strip.run)
        if value > (strips[t] + least) * fine:
            master.add_fill(t, fill)
            added += 1
    for m, mode in enumerate(model.modes):
        if len(mode.strips) > 1:
            value, counts = mode_worth(mode, [int(strip * fine) for strip in strips])
            if value > (costs[mode.stock] + least) * fine:
                master.add_layout(m, counts)
                added += 1
    return added


@dataclass(frozen=True)
class Columns:
    """The patterns of one integer program."""

    layouts: tuple[tuple[int, tuple[int, ...]], ...]
    """(mode, number of strips of each of its types)"""
    filled: tuple[Filled, ...]


def columns_within(
    model: Model, worth: Worth, row: Sequence[int], most: Sequence[int], value: int, share: int = 1
) -> Columns | None:
    """List every pattern that an answer with Σ row·x ≤ value may use; None: there are too many to list.

    What an answer costs above the worth of the demand is the loss of its patterns and what its stocks cost above
    their worth; at most `most` of each stock may cost less. So no pattern of it loses more than the slack. Only
    maximal patterns are listed: they may give more pieces than wanted. With `share` only patterns that lose no more
    than that part of the slack are listed, which proves nothing but finds good answers.
    """
    over = [SCALE * cost - w for cost, w in zip(row, worth.stocks, strict=True)]
    slack = SCALE * value - worth.total - sum(min(0, o) * n for o, n in zip(over, most, strict=True))
    slack //= share
    effort = Effort(ENUMERATION)
    layouts: list[tuple[int, tuple[int, ...]]] = []
    for m, mode in enumerate(model.modes):
        spare = slack - max(0, over[mode.stock])
        if most[mode.stock] and spare >= 0:
            values = [worth.strips[t] for t in mode.strips]
            caps = [mode.breadth // need for need in mode.needs]
            least = worth.stocks[mode.stock] - spare
            within = fills(mode.needs, values, caps, mode.breadth, least, effort=effort)
            found = _some(within, MOST_PATTERNS - len(layouts), effort)
            if found is None:
                return None
            layouts += [(m, counts) for counts in found]
    given = {t for m, counts in layouts for t, n in zip(model.modes[m].strips, counts, strict=True) if n}
    filled: list[Filled] = []
    for t in sorted(given):
        strip = model.strips[t]
        prices = [worth.prices[k] for k in strip.kinds]
        caps = [model.kinds[k].demand for k in strip.kinds]
        within = fills(strip.sizes, prices, caps, strip.run, worth.strips[t] - slack, effort=effort)
        found = _some(within, MOST_PATTERNS - len(filled), effort)
        if found is None:
            return None
        filled += [Filled(t, fill) for fill in found]
    return Columns(tuple(layouts), tuple(filled))


def _some(found: Iterable[tuple[int, tuple[int, ...]]], most: int, effort: Effort) -> list[tuple[int, ...]] | None:
    """Collect the counts of the fills, or None where there are more than `most` or the effort ran out."""
    kept: list[tuple[int, ...]] = []
    for _, counts in found:
        if len(kept) >= most:
            return None
        kept.append(counts)
    return kept if effort.left >= 0 else None
