"""Lower bounds on the charges of ways along a course, filled from its start on and checked arc by arc.

Nothing here is shared with the search, which works from the end back, but the course itself.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from numpy.typing import NDArray

from solver.courses import Course, Gate, Ints
from solver.weights import Weights

NEVER = 1 << 61
"""figure of a row that no way reaches"""


class Forward:
    """Bounds for whole courses."""

    def from_start(self, course: Course, weights: Weights) -> Ints:
        """No way from the start to a row, its own charge included, charges less, shape (rows, columns)."""
        return _held(course, weights, None)

    def to_end(self, course: Course, weights: Weights) -> Ints:
        """No way from a row to the end, its own charge included, charges less, shape (rows, columns)."""
        return _held(course.turned(), weights, None)[::-1]

    def least(self, course: Course, weights: Weights, lengths: frozenset[int] | None) -> int:
        """No way charges less; `NEVER`: there is none. Figures that do not hold are taken as 0."""
        figures = _held(course, weights, lengths)
        ends = [int(figures[g.row, g.column]) + g.count * weights.piece for g in _passing(course.exits, lengths)]
        return min([NEVER, *ends, *(g.count * weights.piece for g in _passing(course.direct, lengths))])

    def by_pieces(self, course: Course, lengths: frozenset[int] | None, most: int) -> Ints:
        """No way with so many pieces has a lesser total; by number of pieces 0…`most`."""
        steps, step = _steps(course, lengths), course.each
        fee = np.where(course.is_open, course.cost, NEVER)
        figures = np.full((course.rows, course.columns, most + 1), NEVER, dtype=np.int64)
        into = _at_rows(course.entries, lengths)
        for low in range(0, course.rows, max(1, min(steps, default=course.rows))):
            high = min(course.rows, low + max(1, min(steps, default=course.rows)))
            for n in steps:
                first = max(low, n)
                if first < high and step <= most:
                    tail = figures[first - n : high - n, :, : most + 1 - step]
                    np.minimum(figures[first:high, :, step:], tail, out=figures[first:high, :, step:])
            for gate in (g for row in range(low, high) for g in into[row] if g.count <= most):
                figures[gate.row, gate.column, gate.count] = 0
            figures[low:high] = np.minimum(figures[low:high] + fee[low:high, None, None], NEVER)
        out = np.full(most + 1, NEVER, dtype=np.int64)
        for gate in _passing(course.exits, lengths):
            room = max(0, most + 1 - gate.count)
            out[gate.count :] = np.minimum(out[gate.count :], figures[gate.row, gate.column, :room])
        for gate in _passing(course.direct, lengths):
            out[gate.count : gate.count + 1] = 0
        return out

    def of_sets(self, course: Course, weights: Weights, sets: NDArray[np.int64]) -> Ints:
        """No way with only the lengths of a set, a row of `sets`, charges less."""
        turn, each = max(course.inner, default=0) + 1, np.arange(len(sets))
        has = np.zeros((max(int(sets.max()), *course.lengths, 0) + 1, len(sets)), dtype=np.bool_)
        for column in sets.T:
            has[column, each] = True
        has[0] = True  # a gate without a piece is open to all
        reach = [np.where(np.isin(column, course.inner), column, 0) for column in sets.T]
        near = np.full((turn + 1, len(sets), course.columns), NEVER, dtype=np.int64)
        best = np.full(len(sets), NEVER, dtype=np.int64)
        into, out = _at_rows(course.entries, None), _at_rows(course.exits, None)
        for gate in course.direct:
            best[has[gate.length]] = gate.count * weights.piece
        for row in range(course.rows):
            here = near[row % turn]
            here[:] = NEVER
            if not course.is_open[row]:
                continue
            before = [near[np.where(n > 0, (row - n) % turn, turn), each] for n in reach]
            here[:] = np.minimum.reduce(before) + course.each * weights.piece
            for gate in into[row]:
                came = np.where(has[gate.length], gate.count * weights.piece, NEVER)
                here[:, gate.column] = np.minimum(here[:, gate.column], came)
            here[:] = np.minimum(here + weights.cost * course.cost[row], NEVER)
            for gate in out[row]:
                paid = np.where(has[gate.length], here[:, gate.column] + gate.count * weights.piece, NEVER)
                best = np.minimum(best, paid)
        return best


def _steps(course: Course, lengths: frozenset[int] | None) -> list[int]:
    return sorted(n for n in course.inner if n < course.rows and (lengths is None or n in lengths))


def _passing(gates: tuple[Gate, ...], lengths: frozenset[int] | None) -> list[Gate]:
    return [gate for gate in gates if lengths is None or gate.length == 0 or gate.length in lengths]


def _at_rows(gates: tuple[Gate, ...], lengths: frozenset[int] | None) -> dict[int, list[Gate]]:
    out: dict[int, list[Gate]] = defaultdict(list)
    for gate in _passing(gates, lengths):
        out[gate.row].append(gate)
    return out


def _springs(course: Course, piece: int, lengths: frozenset[int] | None) -> Ints:
    """Return what it takes to come straight to a row, before its own fee, shape (rows, columns)."""
    springs = np.full((course.rows, course.columns), NEVER, dtype=np.int64)
    for gate in _passing(course.entries, lengths):
        springs[gate.row, gate.column] = min(springs[gate.row, gate.column], gate.count * piece)
    return springs


def _held(course: Course, weights: Weights, lengths: frozenset[int] | None) -> Ints:
    """Fill the figures of all rows, and check them; where they do not hold all are 0."""
    steps = _steps(course, lengths)
    fee = np.where(course.is_open, weights.cost * course.cost, NEVER)
    charge = course.each * weights.piece
    springs = _springs(course, weights.piece, lengths)
    figures = _filled(course, fee, charge, steps, springs)
    return figures if _within(figures, fee, charge, steps, springs) else np.zeros_like(figures)


def _filled(course: Course, fee: Ints, charge: int, steps: list[int], springs: Ints) -> Ints:
    """Fill the figures row after row, as many at once as the shortest step spans."""
    figures = np.full((course.rows, course.columns), NEVER, dtype=np.int64)
    stride = max(1, min(steps, default=course.rows))
    for low in range(0, course.rows, stride):
        high = min(course.rows, low + stride)
        here = springs[low:high].copy()
        for n in steps:
            first = max(low, n)
            if first < high:
                part = here[first - low :]
                np.minimum(part, figures[first - n : high - n] + charge, out=part)
        figures[low:high] = np.minimum(here + fee[low:high, None], NEVER)
    return figures


def _within(figures: Ints, fee: Ints, charge: int, steps: list[int], springs: Ints) -> bool:
    """Check that no row's figure exceeds what it takes to come there by any arc."""
    if np.any(figures > np.minimum(springs + fee[:, None], NEVER)):
        return False
    tolls = (fee + charge)[:, None]
    return all(np.all(figures[n:] <= np.minimum(figures[:-n] + tolls[n:], NEVER)) for n in steps)
