"""A picture of what was read: outline, joints, gaps, strays, datum and the direction of stations."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.errors import JobFaults
from layout.job.model import Job, OutlineSpec
from layout.job.model_survey import Survey
from layout.outline.chain import Chain
from layout.outline.drawing_lines import DrawnLines, lines_of_drawing
from layout.outline.segment import Floats, Segment
from layout.outline.walk import Walked, walk
from layout.paper.frame import MARGIN, SIZES, SMALLEST, Paper
from layout.paper.ink import BLACK, CARE, FACE_EDGE, QUIET, SEAM
from layout.paper.primitives import Box, Circle, Lines, Points, Primitive, Style, Text
from layout.paper.source_words import source_words
from layout.paper.survey_words import survey_words
from layout.units import format_length

ROOM: Final = 34.0
"""mm along the lower edge for words"""
LEADING: Final = 4.2
"""mm from line to line of words"""
ARROW: Final = 22.0
"""mm, length of the arrow of stations"""
OFF: Final = 4.0
"""mm from the back line to the arrow"""
MOST_ROWS: Final = 7
"""rows of words that there is room for"""
MOST_WORDS: Final = 165
"""characters of a row that there is room for"""

FINE: Final = 20_000
"""Of a segment's length, as its chords leave it: less than a hair on paper (assumed)."""
BESIDE: Final = 3.0
"""mm: marks nearer than this on paper are one"""

BACK: Final = Style(SEAM, 0.6, (4.0, 2.0))
STRAY: Final = Style(QUIET, 0.4, (1.5, 1.5))
UNCHOSEN: Final = Style(BLACK, 0.5)
JOINT: Final = Style(BLACK, 0.3, fill="#ffffff")
MARK: Final = Style(BLACK, 0.35)
CAUTION: Final = Style(CARE, 1.0)
DATUM: Final = Style(SEAM, 0.8, fill=SEAM)


@dataclass(frozen=True, eq=False)
class Seen:
    """What could be read of one outline: the drawing's lines or the survey's marks, the walked line, or both."""

    lines: DrawnLines | None
    walked: Walked | None
    survey: Survey | None = None
    """its marks, where it was surveyed"""


def outline_picture(job: Job) -> Paper | None:
    """Return a picture of every outline of a job as far as it could be read; None where nothing could.

    An outline with faults is shown as it stands in its drawing, so that one sees what is wrong.
    """
    seen = [_seen(spec, job.units) for spec in job.outlines]
    paths = [path for each in seen for path in _paths(each)]
    if not paths:
        return None
    width, height = SIZES[job.units]
    view = _View.around(paths, Box(MARGIN, MARGIN + ROOM, width - MARGIN, height - MARGIN))
    items: list[Primitive] = []
    for each in seen:
        items += _lines(each, view) + _marks(each, view, job.units)
        if each.walked:
            items += _direction(each.walked.back, view)
        items += _surveyed(each, view, job.units)
    return Paper("outline", width, height, tuple(items + _words(seen, job)))


def _seen(spec: OutlineSpec, units: str) -> Seen:
    lines, walked = None, None
    try:
        if spec.shape == "dxf":
            lines = lines_of_drawing(spec, units)
        walked = walk(spec, units)
    except JobFaults:
        pass  # they are told in words; what could be read is shown
    return Seen(lines, walked, spec.survey)


@dataclass(frozen=True)
class _View:
    """From the plan to the paper."""

    ratio: float
    """mm in plan for one on paper"""
    x: float
    y: float

    @classmethod
    def around(cls, paths: Sequence[Floats], box: Box) -> _View:
        """Return the view that fits all paths into a box, in its middle."""
        places = np.concatenate(paths)
        low, high = places.min(axis=0), places.max(axis=0)
        size = np.maximum(high - low, 1.0)
        ratio = 1.08 * max(size[0] / box.width, size[1] / box.height)
        middle = (low + high) / 2 / ratio
        return cls(float(ratio), box.centre[0] - float(middle[0]), box.centre[1] - float(middle[1]))

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return a place on paper."""
        return self.x + x / self.ratio, self.y + y / self.ratio

    def path(self, points: Floats) -> Points:
        """Return a path on paper."""
        return tuple(self.at(x, y) for x, y in points.tolist())


def _polyline(segment: Segment) -> Floats:
    return segment.point(segment.mesh(max(segment.length / FINE, 0.02)))


def _paths(seen: Seen) -> list[Floats]:
    """Return all that is to be on the picture, mm in plan."""
    found = [_polyline(segment) for segment in seen.walked.drawn.segments] if seen.walked else []
    if seen.walked:
        found.append(seen.walked.back.sample(tolerance=1.0))
    if seen.lines:
        found += [_polyline(segment) for strand in seen.lines.chains.strands for segment in strand.segments]
    if seen.survey:
        found.append(np.array([(mark.x, mark.y) for mark in seen.survey.marks]))
    return found


def _lines(seen: Seen, view: _View) -> list[Primitive]:
    """Draw the line that is wanted, its back line, and the drawing's other lines."""
    items: list[Primitive] = []
    if seen.lines:
        style, kind = (STRAY, "stray") if seen.walked else (UNCHOSEN, "unchosen")
        strands = [[view.path(_polyline(s)) for s in strand.segments] for strand in seen.lines.chains.strands]
        items += [Lines(tuple(paths), style, kind) for paths in strands]
    if seen.walked:
        drawn = seen.walked.drawn
        items.append(Lines(tuple(view.path(_polyline(s)) for s in drawn.segments), FACE_EDGE, "outline"))
        back = seen.walked.back.sample(tolerance=max(view.ratio / 20, 0.05))
        items.append(Lines((view.path(back),), BACK, "back"))
        starts = [segment.point(np.array(0.0)).tolist() for segment in drawn.segments]
        items += [Circle(view.at(x, y), 0.5, JOINT, "joint") for x, y in starts]
    return items


