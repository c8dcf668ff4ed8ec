"""How far ways come along a track: the stretch that stops them, and the fewest positions to let one by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.problems import Track

Flags = NDArray[np.bool_]

COLUMNS = 256
"""ways round from this many positions are walked at once"""

MOST_CELLS = 100_000_000
"""positions times ways round: a second or two; more are not walked"""


@dataclass(frozen=True)
class Opening:
    """Neighbouring positions to allow."""

    track: int
    start: int
    count: int
    """from `start` on; on a ring they may go round"""


def landings(allowed: Flags, before: Flags, smallest: int, largest: int) -> Flags:
    """Flag where pieces from flagged positions can land, allowed or not; only from allowed ones they go on.

    `before` flags the `largest` positions before the first of `allowed`; further axes are walked side by
    side.

    Examples
    --------
    >>> start = np.array([False, False, True])  # only the position right before the first
    >>> landings(np.array([True, True, False, True, True]), start, 2, 3).astype(int).tolist()
    [0, 1, 1, 1, 1]
    """
    rows = len(allowed)
    lands = np.zeros((rows, *allowed.shape[1:]), dtype=np.bool_)
    sums = np.zeros((largest + rows + 1, *allowed.shape[1:]), dtype=np.int32)
    sums[1 : largest + 1] = np.cumsum(before, axis=0)
    for low in range(0, rows, smallest):
        high = min(rows, low + smallest)
        near = sums[low + largest - smallest + 1 : high + largest - smallest + 1]
        lands[low:high] = near > sums[low:high]
        goes_on = np.cumsum(lands[low:high] & allowed[low:high], axis=0, dtype=np.int32)
        sums[low + largest + 1 : high + largest + 1] = sums[low + largest] + goes_on
    return lands


def blocked_stretch(track: Track) -> tuple[int, int] | None:
    """Return the first stretch, as narrow as can be, that no way crosses; None: each part can be crossed.

    A line's stretch that begins at 0 is entered from 0 alone and one that ends at its size must reach it;
    any other is crossed from any position before it to any after it. On a ring positions count on past its
    size.
    """
    if not track.closed:
        return _blocked_line(track)
    # a stretch is only seen whole from outside it: one of two opposite cuts is, unless it fills half the ring
    cuts = dict.fromkeys((0, track.size // 2, _after_longest_gap(track.allowed)))
    found = [stretch for cut in cuts if (stretch := _blocked_ring(track, cut)) is not None]
    return min(found, key=lambda stretch: (stretch[1] - stretch[0], stretch), default=None)


def _after_longest_gap(allowed: Flags) -> int:
    """Return the allowed position of a ring that ends its longest run of forbidden ones."""
    places = np.flatnonzero(allowed)
    if not len(places):
        return 0
    return int(places[np.argmax(np.diff(places, prepend=places[-1] - len(allowed)))])


def _blocked_ring(track: Track, cut: int) -> tuple[int, int] | None:
    """Return the first stretch past the cut, entered from anywhere before it."""
    anywhere = np.full(track.largest, True)
    twice = np.concatenate([np.roll(track.allowed, -cut)] * 2)
    died = _farthest(landings(twice, anywhere, track.smallest, track.largest) & twice)
    end = died + track.largest
    if end >= len(twice):
        return None
    back = twice[end::-1]
    lowest = end - _farthest(landings(back, anywhere, track.smallest, track.largest) & back)
    start = lowest - track.largest
    if end - start + 1 >= track.size:
        return None
    first = (start + cut) % track.size
    return first, first + end - start


def _farthest(flags: Flags) -> int:
    """Return the last flagged row; −1: none."""
    return int(np.flatnonzero(flags)[-1]) if flags.any() else -1


def _blocked_line(track: Track) -> tuple[int, int]:
    allowed = track.allowed[: track.size]
    ways = np.concatenate([[True], _from_start(track)[1:] & allowed[1:]])
    died, last = _farthest(ways), _last_of(track)
    if died + max(track.largest, last) >= track.size:
        ways_back = _to_end(track) & allowed
        lowest = int(np.argmax(ways_back)) if ways_back.any() else track.size
        return max(0, min(lowest - track.largest, track.size - last)), track.size
    end = died + track.largest
    back = allowed[end:0:-1]
    lowest = end - _farthest(landings(back, np.full(track.largest, True), track.smallest, track.largest) & back)
    return max(0, lowest - track.largest), end


def _last_of(track: Track) -> int:
    return track.largest if track.largest_last is None else track.largest_last


def _from_start(track: Track) -> Flags:
    """Flag where pieces land that come from a line's start, positions 0…size−1."""
    start = np.arange(track.largest) == track.largest - 1
    lands = landings(track.allowed[1 : track.size], start, track.smallest, track.largest)
    return np.concatenate([[False], lands])


