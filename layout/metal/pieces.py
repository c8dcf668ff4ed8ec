"""Exact pieces that a scallop is made of: arc, straight, sine.

Every piece runs to the right from valley to valley. Its shape is known in closed form, and so are the
sums that the metal needs: length, ∫y ds, ∫y² ds, steepest slope, and how high it blocks the view.
Lengths are mm, angles radians.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipe

Floats = NDArray[np.float64]

SINE_NODES: Final = 96
"""Gauss–Legendre nodes on a quarter wave: to rounding up to a depth of five pitches"""

SINE_SIGHT: Final = 2.331122370414423
"""Root of tan(u/2) = u: where the line of sight out of a sine's valley touches it (dimensionless)"""


class Piece(Protocol):
    """What a scallop asks of its pieces."""

    @property
    def length(self) -> float:
        """Developed length, mm."""

    @property
    def moments(self) -> tuple[float, float]:
        """∫y ds in mm² and ∫y² ds in mm³."""

    @property
    def heights(self) -> tuple[float, float]:
        """Lowest and highest y, mm."""

    @property
    def headings(self) -> tuple[float, float]:
        """Tangent angles at its two ends, radians, rising positive."""

    @property
    def steepest(self) -> float:
        """Greatest slope angle, radians, never negative; past π/2 it overhangs."""

    @property
    def sight(self) -> float:
        """Greatest angle above the x axis at which the piece is seen from (0, 0), radians."""

    def points(self, parts: int) -> Floats:
        """Return points on the piece, ends included, shape (parts + 1, 2)."""

    def bends(self) -> tuple[Floats, Floats]:
        """Return lengths (mm) and signed curvatures (1/mm, left turn positive) of short parts, shape (k,)."""


@dataclass(frozen=True)
class Arc:
    """A circular arc, measured from the circle's own lowest (valley) or highest (crest) point.

    >>> half = Arc(x=1.0, y=1.0, radius=1.0, hollow=False, start=-math.pi / 2, end=math.pi / 2)
    >>> half.length == math.pi, half.heights[1], half.steepest == math.pi / 2
    (True, 1.0, True)
    >>> Arc(x=0.0, y=0.0, radius=1.0, hollow=True, start=0.0, end=0.0).length
    0.0
    """

    x: float
    """mm, of the apex: the lowest point of a hollow arc's circle, the highest of a crest's"""
    y: float
    radius: float
    """mm, at mid-metal"""
    hollow: bool
    """open upwards, as a valley; otherwise open downwards, as a crest"""
    start: float
    """radians turned from the apex, rightwards positive"""
    end: float

    @property
    def length(self) -> float:
        """Developed length, mm."""
        return self.radius * (self.end - self.start)

    @property
    def _up(self) -> float:
        return 1.0 if self.hollow else -1.0

    @property
    def moments(self) -> tuple[float, float]:
        """∫y ds and ∫y² ds, with h = 1 − cos b the rise from the apex in radii."""
        # Measured from the apex, not from the centre: a shallow arc's centre is far away and would
        # cost all the digits.
        first = _sum_rise(self.end) - _sum_rise(self.start)
        second = _sum_rise_squared(self.end) - _sum_rise_squared(self.start)
        r, up, turned = self.radius, self._up, self.end - self.start
        return (
            r * (self.y * turned + up * r * first),
            r * (self.y**2 * turned + 2 * up * self.y * r * first + r * r * second),
        )

    def _y(self, turned: float) -> float:
        return self.y + self._up * 2 * self.radius * math.sin(turned / 2) ** 2

    @property
    def heights(self) -> tuple[float, float]:
        """Lowest and highest y, mm."""
        ys = [self._y(self.start), self._y(self.end)]
        if self.start <= 0.0 <= self.end:
            ys.append(self.y)
        return min(ys), max(ys)

    @property
    def headings(self) -> tuple[float, float]:
        """Tangent angles at its two ends."""
        return self._up * self.start, self._up * self.end

    @property
    def steepest(self) -> float:
        """Greatest slope angle."""
        return max(abs(self.start), abs(self.end))

    @property
    def sight(self) -> float:
        """Greatest angle above the x axis at which the arc is seen from (0, 0)."""
        x0, y0 = self.x + self.radius * math.sin(self.start), self._y(self.start)
        x1, y1 = self.x + self.radius * math.sin(self.end), self._y(self.end)
        seen = math.atan2(y1, x1)
        if math.hypot(x0, y0) <= 1e-12 * self.radius:
            return max(self._up * self.start, seen)
        seen = max(seen, math.atan2(y0, x0))
        if not self.hollow:
            cy = self.y - self.radius
            away = self.x**2 + cy**2 - self.radius**2
            if away > 0:
                touch = math.atan2(cy, self.x) + math.atan2(self.radius, math.sqrt(away))
                # The tangent from the origin rises at `touch`, so it touches a crest at −touch.
                if self.start <= -touch <= self.end:
                    seen = max(seen, touch)
        return seen

    def points(self, parts: int) -> Floats:
        """Return points on the arc, equal steps, shape (parts + 1, 2)."""
        turned = np.linspace(self.start, self.end, parts + 1)
        rise = 2 * np.sin(turned / 2) ** 2
        x = self.x + self.radius * np.sin(turned)
        return np.column_stack((x, self.y + self._up * self.radius * rise))

    def bends(self) -> tuple[Floats, Floats]:
        """Return the one length and curvature of the arc."""
        return np.array([self.length]), np.array([self._up / self.radius])


def _sum_rise(turned: float) -> float:
    """∫₀ᵇ (1 − cos b) db."""
    return turned - math.sin(turned)


