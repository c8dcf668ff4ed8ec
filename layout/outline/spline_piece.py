"""One smooth piece of a spline by its own parameter: between two knots it is one (rational) polynomial.

Kept in Chebyshev series, so that curvature extremes, feet of normals and places of a given heading are
roots of polynomials, and none is missed. Its length has no closed form: it is summed by Gauss–Legendre
(DLMF §3.5(v), https://dlmf.nist.gov/3.5.v), halving cells until two sums agree to `LENGTH_ERROR`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.polynomial import chebyshev as cheb
from numpy.typing import ArrayLike

from layout.outline.segment import Floats
from layout.outline.tolerances import LEAST_RADIUS

LENGTH_ERROR: Final = 1e-12
"""Share of a piece's length: the error to which its length is summed."""

MOST_CELLS: Final = 4096
"""Cells of one piece; a piece that needs more is no curve that metal follows (assumed)."""

NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)

Series = tuple[float, ...]
"""Chebyshev coefficients on −1…1."""


@dataclass(frozen=True)
class SplinePiece:
    """One piece of a spline by its own parameter u, −1…1: (x/w, y/w) moved to (cx, cy).

    Raises
    ------
    ValueError
        Where it stands still, or bends tighter than `LEAST_RADIUS`: that is a corner.
    """

    cx: float
    """mm"""
    cy: float
    x: Series
    """mm times weight"""
    y: Series
    w: Series
    """weight, > 0 throughout"""

    def __post_init__(self) -> None:
        if not np.isfinite([self.cx, self.cy, *self.x, *self.y, *self.w]).all():
            raise ValueError("a spline needs finite numbers")
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            tightest = np.abs(self.bend(self._first_edges)).max()
        if not tightest <= 1 / LEAST_RADIUS:
            raise ValueError(f"the spline comes to a point near x {self.cx} mm, y {self.cy} mm")

    @cached_property
    def velocity(self) -> tuple[Floats, Floats]:
        """Return the series A, B whose quotients by w² are dx/du and dy/du."""
        x, y, w = (np.array(part) for part in (self.x, self.y, self.w))
        dw = cheb.chebder(w)
        along = (cheb.chebsub(cheb.chebmul(cheb.chebder(part), w), cheb.chebmul(part, dw)) for part in (x, y))
        a, b = (np.asarray(part, dtype=np.float64) for part in along)
        return a, b

    @cached_property
    def _turn(self) -> Floats:
        """The series A·B′ − B·A′: the velocity's square times dθ/du."""
        a, b = self.velocity
        turn = cheb.chebsub(cheb.chebmul(a, cheb.chebder(b)), cheb.chebmul(b, cheb.chebder(a)))
        return np.asarray(turn, dtype=np.float64)

    @cached_property
    def curvature_turns(self) -> Floats:
        """Return the parameters where κ = M/S^(3/2) turns: the roots of M′S − 3/2·M·S′."""
        a, b = self.velocity
        square = cheb.chebadd(cheb.chebmul(a, a), cheb.chebmul(b, b))
        m = cheb.chebmul(self._turn, cheb.chebmul(self.w, self.w))
        slope = cheb.chebmul(cheb.chebder(m), square)
        return roots(cheb.chebsub(slope, 1.5 * cheb.chebmul(m, cheb.chebder(square))))

    @cached_property
    def _first_edges(self) -> Floats:
        """Cells between which the heading stays within a right angle and the curvature runs one way."""
        a, b = self.velocity
        return np.unique(np.concatenate([np.linspace(-1.0, 1.0, 5), self.curvature_turns, roots(a), roots(b)]))

    def point(self, u: Floats) -> tuple[Floats, Floats]:
        """Return x and y, mm."""
        w = cheb.chebval(u, self.w)
        return self.cx + cheb.chebval(u, self.x) / w, self.cy + cheb.chebval(u, self.y) / w

    def along(self, u: Floats) -> tuple[Floats, Floats]:
        """Return the direction of rising u, of unit length."""
        a, b = (cheb.chebval(u, part) for part in self.velocity)
        size = np.hypot(a, b)
        return a / size, b / size

    def speed(self, u: Floats) -> Floats:
        """Return mm per unit of u."""
        a, b = (cheb.chebval(u, part) for part in self.velocity)
        return np.asarray(np.hypot(a, b) / cheb.chebval(u, self.w) ** 2)

    def bend(self, u: Floats) -> Floats:
        """Return the curvature, 1/mm, left turns of rising u positive."""
        a, b = (cheb.chebval(u, part) for part in self.velocity)
        return np.asarray(cheb.chebval(u, self._turn) * cheb.chebval(u, self.w) ** 2 / np.hypot(a, b) ** 3)

    def _sum(self, u0: Floats, u1: Floats) -> Floats:
        """∫ speed du from u0 to u1, both (n,), by 16 nodes."""
        middle, half = (u0 + u1) / 2, (u1 - u0) / 2
        return np.asarray(half * (self.speed(middle[:, None] + half[:, None] * NODES) @ WEIGHTS))

    @cached_property
    def cells(self) -> tuple[Floats, Floats, Floats]:
        """Return the edges of cells, rising, with the length, mm, and the heading at each.

        Raises
        ------
        ValueError
            Where the length cannot be summed to `LENGTH_ERROR`.
        """
        edges = self._first_edges
        while True:
            lo, hi = edges[:-1], edges[1:]
            middle = (lo + hi) / 2
            whole, halves = self._sum(lo, hi), self._sum(lo, middle) + self._sum(middle, hi)
            bad = np.abs(whole - halves) > LENGTH_ERROR * halves.sum() / 8
            if not bad.any():
                break
            if edges.size > MOST_CELLS:
                raise ValueError("the spline's length cannot be summed")
            edges = np.sort(np.concatenate([edges, middle[bad]]))
        x, y = self.along(edges)
        turns = np.arctan2(x[:-1] * y[1:] - y[:-1] * x[1:], x[:-1] * x[1:] + y[:-1] * y[1:])
        heading = math.atan2(y[0], x[0]) + np.concatenate([[0.0], np.cumsum(turns)])
        return edges, np.concatenate([[0.0], np.cumsum(halves)]), heading

    def _cell(self, u: Floats) -> tuple[Floats, Floats, Floats]:
        """Return edge, length and heading where the cell of each u begins."""
        edges = self.cells[0]
        i = np.clip(np.searchsorted(edges, u, side="right") - 1, 0, edges.size - 2)
        edge, reach, heading = (part[i] for part in self.cells)
        return edge, reach, heading

    def reach(self, u: Floats) -> Floats:
        """Return the length from u = −1, mm."""
        flat = np.asarray(u, dtype=np.float64).ravel()
        edge, reach, _ = self._cell(flat)
        return (reach + self._sum(edge, flat)).reshape(np.shape(u))

    def heading(self, u: Floats) -> Floats:
        """Return the heading of rising u, radians, continuous."""
        edge, _, heading = self._cell(u)
        x0, y0 = self.along(edge)
        x, y = self.along(u)
        return np.asarray(heading + np.arctan2(x0 * y - y0 * x, x0 * x + y0 * y))


