"""What no breaks can go below, goal by goal, from floods of the tracks; no value is seen before its bound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import NDArray

from solver.floods import NEVER, Flood, flood
from solver.problems import Track

FLOOD_WORK = 700
"""work of flooding one position for a few lengths, in words (measured, rounded)"""

LEAST_FLOOD = 300_000
"""work of any flood besides (measured, rounded)"""

HEAD_WORK = 12_000
"""work at one position when sets of lengths are carried back (measured, rounded)"""

SET_WORK = 1_000
"""work of listing one set (measured, rounded)"""

Key = tuple[int, ...]


class BreakFloor:
    """Bounds for `breaks.solve`: it holds the values it is told, and sets of lengths it found by itself."""

    def __init__(self, tracks: Sequence[Track], goals: tuple[str, ...], effort: int) -> None:
        """Hold nothing yet."""
        self.tracks = tuple(tracks)
        self.goals = goals
        self.effort = effort
        self.held: dict[str, int] = {}
        self.families: tuple[frozenset[int] | None, ...] = (None,)
        self._sets: tuple[frozenset[int], ...] | None = None
        self._known: tuple[tuple[str, ...], Key] | None = None

    @cached_property
    def _prices(self) -> NDArray[np.int64]:
        return np.unique(np.concatenate([[0], *(track.cost for track in self.tracks)]))

    def bound(self, goal: str) -> int:
        """Return what no answer that keeps what is held can go below."""
        if goal == "different":
            return self._fewest()
        names = self._names(goal)
        if self._known is None or self._known[0] != names:
            self._known = (names, self._lowest(names))
        key = self._known[1]
        if any(self.held.get(name, at) != at for name, at in zip(names[: names.index(goal)], key, strict=False)):
            return self._lowest((goal,))[0]
        return key[names.index(goal)]

    def hold(self, goal: str, value: int) -> None:
        """Keep only answers whose `goal` does not exceed `value`."""
        self.held[goal] = value
        if goal == "different":
            exact = self._sets is not None and len(self._sets[0]) == value
            self.families = (self._sets or (None,)) if exact else (None,)
        if goal in {"worst", "different"}:
            self._known = None

    def _names(self, goal: str) -> tuple[str, ...]:
        """Return the sums up to `goal` and those that follow at once, then the worst if it comes next."""
        at = self.goals.index(goal)
        names = [name for name in self.goals[:at] if name in {"pieces", "total"}]
        for name in self.goals[at:]:
            if name == "different":
                break
            names.append(name)
            if name == "worst":
                break
        return tuple(names)

    def _lowest(self, names: tuple[str, ...]) -> Key:
        """Return the least values of the goals named, lexicographically, over the sets of lengths left."""
        families = self.families
        one = sum(LEAST_FLOOD + track.size * FLOOD_WORK for track in self.tracks)
        if len(families) * one > self.effort:
            families = (None,)
        keys = [key for lengths in families if (key := self._key(names, lengths)) is not None]
        return min(keys, default=(0,) * len(names))

    def _key(self, names: tuple[str, ...], lengths: frozenset[int] | None) -> Key | None:
        keys = []
        for track in self.tracks:
            least = self._flood(track, names, lengths).least()
            if least is None:
                return None
            keys.append(self._unpacked(track, names, least))
        return tuple(
            max(key[at] for key in keys) if name == "worst" else sum(key[at] for key in keys)
            for at, name in enumerate(names)
        )

    def _flood(self, track: Track, names: tuple[str, ...], lengths: frozenset[int] | None) -> Flood:
        """Flood a track with the sums packed above the rank of the price."""
        price, is_open = track.cost.copy(), track.allowed.copy()
        if not track.closed:
            price[[0, -1]], is_open[[0, -1]] = 0, True
        if "worst" in self.held:
            is_open &= price <= self.held["worst"]
        fee = np.zeros(len(price), dtype=np.int64)
        for name in names:
            if name != "worst":
                fee = fee * _room(track, name) + (1 if name == "pieces" else price)
        peak = np.searchsorted(self._prices, price) if "worst" in names else price
        return flood(track, np.where(is_open, fee, NEVER), peak, self._bits(names), lengths)

    def _bits(self, names: tuple[str, ...]) -> int:
        return len(self._prices).bit_length() if "worst" in names else 0

    def _unpacked(self, track: Track, names: tuple[str, ...], packed: int) -> Key:
        bits = self._bits(names)
        out = [int(self._prices[packed & ((1 << bits) - 1)])] if bits else []
        rest = packed >> bits
        sums = [name for name in names if name != "worst"]
        for name in sums[:0:-1]:
            rest, part = divmod(rest, _room(track, name))
            out.insert(0, part)
        return (rest, *out) if sums else tuple(out)

    def _fewest(self) -> int:
        """Bound the number of different lengths: sets are carried back from the end, size after size."""
        self._sets = None
        names = tuple(name for name in self.held if name in {"pieces", "total"})
        floods = [self._flood(track, names, None) for track in self.tracks]
        found = [(each, each.least()) for each in floods]
        known = [(each, least) for each, least in found if each.holds and least is not None]
        if len(known) < len(floods):
            return 1
        keys = [self._unpacked(t, names, least) for t, (_, least) in zip(self.tracks, known, strict=True)]
        if names and any(sum(key[at] for key in keys) != self.held[name] for at, name in enumerate(names)):
            return 1
        steps = [_tight_steps(each, least) for each, least in known]
        return self._grow(steps)

    def _grow(self, steps: list[Steps]) -> int:
        work = self.effort
        lengths = sorted({int(n) for each in steps for arcs in each.into.values() for n in arcs.lengths})
        heads = sum(len(each.into) for each in steps)
        cells = sum(len(arcs.lengths) * len(each.starts) for each in steps for arcs in each.into.values())
        for count in range(1, len(lengths) + 1):
            sets = comb(len(lengths), count)
            work -= heads * HEAD_WORK + cells * sets // 32 + sets * SET_WORK
            if work < 0:
                return count
            listed = np.array(list(combinations(lengths, count)), dtype=np.int64)
            member = np.zeros((max(lengths) + 1, -(-sets // 8)), dtype=np.uint8)
            for n in lengths:
                member[n] = np.packbits((listed == n).any(axis=1))
            good = np.full(member.shape[1], 255, dtype=np.uint8)
            for each in steps:
                good &= each.carry(member)
            chosen = listed[np.unpackbits(good, count=sets).astype(np.bool_)]
            if len(chosen):
                self._sets = tuple(frozenset(row.tolist()) for row in chosen)
                return count
        return len(lengths)


@dataclass(frozen=True, eq=False)
class Arcs:
    """Arcs without slack into one head."""

    tails: NDArray[np.int64]
    lengths: NDArray[np.int64]
    use: NDArray[np.uint8]
    """255 for each start whose ways use the arc, shape (arcs, starts)"""


@dataclass(frozen=True, eq=False)
class Steps:
    """All arcs without slack that lead from starts to their ends, heads in falling order."""

    starts: list[int]
    ends: list[int]
    into: dict[int, Arcs]

    def carry(self, member: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """Return which sets, as packed bits, hold all lengths of a way from a start to its end.

        `member` tells for each length which sets hold it.
        """
        turn = len(member)
        ring = np.zeros((turn, len(self.starts), member.shape[1]), dtype=np.uint8)
        found = np.zeros(member.shape[1], dtype=np.uint8)
        for head in range(max(self.ends), min(self.starts) - 1, -1):
            here = ring[head % turn]
            if head in self.ends:
                here[self.ends.index(head)] = 255
            if head in self.starts:
                found |= here[self.starts.index(head)]
            arcs = self.into.get(head)
            if arcs is not None:
                good = here.copy()
                here[:] = 0
                ring[arcs.tails % turn] |= good & member[arcs.lengths][:, None, :] & arcs.use[:, :, None]
        return found


def _tight_steps(each: Flood, least: int) -> Steps:
    """Walk back from every end that is reached at the least figure along the arcs without slack.

    Any way whose charge equals its end's figure has no slack anywhere, so all of them are found.
    """
    columns = [c for c, end in enumerate(each.ends) if int(each.figures[end, c]) == least]
    starts, ends = [each.starts[c] for c in columns], [each.ends[c] for c in columns]
    figures = each.figures[:, columns]
    wanted = np.zeros(figures.shape, dtype=np.bool_)
    wanted[ends, np.arange(len(ends))] = True
    lengths = np.array(each.inner, dtype=np.int64)
    into = {}
    for head in range(max(ends), min(starts), -1):
        if not wanted[head].any():
            continue
        spans = np.array(each.closing, dtype=np.int64) if each.line and head == ends[0] else lengths
        spans = spans[spans <= head]
        before = figures[head - spans]
        tight = (each.toll.pay(before[None], head, head + 1)[0] == figures[head]) & (before < NEVER) & wanted[head]
        kept = tight.any(axis=1)
        tails = head - spans[kept]
        wanted[tails] |= tight[kept]
        into[head] = Arcs(tails, spans[kept], tight[kept].astype(np.uint8) * np.uint8(255))
    return Steps(starts, ends, into)


def _room(track: Track, name: str) -> int:
    """One more than a sum along the track can come to."""
    pieces = max(1, track.size // track.smallest)
    return 1 + (pieces if name == "pieces" else pieces * int(track.cost.max()))
