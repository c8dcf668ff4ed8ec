"""The net of all best ways along a track, and sets of lengths carried along it at once, one bit a set."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from solver.ways import Way

END = -1
"""stands for the end of a way among the heads of arcs"""


@dataclass(frozen=True)
class Net:
    """The best ways along a track from all starts at once: tails in rising order, and what leaves each.

    An arc is (head, length, starts), the starts whose ways use it given as the bits of an integer.
    """

    starts: tuple[int, ...]
    arcs: dict[int, tuple[tuple[int, int, int], ...]]

    @property
    def size(self) -> int:
        """Number of arcs."""
        return sum(len(arcs) for arcs in self.arcs.values())

    @property
    def lengths(self) -> set[int]:
        """Lengths of all arcs."""
        return {length for arcs in self.arcs.values() for _, length, _ in arcs}


def net_of(way: Way) -> Net:
    """Gather the arcs of all best ways along a track.

    A step is on one when the charge to go falls by just what the position charges.
    """
    starts = [p for p, value in zip(way.starts, way.values, strict=True) if value == way.value]
    to_go = np.stack([way.to_go(start) for start in starts], axis=1)
    behind = to_go - way.charges.step[:, None]
    lengths, size = np.array(way.inner, dtype=np.int64), way.track.size
    closes = behind == 0
    at_start = {start: 1 << index for index, start in enumerate(starts)}
    reached = [0] * size
    arcs: dict[int, tuple[tuple[int, int, int], ...]] = {}
    for at in range(size):
        here = reached[at] = reached[at] | at_start.get(at, 0)
        if not here:
            continue
        near = at + lengths
        near = near[: np.searchsorted(near, size)]
        rows = np.packbits(to_go[near] == behind[at], axis=1, bitorder="little")
        out = []
        for head, row in zip(near.tolist(), rows, strict=True):
            users = int.from_bytes(row.tobytes(), "little") & here
            if users:
                reached[head] |= users
                out.append((head, head - at, users))
        if closes[at].any():
            out += _ends(way, at, here, [p for p, c in zip(starts, closes[at], strict=True) if c], at_start)
        arcs[at] = tuple(out)
    return Net(tuple(starts), arcs)


def _ends(way: Way, at: int, here: int, starts: Sequence[int], bits: dict[int, int]) -> list[tuple[int, int, int]]:
    """Arcs that end the ways from `starts` that come to `at`."""
    spans = [(way.track.size - at + (start if way.track.closed else 0), bits[start]) for start in starts]
    return [(END, span, bit) for span, bit in spans if span in way.closing and bit & here]


def carried(net: Net, holders: dict[int, int], count: int) -> int:
    """Return which of `count` sets, as bits, hold all lengths of at least one way of the net.

    Each start has `count` bits of its own.
    """
    everything = (1 << count) - 1
    at = {start: everything << (index * count) for index, start in enumerate(net.starts)}
    done = 0
    spread: dict[tuple[int, int], int] = {}
    for tail, arcs in net.arcs.items():
        bits = at.pop(tail, 0)
        if not bits:
            continue
        for head, length, users in arcs:
            holds = spread.get((length, users))
            if holds is None:
                holds = spread[length, users] = _spread(holders[length], users, count)
            got = bits & holds
            if head == END:
                done |= got
            elif got:
                at[head] = at.get(head, 0) | got
    return _folded(done, len(net.starts), count)


def _spread(bits: int, users: int, count: int) -> int:
    """Repeat `count` bits for each start that is among the users."""
    out = 0
    for index in range(users.bit_length()):
        if users >> index & 1:
            out |= bits << (index * count)
    return out


def _folded(bits: int, starts: int, count: int) -> int:
    """Lay the bits of all starts over each other."""
    out, everything = 0, (1 << count) - 1
    for index in range(starts):
        out |= bits >> (index * count) & everything
    return out


def carried_by_all(nets: Sequence[Net], holders: dict[int, int], count: int) -> int:
    """Return which of `count` sets, as bits, hold all lengths of a best way along every track."""
    bits = (1 << count) - 1
    for net in nets:
        bits &= carried(net, holders, count)
    return bits


def members_of(sets: Sequence[Collection[int]], universe: Sequence[int]) -> dict[int, int]:
    """For each length, which of the sets hold it, as bits in their order.

    Examples
    --------
    >>> members_of([{7, 8}, {8, 9}], [7, 8, 9])
    {7: 1, 8: 3, 9: 2}
    """
    held = np.zeros((len(universe), len(sets)), dtype=np.bool_)
    row = {length: index for index, length in enumerate(universe)}
    rows = [row[length] for lengths in sets for length in lengths]
    held[rows, np.repeat(np.arange(len(sets)), [len(lengths) for lengths in sets])] = True
    packed = np.packbits(held, axis=1, bitorder="little")
    return {length: int.from_bytes(packed[index].tobytes(), "little") for length, index in row.items()}
