"""Breaks of lines and rings into pieces, under goals met exactly one after another."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from solver.floors import BreakFloor
from solver.goals import check_goals, meet
from solver.lengths import fewest_lengths
from solver.nets import net_of
from solver.problems import Met, Track
from solver.sweeps import FAR, ROOM, Charges, Ints
from solver.ways import Way

GOALS = ("pieces", "worst", "different", "total")
"""number of pieces · greatest cost of a chosen break · number of different lengths · sum of the costs"""

SUMS = ("pieces", "total")
"""goals that add up along a track"""

EFFORT = 500_000_000
"""words of work after which a search among sets of lengths ends unproved: about half a second"""

SWEEP_WORK = 250
"""work of sweeping one position for a few lengths, in words (measured, rounded)"""

LEAST_SWEEP = 300_000
"""work of any sweep besides (measured, rounded)"""


@dataclass(frozen=True)
class Breaks:
    """Where the tracks are broken, and how well each goal was met."""

    positions: tuple[tuple[int, ...], ...] | None
    """of each track, rising; a line's with its two ends; None: there is no way to break them"""
    met: tuple[Met, ...]
    """in the order of the goals; empty where there is no way"""

    @property
    def proved(self) -> bool:
        """Whether every goal is met exactly."""
        return self.positions is not None and all(met.proved for met in self.met)


def solve(
    tracks: Sequence[Track],
    goals: Sequence[str],
    *,
    effort: int = EFFORT,
    progress: Callable[[float], None] | None = None,
) -> Breaks:
    """Break the tracks so that the goals are met in the order given, each held while the next is met.

    A line's ends are chosen and charged nothing. Of equally good answers the one with the lowest positions
    is taken, track by track. All goals are proved but ``different``, which may end with a bound below its
    value when `effort` words of work do not do, and so may then the goals after it.

    Raises
    ------
    ValueError
        When there is no track, a goal is not one of `GOALS` or stands twice, or costs are too great to be
        summed in 60 bits.

    Examples
    --------
    >>> import numpy as np
    >>> cost = np.array([0, 9, 9, 1, 9, 9, 2, 9, 9, 0])
    >>> line = Track(9, False, 2, 4, cost, np.full(10, True))
    >>> answer = solve([line], ["pieces", "total"])
    >>> answer.positions, [(met.value, met.proved) for met in answer.met]
    (((0, 3, 6, 9),), [(3, True), (3, True)])
    >>> solve([Track(5, True, 3, 3, np.zeros(5, int), np.full(5, True))], ["pieces"]).positions is None
    True
    """
    if not tracks:
        raise ValueError("there is no track to break")
    goals = check_goals(goals, GOALS)
    search = BreakSearch(tracks, goals, effort)
    met = meet(search, BreakFloor(tracks, goals, effort), goals, progress)
    positions = None if met is None else search.lowest()
    return Breaks(positions, met or ()) if positions is not None else Breaks(None, ())


@dataclass(frozen=True, eq=False)
class _Found:
    """The least values with one set of lengths."""

    lengths: frozenset[int] | None
    values: dict[str, int]
    ways: tuple[Way, ...]


