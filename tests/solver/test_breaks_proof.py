"""A proof must fail when the search does: the bounds are of another make, and are checked arc by arc."""

from __future__ import annotations

import numpy as np
import pytest

import solver.breaks
import solver.floods
import solver.ways
from solver.breaks import solve
from solver.problems import Met, Track
from solver.verify import verify_breaks
from solver.ways import lengths_of


def tracks():
    rng = np.random.default_rng(12)
    line = Track(180, False, 8, 34, rng.integers(1, 1000, 181), rng.random(181) > 0.2)
    return [Track(220, True, 8, 34, rng.integers(1, 1000, 220), rng.random(220) > 0.2), line]


KEPT = [
    lambda n: n < 30,
    lambda n: n < 25,
    lambda n: n > 20,
    lambda n: n % 2 == 0,
    lambda n: n in (9, 11, 33),
    lambda n: n in (13, 17, 31),
]


@pytest.mark.parametrize("goal", ["pieces", "worst", "different", "total"])
def test_search_that_misses_good_lengths_is_not_proved(goal, monkeypatch):
    """Let the search see some lengths only: each goal that this worsens is left open by its bound."""
    best = solve(tracks(), [goal])
    assert best.proved
    worse = 0
    for keep in KEPT:

        def fewer(track, lengths=None, keep=keep):
            return tuple([n for n in ns if keep(n)] for ns in lengths_of(track, lengths))

        monkeypatch.setattr(solver.ways, "lengths_of", fewer)
        answer = solve(tracks(), [goal])
        if answer.positions is not None and answer.met[0].value != best.met[0].value:
            worse += 1
            assert answer.met[0].bound == best.met[0].value
            assert not answer.met[0].proved
            assert not answer.proved
            assert verify_breaks(tracks(), [goal], answer) == ()
    assert worse > 0


@pytest.mark.parametrize("goals", [("pieces", "total"), ("worst", "total"), ("total", "different")])
def test_search_that_misses_one_position_is_not_proved(goals, monkeypatch):
    """Close one chosen position of the best answer in the search alone: the proof is gone."""
    problem = tracks()[:1]
    best = solve(problem, goals)
    charges = solver.breaks.BreakSearch._charges

    def closed(self, *args):
        found = charges(self, *args)
        found.step[best.positions[0][1]] = solver.ways.FAR
        return found

    monkeypatch.setattr(solver.breaks.BreakSearch, "_charges", closed)
    answer = solve(problem, goals)
    assert answer.positions != best.positions
    assert not answer.proved


def test_search_that_charges_too_little_is_caught_by_the_bound():
    """A value below the truth is below its bound too: such an answer is not proved, and the check says so."""
    problem = tracks()[:1]
    best = solve(problem, ["total"])
    cheap = Met("total", best.met[0].value - 1, best.met[0].bound, proved=True)
    findings = verify_breaks(problem, ["total"], solver.breaks.Breaks(best.positions, (cheap,)))
    assert len(findings) == 3


@pytest.mark.parametrize("row", [3, 60, 219])
def test_flood_that_is_too_high_anywhere_bounds_nothing(row, monkeypatch):
    """Raise one reached figure by one: some arc's head then exceeds its tail by more than it charges."""
    flooded = solver.floods._flooded

    def raised(*args):
        figures = flooded(*args)
        at = row + int(np.argmax((figures[row:] < solver.floods.NEVER).any(axis=1)))
        figures[at, figures[at] < solver.floods.NEVER] += 1
        return figures

    monkeypatch.setattr(solver.floods, "_flooded", raised)
    answer = solve(tracks()[:1], ["pieces", "total"])
    assert [met.bound for met in answer.met] == [0, 0]
    assert not answer.proved


def test_flood_that_is_too_low_still_bounds():
    """Lower figures may bound less, but never too much: potentials need not be exact."""
    track = tracks()[0]
    exact = solve([track], ["total"]).met[0].value
    fee = np.where(track.allowed, track.cost // 2, solver.floods.NEVER)
    low = solver.floods.flood(track, fee, track.cost, 0).least()
    assert 0 < low <= exact


def test_bounds_after_an_open_goal_hold_all_the_same(monkeypatch):
    """When the first goal was missed, the next one's bound is that of the goal by itself."""
    problem = tracks()[:1]
    alone = solve(problem, ["total"]).met[0].value

    def shorter(track, lengths=None):
        return tuple([n for n in ns if n < 30] for ns in lengths_of(track, lengths))

    monkeypatch.setattr(solver.ways, "lengths_of", shorter)
    answer = solve(problem, ["pieces", "total"])
    assert not answer.met[0].proved
    assert answer.met[1].bound == alone
