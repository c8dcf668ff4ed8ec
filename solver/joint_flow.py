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
from solver.joint_loose import Loose, Stretch, changes_of, draw_loose, labels_of, place_in, stretches_of, strung_along
from solver.joint_supply import Patterns, Supply, draw_supply
from solver.problems import Charge

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Only = set[tuple[int, int]]
"""(start, steps) of some pieces"""
MIX = "mix"
"""what is made least at last, so that one problem has one answer: which pieces each track has"""
SCATTER = 10_007
"""a prime"""


@dataclass(frozen=True, eq=False)
class Arcs:
    """The pieces that one track may give."""

    first: int
    """their first column"""
    start: Ints
    steps: Ints
    kind: Ints
    loose: Loose
    """pieces that are counted, without places"""

    @property
    def columns(self) -> Ints:
        """Columns of the pieces with places."""
        return np.arange(self.first, self.first + len(self.start))

    @property
    def every(self) -> Ints:
        """Columns of all pieces."""
        return np.concatenate([self.columns, self.loose.columns])

    @property
    def kinds(self) -> Ints:
        """Kinds of all pieces, in the order of `every`."""
        return np.concatenate([self.kind, self.loose.kind])


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


def draw_ways(draft: Draft, lane: Lane, open_at: Bools, only: Only | None = None, labels: Ints | None = None) -> Arcs:
    """Draw the ways along one track, with `only` these pieces; without places inside stretches of equal labels."""
    start, steps, kind = arcs_of(lane, open_at)
    if only is not None:
        kept = np.array([each in only for each in zip(start.tolist(), steps.tolist(), strict=True)], dtype=np.bool_)
        start, steps, kind = start[kept], steps[kept], kind[kept]
    stretches = () if labels is None else stretches_of(lane, labels)
    inside, along = place_in(lane, stretches)
    kept = ~_inside(lane, start, steps, stretches, inside, along)
    start, steps, kind = start[kept], steps[kept], kind[kept]
    first = draft.columns(len(start), 1.0)
    arcs = Arcs(first, start, steps, kind, draw_loose(draft, lane, stretches))
    end = start + steps
    if lane.track.closed:
        end = end % lane.size
    if lane.track.closed and not any(stretch.whole for stretch in stretches):
        changes = np.zeros(0, dtype=np.int64) if labels is None else changes_of(lane, labels)
        _turn_once(draft, lane, arcs, int(changes[0]) - 1 if len(changes) else 0)
    _lead(draft, lane, arcs, end, inside, along)
    return arcs


def _inside(lane: Lane, start: Ints, steps: Ints, stretches: Sequence[Stretch], inside: Ints, along: Ints) -> Bools:
    """Tell which pieces lie inside a stretch."""
    if any(stretch.whole for stretch in stretches):
        return np.ones(len(start), dtype=np.bool_)
    end = (start + steps) % lane.size if lane.track.closed else start + steps
    both: Bools = (inside[start] >= 0) & (inside[start] == inside[end]) & (along[end] == along[start] + steps)
    return both


def _lead(draft: Draft, lane: Lane, arcs: Arcs, end: Ints, inside: Ints, along: Ints) -> None:
    """Let what comes to a position leave it, and what comes into a stretch leave it as far on as its pieces reach."""
    size, loose = lane.size, arcs.loose
    names = np.where(inside >= 0, size + 1 + inside, np.arange(size + 1))
    used = np.unique(names[: size + (not lane.track.closed)])
    row_of = np.searchsorted(used, names)
    ones, sides = np.ones(len(end)), np.zeros(len(used))
    if not lane.track.closed:
        sides[row_of[0]] += 1.0
        sides[row_of[size]] -= 1.0
    draft.rows(
        np.concatenate([row_of[arcs.start], row_of[end]]),
        np.concatenate([arcs.columns, arcs.columns]),
        np.concatenate([ones, -ones]),
        sides,
        sides,
    )
    for index, stretch in enumerate(loose.stretches):
        own = loose.stretch == index
        row = dict(zip(loose.columns[own].tolist(), loose.steps[own].astype(float).tolist(), strict=True))
        if not stretch.whole:
            into, out = inside[end] == index, inside[arcs.start] == index
            reach = np.where(into, along[end], 0) - np.where(out, along[arcs.start], 0)
            row |= {c: float(n) for c, n in zip(arcs.columns.tolist(), reach.tolist(), strict=True) if n}
        turns = float(stretch.steps) if stretch.whole else 0.0
        draft.row(row, turns, turns)


def _turn_once(draft: Draft, lane: Lane, arcs: Arcs, at: int) -> None:
    """Let the ways go round a ring once: one piece lies over the step after a position, and no counted piece does."""
    over = np.flatnonzero((at - arcs.start) % lane.size < arcs.steps)
    draft.row(dict.fromkeys((arcs.first + over).tolist(), 1.0), 1.0, 1.0)


def _mirror(draft: Draft, lane: Lane, arcs: Arcs, mirror: int) -> None:
    """Take each piece just when its mirrored one is taken."""
    start = mirror - arcs.start - arcs.steps
    if lane.track.closed:
        start = start % lane.size
    column_of = {each: c for c, each in enumerate(zip(arcs.start.tolist(), arcs.steps.tolist(), strict=True))}
    for column, each in enumerate(zip(start.tolist(), arcs.steps.tolist(), strict=True)):
        twin = column_of.get(each)
        if twin is None:
            draft.row({arcs.first + column: 1.0}, 0.0, 0.0)
        elif twin > column:
            draft.row({arcs.first + column: 1.0, arcs.first + twin: -1.0}, 0.0, 0.0)


