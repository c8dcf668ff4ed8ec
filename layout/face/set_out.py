"""The set-out: the figures by which every seam is marked on site, and what may be asked of the marks.

Stations are read off one tape laid from the datum and never chained. On a hollow wall a tape does not lie:
there marks are set by two tapes from control points, and only where these see nothing by chords.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from layout.face.plan import Lines, Plan, Seam
from layout.face.set_out_chords import LARGE_RADIUS, STRAIGHTEDGE, Chord, chord_between, straightedge_rise, tape_lies
from layout.face.set_out_controls import XY, Control, Sight, best_pairs, choose_controls, named
from layout.face.set_out_errors import (
    along_sigma,
    chained_sigmas,
    chord_check_sigma,
    crossing_angle,
    running_sigma,
    tie_check_sigma,
    tie_covariance,
    tolerance_of,
)
from layout.outline.tolerances import SAME_STATION

TAPE_SIGMA: Final = {"in": 1.5875, "mm": 1.5}
"""mm, standard deviation of one reading of a steel tape on site: 1/16 in, or 1.5 mm (assumed)"""
TAPE_LENGTH: Final = {"in": 30480.0, "mm": 30000.0}
"""mm: 100 ft, or 30 m, a common long tape (common practice, no source)"""
_NET: Final = {"in": 25.4, "mm": 10.0}
"""mm, to which chosen control points are rounded: an inch, or a centimetre"""
_STEP: Final = {"in": 1.5875, "mm": 1.0}
"""mm, to which the tolerance is rounded up: 1/16 in, or 1 mm"""

STATION: Final = "station"
TIES: Final = "ties"
CHORD: Final = "chord"


@dataclass(frozen=True)
class Ties:
    """Two straight distances by which a mark is set or checked."""

    controls: tuple[str, str]
    distances: tuple[float, float]
    """mm"""
    crossing: float
    """radians at which the tapes cross"""
    sigma: float
    """mm along the wall, of a mark set by them"""


@dataclass(frozen=True)
class Mark:
    """One seam as it is marked."""

    seam: int
    outline: int
    station: float
    """mm"""
    x: float
    y: float
    heading: float
    same_as: int | None
    """an earlier seam at the same place: one mark serves both"""
    ties: Ties | None
    """None where no two control points see it well"""
    next_seam: int | None
    """the neighbour at the next place along the line"""
    chord: Chord | None
    """to that neighbour; None at the right end of an open line"""
    rise: float | None
    """mm on the straightedge, where the radius is large; + convex"""
    way: str
    """station · ties · chord: how it is marked"""
    sigma: float
    """mm along the wall, expected error of the mark"""
    chained: float
    """mm, the same if marks were chained by chords from the datum, for comparison"""


@dataclass(frozen=True)
class Closing:
    """What must come back to zero on one line: the parts from mark to mark less the whole."""

    outline: int
    closed: bool
    parts: tuple[float, ...]
    """mm along the back line, from the datum to the first mark, from mark to mark, and to the datum or the end"""
    length: float
    """mm, the back line"""

    @property
    def remainder(self) -> float:
        """Sum of the parts less the length, mm."""
        return math.fsum((*self.parts, -self.length))


@dataclass(frozen=True)
class SetOut:
    """How the seams of a plan are marked and checked."""

    controls: tuple[Control, ...]
    given: bool
    """the control points come from the job; otherwise they were chosen"""
    marks: tuple[Mark, ...]
    """one a seam, in the seams' order"""
    closings: tuple[Closing, ...]
    """one an outline"""
    tape_sigma: float
    """mm, of one reading"""
    tape: float
    """mm, its length"""
    straightedge: float
    """mm, that the rises are for"""
    check_sigma: float
    """mm, greatest standard deviation of a check on a mark"""
    tolerance: float
    """mm: what a check may differ from its figure"""

    @property
    def untied(self) -> tuple[int, ...]:
        """Seams that no two control points see well."""
        return tuple(mark.seam for mark in self.marks if mark.ties is None)


