"""From the marks of a survey to the line they were taken off: the simplest one that they allow.

sound marks → one named shape, else straights and arcs, else a fair curve → blunders left out, one by one →
the line with what is off it. The line costs its squares in measuring errors and ln n for each figure
(Schwarz, Estimating the dimension of a model, Ann. Statist. 6 (1978); from memory): a figure must earn its place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec
from layout.job.model_survey import Survey
from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.fair import fair_curve
from layout.outline.segment import Floats, Segment
from layout.outline.survey_marks import Marks, sound_marks
from layout.outline.survey_pieces import laid_pieces
from layout.outline.survey_source import SurveyedPiece, SurveySource, Suspect
from layout.outline.survey_steps import Steps
from layout.outline.survey_whole import BLUNDER, MOST_BLUNDERS, best_whole, within_error

SUSPECT = 4.0
"""Measuring errors off the line from which a mark is suspect; honest errors come so far once in 16 000 marks."""

SPIKE = 2.0
"""Measuring errors from which a mark that fits none of its neighbours is tried as a blunder (assumed)."""

TRIED = 3
"""Marks that are tried as the next blunder, the likeliest ones (assumed)."""


@dataclass(frozen=True, eq=False)
class Surveyed:
    """The line that marks make, in their order, and what was read."""

    segments: tuple[Segment, ...]
    source: SurveySource


@dataclass(frozen=True, eq=False)
class _Line:
    """One way of laying a line through marks."""

    shape: str
    segments: tuple[Segment, ...]
    steps: Steps | None
    off: Floats
    """mm, to the right of the line, of the marks it was laid through"""
    cost: float
    fits: bool


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
        return _surveyed(spec.survey, marks, again)


def _surveyed(survey: Survey, marks: Marks, again: bool) -> Surveyed:
    whole = best_whole(marks) if marks.closed else None
    if whole is not None:
        segments = whole.segments()
        clockwise = _clockwise(marks)
        if clockwise:
            segments = tuple(segment.reversed() for segment in reversed(segments))
        off = -whole.off if clockwise else whole.off
        line = _Line(whole.shape, segments, None, off, whole.cost, fits=True)
        return Surveyed(segments, _source(survey, marks, again, line, off, whole.kept))
    line, kept = _without_blunders(marks)
    assert line.steps is not None  # noqa: S101 - only named shapes have none
    off = _off(line.steps, marks.xy)
    return Surveyed(line.segments, _source(survey, marks, again, line, off, kept))


def _clockwise(marks: Marks) -> bool:
    x, y = marks.xy.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) < 0


def _line(marks: Marks) -> _Line:
    """Return the cheaper one of straights and arcs and a fair curve."""
    fair = fair_curve(marks)
    pieces = laid_pieces(marks, fair.steps, fair.cost)
    if pieces is not None:
        fits = within_error(pieces.laid.squares, marks.count, pieces.figures)
        return _Line("straights and arcs", pieces.steps.segments(), pieces.steps, -pieces.laid.off, pieces.cost, fits)
    fits = within_error(fair.squares, marks.count, fair.figures)
    return _Line("fair curve", fair.steps.segments(), fair.steps, -fair.off, fair.cost, fits)


def _without_blunders(marks: Marks) -> tuple[_Line, NDArray[np.bool_]]:
    """Lay a line, and again without the mark that spoils it most, while one clearly does."""
    kept = np.ones(marks.count, dtype=bool)
    line = _line(marks)
    for _ in range(max(1, math.floor(MOST_BLUNDERS * marks.count))):
        better = _without_one(marks, kept, line)
        if better is None:
            break
        line, out = better
        kept[out] = False
    return _with_cleared(marks, kept, line)


def _with_cleared(marks: Marks, kept: NDArray[np.bool_], line: _Line) -> tuple[_Line, NDArray[np.bool_]]:
    """Take marks back that are no blunders off the line that was found in the end."""
    assert line.steps is not None  # noqa: S101 - only named shapes have none
    cleared = ~kept & (np.abs(_off(line.steps, marks.xy)) < BLUNDER * marks.sigma)
    if not cleared.any():
        return line, kept
    return _line(marks.only(kept | cleared)), kept | cleared


def _without_one(marks: Marks, kept: NDArray[np.bool_], line: _Line) -> tuple[_Line, int] | None:
    """Return the cheapest line without one mark more, and that mark; None where each mark earns its place.

    A mark left out costs as much as the figures that would explain it: its two coordinates.
    """
    here = marks.only(kept)
    names = np.flatnonzero(kept)
    price = 2 * math.log(marks.count)
    best: tuple[_Line, int] | None = None
    for i in _candidates(here, line):
        others = np.ones(here.count, dtype=bool)
        others[i] = False
        other = _line(here.only(others))
        assert other.steps is not None  # noqa: S101 - only named shapes have none
        off = abs(float(_off(other.steps, here.xy[i : i + 1])[0])) / here.sigma[i]
        if off >= BLUNDER and other.cost + price < (best[0].cost + price if best else line.cost):
            best = other, int(names[i])
    return best


def _candidates(marks: Marks, line: _Line) -> list[int]:
    """Return marks that may be blunders: far off the line, or off what their neighbours on every side foretell."""
    spikes = _spikes(marks)
    off = np.abs(line.off) / marks.sigma
    by_spike = [i for i in np.argsort(-spikes, kind="stable").tolist() if spikes[i] > SPIKE][:TRIED]
    by_off = [i for i in np.argsort(-off, kind="stable").tolist() if off[i] > SUSPECT][:TRIED]
    # An open line ends beside its first and last mark: without one of them it would be shorter.
    ends = () if marks.closed else (0, marks.count - 1)
    return [i for i in dict.fromkeys(by_spike + by_off) if i not in ends]


def _spikes(marks: Marks) -> Floats:
    """How far each mark is off the best of three parabolas: of those before, those after, and both; in their errors.

    Where a line's curvature jumps, the marks of one side still foretell the next one on it.
    """
    n = marks.count
    sides = (np.array([-4, -3, -2, -1]), np.array([1, 2, 3, 4]), np.array([-2, -1, 1, 2]))
    found = np.full((3, n), math.inf)
    for row, steps in enumerate(sides):
        for i in range(n):
            around = i + steps
            if not marks.closed and not ((around >= 0) & (around < n)).all():
                continue
            found[row, i] = _off_parabola(marks, i, around % n)
    least = found.min(axis=0)
    return np.asarray(np.where(np.isfinite(least), least, 0.0))


def _off_parabola(marks: Marks, i: int, around: NDArray[np.intp]) -> float:
    """How far a mark is across the parabola through others, in the error that this has."""
    xy = marks.xy[around]
    way = xy[-1] - xy[0]
    way = way / max(float(np.hypot(*way)), 1e-9)
    ahead = (xy - xy[0]) @ way
    aside = (xy - xy[0]) @ np.array([-way[1], way[0]])
    t = float((marks.xy[i] - xy[0]) @ way)
    rows = np.stack([np.ones(len(around)), ahead, ahead**2], axis=1)
    weights = np.array([1.0, t, t * t]) @ np.linalg.pinv(rows)
    off = float((marks.xy[i] - xy[0]) @ np.array([-way[1], way[0]])) - float(weights @ aside)
    error = math.hypot(float(marks.sigma[i]), float(np.linalg.norm(weights * marks.sigma[around])))
    return abs(off) / error


def _off(steps: Steps, xy: Floats) -> Floats:
    """How far points are to the right of a line, mm."""
    off, _ = steps.feet(xy, steps.nearest_piece(xy))
    return -off


def _source(
    survey: Survey, marks: Marks, again: bool, line: _Line, off: Floats, kept: NDArray[np.bool_]
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
        shape=line.shape,
        pieces=tuple(_piece(segment) for segment in line.segments),
        sigma=survey.sigma,
        off=tuple(zip(names, off.tolist(), strict=True)),
        rms=math.sqrt(float(np.mean(off[kept] ** 2))),
        worst=(names[worst], float(off[worst])),
        suspects=suspects,
        explained=line.fits,
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
