"""Lower bounds on the ways along one track: charges flooded from the start on, then checked arc by arc.

Nothing here is shared with the search, which works from the end back. The flooded figures are potentials:
where no arc lets its head exceed its tail by more than the head charges, no way from the start to a
position charges less than the position's figure. That is checked for every arc, however the figures were
come by.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.problems import Track

NEVER = 1 << 61
"""figure of a position that no way reaches"""

MOST_BLOCKS = 48
BLOCK_WINDOWS = 16
"""a track of more than this many windows is flooded in blocks side by side"""


@dataclass(frozen=True, eq=False)
class Toll:
    """What a position charges on arrival: `sum` is added; below it, in `bits`, the greatest peak stays."""

    sum: NDArray[np.int64]
    """by position, or (positions, blocks) where blocks lie side by side"""
    peak: NDArray[np.int64]
    bits: int

    def part(self, low: int, high: int, blocks: int = 1) -> Toll:
        """Return the tolls of positions low…high−1, in columns of equal blocks."""
        return Toll(self.sum[low:high].reshape(blocks, -1).T, self.peak[low:high].reshape(blocks, -1).T, self.bits)

    def pay(self, before: NDArray[np.int64], low: int, high: int) -> NDArray[np.int64]:
        """Charge positions low…high−1, shape (positions, …). It never falls when `before` rises."""
        shape = (high - low, *self.sum.shape[1:], *(1,) * (before.ndim - self.sum.ndim))
        paid = before + self.sum[low:high].reshape(shape)
        if self.bits:
            lower = paid & ((1 << self.bits) - 1)
            paid -= lower
            paid += np.maximum(lower, self.peak[low:high].reshape(shape))
        return np.minimum(paid, NEVER, out=paid)


@dataclass(frozen=True, eq=False)
class Flood:
    """Figures of one track, unrolled from `first` on: a ring's window of starts comes back at its end."""

    figures: NDArray[np.int64]
    """shape (positions, starts)"""
    starts: tuple[int, ...]
    """rows where the ways start"""
    ends: tuple[int, ...]
    """rows where they end"""
    toll: Toll
    inner: tuple[int, ...]
    """lengths of a piece"""
    closing: tuple[int, ...]
    """lengths of the piece that reaches the end of a line"""
    line: bool
    holds: bool
    """whether every arc has been found within its charge"""

    def least(self) -> int | None:
        """No way charges less; None: there is none. A flood that does not hold says nothing: 0."""
        if not self.holds:
            return 0
        least = min((int(self.figures[end, c]) for c, end in enumerate(self.ends)), default=NEVER)
        return None if least >= NEVER else least


def flood(
    track: Track,
    fee: NDArray[np.int64],
    peak: NDArray[np.int64],
    bits: int,
    lengths: frozenset[int] | None = None,
) -> Flood:
    """Flood one track from all starts that matter; `fee` (`NEVER` where closed) and `peak` by position."""
    inner, closing = _allowed_lengths(track, lengths)
    if track.closed:
        inner = closing = inner or closing
        first, window = _thinnest_window(fee, inner)
        order = (first + np.arange(track.size + window)) % track.size
        starts = tuple(int(row) for row in np.flatnonzero(fee[order[:window]] < NEVER))
        ends = tuple(row + track.size for row in starts)
    else:
        order, window = np.arange(track.size + 1), min(track.size, max(inner, default=1))
        starts, ends = (0,), (track.size,)
    toll = Toll(np.where(fee[order] < NEVER, fee[order] << bits, NEVER), peak[order], bits)
    figures = _flooded(toll, starts, window, inner)
    if not track.closed:
        figures[-1] = _arrival(figures, toll, closing)
    holds = _within(figures, toll, starts, inner, None if track.closed else closing)
    return Flood(figures, starts, ends, toll, inner, closing, not track.closed, holds)


