"""Mirrored breaks from which the joint search begins."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from solver.capped import TooHardError
from solver.mirror import solve_mirrored
from solver.problems import Track

MORE = 3
"""pieces beyond the fewest that are tried for what they may save (assumed)"""

Positions = tuple[tuple[int, ...], ...]


def mirrored_ways(
    tracks: Sequence[Track], mirrors: Sequence[int], goals: Sequence[str], most: Mapping[str, int]
) -> Iterator[Positions]:
    """Yield the mirrored breaks that goals ask for, and those that a few more pieces allow, each once.

    Examples
    --------
    >>> import numpy as np
    >>> cost = np.array([0, 9, 9, 1, 9, 9, 1, 9, 9, 0])
    >>> line = Track(9, False, 2, 4, cost, np.full(10, True))
    >>> list(mirrored_ways([line], [9], ["pieces", "total"], {}))
    [((0, 3, 6, 9),)]
    """
    try:
        yield from dict.fromkeys(_found(tracks, mirrors, goals, most))
    except TooHardError:
        return


def _found(
    tracks: Sequence[Track], mirrors: Sequence[int], goals: Sequence[str], most: Mapping[str, int]
) -> Iterator[Positions]:
    first = solve_mirrored(tracks, mirrors, goals or ("pieces",), most=most).positions
    if first is None:
        return
    yield first
    rest = [goal for goal in goals if goal != "pieces"] or ["total"]
    fewest = solve_mirrored(tracks, mirrors, ["pieces"], most=most).met[0].value
    for pieces in range(fewest, fewest + MORE + 1):
        way = solve_mirrored(tracks, mirrors, rest, most={**most, "pieces": pieces}).positions
        if way is not None:
            yield way
