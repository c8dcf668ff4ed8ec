"""Time that is given: programs learn how much is left; without it the clock decides nothing. On a clock of our own."""

from __future__ import annotations

import numpy as np
import pytest

from solver import joint, joint_draft, worker
from solver.hurry import Deadline
from solver.joint import solve
from solver.joint_draft import HANGS, STALL, START, Draft, Solved
from solver.problems import Charge, Joint, Stock, Track
from solver.verify_joint import verify_joint

GOALS = ("cost", "pieces", "worst", "different", "total")


class Clock:
    """A clock that goes on by what it is told."""

    def __init__(self):
        self.now = 1000.0

    def __call__(self):
        return self.now


LENGTHS = np.arange(25, dtype=np.int64)
PROBLEM = Joint(
    tuple(Track(size, False, 4, 24, np.zeros(size + 1, int), np.full(size + 1, True)) for size in (21, 6, 68)),
    (LENGTHS,) * 3,
    (LENGTHS,) * 3,
    (1, 1, 1),
    (Stock(24, 1),),
    (Charge("cost", (1,)),),
)
"""4 stocks are the least, and neither breaks nor prices say so"""


@pytest.fixture
def programs(monkeypatch):
    """Note the seconds that each program may take; each takes three of the clock, and finds nothing. Mixes are off."""
    clock, noted = Clock(), []

    def slow(*parts):
        noted.append(parts[6])
        clock.now += 3.0
        return Solved(None, -np.inf)

    monkeypatch.setattr(joint, "WORK", 0)
    monkeypatch.setattr(joint_draft, "MOST_INSIDE", 10**9)
    monkeypatch.setattr(joint_draft, "solved", slow)
    return clock, noted


def test_programs_are_told_what_is_left(programs):
    """Ten seconds, each program three: they may take 10, 7, 4 and 1; after that none is begun."""
    clock, noted = programs
    result = solve(PROBLEM, GOALS, hurry=Deadline(10.0, clock))
    assert noted == pytest.approx([10.0, 7.0, 4.0, 1.0][: len(noted)])
    assert noted
    assert clock.now <= 1000.0 + 10.0 + 3.0
    assert verify_joint(PROBLEM, GOALS, result) == ()


def test_without_a_limit_programs_know_no_seconds(programs):
    """No time is given, so none reaches a program; nor where somebody only says whether it is up."""
    _, noted = programs
    solve(PROBLEM, GOALS)
    solve(PROBLEM, GOALS, hurry=lambda: False)
    assert noted
    assert set(noted) == {None}


def test_a_clock_that_never_runs_out_changes_nothing():
    """A million seconds: the same values, bounds and positions as without a limit."""
    free, given = (solve(PROBLEM, GOALS, hurry=hurry) for hurry in (None, Deadline(1e6, Clock())))
    assert (free.met, free.positions) == (given.met, given.positions)
    assert free.proved


@pytest.mark.parametrize(
    ("seconds", "inside", "guard", "work"),
    [(None, None, HANGS * STALL, STALL), (4.0, 4.0 - START, 4.0, None), (50.0, None, 50.0, STALL)],
)
def test_a_process_of_its_own_is_guarded_by_what_is_left(monkeypatch, seconds, inside, guard, work):
    """The guard is what is left where that is less; then the program ends a little before, and it is no fault."""
    told = []

    def stalls(_function, *parts, stall, work=None):
        told.append((parts[-1], stall, work))
        return None, worker.STALLED

    monkeypatch.setattr(joint_draft.worker, "run", stalls)
    draft = Draft(seconds=seconds)
    draft.columns(joint_draft.MOST_INSIDE)
    found = draft.solve({}, 10)
    assert told == [(inside, guard, work)]
    assert found.word == ("" if work is None else worker.STALLED)