def set_out(
    plan: Plan,
    control: Sequence[XY] | None = None,
    *,
    tape_sigma: float | None = None,
    tape: float | None = None,
) -> SetOut:
    """Work out the set-out of a plan.

    Parameters
    ----------
    control
        Control points, mm in the job's axes; None takes the job's. Without any, they are chosen.
    tape_sigma, tape
        mm: standard deviation of one reading, and the tape's length; None takes the job's,
        or the usual.

    Raises
    ------
    ValueError
        For a reading or a tape that is not above 0.
    """
    units, site = plan.job.units, plan.job.site
    given = site.control if control is None else tuple(control)
    sigma = _first(tape_sigma, site.tape_sigma, TAPE_SIGMA[units])
    reach = _first(tape, site.tape, TAPE_LENGTH[units])
    if not (sigma > 0 and reach > 0):
        raise ValueError(f"a tape reads to better than nothing: sigma {sigma}, length {reach}")
    sight = Sight(plan.lines)
    places = np.array([(seam.x, seam.y) for seam in plan.seams]).reshape(-1, 2)
    headings = np.array([seam.heading for seam in plan.seams])
    controls = named(given) if given else choose_controls(sight, places, headings, reach, _NET[units])
    pairs = best_pairs(sight, controls, places, headings, reach)
    ties = [_ties(seam, controls, pair, sigma) for seam, pair in zip(plan.seams, pairs, strict=True)]
    by_seam = dict(zip((seam.number for seam in plan.seams), ties, strict=True))
    marks = [
        mark for k, lines in enumerate(plan.lines) for mark in _line_marks(plan, k, lines, by_seam, (sigma, reach))
    ]
    order = {seam.number: i for i, seam in enumerate(plan.seams)}
    marks.sort(key=lambda mark: order[mark.seam])
    check = max(_check_sigmas(marks, controls, sigma), default=sigma)
    return SetOut(
        controls=controls,
        given=bool(given),
        marks=tuple(marks),
        closings=tuple(_closing(plan, k, lines) for k, lines in enumerate(plan.lines)),
        tape_sigma=sigma,
        tape=reach,
        straightedge=STRAIGHTEDGE[units],
        check_sigma=check,
        tolerance=tolerance_of(check, _STEP[units]),
    )


def _first(given: float | None, asked: float | None, usual: float) -> float:
    return given if given is not None else asked if asked is not None else usual


def _ties(seam: Seam, controls: Sequence[Control], pair: tuple[int, int] | None, sigma: float) -> Ties | None:
    if pair is None:
        return None
    mark, (first, second) = (seam.x, seam.y), (controls[i] for i in pair)
    spread = tie_covariance(mark, first.xy, second.xy, sigma)
    return Ties(
        (first.name, second.name),
        (math.dist(mark, first.xy), math.dist(mark, second.xy)),
        crossing_angle(mark, first.xy, second.xy),
        along_sigma(spread, seam.heading),
    )


def _places(plan: Plan, outline: int) -> list[list[Seam]]:
    """Return the seams of one line in station order, those at one place together."""
    seams = sorted((s for s in plan.seams if s.outline == outline), key=lambda s: (s.station, s.number))
    places: list[list[Seam]] = []
    for seam in seams:
        if places and seam.station - places[-1][0].station <= SAME_STATION:
            places[-1].append(seam)
        else:
            places.append([seam])
    back = plan.lines[outline].back
    round_ = back.closed and len(places) > 1 and places[0][0].station <= SAME_STATION
    if round_ and back.length - places[-1][0].station <= SAME_STATION:
        places[0] += places.pop()  # a run that ends at the datum ends where the first one begins
    return places


def _line_marks(
    plan: Plan, outline: int, lines: Lines, ties: dict[int, Ties | None], tape: tuple[float, float]
) -> Iterator[Mark]:
    """Mark one line from its datum on."""
    places = _places(plan, outline)
    chords = _chords(lines, [place[0].station for place in places])
    chained = _chained(lines, places, chords, tape[0])
    last = tape[0]
    for i, place in enumerate(places):
        first = place[0]
        way, last = _way(lines, first, ties[first.number], chords[i - 1] if i else None, (*tape, last))
        following = places[(i + 1) % len(places)][0].number if chords[i] else None
        for seam in place:
            twin = seam is not first
            yield Mark(
                seam.number,
                outline,
                seam.station,
                seam.x,
                seam.y,
                seam.heading,
                same_as=first.number if twin else None,
                ties=ties[seam.number],
                next_seam=None if twin else following,
                chord=None if twin else chords[i],
                rise=_rise(seam, plan.job.units),
                way=way,
                sigma=last,
                chained=chained[i],
            )


