"""Least charges of several courses together, for many sets of lengths: by one sum, or one sum within another."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from solver.courses import Course, Ints
from solver.weights import Weights

Member = frozenset[int] | None
"""lengths that pieces may have; None: all"""

Members = Sequence[Member] | Ints
"""several of them; sets of one size may be the rows of an array"""

GONE = 1 << 61
"""charge where there is no way"""

ROOM = 1 << 58
"""two sums met as one must stay below this"""

BATCH = 4_000_000
"""figures that a sweep of many sets keeps at once: 32 MB"""

FIGURE_WORK = 10
"""work of one figure of a sweep, in words (measured, rounded)"""

LEAST_SWEEP = 300_000
"""work of any sweep besides (measured, rounded)"""

SLOPES = 10
"""sweeps that the least total within a number of pieces takes where it is convex (measured, rounded)"""

FEW = 4
"""so many sets for each length they hold are swept one by one rather than together (assumed)"""


class Kernel(Protocol):
    """Figures of one course, by whichever way they are come by."""

    def least(self, course: Course, weights: Weights, lengths: Member) -> int:
        """Return the least charge."""

    def from_start(self, course: Course, weights: Weights) -> Ints:
        """Return the least charge from the start to each row, its own included, shape (rows, columns)."""

    def to_end(self, course: Course, weights: Weights) -> Ints:
        """Return the least charge from each row, its own included, to the end."""

    def by_pieces(self, course: Course, lengths: Member, most: int) -> Ints:
        """Return the least total by number of pieces 0…`most`."""

    def of_sets(self, course: Course, weights: Weights, sets: Ints) -> Ints:
        """Return the least charge with each set of lengths."""


class Charges:
    """Least sums over all courses."""

    def __init__(self, courses: Sequence[Course], kernel: Kernel) -> None:
        """Find how great the sums can be.

        Raises
        ------
        ValueError
            When the costs are too great.
        """
        self.courses = tuple(courses)
        self.kernel = kernel
        self._under: tuple[int | None, tuple[Course, ...]] | None = None
        self.highest = max(int(course.peak.max(initial=0)) for course in courses)
        """no break costs more"""
        self.per_piece = 1 + sum(course.most_pieces for course in courses)
        self.per_total = 1 + sum(course.most_pieces * int(course.cost.max(initial=0)) for course in courses)
        if self.per_piece * self.per_total >= ROOM:
            most = max(int(course.track.cost.max()) for course in courses)
            raise ValueError(f"costs up to {most} are too great to be summed exactly")
        self.pieces_first = Weights(self.per_total, 1)
        self.total_first = Weights(1, self.per_piece)

    def under(self, ceiling: int | None) -> tuple[Course, ...]:
        """Return the courses with only the rows that cost no more than the ceiling."""
        if self._under is None or self._under[0] != ceiling:
            self._under = ceiling, tuple(course.thinned(ceiling) for course in self.courses)
        return self._under[1]

    def figures(self, ceiling: int | None) -> int:
        """Count the figures of a sweep under the ceiling."""
        return sum(int(course.is_open.sum()) * course.columns for course in self.under(ceiling))

    def least(self, weights: Weights, members: Members, ceiling: int | None) -> Ints:
        """Return the least charge of all courses together with each of the members."""
        if isinstance(members, np.ndarray):
            return self._of_sets(weights, members, ceiling)
        out = np.zeros(len(members), dtype=np.int64)
        for size, at in _by_size(members).items():
            if size and len(at) > FEW * size:
                sets = np.array([sorted(members[index] or ()) for index in at])
                out[at] = self._of_sets(weights, sets, ceiling)
                continue
            for index in at:
                courses = self.under(ceiling)
                out[index] = min(GONE, sum(self.kernel.least(course, weights, members[index]) for course in courses))
        return out

    def _of_sets(self, weights: Weights, sets: Ints, ceiling: int | None) -> Ints:
        """Return the least charge with each set, the rows of `sets`, as many at once as there is room for."""
        courses = self.under(ceiling)
        room = max(1, BATCH // max(course.columns * (max(course.inner, default=0) + 2) for course in courses))
        out = np.zeros(len(sets), dtype=np.int64)
        for low in range(0, len(sets), room):
            some = sets[low : low + room]
            for course in courses:
                part = out[low : low + room] + self.kernel.of_sets(course, weights, some)
                out[low : low + room] = np.minimum(part, GONE)
        return out

    def usable(self, weights: Weights, most: int, ceiling: int | None) -> frozenset[int]:
        """Return the lengths that some way has which charges no more than `most`."""
        courses = self.under(ceiling)
        least = [self.kernel.least(course, weights, None) for course in courses]
        if sum(least) > most:
            return frozenset()
        spare = most - sum(least)
        return frozenset().union(
            *(self._of_course(course, weights, own + spare) for course, own in zip(courses, least, strict=True))
        )

    def _of_course(self, course: Course, weights: Weights, most: int) -> set[int]:
        """Return the lengths that ways of one course have: what leads to a piece, it, and what follows it."""
        before, after = self.kernel.from_start(course, weights), self.kernel.to_end(course, weights)
        step = course.each * weights.piece
        found = {n for n in course.inner if (before[:-n] + after[n:] <= most - step).any()}
        for gates, figures in ((course.entries, after), (course.exits, before)):
            found |= {g.length for g in gates if figures[g.row, g.column] + g.count * weights.piece <= most}
        return (found | {g.length for g in course.direct if g.count * weights.piece <= most}) - {0}

    def by_pieces(self, member: Member, most: int, ceiling: int | None) -> Ints:
        """Return the least total by the number of pieces 0…`most` of all courses."""
        out: Ints | None = None
        for course in self.under(ceiling):
            own = self.kernel.by_pieces(course, member, most)
            out = own if out is None else added(out, own)
        return np.full(most + 1, GONE, dtype=np.int64) if out is None else out

    def total_within(self, member: Member, pieces: int, ceiling: int | None, ends: tuple[int, int, int, int]) -> int:
        """Return the least total with at most so many pieces.

        `ends` are the fewest pieces, fewer than that, with the least total at these; and the fewest pieces at the
        least total of all, more than that, with that total. Between the two the least totals are convex where
        lengths have no gap, so the line through them is lowered until nothing lies below it.
        """
        great = max(ends[1], 1) * self.per_piece * self.per_piece * 2
        if great >= ROOM or not self._convex(member):
            return int(self.by_pieces(member, pieces, ceiling).min(initial=GONE))
        fewer, dear, more, cheap = ends
        while True:
            one, unit = dear - cheap, more - fewer
            weights = Weights(one * self.per_piece + 1, unit * self.per_piece)
            charge, count = divmod(int(self.least(weights, [member], ceiling)[0]), self.per_piece)
            total = (charge - one * count) // unit
            if charge >= one * fewer + unit * dear or not (fewer < count < more and cheap < total < dear):
                return -((one * pieces - charge) // unit)  # what no way on this side of the line goes below
            if count <= pieces:
                fewer, dear = count, total
            else:
                more, cheap = count, total

    def words(self, member: Member, pieces: int) -> int:
        """Estimate the work of `total_within`."""
        figures = sum(LEAST_SWEEP + FIGURE_WORK * course.rows * course.columns for course in self.courses)
        return figures * (SLOPES if self._convex(member) else pieces + 1)

    def _convex(self, member: Member) -> bool:
        """Whether more pieces save ever less: the lengths have no gap, and ends can be exchanged."""
        return all(course.exchanges and _gapless(course.lengths, member) for course in self.courses)


def _by_size(members: Sequence[Member]) -> dict[int, list[int]]:
    """Gather the indices of members of one size."""
    out: dict[int, list[int]] = {}
    for index, member in enumerate(members):
        out.setdefault(0 if member is None else len(member), []).append(index)
    return out


def _gapless(lengths: frozenset[int], member: Member) -> bool:
    kept = lengths if member is None else lengths & member
    return not kept or max(kept) - min(kept) + 1 == len(kept)


def added(first: Ints, second: Ints) -> Ints:
    """Add least totals by numbers of pieces: each number is shared out as is best.

    Examples
    --------
    >>> added(np.array([9, 4, 1]), np.array([5, 3, 2])).tolist()
    [14, 9, 6]
    """
    most = len(first) - 1
    out = np.full(most + 1, GONE, dtype=np.int64)
    for count, total in enumerate(second.tolist()):
        if total < GONE:
            out[count:] = np.minimum(out[count:], first[: most + 1 - count] + total)
    return out
