"""The least that the pieces of a track come to under prices that depend on their number of steps alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from solver.joint_kinds import Lane

Ints = NDArray[np.int64]

NEVER = 1 << 60
"""sum of a position that no way reaches"""


def least_sums(lane: Lane, open_at: NDArray[np.bool_], prices: Ints) -> Ints | None:
    """Return the least sum of prices along a track under each vector of prices; None: there is no way.

    Parameters
    ----------
    open_at
        where breaks may fall, by position
    prices
        integers of any sign, shape (vectors, kinds)
    """
    if lane.track.closed:
        return _ring(lane, open_at, prices)
    size = lane.size
    steps, paid = _priced(lane.kinds, prices)
    sums = np.full((size + 1, len(prices)), NEVER, dtype=np.int64)
    sums[0] = 0
    for at in np.flatnonzero(open_at[1:size]) + 1:
        sums[at] = _step(sums, int(at), steps, paid)
    last = _step(sums, size, *_priced(lane.last_kinds, prices))
    return None if np.any(last >= NEVER // 2) else last


def _priced(kinds: dict[int, int], prices: Ints) -> tuple[Ints, Ints]:
    """Return numbers of steps, rising, and their prices, shape (steps, vectors)."""
    steps = np.array(list(kinds), dtype=np.int64)
    return steps, prices[:, list(kinds.values())].T.astype(np.int64).reshape(len(steps), len(prices))


def _step(sums: Ints, at: int, steps: Ints, paid: Ints) -> Ints:
    """Return the least sum at a position, from all those one piece before it."""
    near = int(np.searchsorted(steps, at, side="right"))
    if not near:
        return np.full(sums.shape[1:], NEVER, dtype=np.int64)
    shape = (near, *(1,) * (sums.ndim - 2), sums.shape[-1])
    found: Ints = (sums[at - steps[:near]] + paid[:near].reshape(shape)).min(axis=0)
    return np.where(found >= NEVER // 2, NEVER, found)


def _ring(lane: Lane, open_at: NDArray[np.bool_], prices: Ints) -> Ints | None:
    """Go round from every start of a window that each way must touch, the one with the fewest open positions."""
    steps, paid = _priced(lane.kinds, prices)
    if not len(steps):
        return None
    size, window = lane.size, min(lane.size, int(steps[-1]))
    inside = np.concatenate([[0], np.cumsum(np.concatenate([open_at, open_at[:window]]))])
    first = int(np.argmin(inside[window : window + size] - inside[:size]))
    order = (first + np.arange(size + window)) % size
    is_open = open_at[order]
    starts = np.flatnonzero(is_open[:window])
    if not len(starts):
        return None
    sums = np.full((size + window, len(starts), len(prices)), NEVER, dtype=np.int64)
    for at in np.flatnonzero(is_open):
        sums[at] = _step(sums, int(at), steps, paid)
        if at < window:
            sums[at, np.searchsorted(starts, at)] = 0
    around = sums[starts + size, np.arange(len(starts))]
    least: Ints = around.min(axis=0)
    return None if np.any(least >= NEVER // 2) else least


def total_least(lanes: Sequence[Lane], opens: Sequence[NDArray[np.bool_]], prices: Ints) -> Ints | None:
    """Return the least sums over all tracks; None: a track has no way."""
    total = np.zeros(len(prices), dtype=np.int64)
    for lane, open_at in zip(lanes, opens, strict=True):
        found = least_sums(lane, open_at, prices)
        if found is None:
            return None
        total += found
    return total
