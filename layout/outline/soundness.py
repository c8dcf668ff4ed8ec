"""Whether a line can carry a face: it closes, has no corner, does not cross itself, and its parallels hold.

Every fault names the place in words, in the job's units: how far along the line (its stations), x and y.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from layout.errors import Fault, JobFaults
from layout.outline.chain import Chain, break_between
from layout.outline.segment import Floats, Segment
from layout.outline.tolerances import CLOSURE, CROSSING_CHORD, FOLD, SAME_PLACE, SMOOTH
from layout.units import format_length


def joint_faults(
    segments: tuple[Segment, ...], closed: bool, key: str, units: str, *, cornered: bool = False
) -> list[Fault]:
    """Return a fault for every gap and unwanted corner of a line as drawn; with none it is a chain.

    Parameters
    ----------
    segments
        At least one, in the direction drawn.
    closed
        Whether the line must close.
    key
        Where the line stands in the job file, as ``outline.steps``.
    units
        The job's units, for the words.
    cornered
        Whether the job says how runs meet at corners.
    """
    faults, along = [], 0.0
    for before, after in pairwise(segments):
        along += before.length
        gap, corner = break_between(before, after)
        where = _at(after.point(np.array(0.0)), along, units)
        if gap > CLOSURE:
            rule = f"the line must hold together, and it has a gap of {_fine(gap, units)} {where}"
            faults.append(Fault(key, "", rule, "Join the pieces there"))
        if abs(corner) > SMOOTH and not cornered:
            faults.append(_corner_fault(corner, where, key))
    return faults + (_closing_faults(segments, key, units, cornered=cornered) if closed else [])


def crossing_faults(chain: Chain, key: str, units: str) -> list[Fault]:
    """Return the fault of a drawn line that crosses itself, else none; parameters as `joint_faults`."""
    crossing = self_crossing(chain)
    if crossing is None:
        return []
    rule = f"the line must not cross itself, and it does {_meeting(crossing, units)}"
    return [Fault(key, "", rule, "Draw the two parts clear of each other")]


def fold_faults(chain: Chain, d: float, key: str, units: str, value: str = "") -> list[Fault]:
    """Return a fault for each segment whose parallel at `d` folds; parameters as `checked_parallel`."""
    faults, start = [], 0.0
    limit = format_length(abs(d), units)
    for segment in chain.segments:
        local = np.array([0.0, *segment.curvature_turns, segment.length])
        bends = segment.curvature(local)
        tightest = int(np.argmin(1 + d * bends))
        if 1 + d * bends[tightest] <= FOLD:
            where = _at(segment.point(local[tightest]), start + float(local[tightest]), units)
            rule = f"the line {_beside(d, units)} must not fold, and it does {where}, where the radius is "
            rule += format_length(1 / abs(float(bends[tightest])), units)
            remedy = f"Give that curve a radius over {limit}, or bring that line nearer"
            faults.append(Fault(key, value, rule, remedy))
        start += segment.length
    return faults


def checked_parallel(chain: Chain, d: float, key: str, units: str, value: str = "") -> Chain:
    """Return the parallel at `d` mm towards the viewer, or refuse it.

    Parameters
    ----------
    chain
        The line; places are told by its stations.
    d
        mm, negative away from the viewer.
    key
        What in the job file sets the distance, as ``outline.inset``.
    units
        The job's units, for the words.
    value
        That key's value as given, where there is one to show.

    Raises
    ------
    JobFaults
        Where it folds, with every such place; else where two far parts of it cross.

    Examples
    --------
    >>> from layout.outline.curves import Arc
    >>> ring = Chain((Arc(0.0, 0.0, radius=100.0, start=0.0, sweep=2 * math.pi),), closed=True)
    >>> checked_parallel(ring, 20.0, "scallop.depth", "mm").smallest_radius
    120.0
    >>> checked_parallel(ring, -100.0, "outline.inset", "mm", "100 mm")
    Traceback (most recent call last):
    layout.errors.JobFaults: outline.inset = 100 mm: the line 100 mm away from the viewer must not fold, \
