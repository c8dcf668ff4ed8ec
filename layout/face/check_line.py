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
        if isinstance(step, Straight):
            part = straight(x, y, heading, step.length)
        else:
            part = arc(x, y, heading, step.radius, step.angle)
        parts.append(part)
        x, y, heading = (float(value[0]) for value in part.curve(np.ones(1)))
    return parts


def _drawn(spec: OutlineSpec) -> list[Part]:
    """Return the parts of an outline in the direction drawn."""
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
    """Return the radians turned over all parts, left positive."""
    ends = [part.curve(np.array([0.0, 1.0]))[2] for part in parts]
    return math.fsum(float(end[1] - end[0]) for end in ends)


def walked_parts(spec: OutlineSpec) -> list[Part]:
    """Return the parts of an outline walked with the viewer on the right, from where the drawing starts.

    Outside faces of a loop run anticlockwise, inside ones clockwise; ``left`` reverses an open line.
    """
    parts = _drawn(spec)
    against = spec.face == "left"
    if spec.closed:
        against = (_turning(parts) > 0) != (spec.face == "outside")
    return [part.backwards() for part in reversed(parts)] if against else parts


@dataclass(frozen=True, eq=False)
class Polyline:
    """A line as dense nodes; both parts that meet at a joint have a node there."""

    x: Floats
    """mm, shape (n,)"""
    y: Floats
    heading: Floats
    """radians, going on from node to node"""
    part: NDArray[np.int64]
    """which part each node is of"""
    closed: bool
    _made: dict[float, Polyline] = field(default_factory=dict, repr=False)

    def parallel(self, d: float) -> Polyline:
        """Return the line `d` mm to the right of travel."""
        if d not in self._made:
            x, y = self.x + d * np.sin(self.heading), self.y - d * np.cos(self.heading)
            self._made[d] = Polyline(x, y, self.heading, self.part, self.closed)
        return self._made[d]

    @cached_property
    def steps(self) -> Floats:
        """Return the arc lengths between nodes, mm, shape (n − 1,); none across a joint."""
        chord = np.hypot(np.diff(self.x), np.diff(self.y))
        # An arc of turn a over a chord c is c·(a/2)/sin(a/2); numpy's sinc has the π inside.
        bowed = chord / np.sinc(np.diff(self.heading) / math.tau)
        return np.where(np.diff(self.part) == 0, bowed, 0.0)

    @cached_property
    def station(self) -> Floats:
        """Return the length walked to each node, mm, shape (n,)."""
        return np.concatenate([[0.0], np.cumsum(self.steps)])

    @property
    def length(self) -> float:
        """Return the whole length, mm."""
        return float(self.station[-1])

    @cached_property
    def folds(self) -> bool:
        """Tell whether some chord runs against its heading: the parallel is too far off."""
        along = np.diff(self.x) * np.cos(self.heading[:-1]) + np.diff(self.y) * np.sin(self.heading[:-1])
        return bool((along[np.diff(self.part) == 0] <= 0).any())

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

    def point(self, s: ArrayLike) -> Floats:
        """Return the points at stations (k,), shape (k, 2), along the arc over each chord."""
        stations = self._within(s)
        i = np.clip(np.searchsorted(self.station, stations, side="right") - 1, 0, self.x.size - 2)
        gone = stations - self.station[i]
        bend = np.divide(np.diff(self.heading)[i], self.steps[i], out=np.zeros_like(gone), where=self.steps[i] > 0)
        turn = bend * gone / 2
        chord = gone * np.sinc(turn / math.pi)
        heading = self.heading[i] + turn
        return np.column_stack([self.x[i] + chord * np.cos(heading), self.y[i] + chord * np.sin(heading)])

    def heading_at(self, s: float) -> float:
        """Return the heading at a station, radians."""
        return float(np.interp(self._within(s), self.station, self.heading))

    def sides(self, s: float, off: float = CLOSE) -> tuple[float, float]:
        """Return the curvatures just before and just after a station, 1/mm."""
        before, after = np.interp(self._within([s - off, s + off]), self.station, self.curvature)
        return float(before), float(after)

    def most_bend(self, s0: float, s1: float) -> float:
        """Return the greatest curvature from one station to a later one, 1/mm; round a loop if need be."""
        laps = (-self.length, 0.0, self.length) if self.closed else (0.0,)
        inside = np.zeros(self.x.size, dtype=bool)
        for lap in laps:
            inside |= (self.station + lap >= s0) & (self.station + lap <= s1)
        ends = np.interp(self._within([s0, s1]), self.station, self.curvature)
        return float(max(ends.max(), self.curvature[inside].max(initial=-math.inf)))

    def carried(self, s: ArrayLike, onto: Polyline) -> Floats:
        """Return the stations on a parallel of this line's stations, along the normals; laps stay laps."""
        stations = np.asarray(s, dtype=np.float64)
        laps = np.floor(stations / self.length) if self.closed else np.zeros_like(stations)
        there = np.interp(stations - laps * self.length, self.station, onto.station)
        return np.asarray(there + laps * onto.length, dtype=np.float64)


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
