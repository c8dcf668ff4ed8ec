"""Every way to break tiny tracks and every way to cut the pieces, by plain enumeration; and random tiny problems."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import combinations, pairwise, product

import numpy as np

from solver.breaks import GOALS
from solver.problems import Charge, Joint, Stock, Track
from tests.solver.breaks_oracle import all_breaks, measure, tiny_track

Items = tuple[tuple[int, int], ...]


def gaps_of(problem: Joint, t: int, way: Sequence[int]) -> list[tuple[int, int]]:
    """List (length, height) of the rectangles of one track."""
    track = problem.tracks[t]
    ends = (*way, way[0] + track.size) if track.closed else tuple(way)
    steps = [b - a for a, b in pairwise(ends)]
    lengths = [int(problem.lengths[t][n]) if n < len(problem.lengths[t]) else 0 for n in steps]
    if not track.closed:
        lengths[-1] = int(problem.last_lengths[t][steps[-1]])
    return [(length, problem.heights[t]) for length in lengths]


def _one_strip(items: Items, run: int, kerf: int) -> bool:
    return sum(length + kerf for length, _ in items) - kerf <= run


def _holds(items: Items, run: int, breadth: int, kerf: int, longest: int | None) -> bool:
    """Tell whether items, highest first, come out of one stock by strips along `run`."""
    if not items:
        return True
    top, rest = items[0], items[1:]
    if top[1] > breadth:
        return False
    for number in range(len(rest) + 1):
        for chosen in combinations(range(len(rest)), number):
            strip = (top, *(rest[i] for i in chosen))
            left = tuple(item for i, item in enumerate(rest) if i not in chosen)
            if not _one_strip(strip, run, kerf):
                continue
            if longest is not None and top[1] > longest and (len(strip) > 1 or top[0] != run):
                continue
            if _holds(left, run, breadth - top[1] - kerf, kerf, longest):
                return True
    return False


def holds(items: Items, stock: Stock) -> bool:
    """Tell whether one stock gives all items."""
    for run, breadth, may in ((stock.length, stock.width, stock.along), (stock.width, stock.length, stock.across)):
        if not may:
            continue
        if stock.longest_cut is not None and run > stock.longest_cut:
            whole = all(height == breadth for _, height in items) and _one_strip(items, run, stock.kerf)
            if whole and (breadth <= stock.longest_cut or (len(items) == 1 and items[0][0] == run)):
                return True
        elif _holds(items, run, breadth, stock.kerf, stock.longest_cut):
            return True
    return False


class Packer:
    """All numbers of stocks that give some items, none of which can be lowered."""

    def __init__(self, stocks: Sequence[Stock]) -> None:
        self.stocks = tuple(stocks)
        self.one = cache(lambda items, s: holds(items, self.stocks[s]))
        self.numbers = cache(self._numbers)

    def _numbers(self, items: Items) -> frozenset[tuple[int, ...]]:
        if not items:
            return frozenset([(0,) * len(self.stocks)])
        found = set()
        first, rest = items[0], items[1:]
        for number in range(len(rest) + 1):
            for chosen in set(combinations(rest, number)):
                left = list(rest)
                for item in chosen:
                    left.remove(item)
                for s, stock in enumerate(self.stocks):
                    if not self.one((first, *chosen), s):
                        continue
                    for numbers in self.numbers(tuple(left)):
                        more = (*numbers[:s], numbers[s] + 1, *numbers[s + 1 :])
                        if stock.count is None or more[s] <= stock.count:
                            found.add(more)
        return frozenset(
            x for x in found if not any(y != x and all(a <= b for a, b in zip(y, x, strict=True)) for y in found)
        )


Ways = tuple[tuple[int, ...], ...]


def is_mirrored(track: Track, way: Sequence[int], mirror: int) -> bool:
    """Tell whether a way is the same on both sides of its axis."""
    other = {(mirror - p) % track.size if track.closed else mirror - p for p in way}
    return other == set(way)


def all_answers(problem: Joint, mirrors: Sequence[int] | None = None) -> Iterator[tuple[Ways, dict[str, int]]]:
    """Give every way to break, with every number of stocks that does and cannot be lowered, and its values."""
    packer = Packer(problem.stocks)
    for ways in product(*(all_breaks(track) for track in problem.tracks)):
        if mirrors is not None and not all(map(is_mirrored, problem.tracks, ways, mirrors)):
            continue
        fixed = {goal: measure(problem.tracks, ways, goal) for goal in GOALS}
        items = tuple(sorted(g for t, way in enumerate(ways) for g in gaps_of(problem, t, way)))[::-1]
        items = tuple(sorted(items, key=lambda item: (-item[1], -item[0])))
        for numbers in packer.numbers(items):
            charged = {
                charge.name: sum(map(int.__mul__, charge.stocks, numbers)) + charge.piece * len(items)
                for charge in problem.charges
            }
            yield tuple(tuple(map(int, way)) for way in ways), fixed | charged


def best_joint(
    problem: Joint, goals: Sequence[str], most: Mapping[str, int], mirrors: Sequence[int] | None = None
) -> tuple[int, ...] | None:
    """Return the least values of the goals, one after another, by trying everything; None: there is no answer."""
    return min(
        (
            tuple(values[goal] for goal in goals)
            for _, values in all_answers(problem, mirrors)
            if all(values[goal] <= value for goal, value in most.items())
        ),
        default=None,
    )


def tiny_joint(rng: np.random.Generator) -> Joint:
    """Draw one to three tiny tracks with their stocks and charges."""
    number = int(rng.choice([1, 1, 2, 3]))
    tracks = tuple(_breakable(rng, [0, 9, 6, 5][number]) for _ in range(number))
    kinds = int(rng.integers(1, 3))
    slopes = [(int(rng.integers(1, 5)), int(rng.integers(0, 3)), int(rng.integers(0, 4))) for _ in range(kinds)]
    heights = [int(rng.integers(2, 7)) for _ in range(kinds)]
    own = [int(rng.integers(0, kinds)) for _ in tracks]
    steps = np.arange(20)
    crooked = [np.cumsum(rng.integers(1, 5, 20)) for _ in range(kinds)]
    straight = bool(rng.random() < 0.7)
    lengths = tuple(
        slopes[k][0] * steps + slopes[k][1] + slopes[k][2] if straight else crooked[k] + slopes[k][2] for k in own
    )
    last = tuple(slopes[k][0] * steps + slopes[k][1] if straight else crooked[k] for k in own)
    last = tuple(np.maximum(each, steps) for each in last)
    biggest = max(int(t.largest * s[0]) for t in tracks for s in slopes)
    stocks = tuple(tiny_stock(rng, biggest) for _ in range(int(rng.integers(1, 3))))
    charges = [
        Charge(f"charge {i}", tuple(int(c) for c in rng.integers(0, 6, len(stocks))), int(rng.choice([0, 0, 1, 2])))
        for i in range(int(rng.integers(1, 3)))
    ]
    return Joint(tracks, lengths, last, tuple(heights[k] for k in own), stocks, tuple(charges))


def _breakable(rng: np.random.Generator, longest: int) -> Track:
    """Draw a tiny track that most often has a way."""
    for _ in range(4):
        track = tiny_track(rng, longest)
        if all_breaks(track):
            break
    return track


def tiny_stock(rng: np.random.Generator, biggest: int) -> Stock:
    """Draw a stock that takes a few pieces."""
    along = bool(rng.random() < 0.85)
    return Stock(
        int(rng.integers(3 * biggest // 4 + 2, 2 * biggest + 9)),
        int(rng.integers(5, 15)),
        count=[None, None, None, 1, 2, 3][int(rng.integers(0, 6))],
        kerf=int(rng.choice([0, 0, 1])),
        along=along,
        across=not along or bool(rng.random() < 0.3),
        longest_cut=None if rng.random() < 0.85 else int(rng.integers(4, 2 * biggest + 6)),
    )


def random_question(rng: np.random.Generator, problem: Joint) -> tuple[tuple[str, ...], dict[str, int]]:
    """Draw goals in any order, and now and then greatest values."""
    names = [charge.name for charge in problem.charges] + list(GOALS)
    goals = tuple(str(g) for g in rng.permutation(names)[: int(rng.integers(1, len(names) + 1))])
    most: dict[str, int] = {}
    if rng.random() < 0.25:
        name = str(rng.choice(names))
        most[name] = int(rng.integers(1, 8))
    return goals, most
