"""Outlines walked as dense polylines, from formulas of the check's own.

Every part of a line gives points and headings at a parameter 0…1. A parallel moves the points along
their normals; a length is the sum of chords, each made an arc by the turn between its ends (exact on
straights and arcs, fourth order on an ellipse); a curvature is a difference of headings over a length.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layout.job.model import OutlineSpec, Step, Straight

Floats = NDArray[np.float64]

NODES = 24_000
"""chords of a line, shared out over its parts by length"""

LEAST = 64
"""chords of a part, at least"""

SHARP = math.radians(0.1)
"""radians that a joint may turn before it is a corner"""

CLOSE = 1e-7
"""mm off a place at which its two sides are asked"""


@dataclass(frozen=True)
class Part:
    """One smooth part of a line: `curve` gives x, y and heading, shape (3, n), at parameters (n,)."""

    curve: Callable[[Floats], Floats]
    length: float
    """mm, rough: it only shares out the chords"""

    def backwards(self) -> Part:
        """Return the part walked from its end."""

        def curve(u: Floats) -> Floats:
            x, y, heading = self.curve(1 - u)
            return np.array([x, y, heading + math.pi])

        return Part(curve, self.length)

    def between(self, u0: float, u1: float) -> Part:
        """Return the piece of the part between two parameters."""
        return Part(lambda u: self.curve(u0 + (u1 - u0) * u), self.length * (u1 - u0))

    def moved(self, u: Floats, d: float) -> Floats:
        """Return x, y and heading `d` mm to the right of travel."""
        x, y, heading = self.curve(u)
        return np.array([x + d * np.sin(heading), y - d * np.cos(heading), heading])


def straight(x: float, y: float, heading: float, length: float) -> Part:
    """Return a straight from a point along a heading."""

    def curve(u: Floats) -> Floats:
        run = length * u
        return np.array([x + run * math.cos(heading), y + run * math.sin(heading), np.full_like(u, heading)])

    return Part(curve, length)


def arc(x: float, y: float, heading: float, radius: float, turn: float) -> Part:
    """Return an arc from a point and heading; left turns are positive."""
    side = math.copysign(1.0, turn)
    cx, cy = x - side * radius * math.sin(heading), y + side * radius * math.cos(heading)

    def curve(u: Floats) -> Floats:
        along = heading + turn * u
        return np.array([cx + side * radius * np.sin(along), cy - side * radius * np.cos(along), along])

    return Part(curve, radius * abs(turn))


def ellipse(a: float, b: float) -> Part:
    """Return a whole ellipse round (0, 0), anticlockwise from its right end."""

    def curve(u: Floats) -> Floats:
        t = math.tau * u
        sin, cos = np.sin(t), np.cos(t)
        # Off the circle's own heading t + π/2 by less than a right angle: no turn is ever lost.
        off = np.arctan2((a - b) * sin * cos, a * sin**2 + b * cos**2)
        return np.array([a * cos, b * sin, t + math.pi / 2 + off])

    return Part(curve, math.pi * (a + b))


def stepped(x: float, y: float, heading: float, steps: Sequence[Step]) -> list[Part]:
    """Return the parts of steps one after another, each along the heading where the last one ends."""
    parts = []
    for step in steps:
        if not isinstance(step, Straight) and step.radius == 0:
            heading += step.angle
            continue
        if isinstance(step, Straight):
            part = straight(x, y, heading, step.length)
        else:
            part = arc(x, y, heading, step.radius, step.angle)
        parts.append(part)
        x, y, heading = (float(value[0]) for value in part.curve(np.ones(1)))
    return parts


def _drawn(spec: OutlineSpec) -> list[Part]:
    """Return the parts of an outline in the direction drawn."""
    if spec.shape == "dxf":
        from layout.face.check_drawing import drawing_parts  # noqa: PLC0415 - it builds on this module

        return drawing_parts(spec)
    if spec.shape == "path":
        return stepped(*spec.start, spec.heading, spec.steps)
    if spec.shape == "circle":
        radius = (spec.diameter or 0.0) / 2
        return [arc(radius, 0.0, math.pi / 2, radius, math.tau)]
    length, width = spec.length or 0.0, spec.width or 0.0
    if spec.shape == "ellipse":
        return [ellipse(length / 2, width / 2)]
    radius = min(length, width) / 2 if spec.shape == "stadium" else spec.radius or 0.0
    return _rounded(length, width, radius)


def _rounded(length: float, width: float, radius: float) -> list[Part]:
    """Return straights and quarter circles from the left end of the lower straight."""
    parts: list[Part] = []
    x, y = radius - length / 2, -width / 2
    for quarter in range(4):
        heading, side = quarter * math.pi / 2, (length, width)[quarter % 2] - 2 * radius
        if side > 0:
            parts.append(straight(x, y, heading, side))
            x, y = x + side * math.cos(heading), y + side * math.sin(heading)
        parts.append(arc(x, y, heading, radius, math.pi / 2))
        x += radius * (math.cos(heading) - math.sin(heading))
        y += radius * (math.sin(heading) + math.cos(heading))
    return parts


def _turning(parts: Sequence[Part]) -> float:
    """Return the radians turned over all parts of a loop and between them, left positive."""
    ends = [part.curve(np.array([0.0, 1.0]))[2] for part in parts]
    return math.fsum([*(float(end[1] - end[0]) for end in ends), *turns_between(parts)])


def turns_between(parts: Sequence[Part]) -> list[float]:
    """Return by how much the line turns where each part of a loop ends, radians, left positive."""
    ends = [part.curve(np.array([0.0, 1.0]))[2] for part in parts]
    afters = [*ends[1:], ends[0]]
    return [math.remainder(float(b[0] - a[1]), math.tau) for a, b in zip(ends, afters, strict=True)]


def walked_parts(spec: OutlineSpec, surveyed: Sequence[Part] = ()) -> list[Part]:
    """Return the parts of an outline walked with the viewer on the right, from where the drawing starts.

    Outside faces of a loop run anticlockwise, inside ones clockwise; ``left`` reverses an open line.
    """
    parts = list(surveyed) or _drawn(spec)
    against = spec.face == "left"
    if spec.closed:
        against = (_turning(parts) > 0) != (spec.face == "outside")
    return [part.backwards() for part in reversed(parts)] if against else parts


@dataclass(frozen=True, eq=False)
class Polyline:
    """A line as dense nodes; both parts that meet at a joint have a node there.

    At a sharp corner the straights beside it are as much longer, or shorter, as lets their parallels meet. Its
    nodes stay on their normals: `more` says what is added, or cut where negative, before and after each part.
    """

    x: Floats
    """mm, shape (n,)"""
    y: Floats
    heading: Floats
    """radians, going on from node to node"""
    part: NDArray[np.int64]
    """which part each node is of"""
    closed: bool
    more: Floats | None = None
    """mm, shape (parts, 2); None: nothing"""
    _made: dict[float, Polyline] = field(default_factory=dict, repr=False)

    def parallel(self, d: float) -> Polyline:
        """Return the line `d` mm to the right of travel."""
        if d not in self._made:
            x, y = self.x + d * np.sin(self.heading), self.y - d * np.cos(self.heading)
            more = self._more.copy()
            for k, turn in self.corners:
                past = mitre(turn, d)
                more[k, 1] += past
                more[(k + 1) % len(more), 0] += past
            self._made[d] = Polyline(x, y, self.heading, self.part, self.closed, more)
        return self._made[d]

    @cached_property
    def corners(self) -> list[tuple[int, float]]:
        """Return the part that ends in each sharp corner, and by how much the line turns there, left positive."""
        found = []
        for k, (_, last) in enumerate(self._extents):
            if last + 1 < self.x.size or self.closed:
                turn = math.remainder(float(self.heading[(last + 1) % self.x.size] - self.heading[last]), math.tau)
                if abs(turn) > SHARP:
                    found.append((k, turn))
        return found

    @property
    def corner_stations(self) -> list[tuple[float, float]]:
        """Return the station and turn of each sharp corner; the one that a loop closes in is at 0."""
        ends = self._laid[1] + self._laid[2]
        return [(float(ends[k]) % self.length if self.closed else float(ends[k]), turn) for k, turn in self.corners]

    @cached_property
    def _more(self) -> Floats:
        return np.zeros((len(self._extents), 2)) if self.more is None else self.more

    @cached_property
    def steps(self) -> Floats:
        """Return the arc lengths between nodes, mm, shape (n − 1,); none across a joint."""
        chord = np.hypot(np.diff(self.x), np.diff(self.y))
        # An arc of turn a over a chord c is c·(a/2)/sin(a/2); numpy's sinc has the π inside.
        bowed = chord / np.sinc(np.diff(self.heading) / math.tau)
        return np.where(np.diff(self.part) == 0, bowed, 0.0)

    @cached_property
    def walked(self) -> Floats:
        """Return the length walked to each node, mm, shape (n,), as if nothing were cut or added at corners."""
        return np.concatenate([[0.0], np.cumsum(self.steps)])

    @cached_property
    def _laid(self) -> tuple[Floats, Floats, Floats]:
        """Return for each part the length walked to it, the station where it begins, and its length."""
        first = np.array([self.walked[a] for a, _ in self._extents])
        sizes = np.array([self.walked[b] for _, b in self._extents]) - first + self._more.sum(axis=1)
        return first, np.concatenate([[0.0], np.cumsum(sizes)[:-1]]), sizes

    @cached_property
    def _unclipped(self) -> Floats:
        """Return each node's station were nothing of its part cut at corners, mm."""
        first, begin, _ = self._laid
        return np.asarray(self.walked - first[self.part] + self._more[self.part, 0] + begin[self.part])

    @cached_property
    def station(self) -> Floats:
        """Return each node's station, mm, shape (n,); what a corner cuts off stands at the corner."""
        _, begin, sizes = self._laid
        return np.clip(self._unclipped, begin[self.part], (begin + sizes)[self.part])

    @property
    def length(self) -> float:
        """Return the whole length, mm."""
        _, begin, sizes = self._laid
        return float(begin[-1] + sizes[-1])

    @cached_property
    def folds(self) -> bool:
        """Tell whether some chord runs against its heading: the parallel is too far off, or a corner cuts it all."""
        along = np.diff(self.x) * np.cos(self.heading[:-1]) + np.diff(self.y) * np.sin(self.heading[:-1])
        return bool((along[np.diff(self.part) == 0] <= 0).any() or (self._laid[2] <= 0).any())

    @cached_property
    def curvature(self) -> Floats:
        """Return the curvature at each node within its own part, 1/mm, shape (n,), by differences."""
        with np.errstate(divide="ignore", invalid="ignore"):
            bend = np.diff(self.heading) / self.steps
        out = np.empty_like(self.x)
        for first, last in self._extents:
            own = bend[first:last]
            out[first + 1 : last] = (own[:-1] + own[1:]) / 2
            out[first] = 1.5 * own[0] - 0.5 * own[1]
            out[last] = 1.5 * own[-1] - 0.5 * own[-2]
        return out

    @cached_property
    def _extents(self) -> list[tuple[int, int]]:
        cuts = np.flatnonzero(np.diff(self.part))
        return list(zip([0, *(cuts + 1).tolist()], [*cuts.tolist(), self.x.size - 1], strict=True))

    def _within(self, s: ArrayLike) -> Floats:
        stations = np.asarray(s, dtype=np.float64)
        return np.mod(stations, self.length) if self.closed else np.clip(stations, 0.0, self.length)

    def _found(self, s: Floats) -> tuple[NDArray[np.int64], Floats, Floats]:
        """Return the part of each station, the length walked to its normal, and what it lies past all of them.

        At a joint that of the part that begins there.
        """
        first, begin, _ = self._laid
        k = np.clip(np.searchsorted(begin, s, side="right") - 1, 0, begin.size - 1)
        local = s - begin[k] - self._more[k, 0]
        normal = np.clip(local, 0.0, np.array([self.walked[b] for _, b in self._extents])[k] - first[k])
        return k, first[k] + normal, local - normal

    def _nodes(self, s: Floats) -> tuple[NDArray[np.int64], Floats]:
        """Return the node before each station, of its own part, and how far past it the station lies, mm."""
        k, walked, past = self._found(s)
        extents = np.array(self._extents)[k]
        i = np.clip(np.searchsorted(self.walked, walked, side="right") - 1, extents[:, 0], extents[:, 1] - 1)
        return i, walked - self.walked[i] + past

    def _interpolated(self, s: ArrayLike, values: Floats) -> Floats:
        """Return what nodes have, at stations between them; past a straight's last normal what its end has."""
        i, gone = self._nodes(np.atleast_1d(self._within(s)))
        share = np.clip(gone / self.steps[i], 0.0, 1.0)
        return np.asarray(values[i] + share * (values[i + 1] - values[i]))

    def point(self, s: ArrayLike) -> Floats:
        """Return the points at stations (k,), shape (k, 2), along the arc over each chord."""
        i, gone = self._nodes(self._within(s))
        bend = np.diff(self.heading)[i] / self.steps[i]
        turn = bend * gone / 2
        chord = gone * np.sinc(turn / math.pi)
        heading = self.heading[i] + turn
        return np.column_stack([self.x[i] + chord * np.cos(heading), self.y[i] + chord * np.sin(heading)])

    def heading_at(self, s: float) -> float:
        """Return the heading at a station, radians; at a corner that of the part that begins there."""
        return float(self._interpolated(s, self.heading)[0])

    def sides(self, s: float, off: float = CLOSE) -> tuple[float, float]:
        """Return the curvatures just before and just after a station, 1/mm."""
        before, after = self._interpolated([s - off, s + off], self.curvature)
        return float(before), float(after)

    def most_bend(self, s0: float, s1: float) -> float:
        """Return the greatest curvature from one station to a later one, 1/mm; round a loop if need be."""
        laps = (-self.length, 0.0, self.length) if self.closed else (0.0,)
        inside = np.zeros(self.x.size, dtype=bool)
        for lap in laps:
            inside |= (self.station + lap >= s0) & (self.station + lap <= s1)
        ends = self._interpolated([s0, s1], self.curvature)
        return float(max(ends.max(), self.curvature[inside].max(initial=-math.inf)))

    def carried(self, s: ArrayLike, onto: Polyline) -> Floats:
        """Return the stations on a parallel of this line's stations, along the normals; laps stay laps."""
        stations = np.asarray(s, dtype=np.float64)
        laps = np.floor(stations / self.length) if self.closed else np.zeros_like(stations)
        k, walked, past = self._found(stations - laps * self.length)
        first, begin, sizes = onto._laid
        there = np.interp(walked, self.walked, onto.walked) + past - first[k] + onto._more[k, 0]
        return np.asarray(begin[k] + np.clip(there, 0.0, sizes[k]) + laps * onto.length, dtype=np.float64)

    def between(self, s0: float, s1: float, onto: Polyline) -> tuple[Floats, Floats]:
        """Return rising stations from `s0` to `s1`, and how long a parallel is from the normal of `s0` to theirs.

        No corner lies between them; one at `s0` or `s1` cuts and adds nothing.
        """
        laps = range(3) if self.closed else range(1)
        kept = np.abs(self._unclipped - self.station) <= CLOSE
        stations = np.concatenate([self._unclipped[kept] + lap * self.length for lap in laps])
        gone = np.concatenate([onto.walked[kept] + lap * onto.walked[-1] for lap in laps])
        inside = (stations > s0 + CLOSE) & (stations < s1 - CLOSE)
        first, last = self._gone(s0 + CLOSE, onto) - CLOSE, self._gone(s1 - CLOSE, onto) + CLOSE
        return np.concatenate([[s0], stations[inside], [s1]]), np.concatenate([[first], gone[inside], [last]]) - first

    def _gone(self, s: float, onto: Polyline) -> float:
        """Return the length walked on a parallel to the normal of a station; past a straight's normals as on it."""
        lap = math.floor(s / self.length) if self.closed else 0
        _, walked, past = self._found(np.array([s - lap * self.length]))
        return float(np.interp(walked, self.walked, onto.walked)[0] + past[0] + lap * onto.walked[-1])


