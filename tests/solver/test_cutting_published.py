"""Published cutting-stock problems, held to their known optima."""

from __future__ import annotations

from collections import Counter

from solver.cutting import cut
from solver.problems import Piece, Stock
from solver.verify_cutting import verify_cutting

ROLL_WIDTHS = (1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200)
ROLL_DEMANDS = (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20)
ROLL_OPTIMUM = 73
"""Wikipedia, "Cutting stock problem"; OR-Tools sample"""

T60_00 = (
    "36.6 26.8 36.6 43.0 26.3 30.7 41.4 28.7 29.9 49.5 25.1 25.4 47.4 25.2 27.4 37.0 26.9 36.1 47.3 25.2 27.5 47.2 "
    "25.9 26.9 44.4 25.8 29.8 43.9 27.3 28.8 44.5 27.2 28.3 41.9 26.1 32.0 36.3 27.1 36.6 35.5 27.3 37.2 46.6 26.2 "
    "27.2 35.7 29.2 35.1 39.5 25.5 35.0 35.0 30.3 34.7 45.0 25.2 29.8 41.0 27.5 31.5"
)
T60_00_OPTIMUM = 20
"""OR-Library binpack5, J. E. Beasley: Falkenauer's triplets, capacity 100.0"""


def first_fit_decreasing(sizes: list[int], capacity: int) -> int:
    """Count the bins of first-fit decreasing."""
    bins: list[int] = []
    for size in sorted(sizes, reverse=True):
        for k, left in enumerate(bins):
            if size <= left:
                bins[k] -= size
                break
        else:
            bins.append(capacity - size)
    return len(bins)


def proved_number(sizes: dict[int, int], capacity: int) -> int:
    """Cut sizes from stock one strip wide; the answer passes its check and is proved."""
    pieces = [Piece(size, 1, count) for size, count in sizes.items()]
    stocks = [Stock(capacity, 1)]
    result = cut(pieces, stocks, [[1]])
    assert verify_cutting(pieces, stocks, [[1]], result) == ()
    (met,) = result.met
    assert met.proved
    return met.value


def test_the_5600_roll_takes_73():
    """First-fit decreasing needs 82."""
    demands = dict(zip(ROLL_WIDTHS, ROLL_DEMANDS, strict=True))
    assert first_fit_decreasing(list(Counter(demands).elements()), 5600) == 82
    assert proved_number(demands, 5600) == ROLL_OPTIMUM


def test_falkenauer_t60_00_takes_20():
    """First-fit decreasing needs 23."""
    sizes = [round(10 * float(size)) for size in T60_00.split()]
    assert first_fit_decreasing(sizes, 1000) == 23
    assert proved_number(dict(Counter(sizes)), 1000) == T60_00_OPTIMUM