def _marks(seen: Seen, view: _View, units: str) -> list[Primitive]:
    """Mark gaps that were joined, gaps that were not, and branches."""
    if not seen.lines:
        return []
    chains = seen.lines.chains
    joined = [(j.x, j.y, "joined", j.gap) for strand in chains.strands for j in strand.joints]
    gaps = [(j.x, j.y, "gap", j.gap) for j in chains.gaps]
    items: list[Primitive] = []
    for x, y, word, gap in (*joined, *gaps):
        told = f"{word} {format_length(gap, units, precision=64 if units == 'in' else 2)}"
        items += _ringed(view.at(x, y), told, word)
    marked = [view.at(x, y) for x, y, *_ in (*joined, *gaps)]
    for at in (view.at(x, y) for x, y in chains.branches):
        if all(math.dist(at, other) > BESIDE for other in marked):
            items += _ringed(at, "branch", "branch")
            marked.append(at)
    return items


def _surveyed(seen: Seen, view: _View, units: str) -> list[Primitive]:
    """Draw a survey's marks; the first and last by name, and each suspect with how far off the line it is."""
    if not seen.survey:
        return []
    marks = seen.survey.marks
    items: list[Primitive] = [Circle(view.at(mark.x, mark.y), 0.7, MARK, "mark") for mark in marks]
    ends = dict.fromkeys((marks[0], marks[-1]))
    items += [Text(_beside(view.at(m.x, m.y)), m.name, SMALLEST, kind="mark") for m in ends]
    laid = seen.walked.survey if seen.walked else None
    places = {mark.name: view.at(mark.x, mark.y) for mark in marks}
    for suspect in laid.suspects if laid else ():
        off = format_length(abs(suspect.off), units, precision=64 if units == "in" else 2)
        word = f"mark {suspect.mark}, {off} off{': left out' if suspect.left_out else ''}"
        items += _ringed(places[suspect.mark], word, "suspect")
    return items


def _beside(at: tuple[float, float]) -> tuple[float, float]:
    return at[0] + 1.4, at[1] + 1.4


def _ringed(at: tuple[float, float], word: str, kind: str) -> list[Primitive]:
    text = Text((at[0] + 2.4, at[1] + 1.4), word, SMALLEST, ink=CARE, kind=kind)
    return [Circle(at, 1.8, CAUTION, kind), text]


def _direction(back: Chain, view: _View) -> list[Primitive]:
    """Draw station 0 and an arrow on the viewer's side, left to right as one stands facing the face."""
    reach = min(ARROW * view.ratio, back.length / 3)
    stations = np.linspace(0.0, reach, 40)
    headings = back.heading(stations)
    off = OFF * view.ratio * np.stack([np.sin(headings), -np.cos(headings)], axis=1)
    shaft = view.path(back.point(stations) + off)
    (x, y), heading = shaft[-1], float(headings[-1])
    barbs = [(x - 2.2 * math.cos(heading + turn), y - 2.2 * math.sin(heading + turn)) for turn in (0.4, -0.4)]
    head = (barbs[0], (x, y), barbs[1])
    zero_x, zero_y = back.point(0.0).tolist()
    at = view.at(zero_x, zero_y)
    label = Text((shaft[0][0], shaft[0][1] - 3.6), "0, stations this way", SMALLEST, ink=SEAM, kind="datum")
    return [Circle(at, 0.9, DATUM, "datum"), Lines((shaft, head), Style(SEAM, 0.8), "direction"), label]


def _words(seen: Sequence[Seen], job: Job) -> list[Primitive]:
    """Set what was read below the picture."""
    rows = list(_rows(seen, job.units))
    if len(rows) > MOST_ROWS:
        rows = [*rows[: MOST_ROWS - 1], "and more, told by the check in words"]
    top = MARGIN + ROOM - LEADING
    shown = (row if len(row) <= MOST_WORDS else f"{row[: MOST_WORDS - 1]}…" for row in rows)
    return [Text((MARGIN, top - k * LEADING), row, SMALLEST, kind="words") for k, row in enumerate(shown)]


def _rows(seen: Iterable[Seen], units: str) -> Iterable[str]:
    for each in seen:
        if each.walked and each.walked.survey:
            yield from survey_words(each.walked.survey, units)
        elif each.survey:
            yield f"{len(each.survey.marks)} marks, through which no line was taken; see the faults"
        if each.walked and each.walked.source:
            yield from source_words(each.walked.source, units)
        elif each.lines:
            count = len(each.lines.chains.strands)
            yield f"{each.lines.file}, layer {each.lines.layer}: {count} lines, none of them taken; see the faults"
