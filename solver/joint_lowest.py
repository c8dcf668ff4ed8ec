"""The lowest positions whose pieces are one of some listed mixes: always the nearest stop from which the rest can be.

Track by track; of a ring's positions one that ends sooner is lower.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.joint_mixes import NEVER, START, Ints, Listing

Positions = tuple[tuple[int, ...], ...]


def lowest_of(listing: Listing, chosen: Ints, total: int | None) -> Positions | None:
    """Return the lowest positions of a mix chosen by row of the table, with no greater total; None: there are none.

    Parameters
    ----------
    total
        what all breaks may cost; None: anything
    """
    walk = _Walk(listing, NEVER // 2 if total is None else total)
    return walk.lowest(chosen)


@dataclass(eq=False)
class _Walk:
    """The way back, which says what must still be paid, and the way there."""

    listing: Listing
    left: int
    """what the breaks that are still to come may cost"""

    def lowest(self, chosen: Ints) -> Positions | None:
        """Go back from the mixes chosen, then along the nearest stops."""
        listing = self.listing
        if not len(listing.table):
            return None
        rest = np.full(len(listing.table), NEVER, dtype=np.int64)
        rest[chosen] = 0
        tracks = len(listing.lanes)
        self.ends: dict[int, Ints] = {tracks: rest}
        self.dues: dict[int, dict[int, Ints]] = {}
        for t in reversed(range(tracks)):
            self.dues[t] = self._back(t, self.ends[t + 1])
            self.ends[t] = self._opened(t)
        if self.ends[0][0] > self.left:
            return None
        out: list[tuple[int, ...]] = []
        row = listing.entries[0][:1]
        for t in range(len(listing.lanes)):
            way, row = self._forth(t, row)
            out.append(way)
        return tuple(out)

    def _back(self, t: int, rest: Ints) -> dict[int, Ints]:
        """Return, by position, what each part of a mix has still to pay; `NEVER` where it leads to none."""
        listing = self.listing
        stretch = listing.stretches[t]
        dues: dict[int, Ints] = {}
        for at in sorted(listing.crowds[t], reverse=True):
            table = listing.crowds[t][at]
            least = np.full(len(table), NEVER, dtype=np.int64)
            for n, slot in listing.moves(stretch, at):
                grown = self._grown(table, slot)
                least = np.minimum(least, self._due(t, at + n, grown, dues, rest))
            dues[at] = np.minimum(least + int(stretch.cost[at]), NEVER)
        return dues

    def _grown(self, table: Ints, slot: int) -> Ints:
        out = table.copy()
        self.listing.add(out, slot)
        return out

    def _due(self, t: int, at: int, table: Ints, dues: dict[int, Ints], rest: Ints) -> Ints:
        """Return what mixes that end at a position have still to pay."""
        listing = self.listing
        stretch = listing.stretches[t]
        out = np.full(len(table), NEVER, dtype=np.int64)
        closed = stretch.lane.track.closed
        over = self._over(t, at, table)
        if over.any():
            ended = table[over].copy()
            ended[:, START] = 0
            out[over] = self._looked_up(listing.entries[t + 1], rest, ended)
        if at in dues and (closed or at < stretch.end):
            out[~over] = self._looked_up(listing.crowds[t][at], dues[at], table[~over])
        return out

    def _over(self, t: int, at: int, table: Ints) -> NDArray[np.bool_]:
        stretch = self.listing.stretches[t]
        if not stretch.lane.track.closed:
            return np.full(len(table), at == stretch.end)
        ends: Ints = np.array(stretch.starts, dtype=np.int64)[table[:, START]] + stretch.lane.size
        over: NDArray[np.bool_] = ends == at
        return over

    def _looked_up(self, table: Ints, values: Ints, wanted: Ints) -> Ints:
        """Return the values of wanted mixes in a table sorted by mark; `NEVER` where they are not in it."""
        columns = self.listing.columns
        out = np.full(len(wanted), NEVER, dtype=np.int64)
        if not len(table):
            return out
        marks, want = columns.marks(table), columns.marks(wanted)
        own = [START, *range(columns.words, columns.total)]
        at = np.searchsorted(marks, want)
        while True:  # mixes of one mark stand side by side; two of them are as good as never met
            near = np.minimum(at, len(table) - 1)
            alike = (at < len(table)) & (marks[near] == want)
            same = alike & np.all(table[near][:, own] == wanted[:, own], axis=1)
            out[same] = values[near[same]]
            at = at + (alike & ~same)
            if not np.any(alike & ~same):
                return out

    def _opened(self, t: int) -> Ints:
        """Return what the mixes that a track begins with have still to pay, by the cheapest opening."""
        listing = self.listing
        least = np.full(len(listing.entries[t]), NEVER, dtype=np.int64)
        for j, start in enumerate(listing.stretches[t].starts):
            least = np.minimum(least, self._begun(t, listing.entries[t], j, start))
        return least

    def _begun(self, t: int, table: Ints, j: int, start: int) -> Ints:
        begun = table.copy()
        begun[:, START] = j
        if start not in self.dues[t]:
            return np.full(len(table), NEVER, dtype=np.int64)
        return self._looked_up(self.listing.crowds[t][start], self.dues[t][start], begun)

    def _forth(self, t: int, row: Ints) -> tuple[tuple[int, ...], Ints]:
        """Walk one track; return its positions and the mix with which it ends."""
        listing = self.listing
        stretch = listing.stretches[t]
        start, row = next(
            (start, begun)
            for j, start in enumerate(stretch.starts)
            if self._begun(t, row, j, start)[0] <= self.left
            for begun in [_opened_at(row, j)]
        )
        way, at = [start], start
        closed = stretch.lane.track.closed
        while True:
            self.left -= int(stretch.cost[at])
            moves = listing.moves(stretch, at)
            ends = start + stretch.lane.size if closed else -1
            moves.sort(key=lambda move: at + move[0] != ends)
            n, row = next(
                (n, grown)
                for n, slot in moves
                for grown in [self._grown(row, slot)]
                if self._due(t, at + n, grown, self.dues[t], self.ends[t + 1])[0] <= self.left
            )
            at += n
            if self._over(t, at, row)[0]:
                break
            way.append(at)
        row[:, START] = 0
        return (tuple(p for p in way) if closed else (*way, at)), row


def _opened_at(row: Ints, j: int) -> Ints:
    begun = row.copy()
    begun[:, START] = j
    return begun
