"""The curves that a plan is drawn with: straights, circular arcs, arcs of ellipses.

Each is a frozen value that satisfies `layout.outline.segment.Segment`: lengths mm, angles radians,
station 0 at its start, right of travel towards the viewer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from layout.outline.ellipse import EllipseArc
from layout.outline.segment import Floats, Segment
from layout.outline.tolerances import FOLD, SAME_STATION

__all__ = ["Arc", "EllipseArc", "Line"]


@dataclass(frozen=True)
class Line:
    """A straight.

    Examples
    --------
    >>> line = Line(x=0.0, y=0.0, direction=0.0, length=5.0)
    >>> line.point(np.array([0.0, 5.0])).tolist()
    [[0.0, 0.0], [5.0, 0.0]]
    >>> line.parallel(2.0).y
    -2.0
    >>> Line(0.0, 0.0, 0.0, length=0.0)
    Traceback (most recent call last):
    ValueError: a straight must be longer than 0, not 0.0
    """

    x: float
    """mm, of its start"""
    y: float
    direction: float
    """radians, anticlockwise from +x"""
    length: float
    """mm, > 0"""

    def __post_init__(self) -> None:
        if not (self.length > 0 and math.isfinite(self.length)):
            raise ValueError(f"a straight must be longer than 0, not {self.length}")

    @property
    def turning(self) -> float:
        """Return 0: a straight does not turn."""
        return 0.0

    @property
    def curvature_turns(self) -> tuple[float, ...]:
        """Return none: the curvature is 0 throughout."""
        return ()

    def point(self, s: Floats) -> Floats:
        """Return the points at stations `s`, shape ``(…, 2)``."""
        return np.stack([self.x + s * math.cos(self.direction), self.y + s * math.sin(self.direction)], axis=-1)

    def heading(self, s: Floats) -> Floats:
        """Return its direction, once for each station."""
        return np.full(np.shape(s), self.direction)

    def curvature(self, s: Floats) -> Floats:
        """Return 0 for each station."""
        return np.zeros(np.shape(s))

    def parallel(self, d: float) -> Line:
        """Return the straight `d` mm to its right."""
        x = self.x + d * math.sin(self.direction)
        return Line(x, self.y - d * math.cos(self.direction), self.direction, self.length)

    def native(self, s: Floats) -> Floats:
        """Return the stations themselves: a straight and its parallels are as long."""
        return s

    def station(self, native: Floats) -> Floats:
        """Return the shared parameter itself, which is the station."""
        return native

    def cut(self, s0: float, s1: float) -> Line:
        """Return the part from station `s0` to `s1`."""
        x, y = self.point(np.array(s0)).tolist()
        return Line(x, y, self.direction, s1 - s0)

    def reversed(self) -> Line:
        """Return the same straight walked from its end."""
        x, y = self.point(np.array(self.length)).tolist()
        return Line(x, y, self.direction + math.pi, self.length)

    def joined(self, after: Segment) -> Line | None:
        """Return both as one straight where `after` goes straight on from the end, else None."""
        if not isinstance(after, Line):
            return None
        x, y = self.point(np.array(self.length)).tolist()
        aside = abs(math.remainder(after.direction - self.direction, math.tau)) * after.length
        if math.hypot(after.x - x, after.y - y) > SAME_STATION or aside > SAME_STATION:
            return None
        return Line(self.x, self.y, self.direction, self.length + after.length)

    def feet(self, xy: Floats) -> Floats:
        """Return the foot of the normal through `xy` (2,), where there is one, and both ends."""
        foot = (xy[0] - self.x) * math.cos(self.direction) + (xy[1] - self.y) * math.sin(self.direction)
        return np.array([0.0, min(max(float(foot), 0.0), self.length), self.length])

    def aligned(self, angle: float) -> Floats:
        """Return none: a straight along `angle` is told by its ends."""
        return np.empty(0)

    def mesh(self, tolerance: float) -> Floats:
        """Return both ends: a straight is its own chord."""
        return np.array([0.0, self.length])


@dataclass(frozen=True)
class Arc:
    """A circular arc.

    Examples
    --------
    >>> quarter = Arc(cx=0.0, cy=0.0, radius=2.0, start=0.0, sweep=math.pi / 2)
    >>> quarter.length == 2 * math.pi / 2
    True
    >>> quarter.parallel(1.0).radius, quarter.reversed().parallel(1.0).radius
    (3.0, 1.0)
    >>> quarter.parallel(-2.0)
    Traceback (most recent call last):
    ValueError: an arc of radius 2.0 has no parallel at -2.0: it folds
    """

    cx: float
    """mm, of its centre"""
    cy: float
    radius: float
    """mm, > 0"""
    start: float
    """radians, direction from the centre to its start"""
    sweep: float
    """radians turned, left positive; at most a full turn"""

    def __post_init__(self) -> None:
        if not (self.radius > 0 and math.isfinite(self.radius)):
            raise ValueError(f"the radius of an arc must be over 0, not {self.radius}")
        if not 0 < abs(self.sweep) <= math.tau * (1 + 1e-12):
            raise ValueError(f"an arc must turn, and by no more than a full turn, not by {self.sweep}")

    @property
    def _side(self) -> float:
        """+1 where it turns left, −1 where it turns right."""
        return math.copysign(1.0, self.sweep)

    @property
    def length(self) -> float:
        """Return radius times sweep, mm."""
        return self.radius * abs(self.sweep)

    @property
    def turning(self) -> float:
        """Return the sweep, radians."""
        return self.sweep

    @property
    def curvature_turns(self) -> tuple[float, ...]:
        """Return none: the curvature is the same throughout."""
        return ()

    def _angle(self, s: Floats) -> Floats:
        """Direction from the centre to each station, radians."""
        return self.start + self._side * s / self.radius

    def point(self, s: Floats) -> Floats:
        """Return the points at stations `s`, shape ``(…, 2)``."""
        angle = self._angle(s)
        return np.stack([self.cx + self.radius * np.cos(angle), self.cy + self.radius * np.sin(angle)], axis=-1)

    def heading(self, s: Floats) -> Floats:
        """Return the directions of travel: a quarter turn on from the radius."""
        return self._angle(s) + self._side * math.pi / 2

    def curvature(self, s: Floats) -> Floats:
        """Return ±1/radius for each station."""
        return np.full(np.shape(s), self._side / self.radius)

    def parallel(self, d: float) -> Arc:
        """Return the arc of the same centre `d` mm to the right of travel."""
        radius = self.radius + self._side * d
        if radius <= FOLD * self.radius:
            raise ValueError(f"an arc of radius {self.radius} has no parallel at {d}: it folds")
        return Arc(self.cx, self.cy, radius, self.start, self.sweep)

    def native(self, s: Floats) -> Floats:
        """Return the angles turned since the start, radians, counted positive."""
        return s / self.radius

    def station(self, native: Floats) -> Floats:
        """Return the stations at these angles from the start."""
        return native * self.radius

    def cut(self, s0: float, s1: float) -> Arc:
        """Return the part from station `s0` to `s1`."""
        start = self.start + self._side * s0 / self.radius
        return Arc(self.cx, self.cy, self.radius, start, self._side * (s1 - s0) / self.radius)

    def reversed(self) -> Arc:
        """Return the same arc walked from its end."""
        return Arc(self.cx, self.cy, self.radius, self.start + self.sweep, -self.sweep)

    def joined(self, after: Segment) -> Arc | None:
        """Return both as one arc where `after` goes on round the same circle, else None."""
        if not isinstance(after, Arc) or after._side != self._side:
            return None
        off_centre = math.hypot(after.cx - self.cx, after.cy - self.cy) + abs(after.radius - self.radius)
        gap = abs(math.remainder(after.start - self.start - self.sweep, math.tau)) * self.radius
        sweep = self.sweep + after.sweep
        if off_centre > SAME_STATION or gap > SAME_STATION or abs(sweep) > math.tau * (1 + 1e-12):
            return None
        return Arc(self.cx, self.cy, self.radius, self.start, sweep)

    def feet(self, xy: Floats) -> Floats:
        """Return the foot of the normal through `xy` (2,), where there is one, and both ends.

        From the centre every point is as near: stations spread along the arc stand for them all.
        """
        if math.hypot(xy[0] - self.cx, xy[1] - self.cy) <= SAME_STATION:
            return np.linspace(0.0, self.length, 4)
        turned = self._turned_to(math.atan2(xy[1] - self.cy, xy[0] - self.cx))
        return np.array([0.0, *([turned * self.radius] if turned <= abs(self.sweep) else []), self.length])

    def _turned_to(self, angle: float) -> float:
        """Angle walked from the start until the radius points along `angle`, within [0, 2π)."""
        return (self._side * (angle - self.start)) % math.tau

    def aligned(self, angle: float) -> Floats:
        """Return the stations, ends apart, where the heading is `angle` or against it."""
        turned = (self._turned_to(angle + quarter) for quarter in (math.pi / 2, -math.pi / 2))
        return np.array([turn * self.radius for turn in turned if turn <= abs(self.sweep)])

    def mesh(self, tolerance: float) -> Floats:
        """Return evenly spaced stations whose chords leave the arc by at most `tolerance` mm.

        The rise of a chord over the angle a is r(1 − cos(a/2)).
        """
        widest = 2 * math.acos(max(1 - tolerance / self.radius, 0.0))
        return np.linspace(0.0, self.length, 1 + max(2, math.ceil(abs(self.sweep) / widest)))
