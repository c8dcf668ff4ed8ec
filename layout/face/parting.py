"""Where each line of face is parted into runs: required seams, zones, corners, and jambs with their leaves."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from layout.face.openings import cut_end, extent_of, gaps_of, in_gap
from layout.face.places import Mark, extent, marks_on, openings_on, turns_on, zones_on
from layout.face.spans import Span
from layout.job.model import Job, Opening, Zone
from layout.outline.chain import Chain
from layout.outline.corners import ends_at
from layout.outline.tolerances import SAME_STATION
from layout.outline.walk import Walked


def spans_of(job: Job, walked: Sequence[Walked]) -> list[Span]:
    """Return the spans that runs fill, outline by outline, in the order of their stations.

    A loop without places where runs meet is one span, closed; with k of them it is k open ones, the first from
    the lowest of them, the last past the datum. An open line is k + 1. What lies in a gap is none.
    """
    return [span for k, line in enumerate(walked) for span in spans_on(job, k, line.back)]


def spans_on(job: Job, outline: int, back: Chain) -> list[Span]:
    """Return the spans of one line."""
    marks = marks_on(job, outline, back)
    name = job.outlines[outline].name or "face"
    if back.closed and not marks:
        return [Span(outline, name, 0.0, back.length, back.turning, closed=True, height=job.face.height, back=back)]
    if back.closed:
        ends = [*marks, replace(marks[0], station=marks[0].station + back.length)]
    else:
        ends = [Mark(0.0, "end", ""), *marks, Mark(back.length, "end", "")]
    gaps = gaps_of([opening for _, opening in openings_on(job, outline, back)], back)
    faced = [(a, b) for a, b in pairwise(ends) if not in_gap(a.station, b.station, gaps, back)]
    return _mitred(job, back, _named([_span_between(job, outline, back, a, b) for a, b in faced]))


def _span_between(job: Job, outline: int, back: Chain, first: Mark, last: Mark) -> Span:
    """Return the span between two marks, all parts of one name still under it, corners not yet seen to."""
    middle = (first.station + last.station) / 2
    zone = _zone_at(job, outline, back, middle)
    left, right, leaf = _openings_beside(job, outline, back, (first.station, last.station))
    plain = zone.name if zone else job.outlines[outline].name or "face"
    return Span(
        outline=outline,
        name=f"{job.openings[left - 1].name} leaf" if leaf and left else plain,
        start=first.station,
        end=last.station,
        turning=turned(back, last.station) - turned(back, first.station),
        closed=False,
        start_why=first.why,
        end_why=last.why,
        height=zone.height if zone else job.face.height,
        zone=zone.name if zone else "",
        cut=cut_end(job, _numbered(job, left), _numbered(job, right)) or "",
        left=left,
        right=right,
        leaf=leaf,
        back=back,
    )


def _numbered(job: Job, number: int) -> Opening | None:
    return job.openings[number - 1] if number else None


def _openings_beside(job: Job, outline: int, back: Chain, ends: tuple[float, float]) -> tuple[int, int, bool]:
    """Return the numbers of the openings that a span begins and ends at, 0 for none, and whether it is a leaf's."""
    left = right = 0
    laps = (-back.length, 0.0, back.length, 2 * back.length) if back.closed else (0.0,)
    middle = sum(ends) / 2
    for number, opening in openings_on(job, outline, back):
        start, end = extent_of(opening, back)
        if any(start < middle + lap < end for lap in laps):
            return number, number, True
        if any(abs(ends[0] + lap - end) <= SAME_STATION for lap in laps):
            left = number
        if any(abs(ends[1] + lap - start) <= SAME_STATION for lap in laps):
            right = number
    return left, right, False


def _mitred(job: Job, back: Chain, spans: Sequence[Span]) -> list[Span]:
    """Return the spans with what a corner changes where two of them meet in one."""
    if not spans or not back.cornered:
        return list(spans)
    kind = job.outlines[spans[0].outline].corner or "mitre"
    depth = job.scallop.depth + job.metal.thickness
    turns = turns_on(back)
    found = list(spans)
    cornered: set[tuple[int, str]] = set()
    for k, before in enumerate(spans):
        after = (k + 1) % len(spans)
        gap = spans[after].start - before.end
        if back.closed:
            gap %= back.length
            gap = min(gap, back.length - gap)
        turn = next((turn for at, turn in turns if _same(at, before.end, back)), 0.0)
        if turn and abs(gap) <= SAME_STATION:
            stop, start = ends_at(kind, turn, depth)
            found[k] = replace(found[k], stop=stop)
            found[after] = replace(found[after], start_turn=turn, begin=start)
            cornered |= {(k, "right"), (after, "left")}
    return [_cut_off_corners(job, span, [end for at, end in cornered if at == k]) for k, span in enumerate(found)]


def _cut_off_corners(job: Job, span: Span, corners: Sequence[str]) -> Span:
    """Return a span that is cut at no corner, for there no trim buries a cut: at its other end, or nowhere."""
    if span.cut not in corners:
        return span
    other = "left" if span.cut == "right" else "right"
    opening = _numbered(job, span.left if other == "left" else span.right)
    may = other not in corners and cut_end(job, opening, opening) is not None
    return replace(span, cut=other if may else "")


def _same(a: float, b: float, back: Chain) -> bool:
    apart = abs(a - b) % back.length if back.closed else abs(a - b)
    return min(apart, back.length - apart) <= SAME_STATION if back.closed else apart <= SAME_STATION


def _zone_at(job: Job, outline: int, back: Chain, station: float) -> Zone | None:
    """Return the zone that a station is in, on a loop in any lap."""
    laps = (-back.length, 0.0, back.length) if back.closed else (0.0,)
    for _, zone in zones_on(job, outline):
        start, end = extent(zone, back, job.units)
        if any(start < station + lap < end for lap in laps):
            return zone
    return None


def turned(back: Chain, station: float) -> float:
    """Return θ from station 0 to a station, radians, left positive; whole laps of a loop count as such.

    A break of tangent turns nothing: a parallel's length does not feel one too small to be a corner, and what a
    corner changes is counted by itself.
    """
    laps, rest = divmod(station, back.length) if back.closed else (0.0, station)
    corners = math.fsum(corner for at, _, corner in back.breaks if at <= rest)
    return float(back.heading(rest) - back.heading(0.0)) - corners + laps * back.turning


def _named(spans: Sequence[Span]) -> list[Span]:
    """Return a line's spans, numbered where several have one name."""
    names = [span.name for span in spans]
    seen = Counter[str]()
    found = []
    for span in spans:
        seen[span.name] += 1
        several = names.count(span.name) > 1
        found.append(replace(span, name=f"{span.name} {seen[span.name]}") if several else span)
    return found
