"""Chords between marks: how long, how far the line leaves them, and rises on a straightedge."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.optimize import brentq

from layout.outline.chain import Chain
from layout.outline.tolerances import SAME_STATION

STRAIGHTEDGE: Final = {"in": 1219.2, "mm": 1200.0}
"""mm: 4 ft, or 1.2 m, the length of a common level (common practice, no source)"""
LARGE_RADIUS: Final = 1500.0
"""mm: past it a radius gauge of paper is unwieldy and a straightedge reads better (assumed)"""
_PLACES: Final = 64
"""places of a stretch at which the foot of the mid-ordinate is looked for before it is found exactly"""
_WITHIN: Final = 3 * SAME_STATION
"""mm from a mark: what bends only from there on is not between the marks"""
_HOLLOW: Final = -1e-9
"""1/mm: under it a line is hollow; 1000 km of radius is straight"""


@dataclass(frozen=True)
class Chord:
    """The straight between two marks of one line."""

    length: float
    """mm"""
    mid_ordinate: float
    """mm from the chord's middle square to the line; + where the line stands out towards the viewer"""
    leaving: float
    """radians between the chord and the line at its start, never negative"""
    meeting: float
    """radians at its end"""
    clear: bool
    """the line is nowhere convex between the marks: a tape can be stretched"""


def chord_between(line: Chain, start: float, end: float) -> Chord:
    """Return the chord between two stations, mm; on a closed line `end` may pass the datum.

    Raises
    ------
    ValueError
        Where the stations are one place.

    Examples
    --------
    A chord of 96 with a rise of 12 has a radius of 102 (carpenters' tables).

    >>> from layout.outline.curves import Arc
    >>> half = math.asin(48 / 102)
    >>> wall = Chain((Arc(0.0, 0.0, radius=102.0, start=0.0, sweep=2 * half),), closed=False)
    >>> chord = chord_between(wall, 0.0, wall.length)
    >>> round(chord.length, 9), round(chord.mid_ordinate, 9), chord.clear
    (96.0, 12.0, False)
    """
    a, b = line.point(np.array([start, end]))
    along = b - a
    length = float(np.hypot(*along))
    if not (end > start and length > 0):
        raise ValueError(f"no chord runs between stations {start} and {end}")
    way = along / length
    heading = line.heading(np.array([start, end]))
    turn = math.atan2(way[1], way[0])
    leaving, meeting = (abs(math.remainder(float(h) - turn, math.tau)) for h in heading)
    within = min(_WITHIN, (end - start) / 3)
    _, most = line.extreme_curvature(start + within, end - within)
    rise = _mid_ordinate(line, (start, end), (a + b) / 2, way)
    return Chord(length, rise, leaving, meeting, clear=float(most) <= -_HOLLOW)


def _mid_ordinate(line: Chain, stretch: tuple[float, float], middle: np.ndarray, way: np.ndarray) -> float:
    """Return where the square through the chord's middle meets the line, to the right of travel."""

    def ahead(station: float) -> float:
        return float((line.point(station) - middle) @ way)

    stations = np.linspace(*stretch, _PLACES)
    passed = (line.point(stations) - middle) @ way
    turns = np.flatnonzero((passed[:-1] < 0) & (passed[1:] >= 0))
    # Of several crossings (a stretch that doubles back) the one nearest the middle of the stretch.
    cell = int(turns[np.argmin(np.abs(turns - (_PLACES - 2) / 2))])
    low, high = stations[cell], stations[cell + 1]
    met = ahead(low) < 0 <= ahead(high)  # else a place lies on the foot to the last bit
    foot = float(brentq(ahead, low, high, xtol=1e-9)) if met else float(high)
    away = line.point(foot) - middle
    return float(away[0] * way[1] - away[1] * way[0])


def straightedge_rise(radius: float, length: float) -> float:
    """Return the gap (mm) between a straightedge and a round wall.

    R − √(R² − L²/4): at the middle of a straightedge whose ends touch a hollow wall, or at both ends of one
    held level against a convex wall at its middle.

    Raises
    ------
    ValueError
        Where the straightedge is longer than the round is wide.

    Examples
    --------
    Chord 20, rise 5: radius 12.5 (carpenters' tables).

    >>> straightedge_rise(12.5, 20.0)
    5.0
    """
    half = length / 2
    if not 0 < half <= radius:
        raise ValueError(f"a straightedge of {length} does not fit a radius of {radius}")
    return half * half / (radius + math.sqrt((radius - half) * (radius + half)))


def tape_lies(line: Chain, station: float) -> bool:
    """Tell whether a tape laid on the line from station 0 lies against it up to a station.

    On a hollow stretch it spans.
    """
    if station <= 2 * _WITHIN:
        return True
    least, _ = line.extreme_curvature(_WITHIN, station - _WITHIN)
    return float(least) >= _HOLLOW
