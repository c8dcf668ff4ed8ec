"""A few of the pieces that a track may give: those of good ways under given prices, each a little disturbed.

The whole question over these alone is small, and what the ways have in common lets it mix them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from solver.joint_kinds import Lane

Ints = NDArray[np.int64]

NEVER = 1 << 60
"""sum of a position that no way reaches"""
SHARES = (0, 1, 3, 10, 30)
"""disturbances, in hundredths of the price of any piece (assumed)"""
EACH = (2, 4, 8)
"""ways for each share, from one try to the next: a small program is quickest, where it has an answer (measured)"""
SEED = 20_260
"""of the disturbances: any number, always the same"""


def good_ways(
    lane: Lane, open_at: NDArray[np.bool_], prices: Ints, start: int, each: int
) -> list[tuple[tuple[int, int], ...]]:
    """Return ways of little price, each as (start, steps) of its pieces.

    Parameters
    ----------
    prices
        of each kind, a piece's own price in it
    start
        where a ring is opened; 0 for a line
    each
        how many ways for each of `SHARES`
    """
    size = lane.size
    order = (start + np.arange(size + 1)) % size if lane.track.closed else np.arange(size + 1)
    is_open = open_at[order]
    number = len(SHARES) * each
    inner, paid = _disturbed(lane.kinds, prices, size, number)
    last, paid_last = (inner, paid) if lane.track.closed else _disturbed(lane.last_kinds, prices, size, number)
    sums = np.full((size + 1, number), NEVER, dtype=np.int64)
    came = np.zeros((size + 1, number), dtype=np.int64)
    sums[0] = 0
    for at in np.flatnonzero(is_open[1:]) + 1:
        steps, price = (last, paid_last) if at == size else (inner, paid)
        near = int(np.searchsorted(steps, at, side="right"))
        if near:
            behind = at - steps[:near]
            found = sums[behind] + price[behind, np.arange(near)]
            best = found.argmin(axis=0)
            sums[at] = np.minimum(found[best, np.arange(number)], NEVER)
            came[at] = steps[best]
    return [
        _traced(came[:, v], size, start if lane.track.closed else 0) for v in range(number) if sums[size, v] < NEVER
    ]


def _disturbed(kinds: dict[int, int], prices: Ints, size: int, number: int) -> tuple[Ints, Ints]:
    """Return numbers of steps and the prices of such pieces by start, steps and way."""
    steps = np.array(list(kinds), dtype=np.int64)
    own = prices[list(kinds.values())] if kinds else np.zeros(0, dtype=np.int64)
    shares = np.repeat(np.array(SHARES), number // len(SHARES))
    rng = np.random.default_rng(SEED)
    top = max(1, int(prices.max(initial=0)) // 100)
    noise = rng.integers(0, top + 1, (size + 1, len(steps), number)) * shares
    return steps, own[None, :, None] + noise


def _traced(came: Ints, size: int, start: int) -> tuple[tuple[int, int], ...]:
    out: list[tuple[int, int]] = []
    at = size
    while at:
        steps = int(came[at])
        at -= steps
        out.append(((at + start) % size, steps))
    return tuple(out)


def pieces_between(lane: Lane, chosen: Sequence[int]) -> list[tuple[int, int]]:
    """Return (start, steps) of the pieces between chosen positions."""
    ends = (*chosen[1:], chosen[0] + lane.size) if lane.track.closed else tuple(chosen[1:])
    return [(a, b - a) for a, b in zip(chosen, ends, strict=False)]