def roots(series: ArrayLike) -> Floats:
    """Return the real roots on −1…1 of a Chebyshev series; double ones may come twice or with a neighbour.

    Examples
    --------
    >>> roots(np.array([0.0, 0.0, 1.0])).round(9).tolist()  # 2u² − 1
    [-0.707106781, 0.707106781]
    >>> roots(np.array([3.0])).tolist()
    []
    """
    series = np.asarray(series, dtype=np.float64)
    size = np.abs(series).max()
    kept = cheb.chebtrim(series, 1e-15 * size) if size > 0 else np.zeros(1)
    if len(kept) < 2:
        return np.empty(0)
    found = cheb.chebroots(kept / size)
    real = np.clip(found.real[np.abs(found.imag) < 1e-6], -1 - 1e-9, 1 + 1e-9)
    real = real[np.abs(real) < 1 + 1e-9]
    return np.sort(np.clip(_polished(kept / size, real), -1.0, 1.0))


def _polished(series: Floats, u: Floats) -> Floats:
    """Two steps of Newton's rule, where they stay near."""
    slope = cheb.chebder(series)
    for _ in range(2):
        value, rise = cheb.chebval(u, series), cheb.chebval(u, slope)
        step = np.divide(value, rise, out=np.zeros_like(u), where=np.abs(rise) > 1e6 * np.abs(value))
        u = u - step
    return u
