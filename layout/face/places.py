"""Where the stations that a job names lie on its lines: ends of runs, zones, and whether they are there at all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from layout.errors import Fault
from layout.face.costs import SAME_STATION
from layout.face.openings import gaps_of, in_gap, jambs_of, opening_faults
from layout.face.safe_side import LENGTH_STEP
from layout.job.model import Job, Opening, Zone
from layout.outline.chain import Chain
from layout.outline.tolerances import SMOOTH
from layout.outline.walk import Walked
from layout.units import format_length

LEAST_RUN = 0.5
"""share of the pitch; ends of runs nearer to each other are a slip, for no whole scallop fits (assumed)"""


@dataclass(frozen=True)
class Mark:
    """A place of a line where one run ends and the next begins."""

    station: float
    """mm, 0 to the line's length; less than it on a loop"""
    why: str
    key: str
    """of the job file, for messages"""


def settled(station: float, back: Chain, units: str) -> float:
    """Return the station that is meant: within half of the last figure shown off a line's end it is the end.

    The end of a loop is its datum, station 0.

    >>> from layout.outline.curves import Line
    >>> wall = Chain((Line(0.0, 0.0, 0.0, 1000.03),), closed=False)
    >>> settled(1000.0, wall, "mm"), settled(999.9, wall, "mm"), settled(0.04, wall, "mm")
    (1000.03, 999.9, 0.0)
    """
    near = LENGTH_STEP[units] / 2 + SAME_STATION
    if station > back.length - near:
        return 0.0 if back.closed else back.length
    return 0.0 if station < near and not back.closed else station


def extent(zone: Zone, back: Chain, units: str) -> tuple[float, float]:
    """Return where a zone begins and ends on its line, mm; on a loop the end may lie past the length."""
    start, end = settled(zone.start, back, units), settled(zone.end, back, units)
    return start, end + back.length if back.closed and end <= start + SAME_STATION else end


def on_outline(job: Job, outline: int, name: str) -> bool:
    """Tell whether a place that names this outline, or none, is on the outline of this index."""
    return name in ("", job.outlines[outline].name)


def zones_on(job: Job, outline: int) -> list[tuple[int, Zone]]:
    """Return an outline's zones, each with its number in the file."""
    return [(k, zone) for k, zone in enumerate(job.zones, 1) if on_outline(job, outline, zone.outline)]


def marks_on(job: Job, outline: int, back: Chain) -> list[Mark]:
    """Return the places of a line where runs meet, in rising order; several at one station are one.

    The ends of an open line are none: its runs end there anyway.
    """
    asked = [
        Mark(settled(need.at, back, job.units), need.why, f"seams.require[{k}].at")
        for k, need in enumerate(job.seams.require, 1)
        if on_outline(job, outline, need.outline)
    ]
    for k, zone in zones_on(job, outline):
        start, end = extent(zone, back, job.units)
        asked.append(Mark(start, f"{zone.name} begins", f"zone[{k}].from"))
        end -= back.length if back.closed and end >= back.length else 0.0
        asked.append(Mark(end, f"{zone.name} ends", f"zone[{k}].to"))
    asked += _jamb_marks(job, outline, back)
    asked += [Mark(at, "corner", f"{job.outlines[outline].key}.corner") for at, _ in turns_on(back)]
    asked.sort(key=lambda mark: mark.station)
    found: list[Mark] = []
    for mark in asked:
        if not back.closed and not SAME_STATION < mark.station < back.length - SAME_STATION:
            continue
        again = found and mark.station - found[-1].station <= SAME_STATION
        found.append(_both(found.pop(), mark) if again else mark)
    return found


def openings_on(job: Job, outline: int, back: Chain) -> list[tuple[int, Opening]]:
    """Return a line's openings, each with its number in the file, what is as good as its end brought there."""
    return [
        (k, replace(one, start=settled(one.start, back, job.units), end=settled(one.end, back, job.units)))
        for k, one in enumerate(job.openings, 1)
        if on_outline(job, outline, one.outline)
    ]


def turns_on(back: Chain) -> list[tuple[float, float]]:
    """Return each corner of a line that may have them: station, and δ in radians, left positive.

    >>> from layout.outline.curves import Line
    >>> import math
    >>> wall = Chain((Line(0.0, 0.0, 0.0, 5.0), Line(5.0, 0.0, math.pi / 2, 3.0)), closed=False, cornered=True)
    >>> turns_on(wall)
    [(5.0, 1.5707963267948966)]
    """
    if not back.cornered:
        return []
    return [(at % back.length if back.closed else at, turn) for at, _, turn in back.breaks if abs(turn) > SMOOTH]


def _jamb_marks(job: Job, outline: int, back: Chain) -> Iterator[Mark]:
    """Yield the places where openings end runs."""
    for number, opening in openings_on(job, outline, back):
        for jamb in jambs_of([opening], back):
            yield Mark(jamb.station, jamb.why, f"opening[{number}]")


