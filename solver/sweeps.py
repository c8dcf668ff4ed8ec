"""A sweep over the positions of a track: the least charge from each to the end, by windows of lengths."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]

FAR = 1 << 61
"""charge of what cannot be reached; two of them still fit in 64 bits"""

ROOM = 1 << 60
"""charges must stay below this"""


def runs_of(lengths: Iterable[int]) -> tuple[tuple[int, int], ...]:
    """Gather lengths into runs of neighbours (first, last).

    Examples
    --------
    >>> runs_of([8, 9, 10, 12])
    ((8, 10), (12, 12))
    >>> runs_of([])
    ()
    """
    runs: list[tuple[int, int]] = []
    for length in sorted(lengths):
        if runs and runs[-1][1] == length - 1:
            runs[-1] = (runs[-1][0], length)
        else:
            runs.append((length, length))
    return tuple(runs)


@dataclass(frozen=True, eq=False)
class Charges:
    """What each position charges: a sum, and beside it a level of which only the greatest counts.

    Both travel in one integer, the sum above the level's bits, so that the lesser integer is the better pair.
    """

    step: Ints
    """added at each position, already shifted above the level's bits; `FAR` where it is closed"""
    level: Ints | None = None
    """level of each position; None: levels do not count"""
    bits: int = 0
    """bits that the level takes"""

    def back(self, low: int, high: int, blocks: int = 1) -> Charges:
        """Return the charges of positions high−1…low, backwards, in columns of equal blocks."""
        level = None if self.level is None else self.level[low:high].reshape(blocks, -1)[:, ::-1].T
        return Charges(self.step[low:high].reshape(blocks, -1)[:, ::-1].T, level, self.bits)

    def wide(self) -> Charges:
        """Let each column stand for many."""
        return Charges(self.step[..., None], None if self.level is None else self.level[..., None], self.bits)

    def onto(self, behind: Ints, rows: slice) -> Ints:
        """Charge the positions `rows` on top of what lies behind them, shape (rows, columns…)."""
        return charge(behind, self.step[rows], None if self.level is None else self.level[rows], self.bits)


def charge(behind: Ints, step: Ints, level: Ints | None, bits: int) -> Ints:
    """Add `step` to the sums and raise the levels to `level` at least."""
    out: Ints
    if level is None:
        out = behind + step
    else:
        own = behind & ((1 << bits) - 1)
        out = behind - own + step
        out += np.maximum(own, level)
    np.minimum(out, FAR, out=out)
    return out


def joined(first: Ints, second: Ints, bits: int) -> Ints:
    """Put charges one after the other, shapes broadcast: sums add, the greater level stays."""
    if bits == 0:
        return first + second
    mask = (1 << bits) - 1
    low_first, low_second = first & mask, second & mask
    out: Ints = (first - low_first) + (second - low_second) + np.maximum(low_first, low_second)
    return out


def through(first: Ints, second: Ints, bits: int) -> Ints:
    """Least charge from a to c by way of any b: shapes (a, b) and (b, c) give (a, c)."""
    out: Ints = joined(first[:, :, None], second[None, :, :], bits).min(axis=1)
    np.minimum(out, FAR, out=out)
    return out


class Windows:
    """The last rows of a sweep with their running minima over 1, 2, 4… rows, kept in one short buffer."""

    def __init__(self, first: Ints, runs: tuple[tuple[int, int], ...]) -> None:
        """Start behind the rows `first`, shape (greatest length, columns…)."""
        self.reach = first.shape[0]
        self.runs = runs
        widest = max((last - low + 1 for low, last in runs), default=1)
        self.powers = max(1, widest.bit_length())
        self.stride = min((low for low, _ in runs), default=self.reach)
        room = self.reach + max(4 * self.reach, self.stride)
        self.tables = [np.full((room, *first.shape[1:]), FAR, dtype=np.int64) for _ in range(self.powers)]
        self.end = 0
        self._room = room
        self.push(first)

    def push(self, rows: Ints) -> None:
        """Append swept rows and bring the running minima up to them."""
        count = rows.shape[0]
        if self.end + count > self._room:
            for table in self.tables:
                table[: self.reach] = table[self.end - self.reach : self.end]
            self.end = self.reach
        end = self.end + count
        self.tables[0][self.end : end] = rows
        for power in range(1, self.powers):
            half, below = 1 << (power - 1), self.tables[power - 1]
            here = max(self.end, half)
            if here < end:
                np.minimum(below[here:end], below[here - half : end - half], out=self.tables[power][here:end])
        self.end = end

    def least(self, count: int) -> Ints:
        """Least of the rows one allowed length behind, for the next `count` ≤ `stride` rows."""
        out: Ints | None = None
        for low, last in self.runs:
            power = (last - low + 1).bit_length() - 1
            near = self.end - low
            far = self.end - last + (1 << power) - 1
            table = self.tables[power]
            for at in (near,) if near == far else (near, far):
                part = table[at : at + count]
                if out is None:
                    out = part.copy()
                else:
                    np.minimum(out, part, out=out)
        if out is None:
            return np.full((count, *self.tables[0].shape[1:]), FAR, dtype=np.int64)
        return out

    def last(self) -> Ints:
        """Return the last `reach` rows."""
        return self.tables[0][self.end - self.reach : self.end]


def sweep(windows: Windows, charges: Charges, ends: Ints | None = None) -> Iterator[tuple[int, Ints]]:
    """Push all rows of `charges` through the windows; yield each chunk with the row it starts at.

    `ends` holds what lies behind a row without any window, shape (rows,), for the first rows of all.
    """
    rows = charges.step.shape[0]
    for start in range(0, rows, windows.stride):
        part = slice(start, min(rows, start + windows.stride))
        behind = windows.least(part.stop - start)
        if ends is not None and start < len(ends):
            near = ends[part]
            np.minimum(behind[: len(near)], near.reshape(-1, *(1,) * (behind.ndim - 1)), out=behind[: len(near)])
        swept = charges.onto(behind, part)
        windows.push(swept)
        yield start, swept
