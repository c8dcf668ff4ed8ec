"""The integer program over patterns: the least of one objective while others are held."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd
from typing import Any

from solver.patterns import Columns
from solver.strips import Filled, Model, Used

SETTINGS = "presolving/maxrounds = 0\nseparating/maxroundsroot = 0\nseparating/maxrounds = 0\n"
"""plain branch and bound on the program as it stands: here 2 to 20 times faster than what SCIP does unasked (measured);
one round of presolving instead of none gave answers that break the program (SCIP 10.0.0, three stages, two stocks)"""


@dataclass(frozen=True)
class Outcome:
    """What an integer program found."""

    used: tuple[Used, ...] | None
    """None: nothing found"""
    closed: bool
    """whether that is the best there is, or, with nothing found, that there is nothing"""
    nodes: int
    """nodes of branch and bound that it took"""


class Program:
    """Numbers of patterns that give the demand."""

    def __init__(self, model: Model, columns: Columns, most: Sequence[int]) -> None:
        from ortools.linear_solver import pywraplp  # noqa: PLC0415 - the easy jobs never load it

        self.model, self.columns = model, columns
        self.empty = False
        """whether a condition was added that nothing meets"""
        self.solver = pywraplp.Solver.CreateSolver("SCIP")
        self.closed = {pywraplp.Solver.OPTIMAL, pywraplp.Solver.INFEASIBLE}
        self.found = {pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE}
        big = self.solver.infinity()
        self.layouts = [self.solver.IntVar(0, most[model.modes[m].stock], "") for m, _ in columns.layouts]
        self.filled = [self.solver.IntVar(0, big, "") for _ in columns.filled]
        self._supply()
        self._demand()
        self._number(most)

    def _supply(self) -> None:
        """Fill no more strips than the stocks give."""
        rows = [self.solver.Constraint(0, self.solver.infinity()) for _ in self.model.strips]
        for variable, (m, counts) in zip(self.layouts, self.columns.layouts, strict=True):
            for t, count in zip(self.model.modes[m].strips, counts, strict=True):
                rows[t].SetCoefficient(variable, count)
        for variable, one in zip(self.filled, self.columns.filled, strict=True):
            rows[one.strip].SetCoefficient(variable, -1)

    def _demand(self) -> None:
        """Give the demand of every kind."""
        rows = [self.solver.Constraint(kind.demand, self.solver.infinity()) for kind in self.model.kinds]
        for variable, one in zip(self.filled, self.columns.filled, strict=True):
            for k, count in zip(self.model.strips[one.strip].kinds, one.fill, strict=True):
                if count:
                    rows[k].SetCoefficient(variable, count)

    def _number(self, most: Sequence[int]) -> None:
        """Count the stocks, and branch on their numbers first: nothing else decides the objectives."""
        for stock, number in enumerate(most):
            total = self.solver.IntVar(0, number, "")
            total.SetBranchingPriority(1)
            row = self.solver.Constraint(0, 0)
            row.SetCoefficient(total, -1)
            for variable, (m, _) in zip(self.layouts, self.columns.layouts, strict=True):
                if self.model.modes[m].stock == stock:
                    row.SetCoefficient(variable, 1)

    def hold(self, row: Sequence[int], least: int, most: int) -> None:
        """Keep Σ row·x of the numbers of stocks between two values."""
        unit = gcd(*row) or 1  # small numbers, because the solver's tolerance grows with them
        smaller = [weight // unit for weight in row]
        low, high = -(-least // unit), most // unit
        if low > high:
            self.empty = True
        else:
            self._weigh(self.solver.Constraint(low, high), smaller)

    def _weigh(self, target: Any, row: Sequence[int]) -> None:
        """Set the weights of a row of the program, or of its objective."""
        for variable, (m, _) in zip(self.layouts, self.columns.layouts, strict=True):
            target.SetCoefficient(variable, row[self.model.modes[m].stock])

    def least(self, row: Sequence[int] | None, nodes: int) -> Outcome:
        """Find the least Σ row·x, or with no row any answer, within some nodes of branch and bound."""
        if self.empty:
            return Outcome(None, closed=True, nodes=1)
        self.solver.Objective().Clear()
        self.solver.Objective().SetMinimization()
        if row is not None:
            self._weigh(self.solver.Objective(), row)
        self.solver.SetSolverSpecificParametersAsString(f"limits/nodes = {nodes}\n{SETTINGS}")
        status = self.solver.Solve()
        nodes = max(1, int(self.solver.nodes()))
        if status not in self.found:
            return Outcome(None, status in self.closed, nodes)
        layouts, filled = ([round(v.solution_value()) for v in each] for each in (self.layouts, self.filled))
        if not self._meets(layouts, filled):
            return Outcome(None, closed=False, nodes=nodes)
        return Outcome(self._expand(layouts, filled), status in self.closed, nodes)

    def _meets(self, layouts: Sequence[int], filled: Sequence[int]) -> bool:
        """Check rounded numbers in integers: no more strips than the stocks give, and all of the demand."""
        strips = [0] * len(self.model.strips)
        left = list(self.model.demand)
        for times, (m, counts) in zip(layouts, self.columns.layouts, strict=True):
            for t, count in zip(self.model.modes[m].strips, counts, strict=True):
                strips[t] += times * count
        for times, one in zip(filled, self.columns.filled, strict=True):
            strips[one.strip] -= times
            for k, count in zip(self.model.strips[one.strip].kinds, one.fill, strict=True):
                left[k] -= times * count
        return min(strips) >= 0 >= max(left)

    def _expand(self, layouts: Sequence[int], filled: Sequence[int]) -> tuple[Used, ...]:
        """Lay the filled strips into the layouts, like to like."""
        pool: dict[int, list[Filled]] = {}
        for one, times in zip(self.columns.filled, filled, strict=True):
            pool.setdefault(one.strip, []).extend([one] * times)
        used: list[Used] = []
        for (m, counts), times in zip(self.columns.layouts, layouts, strict=True):
            for _ in range(times):
                strips: list[Filled] = []
                for t, count in zip(self.model.modes[m].strips, counts, strict=True):
                    waiting = pool.get(t, [])
                    strips += waiting[:count]
                    del waiting[:count]
                used.append(Used(m, tuple(strips)))
        return tuple(used)
