"""An integer program, drawn up column by column and row by row, and handed to HiGHS."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import gcd
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solver import worker

TOLERANCE = 1e-6
"""what HiGHS lets a row, a whole number and a bound be off (its own defaults)"""

MOST_INSIDE = 1_500
"""columns of a program that is solved in this process: one of 550 columns took up to five
seconds (measured); a larger one gets a process of its own, whose start it can bear (half a second, measured)"""

NODE_WORK = 200_000_000
"""columns × rows × nodes of branch and bound of one program: 2744 × 406 take 0.1 s a node (measured)"""

STALL = 10.0
"""seconds of the processor after which such a process is given up (assumed): nodes do not bound what one of them takes,
so this guard does. On a slow machine it may leave a goal unproved that a quick one proves; that is told by the word"""

HANGS = 6
"""times as long by the clock, after which a process is given up that others keep from the processor (assumed)"""

START = 0.5
"""seconds that starting such a process takes (measured)"""

SHARE_OFF = 1e-8
"""share of a bound that floating point may be off (assumed)"""


@dataclass(frozen=True, eq=False)
class Solved:
    """How a program ended."""

    values: NDArray[np.int64] | None
    """of the columns, rounded; None: nothing found"""
    bound: float
    """no answer is below this; infinite: there is none"""
    duals: NDArray[np.float64] | None = None
    """of the rows, where it was solved with fractions"""
    word: str = ""
    """what became of its process where that gave nothing"""


@dataclass
class Draft:
    """Columns ≥ 0 with upper limits, rows with lower and upper limits."""

    highs: list[NDArray[np.float64]] = field(default_factory=list)
    entries: list[tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64]]] = field(default_factory=list)
    lows: list[float] = field(default_factory=list)
    tops: list[float] = field(default_factory=list)
    width: int = 0
    seconds: float | None = None
    """what its solution may take, where somebody gave only so much time; None: as long as the nodes take"""

    def __post_init__(self) -> None:
        """Begin with a column that is nothing, for rows that would have no other."""
        self.columns(1, 0.0)
        self.row({0: 0.0}, high=0.0)

    def columns(self, number: int, high: ArrayLike = np.inf) -> int:
        """Add columns and return the first."""
        self.highs.append(np.broadcast_to(np.asarray(high, dtype=np.float64), (number,)))
        self.width += number
        return self.width - number

    def row(self, entries: Mapping[int, float], low: float = -np.inf, high: float = np.inf) -> int:
        """Add one row and return its number."""
        columns = np.fromiter(entries.keys(), dtype=np.int64, count=len(entries))
        weights = np.fromiter(entries.values(), dtype=np.float64, count=len(entries))
        return self.rows(np.zeros(len(columns), dtype=np.int64), columns, weights, np.array([low]), np.array([high]))

    def hold(self, terms: Mapping[int, int], most: int) -> tuple[int, int]:
        """Keep a sum at or below a value; return the row and what its weights were divided by, to be small."""
        unit = gcd(*terms.values()) or 1
        return self.row({column: w / unit for column, w in terms.items() if w}, high=float(most // unit)), unit

    def reach(self, terms: Mapping[int, int], least: int) -> None:
        """Keep a sum at or above a value."""
        unit = gcd(*terms.values()) or 1
        self.row({column: w / unit for column, w in terms.items() if w}, low=float(-(-least // unit)))

    def rows(
        self,
        rows: NDArray[np.int64],
        columns: NDArray[np.int64],
        weights: NDArray[np.float64],
        low: NDArray[np.float64],
        high: NDArray[np.float64],
    ) -> int:
        """Add a block of rows, numbered from 0 in `rows`; return the number of the first."""
        first = len(self.lows)
        self.entries.append((rows + first, columns, weights))
        self.lows += low.tolist()
        self.tops += high.tolist()
        return first

    def solve(self, objective: Mapping[int, float], nodes: int) -> Solved:
        """Find the least of an objective, within some nodes of branch and bound.

        A large program is solved in a process of its own: where that dies or stalls, nothing is known, and the word
        says so.
        """
        weights = np.zeros(self.width)
        weights[list(objective.keys())] = list(objective.values())
        nodes = max(1, min(nodes, NODE_WORK // (self.width * len(self.lows))))
        parts = (weights, np.concatenate(self.highs), self._matrix(), np.array(self.lows), np.array(self.tops), nodes)
        if self.width <= MOST_INSIDE:
            return solved(*parts, self.seconds)
        if self.seconds is None or self.seconds > STALL:
            hangs = min(HANGS * STALL, self.seconds or np.inf)
            found, word = worker.run(solved, *parts, None, stall=hangs, work=int(STALL))
            return found if found is not None else Solved(None, -np.inf, word=word)
        # its own limit is a little shorter than the guard, so that it may tell what it has found
        found, word = worker.run(solved, *parts, max(0.0, self.seconds - START), stall=self.seconds)
        late = word == worker.STALLED  # as was asked for
        return found if found is not None else Solved(None, -np.inf, word="" if late else word)

    def prices(self, objective: Mapping[int, float]) -> Solved:
        """Solve with fractions, and return the duals of the rows."""
        from scipy.optimize import linprog  # noqa: PLC0415 - the easy jobs never load it
        from scipy.sparse import vstack  # noqa: PLC0415

        weights = np.zeros(self.width)
        weights[list(objective.keys())] = list(objective.values())
        low, high = np.array(self.lows), np.array(self.tops)
        matrix = self._matrix().tocsr()
        below, above = np.flatnonzero(np.isfinite(low)), np.flatnonzero(np.isfinite(high))
        rows: Any = vstack([-matrix[below], matrix[above]])
        limits: Any = np.stack([np.zeros(self.width), np.concatenate(self.highs)], axis=1)
        out: Any = linprog(
            weights,
            A_ub=rows,
            b_ub=np.concatenate([-low[below], high[above]]),
            bounds=limits,
            method="highs-ds",
            options={} if self.seconds is None else {"time_limit": self.seconds},
        )
        if out.status == 2:
            return Solved(None, np.inf)
        if out.status != 0:
            return Solved(None, -np.inf)
        duals = np.zeros(len(low))
        np.add.at(duals, below, -out.ineqlin.marginals[: len(below)])
        np.add.at(duals, above, out.ineqlin.marginals[len(below) :])
        return Solved(None, float(out.fun), duals)

    def _matrix(self) -> Any:
        from scipy.sparse import csc_array  # noqa: PLC0415

        rows, columns, weights = (np.concatenate(each) for each in zip(*self.entries, strict=True))
        return csc_array((weights, (rows, columns)), shape=(len(self.lows), self.width))


def solved(
    weights: NDArray[np.float64],
    tops: NDArray[np.float64],
    matrix: Any,
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    nodes: int,
    seconds: float | None = None,
) -> Solved:
    """Find the least weights·x over whole x from 0 to `tops` with low ≤ matrix·x ≤ high."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - the easy jobs never load it

    options: Any = {"node_limit": nodes, "mip_rel_gap": 0.0}
    if seconds is not None:
        options["time_limit"] = seconds
    with worker.hushed():  # HiGHS says some of what it does whether asked or not
        out: Any = milp(
            weights,
            integrality=np.ones(len(weights), dtype=np.int64),
            bounds=Bounds(np.zeros(len(weights)), tops),
            constraints=LinearConstraint(matrix, low, high),
            options=options,
        )
    if out.status == 2:
        return Solved(None, np.inf)
    bound = -np.inf if out.mip_dual_bound is None else float(out.mip_dual_bound)
    return Solved(None if out.x is None else np.rint(out.x).astype(np.int64), bound)
