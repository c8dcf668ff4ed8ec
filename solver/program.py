"""The integer program over patterns: the least of one objective while others are held."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from solver.patterns import Columns
from solver.strips import Filled, Model, Used

SETTINGS = "presolving/maxrounds = 1\nseparating/maxroundsroot = 5\nseparating/maxrounds = 0\n"
"""few cutting planes and many nodes: three times faster here than what SCIP does unasked (measured)"""


@dataclass(frozen=True)
class Outcome:
    """What an integer program found."""

    used: tuple[Used, ...] | None
    """None: nothing found"""
    closed: bool
    """whether that is the best there is, or, with nothing found, that there is nothing"""


class Program:
    """Numbers of patterns that give the demand."""

    def __init__(self, model: Model, columns: Columns, most: Sequence[int]) -> None:
        from ortools.linear_solver import pywraplp  # noqa: PLC0415 - the easy jobs never load it

        self.model, self.columns = model, columns
        self.solver = pywraplp.Solver.CreateSolver("SCIP")
        self.closed = {pywraplp.Solver.OPTIMAL, pywraplp.Solver.INFEASIBLE}
        self.found = {pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE}
        big = self.solver.infinity()
        self.layouts = [self.solver.IntVar(0, most[model.modes[m].stock], "") for m, _ in columns.layouts]
        self.filled = [self.solver.IntVar(0, big, "") for _ in columns.filled]
        self._supply()
        self._demand()
        for stock, number in enumerate(most):
            row = tuple(int(stock == s) for s in range(len(most)))
            self.hold(row, 0, number)

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

    def hold(self, row: Sequence[int], least: int, most: int) -> None:
        """Keep Σ row·x of the numbers of stocks between two values."""
        self._weigh(self.solver.Constraint(least, most), row)

    def _weigh(self, target: Any, row: Sequence[int]) -> None:
        """Set the weights of a row of the program, or of its objective."""
        for variable, (m, _) in zip(self.layouts, self.columns.layouts, strict=True):
            target.SetCoefficient(variable, row[self.model.modes[m].stock])

    def least(self, row: Sequence[int] | None, nodes: int) -> Outcome:
        """Find the least Σ row·x, or with no row any answer, within some nodes of branch and bound."""
        self.solver.Objective().Clear()
        self.solver.Objective().SetMinimization()
        if row is not None:
            self._weigh(self.solver.Objective(), row)
        self.solver.SetSolverSpecificParametersAsString(f"limits/nodes = {nodes}\n{SETTINGS}")
        status = self.solver.Solve()
        used = self._expand() if status in self.found else None
        return Outcome(used, status in self.closed)

    def _expand(self) -> tuple[Used, ...]:
        """Lay the filled strips into the layouts, like to like."""
        pool: dict[int, list[Filled]] = {}
        for one, variable in zip(self.columns.filled, self.filled, strict=True):
            pool.setdefault(one.strip, []).extend([one] * round(variable.solution_value()))
        used: list[Used] = []
        for (m, counts), variable in zip(self.columns.layouts, self.layouts, strict=True):
            for _ in range(round(variable.solution_value())):
                strips: list[Filled] = []
                for t, count in zip(self.model.modes[m].strips, counts, strict=True):
                    waiting = pool.get(t, [])
                    strips += waiting[:count]
                    del waiting[:count]
                used.append(Used(m, tuple(strips)))
        return tuple(used)
