"""Breaks of lines and rings into pieces, under goals met exactly one after another."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from solver.answers import Breaks
from solver.capped import capped_sides, solve_courses
from solver.courses import course_of
from solver.floors import BreakFloor
from solver.goals import check_goals, meet
from solver.lengths import fewest_lengths
from solver.nets import net_of
from solver.problems import Track
from solver.sweeps import FAR, ROOM, Charges, Ints
from solver.ways import Way

__all__ = ["EFFORT", "GOALS", "BreakSearch", "Breaks", "solve"]

GOALS = ("pieces", "worst", "different", "total", "spread")
"""number of pieces · greatest cost of a chosen break · number of different lengths · sum of the costs ·
longest less shortest piece; each over all tracks together"""

SUMS = ("pieces", "total")
"""goals that add up along a track"""

EFFORT = 500_000_000
"""words of work after which a search among sets of lengths ends unproved: about half a second"""

SWEEP_WORK = 250
"""work of sweeping one position for a few lengths, in words (measured, rounded)"""

LEAST_SWEEP = 300_000
"""work of any sweep besides (measured, rounded)"""


def solve(
    tracks: Sequence[Track],
    goals: Sequence[str],
    *,
    most: Mapping[str, int] | None = None,
    effort: int = EFFORT,
    progress: Callable[[float], None] | None = None,
) -> Breaks:
    """Break the tracks so that the goals are met in the order given, each held while the next is met.

    A line's ends are chosen and charged nothing. Answers that exceed a value of `most`, by goal, are not considered;
    it need not be among the goals. Of equally good answers the one with the lowest positions is taken, track by track.
    All goals are proved but ``different``, which may end with a bound below its value when `effort` words of work do
    not do, and so may then the goals after it.

    Raises
    ------
    ValueError
        When there is no track, a goal is not one of `GOALS` or stands twice, or costs are too great to be
        summed in 60 bits.
    TooHardError
        When "different" is among `most`, and the effort does not do to find so few lengths or to rule them out.

    Examples
    --------
    >>> import numpy as np
    >>> cost = np.array([0, 9, 9, 1, 9, 9, 2, 9, 9, 0])
    >>> line = Track(9, False, 2, 4, cost, np.full(10, True))
    >>> answer = solve([line], ["pieces", "total"])
    >>> answer.positions, [(met.value, met.proved) for met in answer.met]
    (((0, 3, 6, 9),), [(3, True), (3, True)])
    >>> solve([line], ["total"]).positions, solve([line], ["total"], most={"pieces": 3}).positions
    (((0, 3, 6, 9),), ((0, 3, 6, 9),))
    >>> solve([Track(5, True, 3, 3, np.zeros(5, int), np.full(5, True))], ["pieces"]).positions is None
    True
    """
    if not tracks:
        raise ValueError("there is no track to break")
    goals, most = check_goals(goals, GOALS), dict(most or {})
    check_goals(tuple(most), GOALS)
    if "spread" not in goals:
        answer = _uncapped(tracks, goals, effort, progress)
        if answer.positions is None or _keeps(tracks, answer.positions, most):
            return answer
    elif not most:
        return _with_spread(tracks, goals, effort, progress)
    return solve_courses([course_of(track) for track in tracks], goals, most, effort, progress)


def _uncapped(
    tracks: Sequence[Track], goals: tuple[str, ...], effort: int, progress: Callable[[float], None] | None
) -> Breaks:
    search = BreakSearch(tracks, goals, effort)
    met = meet(search, BreakFloor(tracks, goals, effort), goals, progress)
    positions = None if met is None else search.lowest()
    return Breaks(positions, met or ()) if positions is not None else Breaks(None, ())


def _with_spread(
    tracks: Sequence[Track], goals: tuple[str, ...], effort: int, progress: Callable[[float], None] | None
) -> Breaks:
    """Meet the goals before the spread by the faster search, the others within what is then held."""
    head, tail = goals[: goals.index("spread")], goals[goals.index("spread") :]
    search, floor = BreakSearch(tracks, head, effort), BreakFloor(tracks, head, effort)
    met = meet(search, floor, head, _share(progress, 0, len(head) / len(goals)))
    if met is None:
        return Breaks(None, ())
    sides = capped_sides([course_of(track) for track in tracks], effort)
    for side, families in zip(sides, (search.families, floor.families), strict=True):
        for each in met:
            side.take_over(each.goal, each.value, families)
    rest = meet(*sides, tail, _share(progress, len(head) / len(goals), len(tail) / len(goals)))
    positions = None if rest is None else sides[0].lowest()
    return Breaks(None, ()) if positions is None or rest is None else Breaks(positions, (*met, *rest))


def _share(progress: Callable[[float], None] | None, done: float, part: float) -> Callable[[float], None] | None:
    """Tell progress of a part of the work as that of the whole."""
    return None if progress is None else lambda share: progress(done + share * part)


def _keeps(tracks: Sequence[Track], positions: Sequence[tuple[int, ...]], most: Mapping[str, int]) -> bool:
    """Tell whether an answer exceeds none of the values."""
    lengths, costs = [], [0]
    for track, chosen in zip(tracks, positions, strict=True):
        closing = (chosen[0] + track.size,) if track.closed else ()
        lengths += [end - start for start, end in pairwise((*chosen, *closing))]
        costs += [int(track.cost[p]) for p in (chosen if track.closed else chosen[1:-1])]
    values = {
        "pieces": len(lengths),
        "worst": max(costs),
        "different": len(set(lengths)),
        "total": sum(costs),
        "spread": max(lengths) - min(lengths),
    }
    return all(values[goal] <= value for goal, value in most.items())


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
