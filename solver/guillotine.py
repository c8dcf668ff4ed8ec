"""Cut one rectangle from edge to edge, again and again, in any number of stages: exact, for moderate sizes.

Three questions: the most value when every item may be cut any number of times (dynamic programme over the sums of
lengths, Gilmore & Gomory, Oper. Res. 14, 1966; Beasley, J. Oper. Res. Soc. 36, 1985), the most value when items are
limited (best-first joining of rectangles, Viswanathan & Bagchi, Oper. Res. 41, 1993), and whether given items fill the
rectangle without waste.
"""

from __future__ import annotations

import heapq
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Item:
    """A rectangle that is worth something."""

    length: int
    width: int
    value: int
    most: int | None = None
    """how often it may be cut; None: any number"""


@dataclass(frozen=True)
class Block:
    """A rectangle that is one item, or waste, or parts side by side."""

    length: int
    width: int
    item: int | None = None
    parts: tuple[Block, ...] = ()
    stacked: bool = False
    """whether the parts stand across the width; else they follow along the length"""

    def items(self) -> Iterator[int]:
        """Yield the items in it.

        Examples
        --------
        >>> list(Block(5, 2, parts=(Block(3, 2, 0), Block(2, 2, 1))).items())
        [0, 1]
        """
        if self.item is not None:
            yield self.item
        for part in self.parts:
            yield from part.items()


@dataclass(frozen=True)
class Best:
    """The most value, and a way to cut it."""

    value: int
    block: Block


def sums(sizes: Sequence[int], room: int) -> list[int]:
    """List 0 and every sum of the sizes, each used any number of times, up to and with the room.

    Examples
    --------
    >>> sums([3, 5], 10)
    [0, 3, 5, 6, 8, 9, 10]
    """
    reached = {0, room}
    front = {0}
    while front:
        front = {s + size for s in front for size in set(sizes) if s + size <= room} - reached
        reached |= front
    return sorted(reached)


def turned_too(items: Sequence[Item]) -> list[tuple[int, int, int, int]]:
    """List (index, length, width, value) of each item both ways round; a square only once."""
    both = [(i, item.length, item.width, item.value) for i, item in enumerate(items)]
    return both + [(i, width, length, value) for i, length, width, value in both if length != width]


def _ways(items: Sequence[Item], *, turn: bool) -> list[tuple[int, int, int, int]]:
    """List (index, length, width, value) of each item, turned as well where that is allowed."""
    return turned_too(items) if turn else [(i, t.length, t.width, t.value) for i, t in enumerate(items)]


