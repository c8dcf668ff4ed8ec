"""Gates and gaps: where the face stops at jambs, the leaf between them, and what fits whole scallops.

All lengths are at the count line unless they are stations. With whole ends, n scallops fill from
n·p·(1 − m) to n·p·(1 + m), m being the most take-up as a share of the pitch p.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from layout.errors import Fault
from layout.job.model import Job, Opening
from layout.outline.chain import Chain
from layout.outline.tolerances import SAME_STATION
from layout.units import format_length


@dataclass(frozen=True)
class Gap:
    """A stretch of back line without face."""

    start: float
    """mm, station, within the line"""
    end: float
    """mm, station; past the length where a loop's gap goes past the datum"""
    why: str


@dataclass(frozen=True)
class Jamb:
    """A place where a run ends, or a leaf does."""

    station: float
    """mm, within the line"""
    why: str


def extent_of(opening: Opening, back: Chain) -> tuple[float, float]:
    """Return the stations of an opening's jambs; on a loop the right one may lie past the length.

    >>> from layout.outline.curves import Arc
    >>> ring = Chain((Arc(0.0, 0.0, radius=1000 / math.tau, start=0.0, sweep=math.tau),), closed=True)
    >>> [round(s, 9) for s in extent_of(Opening("gate", 900.0, 100.0), ring)]
    [900.0, 1100.0]
    """
    if back.closed and opening.end <= opening.start + SAME_STATION:
        return opening.start, opening.end + back.length
    return opening.start, opening.end


def leaf_of(opening: Opening, back: Chain) -> tuple[float, float] | None:
    """Return the stations between which an opening's leaf has a face, its clearance off both jambs; None without."""
    if not opening.leaf:
        return None
    start, end = extent_of(opening, back)
    return start + opening.clearance, end - opening.clearance


def gaps_of(openings: Sequence[Opening], back: Chain) -> list[Gap]:
    """Return the stretches of one line without face: whole openings, or a leaf's clearances."""
    found = []
    for opening in openings:
        start, end = extent_of(opening, back)
        leaf = leaf_of(opening, back)
        for a, b in [(start, end)] if leaf is None else [(start, leaf[0]), (leaf[1], end)]:
            if b - a > SAME_STATION:
                lap = back.length if back.closed and a >= back.length - SAME_STATION else 0.0
                found.append(Gap(a - lap, b - lap, opening.name))
    return found


def jambs_of(openings: Sequence[Opening], back: Chain) -> list[Jamb]:
    """Return every place of one line where openings end a run, rising; each once.

    The leaf's own ends are among them, and the ends of an open line are not.
    """
    marks: dict[float, str] = {}
    for opening in openings:
        start, end = extent_of(opening, back)
        leaf = leaf_of(opening, back)
        ends = [(start, f"{opening.name}, left jamb"), (end, f"{opening.name}, right jamb")]
        if leaf is not None and opening.clearance > 0:
            ends += [(leaf[0], f"{opening.name}, leaf"), (leaf[1], f"{opening.name}, leaf")]
        for station, why in ends:
            within = station - back.length if back.closed and station >= back.length - SAME_STATION else station
            marks.setdefault(max(within, 0.0), why)
    stations = sorted(marks)
    kept = [s for k, s in enumerate(stations) if k == 0 or s - stations[k - 1] > SAME_STATION]
    if not back.closed:
        kept = [s for s in kept if SAME_STATION < s < back.length - SAME_STATION]
    return [Jamb(station, marks[station]) for station in kept]


def in_gap(start: float, end: float, gaps: Sequence[Gap], back: Chain) -> bool:
    """Tell whether a stretch between two neighbouring jambs is one without face."""
    middle = (start + end) / 2
    laps = (-back.length, 0.0, back.length) if back.closed else (0.0,)
    return any(gap.start < middle + lap < gap.end for gap in gaps for lap in laps)


def opening_faults(job: Job, openings: Sequence[tuple[int, Opening]], back: Chain) -> list[Fault]:
    """Return the faults of one line's openings, each given with its number in the file.

    Ends off the line, no width, the whole loop, overlaps, a leaf that its clearance leaves no scallop.
    """
    found: list[Fault] = []
    before: list[tuple[Opening, float, float]] = []
    for number, opening in openings:
        faults = list(_own_faults(job, number, opening, back))
        found += faults
        if faults:
            continue
        start, end = extent_of(opening, back)
        laps = (-back.length, 0.0, back.length) if back.closed else (0.0,)
        for other, first, last in before:
            if any(min(end + lap, last) - max(start + lap, first) > SAME_STATION for lap in laps):
                rule = f"openings must not overlap, and this one overlaps {other.name}"
                shown = format_length(opening.start, job.units)
                found.append(Fault(f"opening[{number}].from", shown, rule, "Let one end before the other"))
        before.append((opening, start, end))
    return found


def _own_faults(job: Job, number: int, opening: Opening, back: Chain) -> Iterator[Fault]:
    """Yield the faults of one opening by itself."""
    key, units = f"opening[{number}]", job.units
    for name, station in (("from", opening.start), ("to", opening.end)):
        if not 0 <= station <= back.length + SAME_STATION:
            rule = f"the back line ends at station {format_length(back.length, units)}"
            remedy = "Give a station on the line; on a loop an opening past the datum has from > to"
            yield Fault(f"{key}.{name}", format_length(station, units), rule, remedy)
            return
    start, end = extent_of(opening, back)
    if abs(opening.end - opening.start) <= SAME_STATION or end - start <= SAME_STATION:
        order = "" if back.closed else "; on an open line from is before to"
        shown = format_length(opening.end, units)
        yield Fault(f"{key}.to", shown, f"an opening has a width{order}", "Give another station")
        return
    if end - start >= back.length - SAME_STATION:
        shown = format_length(opening.end, units)
        yield Fault(f"{key}.to", shown, "an opening leaves some of its line", "Give another station")
        return
    leaf = leaf_of(opening, back)
    if leaf is not None and leaf[1] - leaf[0] < job.scallop.pitch / 2:
        rule = f"the leaf must have a face, and {format_length(end - start, units)} less both clearances leaves none"
        yield Fault(
            f"{key}.clearance", format_length(opening.clearance, units), rule, "Give less clearance, or no leaf"
        )


def cut_end(job: Job, left: Opening | None, right: Opening | None) -> str | None:
    """Return at which end of a run its last scallop is cut: ``left``, ``right`` or None where all are whole.

    A run's right end is the left jamb of the opening there. Where both ends may be cut the right one is,
    for one cut is enough.

    Parameters
    ----------
    left, right
        The openings that a run lies between; the same twice for its leaf; None at an end of the line.
    """
    ends = [job.face.ends if opening is None or opening.ends is None else opening.ends for opening in (left, right)]
    if ends[1] == "cut":
        return "right"
    return "left" if ends[0] == "cut" else None


# What fits a length.


def whole_counts(length: float, pitch: float, most_take_up: float) -> range:
    """Return the numbers of whole scallops that fill a length within the take-up.

    Parameters
    ----------
    length
        mm at the count line.
    pitch
        mm, as formed.
    most_take_up
        Share of the pitch.

    Examples
    --------
    >>> list(whole_counts(1000.0, 100.0, 0.02)), list(whole_counts(1050.0, 100.0, 0.02))
    ([10], [])
    """
    # A wall exactly at the limit fits, whatever the last bit says.
    slack = SAME_STATION / pitch
    least = math.ceil(length / (pitch * (1 + most_take_up)) - slack)
    most = math.floor(length / (pitch * (1 - most_take_up)) + slack)
    return range(max(least, 1), most + 1)
