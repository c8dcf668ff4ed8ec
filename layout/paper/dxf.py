"""The seam map and the wall's curve as DXF files, in the job's units, for other drawing programs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from layout.face.plan import Lines, Panel, Plan, Seam
from layout.face.revisions import FIRST
from layout.face.set_out import SetOut, set_out
from layout.outline.chain import Chain
from layout.outline.segment import Floats
from layout.paper.corner_legs import crest_of
from layout.paper.dxf_file import CHORD_ERROR, DxfFile
from layout.paper.dxf_layers import (
    BACK_LINE,
    CONTROLS,
    DATUM,
    LAYERS,
    NOTES,
    OUTLINE,
    PANELS,
    RUN_ENDS,
    SEAM_FREE,
    SEAM_NUMBERS,
    SEAMS,
    TIES,
    TITLE,
)
from layout.paper.dxf_places import beside, draw_places, stretch_of
from layout.paper.map_view import extent_of, panel_stations
from layout.units import format_fine, format_length

SIDE: Final = {"in": 101.6, "mm": 100.0}
"""mm, side of the square that tells whether a template came out at full size"""


def seam_map_dxf(plan: Plan, found: SetOut | None = None, revision: str = FIRST) -> bytes:
    """Return the seam map as a DXF file in the job's units: the same plan, the same bytes.

    Parameters
    ----------
    found
        The set-out; worked out from the plan where it is not given.
    revision
        Letter of the revision, for the title block.
    """
    writer = _Writer(plan)
    for number, lines in enumerate(plan.lines):
        writer.file.curve(lines.drawn.segments, OUTLINE)
        writer.file.curve(lines.back.segments, BACK_LINE)
        writer.datum(lines, number)
    writer.set_out(set_out(plan) if found is None else found)  # first, so that numbers stand over the ties
    draw_places(writer.file, plan)
    for stretch in plan.stretches:
        back = plan.lines[stretch.outline].back
        writer.file.curve(stretch_of(back, *extent_of(plan, stretch)), SEAM_FREE)
        writer.stretch_word(back, *extent_of(plan, stretch), stretch.why)
    for panel in plan.panels:
        writer.panel(panel)
    for seam in plan.seams:
        writer.seam(seam)
    writer.title("seam map", revision)
    return writer.file.content()


def curve_template_dxf(plan: Plan, revision: str = FIRST) -> bytes:
    """Return the wall's curve at full size with its seams and datum, to cut a template by.

    A square of 100 mm, or 4 in, beside it tells whether it came out at full size.
    """
    writer = _Writer(plan)
    for number, lines in enumerate(plan.lines):
        writer.file.curve(lines.back.segments, BACK_LINE)
        writer.datum(lines, number)
    for seam in plan.seams:
        writer.seam(seam)
    writer.title("curve template, full size", revision)
    writer.check_square()
    return writer.file.content()


class _Writer:
    """A plan being drawn into one file."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._low, self._high = _extent(plan)
        span = float((self._high - self._low).max())
        self._letter = min(span / 90, 0.3 * min((panel.cover for panel in plan.panels), default=span))
        self.file = DxfFile(plan.job.units, LAYERS, self._letter)

    def seam(self, seam: Seam) -> None:
        """Put a point at a seam, a tick across the face and its number towards the viewer.

        An end of a run has all of it on a layer of its own, and its tick does not go through the face.
        """
        at, file = np.array([seam.x, seam.y]), self.file
        out = np.array([math.sin(seam.heading), -math.cos(seam.heading)])
        layer, numbers = (RUN_ENDS, RUN_ENDS) if seam.end else (SEAMS, SEAM_NUMBERS)
        file.point(at, layer, [(1071, seam.number), (1040, file.number(seam.station / file.size))])
        through = 0.0 if seam.end else 0.4
        file.straight(at - through * self._letter * out, at + 1.2 * self._letter * out, layer)
        # Two ends of runs at one place: the later number stands further out.
        before = [s for s in self._plan.seams if s.number < seam.number and math.dist((s.x, s.y), at) < self._letter]
        file.word(str(seam.number), at + (2.2 + 1.4 * len(before)) * self._letter * out, numbers)

    def panel(self, panel: Panel) -> None:
        """Draw a panel's crest from end to end of its metal, its number on the wall side of its middle."""
        lines = self._plan.lines[self._plan.runs[panel.run - 1].outline]
        ends = np.array(panel_stations(self._plan, panel))
        self.file.curve(crest_of(self._plan, panel), PANELS, [(1071, panel.number)])
        at, out = beside(lines.back, self._off_datum(lines, float(ends.mean())))
        self.file.word(str(panel.number), at - 1.6 * self._letter * out, PANELS, 1.2)

    def _off_datum(self, lines: Lines, station: float) -> float:
        """Return a station that is kept off the datum's mark, to its right."""
        around = lines.back.length
        off = (station + around / 2) % around - around / 2 if lines.closed else station
        return station + 3 * self._letter - off if abs(off) < 2 * self._letter else station

    def datum(self, lines: Lines, number: int) -> None:
        """Mark station 0 from the wall side."""
        at, out = beside(lines.back, 0.0)
        along = np.array([-out[1], out[0]])
        tip = at - 0.2 * self._letter * out
        base = [tip - 2 * self._letter * out + side * 0.6 * self._letter * along for side in (-1.0, 1.0)]
        self.file.corners((tip, *base), DATUM, close=True)
        name = (lines.name or f"outline {number + 1}") if len(self._plan.lines) > 1 else ""
        self.file.word(f"datum {name}".strip(), at - 3.2 * self._letter * out, DATUM, away=-out)

    def stretch_word(self, back: Chain, start: float, end: float, why: str) -> None:
        """Say why a stretch is kept free of seams."""
        at, out = beside(back, (start + end) / 2)
        self.file.word(why, at - 3.8 * self._letter * out, SEAM_FREE, 0.8, away=-out)

    def set_out(self, found: SetOut) -> None:
        """Draw control points and ties."""
        place = {control.name: np.array(control.xy) for control in found.controls}
        for control in found.controls:
            at = place[control.name]
            self.file.point(at, CONTROLS)
            self.file.word(control.name, at + self._letter * np.array([1.2, 1.2]), CONTROLS, 1.4)
        for mark in found.marks:
            if mark.ties is not None and mark.same_as is None:
                for name in mark.ties.controls:
                    self.file.straight(place[name], np.array([mark.x, mark.y]), TIES)
        self._keep_above(list(place.values()))

    def _keep_above(self, places: list[Floats]) -> None:
        """Keep the title block below what stands around the lines."""
        around = [*places, *(np.array(view.at) for view in self._plan.job.viewpoints)]
        around += [np.array(point) for wall in self._plan.job.walls for point in wall.points]
        for at in around:
            self._low = np.minimum(self._low, at)

    def title(self, what: str, revision: str) -> None:
        """Draw the title block below the drawing, and under it what the lines are."""
        job, letter = self._plan.job, self._letter
        rows = (
            ("job", job.title),
            ("drawing", what),
            ("revision", revision),
            ("date", job.paper.date or ""),
            ("units", {"in": "inches, full size", "mm": "millimetres, full size"}[job.units]),
            ("job file", job.digest[:12] or "none"),
        )
        row, first = 2.0 * letter, 8.0 * letter
        wide = first + letter * max(12.0, 2.0 + max(len(words) for _, words in rows))
        top = self._low - np.array([0.0, 10.0 * letter])
        for i, (name, words) in enumerate(rows):
            middle = top + np.array([0.7 * letter, -(i + 0.5) * row])
            self.file.word(name, middle, TITLE, 0.8, away=(1.0, 0.0))
            if words:
                self.file.word(words, middle + np.array([first, 0.0]), TITLE, away=(1.0, 0.0))
        for i in range(len(rows) + 1):
            self.file.straight(top + np.array([0.0, -i * row]), top + np.array([wide, -i * row]), TITLE)
        for x in (0.0, first, wide):
            self.file.straight(top + np.array([x, 0.0]), top + np.array([x, -len(rows) * row]), TITLE)
        self._low = top - np.array([0.0, len(rows) * row])
        note = f"polylines leave their curves by at most {format_fine(CHORD_ERROR, job.units)}"
        self.file.word(note, self._low - np.array([0.0, 1.6 * letter]), NOTES, 0.8, away=(1.0, 0.0))

    def check_square(self) -> None:
        """Draw a square of known sides right of the drawing."""
        side = SIDE[self._plan.job.units]
        corner = np.array([self._high[0] + side, self._low[1]])
        self.file.corners([corner + turn for turn in ((0, 0), (side, 0), (side, side), (0, side))], NOTES, close=True)
        words = format_length(side, self._plan.job.units)
        self.file.word(words, corner + side / 2, NOTES, min(1.0, 20.0 / self._letter))


def _extent(plan: Plan) -> tuple[Floats, Floats]:
    """Return the lower left and upper right of all lines, mm."""
    boxes = np.array([chain.bounds for one in plan.lines for chain in _chains(one)])
    return boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)


def _chains(lines: Lines) -> Iterator[Chain]:
    yield from (lines.drawn, lines.back, lines.crest)
