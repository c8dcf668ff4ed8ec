"""The lowest positions of pieces that are given by number alone: always the nearest stop from which the rest can be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from solver.joint_kinds import Lane

Positions = tuple[tuple[int, ...], ...]
Rest = tuple[int, ...]
"""how many pieces of each number of steps are still to come"""

MOST_STATES = 200_000
"""(position, rest) of one problem before its order is left as it is (assumed; a second)"""

MOST_PIECES = 200
"""pieces of one track beyond which its order is left as it is: the search goes as deep (assumed)"""

NEVER = 1 << 62
"""cost of what cannot be"""


class TooManyOrdersError(Exception):
    """The pieces have more orders than the work allows to look at."""


def lowest_order(lanes: Sequence[Lane], ways: Positions, level: int | None, most: int | None) -> Positions | None:
    """Return the lowest positions whose pieces are those of given ways, track by track; None: too much work.

    Parameters
    ----------
    ways
        positions of an answer, which say how many pieces of each number of steps each track has, and which ends a line
    level
        the greatest price of any break; None: any
    most
        the greatest sum of all prices; None: any
    """
    try:
        orders = [_Order(lane, way, level) for lane, way in zip(lanes, ways, strict=True)]
        dues = [order.least() for order in orders]
        spare = NEVER - 1 if most is None else most - sum(dues)
        out = []
        for order, due in zip(orders, dues, strict=True):
            way, paid = order.lowest(min(due + spare, NEVER - 1))
            out.append(way)
            spare -= paid - due
    except TooManyOrdersError:
        return None
    return tuple(out)


@dataclass
class _Order:
    """One track, and the pieces it is to be broken into."""

    lane: Lane
    way: tuple[int, ...]
    level: int | None
    known: dict[tuple[int, Rest], int] = field(default_factory=dict)
    start: int = 0

    def __post_init__(self) -> None:
        """Count the pieces; the one that ends a line stays the last."""
        lane, closed = self.lane, self.lane.track.closed
        ends = (*self.way, self.way[0] + lane.size) if closed else self.way
        steps = [b - a for a, b in pairwise(ends)]
        counted = Counter(steps if closed else steps[:-1])
        self.last = 0 if closed else steps[-1]
        self.steps = tuple(sorted(counted))
        self.counts: Rest = tuple(counted[n] for n in self.steps)
        self.open, self.cost = lane.open(self.level), lane.cost
        if len(steps) > MOST_PIECES:
            raise TooManyOrdersError

    @property
    def _starts(self) -> Sequence[int]:
        """Where the first break may fall: of a ring within its longest piece."""
        if not self.lane.track.closed:
            return (0,)
        return [int(p) for p in np.flatnonzero(self.open[: max(self.steps)])]

    def least(self) -> int:
        """Return the least sum of prices of any order."""
        return min(self._due(start) for start in self._starts)

    def lowest(self, most: int) -> tuple[tuple[int, ...], int]:
        """Return the lowest positions that cost no more in all, and what they cost."""
        start = next(start for start in self._starts if self._due(start) <= most)
        at, rest, paid, out = start, self.counts, int(self.cost[start % self.lane.size]), [start]
        while any(rest):
            at, rest = next(step for step in self._moves(at, rest) if paid + self._still(*step, start) <= most)
            if at - start < self.lane.size:
                paid += int(self.cost[at % self.lane.size])
                out.append(at % self.lane.size)
        return tuple(sorted(out)) if self.lane.track.closed else (*out, self.lane.size), paid

    def _due(self, start: int) -> int:
        return self._still(start, self.counts, start)

    def _moves(self, at: int, rest: Rest) -> list[tuple[int, Rest]]:
        """List where each of the pieces left would end, the shortest first."""
        return [(at + n, (*rest[:i], rest[i] - 1, *rest[i + 1 :])) for i, n in enumerate(self.steps) if rest[i]]

    def _still(self, at: int, rest: Rest, start: int) -> int:
        """Return the least that the break at a position and those after it cost; `NEVER`: it may not fall there."""
        if start != self.start:
            self.known.clear()
            self.start = start
        return self._least(at, rest)

    def _least(self, at: int, rest: Rest) -> int:
        size, closed = self.lane.size, self.lane.track.closed
        if closed and not any(rest):
            return 0
        if not self.open[at % size if closed else at]:
            return NEVER
        if not any(rest):
            return int(self.cost[at])
        key = at, rest
        if key not in self.known:
            if len(self.known) >= MOST_STATES:
                raise TooManyOrdersError
            least = min(self._least(*move) for move in self._moves(at, rest))
            self.known[key] = min(NEVER, least + int(self.cost[at % size]))
        return self.known[key]
