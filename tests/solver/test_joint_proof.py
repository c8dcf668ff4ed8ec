"""What is called proved: bounds that a broken search cannot move, and a whole program beside the answers."""

from __future__ import annotations

from itertools import combinations_with_replacement

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from solver import breaks, joint_search
from solver.answers import Breaks
from solver.goals import meet
from solver.joint import solve
from solver.joint_floor import JointFloor
from solver.joint_kinds import kinds_of
from solver.joint_mixed import Mixed
from solver.joint_whole import Whole
from solver.problems import Charge, Joint, Met, Stock, Track
from solver.verify_joint import verify_joint
from tests.solver.joint_oracle import best_joint, random_question, tiny_joint


def medium(seed):
    """Draw one to three tracks of 24 to 45 steps, of one height, with one or two stocks that give one strip each."""
    rng = np.random.default_rng(seed)
    tracks, tables, last = [], [], []
    smallest = int(rng.integers(4, 8))
    largest = int(rng.integers(smallest + 3, smallest + 7))
    lap = int(rng.integers(0, 2)) * 10
    for _ in range(int(rng.integers(1, 4))):
        size, closed = int(rng.integers(24, 46)), bool(rng.random() < 0.4)
        places = size if closed else size + 1
        tracks.append(Track(size, closed, smallest, largest, rng.integers(0, 30, places), rng.random(places) > 0.2))
        tables.append(np.arange(largest + 1) * 10 + lap)
        last.append(np.arange(largest + 1) * 10)
    kerf = int(rng.integers(0, 3))
    long = [int(n) for n in rng.integers(largest * 10 + 10, largest * 22, int(rng.integers(1, 3)))]
    stocks = tuple(Stock(n, 7, kerf=kerf) for n in long)
    charge = Charge("cost", tuple(int(n * rng.uniform(0.8, 1.2)) for n in long), int(rng.choice([0, 0, 25])))
    return Joint(tuple(tracks), tuple(tables), tuple(last), (7,) * len(tracks), stocks, (charge,))


