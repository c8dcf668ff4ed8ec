"""What every piece of an outline can answer, whatever curve it is."""

from __future__ import annotations

from typing import Protocol, Self

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Segment(Protocol):
    """A smooth plane curve walked by arc length, from station 0 to its length.

    Stations, lengths and distances are mm, headings radians anticlockwise from +x, curvatures 1/mm with a
    left turn positive. Stations are float arrays of any shape ``(…)``; points come back as ``(…, 2)``.
    """

    @property
    def length(self) -> float:
        """Arc length, mm."""

    @property
    def turning(self) -> float:
        """∫κ ds along the whole segment, radians, left positive."""

    @property
    def curvature_turns(self) -> tuple[float, ...]:
        """Stations inside the segment where the curvature is greatest or least."""

    def point(self, s: Floats) -> Floats:
        """Return the points at stations `s`, shape ``(…, 2)``."""

    def heading(self, s: Floats) -> Floats:
        """Return the directions of travel at stations `s`, continuous along the segment."""

    def curvature(self, s: Floats) -> Floats:
        """Return the signed curvatures at stations `s`."""

    def parallel(self, d: float) -> Self:
        """Return the parallel `d` mm to the right of travel; ValueError where it folds."""

    def native(self, s: Floats) -> Floats:
        """Return the parameter that this segment and all of its parallels share on one normal."""

    def station(self, native: Floats) -> Floats:
        """Return the stations of the shared parameter: the inverse of `native`."""

    def cut(self, s0: float, s1: float) -> Self:
        """Return the part from station `s0` to `s1`, s0 < s1."""

    def reversed(self) -> Self:
        """Return the same curve walked the other way."""

    def joined(self, after: Segment) -> Self | None:
        """Return this and `after` as one segment where they are one curve, else None."""

    def feet(self, xy: Floats) -> Floats:
        """Return stations, ends included, among which every nearest point to `xy` (2,) is found."""

    def aligned(self, angle: float) -> Floats:
        """Return the stations, ends apart, where the heading is `angle` or against it."""

    def mesh(self, tolerance: float) -> Floats:
        """Return stations, ends included, whose chords leave the curve by at most `tolerance` mm."""


def extreme_curvature(segment: Segment, lo: Floats, hi: Floats) -> tuple[Floats, Floats]:
    """Return the least and greatest curvature over each interval from `lo` to `hi`, ends included.

    Curvature runs from extreme to extreme without turning back, so the ends of the interval and the
    extremes inside it are all that can count.

    Parameters
    ----------
    segment
        The curve.
    lo, hi
        Stations, mm, shape ``(n,)``, lo ≤ hi, both within the segment.
    """
    first, last = segment.curvature(lo), segment.curvature(hi)
    least, most = np.minimum(first, last), np.maximum(first, last)
    turns = np.array(segment.curvature_turns)
    for turn, bend in zip(turns, segment.curvature(turns), strict=True):
        inside = (lo <= turn) & (turn <= hi)
        least = np.where(inside, np.minimum(least, bend), least)
        most = np.where(inside, np.maximum(most, bend), most)
    return least, most