class _Table:
    """Most value of every rectangle whose sides are sums of item sides; items without limit."""

    def __init__(self, items: Sequence[Item], length: int, width: int, *, turn: bool) -> None:
        self.ways = [w for w in _ways(items, turn=turn) if w[1] <= length and w[2] <= width]
        self.xs = sums([way[1] for way in self.ways], length)
        self.ys = sums([way[2] for way in self.ways], width)
        self.value = self._single()
        self._grow()

    def _single(self) -> NDArray[np.int64]:
        """Return the best single item that fits each rectangle."""
        table = np.zeros((len(self.xs), len(self.ys)), dtype=np.int64)
        for _, length, width, value in self.ways:
            i, j = bisect_right(self.xs, length - 1), bisect_right(self.ys, width - 1)
            np.maximum(table[i:, j:], value, out=table[i:, j:])
        return table

    def _grow(self) -> None:
        """Cut every rectangle in two, smallest first."""
        across = [self._pairs(self.ys, j) for j in range(len(self.ys))]
        for i in range(len(self.xs)):
            row = self.value[i]
            first, second = self._pairs(self.xs, i)
            if first.size:
                np.maximum(row, (self.value[first] + self.value[second]).max(axis=0), out=row)
            for j, (low, high) in enumerate(across):
                if low.size:
                    row[j] = max(row[j], (row[low] + row[high]).max())

    @staticmethod
    def _pairs(points: Sequence[int], place: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return the places of the two parts of each cut of one side; the first part is the smaller."""
        whole = points[place]
        first = [k for k in range(1, place) if 2 * points[k] <= whole]
        second = [bisect_right(points, whole - points[k]) - 1 for k in first]
        return np.array(first, dtype=np.int64), np.array(second, dtype=np.int64)

    def at(self, length: int, width: int) -> int:
        """Return the most value of any rectangle."""
        return int(self.value[bisect_right(self.xs, length) - 1, bisect_right(self.ys, width) - 1])

    def block(self, length: int, width: int) -> Block:
        """Return a way to cut a rectangle into its most value."""
        value = self.at(length, width)
        for item, own_length, own_width, worth in self.ways:
            if worth == value and own_length <= length and own_width <= width:
                return _with_waste(Block(own_length, own_width, item), length, width)
        for x in (x for x in self.xs[1:] if 2 * x <= length):
            if self.at(x, width) + self.at(length - x, width) == value:
                return Block(length, width, parts=(self.block(x, width), self.block(length - x, width)))
        for y in (y for y in self.ys[1:] if 2 * y <= width):
            if self.at(length, y) + self.at(length, width - y) == value:
                parts = (self.block(length, y), self.block(length, width - y))
                return Block(length, width, parts=parts, stacked=True)
        return Block(length, width)


def _with_waste(block: Block, length: int, width: int) -> Block:
    """Put a block in the corner of a larger rectangle."""
    if block.length < length:
        block = Block(length, block.width, parts=(block, Block(length - block.length, block.width)))
    if block.width < width:
        waste = Block(length, width - block.width)
        block = Block(length, width, parts=(block, waste), stacked=True)
    return block


def most_unlimited(items: Sequence[Item], length: int, width: int, *, turn: bool = False) -> Best:
    """Cut the most value out of one rectangle, each item any number of times.

    Parameters
    ----------
    turn
        whether items may be turned by a right angle

    Examples
    --------
    >>> most_unlimited([Item(3, 2, 7), Item(2, 2, 4)], 5, 4).value
    22
    >>> most_unlimited([Item(3, 2, 7)], 2, 4).value
    0
    """
    table = _Table(items, length, width, turn=turn)
    return Best(table.at(length, width), table.block(length, width))


@dataclass(frozen=True)
class _Build:
    """A rectangle joined from items, and how many of each are in it."""

    value: int
    counts: tuple[int, ...]
    block: Block


def most_limited(items: Sequence[Item], length: int, width: int, *, turn: bool = False) -> Best:
    """Cut the most value out of one rectangle, no item more often than its limit.

    Rectangles are joined, best first by what they could lead to: their own value, and the most that the rest of the
    rectangle holds without limits. What is joined is never larger than the whole, so the first that cannot be bettered
    is the answer.

    Examples
    --------
    >>> most_limited([Item(3, 2, 7, most=1), Item(2, 2, 4)], 5, 4).value
    19
    """
    rest = _Rest(_Table(items, length, width, turn=turn), length, width)
    best = _Build(0, (0,) * len(items), Block(length, width))
    seen: set[tuple[int, int, tuple[int, ...]]] = set()
    waiting: list[tuple[int, int, _Build]] = []
    joined: list[_Build] = []
    fresh = [
        _Build(value, tuple(int(i == k) for k in range(len(items))), Block(own, across, i))
        for i, own, across, value in rest.table.ways
        if items[i].most != 0
    ]
    while True:
        for build in fresh:
            key = (build.block.length, build.block.width, build.counts)
            reach = build.value + rest.at(build.block.length, build.block.width)
            if key not in seen and reach > best.value:
                seen.add(key)
                best = max(best, build, key=lambda b: b.value)
                heapq.heappush(waiting, (-reach, len(seen), build))
        if not waiting or -waiting[0][0] <= best.value:
            return Best(best.value, _with_waste(best.block, length, width))
        chosen = heapq.heappop(waiting)[2]
        joined.append(chosen)
        fresh = [made for other in joined for made in _joins(chosen, other, items, (length, width))]


def _joins(a: _Build, b: _Build, items: Sequence[Item], room: tuple[int, int]) -> Iterator[_Build]:
    """Yield two rectangles joined end to end and side by side, where limits and room allow."""
    counts = tuple(m + n for m, n in zip(a.counts, b.counts, strict=True))
    if any(item.most is not None and n > item.most for item, n in zip(items, counts, strict=True)):
        return
    for stacked in (False, True):
        if stacked:
            length, width = max(a.block.length, b.block.length), a.block.width + b.block.width
            parts = tuple(_with_waste(each.block, length, each.block.width) for each in (a, b))
        else:
            length, width = a.block.length + b.block.length, max(a.block.width, b.block.width)
            parts = tuple(_with_waste(each.block, each.block.length, width) for each in (a, b))
        if length <= room[0] and width <= room[1]:
            yield _Build(a.value + b.value, counts, Block(length, width, parts=parts, stacked=stacked))


class _Rest:
    """Most value, without limits, of what is left around a rectangle in the corner of the whole."""

    def __init__(self, table: _Table, length: int, width: int) -> None:
        self.table = table
        xs, ys = table.xs, table.ys
        self.value = np.zeros((len(xs), len(ys)), dtype=np.int64)
        for i in reversed(range(len(xs))):
            for j in reversed(range(len(ys))):
                ahead = (int(self.value[k, j]) + table.at(xs[k] - xs[i], ys[j]) for k in range(i + 1, len(xs)))
                above = (int(self.value[i, k]) + table.at(xs[i], ys[k] - ys[j]) for k in range(j + 1, len(ys)))
                self.value[i, j] = max(max(ahead, default=0), max(above, default=0))

    def at(self, length: int, width: int) -> int:
        """Return the most value around a rectangle."""
        i, j = bisect_right(self.table.xs, length) - 1, bisect_right(self.table.ys, width) - 1
        return int(self.value[i, j])


MOST_BLOCKS = 200_000
"""blocks without waste that are kept (assumed)"""


class TooManyBlocksError(Exception):
    """More blocks without waste than MOST_BLOCKS: whether the items fill the rectangle stays open."""


def fill_exactly(sizes: Sequence[tuple[int, int]], length: int, width: int, *, turn: bool = False) -> Block | None:
    """Fill a rectangle with all of the items, each once, without waste; None: they do not fill it.

    Every block without waste is joined from two such blocks along a side they share, so all of them are listed.

    Raises
    ------
    TooManyBlocksError
        When there are more blocks than MOST_BLOCKS.

    Examples
    --------
    >>> fill_exactly([(3, 2), (2, 2), (5, 1)], 5, 3).stacked
    True
    >>> fill_exactly([(3, 2), (2, 2), (1, 5)], 5, 3) is None
    True
    """
    if sum(a * b for a, b in sizes) != length * width:
        return None
    blocks = _Blocks(length, width, (1 << len(sizes)) - 1)
    for i, (a, b) in enumerate(sizes):
        blocks.add(1 << i, Block(a, b, i))
        if turn and a != b:
            blocks.add(1 << i, Block(b, a, i))
    return blocks.join()


class _Blocks:
    """All blocks without waste, found by joining what shares a side."""

    def __init__(self, length: int, width: int, everything: int) -> None:
        self.length, self.width, self.everything = length, width, everything
        self.found: dict[tuple[int, int, int], Block] = {}
        self.queue: list[tuple[int, Block]] = []
        self.by_length: dict[int, list[tuple[int, Block]]] = {}
        self.by_width: dict[int, list[tuple[int, Block]]] = {}

    def add(self, held: int, block: Block) -> None:
        """Note a block that holds a set of items (as bits), unless one of that size and set is known."""
        key = (held, block.length, block.width)
        if key not in self.found and block.length <= self.length and block.width <= self.width:
            if len(self.found) >= MOST_BLOCKS:
                raise TooManyBlocksError(f"more than {MOST_BLOCKS} blocks")
            self.found[key] = block
            self.queue.append((held, block))

    def join(self) -> Block | None:
        """Join blocks until one holds everything, or nothing new comes."""
        for held, block in self.queue:  # it grows while it is read
            for other, beside in self.by_width.get(block.width, ()):
                if not held & other:
                    joined = Block(block.length + beside.length, block.width, parts=(block, beside))
                    self.add(held | other, joined)
            for other, above in self.by_length.get(block.length, ()):
                if not held & other:
                    joined = Block(block.length, block.width + above.width, parts=(block, above), stacked=True)
                    self.add(held | other, joined)
            self.by_width.setdefault(block.width, []).append((held, block))
            self.by_length.setdefault(block.length, []).append((held, block))
        return self.found.get((self.everything, self.length, self.width))
