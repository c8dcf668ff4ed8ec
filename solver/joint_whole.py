"""The whole question, solved at most once for each goal: the search reads its answer, the floor its bound."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil, gcd, inf, isinf

import numpy as np
from numpy.typing import NDArray

from solver.hurry import LEAST, left_of
from solver.joint_counts import Counts
from solver.joint_draft import SHARE_OFF, TOLERANCE, Draft, Solved
from solver.joint_flow import MIX, Flow, Only
from solver.joint_kinds import Kinds
from solver.joint_order import lowest_order
from solver.joint_supply import Patterns, patterns_of
from solver.problems import Charge

MOST_ARCS = 12_000
"""pieces that tracks may give, above which the whole question is not asked (assumed)"""

MOST_SETTLED = 4_000
"""pieces that tracks may give, above which ties are left as they were found (assumed)"""

SETTLING = 200
"""nodes of branch and bound that ties are worth (assumed)"""

NEVER = 1 << 60
"""bound where there is no answer"""

FINE = 10**6
"""integer steps of the dearest price (assumed)"""

Key = tuple[str, tuple[tuple[str, int], ...]]

Positions = tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Found:
    """An answer to the whole question."""

    positions: Positions
    numbers: tuple[int, ...]
    """of the stocks"""


@dataclass
class Whole:
    """Solves the whole question for one goal while others are held."""

    kinds: Kinds
    charges: Sequence[Charge]
    effort: int
    """arcs × nodes of branch and bound for each goal"""
    hurry: Callable[[], bool] | None = None
    """where it knows how much time is left, no program takes longer"""
    mirrors: Sequence[int] | None = None
    """of each track, where its breaks are to be mirrored"""

    def __post_init__(self) -> None:
        """Remember what was solved."""
        self._known: dict[Key, tuple[int | None, Found | None]] = {}
        self._counts: dict[Key, Counts] = {}
        self._bounds: dict[Key, int | None] = {}
        self._parts: set[tuple[Key, int, tuple[frozenset[tuple[int, int]], ...]]] = set()
        self._given_up: int | None = None
        """columns of the smallest program whose process gave nothing; none so large is asked again"""
        self.words: list[str] = []
        """what became of processes that gave nothing"""

    @cached_property
    def patterns(self) -> Patterns | None:
        """Patterns of the stocks; None: there are too many, or no programs are wanted."""
        return patterns_of(self.kinds) if self.effort > 0 else None

    @cached_property
    def levels(self) -> NDArray[np.int64]:
        """All prices of a break, and nothing."""
        return np.unique(np.concatenate([[0], *(lane.track.cost for lane in self.kinds.lanes)]))

    def nodes(self, size: int) -> int:
        """Return how many nodes of branch and bound a program of a size may take."""
        return max(1, self.effort // max(1, size))

    def counts(self, goal: str, held: Mapping[str, int]) -> Counts | None:
        """Return the question without positions; None: there are too many patterns."""
        if self.patterns is None or (self.hurry is not None and self.hurry()):
            return None
        key = _key(goal, held)
        if key not in self._counts:
            self._counts[key] = Counts(self.kinds, self.patterns, self.charges, held, goal)
        return self._counts[key]

    def priced(self) -> list[tuple[int, ...]]:
        """Return prices of kinds under which the first charge, with nothing held, is as great as fractions say."""
        counts = self.counts(self.charges[0].name, {}) if self.charges else None
        found = counts.prices(self.charges[0].name) if counts else None
        if found is None or not found[0] or max(found[0]) <= 0:
            return []
        return [tuple(int(price * FINE / max(found[0])) for price in found[0])]

    def without_positions(self, goal: str, held: Mapping[str, int]) -> int | None:
        """Return the bound of the question without positions; None: nothing is known. `NEVER`: there is no answer."""
        counts = self.counts(goal, held)
        if counts is None:
            return None
        key = _key(goal, held)
        if key not in self._bounds:
            self._bounds[key] = self.rounded(
                goal, self._asked(counts.draft, lambda: counts.least(goal, self.nodes(len(counts.taken)))).bound
            )
        return self._bounds[key]

    def bound(self, goal: str, held: Mapping[str, int], least: int = 0) -> int | None:
        """Return what the whole question says of a goal; `NEVER`: there is no answer, None: nothing is known.

        Below `least` it is not asked.
        """
        return self._solved(goal, held, least)[0]

    def found(self, goal: str, held: Mapping[str, int]) -> Found | None:
        """Return its answer."""
        return self._solved(goal, held)[1]

    def rounded(self, goal: str, bound: float) -> int | None:
        """Round a bound up to what the goal can come to."""
        if isinf(bound):
            return NEVER if bound > 0 else None
        charge = next((charge for charge in self.charges if charge.name == goal), None)
        unit = (gcd(*charge.stocks, charge.piece) or 1) if charge else 1
        return unit * ceil(bound / unit - max(TOLERANCE, abs(bound / unit) * SHARE_OFF))

    def part(self, goal: str, held: Mapping[str, int], only: Sequence[Only]) -> Found | None:
        """Look for an answer that meets the bound without positions, with some of the pieces alone.

        That bound is in whole numbers where it was asked for, else as fractions say.
        """
        counts, key = self.counts(goal, held), _key(goal, held)
        relaxed = -inf if counts is None else counts.relaxed.get(goal, -inf)
        least = self._bounds[key] if key in self._bounds else self.rounded(goal, relaxed)
        if self.patterns is None or least is None or least == NEVER or self.mirrors is not None:
            return None
        asked = key, least, tuple(map(frozenset, only))
        if asked in self._parts:
            return None  # it gave nothing, or its answer is known
        self._parts.add(asked)
        flow = Flow(self.kinds, self.patterns, self.charges, {**held, goal: least}, goal, only)
        return self._run(flow, None)[1]

    def settled(self, held: Mapping[str, int]) -> Found | None:
        """Return the answer that ties end with, of those that keep what is held; None: the work settles nothing.

        First which pieces each track has, by the least sum of their weights; then of these the lowest positions.
        """
        flow = self._flow(MIX, held) if self.mirrors is None else None
        if flow is None or flow.size > MOST_SETTLED:
            return None
        bound, found = self._run(flow, MIX, SETTLING)
        if found is None or self.rounded(MIX, bound) != flow.rank(found.positions):
            return None
        lowest = lowest_order(self.kinds.lanes, found.positions, held.get("worst"), held.get("total"))
        return None if lowest is None else Found(lowest, found.numbers)

    def _solved(self, goal: str, held: Mapping[str, int], least: int = 0) -> tuple[int | None, Found | None]:
        key = _key(goal, held)
        if key not in self._known:
            self._known[key] = self._by_levels(held, least) if goal == "worst" else self._least(goal, held)
        return self._known[key]

    def _least(self, goal: str, held: Mapping[str, int]) -> tuple[int | None, Found | None]:
        """Ask whether the bound without positions can be met, and if not, for the least."""
        flow = self._flow(goal, held)
        if flow is None:
            return None, None
        least = self.without_positions(goal, held) if goal in self._countable else None
        if least is not None and least < NEVER:
            met = self._flow(goal, {**held, goal: least})
            bound, found = self._run(met, None) if met else (-inf, None)
            if found is not None:
                return least, found
            if bound == inf:
                flow.draft.reach(flow.terms(goal), least + 1)
        bound, found = self._run(flow, goal)
        return self.rounded(goal, bound), found

    @property
    def _countable(self) -> set[str]:
        return {"pieces", "different", *(charge.name for charge in self.charges)}

    def _flow(self, goal: str, held: Mapping[str, int]) -> Flow | None:
        """Draw the whole question; None: it is too large."""
        if self.patterns is None:
            return None
        flow = Flow(self.kinds, self.patterns, self.charges, held, goal, mirrors=self.mirrors)
        return flow if flow.size <= MOST_ARCS else None

    def _run(self, flow: Flow, objective: str | None, most: int | None = None) -> tuple[float, Found | None]:
        nodes = self.nodes(flow.size)
        some = nodes if most is None else min(nodes, most)
        out = self._asked(flow.draft, lambda: flow.solve(objective, some))
        positions = None if out.values is None else flow.positions(out.values)
        if positions is None or out.values is None:
            return out.bound, None
        return out.bound, Found(positions, flow.numbers(out.values))

    def _asked(self, draft: Draft, ask: Callable[[], Solved]) -> Solved:
        """Solve a program, and note what became of its process; none as large as one that gave nothing is asked."""
        left = left_of(self.hurry)
        late = left is not None and left < LEAST
        if late or (self._given_up is not None and draft.width >= self._given_up):
            return Solved(None, -inf)
        draft.seconds = left
        out = ask()
        if out.word:
            self.words.append(out.word)
            self._given_up = draft.width
        return out

    def _by_levels(self, held: Mapping[str, int], least: int) -> tuple[int | None, Found | None]:
        """Find the lowest price of a break that leaves an answer, by halving."""
        levels = self.levels[self.levels <= held.get("worst", int(self.levels[-1]))]
        low, high, found = int(np.searchsorted(levels, least)), len(levels), None
        while low < high:
            middle = (low + high) // 2
            flow = self._flow("worst", {**held, "worst": int(levels[middle])})
            bound, answer = self._run(flow, None) if flow else (-inf, None)
            if answer is not None:
                found, high = answer, middle
            elif bound == inf:
                low = middle + 1
            else:
                break
        return NEVER if low == len(levels) else int(levels[low]), found


def _key(goal: str, held: Mapping[str, int]) -> Key:
    return goal, tuple(sorted(held.items()))
