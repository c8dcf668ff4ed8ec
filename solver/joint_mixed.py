"""Goals met by looking at every mix of pieces that keeps what is held, where there are not too many of them.

A goal is met under a limit that rises from its bound: while no mix within the limit can be cut, the goal lies above it.
So both come of it, the value with its mix and, where the work ends before, what no answer goes below.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from solver.joint_lowest import Positions, lowest_of
from solver.joint_mixes import Listing, Within
from solver.joint_rising import charge_limits, number_limits, total_limits
from solver.joint_sieve import Held, Ints, Sieve, TooManyError, free_lane
from solver.joint_whole import NEVER, Found
from solver.joint_yard import UndecidedError

LIMITS = 4
"""limits of a goal that may take so much (assumed)"""
FEW = (2, 3)
"""numbers of different lengths with which an answer is looked for first: there are few such mixes (assumed)"""
TIES = 10
"""part of the work that ties are worth: going back is dearer than listing (measured: a second or two)"""
MOST_PLACED = 60
"""mixes placed for one limit of a goal (assumed)"""


@dataclass
class Mixed(Sieve):
    """Meets goals by mixes."""

    _known: dict[tuple[str, tuple[tuple[str, int], ...]], tuple[int | None, Found | None]] = field(default_factory=dict)
    _direct: bool = True
    """whether mixes with places were not yet found to be too many"""

    @cached_property
    def levels(self) -> Ints:
        """All prices of a break, and nothing."""
        return np.unique(np.concatenate([[0], *(lane.track.cost for lane in self.kinds.lanes)]))

    def solved(self, goal: str, held: Held, least: int) -> int | None:
        """Return what no answer goes below, from `least` on; `NEVER`: there is no answer, None: nothing new is known.

        A bound that is met has an answer, which `found` then returns.
        """
        key = _key(goal, held)
        if not self.work or self.many:
            return None
        if key not in self._known:
            self._goal, self._direct = LIMITS * self.work, True
            self._fresh()
            self._known[key] = self._asked(goal, held, least)
        return self._known[key][0]

    def found(self, goal: str, held: Held) -> Found | None:
        """Return the answer of a goal that was asked about."""
        return self._known.get(_key(goal, held), (None, None))[1]

    def lowest(self, held: Held) -> Found | None:
        """Return the lowest positions of all answers that keep what is held; None: there are too many mixes."""
        if not self.work or self.many:
            return None
        self._goal = self.work
        self._fresh(TIES)
        try:
            listing = self._listed(held)
            rows = self._kept(listing, held)
            positions = lowest_of(listing, rows, held.get("total"))
            if positions is None:
                return None
            numbers = self._cut(listing, self._row_of(listing, positions, rows), held)
            if numbers is None:
                rows = np.array(
                    [row for row in rows.tolist() if self._cut(listing, row, held) is not None], dtype=np.int64
                )
                positions = lowest_of(listing, rows, held.get("total"))
        except (TooManyError, UndecidedError):
            return None
        if positions is None:
            return None
        return Found(positions, self._cut(listing, self._row_of(listing, positions, rows), held) or ())

    # one goal

    def _asked(self, goal: str, held: Held, least: int) -> tuple[int | None, Found | None]:
        """Look at all mixes, where that is likely to do, and else at those within a limit that rises."""
        ways = {"total": (self._best_listed,), "spread": (self._best_listed, self._best_placed)}.get(goal, ())
        for way in ways:
            try:
                found = way(goal, held)
            except UndecidedError:
                return None, None
            except TooManyError:
                self._direct = False
                self._fresh()
            else:
                return (NEVER, None) if found is None else found
        self._direct = self._direct or goal == "total"
        return self._by_levels(held, least) if goal == "worst" else self._by_limits(goal, held, least)

    def _best_listed(self, goal: str, held: Held) -> tuple[int, Found] | None:
        return self._best(goal, self._listed(held), held)

    def _by_limits(self, goal: str, held: Held, least: int) -> tuple[int | None, Found | None]:
        """Raise the limit until a mix within it can be cut."""
        bound = least
        try:
            for limit, after in self._limits(goal, least):
                if limit > held.get(goal, NEVER):
                    return NEVER, None
                found = self._any(goal, {**held, goal: limit})
                if found is not None:
                    return found
                bound = after
        except (TooManyError, UndecidedError):
            pass
        return (bound if bound > least else None), None

    def _by_levels(self, held: Held, least: int) -> tuple[int | None, Found | None]:
        """Try dearer and dearer breaks, by growing steps, then halve."""
        levels = self.levels[self.levels >= least]
        if "worst" in held:
            levels = levels[levels <= held["worst"]]
        low, step, high, best = 0, 1, len(levels), None
        try:
            while low < high:
                at = min(low + step - 1, len(levels) - 1) if best is None else (low + high) // 2
                found = self._any("pieces", {**held, "worst": int(levels[at])})
                if found is not None:
                    best, high = found[1], at
                else:
                    low, step = at + 1, step * 2
        except (TooManyError, UndecidedError):
            return (int(levels[low]) if low and low < len(levels) else None), None
        return (NEVER, None) if best is None else (int(levels[low]), best)

    def _limits(self, goal: str, least: int) -> Iterator[tuple[int, int]]:
        """Give limits of a goal, rising, and what it is at least where no mix is within."""
        if goal == "total":
            return total_limits(least)
        if goal in self.charges:
            return charge_limits(self.charges[goal], least)
        longest = max((n for lane in self.kinds.lanes for n in (*lane.kinds, *lane.last_kinds)), default=0)
        return number_limits(least, self.pieces if goal == "pieces" else longest)

    def _any(self, goal: str, held: Held) -> tuple[int, Found] | None:
        """Return an answer that keeps what is held, of few different lengths where that is found; None: there is none.

        Where a limit is on the total it is the one of least total.
        """
        most = held.get("different", NEVER)
        for few in [few for few in FEW if few < most] if self._direct and goal != "total" else ():
            inside = {**held, "different": few}
            self._fresh(2)
            try:
                found = self._best(goal, self._listed(inside, keep=False), inside)
            except (TooManyError, UndecidedError):
                break
            if found is not None:
                return found
        self._fresh()
        try:
            if self._direct:
                return self._best(goal, self._listed(held, keep=False), held)
        except TooManyError:
            self._direct = False
            self._fresh()
        return self._best_placed(goal, held)

    def _best(self, goal: str, listing: Listing, held: Held) -> tuple[int, Found] | None:
        """Return the least of a goal among the mixes that can be cut, with positions."""
        rows = self._kept(listing, held)
        values = self._values(goal, listing, held)[rows]
        order = np.lexsort((self._use(listing, rows, held), values))
        for row, value in zip(rows[order].tolist(), values[order].tolist(), strict=True):
            numbers = self._cut(listing, row, held)
            if numbers is None:
                continue
            total = int(listing.sums(listing.table)[row, 0])
            positions = lowest_of(listing, np.array([row]), total if goal == "total" else held.get("total"))
            if positions is None:
                raise AssertionError("a mix whose positions are not found again")
            return int(value), Found(positions, numbers)
        return None

    def _best_placed(self, goal: str, held: Held) -> tuple[int, Found] | None:
        """Do the same with the mixes of tracks open everywhere at no cost: there are fewer, and each is placed.

        A total is not known of these, so of a goal that is not a property of the mix alone any answer is returned.
        """
        lanes = [free_lane(lane) for lane in self.kinds.lanes]
        within = replace(self._within(held), level=None, total=None)
        if goal == "total":
            raise TooManyError
        listing = self._list(lanes, within)
        rows = self._kept(listing, {name: value for name, value in held.items() if name not in {"total", "worst"}})
        values = self._values(goal, listing, held)[rows]
        placed = 0
        for at in np.lexsort((self._use(listing, rows, held), values)).tolist():
            numbers = self._cut(listing, int(rows[at]), held)
            if numbers is None:
                continue
            placed += 1
            if placed > MOST_PLACED:
                raise UndecidedError
            positions = self._placed(self._mix(listing, int(rows[at])), held)
            if positions is not None:
                return int(values[at]), Found(positions, numbers)
        return None

    def _placed(self, mix: Mapping[int, int], held: Held) -> Positions | None:
        """Return positions whose pieces are a mix, by kind, within what is held; None: there are none."""
        number = self.kinds.number
        caps = tuple((tuple(int(k == kind) for k in range(number)), n) for kind, n in mix.items())
        lanes = [
            replace(
                lane,
                kinds={n: k for n, k in lane.kinds.items() if k in mix},
                last_kinds={n: k for n, k in lane.last_kinds.items() if k in mix},
            )
            for lane in self.kinds.lanes
        ]
        within = Within(held.get("worst"), sum(mix.values()), held.get("total"), prices=caps)
        listing = self._list(lanes, within)
        sums = listing.sums(listing.table)
        return lowest_of(listing, np.flatnonzero(sums[:, 1] == sum(mix.values())), held.get("total"))

    def _use(self, listing: Listing, rows: Ints, held: Held) -> NDArray[np.float64]:
        """Return what share of the stocks mixes take by the prices that say most: the less the sooner they are cut."""
        pieces = self._least(held.get("worst"))[0]
        numbers = self.yard.numbers(pieces, held, held.get("pieces", self.pieces)) or ()
        room = [max(1, self.yard.room(prices, numbers)) for prices in self.yard.prices]
        share: NDArray[np.float64] = (listing.sums(listing.table)[rows, 2:] / np.array(room)).max(axis=1, initial=0.0)
        return share

    def _values(self, goal: str, listing: Listing, held: Held) -> Ints:
        table = listing.table
        if goal == "different":
            return listing.columns.different(table)
        if goal == "spread":
            found: Ints = table[:, 2] - table[:, 1]
            return found
        if goal in self.charges:
            return np.full(len(table), held[goal])
        return listing.sums(table)[:, 0 if goal == "total" else 1]


def _key(goal: str, held: Held) -> tuple[str, tuple[tuple[str, int], ...]]:
    return goal, tuple(sorted(held.items()))