def _chords(lines: Lines, stations: Sequence[float]) -> list[Chord | None]:
    """Return from each place the chord to the next; None after the last of an open line or of a single one."""
    found: list[Chord | None] = [chord_between(lines.back, a, b) for a, b in pairwise(stations)]
    if lines.closed and len(stations) > 1:
        found.append(chord_between(lines.back, stations[-1], stations[0] + lines.back.length))
    elif stations:
        found.append(None)
    return found


def _way(
    lines: Lines, seam: Seam, ties: Ties | None, before: Chord | None, tape: tuple[float, float, float]
) -> tuple[str, float]:
    """Return how a place is marked and its expected error; `tape` is sigma, length, error of the mark before."""
    sigma, reach, last = tape
    if not tape_lies(lines.back, seam.station):
        if ties is not None:
            return TIES, ties.sigma
        if before is not None:
            return CHORD, _next_in_chain(before, sigma, last)
    return STATION, running_sigma(seam.station, reach, sigma)


def _next_in_chain(chord: Chord, sigma: float, last: float) -> float:
    """Return the error of a mark set by a chord, mm; square to the chord the wall gives no hold."""
    if chord.meeting >= math.pi / 2:
        return math.inf
    return chained_sigmas([chord.leaving], [chord.meeting], sigma, last)[0]


def _chained(
    lines: Lines, places: Sequence[Sequence[Seam]], chords: Sequence[Chord | None], sigma: float
) -> list[float]:
    """Return what errors would be if every mark were taken from the one before, mm."""
    if not places:
        return []
    start = places[0][0].station
    spread = [sigma if start > SAME_STATION else 0.0]
    for chord in filter(None, chords[: len(places) - 1]):
        spread.append(_next_in_chain(chord, sigma, spread[-1]))
    return spread


def _rise(seam: Seam, units: str) -> float | None:
    if seam.radius is None or abs(seam.radius) < LARGE_RADIUS or not math.isfinite(seam.radius):
        return None
    return math.copysign(straightedge_rise(abs(seam.radius), STRAIGHTEDGE[units]), seam.radius)


def _check_sigmas(marks: Sequence[Mark], controls: Sequence[Control], sigma: float) -> Iterator[float]:
    """Yield the spread of every check: ties to marks that were not set by them, chords where they run clear."""
    place = {control.name: control.xy for control in controls}
    by_seam = {mark.seam: mark for mark in marks}
    for mark in marks:
        if mark.ties is not None and mark.way != TIES:
            for name in mark.ties.controls:
                x, y = place[name]
                tape = math.atan2(mark.y - y, mark.x - x)
                yield tie_check_sigma(mark.heading, tape, mark.sigma, sigma)
        if mark.chord is not None and mark.chord.clear and mark.next_seam is not None:
            ahead = by_seam[mark.next_seam]
            if ahead.way != CHORD:
                yield chord_check_sigma((mark.chord.leaving, mark.chord.meeting), (mark.sigma, ahead.sigma), sigma)


def _closing(plan: Plan, outline: int, lines: Lines) -> Closing:
    stations = [0.0, *(place[0].station for place in _places(plan, outline)), lines.back.length]
    return Closing(outline, lines.closed, tuple(b - a for a, b in pairwise(stations)), lines.back.length)


def stop_rule(found: SetOut, tolerance: str) -> str:
    """Say in one rule when to stop; `tolerance` in words.

    Examples
    --------
    >>> found = SetOut((), False, (), (), 1.5, 30000.0, 1200.0, 1.5, 3.0)
    >>> stop_rule(found, "3 mm").split(". ")[1]
    'One mark out by more: measure it again'
    """
    return (
        f"A check may differ from its figure by {tolerance}. One mark out by more: measure it again. Two marks "
        "one after the other out the same way: stop, the tape has slipped or the datum has moved; re-measure all "
        "marks from the datum."
    )
