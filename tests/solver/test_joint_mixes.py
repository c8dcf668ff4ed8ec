"""Goals met by looking at every mix of pieces: beside plain enumeration, goal by goal, and part by part."""

from __future__ import annotations

from collections import Counter
from itertools import product

import numpy as np
import pytest

from solver import joint_sieve
from solver.joint_fit import fits
from solver.joint_kinds import kinds_of
from solver.joint_lowest import lowest_of
from solver.joint_mixed import Mixed
from solver.joint_mixes import Listing, Within
from solver.joint_search import ways_of
from solver.joint_whole import NEVER, Whole
from solver.joint_yard import highest_numbers
from tests.solver.breaks_oracle import all_breaks
from tests.solver.joint_oracle import all_answers, random_question, tiny_joint

PROBLEMS = 40
"""of one block"""


def mixed_of(problem, kinds):
    """Return what meets the goals of a problem."""
    whole = Whole(kinds, problem.charges, 10**7)
    return Mixed(kinds, problem.stocks, {charge.name: charge for charge in problem.charges}, whole.priced)


def asked(seed):
    """Meet all goals of one random problem in a random order, each beside enumeration; return how many."""
    rng = np.random.default_rng([31, seed])
    problem = tiny_joint(rng)
    held = random_question(rng, problem)[1]
    goals = [str(goal) for goal in rng.permutation([*(c.name for c in problem.charges), *GOALS])]
    answers = [each for each in all_answers(problem) if all(each[1][g] <= value for g, value in held.items())]
    mixed = mixed_of(problem, kinds_of(problem))
    for done, goal in enumerate(goals):
        least = min((values[goal] for _, values in answers), default=None)
        found = mixed.solved(goal, held, 0)
        if least is None:
            assert mixed.found(goal, held) is None, f"seed {seed}: {goal} {found}, {held}"
            return done + 1
        assert found == least, f"seed {seed}: {goal} {found}, not {least}"
        ways = mixed.found(goal, held).positions
        assert any(ways == own and values[goal] == least for own, values in answers), f"seed {seed}: {goal} {ways}"
        held = {**held, goal: least}
        answers = [each for each in answers if each[1][goal] <= least]
    lowest = mixed.lowest(held)
    assert lowest is not None
    assert lowest.positions == min(ways for ways, _ in answers), f"seed {seed}"
    return len(goals)


GOALS = ("pieces", "worst", "different", "total", "spread")


@pytest.mark.parametrize("block", range(8))
def test_each_goal_is_that_of_enumeration_and_ties_end_lowest(block):
    """320 problems, every goal of each after those before it, 1 700 questions: values, positions, lowest at last."""
    assert sum(asked(seed) for seed in range(block * PROBLEMS, (block + 1) * PROBLEMS)) >= 3 * PROBLEMS


@pytest.mark.parametrize("seed", range(40))
def test_mixes_without_places_say_the_same(monkeypatch, seed):
    """Where mixes with places are too many, those of open tracks are placed one by one: no other value."""

    def too_many(self, held, *, keep=True):
        raise joint_sieve.TooManyError

    rng = np.random.default_rng([32, seed])
    problem = tiny_joint(rng)
    mixed = mixed_of(problem, kinds_of(problem))
    answers = list(all_answers(problem))
    monkeypatch.setattr(Mixed, "_listed", too_many)
    for goal in ("different", "spread", "pieces", "worst"):
        found = mixed.solved(goal, {}, 0)
        least = min((values[goal] for _, values in answers), default=None)
        assert found == least if answers else found in {NEVER, None}


@pytest.mark.parametrize("seed", range(60))
def test_the_list_has_every_mix_with_its_least_total_and_lowest_positions(seed):
    """All ways of tiny tracks: the same mixes, the same least totals; the lowest of chosen mixes within a total."""
    rng = np.random.default_rng([33, seed])
    problem = tiny_joint(rng)
    lanes = kinds_of(problem).lanes
    listing = Listing(lanes, Within(), 10**6)
    slots = listing.columns.slots
    words = listing.table[:, listing.columns.words : listing.columns.total]
    mixes = [tuple(row) for row in slots.counts(words).tolist()]
    ways = list(placed_ways(lanes, [all_breaks(track) for track in problem.tracks], slots))
    least = {mix: min(total for _, own, total in ways if own == mix) for _, mix, _ in ways}
    assert listing.full
    assert dict(zip(mixes, listing.sums(listing.table)[:, 0].tolist(), strict=True)) == least
    for total in {total for _, _, total in ways}:
        chosen = np.flatnonzero(rng.random(len(mixes)) < 0.5)
        kept = {mixes[i] for i in chosen}
        expected = min((way for way, mix, own in ways if mix in kept and own <= total), default=None)
        assert lowest_of(listing, chosen, total) == expected


def placed_ways(lanes, choices, slots):
    """Give (positions, mix, total) of all ways whose pieces fit a stock."""
    for ways in product(*choices):
        pieces = [piece for lane, way in zip(lanes, ways, strict=True) for piece in ways_of(lane, way)]
        if all(kind is not None for _, kind in pieces):
            made = Counter(pieces)
            mix = tuple(made[pair] for pair in zip(slots.steps, slots.kinds, strict=True))
            total = sum(int(lane.cost[list(way)].sum()) for lane, way in zip(lanes, ways, strict=True))
            yield tuple(tuple(map(int, way)) for way in ways), mix, total


def put(sizes, rooms):
    """Tell whether sizes go into rooms, one after another into any of them."""
    if not sizes:
        return True
    ways = {room: i for i, room in enumerate(rooms) if room >= sizes[0]}
    return any(put(sizes[1:], [*rooms[:i], room - sizes[0], *rooms[i + 1 :]]) for room, i in ways.items())


def test_fitting_is_that_of_trying_everything():
    """3 000 random questions of up to eight sizes and six strips, a third of them with no way."""
    rng = np.random.default_rng(34)
    outcomes = Counter()
    for _ in range(3000):
        sizes = sorted(rng.integers(2, 14, int(rng.integers(1, 9))).tolist(), reverse=True)
        rooms = [(int(rng.integers(10, 24)), int(rng.integers(1, 4))) for _ in range(int(rng.integers(1, 3)))]
        found = fits(sizes, rooms)
        assert found == put(sizes, [room for room, number in rooms for _ in range(number)])
        outcomes[found] += 1
    assert min(outcomes[True], outcomes[False]) > 600


@pytest.mark.parametrize("seed", range(40))
def test_highest_numbers_are_all_that_cannot_be_raised(seed):
    """Two or three numbers up to 4 under one or two rows: beside trying all."""
    rng = np.random.default_rng([35, seed])
    tops = rng.integers(0, 5, int(rng.integers(2, 4))).tolist()
    rows = [(tuple(rng.integers(0, 4, len(tops)).tolist()), int(rng.integers(0, 12))) for _ in range(2)]
    does = {
        x
        for x in product(*(range(top + 1) for top in tops))
        if all(sum(a * b for a, b in zip(row, x, strict=True)) <= value for row, value in rows)
    }
    above = {x for x in does for i in range(len(x)) if (*x[:i], x[i] + 1, *x[i + 1 :]) in does}
    assert set(highest_numbers(rows, tops)) == does - above
