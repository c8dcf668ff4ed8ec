"""From what a job says of an outline to the lines that the face is set out on.

build → direction by face → back line → datum: the story of `walk`, top to bottom.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec
from layout.outline.chain import Chain
from layout.outline.corners import refuse_corners
from layout.outline.drawing import Source, few_faults, read_drawing
from layout.outline.segment import Floats, Segment
from layout.outline.shapes import drawn_segments
from layout.outline.soundness import checked_parallel, crossing_faults, fold_faults, joint_faults
from layout.outline.survey import surveyed
from layout.outline.survey_source import SurveySource
from layout.outline.tolerances import LEVEL, SAME_STATION
from layout.units import format_length

__all__ = ["Walked", "checked_parallel", "walk"]


@dataclass(frozen=True)
class Walked:
    """An outline and its back line, in the direction of stations, both from the datum's normal on."""

    drawn: Chain
    """the outline as drawn"""
    back: Chain
    """the line that the face sits on; its stations are the stations of the job"""
    datum: tuple[float, float]
    """mm, the back line's point at station 0"""
    source: Source | None = None
    """of an outline out of a drawing: what was read, joined and left aside"""
    survey: SurveySource | None = None
    """of a surveyed outline: what was read, and how far off the line the marks are"""


def walk(spec: OutlineSpec, units: str = "mm") -> Walked:
    """Return the outline and its back line, walked left to right as the viewer faces the face.

    Parameters
    ----------
    spec
        The outline as the job gives it, mm.
    units
        The job's units, for the words of faults: ``in`` or ``mm``.

    Raises
    ------
    JobFaults
        All that can be known together: a figure that cannot be; a line that does not close, has a
        corner or crosses itself; a back line that folds or crosses itself; a datum that is none.

    Examples
    --------
    >>> ring = walk(OutlineSpec("", "circle", diameter=2000.0, inset=100.0))
    >>> ring.back.smallest_radius, [round(c, 9) + 0.0 for c in ring.datum]
    (900.0, [0.0, -900.0])
    >>> walk(OutlineSpec("", "circle", diameter=2000.0, datum=(0.0, 0.0)))  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    layout.errors.JobFaults: outline.datum = x 0 mm, y 0 mm: one point of the back line must be nearest...
    """
    read = read_drawing(spec, units) if spec.shape == "dxf" else None
    laid = surveyed(spec, units) if spec.shape == "points" else None
    given = read or laid
    drawn = _sound_line(spec, given.segments if given else drawn_segments(spec, units), units)
    inset = format_length(spec.inset, units)
    if spec.corner is not None:
        refuse_corners(drawn, "mitre", -spec.inset, spec.key, units)
    back = checked_parallel(drawn, -spec.inset, f"{spec.key}.inset", units, inset)
    if spec.closed:
        drawn = drawn.started_at(float(back.carry(_datum_station(spec, back, units), drawn)))
        if spec.corner is not None:  # the datum may have parted a straight beside a corner
            refuse_corners(drawn, "mitre", -spec.inset, spec.key, units)
        back = drawn.parallel(-spec.inset)
    x, y = back.point(0.0).tolist()
    return Walked(drawn, back, (x, y), read.source if read else None, laid.source if laid else None)


def _sound_line(spec: OutlineSpec, segments: tuple[Segment, ...], units: str) -> Chain:
    """Return the drawn line in station direction, or refuse it with all that is wrong so far."""
    key = _drawing_key(spec)
    wrong_face = _face_faults(spec)
    faults = wrong_face + _open_datum_faults(spec, units)
    cornered = spec.corner is not None
    if breaks := joint_faults(segments, spec.closed, key, units, cornered=cornered):
        holds = not joint_faults(segments, False, key, units, cornered=cornered)
        crossings = crossing_faults(Chain(segments, False, cornered), key, units) if holds else []
        raise JobFaults(faults + few_faults(breaks) + crossings)
    line = Chain(segments, spec.closed, cornered)
    drawn = _in_station_direction(line, spec.face)
    faults += crossing_faults(line, key, units)
    if faults and not wrong_face:
        inset = format_length(spec.inset, units)
        faults += fold_faults(drawn, -spec.inset, f"{spec.key}.inset", units, inset)
    if faults:
        raise JobFaults(faults)
    return drawn


