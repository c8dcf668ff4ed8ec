"""Exact cutting beside brute force on thousands of tiny random cases."""

from __future__ import annotations

import random
from functools import cache
from itertools import product

import pytest

from solver import enough, stock_numbers
from solver.cutting import cut
from solver.problems import Piece, Stock
from solver.verify_cutting import verify_cutting


def fits(items, run, breadth, kerf, longest):
    """Tell whether items (length, height), highest first, can be cut from one stock in strips along `run`."""
    if not items:
        return True
    first, others = items[0], items[1:]
    if first[1] > breadth:
        return False
    for chosen in product((False, True), repeat=len(others)):
        strip = [first, *(item for item, taken in zip(others, chosen, strict=True) if taken)]
        rest = tuple(item for item, taken in zip(others, chosen, strict=True) if not taken)
        if sum(length for length, _ in strip) + kerf * (len(strip) - 1) > run:
            continue
        if longest is not None and first[1] > longest and (len(strip) > 1 or first[0] < run):
            continue
        if fits(rest, run, breadth - first[1] - kerf, kerf, longest):
            return True
    return False


def fits_stock(items, stock):
    """Tell whether items can be cut from one stock, in any orientation it allows."""
    items = tuple(sorted(items, key=lambda item: (-item[1], -item[0])))
    for run, breadth, allowed in (
        (stock.length, stock.width, stock.along),
        (stock.width, stock.length, stock.across),
    ):
        if not allowed:
            continue
        if stock.longest_cut is not None and run > stock.longest_cut:
            whole = all(height == breadth for _, height in items)
            length = sum(item[0] for item in items) + stock.kerf * (len(items) - 1)
            crosscut = breadth <= stock.longest_cut or (len(items) == 1 and items[0][0] == run)
            if whole and length <= run and crosscut:
                return True
        elif fits(items, run, breadth, stock.kerf, stock.longest_cut):
            return True
    return False


def least(pieces, stocks, objectives):
    """Return the least values of the objectives, one after another, by trying everything; None: impossible."""
    demand = tuple(piece.demand for piece in pieces)
    weights = [tuple(row[s] for row in objectives) for s in range(len(stocks))]
    holds = []
    for stock in stocks:
        ways = []
        for counts in product(*(range(d + 1) for d in demand)):
            items = [(p.length, p.height) for p, n in zip(pieces, counts, strict=True) for _ in range(n)]
            if items and fits_stock(items, stock):
                ways.append(counts)
        holds.append(ways)

    @cache
    def best(left, on_hand):
        if not any(left):
            return (0,) * len(objectives)
        found = None
        for s, ways in enumerate(holds):
            if on_hand[s] == 0:
                continue
            after = on_hand if on_hand[s] is None else (*on_hand[:s], on_hand[s] - 1, *on_hand[s + 1 :])
            for counts in ways:
                if all(n <= d for n, d in zip(counts, left, strict=True)):
                    rest = best(tuple(d - n for n, d in zip(counts, left, strict=True)), after)
                    if rest is not None:
                        value = tuple(w + r for w, r in zip(weights[s], rest, strict=True))
                        found = value if found is None else min(found, value)
        return found

    return best(demand, tuple(stock.count for stock in stocks))


def random_case(rng, heights):
    """Draw a tiny case: at most six pieces in all, one to three stocks."""
    levels = [rng.randint(2, 6) for _ in range(heights)]
    pieces, total = [], 0
    while total < 6 and len(pieces) < 4 and (not pieces or rng.random() < 0.75):
        demand = rng.randint(0 if pieces else 1, min(3, 6 - total))
        pieces.append(Piece(rng.randint(2, 9), rng.choice(levels), demand))
        total += demand
    stocks = [random_stock(rng) for _ in range(rng.randint(1, 3))]
    objectives = [tuple(rng.randint(0, 5) for _ in stocks) for _ in range(rng.randint(1, 2))]
    return pieces, stocks, [*objectives, (1,) * len(stocks)]


def random_stock(rng):
    """Draw a small stock."""
    along = rng.random() < 0.8
    return Stock(
        rng.randint(5, 16),
        rng.randint(4, 13),
        count=rng.choice([None, None, 0, 1, 2, 3]),
        kerf=rng.choice([0, 0, 1, 2]),
        along=along,
        across=not along or rng.random() < 0.4,
        longest_cut=rng.choice([None, None, None, rng.randint(3, 16)]),
    )


@pytest.mark.parametrize("heights", [1, 2, 3])
@pytest.mark.parametrize("block", range(4))
def test_every_objective_is_met_as_brute_force_meets_it(heights, block):
    """250 tiny random cases a block: same values, proved, and found in order by the check."""
    rng = random.Random(1000 * heights + block)
    for _ in range(250):
        pieces, stocks, objectives = random_case(rng, heights)
        result = cut(pieces, stocks, objectives)
        expected = least(pieces, stocks, objectives)
        case = (pieces, stocks, objectives, result)
        assert verify_cutting(pieces, stocks, objectives, result) == (), case
        assert result.proved, case
        if expected is None:
            assert result.cuttings is None, case
        else:
            assert tuple(met.value for met in result.met) == expected, case


def test_the_programs_alone_meet_every_objective_too(monkeypatch):
    """Without rules and searches, 200 tiny cases are left to the linear and the integer programs."""
    monkeypatch.setattr(enough, "SHORT_SEARCH", 0)
    monkeypatch.setattr(stock_numbers, "GUIDED_SEARCH", 0)
    monkeypatch.setattr(enough.Enough, "by_rule", lambda _self, _numbers: enough.OPEN)
    rng = random.Random(4321)
    for _ in range(200):
        pieces, stocks, objectives = random_case(rng, rng.randint(1, 3))
        result = cut(pieces, stocks, objectives)
        expected = least(pieces, stocks, objectives)
        if expected is None:
            assert result.cuttings is None
            assert result.certain
        else:
            assert verify_cutting(pieces, stocks, objectives, result) == (), (pieces, stocks, objectives, result)
            assert tuple(met.value for met in result.met) == expected, (pieces, stocks, objectives, result)
            assert result.proved


@pytest.mark.parametrize("block", range(2))
def test_stock_said_to_be_short_is_the_fewest_that_would_do(block):
    """Adding the stock said to be short makes a case possible; adding one fewer in any way does not."""
    rng = random.Random(77 + block)
    seen = 0
    while seen < 25:
        pieces, stocks, objectives = random_case(rng, rng.randint(1, 2))
        result = cut(pieces, stocks, objectives)
        if not result.short:
            continue
        seen += 1
        assert least(pieces, with_more(stocks, result.short), objectives) is not None
        for more in product(range(sum(result.short)), repeat=len(stocks)):
            if sum(more) < sum(result.short):
                assert least(pieces, with_more(stocks, more), objectives) is None


def with_more(stocks, more):
    """Raise the counts of stocks."""
    return [
        Stock(
            s.length,
            s.width,
            None if s.count is None else s.count + n,
            s.kerf,
            s.along,
            s.across,
            s.longest_cut,
        )
        for s, n in zip(stocks, more, strict=True)
    ]