def _both(first: Mark, second: Mark) -> Mark:
    """Return two marks of one place as one that says both reasons, each once."""
    if second.why in first.why.split("; "):
        return first
    return Mark(first.station, f"{first.why}; {second.why}", first.key)


def place_faults(job: Job, walked: Sequence[Walked]) -> list[Fault]:
    """Return a fault for each station off its line, and else for zones and ends of runs that cannot be."""
    faults = [fault for k, line in enumerate(walked) for fault in _past_the_end(job, k, line.back)]
    if not faults:
        faults = [
            fault
            for k, line in enumerate(walked)
            for found in (
                _zone_faults(job, k, line.back),
                opening_faults(job, openings_on(job, k, line.back), line.back),
            )
            for fault in found
        ]
    if not faults:
        faults = [fault for k, line in enumerate(walked) for fault in _crowded(job, k, line.back)]
    return faults


def _past_the_end(job: Job, outline: int, back: Chain) -> Iterator[Fault]:
    """Yield a fault for each station that lies past the end of its line."""
    shown = LENGTH_STEP[job.units] / 2
    named: list[tuple[str, str, float, float]] = []
    for k, avoid in enumerate(job.seams.avoid, 1):
        named += [(avoid.outline, f"seams.avoid[{k}].{end}", at, 0.0) for end, at in _ends(avoid.start, avoid.end)]
    for k, need in enumerate(job.seams.require, 1):
        named.append((need.outline, f"seams.require[{k}].at", need.at, shown))
    for k, zone in enumerate(job.zones, 1):
        named += [(zone.outline, f"zone[{k}].{end}", at, shown) for end, at in _ends(zone.start, zone.end)]
    for k, opening in enumerate(job.openings, 1):
        named += [(opening.outline, f"opening[{k}].{end}", at, shown) for end, at in _ends(opening.start, opening.end)]
    for name, key, station, past in named:
        if on_outline(job, outline, name) and station > back.length + past + SAME_STATION:
            wraps = "; on a loop a stretch past the datum has from > to" if not key.endswith("at") else ""
            yield Fault(
                key,
                format_length(station, job.units),
                f"the back line ends at station {format_length(back.length, job.units)}",
                f"Give a station on the line{wraps}",
            )


def _ends(start: float, end: float) -> tuple[tuple[str, float], tuple[str, float]]:
    return ("from", start), ("to", end)


def _zone_faults(job: Job, outline: int, back: Chain) -> Iterator[Fault]:
    """Yield a fault for each zone that is empty, goes all round, or overlaps one before it."""
    before: list[tuple[Zone, float, float]] = []
    for k, zone in zones_on(job, outline):
        start, end = extent(zone, back, job.units)
        if end - start <= SAME_STATION:
            shown = format_length(zone.end, job.units)
            yield Fault(f"zone[{k}].to", shown, "a zone does not end where it begins", "Give another station")
            continue
        if back.closed and end - start >= back.length - SAME_STATION:
            rule = "a zone is a part of its loop, and this one goes all round"
            yield Fault(f"zone[{k}]", zone.name, rule, "Set face.height instead, or give a shorter zone")
            continue
        for other, first, last in before:
            turns = (-back.length, 0.0, back.length) if back.closed else (0.0,)
            if any(min(end + lap, last) - max(start + lap, first) > SAME_STATION for lap in turns):
                rule = f"zones must not overlap, and this one overlaps {other.name}"
                shown = format_length(zone.start, job.units)
                yield Fault(f"zone[{k}].from", shown, rule, "Let one end before the other")
        before.append((zone, start, end))


def _crowded(job: Job, outline: int, back: Chain) -> Iterator[Fault]:
    """Yield a fault for each end of a run that is so near to another that no scallop fits between."""
    least = LEAST_RUN * (job.scallop.pitch_range or (job.scallop.pitch,))[0]
    marks = marks_on(job, outline, back)
    stations = [mark.station for mark in marks]
    if back.closed:
        befores = [stations[-1] - back.length, *stations[:-1]] if len(marks) > 1 else []
        pairs = list(zip(befores, marks, strict=False))
    else:
        pairs = list(zip([0.0, *stations[:-1]], marks, strict=False))
        if marks and back.length - stations[-1] < least:
            pairs.append((back.length, marks[-1]))
    gaps = gaps_of([opening for _, opening in openings_on(job, outline, back)], back)
    for other, mark in pairs:
        if in_gap(other, mark.station, gaps, back):
            continue
        if abs(mark.station - other) < least:
            shown = format_length(mark.station, job.units)
            gap = format_length(abs(mark.station - other), job.units)
            rule = f"no whole scallop fits between this end of a run and the one {gap} beside it"
            yield Fault(mark.key, shown, rule, "Give both the same station, or set them further apart")
