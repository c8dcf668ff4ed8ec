"""Splines of drawings: B-splines and NURBS, one segment a smooth piece.

Each piece between two knots is kept as it was drawn and is a segment of its own; a break of curvature at a
knot is then a joint of the chain. What a piece knows by its own parameter stands in `spline_piece`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.polynomial import chebyshev as cheb
from scipy.interpolate import BSpline

from layout.outline.inverse import inverse
from layout.outline.segment import Floats, Segment
from layout.outline.spline_piece import LENGTH_ERROR, SplinePiece, roots
from layout.outline.tolerances import FOLD, SAME_STATION

__all__ = ["LENGTH_ERROR", "MOST_DEGREE", "SplineArc", "SplinePiece", "spline_arcs"]

STATION_ERROR: Final = 1e-13
"""Share of a piece's length: a station closer than this has had its last Newton step."""

MOST_DEGREE: Final = 15
"""Degree of a spline; drawings use 2 to 5 (assumed)."""

LEAST_WEIGHT: Final = 1e-6
"""Share of a spline's greatest weight that its least must have, so that sums hold (assumed)."""


@dataclass(frozen=True)
class SplineArc:
    """A stretch of one piece of a spline, or of a parallel of it.

    Examples
    --------
    >>> (arc,) = spline_arcs(2, (0, 0, 0, 1, 1, 1), ((0, 0), (50, 0), (50, 50)))  # a parabola
    >>> by_hand = 50 * (1 + math.asinh(1) / math.sqrt(2))  # ∫ 100·√(u² + (1 − u)²) du
    >>> math.isclose(arc.length, by_hand, rel_tol=1e-12)
    True
    >>> math.isclose(arc.parallel(10.0).length - arc.length, 10 * math.pi / 2)
    True
    """

    piece: SplinePiece
    start: float = -1.0
    """of the piece's parameter"""
    sweep: float = 2.0
    """of the piece's parameter; negative where it is walked against it"""
    offset: float = 0.0
    """mm to the right of travel off the spline itself"""

    def __post_init__(self) -> None:
        if not 0 < abs(self.sweep) <= 2 * (1 + 1e-12):
            raise ValueError(f"a stretch of a piece goes at most from end to end, not by {self.sweep}")
        if self.offset:
            stretch = 1 + self.offset * self._bend(np.array([0.0, *self._turns, abs(self.sweep)]))
            if stretch.min() <= FOLD:
                raise ValueError(f"a spline has no parallel at {self.offset}: it folds")

    @property
    def _side(self) -> float:
        return math.copysign(1.0, self.sweep)

    def _u(self, native: Floats) -> Floats:
        return np.asarray(self.start + self._side * native)

    def _inside(self, u: Floats) -> Floats:
        """Native parameters, rising, of those u that lie within the stretch."""
        native = self._side * (np.asarray(u) - self.start)
        return np.sort(native[(native >= 0) & (native <= abs(self.sweep))])

    @cached_property
    def _turns(self) -> tuple[float, ...]:
        return tuple(self._inside(self.piece.curvature_turns).tolist())

    def _bend(self, native: Floats) -> Floats:
        return self._side * self.piece.bend(self._u(native))

    def _pace(self, native: Floats) -> Floats:
        return self.piece.speed(self._u(native)) * (1 + self.offset * self._bend(native))

    def station(self, native: Floats) -> Floats:
        """Return the stations of the shared parameter: u since the start, counted positive."""
        u, zero = self._u(native), np.array([self.start])
        walked = self._side * (self.piece.reach(u) - self.piece.reach(zero))
        if self.offset:
            walked = walked + self.offset * (self.piece.heading(u) - self.piece.heading(zero))
        return walked.reshape(np.shape(native))

    @cached_property
    def length(self) -> float:
        """Return the arc length, mm, to `LENGTH_ERROR`."""
        return float(self.station(np.array(abs(self.sweep))))

    @cached_property
    def turning(self) -> float:
        """Return the angle turned, radians, left positive."""
        ends = self.piece.heading(np.array([self.start, self.start + self.sweep]))
        return float(ends[1] - ends[0])

    @cached_property
    def curvature_turns(self) -> tuple[float, ...]:
        """Return the stations inside the stretch where the curvature is greatest or least."""
        return tuple(self.station(np.array(self._turns)).tolist())

    @cached_property
    def _table(self) -> tuple[Floats, Floats]:
        inner = self._inside(self.piece.cells[0])
        natives = np.unique(np.concatenate([[0.0], inner, [abs(self.sweep)]]))
        return natives, self.station(natives)

    def native(self, s: Floats) -> Floats:
        """Return the shared parameter at stations `s`; those outside are taken at the ends."""
        near = STATION_ERROR * (self.length + abs(self.offset * self.turning))
        return inverse(s, self._table, self.station, self._pace, near)

    def point(self, s: Floats) -> Floats:
        """Return the points at stations `s`, shape ``(…, 2)``."""
        u = self._u(self.native(s))
        (x, y), (dx, dy) = self.piece.point(u), self.piece.along(u)
        out = self._side * self.offset
        return np.stack([x + out * dy, y - out * dx], axis=-1)

    def heading(self, s: Floats) -> Floats:
        """Return the directions of travel, continuous: a parallel's is the spline's own."""
        return self.piece.heading(self._u(self.native(s))) + (0.0 if self.sweep > 0 else math.pi)

    def curvature(self, s: Floats) -> Floats:
        """Return κ/(1 + offset·κ) for each station, κ of the spline itself."""
        bend = self._bend(self.native(s))
        return bend / (1 + self.offset * bend)

    def parallel(self, d: float) -> SplineArc:
        """Return the parallel `d` mm to the right of travel."""
        return replace(self, offset=self.offset + d)

    def cut(self, s0: float, s1: float) -> SplineArc:
        """Return the part from station `s0` to `s1`."""
        n0, n1 = self.native(np.array([s0, s1])).tolist()
        return replace(self, start=self.start + self._side * n0, sweep=self._side * (n1 - n0))

    def reversed(self) -> SplineArc:
        """Return the same stretch walked from its end; what was right of travel is left of it."""
        return replace(self, start=self.start + self.sweep, sweep=-self.sweep, offset=-self.offset)

    def joined(self, after: Segment) -> SplineArc | None:
        """Return both as one stretch where `after` goes on along the same piece, else None."""
        if not isinstance(after, SplineArc) or after._side != self._side:
            return None
        end = self.start + self.sweep
        same = replace(after, start=self.start, sweep=self.sweep) == self
        if not same or abs(after.start - end) * float(self.piece.speed(np.array(end))) > SAME_STATION:
            return None
        return replace(self, sweep=self.sweep + after.sweep)

    def _stations_at(self, u: Floats) -> Floats:
        return self.station(self._inside(u))

    def feet(self, xy: Floats) -> Floats:
        """Return the feet of all normals through `xy` (2,), and the ends; parallels share them."""
        a, b = self.piece.velocity
        w = np.array(self.piece.w)
        x = cheb.chebsub(self.piece.x, (xy[0] - self.piece.cx) * w)
        y = cheb.chebsub(self.piece.y, (xy[1] - self.piece.cy) * w)
        found = roots(cheb.chebadd(cheb.chebmul(x, a), cheb.chebmul(y, b)))
        return np.concatenate([[0.0, self.length], self._stations_at(found)])

    def aligned(self, angle: float) -> Floats:
        """Return the stations, ends apart, where the heading is `angle` or against it."""
        a, b = self.piece.velocity
        return self._stations_at(roots(cheb.chebsub(math.cos(angle) * b, math.sin(angle) * a)))

    def mesh(self, tolerance: float) -> Floats:
        """Return stations whose chords leave the curve by at most `tolerance` mm.

        A chord over the length s leaves a curve by at most κs²/8, κ the greatest curvature on it. Between
        the edges of its cells that is found at one of them.
        """
        natives, stations = self._table
        bend = np.abs(self._bend(natives) / (1 + self.offset * self._bend(natives)))
        steps = np.diff(stations) * np.sqrt(np.maximum(bend[:-1], bend[1:]) / (8 * tolerance))
        counts = np.maximum(1, np.ceil(steps)).astype(np.int64)
        parts = [np.linspace(stations[i], stations[i + 1], counts[i], endpoint=False) for i in range(len(counts))]
        return np.concatenate([*parts, stations[-1:]])


