"""Where tracks are broken and how the pieces are cut, on problems small enough to think through."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver import breaks, joint_chained, joint_floor, joint_search, joint_whole
from solver.cutting import cut
from solver.joint import solve
from solver.problems import Charge, Joint, Piece, Stock, Track
from solver.verify_joint import verify_joint

STOCKS = Charge("stocks", (1,))


def track(size, smallest, largest, *, closed=False, cost=None, allowed=None, last=None):
    """Return a track, without costs and with a break allowed anywhere unless told otherwise."""
    places = size if closed else size + 1
    cost = np.zeros(places, dtype=np.int64) if cost is None else np.asarray(cost)
    allowed = np.full(places, True) if allowed is None else np.asarray(allowed)
    return Track(size, closed, smallest, largest, cost, allowed, last)


def joint(tracks, stocks, charges=(STOCKS,), *, heights=None, extra=0):
    """Return a problem in which a piece of n steps is n long, and `extra` more unless it ends a line."""
    tables = [np.arange(t.size + t.largest + 2) for t in tracks]
    lengths = tuple(table + extra for table in tables)
    return Joint(tuple(tracks), lengths, tuple(tables), heights or (1,) * len(tracks), tuple(stocks), tuple(charges))


def values(result):
    """Return the values of the goals."""
    return tuple(met.value for met in result.met)


def check(problem, goals, result, most=None):
    """Hold the answer against the independent check, and say that all of it is proved."""
    assert verify_joint(problem, goals, result, most) == ()
    assert result.proved


def test_fewest_stocks_of_five_lines_are_seven():
    """Lines of 23, 13, 9, 38 and 55 in pieces of 4…20 from stocks of 20: ⌈138/20⌉ = 7, as measured in SOLVING.md."""
    problem = joint([track(n, 4, 20) for n in (23, 13, 9, 38, 55)], [Stock(20, 1)])
    result = solve(problem, ["stocks"])
    assert values(result) == (7,)
    check(problem, ["stocks"], result)


def test_lines_planned_together_take_four_stocks_and_one_by_one_five():
    """Lines of 21, 6 and 68 in pieces of 4…24: ⌈95/24⌉ = 4 together, but 1 + 1 + 3 = 5 line by line."""
    lines = [track(n, 4, 24) for n in (21, 6, 68)]
    together = joint(lines, [Stock(24, 1)])
    result = solve(together, ["stocks"])
    assert values(result) == (4,)
    check(together, ["stocks"], result)
    assert sum(values(solve(joint([line], [Stock(24, 1)]), ["stocks"]))[0] for line in lines) == 5


def test_fewest_pieces_and_fewest_stocks_are_different_first_goals():
    """A ring of 102 is six pieces of 17 to three stocks of 34, or six too many: five pieces of up to 21 take five."""
    problem = joint([track(102, 8, 21, closed=True)], [Stock(34, 1)])
    pieces_first, stocks_first = ["pieces", "stocks"], ["stocks", "pieces"]
    a, b = solve(problem, pieces_first), solve(problem, stocks_first)
    assert values(a) == (5, 5)
    assert values(b) == (3, 6)
    check(problem, pieces_first, a)
    check(problem, stocks_first, b)


def test_plan_of_fewest_pieces_misses_the_stocks_that_the_joint_answer_takes():
    """Ring of 250 with a fifth of the positions barred: 13 pieces of 8…20 take 12 strips of 34, not 8."""
    rng = np.random.default_rng(0)
    ring = track(250, 8, 20, closed=True, cost=rng.integers(0, 1000, 250), allowed=rng.random(250) > 0.2)
    problem = joint([ring], [Stock(34, 1)])
    goals = ["stocks", "pieces"]
    result = solve(problem, goals)
    assert values(result) == (8, 15)
    check(problem, goals, result)
    alone = breaks.solve([ring], ["pieces"]).positions[0]
    steps = [b - a for a, b in zip(alone, (*alone[1:], alone[0] + 250), strict=True)]
    assert len(steps) == 13
    assert cut([Piece(n, 1, 1) for n in steps], problem.stocks).met[0].value > 8


def test_optimum_above_material():
    """Two lines of 16 in pieces of 8 from stocks of 15 take 4, not ⌈32/15⌉; of 15 in 7 + 8 from 14, ⌈30/14⌉."""
    odd = joint([track(16, 8, 8), track(16, 8, 8)], [Stock(15, 1)])
    result = solve(odd, ["stocks"])
    assert values(result) == (4,)
    assert -(-32 // 15) == 3
    check(odd, ["stocks"], result)
    even = joint([track(15, 7, 8), track(15, 7, 8)], [Stock(14, 1)])
    result = solve(even, ["stocks"])
    assert values(result) == (3,)
    check(even, ["stocks"], result)


def test_barred_positions_raise_what_material_alone_would_allow():
    """Two lines of 16, barred at 8, are 7 + 9 each: 2 stocks of 18 or of 16, but of 15 one of 7 + 7 and two of 9."""
    allowed = np.full(17, True)
    allowed[8] = False
    lines = [track(16, 7, 9, allowed=allowed)] * 2
    for length, want in ((18, 2), (16, 2), (15, 3)):
        problem = joint(lines, [Stock(length, 1)])
        result = solve(problem, ["stocks"])
        assert values(result) == (want,), length
        check(problem, ["stocks"], result)


def test_price_of_a_piece_trades_against_stock():
    """A line of 12 in pieces of 4…12: two stocks of 6 at 1 hold 6 + 6, one of 12 at 3 holds it whole."""
    stocks = [Stock(6, 1), Stock(12, 1)]
    for piece, want in ((0, 2), (1, 4), (2, 5)):
        problem = joint([track(12, 4, 12)], stocks, [Charge("cost", (1, 3), piece)])
        result = solve(problem, ["cost"])
        assert values(result) == (want,) == (min(2 + 2 * piece, 3 + piece),)
        check(problem, ["cost"], result)


def test_piece_that_ends_a_line_has_its_own_length():
    """Pieces carry 1 more but the last: 5 + 5 take 6 + 5 = 11 of stock; 10 whole takes 10."""
    problem = joint([track(10, 5, 5, last=5)], [Stock(11, 1)], extra=1)
    result = solve(problem, ["stocks"])
    assert values(result) == (1,)
    check(problem, ["stocks"], result)
    assert values(solve(replace(problem, stocks=(Stock(10, 1),)), ["stocks"])) == (2,)


def test_heights_share_a_stock():
    """Lines of heights 3 and 2 in pieces of 5 from stocks 10 × 5: a strip of each to a stock, two pieces to a strip."""
    problem = joint([track(20, 5, 5), track(20, 5, 5)], [Stock(10, 5)], heights=(3, 2))
    result = solve(problem, ["stocks"])
    assert values(result) == (2,)
    check(problem, ["stocks"], result)


def test_greatest_values_are_kept():
    """No more than 5 pieces: then the ring of 102 takes 5 stocks; 4 pieces cannot be, and that is the reason."""
    problem = joint([track(102, 8, 21, closed=True)], [Stock(34, 1)])
    result = solve(problem, ["stocks"], most={"pieces": 5})
    assert values(result) == (5,)
    check(problem, ["stocks"], result, {"pieces": 5})
    refused = solve(problem, ["stocks"], most={"pieces": 4})
    assert (refused.positions, refused.why, refused.certain) == (None, "most", True)
    assert verify_joint(problem, ["stocks"], refused, {"pieces": 4}) == ()


def test_charge_that_is_no_goal_can_be_limited():
    """Cheapest is 2 stocks of 6; with no more than 1 stock it is the one of 12."""
    charges = [Charge("cost", (1, 3)), Charge("stocks", (1, 1))]
    problem = joint([track(12, 4, 12)], [Stock(6, 1), Stock(12, 1)], charges)
    assert values(solve(problem, ["cost"])) == (2,)
    assert values(solve(problem, ["cost"], most={"stocks": 1})) == (3,)


def test_tracks_that_cannot_be_broken_are_the_reason():
    """A line of 7 in pieces of 4 or 5 has no way."""
    refused = solve(joint([track(7, 4, 5)], [Stock(9, 1)]), ["stocks"])
    assert (refused.why, refused.proved) == ("breaks", True)


def test_pieces_that_fit_no_stock_are_named():
    """A line of 10 in one piece of 10 from stocks of 9."""
    refused = solve(joint([track(10, 10, 10)], [Stock(9, 1)]), ["stocks"])
    assert (refused.why, refused.misfits) == ("misfits", (Piece(10, 1, 1),))


def test_short_stock_says_how_many_more():
    """A ring of 102 takes 3 stocks of 34; with one on hand 2 more would do, with three none."""
    ring = track(102, 8, 21, closed=True)
    refused = solve(joint([ring], [Stock(34, 1, count=1)]), ["stocks"])
    assert (refused.why, refused.short, refused.certain) == ("short", (2,), True)
    assert values(solve(joint([ring], [Stock(34, 1, count=3)]), ["stocks"])) == (3,)


def test_hurry_leaves_an_honest_answer(monkeypatch):
    """In a hurry from the first, the breaks alone are cut, and the bound stays below what they take."""
    rng = np.random.default_rng(0)
    ring = track(250, 8, 20, closed=True, cost=rng.integers(0, 1000, 250), allowed=rng.random(250) > 0.2)
    problem = joint([ring], [Stock(34, 1)])
    result = solve(problem, ["stocks", "pieces"], hurry=lambda: True)
    assert verify_joint(problem, ["stocks", "pieces"], result) == ()
    assert not result.proved
    assert result.met[0].bound <= 8 < result.met[0].value
    for dear in (joint_chained.Chain, joint_whole.Flow):
        monkeypatch.setattr(dear, "__init__", None)
    assert solve(problem, ["stocks", "pieces"], hurry=lambda: True).met == result.met


def test_breaks_alone_are_the_answer_where_they_meet_the_bound(monkeypatch):
    """Nothing dearer is run, and the positions are those of the breaks alone."""
    monkeypatch.setattr(joint_search.JointSearch, "better", None)
    monkeypatch.setattr(joint_floor.JointFloor, "sharper", None)
    line = track(40, 4, 10, cost=np.arange(41) % 7)
    problem = joint([line], [Stock(20, 1)])
    goals = ["stocks", "pieces", "worst", "total"]
    result = solve(problem, goals)
    assert values(result)[:2] == (2, 4)
    check(problem, goals, result)
    assert result.positions == breaks.solve([line], goals[1:]).positions


def test_one_problem_has_one_answer():
    """Solved twice, the result is the same in every part."""
    rng = np.random.default_rng(5)
    lines = [track(n, 4, 9, cost=rng.integers(0, 9, n + 1), allowed=rng.random(n + 1) > 0.2) for n in (31, 22, 27)]
    problem = joint(lines, [Stock(13, 1), Stock(17, 1)], [Charge("cost", (7, 9), 1)])
    goals = ["cost", "pieces", "worst", "different", "total", "spread"]
    first = solve(problem, goals)
    check(problem, goals, first)
    assert solve(problem, goals) == first


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"heights": (0,)}, "heights must be at least 1"),
        ({"heights": (1, 1)}, "1 tracks need as many tables"),
        ({"lengths": (np.arange(4),)}, "lengths of track 0: 4 entries"),
        ({"last_lengths": (np.zeros(20, dtype=np.int64),)}, "last lengths of track 0 must be at least 1 and rise"),
        ({"charges": (Charge("stocks", (1, 2)),)}, "charge 'stocks' must stand once and price each of 1 stocks"),
        ({"charges": (STOCKS, STOCKS)}, "must stand once"),
    ],
)
def test_problems_that_make_no_sense_are_refused(change, words):
    """Tables, heights and charges are checked at birth."""
    problem = joint([track(10, 4, 6)], [Stock(9, 1)])
    with pytest.raises(ValueError, match=words):
        replace(problem, **change)


def test_negative_charges_and_unknown_goals_are_refused():
    """A charge is a price; a goal is a charge or one of the goals on breaks."""
    with pytest.raises(ValueError, match="must not be negative"):
        Charge("cost", (-1,))
    problem = joint([track(10, 4, 6)], [Stock(9, 1)])
    with pytest.raises(ValueError, match="goal 'weight' is not one of stocks, pieces"):
        solve(problem, ["weight"])
    with pytest.raises(ValueError, match="goal 'weight' is not one of stocks, pieces"):
        solve(problem, ["stocks"], most={"weight": 3})
