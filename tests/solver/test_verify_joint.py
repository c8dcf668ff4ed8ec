"""The check of joint answers finds every damage done to a good one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.joint import JointResult, solve
from solver.problems import Charge, Joint, Met, Piece, Stock, Track
from solver.verify_joint import verify_joint

GOALS = ["cost", "pieces", "worst", "different", "total", "spread"]


def problem_of(count=None):
    """Return a line of 24 and a ring of 20, with one break that is barred, and stocks of 13."""
    allowed = np.full(25, True)
    allowed[12] = False
    line = Track(24, False, 4, 8, np.arange(25) % 6, allowed)
    ring = Track(20, True, 4, 8, np.arange(20) % 7, np.full(20, True))
    table = np.arange(25)
    stocks = (Stock(13, 2, count=count), Stock(9, 2))
    charges = (Charge("weight", (13, 9)), Charge("cost", (5, 4), 1))
    return Joint((line, ring), (table + 1, table), (table, table), (2, 2), stocks, charges)


PROBLEM = problem_of()
GOOD = solve(PROBLEM, GOALS)


def damaged(name, **change):
    """Return the good answer with what is said of one goal changed."""
    return replace(GOOD, met=tuple(replace(met, **change) if met.goal == name else met for met in GOOD.met))


def value(name):
    """Return the value of one goal."""
    return next(met.value for met in GOOD.met if met.goal == name)


def test_good_answer_has_no_findings():
    """The answer that the others are made from is good, and proved."""
    assert verify_joint(PROBLEM, GOALS, GOOD) == ()
    assert GOOD.proved


@pytest.mark.parametrize("name", GOALS)
def test_wrong_values_bounds_and_proofs_are_found(name):
    """Each goal's value one off, its bound above the value, or its proof denied."""
    true = value(name)
    assert f"{name} is {true}, not {true + 1}" in verify_joint(PROBLEM, GOALS, damaged(name, value=true + 1))
    assert f"{name}: bound {true + 1} is above the value {true}" in verify_joint(
        PROBLEM, GOALS, damaged(name, bound=true + 1)
    )
    assert f"{name}: proved is False at value {true} and bound {true}" in verify_joint(
        PROBLEM, GOALS, damaged(name, proved=False)
    )


@pytest.mark.parametrize("name", [*GOALS, "weight"])
def test_greatest_values_that_are_not_kept_are_found(name):
    """At the value itself nothing is wrong; one below it, the answer should not have been given."""
    cuttings = GOOD.cuttings.cuttings
    true = sum((13, 9)[each.stock] * each.times for each in cuttings) if name == "weight" else value(name)
    assert verify_joint(PROBLEM, GOALS, GOOD, {name: true}) == ()
    assert verify_joint(PROBLEM, GOALS, GOOD, {name: true - 1}) == (f"{name} is {true}, above {true - 1}",)


def test_moved_break_is_found():
    """The ring's first break moved by one: lengths no longer match the pieces, if they are allowed at all."""
    line, ring = GOOD.positions
    moved = replace(GOOD, positions=(line, (ring[0] + 1, *ring[1:])))
    assert verify_joint(PROBLEM, GOALS, moved)


def test_pieces_other_than_those_between_breaks_are_found():
    """One piece fewer than the breaks ask for."""
    first, *others = GOOD.pieces
    fewer = replace(GOOD, pieces=(replace(first, demand=first.demand - 1), *others))
    assert any("the breaks ask for" in text for text in verify_joint(PROBLEM, GOALS, fewer))


def test_cutting_that_leaves_a_piece_out_is_found():
    """The last stock thrown away."""
    cut = GOOD.cuttings
    less = replace(GOOD, cuttings=replace(cut, cuttings=cut.cuttings[:-1]))
    assert any("wanted" in text for text in verify_joint(PROBLEM, GOALS, less))


def test_uncut_pieces_other_goals_and_needless_reasons_are_found():
    """No cutting; goals in another order; a reason given beside an answer."""
    assert "the pieces are not cut" in verify_joint(PROBLEM, GOALS, replace(GOOD, cuttings=None))
    assert "goals met are" in verify_joint(PROBLEM, GOALS[::-1], GOOD)[-1]
    assert verify_joint(PROBLEM, GOALS, replace(GOOD, why="short")) == (
        "there is an answer, and yet a reason why there is none",
    )


@pytest.mark.parametrize(
    ("result", "finding"),
    [
        (JointResult(None, why="breaks"), "'breaks' stated, and the tracks have ways"),
        (JointResult(None, why="short", short=(0, 0)), "short of nothing"),
        (JointResult(None, why="short", short=(1, 1)), "stock 1: 1 more stated, None on hand"),
        (JointResult(None, why="misfits"), "misfits stated, and none named"),
        (JointResult(None, why="most"), "greatest values stated, and none asked for"),
        (JointResult(None, pieces=(Piece(4, 2, 1),), why="open"), "no positions, and yet goals met or pieces cut"),
        (
            JointResult(None, met=(Met("cost", 1, 1, True),), why="open"),
            "no positions, and yet goals met or pieces cut",
        ),
    ],
)
def test_unsound_refusals_are_found(result, finding):
    """Each reason is checked against the problem."""
    assert finding in verify_joint(problem_of(count=1), GOALS, result)
