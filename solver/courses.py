"""Tracks unrolled into courses: rows to stop at one after another, with what leads in and out; mirrored ones folded."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from solver.problems import Track

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Gate:
    """A way into a course or out of it, by a piece or, where `length` is 0, by a break on the axis itself."""

    row: int
    column: int
    length: int
    """of the piece, steps"""
    count: int
    """pieces that this makes: two where the piece has a mirrored one"""


@dataclass(frozen=True, eq=False)
class Course:
    """Rows of possible stops; each stop but the last is followed by another one piece on.

    A ring has one column for each position that may be its lowest chosen one; lines and folded tracks have one.
    """

    track: Track
    mirror: int | None
    places: tuple[tuple[int, ...], ...]
    """positions chosen with each row: two where it is mirrored"""
    cost: Ints
    """sum of the costs of a row's places"""
    peak: Ints
    """greatest of these costs"""
    is_open: Flags
    each: int
    """pieces that a step from row to row makes"""
    inner: tuple[int, ...]
    """lengths of such a step"""
    entries: tuple[Gate, ...]
    exits: tuple[Gate, ...]
    direct: tuple[Gate, ...]
    """the whole track as one piece, without a stop"""
    columns: int

    @property
    def rows(self) -> int:
        """Number of rows."""
        return len(self.places)

    @cached_property
    def lengths(self) -> frozenset[int]:
        """All lengths that a piece may have."""
        gates = (*self.entries, *self.exits, *self.direct)
        return frozenset((*self.inner, *(gate.length for gate in gates if gate.length)))

    @property
    def most_pieces(self) -> int:
        """No way has more pieces."""
        return max(1, self.track.size // self.track.smallest)

    @property
    def exchanges(self) -> bool:
        """Whether the least total is convex in the number of pieces, for lengths without a gap.

        Two ways that cross can exchange their ends, which keeps the sum of their totals and evens their numbers
        of pieces; on a line with a much longer last piece the exchanged pieces may be too long.
        """
        last = self.track.largest_last
        return self.mirror is None and (self.track.closed or last is None or last <= self.track.largest + 1)

    def only(self, column: int) -> Course:
        """Return the course with one column."""
        kept = [
            tuple(replace(g, column=0) for g in gates if g.column == column) for gates in (self.entries, self.exits)
        ]
        return replace(self, entries=kept[0], exits=kept[1], columns=1)

    def under(self, ceiling: int | None) -> Course:
        """Return the course with the rows closed whose cost is above the ceiling."""
        return self if ceiling is None else replace(self, is_open=self.is_open & (self.peak <= ceiling))

    def thinned(self, ceiling: int | None) -> Course:
        """Return the course under the ceiling, a ring's begun where the fewest rows are open.

        Its ways are the same, but begun at other positions.
        """
        if self.mirror is not None or not self.track.closed:
            return self.under(ceiling)
        track = self.track
        allowed = track.allowed if ceiling is None else track.allowed & (track.cost <= ceiling)
        window = max(self.inner, default=track.size)
        sums = np.concatenate([[0], np.cumsum(np.concatenate([allowed, allowed[:window]]))])
        first = int(np.argmin(sums[window:-1] - sums[: track.size]))
        return _ring(replace(track, allowed=allowed), first)

    def turned(self) -> Course:
        """Return the course gone from its end to its start."""
        last = self.rows - 1
        gates = [tuple(replace(g, row=last - g.row) for g in some) for some in (self.exits, self.entries)]
        return replace(
            self,
            places=self.places[::-1],
            cost=self.cost[::-1],
            peak=self.peak[::-1],
            is_open=self.is_open[::-1],
            entries=gates[0],
            exits=gates[1],
        )

    def chosen(self, rows: tuple[int, ...]) -> tuple[int, ...]:
        """Return the positions of the track that stops at these rows choose, rising, a line's with its ends."""
        ends = () if self.track.closed else (0, self.track.size)
        return tuple(sorted({*ends, *(place for row in rows for place in self.places[row])}))


def course_of(track: Track, mirror: int | None = None) -> Course:
    """Unroll a track, or fold it about an axis, where position p is chosen just when `mirror` − p is.

    Raises
    ------
    ValueError
        When a line's mirror is not its size.

    Examples
    --------
    >>> line = Track(6, False, 2, 3, np.arange(7), np.full(7, True))
    >>> [(gate.row, gate.length) for gate in course_of(line).exits]
    [(4, 2), (3, 3)]
    >>> folded = course_of(line, 6)
    >>> folded.places[2:], [(gate.row, gate.length, gate.count) for gate in folded.exits]
    (((2, 4), (3,)), [(2, 2, 1), (3, 0, 0)])
    """
    if mirror is None:
        return _ring(track) if track.closed else _line(track)
    if track.closed:
        return _folded_ring(track, mirror % track.size)
    if mirror != track.size:
        raise ValueError(f"mirror {mirror} of a line must be its size, {track.size}")
    return _folded_line(track)


def _limits(track: Track) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return the lengths of a piece, and of the one that ends a line or is all of the track."""
    last = track.largest if track.closed or track.largest_last is None else track.largest_last
    if track.size < track.smallest:
        return (), ((track.size,) if track.short_whole and track.size <= last else ())
    inner = tuple(range(track.smallest, min(track.largest, track.size) + 1))
    return inner, tuple(range(track.smallest, min(last, track.size) + 1))


def _line(track: Track) -> Course:
    inner, closing = _limits(track)
    size = track.size
    cost, is_open = track.cost.copy(), track.allowed.copy()
    is_open[[0, size]] = False
    return Course(
        track=track,
        mirror=None,
        places=tuple((p,) for p in range(size + 1)),
        cost=cost,
        peak=cost,
        is_open=is_open,
        each=1,
        inner=inner,
        entries=tuple(Gate(n, 0, n, 1) for n in inner if n < size),
        exits=tuple(Gate(size - n, 0, n, 1) for n in closing if n < size),
        direct=tuple(Gate(0, 0, size, 1) for n in closing if n == size),
        columns=1,
    )


def _ring(track: Track, first: int = 0) -> Course:
    """Unroll a ring from a position on: every way stops in the window of the longest piece from there."""
    inner, closing = _limits(track)
    size = track.size
    is_open, cost = np.roll(track.allowed, -first), np.roll(track.cost, -first)
    starts = [int(row) for row in np.flatnonzero(is_open[: max(inner, default=size)])]
    spans = inner or closing
    return Course(
        track=track,
        mirror=None,
        places=tuple(((first + row) % size,) for row in range(size)),
        cost=cost,
        peak=cost,
        is_open=is_open,
        each=1,
        inner=inner,
        entries=tuple(Gate(start, column, 0, 0) for column, start in enumerate(starts)),
        exits=tuple(
            Gate(start + size - n, column, n, 1)
            for column, start in enumerate(starts)
            for n in spans
            if start <= start + size - n < size
        ),
        direct=(),
        columns=max(1, len(starts)),
    )


def _folded_line(track: Track) -> Course:
    inner, closing = _limits(track)
    size = track.size
    places = tuple(tuple(sorted({p, size - p})) for p in range(size // 2 + 1))
    outer = set(inner) & set(closing)
    exits = (Gate(p, 0, size - 2 * p, int(2 * p != size)) for p in range(1, size // 2 + 1))
    return _folded(
        track,
        size,
        places,
        entries=tuple(Gate(n, 0, n, 2) for n in sorted(outer) if 2 * n <= size),
        exits=tuple(gate for gate in exits if not gate.length or gate.length in inner),
        direct=tuple(Gate(0, 0, size, 1) for n in closing if n == size),
    )


def _folded_ring(track: Track, mirror: int) -> Course:
    inner, closing = _limits(track)
    spans = {0, *(inner or closing)}
    base, odd = (mirror + 1) // 2, mirror % 2
    rows = range((track.size - odd) // 2 + 1)
    before = [2 * row + odd for row in rows]
    places = tuple(tuple(sorted({(base + row) % track.size, (base - odd - row) % track.size})) for row in rows)
    entries = (Gate(row, 0, span, int(span > 0)) for row, span in enumerate(before))
    exits = (Gate(row, 0, track.size - span, int(span < track.size)) for row, span in enumerate(before))
    return _folded(
        track,
        mirror,
        places,
        entries=tuple(gate for gate in entries if gate.length in spans),
        exits=tuple(gate for gate in exits if gate.length in spans),
        direct=(),
    )


def _folded(
    track: Track,
    mirror: int,
    places: tuple[tuple[int, ...], ...],
    *,
    entries: tuple[Gate, ...],
    exits: tuple[Gate, ...],
    direct: tuple[Gate, ...],
) -> Course:
    """Gather what a folded track's rows cost; a line's row 0 is its end, which is chosen anyway."""
    is_open = np.array([all(track.allowed[p] for p in pair) for pair in places], dtype=np.bool_)
    if not track.closed:
        is_open[0] = False
    return Course(
        track=track,
        mirror=mirror,
        places=places,
        cost=np.array([sum(int(track.cost[p]) for p in pair) for pair in places], dtype=np.int64),
        peak=np.array([max(int(track.cost[p]) for p in pair) for pair in places], dtype=np.int64),
        is_open=is_open,
        each=2,
        inner=_limits(track)[0],
        entries=entries,
        exits=exits,
        direct=direct,
        columns=1,
    )
