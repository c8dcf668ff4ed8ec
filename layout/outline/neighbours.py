"""Several outlines in one plan: whether the walls that their faces sit on stand clear of each other."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from layout.errors import Fault
from layout.job.model import OutlineSpec
from layout.outline.chain import Chain
from layout.outline.segment import Floats
from layout.outline.tolerances import CROSSING_CHORD, JOINT_GAP
from layout.units import format_length

CENTRED = {"circle", "ellipse", "stadium", "rounded-rectangle"}
"""Shapes that always lie about (0, 0)."""


def meeting_faults(specs: Sequence[OutlineSpec], backs: Sequence[Chain], units: str) -> list[Fault]:
    """Return a fault for each two outlines whose back lines cross or touch, told of the later one.

    One inside the other is sound, and so is an open line whose end comes up to the other (within
    `JOINT_GAP`): a screen that stands against a counter.

    Parameters
    ----------
    specs, backs
        Every outline of a job, and its back line.
    units
        The job's units, for the words.

    Examples
    --------
    >>> from layout.outline.curves import Line
    >>> specs = [OutlineSpec(name, "path", closed=False, key=f"outline[{k}]") for k, name in enumerate("ab", 1)]
    >>> across = Chain((Line(500.0, -300.0, np.pi / 2, 600.0),), closed=False)
    >>> along = Chain((Line(0.0, 0.0, 0.0, 1000.0),), closed=False)
    >>> print(meeting_faults(specs, [along, across], "mm")[0].rule)  # doctest: +ELLIPSIS
    two outlines stand clear of each other, and the back lines of a and b meet at x 500 mm, y 0 mm: 500 mm along a...
    >>> meeting_faults(specs, [along, across.parallel(-501.0)], "mm")
    []
    """
    traced = [(spec, back, _traced(back)) for spec, back in zip(specs, backs, strict=True)] if len(specs) > 1 else []
    found = (
        (one, other, _meeting(one[1], one[2], other[1], other[2])) for one, other in itertools.combinations(traced, 2)
    )
    return [_fault(one[0], other[0], place, units) for one, other, place in found if place is not None]


def _traced(chain: Chain) -> tuple[Floats, Floats]:
    """Return stations along a line, and its points there: a polyline within `CROSSING_CHORD`."""
    stations = chain.mesh(tolerance=CROSSING_CHORD)
    return stations, chain.point(stations)


def _meeting(one: Chain, first: tuple[Floats, Floats], other: Chain, second: tuple[Floats, Floats]) -> Floats | None:
    """Return x, y and both stations of the first place where two lines meet but at their ends; None: they do not."""
    import shapely  # noqa: PLC0415 - 0.1 s that a job of one outline need not pay

    mine, theirs = (
        [shapely.LineString(pair) for pair in np.stack([p[:-1], p[1:]], axis=1)] for _, p in (first, second)
    )
    near = shapely.STRtree(theirs).query(mine, predicate="dwithin", distance=CROSSING_CHORD)
    for i, j in near.T[np.lexsort(near[::-1])].tolist():
        # What of a chord lies on the other: of a crossing its place, of two straights in one their common part.
        common = mine[i].intersection(theirs[j].buffer(1.5 * CROSSING_CHORD))
        place = shapely.get_coordinates(common).mean(axis=0)
        here, there = _station(first, i, place), _station(second, j, place)
        if not (_at_end(one, here) or _at_end(other, there)):
            return np.array([*place, here, there])
    return None


def _station(traced: tuple[Floats, Floats], i: int, place: Floats) -> float:
    """Return the station of a place on chord i of a polyline, by its share of the chord."""
    stations, points = traced
    share = float(np.hypot(*(place - points[i])) / max(np.hypot(*(points[i + 1] - points[i])), 1e-12))
    return float(stations[i] + min(share, 1.0) * (stations[i + 1] - stations[i]))


def _at_end(chain: Chain, station: float) -> bool:
    return not chain.closed and min(station, chain.length - station) <= JOINT_GAP


def _fault(one: OutlineSpec, other: OutlineSpec, meeting: Floats, units: str) -> Fault:
    x, y, here, there = (format_length(float(mm), units) for mm in meeting)
    rule = (
        f"two outlines stand clear of each other, and the back lines of {one.name} and {other.name} meet "
        f"at x {x}, y {y}: {here} along {one.name} is {there} along {other.name}"
    )
    remedy = "Move one of them"
    if CENTRED & {one.shape, other.shape}:
        remedy += "; a named shape always lies about (0, 0): elsewhere write it as a path from its start, or a drawing"
    return Fault(f"{other.key}.name", other.name, rule, remedy)
