"""One pitch for all runs: how far each run's scallops must give at a pitch, and where all give little enough."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from layout.face.spans import Span, count_height
from layout.job.model import Job
from layout.metal.forms import build_profile

Intervals = list[tuple[float, float]]
"""pitches from … to …, mm, rising and apart"""


@dataclass(frozen=True)
class Together:
    """The pitch at which given counts fill all runs with the least worst share of take-up."""

    counts: tuple[int, ...]
    pitch: float
    worst: float
    """greatest take-up of any run as a share of the pitch, unsigned"""


class Pitches:
    """The runs whose scallops must give: what each holds at a pitch. The count line moves with the pitch."""

    def __init__(self, job: Job, spans: Sequence[Span]) -> None:
        self._job = job
        self.spans = tuple(spans)
        self._heights: dict[float, float] = {}

    def length(self, k: int, pitch: float) -> float:
        """Return a span's length at the count line of a scallop of this pitch, mm."""
        if pitch not in self._heights:
            profile = build_profile(self._job.scallop, self._job.metal.thickness, pitch)
            self._heights[pitch] = count_height(self._job, profile)
        return self.spans[k].length_at(self._heights[pitch])

    def held(self, k: int, pitch: float) -> float:
        """Return how many scallops of this pitch a span holds, not whole; it falls as the pitch rises."""
        return self.length(k, pitch) / pitch

    def together(self, low: float, high: float) -> Iterator[Together]:
        """Yield, for each set of counts that give least at some pitch of the range, its best pitch there.

        At every pitch the counts that give least are among them, so where none does, no counts do.
        """
        marks = sorted({low, high, *itertools.chain.from_iterable(self._changes(k, low, high) for k in self._each)})
        middles = [low] if low == high else [(a + b) / 2 for a, b in itertools.pairwise(marks)]
        seen = set[tuple[int, ...]]()
        for middle in middles:
            counts = tuple(least_giving(self.held(k, middle)) for k in self._each)
            if counts not in seen:
                seen.add(counts)
                yield self.least_worst(counts, low, high)

    def least_worst(self, counts: Sequence[int], low: float, high: float) -> Together:
        """Return the pitch of the range at which the run that must give most gives least.

        All shares fall as the pitch rises. So the greatest stretch falls, the greatest crowding rises, and
        the worse of the two is least where they are equal: where the extremes of the shares sum to 0.
        """

        def shares(pitch: float) -> list[float]:
            return [self.held(k, pitch) / count - 1 for k, count in enumerate(counts)]

        def lean(pitch: float) -> float:
            found = shares(pitch)
            return max(found) + min(found)

        if lean(low) <= 0:
            pitch = low
        elif lean(high) >= 0:
            pitch = high
        else:
            pitch = root(lean, low, high)
        return Together(tuple(counts), pitch, max(map(abs, shares(pitch))))

    def allowed(self, k: int, most: float, low: float, high: float) -> Intervals:
        """Return the pitches of the range at which a span takes whole scallops that give at most this share."""
        fewest, greatest = self.held(k, high), self.held(k, low)
        counts = range(max(1, math.floor(fewest / (1 + most))), math.ceil(greatest / (1 - most)) + 1)
        holds = [(n * (1 + most), n * (1 - most)) for n in counts]
        return merged(
            [
                (self._where(k, first, low, high), self._where(k, last, low, high))
                for first, last in holds
                if first >= fewest and last <= greatest
            ]
        )

    def all_allowed(self, which: Iterable[int], most: float, low: float, high: float) -> Intervals:
        """Return the pitches of the range at which all of these spans take whole scallops."""
        found: Intervals = [(low, high)]
        for k in which:
            found = meeting(found, self.allowed(k, most, low, high))
        return found

    @property
    def _each(self) -> range:
        return range(len(self.spans))

    def _where(self, k: int, held: float, low: float, high: float) -> float:
        """Return the pitch at which a span holds this many scallops, or the end of the range beyond it."""
        if self.held(k, low) <= held:
            return low
        if self.held(k, high) >= held:
            return high
        return root(lambda pitch: self.held(k, pitch) - held, low, high)

    def _changes(self, k: int, low: float, high: float) -> Iterator[float]:
        """Yield the pitches of the range at which the count that gives least changes."""
        fewest, most = self.held(k, high), self.held(k, low)
        for n in range(max(1, math.floor(fewest) - 1), math.ceil(most) + 1):
            if fewest < turning_point(n) < most:
                yield self._where(k, turning_point(n), low, high)


def turning_point(count: int) -> float:
    """Return how many scallops a run holds where `count` and one more must give the same share.

    x/n − 1 = 1 − x/(n + 1) at x = 2n(n + 1)/(2n + 1), a little under half way.

    >>> turning_point(1), turning_point(2)
    (1.3333333333333333, 2.4)
    """
    return 2 * count * (count + 1) / (2 * count + 1)


def least_giving(held: float) -> int:
    """Return the whole count whose scallops give the least share where a run holds this many.

    >>> least_giving(0.2), least_giving(2.39), least_giving(2.41), least_giving(100.49)
    (1, 2, 3, 100)
    """
    count = max(1, math.floor(held))
    return count + (held > turning_point(count))


def root(f: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function of the pitch passes through zero between two pitches of other signs."""
    from scipy.optimize import brentq  # noqa: PLC0415 - a quarter second that only pitch ranges need

    return float(brentq(f, low, high, xtol=1e-12, rtol=8.9e-16))


def merged(intervals: Intervals) -> Intervals:
    """Return intervals in order, those that touch made one.

    >>> merged([(5.0, 6.0), (1.0, 2.0), (1.5, 3.0)])
    [(1.0, 3.0), (5.0, 6.0)]
    """
    found: Intervals = []
    for low, high in sorted(intervals):
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def meeting(one: Intervals, other: Intervals) -> Intervals:
    """Return what two sets of intervals have in common; a single point counts.

    >>> meeting([(1.0, 3.0), (5.0, 6.0)], [(2.0, 5.0)])
    [(2.0, 3.0), (5.0, 5.0)]
    """
    pairs = [(max(a, c), min(b, d)) for a, b in one for c, d in other]
    return merged([(low, high) for low, high in pairs if low <= high])
