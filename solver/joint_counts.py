"""The question without positions: how many pieces of each number of steps, so that steps add up to each track.

Every answer gives such numbers, so the least of this program is a bound; and its prices are those under which ways
along the tracks are charged for what they take from the stocks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from solver.joint_draft import Draft, Solved
from solver.joint_kinds import Kinds
from solver.joint_supply import Patterns, draw_supply
from solver.problems import Charge


class Counts:
    """The program of one problem, with what is held drawn in."""

    def __init__(
        self,
        kinds: Kinds,
        patterns: Patterns,
        charges: Sequence[Charge],
        held: Mapping[str, int],
        asked: str,
    ) -> None:
        """Draw it; what is held and cannot be said without positions is left out."""
        self.kinds, self.patterns = kinds, patterns
        self.charges = {charge.name: charge for charge in charges}
        self.draft = Draft()
        self.supply = draw_supply(self.draft, kinds.model, patterns)
        self.taken: list[tuple[int, int, int]] = []
        """(steps, kind, column) of all tracks"""
        for lane in kinds.lanes:
            self._lane(lane.size, lane.kinds, {} if lane.track.closed else lane.last_kinds)
        self.demand = self._demand()
        self.used = self._lengths() if "different" in {asked, *held} else {}
        self.relaxed: dict[str, float] = {}
        """what each goal comes to at least, as far as fractions say"""
        self.rows: dict[str, tuple[int, int]] = {}
        """row of each goal held, and the unit that its weights were divided by"""
        for name, most in held.items():
            if name in {"different", "pieces"} or name in self.charges:
                self.rows[name] = self.draft.hold(self.terms(name), most)

    def _lane(self, size: int, kinds: dict[int, int], last: dict[int, int]) -> None:
        """Let the pieces of a track have its size; a line has one last piece."""
        row: dict[int, float] = {}
        for n, kind in kinds.items():
            column = self.draft.columns(1, float(size // n))
            self.taken.append((n, kind, column))
            row[column] = float(n)
        ends: dict[int, float] = {}
        for n, kind in last.items():
            column = self.draft.columns(1, 1.0)
            self.taken.append((n, kind, column))
            row[column] = float(n)
            ends[column] = 1.0
        self.draft.row(row, size, size)
        if ends:
            self.draft.row(ends, 1, 1)

    def _demand(self) -> int:
        """Let no more pieces of a kind be used than the stocks give; return the first of the rows."""
        number = self.kinds.number
        return self.draft.rows(
            np.concatenate([np.array([kind for _, kind, _ in self.taken], dtype=np.int64), np.arange(number)]),
            np.concatenate(
                [np.array([c for _, _, c in self.taken], dtype=np.int64), self.supply.kinds + np.arange(number)]
            ),
            np.concatenate([-np.ones(len(self.taken)), np.ones(number)]),
            np.zeros(number),
            np.full(number, np.inf),
        )

    def _lengths(self) -> dict[int, int]:
        """Draw whether each number of steps is used at all."""
        used: dict[int, int] = {}
        for n, _, column in self.taken:
            if n not in used:
                used[n] = self.draft.columns(1, 1.0)
            most = max(lane.size // n for lane in self.kinds.lanes)
            self.draft.row({column: -1.0, used[n]: float(max(1, most))}, low=0)
        return used

    def terms(self, goal: str) -> dict[int, int]:
        """Return the weights of the columns that make up a goal."""
        if goal == "pieces":
            return {column: 1 for _, _, column in self.taken}
        if goal == "different":
            return dict.fromkeys(self.used.values(), 1)
        charge, modes = self.charges[goal], self.kinds.model.modes
        first = self.supply.layouts
        stocks = {first + i: charge.stocks[modes[m].stock] for i, (m, _) in enumerate(self.patterns.layouts)}
        return stocks | {column: charge.piece for _, _, column in self.taken}

    def least(self, goal: str, nodes: int) -> Solved:
        """Find the least of a goal in whole numbers."""
        return self.draft.solve({c: float(w) for c, w in self.terms(goal).items()}, nodes)

    def prices(self, goal: str) -> tuple[list[float], float] | None:
        """Return the price of each kind and that of any piece, in units of the goal; None: there is no answer."""
        out = self.draft.prices({c: float(w) for c, w in self.terms(goal).items()})
        if out.duals is None:
            return None
        self.relaxed[goal] = out.bound
        kinds = [max(0.0, float(d)) for d in out.duals[self.demand : self.demand + self.kinds.number]]
        piece = 1.0 if goal == "pieces" else float(self.charges[goal].piece)
        for name, (row, unit) in self.rows.items():
            weight = 1 if name == "pieces" else self.charges[name].piece if name in self.charges else 0
            piece += max(0.0, -float(out.duals[row])) * weight / unit
        return kinds, piece
