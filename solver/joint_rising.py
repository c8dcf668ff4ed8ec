"""Limits that a goal is tried under, rising from its bound."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import gcd

import numpy as np

from solver.problems import Charge

MOST_LIMITS = 60
"""limits tried for one goal (assumed)"""
SHARE = 200
"""first step of a limit on a total: the bound's part (assumed)"""
FINEST = 5_000
"""units of a charge, above which any value is taken for one that it may come to (assumed)"""
NEVER = 1 << 60
"""what a goal is at least where no limit does"""


def charge_limits(charge: Charge, least: int) -> Iterator[tuple[int, int]]:
    """Give what a charge may come to, and what it is at least where no answer is within."""
    values = values_of(charge, least)
    if len(values) == 1:
        yield values[0], NEVER
    yield from pairwise(values[: MOST_LIMITS + 1])


def total_limits(least: int) -> Iterator[tuple[int, int]]:
    """Give limits of a total by growing steps.

    Examples
    --------
    >>> [limit for limit, _ in total_limits(1000)][:4]
    [1000, 1005, 1015, 1035]
    """
    step, limit = max(1, least // SHARE), least
    for _ in range(MOST_LIMITS):
        yield limit, limit + 1
        limit, step = limit + step, 2 * step


def number_limits(least: int, top: int) -> Iterator[tuple[int, int]]:
    """Give numbers one by one; above the top there is no answer.

    Examples
    --------
    >>> list(number_limits(3, 4)) == [(3, 4), (4, NEVER)]
    True
    """
    yield from ((n, n + 1 if n < top else NEVER) for n in range(least, min(least + MOST_LIMITS, top + 1)))


def values_of(charge: Charge, least: int) -> list[int]:
    """List what a charge may come to, from `least` on and not much more: sums of whole numbers of stocks and pieces.

    Examples
    --------
    >>> values_of(Charge("cost", (5,), 3), 0)[:6]
    [0, 3, 5, 6, 8, 9]
    >>> values_of(Charge("none", (0, 0)), 0)
    [0]
    """
    unit = gcd(*charge.stocks, charge.piece)
    if not unit:
        return [0]
    low = -(-least // unit)
    most = low + max(charge.stocks) // unit + MOST_LIMITS
    if most > FINEST:
        return [value * unit for value in range(low, low + MOST_LIMITS + 1)]
    reach = np.zeros(most + 1, dtype=np.bool_)
    reach[0] = True
    for weight in {each // unit for each in (*charge.stocks, charge.piece) if each}:
        for done in range(weight, len(reach)):
            reach[done] |= reach[done - weight]
    found = np.flatnonzero(reach[low:]) + low
    return [value * unit for value in found.tolist()]