def rank_of(lane: int, steps: int, *, last: bool) -> int:
    """Weigh a piece of a track for ties: the shorter the less, the last figures scattered so few sums are equal."""
    place = 2 * steps + last
    return place * SCATTER + (place * place * 7_919 + lane * 104_729 + place * lane * 611) % SCATTER


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
        mirrors: Sequence[int] | None = None,
    ) -> None:
        """Draw it. `asked` is the goal that comes next, `held` the greatest values; with `only` some of the pieces.

        With `mirrors` a track is broken at p just when it is at its mirror less p.
        """
        self.kinds, self.patterns = kinds, patterns
        self.charges = {charge.name: charge for charge in charges}
        self.draft = Draft()
        self.supply: Supply = draw_supply(self.draft, kinds.model, patterns)
        level = held.get("worst")
        priced = "total" in {asked, *held}
        self.arcs = [
            draw_ways(
                self.draft,
                lane,
                lane.open(level),
                only[t] if only else None,
                labels_of(lane, lane.open(level), priced=priced) if only is None and mirrors is None else None,
            )
            for t, lane in enumerate(kinds.lanes)
        ]
        self.size = sum(len(each.every) for each in self.arcs)
        for arcs, lane, mirror in zip(self.arcs, kinds.lanes, mirrors or (), strict=mirrors is not None):
            _mirror(self.draft, lane, arcs, mirror)
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
            return taken | self._pieces(charge.piece)
        if goal == "pieces":
            return self._pieces(1)
        if goal == "total":
            return self._each(lambda arcs, lane: lane.cost[arcs.start]) | self._loose_costs()
        if goal == MIX:
            return self._ranks()
        if goal == "different":
            return dict.fromkeys(self.used.values(), 1)
        if goal == "spread":
            return {self.ends[1]: 1, self.ends[0]: -1}
        raise ValueError(f"goal {goal!r} is no sum")

    def _pieces(self, weight: int) -> dict[int, int]:
        """Weigh all pieces alike."""
        return {column: weight for arcs in self.arcs for column in arcs.every.tolist()}

    def _each(self, weigh: Callable[[Arcs, Lane], Ints]) -> dict[int, int]:
        """Weigh the pieces of every track by their places."""
        out: dict[int, int] = {}
        for arcs, lane in zip(self.arcs, self.kinds.lanes, strict=True):
            out |= dict(zip(arcs.columns.tolist(), weigh(arcs, lane).tolist(), strict=True))
        return out

    def _loose_costs(self) -> dict[int, int]:
        """Weigh the counted pieces by what a break in their stretch costs."""
        return {
            column: int(lane.cost[arcs.loose.stretches[index].first])
            for arcs, lane in zip(self.arcs, self.kinds.lanes, strict=True)
            for column, index in zip(arcs.loose.columns.tolist(), arcs.loose.stretch.tolist(), strict=True)
        }

    def _demand(self) -> None:
        """Let no more pieces of a kind be used than the stocks give."""
        kind = np.concatenate([arcs.kinds for arcs in self.arcs])
        columns = np.concatenate([arcs.every for arcs in self.arcs])
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
        steps = sorted({int(n) for arcs in self.arcs for n in np.concatenate([arcs.steps, arcs.loose.steps])})
        used = {n: self.draft.columns(1, 1.0) for n in steps}
        for arcs in self.arcs:
            for n in np.unique(arcs.steps).tolist():
                own = np.flatnonzero(arcs.steps == n)
                slots = arcs.start[own] // n
                for slot in np.unique(slots):
                    row = dict.fromkeys((arcs.first + own[slots == slot]).tolist(), -1.0)
                    self.draft.row(row | {used[n]: 1.0}, low=0)
            loose = arcs.loose
            for column, n, index in zip(loose.columns.tolist(), loose.steps.tolist(), loose.stretch, strict=True):
                self.draft.row({column: -1.0, used[n]: float(loose.stretches[index].steps // n)}, low=0)
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
            chosen, counts = values[arcs.columns] > 0, values[arcs.loose.columns]
            if int(arcs.steps[chosen].sum()) + int(arcs.loose.steps @ counts) != lane.size:
                return None
            way = strung_along(lane, arcs.start[chosen], arcs.steps[chosen], arcs.loose, counts)
            if way is None or len(way) != int(chosen.sum()) + int(counts.sum()) + (not lane.track.closed):
                return None
            out.append(way)
        return tuple(out)

    def rank(self, positions: Sequence[Sequence[int]]) -> int:
        """Return what the pieces between positions weigh where ties are settled."""
        total = 0
        for t, (lane, way) in enumerate(zip(self.kinds.lanes, positions, strict=True)):
            closed = lane.track.closed
            steps = np.diff([*way, way[0] + lane.size] if closed else way).tolist()
            total += sum(rank_of(t, n, last=not closed and k == len(steps) - 1) for k, n in enumerate(steps))
        return total

    def _ranks(self) -> dict[int, int]:
        """Weigh every piece by its track and steps."""
        out: dict[int, int] = {}
        for t, (arcs, lane) in enumerate(zip(self.arcs, self.kinds.lanes, strict=True)):
            ends = np.zeros(len(arcs.every), dtype=np.bool_)
            if not lane.track.closed:
                ends[: len(arcs.start)] = arcs.start + arcs.steps == lane.size
            steps = np.concatenate([arcs.steps, arcs.loose.steps])
            for column, n, last in zip(arcs.every.tolist(), steps.tolist(), ends.tolist(), strict=True):
                out[column] = rank_of(t, n, last=last)
        return out

    def numbers(self, values: Ints) -> tuple[int, ...]:
        """Read off how many of each stock are used."""
        numbers = [0] * len(self.kinds.model.counts)
        for i, (m, _) in enumerate(self.patterns.layouts):
            numbers[self.kinds.model.modes[m].stock] += int(values[self.supply.layouts + i])
        return tuple(numbers)