def spline_arcs(
    degree: int,
    knots: tuple[float, ...],
    points: tuple[tuple[float, float], ...],
    weights: tuple[float, ...] = (),
) -> tuple[SplineArc, ...]:
    """Return the pieces of a B-spline between its knots, in its own direction; exactly the curve drawn.

    Parameters
    ----------
    degree
        1 or more; at most `MOST_DEGREE`.
    knots
        Not falling; as many as points, degree and 1 together.
    points
        Control points, mm, at least degree + 1.
    weights
        One for each point, > 0; none where all are alike.

    Raises
    ------
    ValueError
        Where that is no spline, or comes to a point.
    """
    _check(degree, knots, points, weights)
    control, weight = np.array(points, dtype=np.float64), np.array(weights or np.ones(len(points)))
    weight = weight / weight.max()
    whole = BSpline(np.array(knots), np.column_stack([control * weight[:, None], weight]), degree)
    breaks = np.unique(np.array(knots[degree : len(points) + 1]))
    places = cheb.chebpts1(degree + 1)
    arcs = []
    for lo, hi in pairwise(breaks.tolist()):
        middle, half = (lo + hi) / 2, (hi - lo) / 2
        if not lo < middle < hi:
            continue
        # Through degree + 1 places of a polynomial goes that polynomial alone.
        x, y, w = cheb.chebfit(places, whole(middle + half * places), degree).T
        arc = _arc(x, y, w if weights else np.ones(1))
        arcs += [arc] if arc is not None else []
    return tuple(arcs)


def _arc(x: Floats, y: Floats, w: Floats) -> SplineArc | None:
    """Return one piece, or None where it is a mere point."""
    middle = cheb.chebval(0.0, w)
    cx, cy = float(cheb.chebval(0.0, x) / middle), float(cheb.chebval(0.0, y) / middle)
    series = [cheb.chebsub(x, cx * w).tolist(), cheb.chebsub(y, cy * w).tolist(), w.tolist()]
    if max(map(abs, series[0] + series[1])) <= SAME_STATION * np.abs(w).max():
        return None
    return SplineArc(SplinePiece(cx, cy, *map(tuple, series)))


def _check(
    degree: int, knots: tuple[float, ...], points: tuple[tuple[float, float], ...], weights: tuple[float, ...]
) -> None:
    if not 1 <= degree <= MOST_DEGREE or len(points) <= degree:
        raise ValueError(f"a spline of degree {degree} cannot have {len(points)} control points")
    if len(knots) != len(points) + degree + 1 or not np.isfinite(knots).all() or (np.diff(knots) < 0).any():
        raise ValueError("a spline's knots rise, and are as many as points, degree and 1 together")
    if weights and (len(weights) != len(points) or not min(weights) > 0 or not math.isfinite(max(weights))):
        raise ValueError("a spline's weights are positive, one for each point")
    if min(weights, default=1.0) < LEAST_WEIGHT * max(weights, default=1.0):
        raise ValueError("a spline's weights lie too far apart")
