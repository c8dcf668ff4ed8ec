"""Which line of a drawing is meant, or in words why none is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from layout.errors import Fault, JobFaults
from layout.job.keys_drawn import LEAST_OUTLINE
from layout.job.model import OutlineSpec
from layout.outline.drawing_chains import Strand
from layout.outline.drawing_lines import DrawnLines, shown
from layout.outline.drawing_pieces import XY, rough_length, start_of
from layout.outline.tolerances import DRAWING_GAP, SAME_DISTANCE, SAME_POINT
from layout.units import UNITS, format_length

MOST_TOLD: Final = 5
"""Places of one kind that a fault lists; more make no clearer reading (assumed)."""

MOST_COMPARED: Final = 50
"""Lines that are compared with each other for being one drawn twice; of more, one has to be named anyway."""

MOST_SAMPLED: Final = 200
"""Segments of a line up to which places inside them tell its size; of more, the joints do (assumed)."""


def choose(lines: DrawnLines, spec: OutlineSpec, units: str) -> Strand:
    """Return the line that an outline asks for.

    Raises
    ------
    JobFaults
        Where there is none, or `near` must say which.
    """
    fitting = candidates(lines, closed=spec.closed, units=units)
    if not fitting:
        raise JobFaults(_none_faults(lines, spec, units))
    if len(fitting) == 1:
        return fitting[0]
    if spec.near is None:
        what = "close" if spec.closed else "are open"
        rule = f"several lines of this layer {what}: {_listed([_told(each, units) for each in fitting])}"
        raise JobFaults([Fault(f"{spec.key}.near", "", rule, "Add near = [x, y], a point by the one that is meant")])
    away = [_distance(each, spec.near) for each in fitting]
    nearest = [each for each, far in zip(fitting, away, strict=True) if far <= min(away) + SAME_DISTANCE]
    if len(nearest) == 1:
        return nearest[0]
    rule = (
        f"one line must be nearest to this point, and these are as near: {_listed([_told(n, units) for n in nearest])}"
    )
    raise JobFaults([Fault(f"{spec.key}.near", _xy(spec.near, units), rule, "Move near towards one of them")])


def candidates(lines: DrawnLines, *, closed: bool, units: str) -> list[Strand]:
    """Return the lines that might be meant: loops or open lines of a counter's size, each once."""
    least = LEAST_OUTLINE[UNITS.index(units)]
    fitting = [
        strand
        for strand in lines.chains.strands
        if strand.closed == closed and not (strand.branched and not closed) and _size(strand) >= least
    ]
    if len(fitting) > MOST_COMPARED:
        return fitting
    kept: list[Strand] = []
    for strand in fitting:
        if not any(alike(strand, other) for other in kept):
            kept.append(strand)
    return kept


def _size(strand: Strand) -> float:
    """Return the longer side of the box round a line's joints and middles, mm; of an open one its length."""
    if not strand.closed:
        return math.fsum(segment.length for segment in strand.segments)
    if len(strand.segments) > MOST_SAMPLED:
        places = np.array([start_of(segment) for segment in strand.segments])
    else:
        places = np.concatenate([each.point(np.linspace(0.0, each.length, 5)) for each in strand.segments])
    return float(np.ptp(places, axis=0).max())


def alike(one: Strand, other: Strand) -> bool:
    """Whether two loops are one drawn twice, in other pieces."""
    lengths = [sum(map(rough_length, strand.segments)) for strand in (one, other)]
    if abs(lengths[0] - lengths[1]) > SAME_POINT * max(1.0, lengths[0] / 1000):
        return False
    looks = [segment.point(np.array(segment.length / 3)) for segment in one.segments[:3]]
    return all(_distance(other, (float(x), float(y))) <= SAME_POINT for x, y in looks)


def _distance(strand: Strand, place: XY) -> float:
    """Return how far a place is from a line, mm."""
    xy = np.array(place)
    return min(float(np.linalg.norm(segment.point(segment.feet(xy)) - xy, axis=1).min()) for segment in strand.segments)


def _none_faults(lines: DrawnLines, spec: OutlineSpec, units: str) -> list[Fault]:
    """Say why no line will do: where it is open, or branches, or is too small."""
    key, value = f"{spec.key}.file", spec.file or ""
    strands = lines.chains.strands
    faults = []
    if lines.chains.branches and any(strand.branched for strand in strands):
        places = _listed([_xy(place, units) for place in lines.chains.branches])
        rule = f"a line must not branch, and more than two pieces meet at {places}"
        faults.append(Fault(key, value, rule, "Put what does not belong to it on another layer"))
    if spec.closed and lines.chains.gaps:
        places = _listed([f"{_fine(gap.gap, units)} at {_xy((gap.x, gap.y), units)}" for gap in lines.chains.gaps])
        rule = f"gaps up to {format_length(DRAWING_GAP, 'mm')} are joined, and these are wider: {places}"
        faults.append(Fault(key, value, rule, "Close them in the drawing"))
    if faults:
        return faults
    least = LEAST_OUTLINE[UNITS.index(units)]
    fitting = [strand for strand in strands if strand.closed == spec.closed]
    longer = (strand for strand in strands if strand.closed != spec.closed)
    if fitting and not any(sum(map(rough_length, strand.segments)) >= least for strand in longer):
        rule = f"a counter's line is at least {format_length(least, units)} across, and what is drawn here is less"
        return [Fault(key, value, rule, "Look at the layer, and at the drawing's units")]
    if not strands:
        held = _listed([f"{aside.count} {aside.what}" for aside in lines.aside])
        rule = f"layer {shown(lines.layer)} holds nothing that a line is made of" + (f", but {held}" if held else "")
        return [Fault(key, value, rule, "Name another layer")]
    longest = max(strands, key=lambda strand: sum(map(rough_length, strand.segments)))
    if not spec.closed:
        remedy = "Leave closed out, or name another layer"
        return [Fault(key, value, "an open line is asked for, and all lines of this layer close", remedy)]
    start, end = (_xy(place, units) for place in longest.ends)
    rule = f"no line of layer {shown(lines.layer)} closes; the longest goes from {start} to {end}"
    return [Fault(key, value, rule, "Close it in the drawing, or say closed = false")]


def _told(strand: Strand, units: str) -> str:
    length = format_length(math.fsum(segment.length for segment in strand.segments), units)
    return f"{length} long through {_xy(strand.middle, units)}"


def _listed(items: Sequence[str]) -> str:
    """Return items as one text, the first of many."""
    more = len(items) - MOST_TOLD
    return "; ".join(items[:MOST_TOLD]) + (f"; and {more} more" if more > 0 else "")


def _fine(mm: float, units: str) -> str:
    return format_length(mm, units, precision=64 if units == "in" else 2)


def _xy(xy: XY, units: str) -> str:
    return f"x {format_length(xy[0], units)}, y {format_length(xy[1], units)}"
