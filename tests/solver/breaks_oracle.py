"""Every way to break tiny tracks, by plain enumeration; and random tiny tracks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, product

import numpy as np

from solver.problems import Track

GOALS = ("pieces", "worst", "different", "total")


def all_breaks(track: Track) -> list[tuple[int, ...]]:
    """List all allowed choices of positions: a line's with its ends, a ring's as chosen."""
    found = _ring(track) if track.closed else _line(track)
    return sorted(found)


def _fits(track: Track, length: int, last: bool) -> bool:
    largest = track.largest
    if last and not track.closed and track.largest_last is not None:
        largest = track.largest_last
    return track.smallest <= length <= largest


def _whole(track: Track) -> bool:
    """Tell whether a track may stay whole: within the limits, or shorter than the smallest where that may."""
    if track.size >= track.smallest:
        return _fits(track, track.size, last=True)
    return track.short_whole and (track.closed or track.largest_last is None or track.size <= track.largest_last)


def _line(track: Track) -> Iterator[tuple[int, ...]]:
    inside = [p for p in range(1, track.size) if track.allowed[p]]
    for chosen in product([False, True], repeat=len(inside)):
        way = (0, *(p for p, c in zip(inside, chosen, strict=True) if c), track.size)
        gaps = [b - a for a, b in pairwise(way)]
        if len(gaps) == 1:
            if _whole(track):
                yield way
        elif all(_fits(track, gap, at == len(gaps) - 1) for at, gap in enumerate(gaps)):
            yield way


def _ring(track: Track) -> Iterator[tuple[int, ...]]:
    places = [p for p in range(track.size) if track.allowed[p]]
    for chosen in product([False, True], repeat=len(places)):
        way = tuple(p for p, c in zip(places, chosen, strict=True) if c)
        if len(way) == 1 and _whole(track):
            yield way
        elif len(way) > 1:
            gaps = [b - a for a, b in zip(way, (*way[1:], way[0] + track.size), strict=True)]
            if all(_fits(track, gap, last=False) for gap in gaps):
                yield way


def measure(tracks: Sequence[Track], ways: Sequence[tuple[int, ...]], goal: str) -> int:
    """Value of one goal."""
    costs, gaps = [], []
    for track, way in zip(tracks, ways, strict=True):
        charged = way if track.closed else way[1:-1]
        costs += [int(track.cost[p]) for p in charged]
        ends = (*way[1:], way[0] + track.size) if track.closed else way[1:]
        gaps += [b - a for a, b in zip(way, ends, strict=False)]
    if goal == "pieces":
        return len(gaps)
    if goal == "worst":
        return max(costs, default=0)
    if goal == "spread":
        return max(gaps) - min(gaps)
    return len(set(gaps)) if goal == "different" else sum(costs)


def best_breaks(
    tracks: Sequence[Track], goals: Sequence[str]
) -> tuple[tuple[int, ...], tuple[tuple[int, ...], ...]] | None:
    """Return the least values in order, and the lowest positions that have them; None: there is no way."""
    answers = product(*(all_breaks(track) for track in tracks))
    keyed = ((tuple(measure(tracks, ways, goal) for goal in goals), ways) for ways in answers)
    return min(keyed, default=None)


def tiny_track(rng: np.random.Generator, longest: int = 11) -> Track:
    """Draw a small line or ring; few prices, so that there are ties."""
    size = int(rng.integers(1, longest + 1))
    closed = bool(rng.random() < 0.5)
    smallest = int(rng.integers(1, 5))
    largest = smallest + int(rng.integers(0, 5))
    count = size if closed else size + 1
    last = [None, None, largest + 1, max(1, largest - 1)][int(rng.integers(0, 4))]
    return Track(
        size,
        closed,
        smallest,
        largest,
        rng.integers(0, int(rng.integers(1, 9)), count),
        rng.random(count) < rng.choice([0.5, 0.8, 1.0]),
        largest_last=None if closed else last,
        short_whole=bool(rng.random() < 0.7),
    )


def random_goals(rng: np.random.Generator) -> tuple[str, ...]:
    """Draw some of the goals, in any order."""
    return tuple(str(g) for g in rng.permutation(GOALS)[: int(rng.integers(1, 5))])
