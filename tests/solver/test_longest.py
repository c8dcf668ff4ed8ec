"""Pieces as long as can be, one after another, beside plain enumeration."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from solver.longest import longest_first
from solver.problems import Track
from tests.solver.breaks_oracle import all_breaks, tiny_track


def line(size, smallest, largest, closed_at=(), **more):
    allowed = np.full(size + 1, True)
    allowed[list(closed_at)] = False
    return Track(size, False, smallest, largest, np.zeros(size + 1, dtype=np.int64), allowed, **more)


def greedy_among(track):
    """Of all ways from the lowest position that has one, the one whose lengths are lexicographically greatest."""
    ways = all_breaks(track)
    if not ways:
        return None
    turned = _turned(track, ways)
    first = min(way[0] for way in turned)
    return max((way for way in turned if way[0] == first), key=lambda way: [b - a for a, b in pairwise(way)])


def _turned(track, ways):
    """Begin a ring's way at each of its positions; the first one again closes the round."""
    if not track.closed:
        return ways
    return [(*w[i:], *(p + track.size for p in w[: i + 1])) for w in ways for i in range(len(w))]


@pytest.mark.parametrize("seed", range(3))
def test_longest_pieces_first_are_those_of_enumeration(seed):
    """Lines and rings: the greatest lengths in order, from position 0 or the lowest of a ring that has a way."""
    rng = np.random.default_rng(seed)
    found = 0
    for _ in range(700):
        track = tiny_track(rng, 12)
        best = greedy_among(track)
        way = longest_first(track)
        if best is None:
            assert way is None
            continue
        found += 1
        assert way == (tuple(sorted(p % track.size for p in best[:-1])) if track.closed else best)
    assert found > 300


@pytest.mark.parametrize(("size", "way"), [(8, (0, 4, 8)), (9, (0, 5, 9)), (10, (0, 5, 10)), (11, None)])
def test_rest_must_still_be_broken(size, way):
    """Pieces of 4 or 5: 8 = 4 + 4 as 5 leaves 3, 9 = 5 + 4, 10 = 5 + 5, and 11 cannot be."""
    assert longest_first(line(size, 4, 5)) == way


def test_last_piece_keeps_its_own_limit():
    """9 = 5 + 4 where any may be 5, and 4 + 5 where only the last may."""
    assert longest_first(line(9, 4, 5)) == (0, 5, 9)
    assert longest_first(line(9, 4, 4, largest_last=5)) == (0, 4, 9)
    assert longest_first(line(9, 4, 4, largest_last=4)) is None


def test_forbidden_position_shortens_the_piece_before_it():
    """With 5 forbidden the first piece of up to 5 ends at 4."""
    assert longest_first(line(12, 3, 5, closed_at=[5])) == (0, 4, 9, 12)


def test_ring_starts_at_its_lowest_position_that_has_a_way():
    """Pieces of exactly 3 on a ring of 6 with 3 forbidden go by 1 and 4."""
    allowed = np.array([True, True, True, False, True, True])
    assert longest_first(Track(6, True, 3, 3, np.zeros(6, dtype=np.int64), allowed)) == (1, 4)


def test_large_ring_is_walked_whole():
    """2 500 free positions in pieces of 34: 73 of them and one of 18."""
    way = longest_first(Track(2500, True, 8, 34, np.zeros(2500, dtype=np.int64), np.full(2500, True)))
    gaps = [b - a for a, b in pairwise((*way, 2500))]
    assert gaps == [34] * (2500 // 34) + [2500 % 34]
