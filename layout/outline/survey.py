"""From the marks of a survey to the line they were taken off: the simplest one that they allow.

sound marks → one named shape, else straights and arcs, with corners where they are marked or the job has them,
else a fair curve → blunders left out, one by one → the line with what is off it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec
from layout.job.model_survey import Survey
from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.segment import Floats, Segment
from layout.outline.survey_corners import found_line, marked_line
from layout.outline.survey_line import CLEAR, SUSPECT, Laying, laid_line, off_line
from layout.outline.survey_marks import Marks, corner_marks, price, sound_marks
from layout.outline.survey_source import SurveyedPiece, SurveySource, Suspect
from layout.outline.survey_trust import bends_unseen, length_error
from layout.outline.survey_whole import Whole, best_whole

FEW = 150
"""Marks, at most, for which arcs between corners are sought too; with more only straights are (assumed, for time)."""


@dataclass(frozen=True, eq=False)
class Surveyed:
    """The line that marks make, in their order, and what was read."""

    segments: tuple[Segment, ...]
    source: SurveySource


def surveyed(spec: OutlineSpec, units: str = "mm") -> Surveyed:
    """Return the line of a surveyed outline, with what was read.

    Parameters
    ----------
    spec
        An outline with its survey; all lengths mm.
    units
        The job's units, for the words of faults.

    Raises
    ------
    JobFaults
        Where it has no marks, or no line can be laid through them.

    Examples
    --------
    >>> from layout.job.model_survey import Mark
    >>> turns = np.linspace(0.0, math.tau, 24, endpoint=False)
    >>> marks = tuple(Mark(str(i), 900 * math.cos(t), 900 * math.sin(t), 1.5) for i, t in enumerate(turns, 1))
    >>> found = surveyed(OutlineSpec("", "points", survey=Survey(marks, 1.5)))
    >>> found.source.shape, round(found.segments[0].length / math.tau, 9)
    ('circle', 900.0)
    """
    key = f"{spec.key}.{'file' if spec.survey and spec.survey.file else 'points'}"
    if spec.survey is None:
        raise JobFaults([Fault(key, "", "a surveyed outline needs its marks", "Give points or a file of them")])
    marks, again = sound_marks(spec.survey, spec.closed, key, units)
    with np.errstate(all="ignore"):  # lines that are tried may be none; what is found is finite
        return _surveyed(spec.survey, marks, again, units, cornered=spec.corner is not None)


def _surveyed(survey: Survey, marks: Marks, again: bool, units: str, *, cornered: bool) -> Surveyed:
    corners = corner_marks(survey, marks, again)
    whole = best_whole(marks) if marks.closed and not corners else None
    if whole is not None and not cornered:
        return _named(survey, marks, again, whole)
    line, kept = marked_line(survey, marks, corners, units) if corners else _line(marks, cornered=cornered)
    if whole is not None and whole.cost <= line.cost:
        return _named(survey, marks, again, whole)
    off, segments = off_line(line.steps, marks.xy), line.steps.segments()
    source = _source(survey, marks, again, segments, off, kept, line.shape, line.fits)
    unseen = bends_unseen(line.steps, marks.only(kept))
    if unseen is not None:
        names = [mark.name for mark, is_kept in zip(survey.marks, kept, strict=False) if is_kept]
        source = replace(source, unseen=(names[unseen[0]], names[unseen[1]], unseen[2]))
    return Surveyed(segments, source)


def _named(survey: Survey, marks: Marks, again: bool, whole: Whole) -> Surveyed:
    segments, off = whole.segments(), whole.off
    if _clockwise(marks):
        segments, off = tuple(segment.reversed() for segment in reversed(segments)), -off
    return Surveyed(segments, _source(survey, marks, again, segments, off, whole.kept, whole.shape, fits=True))


def _clockwise(marks: Marks) -> bool:
    x, y = marks.xy.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) < 0


def _line(marks: Marks, *, cornered: bool) -> tuple[Laying, NDArray[np.bool_]]:
    """Return the smooth line, or one with corners that costs less.

    Where the job has no corners and the smooth line bends only where it was measured, none are looked for; where it
    takes a fair curve to be smooth, they must be clear.
    """
    line = laid_line(marks)
    smooth = line[0].shape != "fair curve"
    if smooth and not cornered and not _bends_unseen(*line, marks):
        return line
    others = [found_line(marks), laid_line(marks, cornered=True) if marks.count <= FEW else None]
    sharp = [each for each in others if each is not None]
    if not sharp:
        return line
    other = min(sharp, key=lambda each: _price(*each))
    return other if _price(*other) + (0.0 if smooth or cornered else CLEAR) < _price(*line) else line


def _bends_unseen(line: Laying, kept: NDArray[np.bool_], marks: Marks) -> bool:
    """Tell whether a line of straights and arcs has an arc with one mark on it at most."""
    dealt = np.bincount(line.steps.nearest_piece(marks.xy[kept]), minlength=line.steps.count)
    return bool(((line.steps.bends != 0) & (dealt <= 1)).any())


def _price(line: Laying, kept: NDArray[np.bool_]) -> float:
    """Return what a line costs, its blunders too: as many figures as a mark has."""
    return line.cost + 2 * price(len(kept)) * int((~kept).sum())


def _source(
    survey: Survey,
    marks: Marks,
    again: bool,
    segments: Sequence[Segment],
    off: Floats,
    kept: NDArray[np.bool_],
    shape: str,
    fits: bool,
) -> SurveySource:
    names = [mark.name for mark in survey.marks[: marks.count]]
    errors = np.abs(off) / marks.sigma
    worst = int(np.argmax(np.where(kept, errors, -1.0)))
    suspects = tuple(
        Suspect(names[i], float(off[i]), float(errors[i]), not bool(kept[i]))
        for i in np.argsort(-errors, kind="stable").tolist()
        if errors[i] >= SUSPECT or not kept[i]
    )
    return SurveySource(
        how=survey.how,
        file=survey.file,
        marks=len(survey.marks),
        closing_mark=again,
        shape=shape,
        pieces=tuple(_piece(segment) for segment in segments),
        sigma=survey.sigma,
        off=tuple(zip(names, off.tolist(), strict=True)),
        rms=math.sqrt(float(np.mean(off[kept] ** 2))),
        worst=(names[worst], float(off[worst])),
        suspects=suspects,
        explained=fits,
        length_error=length_error(segments, marks.only(kept)),
    )


def _piece(segment: Segment) -> SurveyedPiece:
    """Tell a segment in figures of its own, for whoever walks it by other means."""
    if isinstance(segment, EllipseArc):
        whole = segment if segment.sweep > 0 else segment.reversed()
        return SurveyedPiece(
            "ellipse",
            whole.cx,
            whole.cy,
            whole.rotation,
            segment.length,
            math.copysign(0.0, segment.sweep),
            (whole.a, whole.b),
        )
    start = np.array(0.0)
    x, y = segment.point(start).tolist()
    heading, bend = float(segment.heading(start)), float(segment.curvature(start))
    assert isinstance(segment, Line | Arc)  # noqa: S101 - a survey makes no others
    return SurveyedPiece("arc" if bend else "straight", x, y, heading, segment.length, bend)
