"""Breaking and cutting as one question beside plain enumeration, on a thousand tiny random problems."""

from __future__ import annotations

import numpy as np
import pytest

from solver.joint import solve
from solver.verify_joint import verify_joint
from tests.solver.joint_oracle import best_joint, is_mirrored, random_question, tiny_joint

BLOCKS = 25
EACH = 48


@pytest.mark.parametrize("block", range(BLOCKS))
def test_every_goal_is_met_as_enumeration_meets_it(block):
    """48 problems a block, of tracks, heights, stocks, prices, goals and caps at random: same values, all proved."""
    answered = 0
    for seed in range(block * EACH, block * EACH + EACH):
        rng = np.random.default_rng(seed)
        problem = tiny_joint(rng)
        goals, most = random_question(rng, problem)
        result = solve(problem, goals, most=most)
        found = None if result.positions is None else tuple(met.value for met in result.met)
        assert found == best_joint(problem, goals, most), f"seed {seed}: {goals}, {most}"
        assert result.proved, f"seed {seed}: {result.met}, {result.why}"
        assert verify_joint(problem, goals, result, most) == (), f"seed {seed}"
        answered += result.positions is not None
    assert answered >= EACH // 3


@pytest.mark.parametrize("block", range(8))
def test_mirrored_answers_are_the_best_of_all_that_mirror(block):
    """48 problems a block, every track about an axis of its own: values as enumeration of mirrored ways finds them."""
    answered = 0
    for seed in range(block * EACH, block * EACH + EACH):
        rng = np.random.default_rng([seed, 7])
        problem = tiny_joint(rng)
        goals, most = random_question(rng, problem)
        mirrors = [int(rng.integers(track.size)) if track.closed else track.size for track in problem.tracks]
        result = solve(problem, goals, most=most, mirrors=mirrors)
        found = None if result.positions is None else tuple(met.value for met in result.met)
        assert found == best_joint(problem, goals, most, mirrors), f"seed {seed}: {goals}, {most}, {mirrors}"
        assert result.proved, f"seed {seed}: {result.met}, {result.why}"
        if result.positions is not None:
            assert all(map(is_mirrored, problem.tracks, result.positions, mirrors)), f"seed {seed}"
        assert verify_joint(problem, goals, result, most, mirrors) == (), f"seed {seed}"
        answered += result.positions is not None
    assert answered >= EACH // 8
