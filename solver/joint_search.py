"""The search behind `joint.solve`: answers from cheap to dear, each cut exactly, the best kept.

The breaks alone; strips filled one after another along the tracks; the whole question at last.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise
from math import gcd

import numpy as np

from solver import breaks, cutting
from solver.capped import TooHardError
from solver.joint_chain import FAR, TooManyStatesError, Weights
from solver.joint_chained import SHARE, chained
from solver.joint_kernel import EACH, good_ways, pieces_between
from solver.joint_kinds import Kinds, Lane
from solver.joint_mirrored import mirrored_ways
from solver.joint_mixed import Mixed
from solver.joint_whole import FINE, Found, Whole
from solver.problems import Joint, Piece, Track

CUT_EFFORT = 200_000
"""effort of cutting the pieces of one answer while searching (assumed)"""

Positions = tuple[tuple[int, ...], ...]


class TooLateError(Exception):
    """The time that was given is up."""


@dataclass(frozen=True, eq=False)
class Answer:
    """Positions, their pieces and how they are cut, and the value of every goal and charge."""

    positions: Positions
    pieces: tuple[Piece, ...]
    cut: cutting.CutResult
    values: Mapping[str, int]
    settled: bool = True
    """whether the positions follow from the problem alone; not so where a program with fractions found them"""


def ways_of(lane: Lane, chosen: Sequence[int]) -> list[tuple[int, int | None]]:
    """List steps and kind of each piece between chosen positions; None: a piece that fits no stock."""
    ends = (*chosen, chosen[0] + lane.size) if lane.track.closed else tuple(chosen)
    steps = [b - a for a, b in pairwise(ends)]
    inner, last = lane.kinds, lane.last_kinds
    return [
        (n, (last if at == len(steps) - 1 and not lane.track.closed else inner).get(n)) for at, n in enumerate(steps)
    ]


class JointSearch:
    """Finds answers to `joint.solve`."""

    def __init__(
        self,
        problem: Joint,
        kinds: Kinds,
        goals: tuple[str, ...],
        most: Mapping[str, int],
        whole: Whole,
        mixed: Mixed,
        effort: int,
    ) -> None:
        """Hold only the greatest values that are asked for; what hurries the programs hurries the cutting."""
        self.hurry = whole.hurry
        self.problem, self.kinds, self.goals, self.whole, self.mixed = problem, kinds, goals, whole, mixed
        self.effort = effort
        self.held = dict(most)
        self.charges = {charge.name: charge for charge in problem.charges}
        self.order = (
            *(self.charges[g] for g in goals if g in self.charges),
            *(charge for charge in problem.charges if charge.name not in goals),
        )
        self.answers: list[Answer] = []
        self._cuts: dict[tuple[tuple[int, int], ...], tuple[tuple[Piece, ...], cutting.CutResult]] = {}
        self._asked: dict[str, list[Callable[[], object]]] = {}
        self._mixed: list[Found] = []
        self._begun = False
        self._alone: Positions | None = None
        """positions of the breaks alone"""

    # the driver's questions

    def least(self, goal: str) -> int | None:
        """Return the least value found of `goal`; None: no answer is found yet."""
        if not self._begun:
            self._begun = True
            self._by_breaks()
        return min((answer.values[goal] for answer in self.answers), default=None)

    def better(self, goal: str) -> int | None:
        """Look further; return the least value found by now, or None where nothing more can be tried."""
        if goal not in self._asked:
            self._asked[goal] = self._stages(goal)
        if not self._by_mixes(goal):
            if not self._asked[goal]:
                return None
            self._asked[goal].pop(0)()
        least = self.least(goal)
        return -1 if least is None else least

    def hold(self, goal: str, value: int) -> None:
        """Keep only answers whose `goal` does not exceed `value`."""
        self.held[goal] = value
        self.answers = [answer for answer in self.answers if answer.values[goal] <= value]

    def best(self) -> Answer | None:
        """Return the best answer, goal after goal."""
        return min(self.answers, key=self._key, default=None)

    def settle(self) -> Answer | None:
        """Return the best answer, the lowest of those as good if the work allows.

        The breaks alone are the lowest where they are as good as any. Else all mixes are looked at; where these are too
        many an answer of a program is the one of least ranks, and one of strips filled in turn stays as it is.
        """
        best = self.best()
        if best is None or best.positions == self._alone:
            return best
        held = {**self.held, **{goal: best.values[goal] for goal in self.goals}}
        found = self.mixed.lowest(held) or (None if best.settled else self.whole.settled(held))
        if found is None:
            return best
        settled = self.consider(found.positions) or self.consider(found.positions, found.numbers)
        return settled if settled is not None and self._key(settled)[0] == self._key(best)[0] else best

    def _key(self, answer: Answer) -> tuple[tuple[int, ...], bool, Positions]:
        return tuple(answer.values[goal] for goal in self.goals), not answer.settled, answer.positions

    def _stages(self, goal: str) -> list[Callable[[], object]]:
        if self.whole.mirrors is not None:
            return [lambda: self._by_whole(goal)]
        stages: list[Callable[[], object]] = [self._by_chains] if self._sums() else []
        if goal == "worst":
            stages = [self._by_chains, self._by_levels]
        if goal == "pieces" or goal in self.charges:
            stages += [partial(self._by_kernel, goal, each) for each in (EACH[0], *EACH)]
        return [*stages, lambda: self._by_whole(goal)]

    # answers

    def consider(
        self, positions: Positions | None, counts: Sequence[int] | None = None, *, settled: bool = True
    ) -> Answer | None:
        """Cut the pieces between positions, and keep the answer where it holds what is held."""
        if positions is None:
            return None
        try:
            found = self._measured(positions, counts)
        except TooLateError:
            return None
        if found is None or any(found.values[name] > most for name, most in self.held.items()):
            return None
        if all(found.positions != other.positions for other in self.answers):
            self.answers.append(replace(found, settled=settled))
        return found

    def _measured(self, positions: Positions, counts: Sequence[int] | None) -> Answer | None:
        lanes = self.kinds.lanes
        ways = [ways_of(lane, chosen) for lane, chosen in zip(lanes, positions, strict=True)]
        if any(kind is None for way in ways for _, kind in way) or not self._are_open(positions):
            return None
        made = Counter(kind for way in ways for _, kind in way if kind is not None)
        pieces, cut = self._cut(made, counts)
        if cut.cuttings is None:
            return None
        number = sum(made.values())
        costs = [lane.cost[list(chosen)] for lane, chosen in zip(lanes, positions, strict=True)]
        steps = {n for way in ways for n, _ in way}
        used = Counter[int]()
        for each in cut.cuttings:
            used[each.stock] += each.times
        values = {
            charge.name: sum(charge.stocks[s] * times for s, times in used.items()) + charge.piece * number
            for charge in self.order
        }
        values |= {
            "pieces": number,
            "worst": max(int(each.max(initial=0)) for each in costs),
            "different": len(steps),
            "total": sum(int(each.sum()) for each in costs),
            "spread": max(steps) - min(steps),
        }
        return Answer(positions, pieces, cut, values)

    def _are_open(self, positions: Positions) -> bool:
        return all(lane.open()[list(way)].all() for lane, way in zip(self.kinds.lanes, positions, strict=True))

    def _cut(self, made: Counter[int], counts: Sequence[int] | None) -> tuple[tuple[Piece, ...], cutting.CutResult]:
        """Cut so many pieces of each kind; with `counts` from no more stocks than these."""
        key = tuple(sorted(made.items()))
        if counts is None and key in self._cuts:
            return self._cuts[key]
        kinds = self.kinds.model.kinds
        pieces = tuple(Piece(kinds[k].length, kinds[k].height, number) for k, number in key)
        stocks = self.problem.stocks
        if counts is not None:
            stocks = tuple(replace(stock, count=n) for stock, n in zip(stocks, counts, strict=True))
        rows = [charge.stocks for charge in self.order]
        found = pieces, cutting.cut(pieces, stocks, rows, effort=CUT_EFFORT, progress=self._tell)
        if counts is None:
            self._cuts[key] = found
        return found

    def _tell(self, _: str) -> None:
        """Leave a cutting where the time is up and there is an answer already."""
        if self.answers and self.hurry is not None and self.hurry():
            raise TooLateError

    # the breaks alone

    def _tracks(self) -> tuple[Track, ...]:
        """Return the tracks without the lengths that fit no stock at their longer end, and without dear breaks."""
        tracks = []
        for lane in self.kinds.lanes:
            track = replace(lane.track, allowed=lane.open(self.held.get("worst")))
            if track.size >= track.smallest:
                longest = max(lane.kinds, default=track.smallest)
                last = max(lane.last_kinds, default=track.smallest)
                track = replace(
                    track, largest=max(longest, track.smallest), largest_last=None if track.closed else last
                )
            tracks.append(track)
        return tuple(tracks)

    def _by_breaks(self) -> None:
        """Break the tracks by the goals on breaks alone, in their order."""
        goals = [goal for goal in self.goals if goal in breaks.GOALS] or ["pieces"]
        limits = {goal: value for goal, value in self.held.items() if goal in breaks.GOALS and goal != "worst"}
        if self.whole.mirrors is not None:
            for way in mirrored_ways(self.problem.tracks, self.whole.mirrors, goals, limits):
                self.consider(way)
            return
        try:
            self._alone = breaks.solve(self._tracks(), goals, most=limits, effort=self.effort).positions
            self.consider(self._alone)
        except TooHardError:
            return

    # strips one after another

    def _sums(self) -> list[str]:
        """Return the sums that a chain can make least, in order: the first charge, pieces, total."""
        charge = [goal for goal in self.goals if goal in self.charges][:1]
        return [goal for goal in self.goals if goal in {*charge, "pieces", "total"}]

    def _by_chains(self, level: int | None = None) -> bool:
        """Fill strips one after another; tell whether an answer came of it."""
        if level is None:
            level = self.held.get("worst")
        weights = self._weights()
        if weights is None:
            return False
        positions: list[tuple[int, ...] | None] = [None] * len(self.kinds.lanes)
        for group in self._alike():
            try:
                found = chained(self.kinds, group, self._row(), weights, level)
            except (TooManyStatesError, OverflowError):
                return False
            if found is None:
                return False
            for t, chosen in zip(group, found, strict=True):
                positions[t] = chosen
        return self.consider(tuple(each for each in positions if each is not None)) is not None

    def _row(self) -> tuple[int, ...]:
        """Return what the first charge takes for each stock, in its greatest common unit."""
        if not self.order:
            return ()
        charge = self.order[0]
        unit = gcd(*charge.stocks, charge.piece) or 1
        return tuple(each // unit for each in charge.stocks)

    def _piece(self) -> int:
        """Return what the first charge takes for a piece, in the same unit."""
        if not self.order:
            return 0
        charge = self.order[0]
        return charge.piece // (gcd(*charge.stocks, charge.piece) or 1)

    def _weights(self) -> Weights | None:
        """Weigh strips, pieces and costs so that earlier goals come first, as far as numbers reach."""
        sizes = [lane.size // max(1, min(lane.kinds, default=1)) + 1 for lane in self.kinds.lanes]
        pieces = sum(sizes)
        each = max(self._row(), default=0) + self._piece()
        top = {
            "pieces": pieces + 1,
            "total": pieces * int(max(lane.cost.max() for lane in self.kinds.lanes)) + 1,
            "": pieces * each * SHARE + 1,
        }
        unit, weights = 1, dict.fromkeys(top, 0)
        for goal in reversed([goal if goal in top else "" for goal in self._sums()]):
            weights[goal] = unit
            unit *= top[goal]
            if unit >= FAR // 4:
                return self._short_weights()
        strip = weights[""]
        return Weights(strip, weights["pieces"] + strip * SHARE * self._piece(), weights["total"])

    def _short_weights(self) -> Weights | None:
        """Weigh strips first, then pieces, where there is no room for more; None: there is none for these."""
        pieces = sum(lane.size for lane in self.kinds.lanes) + 1
        strip = pieces if "pieces" in self.goals else 1
        dear = strip * SHARE * (max(self._row(), default=1) + self._piece()) + 1
        if dear * pieces >= FAR // 4:
            return None
        return Weights(strip, 1 + strip * SHARE * self._piece(), 0)

    def _alike(self) -> list[list[int]]:
        """Group tracks whose pieces are alike."""
        groups: dict[tuple[object, ...], list[int]] = {}
        heights = self.problem.heights
        for t, lane in enumerate(self.kinds.lanes):
            last = () if lane.track.closed else tuple(lane.last_kinds.items())
            key = (heights[t], tuple(lane.kinds.items()), last)
            groups.setdefault(key if last or len(lane.kinds) != 1 else (t,), []).append(t)
        return list(groups.values())

    # levels

    def _by_levels(self) -> None:
        """Look for the lowest price of a break at which a chain keeps what is held, by halving."""
        levels = self.whole.levels
        least = self.least("worst")
        low, high = 0, int(np.searchsorted(levels, least)) if least is not None else len(levels) - 1
        while low < high:
            middle = (low + high) // 2
            if self._by_chains(int(levels[middle])):
                high = middle
            else:
                low = middle + 1

    # the whole question, of some pieces and of all

    def _by_kernel(self, goal: str, each: int) -> None:
        """Mix good ways under the prices of the question without positions."""
        counts = self.whole.counts(goal, self.held)
        priced = counts.prices(goal) if counts else None
        if priced is None:
            return
        kinds, piece = priced
        share = FINE / max([*kinds, piece, 1e-9])
        prices = np.array([int((price + piece) * share) for price in kinds], dtype=np.int64)
        known = self.best()
        only: list[set[tuple[int, int]]] = []
        for t, lane in enumerate(self.kinds.lanes):
            open_at = lane.open(self.held.get("worst"))
            own = pieces_between(lane, known.positions[t]) if known else []
            start = own[0][0] if own else int(np.argmax(open_at))
            ways = good_ways(lane, open_at, prices, start, each)
            only.append({*own, *(piece for way in ways for piece in way)})
        found = self.whole.part(goal, self.held, only)
        if found is not None:
            self._take(found)

    def _take(self, found: Found) -> None:
        """Cut an answer of a program; where that takes more stocks than it did, with no more than these."""
        if self.consider(found.positions, settled=False) is None:
            self.consider(found.positions, found.numbers, settled=False)

    def _by_mixes(self, goal: str) -> bool:
        """Take the answer that looking at every mix gave, once; tell whether there was one."""
        found = self.mixed.found(goal, self.held)
        if found is None or found in self._mixed:
            return False
        self._mixed.append(found)
        self._take(found)
        return True

    def _by_whole(self, goal: str) -> None:
        found = self.whole.found(goal, self.held)
        if found is not None:
            self._take(found)
