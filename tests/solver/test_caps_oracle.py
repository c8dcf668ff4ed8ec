"""Breaks within caps, of least spread, and mirrored, beside plain enumeration on thousands of tiny random tracks."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from solver.breaks import GOALS, solve
from solver.capped import solve_courses
from solver.courses import course_of
from solver.mirror import has_mirrored_way, solve_mirrored
from solver.problems import Track
from solver.verify import verify_breaks
from tests.solver.breaks_oracle import all_breaks, measure, tiny_track

TRACKS = {1: 11, 2: 8, 3: 6}
"""longest track by the number of tracks: enumeration multiplies"""


def any_goals(rng):
    return tuple(str(g) for g in rng.permutation(GOALS)[: int(rng.integers(1, 6))])


def keyed(tracks, ways, goals, most):
    """Values and positions of all answers within the caps, the best one first; None: there is none."""
    known = dict.fromkeys((*goals, *most))
    best = None
    for chosen in product(*ways):
        values = {goal: measure(tracks, chosen, goal) for goal in known}
        if all(values[goal] <= cap for goal, cap in most.items()):
            key = tuple(values[goal] for goal in goals), chosen
            best = key if best is None else min(best, key)
    return best


def random_caps(rng, tracks, ways, goals):
    """Draw caps near what some answer has, so that they bind but seldom shut everything out."""
    drawn = [each[int(rng.integers(0, len(each)))] for each in ways]
    names = rng.permutation(GOALS)[: int(rng.integers(1, 4))]
    off = [int(rng.integers(-1, 2)) for _ in names]
    return {str(goal): max(0, measure(tracks, drawn, goal) + more) for goal, more in zip(names, off, strict=True)}


def drawn_tracks(rng):
    count = int(rng.choice([1, 1, 2, 3]))
    return [tiny_track(rng, TRACKS[count]) for _ in range(count)]


@pytest.mark.parametrize("seed", range(6))
def test_capped_answers_are_those_of_enumeration(seed):
    """Any caps with any goals, one to three lines and rings: least values, lowest positions, all proved."""
    rng = np.random.default_rng(seed)
    solved = 0
    for _ in range(400):
        tracks, goals = drawn_tracks(rng), any_goals(rng)
        ways = [all_breaks(track) for track in tracks]
        if not all(ways):
            continue
        most = random_caps(rng, tracks, ways, goals)
        best = keyed(tracks, ways, goals, most)
        answer = solve(tracks, goals, most=most)
        if best is None:
            assert answer.positions is None
            continue
        solved += 1
        assert verify_breaks(tracks, goals, answer) == ()
        assert (tuple(met.value for met in answer.met), answer.positions) == best
        assert answer.proved
    assert solved > 100


@pytest.mark.parametrize("seed", range(3))
def test_spread_is_that_of_enumeration(seed):
    """Anywhere in the order of the goals, without caps."""
    rng = np.random.default_rng(100 + seed)
    solved = 0
    for _ in range(400):
        tracks, goals = drawn_tracks(rng), any_goals(rng)
        goals = tuple(goal for goal in goals if goal != "spread")
        at = len(goals) if rng.random() < 0.5 else int(rng.integers(0, len(goals) + 1))
        goals = (*goals[:at], "spread", *goals[at:])
        best = keyed(tracks, [all_breaks(track) for track in tracks], goals, {})
        answer = solve(tracks, goals)
        assert verify_breaks(tracks, goals, answer) == ()
        if best is None:
            assert answer.positions is None
            continue
        solved += 1
        assert (tuple(met.value for met in answer.met), answer.positions) == best
        assert answer.proved
    assert solved > 100


def is_mirrored(track, chosen, mirror):
    turn = track.size if track.closed else mirror + 1
    return set(chosen) == {(mirror - p) % turn for p in chosen}


@pytest.mark.parametrize("seed", range(5))
def test_mirrored_answers_are_those_of_enumeration(seed):
    """Mirrored and free tracks together, with caps or without: least values, mirrored positions, all proved."""
    rng = np.random.default_rng(200 + seed)
    solved = 0
    for _ in range(500):
        tracks, goals = drawn_tracks(rng), any_goals(rng)
        mirrors = [
            None if rng.random() < 0.25 else int(rng.integers(-2, 15)) if track.closed else track.size
            for track in tracks
        ]
        ways = [
            [way for way in all_breaks(track) if mirror is None or is_mirrored(track, way, mirror)]
            for track, mirror in zip(tracks, mirrors, strict=True)
        ]
        for track, mirror, own in zip(tracks, mirrors, ways, strict=True):
            if mirror is not None:
                assert has_mirrored_way(track, mirror) == bool(own)
        most = random_caps(rng, tracks, ways, goals) if all(ways) and rng.random() < 0.5 else {}
        best = keyed(tracks, ways, goals, most) if all(ways) else None
        answer = solve_mirrored(tracks, mirrors, goals, most=most)
        if best is None:
            assert answer.positions is None
            continue
        solved += 1
        assert verify_breaks(tracks, goals, answer) == ()
        assert tuple(met.value for met in answer.met) == best[0]
        assert all(chosen in own for chosen, own in zip(answer.positions, ways, strict=True))
        if all(mirror is None or not track.closed for track, mirror in zip(tracks, mirrors, strict=True)):
            assert answer.positions == best[1]
        assert answer.proved
    assert solved > 100


def test_both_searches_agree_on_longer_tracks():
    """Without caps the faster search and the one for caps give the same positions, values and proofs."""
    rng = np.random.default_rng(99)
    for _ in range(30):
        size, closed = int(rng.integers(40, 120)), bool(rng.random() < 0.5)
        count = size if closed else size + 1
        tracks = [Track(size, closed, 5, 14, rng.integers(0, 20, count), rng.random(count) > 0.25)]
        if rng.random() < 0.3:
            tracks.append(Track(60, False, 5, 14, rng.integers(0, 20, 61), rng.random(61) > 0.2))
        goals = tuple(str(g) for g in rng.permutation(GOALS[:4])[: int(rng.integers(1, 5))])
        one = solve(tracks, goals)
        assert solve_courses([course_of(track) for track in tracks], goals, {}, 10**9, None) == one
        assert one.proved