def _drawing_key(spec: OutlineSpec) -> str:
    """Key that the drawn line's faults stand under: a path's steps, a drawing's file, the shape of any other."""
    named = {"path": "steps", "dxf": "file", "points": "points"}.get(spec.shape, "shape")
    return f"{spec.key}.{named}"


def _face_faults(spec: OutlineSpec) -> list[Fault]:
    """Check that the face is one that the line has."""
    allowed = ("outside", "inside") if spec.closed else ("right", "left")
    if spec.face in allowed:
        return []
    line = "a closed outline" if spec.closed else "an open line"
    rule = f"{line} has a face {allowed[0]} or {allowed[1]}"
    return [Fault(f"{spec.key}.face", spec.face, rule, f"Choose {allowed[0]} or {allowed[1]}")]


def _open_datum_faults(spec: OutlineSpec, units: str) -> list[Fault]:
    if spec.closed or spec.datum is None:
        return []
    rule = "on an open line the datum is its left end, and nothing else may be given"
    return [Fault(f"{spec.key}.datum", _xy(spec.datum, units), rule, "Leave the datum out")]


def _in_station_direction(drawn: Chain, face: str) -> Chain:
    """Turn a drawn line so that the viewer of this face is on the right of travel."""
    if not drawn.closed:
        return drawn if face == "right" else drawn.reversed()
    anticlockwise = drawn.turned > 0
    return drawn if anticlockwise == (face == "outside") else drawn.reversed()


def _datum_station(spec: OutlineSpec, back: Chain, units: str) -> float:
    """Station of a closed back line where stations are to start."""
    if spec.datum is None:
        return lowest_station(back)
    stations, _ = back.nearest(spec.datum)
    if len(stations) == 1:
        return float(stations[0])
    places = " and ".join(_xy(tuple(point), units) for point in back.point(stations[:2]).tolist())
    rule = f"one point of the back line must be nearest to the datum, and these are as near: {places}"
    raise JobFaults([Fault(f"{spec.key}.datum", _xy(spec.datum, units), rule, "Move the datum towards one of them")])


def lowest_station(line: Chain) -> float:
    """Return the station of a closed line's lowest point, mm, within [0, length).

    Of a lowest straight its middle; of several lowest places the leftmost.

    Examples
    --------
    >>> spec = OutlineSpec("", "stadium", length=3000.0, width=1000.0)
    >>> stadium = Chain(drawn_segments(spec), closed=True)  # starts at its lower straight's left end
    >>> lowest_station(stadium)
    1000.0
    """
    stations = line.aligned(0.0)
    stations = stations[np.diff(stations, append=line.length) > SAME_STATION]
    heights = line.point(stations)[:, 1]
    low = stations[heights <= heights.min() + LEVEL]
    ahead = np.append(low[1:], low[0] + line.length)
    level = line.point((low + ahead) / 2)[:, 1] <= heights.min() + LEVEL
    # A lowest place begins wherever the stretch behind it is not level too.
    begins = np.flatnonzero(~np.roll(level, 1))
    middles = np.array([_middle(low, level, int(i), line.length) for i in begins])
    places = line.point(middles)
    leftmost = np.flatnonzero(places[:, 0] <= places[:, 0].min() + LEVEL)
    return float(np.min(np.mod(middles[leftmost], line.length)))


def _middle(low: Floats, level: NDArray[np.bool_], first: int, length: float) -> float:
    """Middle of the lowest place that begins at `low[first]` and goes on while it is level."""
    last = first
    while level[last % len(low)]:
        last += 1
    laps, end = divmod(last, len(low))
    return float(low[first] + low[end] + laps * length) / 2


def _xy(xy: tuple[float, ...], units: str) -> str:
    return f"x {format_length(xy[0], units)}, y {format_length(xy[1], units)}"
