"""A line walked end to end by arc length: segments one after another, closed or open."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property, reduce

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layout.outline.mitre import mitred, moved_start
from layout.outline.segment import Floats, Segment, extreme_curvature
from layout.outline.tolerances import JOINT_GAP, SAME_DISTANCE, SAME_PLACE, SAME_STATION, SMOOTH


@dataclass(frozen=True)
class Chain:
    """A line in plan, walked by arc length from station 0, the viewer on the right: smooth but for allowed corners.

    Lengths and stations are mm, headings radians anticlockwise from +x, curvatures 1/mm, left positive.
    Stations may be a number or an array of any shape; answers have that shape, points one axis of 2
    more. A closed line takes any station, round and round; an open line takes 0 to its length.

    Raises
    ------
    ValueError
        Where there is no segment, or two that follow each other do not meet, or not smoothly where they must.

    Examples
    --------
    >>> from layout.outline.curves import Arc
    >>> ring = Chain((Arc(0.0, 0.0, radius=100.0, start=0.0, sweep=2 * math.pi),), closed=True)
    >>> math.isclose(ring.parallel(10.0).length, ring.length + 2 * math.pi * 10)
    True
    >>> ring.point(50 * math.pi).round(9).tolist()
    [0.0, 100.0]
    >>> Chain((), closed=False)
    Traceback (most recent call last):
    ValueError: a line needs at least one segment
    """

    segments: tuple[Segment, ...]
    closed: bool
    cornered: bool = False
    """whether it may have sharp corners, in which its parallels meet in mitres"""

    def __post_init__(self) -> None:
        if not self.segments:
            raise ValueError("a line needs at least one segment")
        for station, gap, angle in self.breaks:
            if gap > JOINT_GAP or (abs(angle) > SMOOTH and not self.cornered):
                raise ValueError(f"the line breaks at {station}: gap {gap} mm, corner {angle} radians")

    # What it is.

    @cached_property
    def _starts(self) -> Floats:
        """Station of each segment's start, and the length: shape (segments + 1,)."""
        return np.concatenate([[0.0], np.cumsum([segment.length for segment in self.segments])])

    @cached_property
    def length(self) -> float:
        """Return the arc length, mm."""
        return float(self._starts[-1])

    @cached_property
    def turning(self) -> float:
        """Return θ = ∫κ ds over the whole line, corners apart, radians, left positive; ±2π on a smooth simple loop."""
        return math.fsum(segment.turning for segment in self.segments)

    @cached_property
    def turned(self) -> float:
        """Return the whole change of direction, radians, left positive, corners included."""
        return self.turning + math.fsum(corner for _, _, corner in self.breaks)

    @cached_property
    def joints(self) -> Floats:
        """Return the stations where segments meet, rising; 0 is one on a closed line."""
        return self._starts[0 if self.closed else 1 : -1]

    @cached_property
    def breaks(self) -> tuple[tuple[float, float, float], ...]:
        """Return for each joint: the station of the end that meets it, the gap in mm, the corner's angle."""
        pairs = zip(self.segments, self.segments[1:] + self.segments[:1], strict=True)
        found = [
            (float(end), *break_between(before, after))
            for end, (before, after) in zip(self._starts[1:], pairs, strict=True)
        ]
        return tuple(found if self.closed else found[:-1])

    @cached_property
    def _heading_lifts(self) -> tuple[float, ...]:
        """Full turns, in radians, to add to each segment's headings so that they go on from the last."""
        lifts = [0.0]
        for before, after in zip(self.segments, self.segments[1:], strict=False):
            jump = lifts[-1] + _end_heading(before) - _start_heading(after)
            lifts.append(math.tau * round(jump / math.tau))
        return tuple(lifts)

    @cached_property
    def smallest_radius(self) -> float:
        """Return the smallest radius of curvature, mm, unsigned; inf where the line is straight."""
        least, most = self.extreme_curvature(0.0, self.length)
        bend = max(abs(float(least)), abs(float(most)))
        return 1 / bend if bend > 0 else math.inf

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Return least x, least y, greatest x, greatest y of the line itself, mm."""
        level, plumb = self.point(self.aligned(0.0)), self.point(self.aligned(math.pi / 2))
        return (
            float(plumb[:, 0].min()),
            float(level[:, 1].min()),
            float(plumb[:, 0].max()),
            float(level[:, 1].max()),
        )

    # Walking it.

    def _laps(self, s: Floats) -> tuple[Floats, Floats]:
        """Split stations into whole laps and what is left, within [0, length]."""
        if self.closed:
            laps = np.floor(s / self.length)
            return laps, np.clip(s - laps * self.length, 0.0, self.length)
        if s.size and (s.min() < -SAME_STATION or s.max() > self.length + SAME_STATION or np.isnan(s).any()):
            raise ValueError(f"stations of this open line run from 0 to {self.length}")
        return np.zeros_like(s), np.clip(s, 0.0, self.length)

    def _parts(self, rest: Floats) -> Iterator[tuple[int, NDArray[np.intp], Floats]]:
        """Yield each segment's index with the places in `rest` that fall on it and their local stations."""
        owner = np.searchsorted(self._starts[1:-1], rest, side="right")
        for i in range(len(self.segments)) if rest.size else ():
            here = np.flatnonzero(owner == i)
            if here.size:
                yield i, here, np.clip(rest[here] - self._starts[i], 0.0, self.segments[i].length)

    def _ask(self, s: ArrayLike, question: Callable[[int, Floats], Floats], lap: float = 0.0) -> Floats:
        """Answer a question of one number per station, `lap` more with each whole lap."""
        stations = np.asarray(s, dtype=np.float64)
        laps, rest = self._laps(stations.ravel())
        answer = np.empty_like(rest)
        for i, here, local in self._parts(rest):
            answer[here] = question(i, local)
        return (answer + lap * laps).reshape(stations.shape)

    def point(self, s: ArrayLike) -> Floats:
        """Return the points at stations `s`, shape ``(…, 2)``."""
        stations = np.asarray(s, dtype=np.float64)
        _, rest = self._laps(stations.ravel())
        answer = np.empty((rest.size, 2))
        for i, here, local in self._parts(rest):
            answer[here] = self.segments[i].point(local)
        return answer.reshape((*stations.shape, 2))

    def heading(self, s: ArrayLike) -> Floats:
        """Return the directions of travel, radians, unwrapped: each lap adds its full turns."""
        turn = math.tau * round(self.turned / math.tau)
        return self._ask(s, lambda i, local: self.segments[i].heading(local) + self._heading_lifts[i], turn)

    def curvature(self, s: ArrayLike) -> Floats:
        """Return the signed curvatures; at a joint that of the segment that begins there."""
        return self._ask(s, lambda i, local: self.segments[i].curvature(local))

    def parallel(self, d: float) -> Chain:
        """Return the parallel `d` mm towards the viewer, longer by d·turning (Steiner), and by mitres at corners.

        Raises
        ------
        ValueError
            Where it folds, or a corner has no straight beside it that is long enough.
            `layout.outline.soundness.checked_parallel` says where in words.
        """
        parts = tuple(segment.parallel(d) for segment in self.segments)
        if self.cornered:
            parts = mitred(parts, [corner for _, _, corner in self.breaks], d)
        return Chain(parts, self.closed, self.cornered)

    def carry(self, s: ArrayLike, onto: Chain) -> Floats:
        """Return the stations of a parallel on the same normals as stations `s` of this line.

        At a corner that of the segment that begins there. What a mitre adds beyond it is on no normal: the
        nearest station, the corner's, stands for it.

        Parameters
        ----------
        s
            Stations, mm; on a closed line whole laps are carried as whole laps.
        onto
            A parallel of this line, or a line that this one is a parallel of.

        Examples
        --------
        >>> from layout.outline.curves import Arc
        >>> ring = Chain((Arc(0.0, 0.0, radius=100.0, start=0.0, sweep=2 * math.pi),), closed=True)
        >>> ring.carry([0.0, 30.0], onto=ring.parallel(50.0)).tolist()
        [0.0, 45.0]
        """
        if len(onto.segments) != len(self.segments) or onto.closed != self.closed:
            raise ValueError("stations are carried between parallels only")

        def across(i: int, local: Floats) -> Floats:
            there = onto.segments[i].station(self.segments[i].native(local))
            if self.cornered:
                there = there + moved_start(self.segments[i], onto.segments[i])
            return float(onto._starts[i]) + np.clip(there, 0.0, onto.segments[i].length)

        return self._ask(s, across, onto.length)

    # Asking about stretches and places.

    def extreme_curvature(self, s0: ArrayLike, s1: ArrayLike) -> tuple[Floats, Floats]:
        """Return the least and greatest signed curvature from stations `s0` to `s1`, ends included.

        At a joint both sides count. On a closed line s0 > s1 wraps past station 0, and s0 < 0 or
        s1 > length reach round; an open line ends where it ends.

        Parameters
        ----------
        s0, s1
            Stations, mm, of one shape (or broadcast to one).

        Raises
        ------
        ValueError
            On an open line where s0 > s1.
        """
        first, last = np.broadcast_arrays(np.asarray(s0, np.float64), np.asarray(s1, np.float64))
        start, end = self._stretch(first.ravel(), last.ravel())
        least, most = np.full_like(start, math.inf), np.full_like(start, -math.inf)
        for lap in (-self.length, 0.0, self.length) if self.closed else (0.0,):
            for segment, begin in zip(self.segments, self._starts[:-1] + lap, strict=False):
                lo, hi = start - begin, end - begin
                touched = np.flatnonzero((hi >= -SAME_STATION) & (lo <= segment.length + SAME_STATION))
                if not touched.size:
                    continue
                lo, hi = np.clip(lo[touched], 0.0, segment.length), np.clip(hi[touched], 0.0, segment.length)
                low, high = extreme_curvature(segment, lo, hi)
                least[touched] = np.minimum(least[touched], low)
                most[touched] = np.maximum(most[touched], high)
        return least.reshape(first.shape), most.reshape(first.shape)

    def _stretch(self, start: Floats, end: Floats) -> tuple[Floats, Floats]:
        """Bring intervals to a start within the first lap and at most one lap long."""
        if not self.closed:
            if (start > end).any():
                raise ValueError("a stretch of an open line must end after it starts")
            return np.clip(start, 0.0, self.length), np.clip(end, 0.0, self.length)
        span = np.where(end < start, np.mod(end - start, self.length), np.minimum(end - start, self.length))
        start = np.mod(start, self.length)
        return start, start + span

    def nearest(self, xy: tuple[float, float], within: float = SAME_DISTANCE) -> tuple[Floats, Floats]:
        """Return the stations of every nearest point to `xy`, and their distances; rising stations.

        Parameters
        ----------
        xy
            The point, mm.
        within
            Points whose distances differ by no more than this are equally near, mm.

        Returns
        -------
        stations, distances
            Shape ``(m,)`` each, m > 1 where several places are equally near. Round its centre a circle
            is as near everywhere: a few stations stand for all.
        """
        place = np.array(xy, dtype=np.float64)
        pairs = zip(self._starts[:-1], self.segments, strict=True)
        stations = np.sort(np.concatenate([start + segment.feet(place) for start, segment in pairs]))
        stations = np.clip(stations, 0.0, self.length)
        distances = np.linalg.norm(self.point(stations) - place, axis=1)
        kept: list[int] = []
        for i in np.argsort(distances, kind="stable"):
            if distances[i] > distances.min() + within:
                break
            if all(self._apart(stations[i], stations[j]) > SAME_PLACE for j in kept):
                kept.append(int(i))
        kept.sort(key=lambda i: float(stations[i]))
        return stations[kept], distances[kept]

    def _apart(self, a: float, b: float) -> float:
        """Distance along the line between two stations, the short way round a loop."""
        gap = abs(a - b)
        return min(gap, self.length - gap) if self.closed else gap

    def aligned(self, angle: float) -> Floats:
        """Return rising stations where the heading is `angle` or against it, with all joints and ends."""
        pairs = zip(self._starts[:-1], self.segments, strict=True)
        inner = [start + segment.aligned(angle) for start, segment in pairs]
        return np.unique(np.clip(np.concatenate([self._starts, *inner]), 0.0, self.length))

    # Making others of it.

    def started_at(self, s: float) -> Chain:
        """Return the same closed line with station 0 at station `s`, cut there where it must be.

        Raises
        ------
        ValueError
            On an open line: it starts at its end.
        """
        if not self.closed:
            raise ValueError("an open line starts at its left end")
        station = float(np.mod(s, self.length))
        i = int(np.searchsorted(self._starts[1:-1], station + SAME_STATION, side="right"))
        segment, local = self.segments[i], station - float(self._starts[i])
        if local <= SAME_STATION:
            return Chain(self.segments[i:] + self.segments[:i], closed=True, cornered=self.cornered)
        if local >= segment.length - SAME_STATION:
            return Chain(self.segments[i + 1 :] + self.segments[: i + 1], closed=True, cornered=self.cornered)
        tail, head = segment.cut(local, segment.length), segment.cut(0.0, local)
        round_again = (tail, *self.segments[i + 1 :], *self.segments[:i], head)
        return Chain(reduce(_linked, round_again, ()), closed=True, cornered=self.cornered)

    def reversed(self) -> Chain:
        """Return the same line walked the other way, from its end."""
        return Chain(tuple(part.reversed() for part in reversed(self.segments)), self.closed, self.cornered)

    def mesh(self, *, tolerance: float | None = None, step: float | None = None) -> Floats:
        """Return rising stations for drawing, all joints and both ends (0 and the length) included.

        Parameters
        ----------
        tolerance
            mm, most that a chord may leave the line; or
        step
            mm, longest stretch between two stations.
        """
        if (tolerance is None) == (step is None):
            raise ValueError("give either a tolerance or a step")
        meshes = [np.zeros(1)]
        for start, segment in zip(self._starts[:-1], self.segments, strict=True):
            if tolerance is not None:
                local = segment.mesh(tolerance)
            elif step is not None:
                local = np.linspace(0.0, segment.length, 1 + math.ceil(segment.length / step))
            meshes.append(start + local[1:])
        stations = np.concatenate(meshes)
        stations[-1] = self.length
        return stations

    def sample(self, *, tolerance: float | None = None, step: float | None = None) -> Floats:
        """Return the points of a polyline for drawing, shape (n, 2); a closed one ends where it starts."""
        return self.point(self.mesh(tolerance=tolerance, step=step))


def _start_heading(segment: Segment) -> float:
    return float(segment.heading(np.array(0.0)))


def _end_heading(segment: Segment) -> float:
    return float(segment.heading(np.array(segment.length)))


def break_between(before: Segment, after: Segment) -> tuple[float, float]:
    """Return the gap in mm and the corner in radians, left positive, where `after` follows `before`."""
    gap = math.dist(after.point(np.array(0.0)), before.point(np.array(before.length)))
    return gap, math.remainder(_start_heading(after) - _end_heading(before), math.tau)


def _linked(done: tuple[Segment, ...], after: Segment) -> tuple[Segment, ...]:
    """Append a segment, as one with the last where both are one curve."""
    whole = done[-1].joined(after) if done else None
    return (*done[:-1], whole) if whole is not None else (*done, after)
