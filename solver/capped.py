"""Breaks within values not to be exceeded, of mirrored tracks, and of least spread: goals met one after another.

What is held is a limit on each sum, a ceiling on the costs, and the sets of lengths that are left.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from itertools import combinations
from math import comb

import numpy as np

from solver.answers import Breaks
from solver.backward import Backward
from solver.charges import Charges, Kernel, Member
from solver.courses import Course, Ints
from solver.forward import Forward
from solver.goals import meet
from solver.limits import Limits, Work
from solver.lowest import lowest_ways
from solver.spread import least_spread, narrowest, windows

SET_WORK = 3_000
"""work of listing one set (measured, rounded)"""

STEP_WORK = 2
"""work of one figure of one set, for each of its lengths (measured, rounded)"""

Sets = tuple[Member, ...]


class TooHardError(ValueError):
    """Whether there is any way within the number of different lengths is not settled by the work allowed."""


class Capped:
    """Meets goals in one direction: as a search by what is reached, as a floor by what nothing goes below."""

    def __init__(self, courses: Sequence[Course], kernel: Kernel, effort: int, *, lower: bool) -> None:
        """Hold nothing yet."""
        self.charges = Charges(courses, kernel)
        self.work = Work(effort)
        self.limits = Limits(self.charges, self.work, lower=lower)
        self.lower = lower
        self.members: Sets = (None,)
        self.tight = False
        """whether each member is a set of which every length is needed"""
        self._found: Sets | None = None

    @cached_property
    def lengths(self) -> list[int]:
        """All lengths that a piece may have."""
        return sorted(frozenset().union(*(course.lengths for course in self.charges.courses)))

    @cached_property
    def _levels(self) -> Ints:
        return np.unique(np.concatenate([[0], *(course.peak for course in self.charges.courses)]))

    def cap(self, most: Mapping[str, int]) -> None:
        """Leave out what exceeds these values.

        Raises
        ------
        TooHardError
            When a number of different lengths is capped, and the work does not do to find so few, nor to rule
            them out.
        """
        if any(value < 0 for value in most.values()):
            self.members = ()
            return
        for goal in ("pieces", "total", "worst"):
            if goal in most:
                self.limits.hold(goal, most[goal])
        if "spread" in most:
            self.members = tuple(windows(self.lengths, min(most["spread"], max(self.lengths, default=0))))
        if "different" in most:
            self._cap_different(most["different"])

    def least(self, goal: str) -> int | None:
        """Return the least value of a goal within what is held; None: there is none."""
        if not self.members:
            return None
        if goal == "worst":
            return self._least_worst()
        if goal == "different":
            return self._fewest()
        if goal == "spread":
            return self._least_spread()
        return self.limits.least(goal, self.members)

    def bound(self, goal: str) -> int:
        """Return the same as a bound; a floor whose figures do not hold may find nothing, and says 0."""
        return self.least(goal) or 0

    def hold(self, goal: str, value: int) -> None:
        """Keep only answers whose `goal` does not exceed `value`."""
        if goal == "different":
            found, self._found = self._found, None
            exact = found is not None and found[0] is not None and len(found[0]) == value
            if found is not None and (exact or not self.lower):
                self.members = found
                self.tight = exact
        elif goal == "spread":
            self._hold_spread(value)
        else:
            self.limits.hold(goal, value)

    def take_over(self, goal: str, value: int, families: Sets) -> None:
        """Hold what another search or floor has met; `families` are the sets of lengths that it has left."""
        if goal != "different":
            self.limits.hold(goal, value)
        elif families != (None,):
            self.members = families
            self.tight = all(member is not None and len(member) == value for member in families)

    def lowest(self) -> tuple[tuple[int, ...], ...] | None:
        """Return the lowest positions within what is held."""
        return lowest_ways(self.limits, self._left()) if self.members else None

    def _left(self) -> Sets:
        """Return the members with which there is a way."""
        flags = self.limits.within(self.members, self.limits.ceiling)
        return tuple(member for member, does in zip(self.members, flags, strict=True) if does)

    def _least_worst(self) -> int | None:
        """Halve the levels of cost: what can be done below a ceiling can be below any higher one."""
        levels = self._levels
        if self.limits.ceiling is not None:
            levels = levels[: np.searchsorted(levels, self.limits.ceiling, side="right")]
        if not len(levels) or not self._does(self.members, int(levels[-1])):
            return None
        no, yes = -1, len(levels) - 1
        while yes - no > 1:
            middle = (no + yes) // 2
            no, yes = (no, middle) if self._does(self.members, int(levels[middle])) else (middle, yes)
        return int(levels[yes])

    def _does(self, members: Sequence[Member], ceiling: int | None) -> bool:
        return len(members) > 0 and bool(self.limits.within(members, ceiling).any())

    def _fewest(self) -> int | None:
        """Try all sets of one size, then of the next, as long as the work does."""
        self._found = None
        if not self._does(self.members, self.limits.ceiling):
            return None
        lengths = sorted(self.limits.usable())
        for count in range(1, len(lengths) + 1):
            if not self._may_list(len(lengths), count):
                return count if self.lower else self._small(lengths)
            found = self._sets_within(lengths, count)
            if found:
                self._found = found
                return count
        return None

    def _may_list(self, lengths: int, count: int) -> bool:
        sets = comb(lengths, count)
        if None not in self.members:
            sets = min(sets, sum(comb(len(member), count) for member in self.members if member))
        figures = self.charges.figures(self.limits.ceiling)
        return self.work.take(sets * (SET_WORK + STEP_WORK * figures * (count + 2)))

    def _sets_within(self, lengths: Sequence[int], count: int) -> Sets:
        """Return the sets of one size that are part of a member and give a way, in lexicographic order."""
        if None in self.members:
            some: Iterable[tuple[int, ...]] = combinations(lengths, count)
        else:
            kept = [sorted(member_of(member, lengths)) for member in self.members]
            some = sorted({chosen for member in kept for chosen in combinations(member, count)})
        sets = np.array(list(some), dtype=np.int64).reshape(-1, count)
        found = sets[self.limits.within(sets, self.limits.ceiling)]
        return tuple(frozenset(chosen) for chosen in found.tolist())

    def _small(self, lengths: Sequence[int]) -> int:
        """Drop lengths as long as there is a way, the shortest first."""
        kept = set(self._left()[0] or lengths)
        for length in sorted(kept):
            if len(kept) > 1 and self._does([frozenset(kept - {length})], self.limits.ceiling):
                kept.discard(length)
        self._found = (frozenset(kept),)
        return len(kept)

    def _cap_different(self, most: int) -> None:
        """Leave the sets of so many lengths, or one small set where they are too many."""
        if not self._does(self.members, self.limits.ceiling) or most < 1:
            self.members = ()
            return
        lengths = sorted(self.limits.usable())
        few = [m for member in self.members if len(m := member_of(member, lengths)) <= most]
        if len(few) == len(self.members):
            self.members = tuple(few)
        elif self._may_list(len(lengths), most):
            self.members = (*few, *self._sets_within(lengths, most))
        elif not self.lower:
            if self._small(lengths) > most:
                raise TooHardError(f"whether {most} different lengths do is too much work to settle")
            self.members = self._found or ()

    def _least_spread(self) -> int | None:
        """Find the narrowest window of lengths: a search by two pointers, a floor by halving."""
        if self.tight:
            return min((max(member) - min(member) for member in self._left() if member), default=None)
        ceiling = self.limits.ceiling
        lengths = self.limits.usable()
        if self.lower:
            return narrowest(sorted(lengths), lambda some: self._does(self._within_windows(some), ceiling))
        values = [
            least_spread(sorted(member_of(member, lengths)), lambda window: self._does([window], ceiling))
            for member in self._left()
        ]
        return min((value for value in values if value is not None), default=None)

    def _hold_spread(self, value: int) -> None:
        if self.tight:
            self.members = tuple(m for m in self.members if m and max(m) - min(m) <= value)
        else:
            self.members = self._within_windows(list(windows(self.lengths, value)))

    def _within_windows(self, some: Sequence[frozenset[int]]) -> Sets:
        """Return what the members have in common with each window."""
        pairs = ((member, window) for member in self.members for window in some)
        kept = dict.fromkeys(window if member is None else member & window for member, window in pairs)
        return tuple(each for each in kept if each)


def member_of(member: Member, lengths: Iterable[int]) -> frozenset[int]:
    """Return what a set has in common with some lengths."""
    return frozenset(lengths) if member is None else member.intersection(lengths)


def capped_sides(courses: Sequence[Course], effort: int) -> tuple[Capped, Capped]:
    """Return the search and the floor of the same problem."""
    return Capped(courses, Backward(), effort, lower=False), Capped(courses, Forward(), effort, lower=True)


def solve_courses(
    courses: Sequence[Course],
    goals: tuple[str, ...],
    most: Mapping[str, int],
    effort: int,
    progress: Callable[[float], None] | None,
) -> Breaks:
    """Meet the goals one after another among the ways along courses that exceed no value of `most`."""
    search, floor = capped_sides(courses, effort)
    for side in (search, floor):
        side.cap(most)
    met = meet(search, floor, goals, progress)
    positions = None if met is None else search.lowest()
    return Breaks(positions, met or ()) if positions is not None else Breaks(None, ())
