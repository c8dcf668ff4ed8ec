"""From a place as a job names it to its station on a walked back line."""

from __future__ import annotations

import math

import numpy as np

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec
from layout.job.place import Place
from layout.outline.chain import Chain
from layout.outline.segment import Floats
from layout.outline.tolerances import SAME_PLACE, SAME_STATION
from layout.outline.walk import Walked
from layout.units import format_angle, format_length

FARTHEST = 500.0
"""mm that a point may be off the line that it is near (assumed): farther off it is likely a slip."""

CENTRED = frozenset({"circle", "ellipse", "stadium", "rounded-rectangle"})
"""Shapes that are centred on (0, 0)."""

CENTROID_CHORD = 0.01
"""mm that the polygon leaves the line of which the centroid is taken."""

RAY_CHORD = 1.0
"""mm that the chords leave the line on which a ray's meetings are looked for, before they are halved to the end."""

HALVINGS = 60
"""Halvings of a chord; 45 reach a double's last bit."""


def station_of(place: Place, walked: Walked, spec: OutlineSpec, key: str, units: str) -> float:
    """Return the station of a place on the back line, mm.

    Parameters
    ----------
    place
        As the job names it.
    walked
        The outline that it is on, walked.
    spec
        The same outline as the job gives it.
    key
        Where the place stands in the job file, for the faults.
    units
        The job's units, for the words.

    Raises
    ------
    JobFaults
        Where the place is not on the line, or there are several.

    Examples
    --------
    >>> from layout.outline.walk import walk
    >>> spec = OutlineSpec("", "circle", diameter=2000.0)
    >>> round(station_of(Place(at_angle=0.0), walk(spec), spec, "opening[1].from", "mm"), 6)
    1570.796327
    >>> station_of(Place(near=(0.0, 0.0)), walk(spec), spec, "opening[1].from", "mm")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    layout.errors.JobFaults: opening[1].from = near x 0 mm, y 0 mm: one point of the back line must be nearest...
    """
    if place.station is not None:
        return _on_line(place.station, walked.back, key, units)
    if place.near is not None:
        return _nearest(place.near, walked.back, key, units)
    assert place.at_angle is not None  # noqa: S101 - a place is told in one of three ways
    return _at_angle(place.at_angle, centre_of(spec, walked.drawn), walked.back, key, units)


def centre_of(spec: OutlineSpec, drawn: Chain) -> tuple[float, float]:
    """Return the centre that angles are seen from, mm.

    Of a named shape (0, 0), where it is centred; of any other loop the centroid of the area that it
    encloses; of an open line the middle between its ends.

    >>> from layout.outline.shapes import drawn_segments
    >>> spec = OutlineSpec("", "stadium", length=3000.0, width=1000.0)
    >>> centre_of(spec, Chain(drawn_segments(spec), closed=True))
    (0.0, 0.0)
    """
    if spec.shape in CENTRED:
        return 0.0, 0.0
    if not drawn.closed:
        first, last = drawn.point([0.0, drawn.length]).tolist()
        return (first[0] + last[0]) / 2, (first[1] + last[1]) / 2
    outline = drawn.sample(tolerance=CENTROID_CHORD)
    middle = outline.mean(axis=0)
    (x, y), (u, v) = (outline[:-1] - middle).T, (outline[1:] - middle).T
    cross = x * v - u * y
    area = 3 * float(cross.sum())
    return float(cross @ (x + u)) / area + float(middle[0]), float(cross @ (y + v)) / area + float(middle[1])


def _on_line(station: float, back: Chain, key: str, units: str) -> float:
    if station <= back.length + SAME_STATION:
        return min(station, back.length)
    rule = f"the back line ends at station {format_length(back.length, units)}"
    raise JobFaults([Fault(key, format_length(station, units), rule, "Give a station on the line")])


def _nearest(xy: tuple[float, float], back: Chain, key: str, units: str) -> float:
    given = f"near {_xy(xy, units)}"
    stations, distances = back.nearest(xy)
    if len(stations) > 1:
        rule = f"one point of the back line must be nearest, and these are as near: {_listed(stations, back, units)}"
        raise JobFaults([Fault(key, given, rule, "Move the point towards one of them")])
    if distances[0] > FARTHEST:
        off, most = format_length(float(distances[0]), units), format_length(FARTHEST, units)
        rule = f"a point is within {most} of the back line that it is near, and this one is {off} off"
        raise JobFaults([Fault(key, given, rule, "Move it to the line, or look at its figures")])
    return float(stations[0])


def _at_angle(angle: float, centre: tuple[float, float], back: Chain, key: str, units: str) -> float:
    """Station where the ray from the centre meets the line, by halving the chords that it passes through."""
    given = f"at_angle {format_angle(angle)}"
    seen = f"seen from the outline's centre at {_xy(centre, units)}"
    meetings = _meetings(angle, centre, back)
    if not meetings.size:
        rule = f"the back line must be there at this angle, {seen}, and it is not"
        raise JobFaults([Fault(key, given, rule, "Give another angle, a station, or near = [x, y]")])
    if meetings.size > 1:
        places = _listed(meetings, back, units)
        rule = f"the back line must be there once at this angle, {seen}, and it is at {places}"
        raise JobFaults([Fault(key, given, rule, "Give one of these stations, or near = [x, y]")])
    return float(meetings[0])


def _meetings(angle: float, centre: tuple[float, float], back: Chain) -> Floats:
    way = np.array([math.cos(angle), math.sin(angle)])

    def aside(stations: Floats) -> Floats:
        off = back.point(stations) - centre
        return np.asarray(way[0] * off[:, 1] - way[1] * off[:, 0])

    mesh = back.mesh(tolerance=RAY_CHORD)
    left = aside(mesh) >= 0
    passed = np.flatnonzero(left[:-1] != left[1:])
    lo, hi = mesh[passed], mesh[passed + 1]
    for _ in range(HALVINGS):
        middle = (lo + hi) / 2
        same = (aside(middle) >= 0) == left[passed]
        lo, hi = np.where(same, middle, lo), np.where(same, hi, middle)
    ahead = (back.point(lo) - centre) @ way > 0
    found = lo[ahead]
    if back.closed:  # the end of a loop is its datum, station 0
        found = np.where(back.length - found <= SAME_STATION, 0.0, found)
    found = np.sort(found)
    if back.closed and found.size > 1 and found[0] + back.length - found[-1] <= SAME_PLACE:
        found = found[:-1]
    return np.asarray(found[np.diff(found, prepend=-math.inf) > SAME_PLACE])


def _listed(stations: Floats, back: Chain, units: str) -> str:
    points = back.point(stations)
    told = [
        f"station {format_length(float(station), units)} ({_xy((x, y), units)})"
        for station, (x, y) in zip(stations[:4], points[:4].tolist(), strict=True)
    ]
    return " and ".join(told) + (" and more" if len(stations) > 4 else "")


def _xy(xy: tuple[float, float], units: str) -> str:
    return f"x {format_length(xy[0], units)}, y {format_length(xy[1], units)}"
