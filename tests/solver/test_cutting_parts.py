"""The parts of the cutting search, each beside brute force."""

from __future__ import annotations

import random
from itertools import product

import pytest

from solver import cover
from solver.cover import Cover, TooHardError, dot
from solver.knapsack import best_fill, most_value
from solver.packing import Completion, Effort, fills
from solver.prices import first_prices, more_prices, worth_of
from solver.problems import Piece, Stock
from solver.strips import build_model


def every_fill(sizes, most, room):
    """Yield every fill that fits."""
    for counts in product(*(range(n + 1) for n in most)):
        if dot(sizes, counts) <= room:
            yield counts


def random_fill(rng, number, size, value):
    """Draw sizes, values, limits and room."""
    sizes = [rng.randint(1, size) for _ in range(number)]
    values = [rng.randint(0, value) for _ in range(number)]
    return sizes, values, [rng.randint(0, 3) for _ in range(number)], rng.randint(0, 3 * size)


def test_best_fill_is_the_best_of_every_fill():
    """1 500 tiny cases; the counts fit and are worth the value."""
    rng = random.Random(1)
    for _ in range(1500):
        sizes, values, most, room = random_fill(rng, rng.randint(1, 5), 12, 20)
        value, counts = best_fill(sizes, values, most, room)
        assert value == max(dot(values, each) for each in every_fill(sizes, most, room))
        assert value == dot(values, counts)
        assert dot(sizes, counts) <= room
        assert all(count <= limit for count, limit in zip(counts, most, strict=True))
        assert most_value(sizes, values, most, room) == value


def table_value(sizes, values, most, room):
    """Return the greatest value by the plain table over all rooms."""
    table = [0] * (room + 1)
    for size, value, limit in zip(sizes, values, most, strict=True):
        for _ in range(limit):
            for at in range(room, size - 1, -1):
                table[at] = max(table[at], table[at - size] + value)
    return table[room]


@pytest.mark.parametrize("seed", range(8))
def test_long_lists_agree_with_the_table(seed):
    """Value nearly proportional to size, so that lists outgrow plain Python: arrays give the same."""
    rng = random.Random(seed)
    sizes = [rng.randint(200, 900) for _ in range(14)]
    values = [size * 10 + rng.randint(0, 9) for size in sizes]
    most = [rng.randint(1, 4) for _ in sizes]
    value, counts = best_fill(sizes, values, most, 5000)
    assert value == table_value(sizes, values, most, 5000) == dot(values, counts)
    assert most_value(sizes, values, most, 5000) == value


@pytest.mark.parametrize("width", [100, 300])
def test_narrow_lists_enclose_the_best_value(width):
    """Fewer pairs than needed: a fill that is real, and a bound that holds."""
    rng = random.Random(4)
    sizes = [rng.randint(200, 900) for _ in range(14)]
    values = [size * 10 + rng.randint(0, 9) for size in sizes]
    best = table_value(sizes, values, [3] * 14, 5000)
    value, counts = best_fill(sizes, values, [3] * 14, 5000, width)
    assert value == dot(values, counts) <= best <= most_value(sizes, values, [3] * 14, 5000, width)


def test_maximal_fills_are_listed_once_each():
    """400 tiny cases beside every fill to which nothing can be added."""
    rng = random.Random(2)
    for _ in range(400):
        sizes, values, most, room = random_fill(rng, rng.randint(1, 4), 9, 9)
        least = rng.randint(0, 30)
        expected = [
            counts
            for counts in every_fill(sizes, most, room)
            if dot(values, counts) >= least
            and not any(c < m and s <= room - dot(sizes, counts) for c, m, s in zip(counts, most, sizes, strict=True))
        ]
        assert sorted(counts for _, counts in fills(sizes, values, most, room, least)) == sorted(expected)


def random_cover(rng):
    """Draw bounds and refuted numbers on one to four stocks."""
    most = tuple(rng.randint(0, 4) for _ in range(rng.randint(1, 4)))
    bounds = [(tuple(rng.randint(0, 5) for _ in most), rng.randint(0, 25)) for _ in range(rng.randint(0, 3))]
    refuted = [tuple(rng.randint(0, m) for m in most) for _ in range(rng.randint(0, 3))]
    return Cover(most, bounds, refuted)


