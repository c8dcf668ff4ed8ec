"""Parallels of a line with sharp corners: the parts beside a corner are made longer or shorter until they meet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from layout.outline.curves import Line
from layout.outline.segment import Segment
from layout.outline.tolerances import SAME_STATION, SMOOTH


def mitred(parallels: Sequence[Segment], corners: Sequence[float], d: float) -> tuple[Segment, ...]:
    """Return parallels of segments, cut or grown where they meet in corners.

    Both end on the line that halves the corner: d·tan(δ/2) past its normals.

    Parameters
    ----------
    parallels
        Of the segments, each by itself, d mm towards the viewer.
    corners
        δ at the end of each segment, radians, left positive; of an open line the last has none.
    d
        mm.

    Raises
    ------
    ValueError
        Where a part that must be changed is no straight, or not long enough for the cut.

    Examples
    --------
    >>> wall = (Line(0.0, -2.0, 0.0, 5.0), Line(7.0, 0.0, math.pi / 2, 3.0))
    >>> [round(part.length, 9) for part in mitred(wall, [math.pi / 2], d=2.0)]
    [7.0, 5.0]
    """
    starts, stops = [0.0] * len(parallels), [0.0] * len(parallels)
    for k, corner in enumerate(corners):
        if abs(corner) > SMOOTH:
            stops[k] = starts[(k + 1) % len(parallels)] = d * math.tan(corner / 2)
    return tuple(ended(part, *change) for part, change in zip(parallels, zip(starts, stops, strict=True), strict=True))


def ended(segment: Segment, start: float, stop: float) -> Segment:
    """Return a straight with its start and end moved out so far, mm, or in where negative.

    Raises
    ------
    ValueError
        Where it is no straight and must change, or not long enough for the cut.

    Examples
    --------
    >>> ended(Line(0.0, 0.0, 0.0, 5.0), 1.0, -2.0)
    Line(x=-1.0, y=0.0, direction=0.0, length=4.0)
    """
    if not start and not stop:
        return segment
    if not isinstance(segment, Line):
        raise ValueError("only a straight can be made longer or shorter at a corner")  # noqa: TRY004 - a wrong place, not a wrong type
    if segment.length + start + stop <= SAME_STATION:
        raise ValueError(f"a straight of {segment.length} mm cannot be cut by {-start - stop} mm at corners")
    x, y = segment.point(np.array(-start)).tolist()
    return replace(segment, x=x, y=y, length=segment.length + start + stop)


def moved_start(here: Segment, there: Segment) -> float:
    """Return how far a straight's parallel begins before the normal of its own start, mm; 0 for curves."""
    if not (isinstance(here, Line) and isinstance(there, Line)):
        return 0.0
    along = (here.x - there.x) * math.cos(here.direction) + (here.y - there.y) * math.sin(here.direction)
    return float(along)
