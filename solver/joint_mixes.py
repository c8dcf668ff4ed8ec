"""Every mix of pieces that ways along the tracks can give, listed exactly: what a mix is, its ways follow from.

A mix says how many pieces there are of each slot, that is of each number of steps and kind. Whether stocks give it, how
many pieces it has, how many different lengths and how far these are apart depend on the mix alone; what its breaks cost
at least is found on the way. So where the mixes within what is held are few, every goal is met by looking at them. They
are built up position by position; a part of a mix is dropped once the least that is still to come exceeds a limit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from solver.joint_kinds import Lane

Ints = NDArray[np.int64]

NEVER = 1 << 60
"""sum where there is no way"""
MOST_PIECES = 60
"""pieces of a mix; with more there are too many mixes in any case (assumed)"""
WORD = 62
"""bits used of a word"""
AT_ONCE = 400_000
"""parts of mixes that are looked at in one go: some 50 MB (assumed)"""
GLANCES = 5
"""parts of mixes that are seen to exceed a limit while one is written down (measured, rounded)"""
SEED = 20_261
"""of the factors by which equal mixes are found: any number, always the same"""


@dataclass(frozen=True)
class Within:
    """What a mix must keep; None: anything."""

    level: int | None = None
    """greatest price of a break"""
    pieces: int | None = None
    total: int | None = None
    different: int | None = None
    spread: int | None = None
    prices: tuple[tuple[tuple[int, ...], int], ...] = ()
    """price of a piece of each kind, and the most that a mix may come to"""


@dataclass(frozen=True, eq=False)
class Slots:
    """What a piece may be, and how a mix of them is written: counts in words, after flags of the numbers of steps."""

    steps: tuple[int, ...]
    kinds: tuple[int, ...]
    bits: int
    """of one count"""

    @cached_property
    def spans(self) -> tuple[int, ...]:
        """Return the different numbers of steps, rising."""
        return tuple(sorted(set(self.steps)))

    @cached_property
    def at(self) -> dict[tuple[int, int], int]:
        """Return the slot of (steps, kind)."""
        return {pair: i for i, pair in enumerate(zip(self.steps, self.kinds, strict=True))}

    @property
    def each(self) -> int:
        """Counts in a word."""
        return WORD // self.bits

    @property
    def words(self) -> int:
        """Words of the counts."""
        return -(-len(self.steps) // self.each)

    @property
    def flags(self) -> int:
        """Words of the flags."""
        return -(-len(self.spans) // WORD)

    def counts(self, words: Ints) -> Ints:
        """Read the counts, shape (mixes, slots)."""
        place = np.arange(len(self.steps))
        shift = (place % self.each) * self.bits
        found: Ints = (words[:, place // self.each] >> shift) & ((1 << self.bits) - 1)
        return found


def slots_of(lanes: Sequence[Lane], pieces: int) -> Slots:
    """Gather what pieces there may be in mixes of no more than so many."""
    pairs = sorted({pair for lane in lanes for pair in (*lane.kinds.items(), *lane.last_kinds.items())})
    return Slots(tuple(n for n, _ in pairs), tuple(k for _, k in pairs), max(1, pieces.bit_length()))


def most_pieces(lanes: Sequence[Lane]) -> int:
    """Return a number that no mix has more pieces than."""
    return sum(lane.size // max(1, min(lane.kinds, default=1)) + 1 for lane in lanes)


# columns of a table of mixes: where the ring was opened, shortest and longest piece, flags, counts, sums (the total,
# the number of pieces, prices)
START, LOW, HIGH, FIRST = 0, 1, 2, 3


@dataclass(frozen=True, eq=False)
class Columns:
    """Where a table of mixes has what."""

    slots: Slots
    prices: int

    @property
    def words(self) -> int:
        """First column of the counts."""
        return FIRST + self.slots.flags

    @property
    def total(self) -> int:
        """Column of the total; the number of pieces and the prices follow."""
        return self.words + self.slots.words

    @property
    def width(self) -> int:
        """Columns in all."""
        return self.total + 2 + self.prices

    @cached_property
    def factors(self) -> Ints:
        """Return odd factors of start and counts, whose sum tells most mixes apart."""
        rng = np.random.default_rng(SEED)
        return rng.integers(-(1 << 62), 1 << 62, self.slots.words + 1, dtype=np.int64) * 2 + 1

    def marks(self, table: Ints) -> Ints:
        """Return one figure for each mix, the same for the same mix."""
        found: Ints = table[:, START] * self.factors[-1]
        for w in range(self.slots.words):
            found = found + table[:, self.words + w] * self.factors[w]
        return found

    def merged(self, tables: Sequence[Ints]) -> Ints:
        """Put tables together, of equal mixes the one of least total, by rising mark."""
        table = np.concatenate(tables)
        marks = self.marks(table)
        order = np.lexsort((table[:, self.total], marks))
        table, marks = table[order], marks[order]
        own = table[:, [START, *range(self.words, self.total)]]
        fresh = np.ones(len(table), dtype=np.bool_)
        fresh[1:] = (marks[1:] != marks[:-1]) | np.any(own[1:] != own[:-1], axis=1)
        return table[fresh]

    def different(self, table: Ints) -> Ints:
        """Count the different numbers of steps of each mix."""
        flags = np.ascontiguousarray(table[:, FIRST : self.words])
        found: Ints = np.unpackbits(flags.view(np.uint8), axis=1).sum(axis=1, dtype=np.int64)
        return found


@dataclass(frozen=True, eq=False)
class Stretch:
    """One track unrolled from position 0: a ring goes on beyond its size as far as its last opening."""

    lane: Lane
    is_open: NDArray[np.bool_]
    cost: Ints
    starts: tuple[int, ...]
    """positions where it may be opened: a line at 0, a ring at the lowest break, of alike ones at 0 alone"""

    @property
    def end(self) -> int:
        """Last position."""
        return len(self.is_open) - 1


def stretch_of(lane: Lane, level: int | None) -> Stretch:
    """Unroll one track."""
    is_open, cost, size = lane.open(level), lane.cost, lane.size
    if not lane.track.closed:
        return Stretch(lane, is_open, cost, (0,))
    alike = bool(is_open.all()) and int(cost.min()) == int(cost.max())
    turn = 1 if alike else min(size, max(lane.kinds, default=1))
    around = np.arange(size + turn) % size
    starts = np.flatnonzero(is_open[:turn])
    return Stretch(lane, is_open[around], cost[around], tuple(starts.tolist()))


@dataclass(eq=False)
class Listing:
    """Lists the mixes of some tracks within limits, if the work does; `table` holds the whole ones."""

    lanes: Sequence[Lane]
    within: Within
    work: int
    """parts of mixes written down before it gives up"""
    hurry: Callable[[], bool] | None = None
    spent: int = 0
    full: bool = False
    """whether all were listed"""
    entries: list[Ints] = field(default_factory=list)
    """mixes of the tracks before each track, and of all at last"""
    crowds: list[dict[int, Ints]] = field(default_factory=list)
    """of each track, by position, the parts of mixes that end there"""

    def __post_init__(self) -> None:
        """List them."""
        most = most_pieces(self.lanes)
        most = most if self.within.pieces is None else min(most, max(0, self.within.pieces))
        self.columns = Columns(slots_of(self.lanes, most), len(self.within.prices))
        self.stretches = [stretch_of(lane, self.within.level) for lane in self.lanes]
        self.most = np.array(
            [
                NEVER // 2 if self.within.total is None else self.within.total,
                most,
                *(value for _, value in self.within.prices),
            ],
            dtype=np.int64,
        )
        self._begin()

    @property
    def table(self) -> Ints:
        """The whole mixes."""
        return self.entries[-1]

    def sums(self, table: Ints) -> Ints:
        """Total, number of pieces and sums of prices."""
        return table[:, self.columns.total :]

    def _begin(self) -> None:
        """Bound what is to come, then go along the tracks."""
        self.to_come: list[Ints] = []
        after = np.zeros(len(self.most), dtype=np.int64)
        for stretch in reversed(self.stretches):
            self.to_come.insert(0, self._to_come(stretch, after))
            opens = self.to_come[0][list(stretch.starts), np.arange(len(stretch.starts))]
            after = np.minimum(opens.min(axis=0, initial=NEVER), NEVER)
        self.least = after
        """no mix has a lesser total, fewer pieces or less under prices; `NEVER`: there is none"""
        self.entries = [np.zeros((1, self.columns.width), dtype=np.int64)]
        self.entries[0][0, LOW] = NEVER
        if np.any(after > self.most):
            self.entries, self.full = [self.entries[0][:0]], True
            return
        if int(after[1]) > MOST_PIECES:
            return
        for t in range(len(self.lanes)):
            if not self._along(t):
                return
        self.full = True

    def moves(self, stretch: Stretch, at: int) -> list[tuple[int, int]]:
        """List (steps, slot) of the pieces that may start at a position, steps rising."""
        lane, slots = stretch.lane, self.columns.slots
        out = [(n, slots.at[n, k]) for n, k in lane.kinds.items() if at + n < stretch.end + lane.track.closed]
        if not lane.track.closed:
            n = stretch.end - at
            out += [(n, slots.at[n, lane.last_kinds[n]])] if n in lane.last_kinds else []
        return [(n, slot) for n, slot in out if stretch.is_open[at + n]]

    @cached_property
    def _charges(self) -> Ints:
        """Charges of a piece by slot: nothing, one piece, its prices."""
        kinds = list(self.columns.slots.kinds)
        rows: list[Ints] = [np.zeros(len(kinds), dtype=np.int64), np.ones(len(kinds), dtype=np.int64)]
        rows += [np.array(prices, dtype=np.int64)[kinds] for prices, _ in self.within.prices]
        return np.array(rows, dtype=np.int64).T

    def _to_come(self, stretch: Stretch, after: Ints) -> Ints:
        """Return the least sums still to come, shape (positions, starts, sums)."""
        number = len(stretch.starts)
        out = np.full((stretch.end + 1, number, len(self.most)), NEVER, dtype=np.int64)
        ends = [stretch.end] if not stretch.lane.track.closed else [s + stretch.lane.size for s in stretch.starts]
        out[ends, np.arange(number)] = after
        closing = set(ends)
        for at in np.flatnonzero(stretch.is_open[:-1])[::-1].tolist():
            moves = self.moves(stretch, at)
            if not moves:
                continue
            steps, own = (np.array(each) for each in zip(*moves, strict=True))
            found = (out[at + steps] + self._charges[own][:, None]).min(axis=0)
            found[:, 0] += int(stretch.cost[at])
            found = np.minimum(found, NEVER)
            if at in closing:
                found = np.minimum(found, out[at])
            out[at] = found
        return out

    def _along(self, t: int) -> bool:
        """Go along one track; tell whether the work did."""
        stretch, columns = self.stretches[t], self.columns
        closed, size = stretch.lane.track.closed, stretch.lane.size
        waiting: dict[int, list[Ints]] = {}
        for j, start in enumerate(stretch.starts):
            begun = self.entries[t].copy()
            begun[:, START] = j
            waiting.setdefault(start, []).append(begun)
        crowd: dict[int, Ints] = {}
        starts = np.array(stretch.starts, dtype=np.int64)
        done: list[Ints] = []
        for at in np.flatnonzero(stretch.is_open).tolist():
            if at not in waiting:
                continue
            table = columns.merged(waiting.pop(at))
            over = starts[table[:, START]] + size == at if closed else np.full(len(table), at == stretch.end)
            if over.any():
                ended = table[over].copy()
                ended[:, START] = 0
                done.append(ended)
                table = table[~over]
            if len(table) and at < stretch.end:
                crowd[at] = table
                if not self._spread(t, at, table, waiting):
                    return False
        self.crowds.append(crowd)
        self.entries.append(columns.merged(done) if done else self.entries[t][:0])
        return True

    def _spread(self, t: int, at: int, table: Ints, waiting: dict[int, list[Ints]]) -> bool:
        """Add one piece to the mixes that end at a position."""
        moves = self.moves(self.stretches[t], at)
        if not moves:
            return True
        self.spent += len(table) * len(moves) // GLANCES
        if self.spent > self.work or (self.hurry is not None and self.hurry()):
            return False
        cost = int(self.stretches[t].cost[at])
        each = max(1, AT_ONCE // len(moves))
        for first in range(0, len(table), each):
            for n, found in self.grown(t, at, table[first : first + each], moves, cost):
                self.spent += len(found)
                waiting.setdefault(at + n, []).append(found)
        return True

    def grown(
        self, t: int, at: int, table: Ints, moves: Sequence[tuple[int, int]], cost: int
    ) -> Iterator[tuple[int, Ints]]:
        """Give (steps, mixes with one such piece more), of those that may still keep the limits."""
        steps, own = (np.array(each) for each in zip(*moves, strict=True))
        charges = self._charges[own]
        charges[:, 0] += cost
        kept = self._keeps(table, self.most - charges[:, None] - self.to_come[t][at + steps])
        for i, (n, slot) in enumerate(moves):
            rows = np.flatnonzero(kept[i])
            if not len(rows):
                continue
            out = table[rows]
            self.add(out, slot)
            out[:, self.columns.total :] += charges[i]
            if self.within.spread is not None:
                out = out[out[:, HIGH] - out[:, LOW] <= self.within.spread]
            if self.within.different is not None:
                out = out[self.columns.different(out) <= self.within.different]
            if len(out):
                yield n, out

    def _keeps(self, table: Ints, room: Ints) -> NDArray[np.bool_]:
        """Tell, for each move, which mixes have room for it: `room` is by move, opening and sum."""
        sums, start = self.sums(table), table[:, START]
        keep = np.ones((len(room), len(table)), dtype=np.bool_)
        for v in self._telling:
            keep &= sums[:, v] <= (room[:, :, v] if room.shape[1] == 1 else room[:, start, v])
        return keep

    @cached_property
    def _telling(self) -> list[int]:
        """Return the sums that have a limit."""
        return np.flatnonzero(self.most < NEVER // 2).tolist()

    def add(self, table: Ints, slot: int) -> None:
        """Write one piece into mixes."""
        columns, slots = self.columns, self.columns.slots
        flag = slots.spans.index(slots.steps[slot])
        table[:, LOW] = np.minimum(table[:, LOW], slots.steps[slot])
        table[:, HIGH] = np.maximum(table[:, HIGH], slots.steps[slot])
        table[:, FIRST + flag // WORD] |= 1 << (flag % WORD)
        table[:, columns.words + slot // slots.each] += 1 << (slot % slots.each * slots.bits)
