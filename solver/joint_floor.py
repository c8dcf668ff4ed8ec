"""What no answer can go below, goal by goal; no value is seen before its bound.

From cheap to dear: the breaks alone, and prices on the pieces that are worked out exactly in integers; the question
without positions; the whole question. Prices p on the kinds and q on any piece give one inequality between the numbers
x of stocks and the number k of pieces: Σ worth[s]·x[s] + q·k ≥ the least Σ (p + q) of any ways along the tracks.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from solver.breaks import GOALS
from solver.capped import Capped
from solver.courses import course_of
from solver.cover import Cover, TooHardError
from solver.forward import Forward
from solver.joint_kinds import Kinds
from solver.joint_least import total_least
from solver.joint_mixed import Mixed
from solver.joint_whole import FINE, NEVER, Whole
from solver.prices import worth_of
from solver.problems import Charge, Joint

MOST_COUNT = 1 << 40
"""a number of stocks that none needs"""


class JointFloor:
    """Bounds for `joint.solve`."""

    def __init__(
        self, problem: Joint, kinds: Kinds, most: Mapping[str, int], whole: Whole, mixed: Mixed, effort: int
    ) -> None:
        """Hold only the greatest values that are asked for."""
        self.kinds, self.whole, self.mixed = kinds, whole, mixed
        self.held = dict(most)
        self.charges = {charge.name: charge for charge in problem.charges}
        mirrors = whole.mirrors or (None,) * len(problem.tracks)
        courses = [course_of(track, mirror) for track, mirror in zip(problem.tracks, mirrors, strict=True)]
        self.breaks = Capped(courses, Forward(), effort, lower=True)
        self.breaks.cap({goal: value for goal, value in most.items() if goal in GOALS})
        self.none = False
        """whether it is proved that there is no answer"""
        self.vectors: list[tuple[tuple[int, ...], int]] = []
        self.cover = self._new_cover()
        self.known: dict[str, int] = {}
        """bounds found so far"""
        self._asked: dict[str, list[Callable[[], int | None]]] = {}
        self._first_vectors()

    def bound(self, goal: str) -> int:
        """Return what no answer that keeps what is held can go below, as far as that is cheap to tell."""
        self.known[goal] = self._first(goal)
        return self.known[goal]

    def _first(self, goal: str) -> int:
        least = max(self.known.get(goal, 0), self.breaks.bound(goal) if goal in GOALS else 0)
        if goal == "pieces" or goal in self.charges:
            least = max(least, self._covered(goal))
        return least

    def sharper(self, goal: str) -> int | None:
        """Return a bound that took more work; None: no more is known."""
        if goal not in self._asked:
            self._asked[goal] = self._stages(goal)
        stages = self._asked[goal]
        while stages and not self.none:
            found = stages.pop(0)()
            if found is not None:
                self.known[goal] = max(found, self.known.get(goal, 0))
                return found
        return None

    def hold(self, goal: str, value: int) -> None:
        """Keep only answers whose `goal` does not exceed `value`."""
        self.held[goal] = value
        if goal in GOALS:
            self.breaks.hold(goal, value)
        if goal == "worst":
            self.cover = self._new_cover()
            self._enter(self.vectors)

    def _stages(self, goal: str) -> list[Callable[[], int | None]]:
        stages: list[Callable[[], int | None]] = []
        if goal == "pieces" or goal in self.charges:
            stages.append(lambda: self._by_prices(goal))
        if goal == "worst":
            stages.append(self._by_levels)
        if goal == "pieces" or goal in self.charges:
            stages += [self._waited, lambda: self._by_counts(goal), lambda: self._by_mixes(goal), self._waited]
        else:
            stages.append(lambda: self._by_mixes(goal))
        if goal == "different":
            stages.append(lambda: self._by_counts(goal))
        return [*stages, lambda: self._by_whole(goal)]

    def _waited(self) -> int:
        """Say nothing new, so that the search has a turn before what takes longest."""
        return 0

    # prices

    def _new_cover(self) -> Cover:
        limits = [MOST_COUNT if count is None else count for count in self.kinds.model.counts]
        pieces = sum(lane.size for lane in self.kinds.lanes)
        return Cover((*limits, self.held.get("pieces", pieces)))

    def _first_vectors(self) -> None:
        """Enter the prices that cost nothing to think of: material, number of pieces to a stock, and pieces."""
        kinds = self.kinds.model.kinds
        self.none = any(not lane.kinds and not lane.last_kinds for lane in self.kinds.lanes)
        if not self.none:
            ones = (1,) * len(kinds)
            self._enter([(tuple(kind.length * kind.height for kind in kinds), 0), (ones, 0), ((0,) * len(kinds), 1)])

    def _enter(self, vectors: Sequence[tuple[tuple[int, ...], int]]) -> None:
        """Work out what vectors of prices prove."""
        self.vectors = [*self.vectors, *(each for each in vectors if each not in self.vectors)]
        found = self._least(vectors, self.held.get("worst"))
        if found is None:
            self.none = True
            return
        for (prices, piece), least in zip(vectors, found, strict=True):
            row = (*worth_of(self.kinds.model, prices).stocks, piece)
            if least > 0:
                self.cover.bounds.append((row, least))

    def _least(self, vectors: Sequence[tuple[tuple[int, ...], int]], level: int | None) -> list[int] | None:
        """Return the least sums along the tracks; None: there is no way."""
        if not vectors:
            return []
        table = np.array([[price + piece for price in prices] for prices, piece in vectors], dtype=np.int64)
        lanes = self.kinds.lanes
        found = total_least(lanes, [lane.open(level) for lane in lanes], table)
        return None if found is None else [int(each) for each in found]

    def _row(self, goal: str) -> tuple[int, ...]:
        charge = self.charges.get(goal, Charge("pieces", (0,) * len(self.kinds.model.counts), 1))
        return (*charge.stocks, charge.piece)

    def _held_rows(self, goal: str) -> list[tuple[tuple[int, ...], int]]:
        names = [name for name in self.held if name != goal and (name == "pieces" or name in self.charges)]
        return [(self._row(name), self.held[name]) for name in names]

    def _covered(self, goal: str) -> int:
        """Return the least of a goal among numbers that meet every inequality."""
        return self.cover.floor(self._row(goal), self._held_rows(goal))

    def _by_prices(self, goal: str) -> int | None:
        """Ask the linear program without positions for prices."""
        counts = self.whole.counts(goal, self.held)
        found = counts.prices(goal) if counts else None
        if found is None:
            return None
        kinds, piece = found
        top = max([*kinds, piece])
        if top <= 0:
            return None
        share = FINE / top
        self._enter([(tuple(int(price * share) for price in kinds), int(piece * share))])
        return self._covered(goal)

    # mixes

    def _by_mixes(self, goal: str) -> int | None:
        """Look at every mix of pieces."""
        return self._known(self.mixed.solved(goal, self.held, self.known[goal]))

    # programs

    def _by_counts(self, goal: str) -> int | None:
        """Solve the question without positions."""
        return self._known(self.whole.without_positions(goal, self.held))

    def _by_whole(self, goal: str) -> int | None:
        """Solve the whole question."""
        return self._known(self.whole.bound(goal, self.held, self.known.get(goal, 0)))

    def _known(self, bound: int | None) -> int | None:
        self.none = self.none or bound == NEVER
        return None if self.none else bound

    # levels

    def _by_levels(self) -> int | None:
        """Return the lowest price of a break at which the inequalities still leave an answer."""
        levels = self.whole.levels
        low, high = 0, len(levels) - 1
        while low < high:
            middle = (low + high) // 2
            if self._excluded(int(levels[middle])):
                low = middle + 1
            else:
                high = middle
        return int(levels[low])

    def _excluded(self, level: int) -> bool:
        """Tell whether no answer has all its breaks at or below a price."""
        found = self._least(self.vectors, level)
        if found is None:
            return True
        cover = self._new_cover()
        for (prices, piece), least in zip(self.vectors, found, strict=True):
            cover.bounds.append(((*worth_of(self.kinds.model, prices).stocks, piece), least))
        rows = self._held_rows("worst")
        if not rows:
            return False
        first, most = rows[0]
        try:
            return cover.floor(first, rows[1:]) > most
        except TooHardError:
            return False
