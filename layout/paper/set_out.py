"""The set-out: every seam with the figures by which it is marked on site."""

from __future__ import annotations

import math
from typing import Final

from layout.face.plan import Plan, Seam
from layout.paper.flow import Column, Flow
from layout.paper.frame import Drawing
from layout.paper.hanging import CHECK_COLUMNS, check_rows, closing_words, edge_words
from layout.paper.ink import QUIET
from layout.paper.making import cut_ends
from layout.units import format_fine, format_length

NAME: Final = "Set-out"
COLUMNS: Final = (
    Column("seam", "end", bold=True),
    Column("run", wraps=True),
    Column("station", "end", bold=True),
    Column("x", "end"),
    Column("y", "end"),
    Column("radius", "end"),
    Column("lift", "end"),
    Column("chord to next", "end"),
    Column("reason", wraps=True),
)


def draw_set_out(plan: Plan) -> list[Drawing]:
    """Draw the set-out table, on as many papers as it takes."""
    flow = Flow(NAME, plan.job.units)
    flow.paragraph(
        "Station: read on the back line, the wall that the metal's valleys sit on, from the datum, running:"
        " lay one tape and never chain from seam to seam. x, y: the same point in the job's axes. Radius of"
        " the back line: + convex, − hollow, blank on a straight. Lift: how far a free edge springs off"
        " there. Chord: straight from seam to seam, to check by.",
        9.0,
        ink=QUIET,
    )
    flow.paragraph(edge_words(plan), 9.0)
    for words in closing_words(plan):
        flow.paragraph(words, 9.0)
    flow.table(CHECK_COLUMNS, check_rows(plan))
    for words in cut_ends(plan):
        flow.paragraph(words, 9.0)
    flow.space(2.0)
    flow.table(COLUMNS, [_row(plan, seam) for seam in plan.seams], fill=True)
    return flow.drawings()


def _row(plan: Plan, seam: Seam) -> tuple[str, ...]:
    units = plan.job.units
    chord = chord_to_next(plan, seam)
    return (
        str(seam.number),
        plan.runs[seam.run - 1].name,
        *(minus(format_length(length, units)) for length in (seam.station, seam.x, seam.y)),
        signed_radius(seam.radius, units),
        "" if seam.end else format_fine(seam.lift, units),
        "" if chord is None else format_length(chord, units),
        seam.why,
    )


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


def chord_to_next(plan: Plan, seam: Seam) -> float | None:
    """Return the straight distance to the run's next seam, mm; None after an open run's last."""
    mates = [other for other in plan.seams if other.run == seam.run]
    following = [other for other in mates if other.number == seam.number + 1]
    if not following and plan.runs[seam.run - 1].closed and len(mates) > 1:
        following = mates[:1]
    return math.dist((seam.x, seam.y), (following[0].x, following[0].y)) if following else None
