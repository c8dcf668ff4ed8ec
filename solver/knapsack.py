"""Fill one length with the most value: exact, in integers.

Keeps the list of undominated pairs of size and value (Nemhauser & Ullmann, Manage. Sci. 15, 1969), cut down by the
bound that the next best ratio of value to size fills the rest. Short lists are plain Python, long ones arrays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

SHORT = 96
"""pairs up to which plain lists are faster than arrays (measured)"""
WIDTH = 20_000
"""pairs kept at most (assumed); only lists of very many small items ever reach it"""
MOST_ARRAY = 2**60
"""values that may be added without leaving 64 bits"""


class State(NamedTuple):
    """A partial fill: room taken, value reached, and how it came about."""

    size: int
    value: int
    before: State | None = None
    item: int = -1
    copies: int = 0


EMPTY = State(0, 0)


@dataclass(frozen=True)
class Items:
    """What may be filled in, best ratio of value to size first, and the room for it."""

    order: tuple[int, ...]
    sizes: Sequence[int]
    values: Sequence[int]
    most: Sequence[int]
    room: int

    @classmethod
    def ranked(cls, sizes: Sequence[int], values: Sequence[int], most: Sequence[int], room: int) -> Items:
        """Leave out what has no value or does not fit, and rank the rest."""
        useful = [i for i in range(len(sizes)) if values[i] > 0 and most[i] > 0 and sizes[i] <= room]
        useful.sort(key=lambda i: (-values[i] / sizes[i], i))
        return cls(tuple(useful), sizes, values, most, room)

    @property
    def limit(self) -> int:
        """Return a value that no fill exceeds: the room at the best ratio."""
        if not self.order:
            return 0
        return self.values[self.order[0]] * self.room // self.sizes[self.order[0]]

    def greedy(self) -> State:
        """Fill in order, as many of each as fit."""
        state = EMPTY
        for item in self.order:
            copies = min(self.most[item], (self.room - state.size) // self.sizes[item])
            if copies:
                size, value = state.size + copies * self.sizes[item], state.value + copies * self.values[item]
                state = State(size, value, state, item, copies)
        return state

    def parts(self) -> Iterator[tuple[int, int, int]]:
        """Yield (item, copies, next item) for parts of each item; the next item is −1 at the end."""
        for rank, item in enumerate(self.order):
            after = self.order[rank + 1] if rank + 1 < len(self.order) else -1
            most = min(self.most[item], self.room // self.sizes[item])
            part = 1
            while most > 0:  # 1, 2, 4, … and the rest: every number up to the most is a sum of them
                copies = min(part, most)
                most -= copies
                part *= 2
                yield item, copies, item if most > 0 else after


def best_fill(
    sizes: Sequence[int], values: Sequence[int], most: Sequence[int], room: int, width: int = WIDTH
) -> tuple[int, tuple[int, ...]]:
    """Return the greatest value that fits, and how often each item is in it.

    Where more than `width` pairs would have to be kept, it is a good fill rather than the best.

    Parameters
    ----------
    sizes, values, most
        size > 0, value and greatest number of each item
    room
        what the sizes may add up to

    Examples
    --------
    >>> best_fill([5, 4, 3], [10, 7, 5], [9, 9, 9], 11)
    (20, (2, 0, 0))
    >>> best_fill([5], [10], [9], 4)
    (0, (0,))
    """
    items = Items.ranked(sizes, values, most, room)
    state = _run(items, width, optimistic=False)
    counts = [0] * len(sizes)
    last: State | None = state
    while last is not None and last.before is not None:
        counts[last.item] += last.copies
        last = last.before
    return state.value, tuple(counts)


def most_value(sizes: Sequence[int], values: Sequence[int], most: Sequence[int], room: int, width: int = WIDTH) -> int:
    """Return a value that no fill exceeds: the greatest, unless more than `width` pairs would have to be kept.

    Then neighbouring pairs are taken as one, with the smaller size and the larger value.

    Examples
    --------
    >>> most_value([5, 4, 3], [10, 7, 5], [9, 9, 9], 11)
    20
    """
    return _run(Items.ranked(sizes, values, most, room), width, optimistic=True).value


def _run(items: Items, width: int, *, optimistic: bool) -> State:
    """Return the best state, by lists as long as they are short, then by arrays."""
    best = items.greedy()
    states = [EMPTY]
    arrays: _Arrays | None = None
    small = items.limit < MOST_ARRAY
    for item, copies, after in items.parts():
        if arrays is not None:
            arrays.add(item, copies)
            if arrays.top > best.value:
                best = arrays.best()
            if after < 0 or not arrays.prune(best.value, after):
                break
            continue
        states = _merged(states, copies * items.sizes[item], copies * items.values[item], items.room, (item, copies))
        best = max(best, states[-1], key=lambda state: state.value)
        if after < 0 or not (states := _pruned(states, best.value, items, after)):
            break
        if len(states) > min(SHORT, width):
            if small and width > SHORT:
                arrays = _Arrays.of(items, states, width, optimistic=optimistic)
            elif not optimistic and len(states) > width:
                states = states[:: -(-len(states) // width)]
    return best


def _merged(states: list[State], size: int, value: int, room: int, made: tuple[int, int]) -> list[State]:
    """Merge the states with themselves shifted by one part; both come and go sorted by size and value."""
    shifted = [State(s.size + size, s.value + value, s, *made) for s in states if s.size + size <= room]
    result: list[State] = []
    top = -1
    for state in sorted(states + shifted, key=lambda s: (s.size, -s.value)):
        if state.value > top:
            result.append(state)
            top = state.value
    return result


def _pruned(states: list[State], best: int, items: Items, after: int) -> list[State]:
    """Keep the states that can still beat the best with the ratio of the next item."""
    size, value, room = items.sizes[after], items.values[after], items.room
    return [s for s in states if (best - s.value) * size < (room - s.size) * value]


@dataclass
class _Arrays:
    """The list of pairs as two arrays; each merge notes where its pairs came from."""

    items: Items
    base: list[State]
    width: int
    optimistic: bool
    size: NDArray[np.int64]
    value: NDArray[np.int64]
    history: list[tuple[int, int, NDArray[np.int64]]] = field(default_factory=list)
    """for each merge: item, copies, and for each pair its place before, or ~place if the part was added"""

    @classmethod
    def of(cls, items: Items, states: list[State], width: int, *, optimistic: bool) -> _Arrays:
        """Go on from a list of states."""
        size = np.array([state.size for state in states], dtype=np.int64)
        value = np.array([state.value for state in states], dtype=np.int64)
        return cls(items, states, width, optimistic, size, value)

    @property
    def top(self) -> int:
        """Value of the best pair, which is the last."""
        return int(self.value[-1])

    def add(self, item: int, copies: int) -> None:
        """Merge the pairs with themselves shifted by one part."""
        size, value = copies * self.items.sizes[item], copies * self.items.values[item]
        fitting = int(np.searchsorted(self.size, self.items.room - size, side="right"))
        sizes = np.concatenate((self.size, self.size[:fitting] + size))
        values = np.concatenate((self.value, self.value[:fitting] + value))
        origin = np.concatenate((np.arange(self.size.size), ~np.arange(fitting)))
        order = np.argsort(sizes, kind="stable")
        values = values[order]
        kept = np.ones(values.size, dtype=np.bool_)
        kept[1:] = values[1:] > np.maximum.accumulate(values)[:-1]
        self._keep(sizes[order][kept], values[kept], origin[order][kept], (item, copies))

    def _keep(
        self,
        size: NDArray[np.int64],
        value: NDArray[np.int64],
        origin: NDArray[np.int64],
        made: tuple[int, int],
    ) -> None:
        """Keep pairs, no more than the width."""
        step = -(-size.size // self.width)
        if step > 1:
            ends = np.minimum(np.arange(0, size.size, step) + step, size.size) - 1
            size = size[::step] if self.optimistic else size[ends]
            value, origin = value[ends], origin[ends]
        self.size, self.value = size, value
        self.history.append((*made, origin))

    def prune(self, best: int, after: int) -> bool:
        """Keep the pairs that can still beat the best with the ratio of the next item; tell whether any are left."""
        size, value = self.items.sizes[after], self.items.values[after]
        reach = self.value + (self.items.room - self.size) * (value / size)
        kept = np.flatnonzero(reach > best * (1 - 1e-12))  # a little too many: floating point only prunes here
        if kept.size < self.size.size:
            self.size, self.value = self.size[kept], self.value[kept]
            item, copies, origin = self.history[-1]
            self.history[-1] = (item, copies, origin[kept])
        return bool(kept.size)

    def best(self) -> State:
        """Return the last pair as a state, its parts read back through the merges."""
        place = self.size.size - 1
        parts: list[tuple[int, int]] = []
        for item, copies, origin in reversed(self.history):
            before = int(origin[place])
            if before < 0:
                parts.append((item, copies))
            place = before if before >= 0 else ~before
        state = self.base[place]
        for item, copies in reversed(parts):
            size, value = copies * self.items.sizes[item], copies * self.items.values[item]
            state = State(state.size + size, state.value + value, state, item, copies)
        return state if not self.optimistic else state._replace(value=max(state.value, self.top))
