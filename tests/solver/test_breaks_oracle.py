"""Breaks beside plain enumeration, on thousands of tiny random tracks."""

from __future__ import annotations

import numpy as np
import pytest

import solver.floods
import solver.ways
from solver.breaks import solve
from solver.verify import verify_breaks
from tests.solver.breaks_oracle import best_breaks, random_goals, tiny_track

TRACKS = {1: 11, 2: 8, 3: 6}
"""longest track by the number of tracks: enumeration multiplies"""


def check_against_enumeration(seed: int, cases: int) -> int:
    """Solve random problems both ways; return how many had an answer."""
    rng = np.random.default_rng(seed)
    solved = 0
    for _ in range(cases):
        count = int(rng.choice([1, 1, 2, 3]))
        tracks = [tiny_track(rng, TRACKS[count]) for _ in range(count)]
        goals = random_goals(rng)
        best = best_breaks(tracks, goals)
        answer = solve(tracks, goals)
        assert verify_breaks(tracks, goals, answer) == ()
        if best is None:
            assert answer.positions is None
            continue
        solved += 1
        assert (tuple(met.value for met in answer.met), answer.positions) == best
        assert answer.proved
    return solved


@pytest.mark.parametrize("seed", range(4))
def test_values_positions_and_proofs_are_those_of_enumeration(seed):
    """Any goals in any order, one to three lines and rings: least values, lowest positions, all proved."""
    assert check_against_enumeration(seed, 700) > 300


@pytest.mark.parametrize("seed", range(4, 7))
def test_blocks_side_by_side_change_nothing(seed, monkeypatch):
    """Long tracks are swept in blocks; blocks of one window do so on tiny ones: answers stay exact."""
    monkeypatch.setattr(solver.ways, "BLOCK_WINDOWS", 1)
    monkeypatch.setattr(solver.floods, "BLOCK_WINDOWS", 1)
    assert check_against_enumeration(seed, 500) > 200