def mitre(turn: float, d: float) -> float:
    """Return how far past the normals of a corner two parallels meet, mm, by crossing them as lines.

    >>> round(mitre(math.pi / 2, 20.0), 9), round(mitre(-math.pi / 2, 20.0), 9)
    (20.0, -20.0)
    """
    # The first comes along x, the viewer below; the second leaves the corner at the angle of the turn.
    ahead = np.array([math.cos(turn), math.sin(turn)])
    first, second = np.array([0.0, -d]), d * np.array([math.sin(turn), -math.cos(turn)])
    along, _ = np.linalg.solve(np.column_stack([[1.0, 0.0], -ahead]), second - first)
    return float(along)


def sampled(parts: Sequence[Part], *, closed: bool) -> Polyline:
    """Return parts as a polyline of about `NODES` chords."""
    whole = math.fsum(part.length for part in parts)
    counts = [max(LEAST, round(NODES * part.length / whole)) for part in parts]
    nodes = [part.curve(np.linspace(0.0, 1.0, n + 1)) for part, n in zip(parts, counts, strict=True)]
    for before, after in pairwise(nodes):
        after[2] += math.tau * round(float(before[2, -1] - after[2, 0]) / math.tau)
    x, y, heading = np.concatenate(nodes, axis=1)
    part = np.repeat(np.arange(len(parts)), [n + 1 for n in counts])
    return Polyline(x, y, heading, part, closed)