def _allowed_lengths(track: Track, lengths: frozenset[int] | None) -> tuple[tuple[int, ...], tuple[int, ...]]:
    limit = track.largest
    if not track.closed and track.largest_last is not None:
        limit = track.largest_last
    if track.smallest > track.size:
        inner: tuple[int, ...] = ()
        closing: tuple[int, ...] = (track.size,) if track.short_whole and limit >= track.size else ()
    else:
        inner = tuple(range(track.smallest, track.largest + 1))
        closing = tuple(range(track.smallest, limit + 1))
    keep = [tuple(n for n in ns if n <= track.size and (lengths is None or n in lengths)) for ns in (inner, closing)]
    return keep[0], keep[1]


def _thinnest_window(fee: NDArray[np.int64], lengths: tuple[int, ...]) -> tuple[int, int]:
    """Find the window that every choice on the ring must touch and that has the fewest open positions."""
    window = min(len(fee), max(lengths, default=len(fee)))
    is_open = np.concatenate([fee, fee[:window]]) < NEVER
    sums = np.concatenate([[0], np.cumsum(is_open)])
    return int(np.argmin(sums[window : window + len(fee)] - sums[: len(fee)])), window


def _flooded(toll: Toll, starts: tuple[int, ...], window: int, lengths: tuple[int, ...]) -> NDArray[np.int64]:
    """Flood from the starts, all within the first `window` rows: long tracks in blocks side by side."""
    rows, width = len(toll.sum), len(starts)
    figures = np.full((rows, width), NEVER, dtype=np.int64)
    if not starts:
        return figures
    dry = np.full((window, width), NEVER, dtype=np.int64)
    figures[:window] = _flow(dry, toll.part(0, window), lengths, dict(zip(starts, range(width), strict=True)))
    blocks = min(MOST_BLOCKS, (rows - window) // (BLOCK_WINDOWS * window))
    done = window
    if blocks:
        block = (rows - window) // blocks
        done = window + blocks * block
        beside = toll.part(window, done, blocks)
        before = _before_blocks(figures[:window], beside, lengths)
        flown = _flow(before, beside, lengths)
        figures[window:done] = flown.transpose(1, 0, 2).reshape(-1, width)
    figures[done:] = _flow(figures[done - window : done], toll.part(done, rows), lengths)
    return figures


def _before_blocks(first: NDArray[np.int64], beside: Toll, lengths: tuple[int, ...]) -> NDArray[np.int64]:
    """Figures of the window before each block, (window, blocks, starts), by what each block does to any."""
    window, blocks = len(first), beside.sum.shape[1]
    unit = np.full((window, blocks, window), NEVER, dtype=np.int64)
    unit[np.arange(window), :, np.arange(window)] = 0
    across = _flow(unit, beside, lengths, last=True)
    before = [first]
    mask = (1 << beside.bits) - 1
    for at in range(blocks - 1):
        here, there = before[-1].T[None, :, :], across[:, at, None, :]
        lower = np.maximum(here & mask, there & mask) if mask else 0
        before.append(np.minimum(((here & ~mask) + (there & ~mask) + lower).min(axis=2), NEVER))
    return np.stack(before, axis=1)


def _flow(
    before: NDArray[np.int64],
    toll: Toll,
    lengths: tuple[int, ...],
    springs: dict[int, int] | None = None,
    *,
    last: bool = False,
) -> NDArray[np.int64]:
    """Flood the rows of `toll` after the rows `before`, (window, …); keep all of them or the `last` window.

    `springs` are rows where a column starts at nothing.
    """
    window, rows = len(before), len(toll.sum)
    stride = min(rows, min(lengths, default=rows))
    if not _one_by_one(lengths):
        stride = min(stride, _width(lengths))
    room = 8 * window + stride if last else window + rows
    figures = np.empty((room, *before.shape[1:]), dtype=np.int64)
    figures[:window] = before
    end = window
    for low in range(0, rows, max(1, stride)):
        high = min(rows, low + stride)
        if end + high - low > room:
            figures[:window] = figures[end - window : end]
            end = window
        chunk = toll.pay(_least_behind(figures, end, end + high - low, lengths), low, high)
        for row, column in (springs or {}).items():
            if low <= row < high:
                chunk[row - low, column] = 0
        figures[end : end + high - low] = chunk
        end += high - low
    return figures[end - window : end] if last else figures[window:]


def _one_by_one(lengths: tuple[int, ...]) -> bool:
    """Whether looking back length by length is cheaper than joint minima, or the lengths have gaps.

    Joint minima take some seven operations for as many rows as the lengths span, the shortest at most.
    """
    width = _width(lengths)
    return len(lengths) < width or width * min(lengths[0], width) <= 7 * lengths[0]


def _width(lengths: tuple[int, ...]) -> int:
    return max(1, lengths[-1] - lengths[0] + 1 if lengths else 1)


def _least_behind(figures: NDArray[np.int64], low: int, high: int, lengths: tuple[int, ...]) -> NDArray[np.int64]:
    """Least figure one allowed length before rows low…high−1."""
    if not lengths:
        return np.full((high - low, *figures.shape[1:]), NEVER, dtype=np.int64)
    shortest, longest, count = lengths[0], lengths[-1], high - low
    if _one_by_one(lengths):
        out = figures[low - shortest : high - shortest].copy()
        for length in lengths[1:]:
            np.minimum(out, figures[low - length : high - length], out=out)
        return out
    # what lies behind all the rows, then what only the earlier or only the later of them see
    out = np.empty((count, *figures.shape[1:]), dtype=np.int64)
    out[:] = figures[high - 1 - longest : low - shortest + 1].min(axis=0)
    if count > 1:
        early = figures[low - longest : high - 1 - longest]
        late = figures[low - shortest + 1 : high - shortest]
        np.minimum(out[:-1], np.minimum.accumulate(early[::-1])[::-1], out=out[:-1])
        np.minimum(out[1:], np.minimum.accumulate(late), out=out[1:])
    return out


def _arrival(figures: NDArray[np.int64], toll: Toll, closing: tuple[int, ...]) -> NDArray[np.int64]:
    last = len(figures) - 1
    before = np.full((1, figures.shape[1]), NEVER, dtype=np.int64)
    for length in closing:
        before = np.minimum(before, figures[last - length])
    paid: NDArray[np.int64] = toll.pay(before, last, last + 1)[0]
    return paid


def _within(
    figures: NDArray[np.int64],
    toll: Toll,
    starts: tuple[int, ...],
    lengths: tuple[int, ...],
    closing: tuple[int, ...] | None,
) -> bool:
    """Check that no arc's head exceeds its tail by more than it charges, and that starts are at nothing."""
    if any(figures[start, column] != 0 for column, start in enumerate(starts)):
        return False
    rows = len(figures)
    for first, last in _stretches(lengths):
        behind = _lowest_of(figures, last - first + 1)[: max(0, rows - last)]
        high = rows if closing is None else rows - 1
        if last < high and np.any(figures[last:high] > toll.pay(behind[: high - last], last, high)):
            return False
        for length in range(first, last):  # heads too near the first row for the whole stretch
            near = min(last, high)
            if length < near and np.any(figures[length:near] > toll.pay(figures[: near - length], length, near)):
                return False
    return all(
        np.all(figures[rows - 1] <= toll.pay(figures[rows - 1 - n : rows - n], rows - 1, rows)[0])
        for n in closing or ()
    )


def _stretches(lengths: tuple[int, ...]) -> list[tuple[int, int]]:
    """Join consecutive lengths."""
    cuts = [at for at in range(1, len(lengths)) if lengths[at] != lengths[at - 1] + 1]
    firsts, lasts = [0, *cuts], [*cuts, len(lengths)]
    return [(lengths[a], lengths[b - 1]) for a, b in zip(firsts, lasts, strict=True)] if lengths else []


def _lowest_of(figures: NDArray[np.int64], width: int) -> NDArray[np.int64]:
    """Lowest of each `width` consecutive rows, by doubling."""
    covered = 1
    while 2 * covered <= width:
        figures = np.minimum(figures[:-covered], figures[covered:])
        covered *= 2
    if covered < width:
        figures = np.minimum(figures[: covered - width], figures[width - covered :])
    return figures