def _to_end(track: Track) -> Flags:
    """Flag from where a line's end is reached, positions 0…size−1; the positions between must be allowed."""
    size, smallest, largest = track.size, track.smallest, track.largest
    flags = np.zeros(size, dtype=np.bool_)
    flags[max(0, size - _last_of(track)) : max(0, size - smallest + 1)] = True
    sums = np.zeros(size + largest + smallest + 1, dtype=np.int64)  # flagged and allowed from a position on
    for at in range(size - 1, -1, -1):
        flags[at] |= sums[at + smallest] > sums[at + largest + 1]
        sums[at] = sums[at + 1] + int(flags[at] and track.allowed[at])
    return flags


def spans(smallest: int, largest: int, most: int) -> NDArray[np.int64]:
    """Distances up to `most` that whole numbers of pieces span, 0 among them.

    Examples
    --------
    >>> spans(4, 5, 12).tolist()
    [0, 4, 5, 8, 9, 10, 12]
    """
    counts = np.arange(most // smallest + 1)
    marks = np.zeros(most + 2, dtype=np.int64)
    np.add.at(marks, counts * smallest, 1)
    np.add.at(marks, np.minimum(counts * largest, most) + 1, -1)
    return np.flatnonzero(np.cumsum(marks)[:-1] > 0)


def least_opening(track: Track, index: int) -> Opening | None:
    """Return the fewest neighbouring positions to allow so that a way gets by, the lowest of them.

    None: not even all do, or a ring is too large to try them.
    """
    if track.size < track.smallest:
        lone = track.closed and track.short_whole and track.size <= track.largest
        return Opening(index, 0, 1) if lone else None
    return _ring_opening(track, index) if track.closed else _line_opening(track, index)


def _line_opening(track: Track, index: int) -> Opening | None:
    """Join what comes from the start to what leads to the end, at the least distance that pieces span."""
    lands, leads = _from_start(track), _to_end(track)
    lands[0] = leads[0] = False
    for span in spans(track.smallest, track.largest, track.size):
        joined = lands[: track.size - span] & leads[span:]
        if joined.any():
            return Opening(index, int(np.argmax(joined)), int(span) + 1)
    return None


def _ring_opening(track: Track, index: int) -> Opening | None:
    """Try each position as the first to allow: from the last one on, old ones must lead round to it.

    Where a stretch is blocked, some position in it must be allowed.
    """
    if not len(set(spans(track.smallest, track.largest, track.size)) & {track.size}):
        return None
    stretch = blocked_stretch(track)
    low, high = stretch or (0, track.size - 1)
    if (high - low + 1) * track.size > MOST_CELLS:
        return None
    best = _nearest_round(track, np.arange(low, high + 1))
    if stretch is not None and best[0] > 0:
        if best[0] * track.size > MOST_CELLS:
            return None
        best = min(best, _nearest_round(track, np.arange(low - best[0], low)))
    return Opening(index, best[1], min(best[0] + 1, track.size))


def _nearest_round(track: Track, firsts: NDArray[np.int64]) -> tuple[int, int]:
    """Return the least span from one of `firsts` to what leads round to it, and the lowest such first."""
    size = track.size
    steps = spans(track.smallest, track.largest, size)
    best = (size, size)
    start = (np.arange(track.largest) == track.largest - 1)[:, None]
    back = np.arange(1, size + 1)[:, None]
    for low in range(0, len(firsts), COLUMNS):
        some = firsts[low : low + COLUMNS] % size
        before = np.broadcast_to(start, (track.largest, len(some)))
        lands = landings(track.allowed[(some - back) % size], before, track.smallest, track.largest)
        leads = np.concatenate([np.ones((1, len(some)), dtype=np.bool_), lands])[size - steps]
        first_span = steps[np.argmax(leads, axis=0)]
        best = min(best, *zip(first_span.tolist(), some.tolist(), strict=True))
    return best