and it does 0 mm along, at x 100 mm, y 0 mm, where the radius is 100 mm. Give that curve a radius over \
100 mm, or bring that line nearer.
    """
    if faults := fold_faults(chain, d, key, units, value):
        raise JobFaults(faults)
    try:
        parallel = chain.parallel(d)
    except ValueError as error:  # gap and break, both within tolerance, add up far off the line
        rule = f"the line {_beside(d, units)} must hold together, and it comes apart where the outline closes"
        remedy = "Close the outline without a gap or a break of direction"
        raise JobFaults([Fault(key, value, rule, remedy)]) from error
    crossing = self_crossing(parallel) if d else None
    if crossing is not None:
        here, there = parallel.carry(np.array([crossing.here, crossing.there]), chain).tolist()
        meeting = _meeting(Crossing(crossing.x, crossing.y, here, there), units)
        rule = f"the line {_beside(d, units)} must not cross itself, and it does {meeting}"
        raise JobFaults([Fault(key, value, rule, "Widen the narrow place, or bring that line nearer")])
    return parallel


@dataclass(frozen=True)
class Crossing:
    """Where a line crosses or touches itself."""

    x: float
    """mm"""
    y: float
    here: float
    """mm, station of the part that is walked first, within `CROSSING_CHORD`"""
    there: float
    """mm, station of the other part"""


def self_crossing(chain: Chain) -> Crossing | None:
    """Return the first place where a line crosses or touches itself, or None.

    Looked for on a polyline within `CROSSING_CHORD` of the line. A smooth loop that only ever turns one
    way, once round, cannot cross itself (do Carmo, Differential Geometry of Curves and Surfaces, §5-7,
    from memory) and is not looked at.

    Examples
    --------
    >>> from layout.outline.curves import Arc, Line
    >>> bend = Arc(1000.0, 300.0, radius=300.0, start=-math.pi / 2, sweep=1.5 * math.pi)
    >>> loop = Chain((Line(0.0, 0.0, 0.0, 1000.0), bend, Line(700.0, 300.0, -math.pi / 2, 800.0)), False)
    >>> self_crossing(loop)  # the tail comes down through the straight
    Crossing(x=700.0, y=0.0, here=700.0, there=2713.716694115407)
    """
    if _is_convex_loop(chain):
        return None
    import shapely  # noqa: PLC0415 - 0.1 s that a convex loop need not pay

    stations = chain.mesh(tolerance=CROSSING_CHORD)
    points = chain.point(stations)
    meets = chain.closed or math.dist(points[0], points[-1]) <= CLOSURE
    if meets:
        points[-1] = points[0]
    chords = [shapely.LineString(pair) for pair in np.stack([points[:-1], points[1:]], axis=1)]
    one, other = np.sort(shapely.STRtree(chords).query(chords, predicate="intersects"), axis=0)
    apart = stations[other] - stations[one + 1]
    if meets:
        apart = np.minimum(apart, stations[one] + chain.length - stations[other + 1])
    found = np.flatnonzero(apart > SAME_PLACE)
    if not found.size:
        return None
    first = found[np.lexsort((other[found], one[found]))[0]]
    i, j = int(one[first]), int(other[first])
    place = shapely.get_coordinates(chords[i].intersection(chords[j]))[0]
    here, there = (float(stations[k]) + math.dist(points[k], place) for k in (i, j))
    return Crossing(float(place[0]), float(place[1]), here, min(there, chain.length))


def _is_convex_loop(chain: Chain) -> bool:
    """Whether a line is closed, never turns back, and turns once round."""
    least, most = chain.extreme_curvature(0.0, chain.length)
    one_way = bool(least >= 0 or most <= 0)
    return chain.closed and one_way and abs(round(chain.turning / math.tau)) == 1


def _closing_faults(segments: tuple[Segment, ...], key: str, units: str, *, cornered: bool) -> list[Fault]:
    """Faults where the end of a closed line should meet its start."""
    last, first = segments[-1], segments[0]
    gap, corner = break_between(last, first)
    start, end = first.point(np.array(0.0)), last.point(np.array(last.length))
    faults = []
    if gap > CLOSURE:
        rule = (
            f"a closed line must end where it starts, within {format_length(CLOSURE, 'mm')}, and it ends "
            f"{_fine(gap, units)} away: at {_xy(end, units)} instead of {_xy(start, units)}"
        )
        faults.append(Fault(key, "", rule, "Correct the steps, or say closed = false"))
    if abs(corner) > SMOOTH and not cornered:
        faults.append(_corner_fault(corner, f"where it closes, at {_xy(start, units)}", key))
    return faults


def _corner_fault(corner: float, where: str, key: str) -> Fault:
    angle = f"{abs(math.degrees(corner)):.2f}° to the {'left' if corner > 0 else 'right'}"
    rule = f"the line must be smooth, and it has a corner of {angle} {where}"
    remedy = 'Round the corner with an arc, or say how runs meet there: corner = "mitre" or "return"'
    return Fault(key, "", rule, remedy)


def _meeting(crossing: Crossing, units: str) -> str:
    here, there = format_length(crossing.here, units), format_length(crossing.there, units)
    return f"at {_xy((crossing.x, crossing.y), units)}: {here} along meets {there} along"


def _fine(mm: float, units: str) -> str:
    """Format a length that may be small: to 1/64 in or 0.01 mm."""
    return format_length(mm, units, precision=64 if units == "in" else 2)


def _beside(d: float, units: str) -> str:
    return f"{format_length(abs(d), units)} {'towards' if d > 0 else 'away from'} the viewer"


def _at(xy: Floats, station: float, units: str) -> str:
    return f"{format_length(station, units)} along, at {_xy(xy, units)}"


def _xy(xy: Floats | tuple[float, float], units: str) -> str:
    return f"x {format_length(float(xy[0]), units)}, y {format_length(float(xy[1]), units)}"