class BreakSearch:
    """The search behind `solve`: what is held is the highest cost allowed and the sets of lengths left."""

    def __init__(self, tracks: Sequence[Track], goals: tuple[str, ...], effort: int) -> None:
        """Hold nothing yet."""
        self.tracks = tuple(tracks)
        self.goals = goals
        self.effort = effort
        self.ceiling: int | None = None
        self.families: tuple[frozenset[int] | None, ...] = (None,)
        self._held = 0
        self._found: list[_Found] = []
        self._asked: tuple[tuple[str, ...], bool] = ((), False)

    @cached_property
    def _levels(self) -> Ints:
        return np.unique(np.concatenate([[0], *(track.cost for track in self.tracks)]))

    def least(self, goal: str) -> int | None:
        """Return the least value found of `goal`; None: there is no answer."""
        if goal == "different":
            return self._fewest()
        if not self._found or goal not in self._found[0].values:
            self._find(*self._ahead())
        if not self._found:
            return None
        return min(found.values[goal] for found in self._found)

    def hold(self, goal: str, value: int) -> None:
        """Drop what does not keep `goal` at `value`."""
        self._held += 1
        if goal == "worst":
            self.ceiling = value
        if goal != "different":
            self._found = [found for found in self._found if found.values[goal] == value]
            self.families = tuple(found.lengths for found in self._found)
        if goal not in SUMS:
            self._found = []

    def lowest(self) -> tuple[tuple[int, ...], ...] | None:
        """Return the lowest positions among the answers that are left."""
        found = self._find(tuple(g for g in self.goals if g in SUMS), worst=False)
        out = []
        for index in range(len(self.tracks)):
            ways = [each.ways[index].lowest(each.ways[index].lowest_start) for each in found]
            if not ways:
                return None
            best = min(ways)
            found = [each for each, way in zip(found, ways, strict=True) if way == best]
            out.append(best)
        return tuple(out)

    def _ahead(self) -> tuple[tuple[str, ...], bool]:
        """Return the sums held and next in line, and whether the worst follows: one sweep finds them all."""
        end = self._held
        while end < len(self.goals) and self.goals[end] in SUMS:
            end += 1
        sums = tuple(goal for goal in self.goals[:end] if goal in SUMS)
        return sums, end < len(self.goals) and self.goals[end] == "worst"

    def _find(self, sums: tuple[str, ...], worst: bool) -> list[_Found]:
        """Find the best values with each set of lengths that is left."""
        if self._found and self._asked == (sums, worst):
            return self._found
        self._asked = sums, worst
        charges = [self._charges(track, sums, worst) for track in self.tracks]
        self._found = []
        for lengths in self._few_enough():
            pairs = zip(self.tracks, charges, strict=True)
            ways = tuple(Way(track, charge, lengths) for track, charge in pairs)
            if all(way.value is not None for way in ways):
                self._found.append(_Found(lengths, self._values(ways, sums, worst), ways))
        return self._found

    def _few_enough(self) -> Sequence[frozenset[int] | None]:
        """Return the sets of lengths left, or the longer ones where there are too many to try."""
        one = sum(LEAST_SWEEP + track.size * SWEEP_WORK for track in self.tracks)
        most = max(1, self.effort // one)
        if len(self.families) <= most:
            return self.families
        by_length = sorted(self.families, key=lambda lengths: (-sum(lengths or ()), sorted(lengths or ())))
        return by_length[:most]

    def _values(self, ways: Sequence[Way], sums: tuple[str, ...], worst: bool) -> dict[str, int]:
        values, levels = dict.fromkeys(sums, 0), [0]
        for way in ways:
            packed = way.value or 0
            levels.append(packed & ((1 << way.charges.bits) - 1) if worst else 0)
            packed >>= way.charges.bits
            for goal in reversed(sums):
                most = _most(way.track, goal) + 1 if goal != sums[0] else FAR
                values[goal] += packed % most
                packed //= most
        if worst:
            values["worst"] = int(self._levels[max(levels)])
        return values

    def _charges(self, track: Track, sums: tuple[str, ...], worst: bool) -> Charges:
        """Pack the sums, most important first, and the level of the cost into one charge a position."""
        cost, allowed = track.cost[: track.size].copy(), track.allowed[: track.size].copy()
        if not track.closed:
            cost[0], allowed[0] = 0, True
        if self.ceiling is not None:
            allowed &= cost <= self.ceiling
        bits = (len(self._levels) - 1).bit_length() if worst else 0
        room = 1 << bits
        step = np.zeros(track.size, dtype=np.int64)
        for goal in sums:
            room *= _most(track, goal) + 1
        if room >= ROOM:
            raise ValueError(f"costs up to {track.cost.max()} are too great to be summed exactly")
        for goal in sums:
            step = step * (_most(track, goal) + 1) + (cost if goal == "total" else 1)
        step = np.where(allowed, step << bits, FAR)
        return Charges(step, np.searchsorted(self._levels, cost) if worst else None, bits)

    def _fewest(self) -> int | None:
        """Find the sets of fewest lengths among the answers that are left."""
        found = self._find(tuple(goal for goal in self.goals[: self._held] if goal in SUMS), worst=False)
        if not found:
            return None
        fewest = fewest_lengths([net_of(way) for way in found[0].ways], self.effort)
        self.families = fewest.sets
        return len(fewest.sets[0])


def _most(track: Track, goal: str) -> int:
    """Bound a sum along a track from above."""
    pieces = max(1, track.size // track.smallest)
    return pieces if goal == "pieces" else pieces * int(track.cost.max())
