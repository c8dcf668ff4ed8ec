"""The least charges of ways along a course, swept from its end back: one figure, one a number of pieces, one a set."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from solver.courses import Course, Gate, Ints
from solver.sweeps import FAR, Windows, runs_of
from solver.weights import TOTAL, Weights


def fees(course: Course, weights: Weights) -> Ints:
    """Return what stopping at each row charges; `FAR` where it is closed."""
    return np.where(course.is_open, course.cost * weights.cost, FAR)


def with_length(gates: tuple[Gate, ...], lengths: frozenset[int] | None) -> tuple[Gate, ...]:
    """Keep the gates whose piece has one of these lengths, and those without a piece."""
    return gates if lengths is None else tuple(g for g in gates if not g.length or g.length in lengths)


def to_go(course: Course, weights: Weights, lengths: frozenset[int] | None) -> Ints:
    """Least charge from each row, its own included, to the end, shape (rows, columns)."""
    fee = fees(course, weights)[::-1, None]
    ends = np.full((course.rows, course.columns), FAR, dtype=np.int64)
    for gate in with_length(course.exits, lengths):
        at = course.rows - 1 - gate.row, gate.column
        ends[at] = min(ends[at], weights.piece * gate.count)
    windows = _windows(course, lengths, (course.columns,))
    out = np.empty((course.rows, course.columns), dtype=np.int64)
    for low in range(0, course.rows, windows.stride):
        part = slice(low, min(course.rows, low + windows.stride))
        behind = windows.least(part.stop - low)
        behind += weights.piece * course.each
        np.minimum(behind, ends[part], out=behind)
        behind += fee[part]
        np.minimum(behind, FAR, out=behind)
        windows.push(behind)
        out[part] = behind
    return out[::-1]


def to_go_by_pieces(course: Course, lengths: frozenset[int] | None, most: int) -> Ints:
    """Least total from each row to the end with each number of pieces 0…`most`, shape (rows, columns, most + 1)."""
    fee = fees(course, TOTAL)[::-1, None]
    gates = [g for g in with_length(course.exits, lengths) if g.count <= most]
    shape = (course.rows, course.columns)
    ends = {count: np.full(shape, FAR, dtype=np.int64) for count in {gate.count for gate in gates}}
    for gate in gates:
        ends[gate.count][course.rows - 1 - gate.row, gate.column] = 0
    windows = _windows(course, lengths, (course.columns, most + 1))
    out = np.full((*shape, most + 1), FAR, dtype=np.int64)
    for low in range(0, course.rows, windows.stride):
        part = slice(low, min(course.rows, low + windows.stride))
        chunk = out[part]
        chunk[..., course.each :] = windows.least(part.stop - low)[..., : max(0, most + 1 - course.each)]
        for count, end in ends.items():
            np.minimum(chunk[..., count], end[part], out=chunk[..., count])
        chunk += fee[part, :, None]
        np.minimum(chunk, FAR, out=chunk)
        windows.push(chunk)
    return out[::-1]


def _windows(course: Course, lengths: frozenset[int] | None, shape: tuple[int, ...]) -> Windows:
    inner = [n for n in course.inner if lengths is None or n in lengths]
    before = np.full((max(inner, default=1), *shape), FAR, dtype=np.int64)
    return Windows(before, runs_of(inner))


class Backward:
    """Figures of whole courses."""

    def from_start(self, course: Course, weights: Weights) -> Ints:
        """Return the least charge from the start to each row, its own included, shape (rows, columns)."""
        return to_go(course.turned(), weights, None)[::-1]

    def to_end(self, course: Course, weights: Weights) -> Ints:
        """Return the least charge from each row, its own included, to the end, shape (rows, columns)."""
        return to_go(course, weights, None)

    def least(self, course: Course, weights: Weights, lengths: frozenset[int] | None) -> int:
        """Return the least charge of any way; `FAR`: there is none."""
        figures = to_go(course, weights, lengths)
        charges = [weights.piece * gate.count for gate in with_length(course.direct, lengths)]
        charges += [
            weights.piece * gate.count + int(figures[gate.row, gate.column])
            for gate in with_length(course.entries, lengths)
        ]
        return min(FAR, *charges) if charges else FAR

    def by_pieces(self, course: Course, lengths: frozenset[int] | None, most: int) -> Ints:
        """Return the least total with each number of pieces 0…`most`; `FAR`: there is none."""
        return started(course, to_go_by_pieces(course, lengths, most), lengths)

    def of_sets(self, course: Course, weights: Weights, sets: NDArray[np.int64]) -> Ints:
        """Return the least charge with each set of lengths, the rows of `sets`; `FAR`: there is none."""
        count, steps = len(sets), [n if n in set(course.inner) else 0 for n in range(int(sets.max()) + 1)]
        turn = max(steps, default=0) + 1
        ahead = np.array(steps, dtype=np.int64)[sets]
        ring = np.full((turn + 1, count, course.columns), FAR, dtype=np.int64)  # the row past the ring stays far
        each, fee = np.arange(count), fees(course, weights)
        holds = {n: (sets == n).any(axis=1) for n in course.lengths}
        done = np.full(count, FAR, dtype=np.int64)
        leaving, coming = _by_row(course.exits), _by_row(course.entries)
        for row in range(course.rows - 1, -1, -1):
            here = ring[row % turn]
            if fee[row] >= FAR:
                here[:] = FAR
                continue
            rows = np.where(ahead > 0, (row + ahead) % turn, turn)
            figures = ring[rows[:, 0], each]
            for column in rows.T[1:]:
                np.minimum(figures, ring[column, each], out=figures)
            figures += weights.piece * course.each
            for gate in leaving.get(row, ()):
                ends = np.where(holds[gate.length], weights.piece * gate.count, FAR) if gate.length else 0
                np.minimum(figures[:, gate.column], ends, out=figures[:, gate.column])
            np.minimum(figures + fee[row], FAR, out=here)
            for gate in coming.get(row, ()):
                charge = here[:, gate.column] + weights.piece * gate.count
                np.minimum(done, np.where(holds[gate.length], charge, FAR) if gate.length else charge, out=done)
        for gate in course.direct:
            np.minimum(done, np.where(holds[gate.length], weights.piece * gate.count, FAR), out=done)
        return done


def started(course: Course, figures: Ints, lengths: frozenset[int] | None) -> Ints:
    """Least total by the number of pieces, from the figures of the rows by the pieces to go."""
    most = figures.shape[2] - 1
    out = np.full(most + 1, FAR, dtype=np.int64)
    for gate in with_length(course.entries, lengths):
        if gate.count <= most:
            part = figures[gate.row, gate.column, : most + 1 - gate.count]
            np.minimum(out[gate.count :], part, out=out[gate.count :])
    for gate in with_length(course.direct, lengths):
        if gate.count <= most:
            out[gate.count] = 0
    return out


def _by_row(gates: tuple[Gate, ...]) -> dict[int, list[Gate]]:
    out: dict[int, list[Gate]] = {}
    for gate in gates:
        out.setdefault(gate.row, []).append(gate)
    return out
