"""The whole question as one integer program: ways along the tracks, and patterns of the stocks.

Each piece a track may give is an arc from the position where it starts to the one where it ends. A line is one way
from end to end; on a ring the arcs flow round, and the arcs over one step of it sum to one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.joint_draft import Draft, Solved
from solver.joint_kinds import Kinds, Lane
from solver.joint_supply import Patterns, Supply, draw_supply
from solver.problems import Charge

Ints = NDArray[np.int64]
Only = set[tuple[int, int]]
"""(start, steps) of some pieces"""
LOWEST = "lowest positions"
"""what is made least at last, so that one problem has one answer"""
SCATTER = 1_009
"""a prime"""


@dataclass(frozen=True, eq=False)
class Arcs:
    """The pieces that one track may give."""

    first: int
    """their first column"""
    start: Ints
    steps: Ints
    kind: Ints

    @property
    def columns(self) -> Ints:
        """Their columns."""
        return np.arange(self.first, self.first + len(self.start))


def arcs_of(lane: Lane, open_at: NDArray[np.bool_]) -> tuple[Ints, Ints, Ints]:
    """List start, steps and kind of every piece between open positions."""
    found: list[tuple[Ints, Ints, Ints]] = []
    size = lane.size

    def add(starts: Ints, steps: int, kind: int) -> None:
        found.append((starts, np.full(len(starts), steps), np.full(len(starts), kind)))

    if lane.track.closed:
        for n, kind in lane.kinds.items():
            add(np.flatnonzero(open_at & np.roll(open_at, -n)), n, kind)
    else:
        for n, kind in lane.kinds.items():
            add(np.flatnonzero(open_at[: size - n] & open_at[n:size]), n, kind)
        for n, kind in lane.last_kinds.items():
            add(np.flatnonzero(open_at[size - n : size - n + 1]) + size - n, n, kind)
    if not found:
        return (np.zeros(0, dtype=np.int64),) * 3
    starts, lengths, kinds = (np.concatenate(each).astype(np.int64) for each in zip(*found, strict=True))
    return starts, lengths, kinds


def draw_ways(draft: Draft, lane: Lane, open_at: NDArray[np.bool_], only: Only | None) -> Arcs:
    """Draw the ways along one track, with `only` these pieces."""
    start, steps, kind = arcs_of(lane, open_at)
    if only is not None:
        kept = np.array([each in only for each in zip(start.tolist(), steps.tolist(), strict=True)], dtype=np.bool_)
        start, steps, kind = start[kept], steps[kept], kind[kept]
    first = draft.columns(len(start), 1.0)
    arcs = Arcs(first, start, steps, kind)
    end = start + steps
    ones = np.ones(len(start))
    if lane.track.closed:
        end = end % lane.size
        rows, low, high = lane.size, np.zeros(lane.size), np.zeros(lane.size)
        over = np.flatnonzero((-start) % lane.size < steps)
        draft.rows(np.zeros(len(over), dtype=np.int64), first + over, np.ones(len(over)), np.ones(1), np.ones(1))
    else:
        rows, low = lane.size + 1, np.zeros(lane.size + 1)
        low[0], low[-1] = 1.0, -1.0
        high = low
    draft.rows(
        np.concatenate([start, end]),
        np.concatenate([arcs.columns, arcs.columns]),
        np.concatenate([ones, -ones]),
        low[:rows],
        high[:rows],
    )
    return arcs


def _ranks(lane: Lane) -> Ints:
    """Weigh positions for ties: the lower the less, the last figures scattered so that few sums are equal."""
    place = np.arange(lane.size, dtype=np.int64)
    return place * SCATTER + place * place * 7919 % SCATTER


class Flow:
    """The program of one problem, with what is held drawn in."""

    def __init__(
        self,
        kinds: Kinds,
        patterns: Patterns,
        charges: Sequence[Charge],
        held: Mapping[str, int],
        asked: str,
        only: Sequence[Only] | None = None,
    ) -> None:
        """Draw it. `asked` is the goal that comes next, `held` the greatest values; with `only` some of the pieces."""
        self.kinds, self.patterns = kinds, patterns
        self.charges = {charge.name: charge for charge in charges}
        self.draft = Draft()
        self.supply: Supply = draw_supply(self.draft, kinds.model, patterns)
        level = held.get("worst")
        self.arcs = [
            draw_ways(self.draft, lane, lane.open(level), only[t] if only else None)
            for t, lane in enumerate(kinds.lanes)
        ]
        self.size = sum(len(each.start) for each in self.arcs)
        self._demand()
        names = {asked, *held} - {"worst"}
        self.used = self._lengths() if names & {"different", "spread"} else {}
        self.ends = self._ends() if "spread" in names else (0, 0)
        for name, most in held.items():
            if name != "worst":
                self.draft.hold(self.terms(name), most)

    def terms(self, goal: str) -> dict[int, int]:
        """Return the weights of the columns that make up a goal."""
        if goal in self.charges:
            charge = self.charges[goal]
            first = self.supply.layouts
            modes = self.kinds.model.modes
            taken = {first + i: charge.stocks[modes[m].stock] for i, (m, _) in enumerate(self.patterns.layouts)}
            return taken | self._each(lambda arcs, lane: np.full(len(arcs.start), charge.piece))
        if goal == "pieces":
            return self._each(lambda arcs, lane: np.ones(len(arcs.start), dtype=np.int64))
        if goal == "total":
            return self._each(lambda arcs, lane: lane.cost[arcs.start])
        if goal == LOWEST:
            return self._each(lambda arcs, lane: _ranks(lane)[arcs.start])
        if goal == "different":
            return dict.fromkeys(self.used.values(), 1)
        if goal == "spread":
            return {self.ends[1]: 1, self.ends[0]: -1}
        raise ValueError(f"goal {goal!r} is no sum")

    def _each(self, weigh: Callable[[Arcs, Lane], Ints]) -> dict[int, int]:
        """Weigh the pieces of every track."""
        out: dict[int, int] = {}
        for arcs, lane in zip(self.arcs, self.kinds.lanes, strict=True):
            out |= dict(zip(arcs.columns.tolist(), weigh(arcs, lane).tolist(), strict=True))
        return out

    def _demand(self) -> None:
        """Let no more pieces of a kind be used than the stocks give."""
        kind = np.concatenate([arcs.kind for arcs in self.arcs])
        columns = np.concatenate([arcs.columns for arcs in self.arcs])
        number = self.kinds.number
        self.draft.rows(
            np.concatenate([kind, np.arange(number)]),
            np.concatenate([columns, self.supply.kinds + np.arange(number)]),
            np.concatenate([-np.ones(len(kind)), np.ones(number)]),
            np.zeros(number),
            np.full(number, np.inf),
        )

    def _lengths(self) -> dict[int, int]:
        """Draw whether each number of steps is used at all: no two pieces of a track lie over one step."""
        steps = sorted({int(n) for arcs in self.arcs for n in np.unique(arcs.steps)})
        used = {n: self.draft.columns(1, 1.0) for n in steps}
        for arcs, lane in zip(self.arcs, self.kinds.lanes, strict=True):
            for n in np.unique(arcs.steps).tolist():
                own = np.flatnonzero(arcs.steps == n)
                slots = arcs.start[own] // n
                for slot in np.unique(slots):
                    row = dict.fromkeys((arcs.first + own[slots == slot]).tolist(), -1.0)
                    self.draft.row(row | {used[n]: 1.0}, low=0)
            del lane
        return used

    def _ends(self) -> tuple[int, int]:
        """Draw the shortest and the longest number of steps used."""
        top = max(self.used, default=0)
        low, high = self.draft.columns(1, float(top)), self.draft.columns(1, float(top))
        for n, column in self.used.items():
            self.draft.row({high: 1.0, column: -float(n)}, low=0)
            self.draft.row({low: 1.0, column: float(top - n)}, high=top)
        return low, high

    def solve(self, goal: str | None, nodes: int) -> Solved:
        """Find the least of a goal, or with none any answer."""
        terms = {} if goal is None else self.terms(goal)
        return self.draft.solve({c: float(w) for c, w in terms.items()}, nodes)

    def positions(self, values: Ints) -> tuple[tuple[int, ...], ...] | None:
        """Read the positions off the columns; None where they are no ways."""
        out: list[tuple[int, ...]] = []
        for arcs, lane in zip(self.arcs, self.kinds.lanes, strict=True):
            chosen = values[arcs.columns] > 0
            starts = np.sort(arcs.start[chosen])
            if int(arcs.steps[chosen].sum()) != lane.size or len(np.unique(starts)) != len(starts):
                return None
            out.append(tuple(starts.tolist()) if lane.track.closed else (*starts.tolist(), lane.size))
        return tuple(out)

    def rank(self, positions: Sequence[Sequence[int]]) -> int:
        """Return what some positions weigh where ties are settled."""
        ways = zip(self.kinds.lanes, positions, strict=True)
        return sum(int(_ranks(lane)[[p for p in way if p < lane.size]].sum()) for lane, way in ways)

    def numbers(self, values: Ints) -> tuple[int, ...]:
        """Read off how many of each stock are used."""
        numbers = [0] * len(self.kinds.model.counts)
        for i, (m, _) in enumerate(self.patterns.layouts):
            numbers[self.kinds.model.modes[m].stock] += int(values[self.supply.layouts + i])
        return tuple(numbers)
