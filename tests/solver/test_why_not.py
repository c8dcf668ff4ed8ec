"""Why there is no way, and the least changes: each does, and anything less does not."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from solver.breaks import solve
from solver.crossing import Opening, blocked_stretch
from solver.mirror import has_mirrored_way
from solver.problems import Track
from solver.why_not import explain, lowered, opened, raised
from tests.solver.breaks_oracle import all_breaks, tiny_track


def feasible(*tracks):
    return solve(tracks, ["pieces"]).positions is not None


def track(size, closed, smallest, largest, forbidden=(), **more):
    count = size if closed else size + 1
    allowed = np.full(count, True)
    allowed[list(forbidden)] = False
    return Track(size, closed, smallest, largest, np.zeros(count, dtype=np.int64), allowed, **more)


def first_opening(problem):
    """Fewest neighbouring positions to allow, by trying them all; the lowest start."""
    lowest, highest = (0, problem.size - 1) if problem.closed else (1, problem.size - 1)
    for count in range(1, problem.size + 1):
        for start in range(lowest, (highest if problem.closed else highest - count + 1) + 1):
            if all_breaks(opened(problem, start, count)):
                return (Opening(0, start, count),)
    return None


def check_fewest_places(problem, places):
    """Any way through all positions uses as many forbidden ones or more, and these do."""
    ways = all_breaks(replace(problem, allowed=np.full_like(problem.allowed, True)))
    inside = [way if problem.closed else way[1:-1] for way in ways]
    assert len(places) == min(sum(not problem.allowed[p] for p in way) for way in inside)
    allowed = problem.allowed.copy()
    allowed[list(places)] = True
    assert all_breaks(replace(problem, allowed=allowed))


@pytest.mark.parametrize("seed", range(3))
def test_changes_are_the_least_by_enumeration(seed):
    """On tiny tracks: explained exactly when there is no way; each change is the first that does."""
    rng = np.random.default_rng(seed)
    kinds = Counter()
    for _ in range(300):
        problem = tiny_track(rng, 9)
        conflict = explain([problem])
        assert (conflict is None) == bool(all_breaks(problem))
        if conflict is None:
            continue
        kinds[conflict.kind] += 1
        larger = range(problem.largest + 1, problem.size + problem.largest + 1)
        smaller = range(problem.smallest - 1, 0, -1)
        assert conflict.largest == next((n for n in larger if all_breaks(raised(problem, n))), None)
        assert conflict.smallest == next((n for n in smaller if all_breaks(lowered(problem, n))), None)
        assert conflict.openings == first_opening(problem)
        assert (conflict.places is None) == (conflict.openings is None)
        if conflict.places is not None:
            check_fewest_places(problem, conflict.places[0])
    assert min(kinds[kind] for kind in ("count", "stretch", "short", "whole")) > 0


def test_nothing_to_explain_where_there_is_a_way():
    """None, not an empty conflict."""
    assert explain([track(30, True, 3, 6)]) is None


@pytest.mark.parametrize(("forbidden", "stuck"), [(range(10, 15), False), (range(10, 16), True)])
def test_stretch_as_long_as_the_largest_piece_cannot_be_crossed(forbidden, stuck):
    """Five forbidden positions are crossed by a piece of 6, six are not; a piece of 7 crosses those."""
    for closed in (True, False):
        problem = track(40, closed, 3, 6, forbidden)
        conflict = explain([problem])
        assert (conflict is not None) == stuck
        if conflict is not None:
            assert (conflict.kind, conflict.start, conflict.end) == ("stretch", 10, 15)
            assert conflict.largest == 7
            assert conflict.smallest is None
            assert conflict.openings == (Opening(0, 10, 1),)


def test_stretch_over_the_datum_of_a_ring_wraps():
    """Positions 37…39 and 0…2 are one stretch."""
    conflict = explain([track(40, True, 3, 6, [37, 38, 39, 0, 1, 2])])
    assert (conflict.kind, conflict.start, conflict.end) == ("stretch", 37, 2)
    assert conflict.openings == (Opening(0, 0, 1),)


@pytest.mark.parametrize("size", [7, 11])
def test_no_number_of_pieces_fills_the_track(size):
    """7 lies between 5 and 2·4, 11 between 2·5 and 3·4: one step longer or shorter pieces are needed."""
    for closed in (True, False):
        conflict = explain([track(size, closed, 4, 5)])
        assert (conflict.kind, conflict.start, conflict.end) == ("count", 0, size - closed)
        assert (conflict.largest, conflict.smallest) == ({7: 7, 11: 6}[size], 3)
        assert conflict.openings is None


def test_start_and_end_of_a_line_have_their_own_names():
    """Positions reached from the ends alone: 4…6 from 0, and 14…16 to 20, all forbidden."""
    near_start, near_end = track(20, False, 4, 6, [4, 5, 6]), track(20, False, 4, 6, [14, 15, 16])
    first, second = explain([near_start]), explain([near_end])
    assert (first.kind, first.start) == ("start", 0)
    assert (second.kind, second.end) == ("end", 20)
    assert first.openings == (Opening(0, 4, 1),)
    assert second.openings == (Opening(0, 14, 1),)


def test_parts_that_cannot_be_joined_are_told_from_a_blocked_stretch():
    """A line of 6 in pieces of 3 or 4 must be broken at 3; any part shorter than the whole can be crossed."""
    conflict = explain([track(6, False, 3, 4, [3])])
    assert (conflict.kind, conflict.start, conflict.end) == ("whole", 0, 6)
    assert (conflict.largest, conflict.smallest) == (6, 2)
    assert conflict.openings == (Opening(0, 3, 1),)


def test_short_track_that_may_not_stay_whole():
    """It needs shorter pieces; neither longer ones nor more places help."""
    conflict = explain([track(5, False, 6, 8, short_whole=False)])
    assert (conflict.kind, conflict.largest, conflict.smallest, conflict.openings) == ("short", None, 5, None)


def test_last_piece_keeps_its_distance_when_pieces_grow():
    """Largest 4 and last 5 become 5 and 6: that reaches over ten forbidden positions' end."""
    problem = track(11, False, 2, 4, [5, 6, 7, 8, 9, 10], largest_last=5)
    conflict = explain([problem])
    assert conflict.largest == 6
    assert feasible(raised(problem, 6))
    assert raised(problem, 6).largest_last == 7
    assert not feasible(raised(problem, 5))