class Program:
    """The whole question, arc by arc and pattern by pattern, each pattern exactly as it is filled."""

    def __init__(self, problem):
        self.rows, self.low, self.high, self.whole = [], [], [], 0
        self.cost, self.pieces, self.breaks = [], [], []
        self.pattern_rows = {}
        charge = problem.charges[0]
        arcs = [arc for t in range(len(problem.tracks)) for arc in self.arcs(problem, t)]
        lengths = sorted({arc[4] for arc in arcs})
        patterns = [
            (s, chosen)
            for s, stock in enumerate(problem.stocks)
            for number in range(1, 1 + stock.length // lengths[0])
            for chosen in combinations_with_replacement(lengths, number)
            if sum(chosen) + stock.kerf * (number - 1) <= stock.length
        ]
        spans = sorted({arc[3] for arc in arcs})
        self.first = len(arcs) + len(patterns)
        self.columns = self.first + len(spans) + 3
        self.cost = [charge.piece] * len(arcs) + [charge.stocks[s] for s, _ in patterns]
        self.pieces = [1] * len(arcs)
        self.breaks = [arc[5] for arc in arcs]
        self.rows, self.low, self.high = [], [], []
        for t, track in enumerate(problem.tracks):
            own = [(j, arc) for j, arc in enumerate(arcs) if arc[0] == t]
            for p in range(track.size if track.closed else track.size + 1):
                supply = 0 if track.closed else (p == 0) - (p == track.size)
                into = [(j, -1) for j, arc in own if arc[2] == p]
                self.row([*into, *((j, 1) for j, arc in own if arc[1] == p)], supply, supply)
            if track.closed:
                self.row([(j, 1) for j, arc in own if (0 - arc[1]) % track.size < arc[3]], 1, 1)
        for length in lengths:
            made = [(len(arcs) + i, chosen.count(length)) for i, (_, chosen) in enumerate(patterns)]
            self.row([*made, *((j, -1) for j, arc in enumerate(arcs) if arc[4] == length)], 0, 0)

        self._extremes(arcs, spans)

    def _extremes(self, arcs, spans):
        """Add which numbers of steps are used, the shortest and the longest of them, and the worst cost."""
        low, high, worst = range(self.columns - 3, self.columns)
        for i, n in enumerate(spans):
            own = [j for j, arc in enumerate(arcs) if arc[3] == n]
            self.row([(self.first + i, len(own)), *((j, -1) for j in own)], 0, np.inf)
            self.row([(high, 1), (self.first + i, -n)], 0, np.inf)
            self.row([(low, 1), (self.first + i, spans[-1])], -np.inf, n + spans[-1])
        for j, arc in enumerate(arcs):
            self.row([(worst, 1), (j, -arc[5])], 0, np.inf)
        self.extremes = {
            "different": [(self.first + i, 1) for i in range(len(spans))],
            "spread": [(high, 1), (low, -1)],
            "worst": [(worst, 1)],
        }

    @staticmethod
    def arcs(problem, t):
        """List (track, from, to, steps, length, cost of the break it starts at)."""
        track, found = problem.tracks[t], []
        size = track.size
        for start in range(size):
            if not track.allowed[start] and (track.closed or start):
                continue
            for steps in range(track.smallest, track.largest + 1):
                end = (start + steps) % size if track.closed else start + steps
                if steps > size or (not track.closed and end > size):
                    continue
                if not (track.allowed[end] or (not track.closed and end == size)):
                    continue
                table = problem.last_lengths[t] if not track.closed and end == size else problem.lengths[t]
                cost = int(track.cost[start]) if track.closed or start else 0
                found.append((t, start, end, steps, int(table[steps]), cost))
        return found

    def row(self, entries, low, high):
        """Add a row."""
        weights = np.zeros(self.columns)
        for column, weight in entries:
            weights[column] += weight
        self.rows.append(weights)
        self.low.append(low)
        self.high.append(high)

    def least(self, goals):
        """Return the least of the sums named, one after another; None: there is no answer."""
        found = []
        for goal in goals:
            sums = {"cost": self.cost, "pieces": self.pieces, "total": self.breaks}
            weights = np.zeros(self.columns)
            for column, weight in self.extremes.get(goal) or enumerate(sums[goal]):
                weights[column] = weight
            out = milp(
                weights,
                integrality=1,
                bounds=Bounds(0, np.inf),
                constraints=LinearConstraint(np.array(self.rows), self.low, self.high),
                options={"mip_rel_gap": 0},
            )
            if out.status == 2:
                return None
            assert out.status == 0
            found.append(round(out.fun))
            self.row(list(enumerate(weights)), -np.inf, found[-1])
        return tuple(found)


EVERY = ("cost", "pieces", "worst", "different", "total", "spread")


@pytest.mark.parametrize("seed", [0, 2, 3, *range(7, 15), *range(16, 23)])
def test_all_goals_of_medium_problems_beside_a_whole_program(seed):
    """The same tracks, all six goals in any order after the charge: the same values, all proved."""
    problem = medium(seed)
    goals = ["cost", *(str(goal) for goal in np.random.default_rng(seed).permutation(EVERY[1:]))]
    result = solve(problem, goals)
    found = None if result.positions is None else tuple(met.value for met in result.met)
    assert found == Program(problem).least(goals)
    assert result.proved
    assert verify_joint(problem, goals, result) == ()


@pytest.mark.parametrize("seed", range(24))
def test_medium_problems_beside_a_whole_program(seed):
    """Tracks of 24 to 45 steps: charge, pieces and total in any order come out as a program written here says."""
    problem = medium(seed)
    goals = [str(goal) for goal in np.random.default_rng(seed).permutation(["cost", "pieces", "total"])]
    result = solve(problem, goals)
    found = None if result.positions is None else tuple(met.value for met in result.met)
    assert found == Program(problem).least(goals)
    assert result.proved
    assert verify_joint(problem, goals, result) == ()


@pytest.mark.parametrize("seed", range(0, 400, 8))
def test_no_bound_exceeds_what_enumeration_finds(seed):
    """Every stage of the floor, each goal held at its true value: below or at the least there is."""
    rng = np.random.default_rng(10_000 + seed)
    problem = tiny_joint(rng)
    goals, most = random_question(rng, problem)
    best = best_joint(problem, goals, most)
    if best is None:
        return
    kinds = kinds_of(problem)
    whole = Whole(kinds, problem.charges, 10**7)
    mixed = Mixed(kinds, problem.stocks, {charge.name: charge for charge in problem.charges}, whole.priced)
    floor = JointFloor(problem, kinds, most, whole, mixed, 10**8)
    for goal, value in zip(goals, best, strict=True):
        bounds = [floor.bound(goal)]
        while (bound := floor.sharper(goal)) is not None:
            bounds.append(bound)
        assert max(bounds) <= value, f"{goals}: {goal} {bounds} {best}"
        floor.hold(goal, value)
    assert not floor.none


@pytest.mark.parametrize("first", ["stocks", "pieces", "total", "worst", "different", "spread"])
def test_search_blind_to_the_best_is_not_called_proved(monkeypatch, first):
    """A search that throws away every answer with the best first value: a worse one, the same bound, and no proof."""
    cost = np.where(np.arange(41) % 5, 9, 4)
    cost[[10, 20, 30]] = 1
    line = Track(40, False, 5, 12, cost, np.full(41, True))
    table = np.arange(41)
    problem = Joint((line,), (table,), (table,), (1,), (Stock(20, 1),), (Charge("stocks", (1,)),))
    goals = [first, *(goal for goal in ("stocks", "pieces", "total") if goal != first)]
    honest = solve(problem, goals)
    assert honest.proved
    best = honest.met[0].value
    measured = joint_search.JointSearch._measured
    monkeypatch.setattr(joint_search, "breaks", Scattered())

    def blind(self, positions, counts):
        found = measured(self, positions, counts)
        return None if found is None or found.values[first] <= best else found

    monkeypatch.setattr(joint_search.JointSearch, "_measured", blind)
    result = solve(problem, goals)
    assert verify_joint(problem, goals, result) == ()
    assert result.met[0].value > best
    assert result.met[0].bound == best
    assert not result.met[0].proved


class Turns:
    """A search that gets to 5 in steps of one, and a floor that does from below, noting who was asked."""

    def __init__(self, value, step, asked):
        self.value, self.step, self.asked = value, step, asked

    def least(self, goal):
        return self.value

    bound = least

    def hold(self, goal, value):
        self.asked.append(("held", value))

    def better(self, goal):
        self.asked.append(self.step)
        if self.value == 5:
            return None
        self.value += self.step
        return self.value

    sharper = better


def test_floor_and_search_take_turns_until_they_meet():
    """From 3 and 7 the floor is asked first, then the search, and nobody once both are at 5."""
    asked = []
    met = meet(Turns(7, -1, asked), Turns(3, 1, asked), ["a"])
    assert met == (Met("a", 5, 5, True),)
    assert asked == [1, -1, 1, -1, ("held", 5), ("held", 5)]
    hurried = []
    assert meet(Turns(7, -1, hurried), Turns(3, 1, hurried), ["a"], hurry=lambda: True) == (Met("a", 7, 3, False),)
    assert hurried == [("held", 7), ("held", 7)]


class Scattered:
    """Breaks in place of `solver.breaks` that are far from good: pieces of 6 and 5, of ten different costs."""

    GOALS = breaks.GOALS

    @staticmethod
    def solve(tracks, goals, **limits):
        """Return the same positions whatever is asked."""
        del tracks, goals, limits
        return Breaks(((0, 6, 11, 17, 22, 29, 34, 40),), ())
