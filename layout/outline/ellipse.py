"""Arcs of ellipses and of their parallels, exactly.

The parallel of an ellipse is not an ellipse. It is kept as the ellipse it came from and the distance
`offset` to the right of travel, so that a parallel of a parallel is one again, and all of them share the
ellipse's parameter on every normal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.special import ellipeinc

from layout.outline.inverse import inverse
from layout.outline.segment import Floats, Segment
from layout.outline.tolerances import FOLD, SAME_STATION

TABLE_CELLS = 256
"""Cells of the station table for a full turn; it only starts Newton's rule and fences it in."""

STATION_ERROR = 1e-13
"""Share of the ellipse's or the arc's length: a station closer than this has had its last Newton step."""


@dataclass(frozen=True)
class EllipseArc:
    """An arc of an ellipse, or of a parallel of one.

    The ellipse is (a cos t, b sin t), turned by `rotation` and moved to its centre, walked from
    t = `start` through `sweep`. Length is the incomplete elliptic integral of the second kind (DLMF
    §19.30(i), https://dlmf.nist.gov/19.30) plus `offset` times the angle turned.

    Examples
    --------
    >>> whole = EllipseArc(cx=0.0, cy=0.0, a=2.0, b=1.0)
    >>> abs(whole.length - 9.688448220547675) < 1e-14  # Wolfram Language reference, ArcLength
    True
    >>> whole.parallel(1.0).length - whole.length == 2 * math.pi
    True
    >>> whole.parallel(-0.5)  # b²/a = 1/2 is its smallest radius
    Traceback (most recent call last):
    ValueError: an ellipse of semi-axes 2.0 and 1.0 has no parallel at -0.5: it folds
    """

    cx: float
    """mm, of its centre"""
    cy: float
    a: float
    """mm, semi-axis along `rotation`, > 0; may be the shorter one"""
    b: float
    """mm, semi-axis across it, > 0"""
    rotation: float = 0.0
    """radians, anticlockwise from +x to the axis `a`"""
    start: float = 0.0
    """radians, parameter at its start"""
    sweep: float = math.tau
    """radians of parameter, anticlockwise positive; at most a full turn"""
    offset: float = 0.0
    """mm to the right of travel off the ellipse itself"""

    def __post_init__(self) -> None:
        if not (self.a > 0 and self.b > 0 and math.isfinite(self.a + self.b)):
            raise ValueError(f"semi-axes must be over 0, not {self.a} and {self.b}")
        if not 0 < abs(self.sweep) <= math.tau * (1 + 1e-12):
            raise ValueError(f"an arc must turn, and by no more than a full turn, not by {self.sweep}")
        stretch = 1 + self.offset * self._bend(np.array([0.0, *self._quadrants, abs(self.sweep)]))
        if stretch.min() <= FOLD:
            raise ValueError(
                f"an ellipse of semi-axes {self.a} and {self.b} has no parallel at {self.offset}: it folds"
            )

    # The ellipse itself, by the parameter t.

    @property
    def _side(self) -> float:
        """+1 where it is walked anticlockwise, −1 clockwise."""
        return math.copysign(1.0, self.sweep)

    def _speed(self, t: Floats) -> Floats:
        """|dE/dt| of the ellipse itself, mm per radian of parameter."""
        across, along = self.a * np.sin(t), self.b * np.cos(t)
        return np.sqrt(across * across + along * along)

    def _ellipse_length(self, t: Floats) -> Floats:
        """∫ speed dt from 0 (b ≥ a) or from −π/2 less a constant (a > b), mm: DLMF 19.30.2–3, m = k²."""
        longer, shorter = max(self.a, self.b), min(self.a, self.b)
        m = (longer - shorter) * (longer + shorter) / longer**2
        amplitude = t + math.pi / 2 if self.a > self.b else t
        return np.asarray(longer * ellipeinc(amplitude, m), dtype=np.float64)

    def _tangent(self, t: Floats) -> Floats:
        """Heading of the ellipse walked anticlockwise, radians, continuous in t.

        Of the tangent (−a sin t, b cos t) against the circle's (−sin t, cos t), which turns evenly.
        """
        sine, cosine = np.sin(t), np.cos(t)
        ahead = np.arctan2((self.a - self.b) * sine * cosine, self.a * sine**2 + self.b * cosine**2)
        return self.rotation + math.pi / 2 + t + ahead

    # The arc, by its native parameter: radians of t since the start, counted positive.

    @cached_property
    def _quadrants(self) -> tuple[float, ...]:
        """Native parameters inside the arc where it crosses an axis."""
        first = math.floor(min(self.start, self.start + self.sweep) / (math.pi / 2)) - 1
        marks = (self._side * ((first + k) * math.pi / 2 - self.start) for k in range(8))
        return tuple(sorted(mark for mark in marks if 0 < mark < abs(self.sweep)))

    def _t(self, native: Floats) -> Floats:
        return self.start + self._side * native

    def _bend(self, native: Floats) -> Floats:
        """Signed curvature of the ellipse itself."""
        return self._side * self.a * self.b / self._speed(self._t(native)) ** 3

    def _pace(self, native: Floats) -> Floats:
        """Ds by d native on the arc, offset included: speed + offset·dθ."""
        speed = self._speed(self._t(native))
        return speed + self.offset * self._side * self.a * self.b / speed**2

    def station(self, native: Floats) -> Floats:
        """Return the stations of the shared parameter, radians of t since the start, counted positive."""
        t, zero = self._t(native), np.array(self.start)
        walked = self._side * (self._ellipse_length(t) - self._ellipse_length(zero))
        if self.offset == 0:
            return walked
        return walked + self.offset * (self._tangent(t) - self._tangent(zero))

    @cached_property
    def length(self) -> float:
        """Return the arc length, mm."""
        return float(self.station(np.array(abs(self.sweep))))

    @cached_property
    def turning(self) -> float:
        """Return the angle turned, radians, left positive."""
        ends = self._tangent(np.array([self.start, self.start + self.sweep]))
        return float(ends[1] - ends[0])

    @cached_property
    def curvature_turns(self) -> tuple[float, ...]:
        """Return the stations inside the arc where it crosses an axis of the ellipse."""
        return tuple(self.station(np.array(self._quadrants)).tolist())

    @cached_property
    def _table(self) -> tuple[Floats, Floats]:
        """Native parameters evenly along the arc and their stations, both rising."""
        cells = max(8, math.ceil(TABLE_CELLS * abs(self.sweep) / math.tau))
        natives = np.linspace(0.0, abs(self.sweep), cells + 1)
        return natives, self.station(natives)

    def native(self, s: Floats) -> Floats:
        """Return the shared parameter at stations `s`, to `STATION_ERROR` of the length or better.

        Stations outside the arc are taken at its ends.
        """
        near = STATION_ERROR * (self.length + abs(self.offset * self.turning))
        return inverse(s, self._table, self.station, self._pace, near)

    def point(self, s: Floats) -> Floats:
        """Return the points at stations `s`, shape ``(…, 2)``."""
        return self._point(self.native(s))

    def _point(self, native: Floats) -> Floats:
        t = self._t(native)
        sine, cosine = np.sin(t), np.cos(t)
        out = self._side * self.offset / np.sqrt((self.a * sine) ** 2 + (self.b * cosine) ** 2)
        u, v = (self.a + out * self.b) * cosine, (self.b + out * self.a) * sine
        c, d = math.cos(self.rotation), math.sin(self.rotation)
        return np.stack([self.cx + c * u - d * v, self.cy + d * u + c * v], axis=-1)

    def heading(self, s: Floats) -> Floats:
        """Return the directions of travel, continuous: a parallel's is the ellipse's own."""
        return self._tangent(self._t(self.native(s))) + (0.0 if self.sweep > 0 else math.pi)

    def curvature(self, s: Floats) -> Floats:
        """Return κ/(1 + offset·κ) for each station, κ of the ellipse itself."""
        bend = self._bend(self.native(s))
        return bend / (1 + self.offset * bend)

    def parallel(self, d: float) -> EllipseArc:
        """Return the parallel `d` mm to the right of travel."""
        return replace(self, offset=self.offset + d)

    def cut(self, s0: float, s1: float) -> EllipseArc:
        """Return the part from station `s0` to `s1`."""
        n0, n1 = self.native(np.array([s0, s1])).tolist()
        return replace(self, start=self.start + self._side * n0, sweep=self._side * (n1 - n0))

    def reversed(self) -> EllipseArc:
        """Return the same arc walked from its end; what was right of travel is left of it."""
        return replace(self, start=self.start + self.sweep, sweep=-self.sweep, offset=-self.offset)

    def joined(self, after: Segment) -> EllipseArc | None:
        """Return both as one arc where `after` goes on round the same ellipse, else None."""
        if not isinstance(after, EllipseArc) or after._side != self._side:
            return None
        sweep = self.sweep + after.sweep
        gap = abs(math.remainder(after.start - self.start - self.sweep, math.tau)) * max(self.a, self.b)
        same = replace(after, start=self.start, sweep=self.sweep) == self
        if not same or gap > SAME_STATION or abs(sweep) > math.tau * (1 + 1e-12):
            return None
        return replace(self, sweep=sweep)

    def _stations_at(self, t: Floats) -> Floats:
        """Stations, ends apart, whose parameter is `t` up to full turns."""
        native = (self._side * (t - self.start)) % math.tau
        return self.station(native[native <= abs(self.sweep)])

    def feet(self, xy: Floats) -> Floats:
        """Return the feet of all normals through `xy` (2,), the ends, and where it crosses its axes.

        A point of the ellipse is a foot where c sin 2t + a·p sin t − b·q cos t = 0, c = (b² − a²)/2 and
        (p, q) the point in the ellipse's own axes: a quartic in e^{it}. All parallels share the feet. The
        roots start Newton's rule on the same equation; one that is no foot does no harm among the others.
        """
        c, d = math.cos(self.rotation), math.sin(self.rotation)
        p = self.a * float(c * (xy[0] - self.cx) + d * (xy[1] - self.cy))
        q = self.b * float(c * (xy[1] - self.cy) - d * (xy[0] - self.cx))
        half = (self.b - self.a) * (self.b + self.a) / 2
        roots = np.roots(np.array([half, p - 1j * q, 0.0, -p - 1j * q, -half]))
        t = np.angle(roots).astype(np.float64)
        for _ in range(4):
            slope = 2 * half * np.cos(2 * t) + p * np.cos(t) + q * np.sin(t)
            value = half * np.sin(2 * t) + p * np.sin(t) - q * np.cos(t)
            sound = np.abs(slope) > np.abs(value)  # else Newton's step passes a radian
            t = t - np.divide(value, slope, out=np.zeros_like(t), where=sound)
        return np.concatenate([[0.0, self.length], self.curvature_turns, self._stations_at(t)])

    def aligned(self, angle: float) -> Floats:
        """Return the stations, ends apart, where the heading is `angle` or against it."""
        local = angle - self.rotation
        t = math.atan2(-self.b * math.cos(local), self.a * math.sin(local))
        return self._stations_at(np.array([t, t + math.pi]))

    def mesh(self, tolerance: float) -> Floats:
        """Return stations at even parameters whose chords leave the curve by at most `tolerance` mm.

        A chord over dt leaves a curve by at most |d²P/dt²|·dt²/8. The ellipse has |E''| at most its longer
        semi-axis; the normal turns at most r = longer/shorter as fast as t, with a change of it below r².
        """
        ratio = max(self.a, self.b) / min(self.a, self.b)
        jerk = max(self.a, self.b) + 2 * abs(self.offset) * ratio**2
        chords = max(8, math.ceil(abs(self.sweep) * math.sqrt(jerk / (8 * tolerance))))
        return self.station(np.linspace(0.0, abs(self.sweep), chords + 1))
