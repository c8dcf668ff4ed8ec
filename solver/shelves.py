"""Fill stocks one after another by rule: the quick way to an answer where strips have several heights."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from solver.knapsack import best_fill
from solver.strips import Filled, Model, Used

WIDTH = 40
"""pairs kept while a strip is filled (assumed): the best fill of one strip is not yet the best of all"""


def fill_in_turn(
    model: Model, numbers: Sequence[int], values: Sequence[int], *, largest_first: bool, look_ahead: bool
) -> tuple[tuple[Used, ...], list[int]]:
    """Fill the given numbers of stocks, each with as much value as the rule finds; return them and what is left over.

    Parameters
    ----------
    values
        worth of each kind
    largest_first
        take the stocks with the most room first, else those with the least
    look_ahead
        divide a stock into strips by what all of them would be worth, else take the highest strip that fits
    """
    left = list(model.demand)
    used: list[Used] = []
    room = [max((_room(model, m) for m in model.modes_of(s)), default=0) for s in range(len(numbers))]
    order = sorted(range(len(numbers)), key=lambda s: (-room[s] if largest_first else room[s], s))
    for stock in order:
        for _ in range(numbers[stock]):
            if not any(left):
                return tuple(used), left
            tries = [_fill(model, m, left, values, look_ahead=look_ahead) for m in model.modes_of(stock)]
            best = max(tries, key=lambda each: _value(model, each, values), default=None)
            if best is not None and best.strips:
                used.append(best)
                _take(model, best.strips, left)
    return tuple(used), left


def value_rules(model: Model) -> Iterator[tuple[int, ...]]:
    """Yield values of the kinds, material first, then ever more for the large ones, which are hard to place."""
    area = [kind.length * kind.height for kind in model.kinds]
    top = max(area)
    for power in (0, 1, 3):
        yield tuple(max(1, round(10**6 * (a / top) * (1 + power * a / (4 * top)))) for a in area)
    long, high = max(k.length for k in model.kinds), max(k.height for k in model.kinds)
    yield tuple(max(1, round(10**6 * (k.length / long) * (k.height / high) ** 1.5)) for k in model.kinds)
    yield tuple(max(1, round(10**6 * (k.length / long) ** 1.5 * (k.height / high))) for k in model.kinds)


def _room(model: Model, mode: int) -> int:
    """Return the area of a mode, kerfs added."""
    return model.modes[mode].breadth * model.strips[model.modes[mode].strips[0]].run


def _value(model: Model, used: Used, values: Sequence[int]) -> int:
    """Add up the values in one filled stock."""
    return sum(
        count * values[k]
        for filled in used.strips
        for k, count in zip(model.strips[filled.strip].kinds, filled.fill, strict=True)
    )


def _take(model: Model, strips: Sequence[Filled], left: list[int]) -> None:
    """Take the pieces of some strips off the demand."""
    for filled in strips:
        for k, count in zip(model.strips[filled.strip].kinds, filled.fill, strict=True):
            left[k] -= count


def _fill(model: Model, m: int, left: Sequence[int], values: Sequence[int], *, look_ahead: bool) -> Used:
    """Fill one stock in one mode, strip by strip."""
    mode = model.modes[m]
    rest = list(left)
    room = mode.breadth
    strips: list[Filled] = []
    while True:
        found = [_best_strip(model, t, rest, values) for t in mode.strips]
        worth = [0 if need > room else value for need, (value, _) in zip(mode.needs, found, strict=True)]
        if not any(worth):
            return Used(m, tuple(strips))
        place = next(i for i, value in enumerate(worth) if value)
        if look_ahead and len(worth) > 1:
            layout = best_fill(mode.needs, worth, [room // need for need in mode.needs], room)[1]
            place = next(i for i, number in enumerate(layout) if number)
        strips.append(found[place][1])
        _take(model, strips[-1:], rest)
        room -= mode.needs[place]


def _best_strip(model: Model, t: int, left: Sequence[int], values: Sequence[int]) -> tuple[int, Filled]:
    """Fill a strip, pieces of its own height first, lower ones in what they leave; value 0 where it has none."""
    strip = model.strips[t]
    own = [left[k] if model.kinds[k].height == strip.height else 0 for k in strip.kinds]
    lower = [left[k] - o for k, o in zip(strip.kinds, own, strict=True)]
    prices = [values[k] for k in strip.kinds]
    value, fill = best_fill(strip.sizes, prices, own, strip.run, WIDTH)
    if not value:
        return 0, Filled(t, fill)
    room = strip.run - sum(size * count for size, count in zip(strip.sizes, fill, strict=True))
    extra, more = best_fill(strip.sizes, prices, lower, room, WIDTH)
    return value + extra, Filled(t, tuple(a + b for a, b in zip(fill, more, strict=True)))
