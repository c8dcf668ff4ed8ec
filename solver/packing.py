"""Pack kinds into a given number of strips: quick rules, then a complete search that can also refute.

The search is bin completion (Martello & Toth, Knapsack Problems, 1990, ch. 8; Korf, AAAI 2003): the largest piece left
is given a strip, and that strip is filled in every way whose loss the remaining slack can bear. Loss is measured by
a price vector: what the strip could be worth at most, less what lies in it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from solver.prices import Worth
from solver.strips import Filled, Model

WIDEST = 400
"""ways of filling one strip that are looked at (assumed); past it the search cannot refute"""
LEVEL_WORK = 10
"""effort that one step of the search counts for, beside the pieces it looks at (measured)"""


@dataclass
class Effort:
    """Work left, in pieces put into strips by the searches: what stands in for time."""

    left: int

    def spend(self, work: int = 1) -> bool:
        """Take some work; tell whether it was still there."""
        self.left -= work
        return self.left >= 0


@dataclass(frozen=True)
class Verdict:
    """Whether a packing was found; without one, whether there is none."""

    filled: tuple[Filled, ...] | None
    refuted: bool = False


UNKNOWN = Verdict(None)
REFUTED = Verdict(None, True)


def first_fit(model: Model, numbers: Sequence[int], *, tightest: bool) -> tuple[Filled, ...] | None:
    """Pack the longest piece first, into the first (or the tightest) strip that takes it; None: some are left over.

    Parameters
    ----------
    numbers
        how many strips there are of each type; all kinds of one height
    """
    order = sorted(range(len(numbers)), key=lambda t: model.strips[t].run)
    open_strips = [(t, [0] * len(model.strips[t].kinds)) for t in order for _ in range(numbers[t])]
    room = [model.strips[t].run for t, _ in open_strips]
    places = [{k: i for i, k in enumerate(s.kinds)} for s in model.strips]
    for k in sorted(range(len(model.kinds)), key=lambda k: -model.kinds[k].length):
        for _ in range(model.kinds[k].demand):
            fitting = (
                i
                for i, (t, _) in enumerate(open_strips)
                if k in places[t] and model.strips[t].sizes[places[t][k]] <= room[i]
            )
            chosen = min(fitting, key=lambda i: (room[i], i), default=None) if tightest else next(fitting, None)
            if chosen is None:
                return None
            t, fill = open_strips[chosen]
            fill[places[t][k]] += 1
            room[chosen] -= model.strips[t].sizes[places[t][k]]
    return tuple(Filled(t, tuple(fill)) for t, fill in open_strips if any(fill))


@dataclass
class _State:
    """What is left to do: demand of each kind, strips of each type, loss that may still be made."""

    demand: list[int]
    numbers: list[int]
    slack: int

    def key(self) -> tuple[tuple[int, ...], tuple[int, ...]]:
        return tuple(self.demand), tuple(self.numbers)


@dataclass
class _Level:
    """One strip of the search: the fills to try, and the one in place."""

    fills: list[tuple[int, Filled]]
    key: tuple[tuple[int, ...], tuple[int, ...]]
    next: int = 0


@dataclass
class Completion:
    """Search for a packing of all kinds into numbers of strips."""

    model: Model
    worth: Worth
    effort: Effort
    dead: set[tuple[tuple[int, ...], tuple[int, ...]]] = field(default_factory=set)
    whole: bool = True
    """whether nothing was left out so far"""

    def run(self, numbers: Sequence[int]) -> Verdict:
        """Search; refuted only when every way has been seen."""
        slack = sum(n * w for n, w in zip(numbers, self.worth.strips, strict=True)) - self.worth.total
        if slack < 0:
            return REFUTED
        state = _State(list(self.model.demand), list(numbers), slack)
        levels = [self._level(state)]
        while levels:
            level = levels[-1]
            if level.next:
                self._change(state, level.fills[level.next - 1], +1)
            if level.next == len(level.fills):
                self.dead.add(level.key)
                levels.pop()
                continue
            if not self.effort.spend(LEVEL_WORK):
                return UNKNOWN
            self._change(state, level.fills[level.next], -1)
            level.next += 1
            if not any(state.demand):
                return Verdict(tuple(each.fills[each.next - 1][1] for each in levels))
            levels.append(self._level(state))
        return REFUTED if self.whole else UNKNOWN

    def _change(self, state: _State, choice: tuple[int, Filled], sign: int) -> None:
        """Put a filled strip in place (sign −1: demand falls) or take it out again."""
        loss, filled = choice
        state.slack += sign * loss
        state.numbers[filled.strip] += sign
        for k, copies in zip(self.model.strips[filled.strip].kinds, filled.fill, strict=True):
            state.demand[k] += sign * copies

    def _level(self, state: _State) -> _Level:
        """List the fills that hold the largest kind left, least loss first; none where the state is known to fail."""
        key = state.key()
        if key in self.dead:
            return _Level([], key)
        fills: list[tuple[int, Filled]] = []
        for t, number in enumerate(state.numbers):
            if number:
                fills += self._fills(state, t)
        fills.sort(key=lambda each: (each[0], each[1].strip, tuple(-c for c in each[1].fill)))
        return _Level(fills, key)

    def _fills(self, state: _State, t: int) -> list[tuple[int, Filled]]:
        """List the ways to fill a strip of one type with the largest kind left in it."""
        strip = self.model.strips[t]
        first = next(i for i, left in enumerate(state.demand) if left)
        if first not in strip.kinds:
            return []
        start = strip.kinds.index(first)
        prices = [self.worth.prices[k] for k in strip.kinds]
        caps = [state.demand[k] for k in strip.kinds]
        top = self.worth.strips[t]
        found: list[tuple[int, Filled]] = []
        ways = fills(strip.sizes, prices, caps, strip.run, top - state.slack, effort=self.effort, start=start)
        for value, fill in ways:
            found.append((top - value, Filled(t, fill)))
            if len(found) >= WIDEST:
                self.whole = False
                break
        self.whole = self.whole and self.effort.left >= 0
        return found


def fills(
    sizes: Sequence[int],
    prices: Sequence[int],
    caps: Sequence[int],
    room: int,
    least: int,
    *,
    effort: Effort | None = None,
    start: int | None = None,
) -> Iterator[tuple[int, tuple[int, ...]]]:
    """Yield (value, counts) of every maximal fill worth at least `least`; item `start`, if given, is in it.

    Maximal: nothing that is left would still fit. Items before `start` are taken as used up. Ends early where the
    effort runs out.

    Examples
    --------
    >>> list(fills([5, 3], [5, 3], [2, 9], 11, 0))
    [(10, (2, 0)), (11, (1, 2)), (9, (0, 3))]
    >>> list(fills([5, 3], [5, 3], [2, 9], 11, 11, start=0))
    [(11, (1, 2))]
    """
    items = [i for i in range(start or 0, len(sizes)) if caps[i]]
    fill = _Fill(sizes, prices, caps, items, least, effort or Effort(sys.maxsize))
    if start is None:
        yield from fill.extend(0, room, 0)
    elif sizes[start] <= room:
        fill.counts[start] = 1
        yield from fill.extend(0, room - sizes[start], prices[start])


@dataclass
class _Fill:
    """What stays the same while one strip is filled; `counts` is worked on."""

    sizes: Sequence[int]
    prices: Sequence[int]
    caps: Sequence[int]
    items: list[int]
    least: int
    effort: Effort
    counts: list[int] = field(init=False)
    by_size: list[int] = field(init=False)
    """items, smallest first"""
    ratios: list[tuple[int, int]] = field(init=False)
    """for each place in the items, the best (price, size) from there on"""

    def __post_init__(self) -> None:
        self.counts = [0] * len(self.sizes)
        self.by_size = sorted(self.items, key=lambda i: self.sizes[i])
        self.ratios = []
        price, size = 0, 1
        for i in reversed(self.items):
            if self.prices[i] * size > price * self.sizes[i]:
                price, size = self.prices[i], self.sizes[i]
            self.ratios.append((price, size))
        self.ratios.reverse()

    def extend(self, place: int, room: int, value: int) -> Iterator[tuple[int, tuple[int, ...]]]:
        """Yield the fill as it is, if nothing more fits, and every fill with more of the items from a place on."""
        if not self.effort.spend():
            return
        if value >= self.least and self._full(room):
            yield value, tuple(self.counts)
        for later in range(place, len(self.items)):
            price, size = self.ratios[later]
            if (value - self.least) * size + room * price < 0:
                return
            i = self.items[later]
            if self.sizes[i] <= room and self.counts[i] < self.caps[i]:
                self.counts[i] += 1
                yield from self.extend(later, room - self.sizes[i], value + self.prices[i])
                self.counts[i] -= 1

    def _full(self, room: int) -> bool:
        """Tell whether no item that is left fits."""
        smallest = next((i for i in self.by_size if self.counts[i] < self.caps[i]), None)
        return smallest is None or self.sizes[smallest] > room
