"""Pieces as long as can be, one after another from the first position on."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from solver.problems import Track

Flags = NDArray[np.bool_]


def longest_first(track: Track) -> tuple[int, ...] | None:
    """Break a track so that each piece in turn is the longest from which the rest can still be broken.

    A line is broken from position 0 on; a ring from the lowest allowed position from which there is a way round.
    The positions rise, a line's with its two ends. None: there is no way. Costs do not count.

    Examples
    --------
    >>> free = np.full(11, True)
    >>> longest_first(Track(10, False, 3, 4, np.zeros(11, int), free))
    (0, 4, 7, 10)
    >>> longest_first(Track(5, False, 3, 4, np.zeros(6, int), free[:6])) is None
    True
    """
    last = track.largest if track.closed or track.largest_last is None else track.largest_last
    if track.size < track.smallest:
        return _whole(track) if track.short_whole and track.size <= last else None
    if not track.closed:
        return _walked(track.allowed, 0, track, last)
    for start in np.flatnonzero(track.allowed[: track.largest]):  # every way round stops within any largest piece
        way = _walked(np.roll(track.allowed, -int(start)), int(start), track, last)
        if way is not None:
            return tuple(sorted(position % track.size for position in way[:-1]))
    return None


def _whole(track: Track) -> tuple[int, ...] | None:
    if not track.closed:
        return (0, track.size)
    return (int(np.argmax(track.allowed)),) if track.allowed.any() else None


def _walked(allowed: Flags, start: int, track: Track, last: int) -> tuple[int, ...] | None:
    """Walk from position 0 of `allowed` to the end, `track.size` on; positions are told from `start` on."""
    size = track.size
    ends = _ends(allowed, track, last)
    if not ends[0]:
        return None
    at, way = 0, [start]
    while at < size:
        if track.smallest <= size - at <= last:
            at = size
        else:
            near = np.arange(at + track.smallest, min(at + track.largest, size - 1) + 1)
            at = int(near[ends[near]][-1])
        way.append(start + at)
    return tuple(way)


def _ends(allowed: Flags, track: Track, last: int) -> Flags:
    """Flag from which positions 0…size−1 the end can be reached; all but the first must be allowed."""
    size, smallest = track.size, track.smallest
    flags = np.zeros(size, dtype=np.bool_)
    flags[max(0, size - last) : max(0, size - smallest + 1)] = True
    sums = np.zeros(size + track.largest + 2, dtype=np.int64)  # flagged and allowed from a position on
    for at in range(size - 1, -1, -1):
        if not flags[at]:
            flags[at] = sums[min(size, at + smallest)] > sums[min(size, at + track.largest + 1)]
        flags[at] &= at == 0 or bool(allowed[at])
        sums[at] = sums[at + 1] + int(flags[at])
    return flags
