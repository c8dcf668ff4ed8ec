"""The lowest of the ways within the limits, track by track: always the nearest stop from which the rest can be done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.backward import to_go, to_go_by_pieces, with_length
from solver.charges import GONE, Member, added
from solver.courses import Course, Flags, Gate, Ints
from solver.limits import Limits
from solver.weights import PIECES, TOTAL, Weights


@dataclass(frozen=True)
class Budget:
    """What may be spent: a charge by some weights, and where these are None, a total within a number of pieces."""

    weights: Weights | None
    charge: int
    """the most of the charge, or of the total"""
    pieces: int
    """the most pieces; 0 where they are not counted"""

    def less(self, pieces: int, cost: int) -> Budget:
        """Return what is left when some is spent."""
        if self.weights is None:
            return replace(self, charge=self.charge - cost, pieces=self.pieces - pieces)
        return replace(self, charge=self.charge - self.weights.piece * pieces - self.weights.cost * cost)


def lowest_ways(limits: Limits, members: Sequence[Member]) -> tuple[tuple[int, ...], ...] | None:
    """Return the lowest positions of all tracks; None: there is no member, or nothing within the limits.

    Of a ring's positions one that ends sooner is lower. A folded track's are compared from its axis on.
    """
    budget = _budget(limits, members)
    walks = [_Walk(limits, member, budget) for member in members]
    out = []
    for index, course in enumerate(limits.charges.courses):
        ways = [walk.way(index) for walk in walks]
        kept = [(_key(course, way), walk) for way, walk in zip(ways, walks, strict=True) if way is not None]
        if not kept:
            return None
        best = min(key for key, _ in kept)
        for key, walk in kept:
            if key == best:
                walk.spend(index, best)
        walks = [walk for key, walk in kept if key == best]
        out.append(course.chosen(_rows(course, best)))
    return tuple(out)


def _key(course: Course, rows: tuple[int, ...]) -> tuple[int, ...]:
    """Return what ways are compared by: where the end counts as the farthest row, it is put last."""
    return (*rows, course.rows) if _ends_late(course) else rows


def _rows(course: Course, key: tuple[int, ...]) -> tuple[int, ...]:
    return key[:-1] if _ends_late(course) else key


def _ends_late(course: Course) -> bool:
    return course.mirror is not None or not course.track.closed


def _budget(limits: Limits, members: Sequence[Member]) -> Budget:
    """Say what may be spent; pieces need not be counted where there cannot be fewer than may be."""
    pieces, total, charges = limits.pieces, limits.total, limits.charges
    if pieces is None and total is None:
        return Budget(Weights(0, 0), 0, 0)
    if total is None:
        return Budget(PIECES, pieces or 0, 0)
    if pieces is None:
        return Budget(TOTAL, total, 0)
    if int(charges.least(PIECES, members, limits.ceiling).min(initial=GONE)) == pieces:
        return Budget(charges.pieces_first, pieces * charges.per_total + min(total, charges.per_total - 1), 0)
    return Budget(None, total, pieces)


class _Walk:
    """The walk along all tracks with one set of lengths."""

    def __init__(self, limits: Limits, lengths: Member, budget: Budget) -> None:
        self.courses = [course.under(limits.ceiling) for course in limits.charges.courses]
        self.thinned = limits.charges.under(limits.ceiling)
        self.kernel = limits.charges.kernel
        self.lengths = lengths
        self.budget = budget
        self.after = self._after()

    def _after(self) -> list[Ints]:
        """Least that the tracks after each take, by number of pieces where these are counted."""
        most = self.budget.pieces
        rest = np.full(most + 1, GONE, dtype=np.int64)
        rest[0] = 0
        out = [rest]
        for course in self.thinned[:0:-1]:
            if self.budget.weights is None:
                rest = added(self.kernel.by_pieces(course, self.lengths, most), rest)
            else:
                rest = rest + self.kernel.least(course, self.budget.weights, self.lengths)
            out.append(rest)
        return [np.minimum.accumulate(each) for each in out[::-1]]

    def spend(self, index: int, key: tuple[int, ...]) -> None:
        """Take off what a way along one track costs."""
        course = self.courses[index]
        rows = _rows(course, key)
        chosen = course.chosen(rows)
        pieces = len(chosen) if course.track.closed else len(chosen) - 1
        self.budget = self.budget.less(pieces, int(course.cost[list(rows)].sum()))

    def way(self, index: int) -> tuple[int, ...] | None:
        """Return the rows of the lowest way along one track within the budget."""
        course = self.courses[index]
        for gate, step in _starts(course, self.lengths):
            figures = self._figures(step)
            budget = self.budget.less(gate.count, 0)
            if self._does(figures[gate.row], budget, index):
                return self._walked(step, figures, gate.row, budget, index)
        for gate in with_length(course.direct, self.lengths):
            if self._does(self._nothing(), self.budget.less(gate.count, 0), index):
                return ()
        return None

    def _figures(self, course: Course) -> Ints:
        """Least to go from each row of a course of one column, by number of pieces where these are counted."""
        if self.budget.weights is None:
            return to_go_by_pieces(course, self.lengths, self.budget.pieces)[:, 0]
        return to_go(course, self.budget.weights, self.lengths)

    def _nothing(self) -> Ints:
        return np.array([0, *[GONE] * self.budget.pieces], dtype=np.int64)

    def _does(self, figures: Ints, budget: Budget, index: int) -> bool:
        return bool(self._flags(figures[None], budget, index)[0])

    def _flags(self, figures: Ints, budget: Budget, index: int) -> Flags:
        """Flag the rows from which what is to go, and what the tracks after take, is within the budget."""
        if budget.pieces < 0:
            return np.zeros(len(figures), dtype=np.bool_)
        rest = self.after[index][budget.pieces :: -1]
        room = budget.charge - rest
        fits: Flags = figures[:, : len(room)] <= room
        return np.asarray(fits.any(axis=1))

    def _walked(self, course: Course, figures: Ints, row: int, budget: Budget, index: int) -> tuple[int, ...]:
        steps = np.array([n for n in course.inner if self.lengths is None or n in self.lengths], dtype=np.int64)
        exits: dict[int, list[Gate]] = {}
        for gate in with_length(course.exits, self.lengths):
            exits.setdefault(gate.row, []).append(gate)
        rows = [row]
        while True:
            budget = budget.less(0, int(course.cost[row]))
            ends = any(self._does(self._nothing(), budget.less(g.count, 0), index) for g in exits.get(row, ()))
            if ends and not _ends_late(course):
                return tuple(rows)
            near = row + steps
            near = near[: np.searchsorted(near, course.rows)]
            after = budget.less(course.each, 0)
            good = near[self._flags(figures[near], after, index)]
            if not len(good):
                return tuple(rows)
            row = int(good[0])
            rows.append(row)
            budget = after


def _starts(course: Course, lengths: Member) -> list[tuple[Gate, Course]]:
    """Return the ways in, lowest rows first, each with the course of its column."""
    gates = sorted(with_length(course.entries, lengths), key=lambda gate: (gate.row, gate.column))
    return [(gate, course.only(gate.column) if course.columns > 1 else course) for gate in gates]
