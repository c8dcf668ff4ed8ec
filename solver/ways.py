"""The least-charge ways along one track, and the lowest of them, for one set of lengths and one charge."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from solver.problems import Track
from solver.sweeps import FAR, Charges, Ints, Windows, runs_of, sweep, through

MOST_BLOCKS = 64
BLOCK_WINDOWS = 20
"""a ring or line of more than this many windows is swept in blocks, all at once"""


def lengths_of(track: Track, lengths: frozenset[int] | None = None) -> tuple[list[int], list[int]]:
    """Return the lengths a piece may have within the track, and those of the piece that ends it.

    `lengths` keeps only these; None keeps all.

    Examples
    --------
    >>> import numpy as np
    >>> ten = np.zeros(11, dtype=np.int64)
    >>> lengths_of(Track(10, False, 3, 4, ten, ten == 0, largest_last=5))
    ([3, 4], [3, 4, 5])
    >>> lengths_of(Track(10, False, 12, 14, ten, ten == 0))
    ([], [10])
    """
    last = track.largest if track.closed or track.largest_last is None else track.largest_last
    if track.size < track.smallest:
        inner, closing = [], [track.size] if track.short_whole and track.size <= last else []
    else:
        inner = list(range(track.smallest, min(track.largest, track.size) + 1))
        closing = list(range(track.smallest, min(last, track.size) + 1))
    if lengths is None:
        return inner, closing
    return [n for n in inner if n in lengths], [n for n in closing if n in lengths]


@dataclass(frozen=True, eq=False)
class _Swept:
    """What a sweep over all starts leaves: charges to go, (positions, starts)."""

    tail: Ints
    """of the positions from `top` on"""
    states: list[Ints]
    """of the window that begins at each block, and at the top"""
    head: Ints
    """of the positions below `rest`"""
    state: Ints
    """of the window at position 0"""


class Way:
    """All best ways along one track. A ring's positions go on past its size: a way runs from p to p + size.

    Each piece is charged at the position where it starts. Of a ring's ways only those count whose start is
    the lowest position, so each choice is counted once.
    """

    def __init__(self, track: Track, charges: Charges, lengths: frozenset[int] | None = None) -> None:
        """Take one charge per position 0…size−1; without levels where `lowest` is asked for."""
        self.track = track
        self.charges = charges
        self.inner, self.closing = lengths_of(track, lengths)
        self.runs = runs_of(self.inner)
        self.reach = max(self.inner, default=1)
        top = track.size if track.closed else track.size - min(track.size, max(self.reach, *self.closing, 1))
        blocks = min(MOST_BLOCKS, top // (BLOCK_WINDOWS * self.reach))
        self.block = top // blocks if blocks else 0
        self.rest = top - blocks * self.block
        self.blocks = blocks
        self.top = top

    @cached_property
    def starts(self) -> list[int]:
        """Positions that may be the lowest chosen one: every choice on a ring has one in its first window."""
        if not self.track.closed:
            return [0]
        window = self.reach if self.inner else self.track.size
        return [int(p) for p in np.flatnonzero(self.charges.step[:window] < FAR)]

    @cached_property
    def values(self) -> Ints:
        """Least charge of the ways from each of `starts`."""
        starts = np.array(self.starts, dtype=np.int64)
        if not self.inner:
            return np.array([self.to_go(p)[p] for p in self.starts], dtype=np.int64)
        return self._swept.state[starts, np.arange(len(starts))]

    @cached_property
    def value(self) -> int | None:
        """Least charge of all; None: there is no way."""
        least = int(self.values.min(initial=FAR))
        return None if least >= FAR else least

    @cached_property
    def lowest_start(self) -> int:
        """Lowest position that begins a best way."""
        return self.starts[int(np.argmax(self.values == self.value))]

    def to_go(self, start: int) -> Ints:
        """Least charge from each position 0…size−1, its own included, to the end of the ways from `start`."""
        out = np.full(self.track.size, FAR, dtype=np.int64)
        if not self.inner:
            if self.closing:
                out[start] = self.charges.onto(np.zeros(1, dtype=np.int64), slice(start, start + 1))[0]
            return out
        column = self.starts.index(start)
        out[self.top :] = self._swept.tail[:, column]
        out[: self.rest] = self._swept.head[:, column]
        if self.blocks:
            behind = np.stack([state[::-1, column] for state in self._swept.states[1:]], axis=1)
            rows = self._keep(Windows(behind, self.runs), self.charges.back(self.rest, self.top, self.blocks))
            out[self.rest : self.top] = rows.T.reshape(-1)
        return out

    @cached_property
    def _swept(self) -> _Swept:
        columns = len(self.starts)
        state = np.full((self.reach, columns), FAR, dtype=np.int64)
        tail = state[:0]
        if self.track.closed:
            state[self.starts, np.arange(columns)] = 0
        else:
            windows = Windows(state, self.runs)
            ends = np.full(self.track.size - self.top, FAR, dtype=np.int64)
            ends[[n - 1 for n in self.closing]] = 0
            tail = self._keep(windows, self.charges.back(self.top, self.track.size), ends)
            state = windows.last()[::-1]
        states = [state]
        for block in reversed(self._blocks):
            states.append(through(block, states[-1], self.charges.bits))
        windows = Windows(states[-1][::-1], self.runs)
        head = self._keep(windows, self.charges.back(0, self.rest))
        return _Swept(tail, states[::-1], head, windows.last()[::-1].copy())

    def _keep(self, windows: Windows, charges: Charges, ends: Ints | None = None) -> Ints:
        """Sweep and return all rows, in the order of positions."""
        rows, columns = charges.step.shape[0], windows.tables[0].shape[1]
        out = np.empty((rows, columns), dtype=np.int64)
        for start, chunk in sweep(windows, charges, ends):
            out[start : start + len(chunk)] = chunk
        return out[::-1]

    @cached_property
    def _blocks(self) -> list[Ints]:
        """Least charge through each block, from any position of its first window to any of the next."""
        if not self.blocks:
            return []
        same = np.full((self.reach, self.reach), FAR, dtype=np.int64)
        np.fill_diagonal(same, 0)
        first = np.repeat(same[::-1, None, :], self.blocks, axis=1)
        windows = Windows(first, self.runs)
        for _ in sweep(windows, self.charges.back(self.rest, self.top, self.blocks).wide()):
            pass
        return [windows.last()[::-1, block].copy() for block in range(self.blocks)]

    def lowest(self, start: int) -> tuple[int, ...]:
        """Return the lowest of the best ways from `start`: its positions, a line's with its end."""
        to_go, at, way = self.to_go(start), start, [start]
        end = self.track.size + (start if self.track.closed else 0)
        steps, closing = np.array(self.inner, dtype=np.int64), set(self.closing)
        charges = self.charges.step
        while True:
            behind = to_go[at] - charges[at]
            ends_here = behind == 0 and end - at in closing
            if ends_here and self.track.closed:
                return tuple(way)
            near = at + steps
            near = near[: np.searchsorted(near, self.track.size)]
            best = near[to_go[near] == behind]
            if not len(best):
                return (*way, end)
            at = int(best[0])
            way.append(at)
