"""Exact cutting: the rules of the pattern one by one, and properties."""

from __future__ import annotations

import random
import subprocess
import sys
from dataclasses import replace

import pytest

from solver.cutting import CutResult, cut
from solver.problems import Piece, Stock
from solver.verify_cutting import verify_cutting


def values(result: CutResult) -> list[int]:
    """Return the values met, all of them proved."""
    assert all(met.proved and met.bound == met.value for met in result.met)
    return [met.value for met in result.met]


def triplets(seed: int) -> list[Piece]:
    """Draw 60 pieces that fill 20 stocks of 1000 exactly, as Falkenauer did (J. Heuristics 2, 1996)."""
    rng = random.Random(seed)
    pieces = []
    for _ in range(20):
        first = rng.randint(380, 490)
        second = rng.randint(250, (1000 - first) // 2)
        pieces += [Piece(size, 1, 1) for size in (first, second, 1000 - first - second)]
    rng.shuffle(pieces)
    return pieces


@pytest.mark.parametrize("seed", range(6))
def test_triplets_that_fill_their_stocks_need_a_third_as_many(seed):
    """60 pieces, three a stock without waste."""
    assert values(cut(triplets(seed), [Stock(1000, 1)])) == [60 // 3]


@pytest.mark.parametrize(("length", "number"), [(30 * 3, 2), (30 * 3 - 1, 3)])
def test_lengths_fill_a_strip_to_the_last_unit(length, number):
    """Three pieces of 30 fit in 90 and not in 89."""
    assert values(cut([Piece(30, 10, 6)], [Stock(length, 10)])) == [number]


@pytest.mark.parametrize(("length", "number"), [(3 * 30 + 2 * 4, 2), (3 * 30 + 2 * 4 - 1, 3)])
def test_kerf_is_lost_between_pieces_only(length, number):
    """Three pieces of 30 lose two kerfs of 4."""
    assert values(cut([Piece(30, 10, 6)], [Stock(length, 10, kerf=4)])) == [number]


@pytest.mark.parametrize(("width", "number"), [(2 * 10 + 4, 3), (2 * 10 + 3, 6)])
def test_kerf_is_lost_between_strips_only(width, number):
    """Strips across = ⌊(width + kerf)/(height + kerf)⌋: two strips of 10 lose one kerf of 4."""
    assert values(cut([Piece(30, 10, 6)], [Stock(30, width, kerf=4)])) == [number]


def test_a_low_piece_is_trimmed_from_a_higher_strip():
    """One stock of 100 × 10: 60 × 10 and 40 × 6 share its only strip."""
    pieces = [Piece(60, 10, 1), Piece(40, 6, 1)]
    result = cut(pieces, [Stock(100, 10)])
    assert values(result) == [1]
    assert [(strip.height, strip.pieces, strip.starts) for strip in result.cuttings[0].strips] == [
        (10, (0, 1), (0, 60))
    ]


def test_strips_of_two_heights_share_a_stock():
    """Heights 6 and 4 fill 10; heights 6 and 5 do not."""
    assert values(cut([Piece(50, 6, 2), Piece(50, 4, 2)], [Stock(100, 10)])) == [1]
    assert values(cut([Piece(50, 6, 2), Piece(50, 5, 2)], [Stock(100, 10)])) == [2]


def test_pieces_are_not_turned_in_their_strip():
    """A piece of 8 × 20 does not fit 100 × 10 along it; across it, strips of 20 run the 10."""
    assert cut([Piece(8, 20, 4)], [Stock(100, 10)]).misfits == (0,)
    result = cut([Piece(8, 20, 4)], [Stock(100, 10, along=False, across=True)])
    assert values(result) == [1]
    assert result.cuttings[0].turned


def test_the_better_orientation_is_taken():
    """7 × 4 from 20 × 8: along 2 strips of 2 pieces; across 5 strips of 1."""
    pieces = [Piece(7, 4, 5)]
    assert values(cut(pieces, [Stock(20, 8)])) == [2]
    assert values(cut(pieces, [Stock(20, 8, across=True)])) == [1]


@pytest.mark.parametrize(("longest", "misfits"), [(100, ()), (99, (0,))])
def test_a_strip_cut_may_not_be_longer_than_the_longest(longest, misfits):
    """Strips of 10 from 25 need a cut of the whole 100."""
    assert cut([Piece(40, 10, 2)], [Stock(100, 25, longest_cut=longest)]).misfits == misfits


@pytest.mark.parametrize(("longest", "misfits"), [(25, ()), (24, (0,))])
def test_pieces_as_high_as_the_stock_need_crosscuts_only(longest, misfits):
    """Pieces of 25 from 100 × 25 need cuts of 25, not of 100."""
    assert cut([Piece(40, 25, 2)], [Stock(100, 25, longest_cut=longest)]).misfits == misfits


def test_a_piece_as_large_as_its_stock_needs_no_cut():
    """Whatever the longest cut, 100 × 25 comes out of 100 × 25."""
    assert values(cut([Piece(100, 25, 3)], [Stock(100, 25, longest_cut=1)])) == [3]


def test_no_low_piece_beside_where_trimming_is_too_long():
    """With strip cuts barred every piece must be as high as the stock."""
    assert cut([Piece(60, 25, 1), Piece(40, 24, 1)], [Stock(100, 25, longest_cut=50)]).misfits == (1,)


def test_the_cheapest_stocks_are_found_then_the_fewest():
    """8 pieces from stocks of 5, 3 and 4 at a price of 1 a piece: price 8, and two stocks are enough for that."""
    pieces, stocks = [Piece(1, 1, 8)], [Stock(5, 1), Stock(3, 1), Stock(4, 1)]
    result = cut(pieces, stocks, [(5, 3, 4), (1, 1, 1)])
    assert values(result) == [8, 2]


def test_objectives_are_met_in_order():
    """Price first takes three small stocks, number first one large."""
    pieces, stocks = [Piece(10, 10, 3)], [Stock(30, 10), Stock(10, 10)]
    assert values(cut(pieces, stocks, [(10, 3), (1, 1)])) == [9, 3]
    assert values(cut(pieces, stocks, [(1, 1), (10, 3)])) == [1, 10]


def test_remnants_that_cost_nothing_are_used_first_and_no_more_than_needed():
    """Two free remnants on hand hold two of three pieces; with one piece only one of them is used."""
    stocks = [Stock(30, 10), Stock(10, 10, count=2)]
    assert values(cut([Piece(10, 10, 3)], stocks, [(7, 0)])) == [7]
    result = cut([Piece(10, 10, 1)], stocks, [(7, 0)])
    assert values(result) == [0]
    assert [(cutting.stock, cutting.times) for cutting in result.cuttings] == [(1, 1)]


@pytest.mark.parametrize(("count", "short"), [(2, ()), (1, (1,)), (0, (2,))])
def test_stock_on_hand_that_runs_short_is_told(count, short):
    """Seven pieces, four a stock: two are needed."""
    assert cut([Piece(40, 10, 7)], [Stock(100, 25, count=count)]).short == short


def test_all_pieces_that_fit_no_stock_are_told():
    """Too long, too high, and neither; a piece wanted no times does not matter."""
    pieces = [Piece(101, 5, 1), Piece(100, 10, 1), Piece(5, 11, 2), Piece(200, 200, 0)]
    assert cut(pieces, [Stock(100, 10)]).misfits == (0, 2)


def test_nothing_wanted_needs_nothing():
    """No pieces, no stock, value 0."""
    result = cut([Piece(5, 5, 0)], [Stock(10, 10)])
    assert (result.cuttings, values(result)) == ((), [0])
    assert cut([], []).cuttings == ()


def test_no_objective_is_still_an_answer():
    """Without objectives the pieces are cut all the same."""
    pieces, stocks = [Piece(40, 10, 7)], [Stock(100, 25)]
    result = cut(pieces, stocks, [])
    assert result.met == ()
    assert verify_cutting(pieces, stocks, [], result) == ()


@pytest.mark.parametrize(
    ("pieces", "stocks", "objectives", "message"),
    [
        ([Piece(0, 5, 1)], [Stock(10, 10)], [(1,)], "piece 0: length and height"),
        ([Piece(5, 5, -1)], [Stock(10, 10)], [(1,)], "demand at least 0"),
        ([Piece(5, 5, 1)], [Stock(10, 0)], [(1,)], "stock 0: length and width"),
        ([Piece(5, 5, 1)], [Stock(10, 10, kerf=-1)], [(1,)], "kerf and count at least 0"),
        ([Piece(5, 5, 1)], [Stock(10, 10)], [(1,), (1, 1)], "objective 2 must have one weight"),
        ([Piece(5, 5, 1)], [Stock(10, 10)], [(-1,)], "objective 1 must have one weight ≥ 0"),
    ],
)
def test_numbers_out_of_range_are_refused(pieces, stocks, objectives, message):
    """What, which and why."""
    with pytest.raises(ValueError, match=message):
        cut(pieces, stocks, objectives)


def medium_case(seed):
    """Draw a job of the usual size: lengths in micrometres, several stocks, two or three heights."""
    rng = random.Random(seed)
    heights = [rng.randint(300, 1200) * 1000 for _ in range(rng.randint(1, 3))]
    stocks = [Stock(3_048_000, 1_219_200, kerf=3000 * (seed % 2)), Stock(2_438_400, 1_219_200, across=seed % 3 == 0)]
    pieces = [Piece(rng.randint(400_000, 2_400_000), rng.choice(heights), rng.randint(1, 6)) for _ in range(8)]
    return pieces, stocks, [(7150, 5800), (1, 1)]


@pytest.mark.parametrize("seed", range(12))
def test_jobs_of_the_usual_size_are_proved_and_pass_the_check(seed):
    """Eight lengths, up to three heights, two stocks, price then number."""
    pieces, stocks, objectives = medium_case(seed)
    result = cut(pieces, stocks, objectives)
    assert len(values(result)) == 2
    assert verify_cutting(pieces, stocks, objectives, result) == ()


@pytest.mark.parametrize("seed", range(5))
def test_scaling_all_lengths_changes_nothing(seed):
    """All lengths times 7: the same values."""
    pieces, stocks, objectives = medium_case(seed)
    bigger = [replace(p, length=7 * p.length, height=7 * p.height) for p in pieces]
    scaled = [replace(s, length=7 * s.length, width=7 * s.width, kerf=7 * s.kerf) for s in stocks]
    assert values(cut(bigger, scaled, objectives)) == values(cut(pieces, stocks, objectives))


@pytest.mark.parametrize("seed", range(5))
def test_order_of_pieces_and_split_demands_change_nothing(seed):
    """Pieces reversed, each demand split in ones: the same values."""
    pieces, stocks, objectives = medium_case(seed)
    single = [replace(piece, demand=1) for piece in reversed(pieces) for _ in range(piece.demand)]
    result = cut(single, stocks, objectives)
    assert values(result) == values(cut(pieces, stocks, objectives))
    assert verify_cutting(single, stocks, objectives, result) == ()


@pytest.mark.parametrize("seed", range(5))
def test_another_stock_never_makes_it_dearer(seed):
    """A third stock on offer can only lower the price; fewer on hand can only raise it."""
    pieces, stocks, objectives = medium_case(seed)
    price = values(cut(pieces, stocks, objectives[:1]))
    more = values(cut(pieces, [*stocks, Stock(3_657_600, 1_500_000)], [(7150, 5800, 9900)]))
    fewer = values(cut(pieces, [replace(stocks[0], count=2), stocks[1]], objectives[:1]))
    assert more <= price <= fewer


def test_the_same_job_has_the_same_answer_every_time():
    """Two runs agree to the last strip."""
    pieces, stocks, objectives = medium_case(3)
    assert cut(pieces, stocks, objectives) == cut(pieces, stocks, objectives)


def test_an_integer_program_that_answers_wrongly_is_not_believed():
    """One round of SCIP's presolving once gave two stocks here, with a piece missing: three are needed.

    The piece of 7 wanted twice leaves no room for the rest in two strips of 15, and 5 × 2 fits beside no strip of 4.
    """
    pieces, stocks = [Piece(5, 2, 3), Piece(7, 4, 2), Piece(2, 4, 1)], [Stock(15, 5)]
    result = cut(pieces, stocks)
    assert values(result) == [3]
    assert verify_cutting(pieces, stocks, [(1,)], result) == ()


def test_with_no_effort_the_answer_is_sound_and_says_that_it_is_not_proved():
    """An exhausted search still cuts everything; its bound stays below its value."""
    pieces, stocks = triplets(0), [Stock(1000, 1)]
    result = cut(pieces, stocks, effort=0)
    assert verify_cutting(pieces, stocks, [(1,)], result) == ()
    assert result.met[0].bound <= 60 // 3 <= result.met[0].value
    assert result.proved == (result.met[0].value == result.met[0].bound)


def test_progress_is_told():
    """The first word is about the first numbers asked about."""
    words: list[str] = []
    cut([Piece(40, 10, 7)], [Stock(100, 25)], progress=words.append)
    assert words == ["numbers (2,)"]


def test_an_easy_job_loads_no_solver():
    """Neither importing the module nor a job whose bound is met by a rule loads OR-Tools or SciPy."""
    code = (
        "import sys\n"
        "from solver.cutting import cut\n"
        "from solver.problems import Piece, Stock\n"
        "assert cut([Piece(40, 10, 7), Piece(30, 10, 9)], [Stock(100, 25)]).proved\n"
        "print([name for name in ('ortools', 'scipy') if name in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
