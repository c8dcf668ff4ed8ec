"""Programs that count pieces where positions are alike, beside the same programs with every piece in its place."""

from __future__ import annotations

from itertools import pairwise, permutations

import numpy as np
import pytest

from solver import joint
from solver.joint_flow import Flow
from solver.joint_kinds import kinds_of
from solver.joint_loose import labels_of, stretches_of
from solver.joint_order import lowest_order
from solver.joint_supply import patterns_of
from solver.problems import Charge, Joint, Stock, Track
from solver.verify_joint import verify_joint

ALL = 10_000
"""nodes: more than such programs need"""


def patchy_track(rng):
    """Return a track of a few stretches of equal prices, some of them shut."""
    size = int(rng.integers(9, 26))
    closed = bool(rng.integers(2))
    places = size if closed else size + 1
    cost, allowed = np.zeros(places, dtype=np.int64), np.ones(places, dtype=bool)
    for _ in range(int(rng.integers(0, 4))):
        part = np.arange(rng.integers(places), rng.integers(places) + 1)
        cost[part] = int(rng.integers(0, 4)) * 10
        allowed[part] = rng.random() < 0.7
    smallest = int(rng.integers(2, 5))
    return Track(size, closed, smallest, smallest + int(rng.integers(1, 6)), cost, allowed)


def patchy_joint(rng):
    """Return one to three such tracks on one or two stocks."""
    tracks = tuple(patchy_track(rng) for _ in range(int(rng.integers(1, 4))))
    table = np.arange(40) * 10
    heights = tuple(int(rng.choice([20, 30])) for _ in tracks)
    stocks = (Stock(int(rng.integers(10, 20)) * 10, 60), Stock(90, 50))[: int(rng.integers(1, 3))]
    prices = tuple(int(rng.integers(3, 9)) for _ in stocks)
    return Joint(tracks, (table,) * len(tracks), (table,) * len(tracks), heights, stocks, (Charge("cost", prices, 1),))


def least(problem, goal, held, *, placed):
    """Return the least of a goal, every piece in its place or counted; None: there is no answer."""
    kinds = kinds_of(problem)
    everywhere = [{(s, n) for s in range(lane.size) for n in range(1, lane.size + 1)} for lane in kinds.lanes]
    flow = Flow(kinds, patterns_of(kinds), problem.charges, held, goal, everywhere if placed else None)
    out = flow.solve(goal, ALL)
    if out.values is None:
        assert out.bound == float("inf")
        return None
    positions = flow.positions(out.values)
    assert positions is not None
    return round(out.bound), positions


GOALS = ("cost", "pieces", "different", "total", "spread")


@pytest.mark.parametrize("goal", GOALS)
def test_counted_pieces_come_to_what_placed_ones_do(goal):
    """120 problems for each goal, now and then with a level held: equal least values, and ways that are allowed."""
    found = 0
    for seed in range(120):
        rng = np.random.default_rng([seed, GOALS.index(goal)])
        problem = patchy_joint(rng)
        held = {"worst": int(rng.integers(0, 4)) * 10} if rng.random() < 0.5 else {}
        counted, placed = (least(problem, goal, held, placed=placed) for placed in (False, True))
        assert (counted is None) == (placed is None), seed
        if counted is None or placed is None:
            continue
        found += 1
        assert counted[0] == placed[0], seed
        total = 0
        for track, way in zip(problem.tracks, counted[1], strict=True):
            inner = list(way if track.closed else way[1:-1])
            steps = [b - a for a, b in pairwise((*way, way[0] + track.size) if track.closed else way)]
            assert all(track.smallest <= n <= track.largest for n in steps), seed
            assert track.allowed[inner].all()
            assert (track.cost[inner] <= held.get("worst", 30)).all()
            total += int(track.cost[inner].sum())
        if goal == "total":
            assert total == counted[0], seed
    assert found > 40


def even(size, closed):
    """Return a lane of a track whose breaks all cost nothing, pieces of 2 to 5 steps, on stocks that take any."""
    free = np.zeros(size + (not closed), dtype=np.int64)
    table = np.arange(size + 1) * 10
    track = Track(size, closed, 2, 5, free, free == 0)
    problem = Joint((track,), (table,), (table,), (10,), (Stock(1000, 10),), (Charge("stocks", (1,)),))
    return kinds_of(problem).lanes[0]


def test_a_ring_alike_everywhere_is_one_stretch():
    """No piece keeps its place: as many columns as numbers of steps."""
    lane = even(200, closed=True)
    labels = labels_of(lane, lane.open(), priced=True)
    assert [(s.first, s.last, s.steps) for s in stretches_of(lane, labels)] == [(0, 0, 200)]


def test_stretches_end_where_the_price_changes_only_if_prices_count():
    """A line with one dear place: two stretches beside it where prices count, else one from end to end."""
    lane = even(20, closed=False)
    lane.track.cost[10] = 5
    stretches = {priced: stretches_of(lane, labels_of(lane, lane.open(), priced=priced)) for priced in (True, False)}
    assert [(s.first, s.last) for s in stretches[True]] == [(0, 9), (11, 19)]
    assert [(s.first, s.last) for s in stretches[False]] == [(0, 19)]


def test_lowest_order_is_the_first_of_all_orders():
    """Every order of 2, 2, 3, 4 and 5 round a ring and along a line, under a price: the least tuple of them."""
    rng = np.random.default_rng(4)
    for closed in (False, True):
        for _ in range(40):
            lane = even(16, closed=closed)
            lane.track.cost[:] = rng.integers(0, 4, len(lane.track.cost)) * 10
            pieces = [2, 2, 3, 4] if not closed else [2, 2, 3, 4, 5]
            ways = set()
            for order in set(permutations(pieces)):
                steps = [*order, 5] if not closed else list(order)
                for start in range(16 if closed else 1):
                    places = [start + sum(steps[:k]) for k in range(len(steps))]
                    way = tuple(sorted(p % 16 for p in places)) if closed else (*places, 16)
                    ways.add((int(lane.cost[list(way)].sum()), way))
            most = int(np.median([total for total, _ in ways]))
            wanted = min(way for total, way in ways if total <= most)
            given = min(ways)[1]
            assert lowest_order([lane], (given,), None, most) == (wanted,)


def test_lowest_order_leaves_shut_positions_alone():
    """Pieces 2, 2 and 3 of a line of 7 whose position 2 is shut: 3 comes first, whether the sum is held or not."""
    lane = even(7, closed=False)
    lane.track.allowed[2] = False
    for most in (None, 0):
        assert lowest_order([lane], ((0, 3, 5, 7),), None, most) == ((0, 3, 5, 7),)


def test_an_order_of_too_many_pieces_is_left():
    """Some hundreds of pieces would go too deep: no answer, and no fault."""
    lane = even(1_000, closed=False)
    assert lowest_order([lane], (tuple(range(0, 1_001, 2)),), None, None) is None


@pytest.mark.parametrize("seed", range(5_000, 5_060))
def test_ties_ended_without_mixes_give_ways_that_are_allowed(seed, monkeypatch):
    """Programs alone, ties ended: the independent check finds nothing in positions, pieces, cuttings and values."""
    monkeypatch.setattr(joint, "WORK", 0)
    rng = np.random.default_rng(seed)
    problem = patchy_joint(rng)
    goals = [str(g) for g in rng.permutation([*GOALS, "worst"])[: int(rng.integers(1, 4))]]
    assert verify_joint(problem, goals, joint.solve(problem, goals)) == ()