def _sum_rise_squared(turned: float) -> float:
    """∫₀ᵇ (1 − cos b)² db."""
    return 1.5 * turned - 2 * math.sin(turned) + math.sin(2 * turned) / 4


@dataclass(frozen=True)
class Straight:
    """A straight between two points, from left to right.

    >>> flank = Straight(0.0, 0.0, 3.0, 4.0)
    >>> flank.length, flank.moments[0]
    (5.0, 10.0)
    """

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def length(self) -> float:
        """Developed length, mm."""
        return math.hypot(self.x1 - self.x0, self.y1 - self.y0)

    @property
    def moments(self) -> tuple[float, float]:
        """∫y ds and ∫y² ds."""
        y0, y1 = self.y0, self.y1
        return self.length * (y0 + y1) / 2, self.length * (y0 * y0 + y0 * y1 + y1 * y1) / 3

    @property
    def heights(self) -> tuple[float, float]:
        """Lowest and highest y, mm."""
        return min(self.y0, self.y1), max(self.y0, self.y1)

    @property
    def headings(self) -> tuple[float, float]:
        """Tangent angles at its two ends."""
        heading = math.atan2(self.y1 - self.y0, self.x1 - self.x0)
        return heading, heading

    @property
    def steepest(self) -> float:
        """Greatest slope angle."""
        return abs(self.headings[0])

    @property
    def sight(self) -> float:
        """Greatest angle above the x axis at which the straight is seen from (0, 0)."""
        return max(math.atan2(self.y1, self.x1), math.atan2(self.y0, self.x0))

    def points(self, parts: int) -> Floats:
        """Return points on the straight, equal steps, shape (parts + 1, 2)."""
        return np.linspace((self.x0, self.y0), (self.x1, self.y1), parts + 1)

    def bends(self) -> tuple[Floats, Floats]:
        """Return the one length, unbent."""
        return np.array([self.length]), np.array([0.0])


@cache
def _legendre() -> tuple[Floats, Floats]:
    """Return Gauss–Legendre nodes and weights on (−1, 1), worked out once: each time takes milliseconds."""
    nodes, weights = np.polynomial.legendre.leggauss(SINE_NODES)
    return nodes, weights


@dataclass(frozen=True)
class Sine:
    """A whole wave y = depth/2·(1 − cos(2πx/pitch)), valley to valley.

    >>> shallow = Sine(pitch=100.0, depth=1e-6)
    >>> round(shallow.length, 9), shallow.heights
    (100.0, (0.0, 1e-06))
    """

    pitch: float
    depth: float

    @property
    def _k(self) -> float:
        """Slope at the inflection, πd/p."""
        return math.pi * self.depth / self.pitch

    @property
    def length(self) -> float:
        """Developed length: p·(2/π)·√(1+k²)·E(k²/(1+k²)), E of parameter m (DLMF §19.30)."""
        k2 = self._k**2
        return self.pitch * 2 / math.pi * math.sqrt(1 + k2) * float(ellipe(k2 / (1 + k2)))

    @property
    def moments(self) -> tuple[float, float]:
        """∫y ds and ∫y² ds; the first by symmetry, the second by Gauss–Legendre on a quarter wave."""
        half = self.depth / 2
        nodes, weights = _legendre()
        angle = (nodes + 1) * math.pi / 4
        stretched = np.cos(angle) ** 2 * np.sqrt(1 + (self._k * np.sin(angle)) ** 2)
        # the average of cos²·ds/dx over the wave, times its square amplitude
        about_middle = half**2 * self.pitch * float(weights @ stretched) / 2
        return half * self.length, half**2 * self.length + about_middle

    @property
    def heights(self) -> tuple[float, float]:
        """Lowest and highest y, mm."""
        return 0.0, self.depth

    @property
    def headings(self) -> tuple[float, float]:
        """Tangent angles at its two ends: level."""
        return 0.0, 0.0

    @property
    def steepest(self) -> float:
        """Greatest slope angle."""
        return math.atan(self._k)

    @property
    def sight(self) -> float:
        """Greatest angle above the x axis at which the wave is seen from (0, 0)."""
        # y/x is stationary where tan(u/2) = u, u = 2πx/p; there y/x = k·sin u.
        return math.atan(self._k * math.sin(SINE_SIGHT))

    def _places(self, parts: int) -> Floats:
        """Return x of nearly equal steps along the wave, shape (parts + 1,)."""
        x = np.linspace(0.0, self.pitch, 2049)
        slope = self._k * np.sin(2 * math.pi * (x[:-1] + x[1:]) / 2 / self.pitch)
        along = np.concatenate(([0.0], np.cumsum(np.sqrt(1 + slope**2))))
        wanted = np.linspace(0.0, along[-1], parts + 1)
        return np.asarray(np.interp(wanted, along, x), dtype=np.float64)

    def points(self, parts: int) -> Floats:
        """Return points on the wave, nearly equal steps, shape (parts + 1, 2)."""
        x = self._places(parts)
        return np.column_stack((x, self.depth * np.sin(math.pi * x / self.pitch) ** 2))

    def bends(self) -> tuple[Floats, Floats]:
        """Return short parts, each turning as far as the wave turns over it."""
        edges = self._places(512)
        middles = (edges[:-1] + edges[1:]) / 2
        step = np.diff(edges) * np.sqrt(1 + (self._k * np.sin(2 * math.pi * middles / self.pitch)) ** 2)
        step *= self.length / float(step.sum())
        heading = np.arctan(self._k * np.sin(2 * math.pi * edges / self.pitch))
        return step, np.diff(heading) / step
