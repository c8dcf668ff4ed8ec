"""The set-out: for one person with a tape, every seam with the figures by which it is marked and checked."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from layout.face.plan import Lines, Plan
from layout.face.set_out import CHORD, STATION, TIES, Closing, Mark, SetOut, stop_rule
from layout.paper.flow import Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.ink import QUIET
from layout.paper.making import cut_ends
from layout.paper.ranges import ranges
from layout.units import format_fine, format_length

NAME: Final = "Set-out"
SIZE: Final = 10.0
"""pt: read at arm's length, on the floor"""
_WAYS: Final = {STATION: "tape", TIES: "two ties", CHORD: "chord"}
"""how a mark is set, in a word"""
MARKS: Final = (
    Column("seam", "end", bold=True),
    Column("station", "end", bold=True),
    Column("from the mark before", "end"),
    Column("set by"),
    Column("first tie", "end"),
    Column("second tie", "end"),
    Column("chord to next", "end"),
    Column("mid-ordinate", "end"),
    Column("set"),
)
_RUN: Final = 1
"""of the columns below: left out where there is one run"""
PLACES: Final = (
    Column("seam", "end", bold=True),
    Column("run", wraps=True),
    Column("x", "end"),
    Column("y", "end"),
    Column("radius", "end"),
    Column("rise", "end"),
    Column("lift", "end"),
    Column("ties cross", "end"),
    Column("expected error", "end"),
    Column("reason", wraps=True),
)


def draw_set_out(plan: Plan, found: SetOut) -> list[Drawing]:
    """Draw the set-out sheet, on as many papers as it takes."""
    flow = Flow(NAME, paper_of(plan.job))
    write_set_out(plan, found, flow)
    return flow.drawings()


def write_set_out(plan: Plan, found: SetOut, flow: Flow) -> None:
    """Write the set-out below what a flow holds."""
    for words in _how(plan, found):
        flow.paragraph(words, SIZE)
    flow.space(1.0)
    flow.table(MARKS, list(_mark_rows(plan, found)), SIZE, fill=True)
    for words in closing_sums(plan, found):
        flow.paragraph(words, SIZE)
    flow.paragraph(stop_rule(found, format_length(found.tolerance, plan.job.units)), SIZE)
    flow.heading(f"Control points, {'as given' if found.given else 'chosen; others may be given in the job file'}")
    flow.table(_CONTROLS, list(_control_rows(plan, found)), SIZE)
    flow.heading("By x and y, for a total station; and why each seam stands where it does")
    flow.paragraph(_notes(plan, found), SIZE, ink=QUIET, keep=True)
    flow.table(*_places(plan, found), SIZE, fill=True)
    for words in cut_ends(plan):
        flow.paragraph(words, SIZE)


def _how(plan: Plan, found: SetOut) -> Iterator[str]:
    """Say in which order one person with a tape sets the marks."""
    yield (
        "Station: read on the back line, the wall that the metal's valleys sit on, running from the datum: one tape,"
        " laid once, never chained from seam to seam. Then check each mark by its two ties, straight from the control"
        " points, and by the chord to the next mark, with the mid-ordinate square off its middle (+ the wall stands"
        " out, − it is hollow)."
    )
    ways = {mark.way for mark in found.marks}
    if ways - {STATION}:
        others = {TIES: "“two ties”: where both tapes meet", CHORD: "“chord”: from the mark before"}
        told = "; ".join(words for way, words in others.items() if way in ways)
        yield f"On hollow walls a tape does not lie: set the marks that say so otherwise. {told[:1].upper()}{told[1:]}."
    if found.untied:
        seen = ranges(sorted(found.untied))
        yield f"No two control points see seam{'s' if len(found.untied) > 1 else ''} {seen} well: check by chords."


def _mark_rows(plan: Plan, found: SetOut) -> Iterator[Sequence[str]]:
    units = plan.job.units
    for k, lines in enumerate(plan.lines):
        marks = sorted((m for m in found.marks if m.outline == k), key=lambda m: (m.same_as is not None, m.station))
        marks.sort(key=lambda m: (_place_station(m, found), m.same_as is not None))
        closing = next(one for one in found.closings if one.outline == k)
        parts = iter(closing.parts)
        for mark in marks:
            twin = mark.same_as is not None
            part = "" if twin else format_length(next(parts), units)
            yield (
                str(mark.seam),
                format_length(mark.station, units),
                part,
                f"with seam {mark.same_as}" if twin else _WAYS[mark.way],
                *_tie_words(mark, units),
                format_length(mark.chord.length, units) if mark.chord else "",
                signed_length(mark.chord.mid_ordinate, units) if mark.chord else "",
                "□",
            )
        yield _last_row(lines, closing, units)


def _place_station(mark: Mark, found: SetOut) -> float:
    """Return the station of the place that a mark stands at: that of the first seam there."""
    if mark.same_as is None:
        return mark.station
    return next(other.station for other in found.marks if other.seam == mark.same_as)