def test_changes_serve_all_tracks_at_once():
    """Two tracks are stuck: the least raise is the greater one's, and each is told where to open."""
    tracks = [
        track(40, True, 3, 6),
        track(40, True, 3, 6, range(10, 16)),
        track(40, False, 3, 6, range(9, 17)),
    ]
    conflict = explain(tracks)
    assert (conflict.track, conflict.tracks, conflict.largest) == (1, (1, 2), 9)
    assert [opening.track for opening in conflict.openings] == [1, 2]
    assert feasible(*(raised(t, 9) for t in tracks))
    assert not feasible(*(raised(t, 8) for t in tracks))


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize("seed", range(4))
def test_changes_do_and_less_does_not_on_longer_tracks(closed, seed):
    """At 400 positions, half of them forbidden, and the search as the judge."""
    rng = np.random.default_rng(seed)
    count = 400 if closed else 401
    cost = np.zeros(count, dtype=np.int64)
    problem = Track(400, closed, 9, 12, cost, rng.random(count) > 0.8)
    conflict = explain([problem])
    assert conflict is not None
    assert feasible(raised(problem, conflict.largest))
    assert not feasible(raised(problem, conflict.largest - 1))
    if conflict.smallest is not None:
        assert feasible(lowered(problem, conflict.smallest))
        assert not feasible(lowered(problem, conflict.smallest + 1))
    else:
        assert not feasible(lowered(problem, 1))
    allowed = problem.allowed.copy()
    allowed[list(conflict.places[0])] = True
    assert feasible(replace(problem, allowed=allowed))
    (opening,) = conflict.openings
    assert len(conflict.places[0]) <= opening.count
    assert feasible(opened(problem, opening.start, opening.count))
    for start in (opening.start, opening.start + 1):
        assert not feasible(opened(problem, start, opening.count - 1))


@pytest.mark.parametrize("seed", range(3))
def test_blocked_stretch_is_blocked_and_no_wider_than_it_must_be(seed):
    """Everything outside allowed: a ring is stuck at its stretch, and free when either end is let go."""
    rng = np.random.default_rng(seed)
    seen = 0
    for _ in range(60):
        size = 90
        problem = Track(size, True, 4, 7, np.zeros(size, dtype=np.int64), rng.random(size) > 0.8)
        stretch = blocked_stretch(problem)
        if stretch is None:
            continue
        seen += 1
        start, end = stretch
        for low, high in ((start, end), (start + 1, end), (start, end - 1)):
            inside = np.arange(low, high + 1) % size
            allowed = np.full(size, True)
            allowed[inside] = problem.allowed[inside]
            assert feasible(replace(problem, allowed=allowed)) == ((low, high) != (start, end))
    assert seen > 20


def test_missing_mirrored_way_is_told_of_only_where_there_are_ways():
    """A ring of 6 in pieces of 2 has ways, about 0 too, but none about 1; each change told does, and less does not."""
    ring = track(6, True, 2, 2)
    assert explain([ring], mirrors=[0]) is None
    conflict = explain([ring], mirrors=[1])
    assert (conflict.kind, conflict.track, conflict.tracks, conflict.places) == ("mirror", 0, (0,), None)
    assert has_mirrored_way(raised(ring, conflict.largest), 1)
    assert not has_mirrored_way(raised(ring, conflict.largest - 1), 1)
    assert has_mirrored_way(lowered(ring, conflict.smallest), 1)
    assert explain([track(6, True, 4, 5)], mirrors=[1]).kind == "count"


def test_changes_for_mirrored_tracks_do_and_less_does_not():
    """On random lines and rings that have ways, but no mirrored one."""
    rng = np.random.default_rng(6)
    seen = 0
    for _ in range(400):
        one = tiny_track(rng)
        mirror = int(rng.integers(0, one.size)) if one.closed else one.size
        if not feasible(one) or has_mirrored_way(one, mirror):
            continue
        seen += 1
        conflict = explain([one], mirrors=[mirror])
        assert conflict.kind == "mirror"
        for change, value, less in ((raised, conflict.largest, -1), (lowered, conflict.smallest, 1)):
            if value is not None:
                assert has_mirrored_way(change(one, value), mirror)
                assert not has_mirrored_way(change(one, value + less), mirror)
    assert seen > 20


def test_cap_that_cannot_be_kept_is_told_with_the_least_that_can():
    """A ring of 12 in pieces of at most 4 needs 3; beside that cap, which can be kept, the total is not blamed."""
    ring = track(12, True, 2, 4)
    assert explain([ring], most={"pieces": 3}) is None
    assert explain([ring], most={"pieces": 2}).needs == (("pieces", 3),)
    line = Track(6, False, 2, 3, np.array([0, 9, 0, 7, 0, 9, 0]), np.full(7, True))
    conflict = explain([line], most={"pieces": 2, "total": 6})
    assert (conflict.kind, conflict.needs) == ("most", (("pieces", 3), ("total", 7)))
