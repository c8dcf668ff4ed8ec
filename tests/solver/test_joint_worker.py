"""Large programs run in a process of their own; when it gives nothing, the next method takes over and says so."""

from __future__ import annotations

import os
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from solver import joint_draft, worker
from solver.joint import solve
from solver.problems import Charge, Joint, Stock, Track

LENGTHS = np.arange(25, dtype=np.int64)
PROBLEM = Joint(
    tuple(Track(size, False, 4, 24, np.zeros(size + 1, int), np.full(size + 1, True)) for size in (21, 6, 68)),
    (LENGTHS,) * 3,
    (LENGTHS,) * 3,
    (1, 1, 1),
    (Stock(24, 1),),
    (Charge("stocks", (1,)),),
)
GOALS = ("stocks", "pieces")


def test_a_process_of_its_own_gives_the_same_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """With every program sent away, values and positions are those of solving in this process."""
    here = solve(PROBLEM, GOALS)
    monkeypatch.setattr(joint_draft, "MOST_INSIDE", 0)
    away = solve(PROBLEM, GOALS)
    assert (away.met, away.positions, away.words) == (here.met, here.positions, ())


@pytest.mark.parametrize("word", [worker.DIED, worker.STALLED])
def test_a_process_that_gives_nothing_is_told_and_its_goal_left_open(
    monkeypatch: pytest.MonkeyPatch, word: str
) -> None:
    """4 stocks are the least; without the programs 5 are found, the bound stays at or below 4, and the word is kept."""
    monkeypatch.setattr(joint_draft, "MOST_INSIDE", 0)
    monkeypatch.setattr(joint_draft.worker, "run", lambda *_, **__: (None, word))
    found = solve(PROBLEM, GOALS)
    assert set(found.words) == {word}
    stocks = found.met[0]
    assert stocks.bound <= 4 <= stocks.value
    assert stocks.proved == (stocks.bound == stocks.value)


def test_after_one_stall_no_program_as_large_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each program sent away is smaller than every one that stalled before it."""
    widths: list[int] = []
    monkeypatch.setattr(joint_draft, "MOST_INSIDE", 0)

    def stalls(_function: object, weights: np.ndarray, *_: object, **__: object) -> tuple[None, str]:
        widths.append(len(weights))
        return None, worker.STALLED

    monkeypatch.setattr(joint_draft.worker, "run", stalls)
    found = solve(PROBLEM, GOALS)
    assert len(widths) == len(found.words) >= 1
    assert all(later < earlier for earlier, later in pairwise(widths))


@pytest.mark.parametrize("price", [33_333_333_333_333_336, 55 * 10**14])
def test_great_prices_are_no_fault(price: int) -> None:
    """One stock kind at any price: the cost is the price times the 4 stocks that are the least."""
    problem = replace(PROBLEM, charges=(Charge("cost", (price,)),))
    found = solve(problem, ("cost",))
    assert found.met[0].value == 4 * price


def _busy() -> None:
    """Never come back, and keep the processor."""
    while True:
        pass


@pytest.mark.skipif(os.name != "posix", reason="the system limits no processor time")
def test_a_process_that_takes_more_of_the_processor_than_it_may_is_ended() -> None:
    """One second of it, with a minute by the clock: it is ended well before, and told as stalled."""
    assert worker.run(_busy, stall=60.0, work=1) == (None, worker.STALLED)


def test_work_within_what_it_may_take_is_answered() -> None:
    """A sum takes less than a second of the processor."""
    assert worker.run(sum, (1, 2), stall=60.0, work=1) == (3, "")
