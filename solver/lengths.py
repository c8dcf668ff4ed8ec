"""The fewest different lengths: all sets of one size are carried along the best ways at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

from solver.fewer import small_set
from solver.nets import Net, carried_by_all, members_of

ARC_WORK = 250
"""work of one step along an arc besides that on the bits, in words of 64 bits (measured, rounded)"""

SET_WORK = 1_000
"""work of listing one set (measured, rounded)"""


@dataclass(frozen=True)
class Fewest:
    """Sets of the fewest lengths that do."""

    sets: tuple[frozenset[int], ...]
    """in lexicographic order; all there are where `exact`"""
    bound: int
    """no smaller set does"""
    exact: bool


def sets_of(bits: int, universe: Sequence[int], count: int) -> tuple[frozenset[int], ...]:
    """Return the sets that the bits stand for.

    Examples
    --------
    >>> [sorted(lengths) for lengths in sets_of(0b101, [7, 8, 9], 2)]
    [[7, 8], [8, 9]]
    """
    digits = bin(bits)[:1:-1]
    return tuple(
        frozenset(chosen) for digit, chosen in zip(digits, combinations(universe, count), strict=False) if digit == "1"
    )


def fewest_lengths(nets: Sequence[Net], effort: int) -> Fewest:
    """Find all sets of the fewest lengths with which every track has a best way.

    When more than `effort` words of work would be needed, the answer is cut short: one small set, and the
    least number that has not been ruled out.
    """
    universe = sorted(set().union(*(net.lengths for net in nets)))
    left = _Effort(effort, nets)
    for count in range(1, len(universe) + 1):
        sets = comb(len(universe), count)
        if not left.take(sets):
            left.given = effort // 4
            return Fewest((small_set(nets, universe, left.take),), count, exact=False)
        bits = carried_by_all(nets, members_of(list(combinations(universe, count)), universe), sets)
        if bits:
            return Fewest(sets_of(bits, universe, count), count, exact=True)
    raise ValueError("a track has no way at all")


class _Effort:
    """Work left, in words."""

    def __init__(self, given: int, nets: Sequence[Net]) -> None:
        self.given = given
        self.arcs = sum(net.size for net in nets)
        self.width = sum(net.size * len(net.starts) for net in nets)

    def take(self, sets: int) -> bool:
        """Take the work of carrying that many sets, if it is left."""
        work = self.arcs * ARC_WORK + self.width * sets // 64 + sets * SET_WORK
        if work > self.given:
            return False
        self.given -= work
        return True