def test_least_numbers_are_the_least_of_all_numbers():
    """1 000 tiny cases beside every combination of numbers."""
    rng = random.Random(3)
    for _ in range(1000):
        drawn = random_cover(rng)
        rows = [tuple(rng.randint(0, 4) for _ in drawn.most) for _ in range(2)]
        allowed = [
            x
            for x in product(*(range(m + 1) for m in drawn.most))
            if all(dot(row, x) >= least for row, least in drawn.bounds)
            and not any(all(a <= b for a, b in zip(x, gone, strict=True)) for gone in drawn.refuted)
        ]
        found = drawn.least(rows)
        if not allowed:
            assert found is None
            continue
        assert found in allowed
        assert [dot(row, found) for row in rows] == min([dot(row, x) for row in rows] for x in allowed)
        assert drawn.floor(rows[0]) == dot(rows[0], found)


def test_a_search_that_gives_up_says_so(monkeypatch):
    """Past its nodes the least numbers stay open, and the floor falls back to a single bound."""
    drawn = Cover((9, 9, 9), [((3, 2, 4), 31), ((1, 4, 2), 30)])
    exact = drawn.floor((5, 4, 6))
    monkeypatch.setattr(cover, "NODES", 1)
    with pytest.raises(TooHardError):
        drawn.least([(5, 4, 6)])
    assert 0 < drawn.floor((5, 4, 6)) <= exact


def packs(sizes, rooms):
    """Tell whether sizes fit into rooms."""
    if not sizes:
        return True
    first, rest = sizes[0], sizes[1:]
    return any(
        packs(rest, [*rooms[:i], room - first, *rooms[i + 1 :]])
        for i, room in enumerate(rooms)
        if room >= first and room not in rooms[:i]
    )


def test_completion_packs_what_can_be_packed_and_refutes_the_rest():
    """600 tiny cases of two stocks beside brute force: never undecided, with any prices."""
    rng = random.Random(6)
    for _ in range(600):
        stocks = [Stock(rng.randint(6, 14), 1), Stock(rng.randint(6, 14), 1)]
        pieces = [Piece(rng.randint(1, 6), 1, rng.randint(1, 2)) for _ in range(rng.randint(1, 4))]
        model = build_model(pieces, stocks)
        numbers = [rng.randint(0, 2) for _ in model.strips]
        rooms = [strip.run for strip, n in zip(model.strips, numbers, strict=True) for _ in range(n)]
        expected = packs(sorted((p.length for p in pieces for _ in range(p.demand)), reverse=True), rooms)
        prices = rng.choice([[kind.length for kind in model.kinds], [rng.randint(0, 5) for _ in model.kinds]])
        verdict = Completion(model, worth_of(model, prices), Effort(10**6)).run(numbers)
        assert (verdict.filled is not None) == expected
        assert verdict.refuted == (not expected)


def test_completion_out_of_effort_is_undecided():
    """With no effort nothing is found and nothing refuted."""
    model = build_model([Piece(4, 1, 5), Piece(3, 1, 5)], [Stock(10, 1)])
    worth = worth_of(model, [4, 3])
    assert Completion(model, worth, Effort(0)).run([4]) == Completion(model, worth, Effort(0)).run([4])
    assert Completion(model, worth, Effort(0)).run([4]).filled is None
    assert not Completion(model, worth, Effort(0)).run([4]).refuted
    assert Completion(model, worth, Effort(1000)).run([4]).filled is not None


def test_no_prices_ask_for_more_than_one_stock_for_what_fits_on_one():
    """200 fillings of one stock: under every price vector its worth covers them."""
    rng = random.Random(8)
    for _ in range(200):
        stock = Stock(rng.randint(10, 30), rng.randint(10, 30), kerf=rng.randint(0, 2))
        pieces, room = [], stock.width
        while room >= 2:
            height = rng.randint(2, room)
            room -= height + stock.kerf
            left = stock.length
            while left >= 2:
                length = rng.randint(2, left)
                left -= length + stock.kerf
                pieces.append(Piece(length, rng.randint(1, height), 1))
        model = build_model(pieces, [stock])
        for prices in [*first_prices(model), *more_prices(model)]:
            assert worth_of(model, prices).lack([1]) <= 0