def _last_row(lines: Lines, closing: Closing, units: str) -> Sequence[str]:
    """Return the row that closes a line: the whole, back at the datum or at the right end."""
    end = "datum" if lines.closed else "end"
    whole = format_length(closing.length, units)
    return end, whole, format_length(closing.parts[-1], units), "check", "", "", "", "", "□"


def _tie_words(mark: Mark, units: str) -> tuple[str, str]:
    if mark.ties is None:
        return "none", "none"
    first, second = (
        f"{name} {format_length(length, units)}"
        for name, length in zip(mark.ties.controls, mark.ties.distances, strict=True)
    )
    return first, second


def closing_sums(plan: Plan, found: SetOut) -> Iterator[str]:
    """Say what the parts from mark to mark must add up to."""
    for closing in found.closings:
        lines = plan.lines[closing.outline]
        named = f"{lines.name or f'outline {closing.outline + 1}'}: " if len(plan.lines) > 1 else ""
        whole = format_length(closing.length, plan.job.units)
        zero = signed_length(closing.remainder, plan.job.units)
        where = "back at the datum" if lines.closed else "at the right end"
        yield (
            f"Closing sum: {named}the parts from mark to mark add up to {whole}; less the back line, {whole}: {zero}."
            f" On the wall the tape must read {whole} {where}."
        )


_CONTROLS: Final = (
    Column("point", bold=True),
    Column("x", "end"),
    Column("y", "end"),
    Column("to"),
    Column("distance", "end"),
)


def _control_rows(plan: Plan, found: SetOut) -> Iterator[Sequence[str]]:
    """Run through the control points, each with its distance to the next, to set them out by."""
    units, points = plan.job.units, found.controls
    for i, one in enumerate(points):
        other = points[(i + 1) % len(points)]
        far = format_length(math.dist(one.xy, other.xy), units) if other is not one else ""
        place = (minus(format_length(side, units)) for side in one.xy)
        yield one.name, *place, other.name if far else "", far


def _places(plan: Plan, found: SetOut) -> tuple[Sequence[Column], list[Sequence[str]]]:
    """Return the table of places; where there is one run its name is not repeated."""
    rows = list(_place_rows(plan, found))
    if len(plan.runs) > 1:
        return PLACES, rows
    return (*PLACES[:_RUN], *PLACES[_RUN + 1 :]), [(*row[:_RUN], *row[_RUN + 1 :]) for row in rows]


def _place_rows(plan: Plan, found: SetOut) -> Iterator[Sequence[str]]:
    units = plan.job.units
    marks = {mark.seam: mark for mark in found.marks}
    for seam in plan.seams:
        mark = marks[seam.number]
        yield (
            str(seam.number),
            plan.runs[seam.run - 1].name,
            *(minus(format_length(length, units)) for length in (seam.x, seam.y)),
            signed_radius(seam.radius, units),
            "" if mark.rise is None else signed_length(mark.rise, units),
            "" if seam.end else format_fine(seam.lift, units),
            "" if mark.ties is None else f"{math.degrees(mark.ties.crossing):.0f}°",
            format_fine(mark.sigma, units) if math.isfinite(mark.sigma) else "not fixed",
            seam.why,
        )


def _notes(plan: Plan, found: SetOut) -> str:
    units = plan.job.units
    edge, sigma = format_length(found.straightedge, units), format_fine(found.tape_sigma, units)
    return (
        "x, y: in the job's axes. Radius of the back line: + convex, − hollow, blank on a straight. Rise: for large"
        f" curves, gap at a straightedge of {edge}; + its middle on the wall, − its ends on it. Lift: how far a free"
        " edge springs off. Ties cross: the nearer 90°, the surer. Expected error: of the mark along the wall, if"
        f" one reading of the tape errs by {sigma} (standard deviation)."
    )


def signed_length(mm: float, units: str) -> str:
    """Write a small length with its sign; what rounds to nothing has none.

    Examples
    --------
    >>> signed_length(12.7, "in"), signed_length(-3.0, "mm"), signed_length(0.0, "mm")
    ('+1/2 in', '−3 mm', '0 mm')
    """
    text = format_length(abs(mm), units)
    if not any(figure in "123456789" for figure in text):
        return text
    return ("+" if mm > 0 else "−") + text


def signed_radius(radius: float | None, units: str) -> str:
    """Write a radius with its sign; a straight has none.

    Examples
    --------
    >>> signed_radius(-914.4, "in"), signed_radius(914.4, "in"), signed_radius(None, "in")
    ('−3 ft', '+3 ft', '')
    """
    if radius is None:
        return ""
    return ("+" if radius > 0 else "−") + format_length(abs(radius), units)


def minus(text: str) -> str:
    """Set a real minus before a negative figure.

    Examples
    --------
    >>> minus("-3 ft"), minus("12 ft")
    ('−3 ft', '12 ft')
    """
    return "−" + text[1:] if text.startswith("-") else text
