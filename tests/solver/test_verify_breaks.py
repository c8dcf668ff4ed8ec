"""The check finds every damage done to a good answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.breaks import GOALS, Breaks, solve
from solver.problems import Track
from solver.verify import has_way, verify_breaks
from tests.solver.breaks_oracle import all_breaks, tiny_track


def problem():
    rng = np.random.default_rng(7)
    ring = Track(150, True, 8, 34, rng.integers(1, 500, 150), rng.random(150) > 0.2)
    line = Track(120, False, 8, 34, rng.integers(1, 500, 121), rng.random(121) > 0.2, largest_last=35)
    return [ring, line]


@pytest.fixture(scope="module")
def answer():
    found = solve(problem(), GOALS)
    assert verify_breaks(problem(), GOALS, found) == ()
    return found


def findings(answer, **change):
    return " · ".join(verify_breaks(problem(), GOALS, replace(answer, **change)))


def test_moved_break_is_found(answer):
    """Any single break moved by one gives itself away by price, length or permission."""
    for index in range(2):
        inside = slice(0, None) if index == 0 else slice(1, -1)
        for position in answer.positions[index][inside]:
            moved = tuple(sorted({p + (p == position) for p in answer.positions[index]}))
            positions = tuple(moved if i == index else p for i, p in enumerate(answer.positions))
            assert findings(answer, positions=positions)


def test_left_out_break_is_found(answer):
    """A break less makes a piece too long or a count too high."""
    for index in range(2):
        for position in answer.positions[index]:
            fewer = tuple(p for p in answer.positions[index] if p != position)
            positions = tuple(fewer if i == index else p for i, p in enumerate(answer.positions))
            assert findings(answer, positions=positions)


@pytest.mark.parametrize(
    ("ring", "message"),
    [
        ((), "do not rise"),
        ((5, 5), "do not rise"),
        ((9, 3), "do not rise"),
        ((-1, 30), "outside 0…149"),
        ((3, 150), "outside 0…149"),
    ],
)
def test_positions_must_rise_within_the_track(answer, ring, message):
    """Repeated, falling and outlying positions are named."""
    assert message in findings(answer, positions=(ring, answer.positions[1]))


def test_line_must_be_cut_from_end_to_end(answer):
    """A line's first and last positions are its ends."""
    assert "ends 8 and 120 are not 0 and 120" in findings(answer, positions=(answer.positions[0], (8, 35, 62, 90, 120)))


def test_forbidden_position_is_found(answer):
    """A break where none is allowed is named."""
    ring, line = problem()
    ring.allowed[answer.positions[0][0]] = False
    assert f"position {answer.positions[0][0]} is not allowed" in verify_breaks([ring, line], GOALS, answer)[0]


@pytest.mark.parametrize("at", range(4))
def test_wrong_value_is_found(answer, at):
    """Each goal's value is counted anew."""
    for off in (-1, 1):
        met = list(answer.met)
        met[at] = replace(met[at], value=met[at].value + off)
        assert f"{GOALS[at]} is {answer.met[at].value}, not {met[at].value}" in findings(answer, met=tuple(met))


@pytest.mark.parametrize("at", range(4))
def test_bound_above_the_value_is_found(answer, at):
    """A bound cannot exceed what has been reached."""
    met = list(answer.met)
    met[at] = replace(met[at], bound=met[at].bound + 1, proved=False)
    assert "is above the value" in findings(answer, met=tuple(met))


@pytest.mark.parametrize("at", range(4))
def test_proof_claimed_without_its_bound_is_found(answer, at):
    """Proved means that value and bound meet; and where they meet it must be said."""
    for change in ({"bound": answer.met[at].bound - 1}, {"proved": False}):
        met = list(answer.met)
        met[at] = replace(met[at], **change)
        assert "proved is" in findings(answer, met=tuple(met))


def test_goals_must_be_those_asked_for(answer):
    """A goal left out or out of order is found."""
    assert "goals met are" in findings(answer, met=answer.met[1:])
    assert "goals met are" in findings(answer, met=answer.met[::-1])


def test_all_tracks_must_be_answered(answer):
    """One track less is found."""
    assert "1 tracks are answered, not 2" in findings(answer, positions=answer.positions[:1])


def test_denied_way_is_found(answer):
    """An answer that says there is no way is searched for one."""
    assert verify_breaks(problem(), GOALS, Breaks(None, ())) == ("there is a way to break every track",)
    assert "goals are met though there is no way" in findings(answer, positions=None)


def test_has_way_agrees_with_enumeration():
    """On 3 000 tiny tracks."""
    rng = np.random.default_rng(21)
    ways = 0
    for _ in range(3000):
        track = tiny_track(rng)
        assert has_way(track) == bool(all_breaks(track))
        ways += has_way(track)
    assert 1000 < ways < 2500
