"""A surveyed wall with sharp corners: each side is laid on its own, and neighbours are brought to where they meet.

The figures of one side have no part in another's, a corner being free to turn and to stand anywhere; so sides
of least squares, each by itself, are the whole line of least squares.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.errors import Fault, JobFaults
from layout.job.model_survey import Survey
from layout.outline.segment import Floats
from layout.outline.survey_line import Laying, laid_line, off_line
from layout.outline.survey_marks import Marks, place, price
from layout.outline.survey_pieces import MOST_PIECES
from layout.outline.survey_split import split
from layout.outline.survey_steps import Indices, Steps
from layout.units import format_angle

LEAST_CORNER = math.radians(5.0)
"""Of a surveyed wall: what turns less is no corner that marks can tell (assumed)."""


@dataclass(frozen=True, eq=False)
class _Side:
    """One side of a wall, from corner to corner."""

    marks: Indices
    """which marks it goes through"""
    line: Laying
    kept: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class _Corner:
    """Where one side's last straight and the next one's first meet."""

    at: Floats
    """mm, shape (2,); far away where they hardly turn"""
    turn: float
    """radians, left positive"""
    straight: tuple[bool, bool]
    """whether the line is straight before it, and after it"""


def marked_line(survey: Survey, marks: Marks, corners: Sequence[int], units: str) -> tuple[Laying, NDArray[np.bool_]]:
    """Return the line with corners at marks that the survey calls so, and which marks it was laid through.

    Parameters
    ----------
    survey
        Whose marks they are, for their names.
    marks
        Sound ones.
    corners
        Indices of the marks at corners, rising; of an open line neither its first nor its last.
    units
        The job's units, for the words.

    Raises
    ------
    JobFaults
        Where the wall hardly turns at such a mark, or bends beside it.

    Examples
    --------
    >>> xy = np.array([(0.0, 0.0), (900.0, 0.0), (1800.0, 0.0), (1800.0, 600.0), (1800.0, 1200.0)])
    >>> line, _ = marked_line(Survey((), 1.0), Marks(xy, np.ones(5), closed=False), [2], "mm")
    >>> line.steps.lengths.round(9).tolist(), round(math.degrees(line.steps.corners[1]), 9)
    ([1800.0, 1200.0], 90.0)
    """
    sides = [_side(marks, own) for own in _between(marks, [(i, i) for i in corners])]
    found = _corners(sides, marks.closed)
    faults = [
        Fault(survey.marks[i].key, "", f"mark {survey.marks[i].name} stands at a corner, and {rule}", remedy)
        for i, corner in zip(corners, found, strict=True)
        for rule, remedy in _wrong(corner)
    ]
    if faults:
        raise JobFaults(faults)
    line = _whole(marks, sides, found)
    if line is None:
        i = corners[0]
        rule = f"corners leave a wall between them, and of those from {place(marks.xy[i], units)} on some do not"
        raise JobFaults([Fault(survey.marks[i].key, "", rule, "Look at the order of the marks, and at the corners")])
    return line


def found_line(marks: Marks) -> tuple[Laying, NDArray[np.bool_]] | None:
    """Return the line with corners wherever two straights follow each other; None where there is none such."""
    stretches = split(marks)
    pairs = list(zip(stretches, stretches[1:] + stretches[:1], strict=True))
    met = [
        ((here.after - 1) % marks.count, after.first % marks.count)
        for here, after in (pairs if marks.closed else pairs[:-1])
        if here.straight and after.straight and min(here.after - here.first, after.after - after.first) > 1
    ]
    if not met or not 1 < len(stretches) <= MOST_PIECES:
        return None
    sides = [_side(marks, own) for own in _between(marks, sorted(met))]
    found = _corners(sides, marks.closed)
    return None if any(fault for corner in found for fault in _wrong(corner)) else _whole(marks, sides, found)


def _between(marks: Marks, met: Sequence[tuple[int, int]]) -> list[Indices]:
    """Return which marks each side goes through; `met` are the last mark before and the first after each corner."""
    count = marks.count
    if marks.closed:
        lasts = [last for last, _ in (*met[1:], met[0])]
        # From a lone corner the side goes all the way round to it.
        laps = [(last - after) % count or count for (_, after), last in zip(met, lasts, strict=True)]
        return [np.arange(after, after + lap + 1) % count for (_, after), lap in zip(met, laps, strict=True)]
    firsts = [0, *(after for _, after in met)]
    ends = [*(before for before, _ in met), count - 1]
    return [np.arange(first, last + 1) for first, last in zip(firsts, ends, strict=True)]


def _side(marks: Marks, own: Indices) -> _Side:
    mine = Marks(marks.xy[own], marks.sigma[own], closed=False)
    if mine.count > 2:
        return _Side(own, *laid_line(mine))
    way = mine.xy[1] - mine.xy[0]
    zeros = np.zeros(1)
    x, y = mine.xy[0].tolist()
    steps = Steps(x, y, math.atan2(way[1], way[0]), np.array([np.hypot(*way)]), zeros, zeros)
    return _Side(own, Laying("straights and arcs", steps, np.zeros(2), 0.0, 2, 0.0), np.ones(2, dtype=bool))


def _corners(sides: Sequence[_Side], closed: bool) -> list[_Corner]:
    """Return each corner in the order of the marks; round a loop the first one starts the first side."""
    if closed:
        return [
            _corner(before.line.steps, after.line.steps)
            for before, after in zip([sides[-1], *sides], sides, strict=False)
        ]
    return [_corner(before.line.steps, after.line.steps) for before, after in itertools.pairwise(sides)]


def _corner(before: Steps, after: Steps) -> _Corner:
    heading, ahead = float(before.headings[-1]), float(after.headings[0])
    turn = math.remainder(ahead - heading, math.tau)
    u, v = _way(heading), _way(ahead)
    gap = after.nodes[0] - before.nodes[-1]
    t = (gap[0] * v[1] - gap[1] * v[0]) / (math.sin(turn) or 1e-12)
    return _Corner(before.nodes[-1] + t * u, turn, (not before.bends[-1], not after.bends[0]))


def _way(heading: float) -> Floats:
    return np.array([math.cos(heading), math.sin(heading)])


def _wrong(corner: _Corner) -> Iterator[tuple[str, str]]:
    """Yield rule and remedy where runs cannot meet at a corner."""
    for straight, beside in zip(corner.straight, ("before", "after"), strict=True):
        if not straight:
            remedy = "Take three marks or more on the straight beside the corner, or state survey.sigma"
            yield f"runs meet on straights: the marks {beside} it make a curve", remedy
    if all(corner.straight) and not LEAST_CORNER <= abs(corner.turn) <= math.pi - LEAST_CORNER:
        least, turn = format_angle(LEAST_CORNER), format_angle(abs(corner.turn))
        rule = f"a surveyed corner turns {least} or more, but not right back: the wall turns {turn}"
        yield rule, "Leave it out of the corners, or look at the figures of the marks beside it"


def _whole(marks: Marks, sides: Sequence[_Side], corners: Sequence[_Corner]) -> tuple[Laying, NDArray[np.bool_]] | None:
    """Join sides at their corners; None where they leave nothing of one."""
    starts = corners if marks.closed else [None, *corners]
    ends = [*starts[1:], starts[0]]
    parts = [_ended(side.line.steps, start, end) for side, start, end in zip(sides, starts, ends, strict=True)]
    if any((part.lengths <= 0).any() for part in parts):
        return None
    turns = [
        np.concatenate([[start.turn if start else 0.0], part.corners[1:]])
        for part, start in zip(parts, starts, strict=True)
    ]
    (lengths, bends) = (np.concatenate([getattr(part, name) for part in parts]) for name in ("lengths", "bends"))
    steps = Steps(parts[0].x, parts[0].y, parts[0].heading, lengths, bends, np.concatenate(turns))
    kept = np.ones(marks.count, dtype=bool)
    for side in sides:
        kept[side.marks] &= side.kept
    squares, figures = (math.fsum(getattr(side.line, name) for side in sides) for name in ("squares", "figures"))
    fair = [side.line.shape for side in sides if side.line.shape != "straights and arcs"]
    off = off_line(steps, marks.xy)[kept]
    cost = squares + figures * price(marks.count)
    return Laying(fair[0] if fair else "straights and arcs", steps, off, squares, figures, cost), kept


def _ended(steps: Steps, start: _Corner | None, end: _Corner | None) -> Steps:
    """Bring a side's ends to its corners."""
    lengths, (x, y) = steps.lengths.copy(), steps.nodes[0]
    if end is not None:
        lengths[-1] += (end.at - steps.nodes[-1]) @ _way(float(steps.headings[-1]))
    if start is not None:
        lengths[0] += (steps.nodes[0] - start.at) @ _way(float(steps.headings[0]))
        x, y = start.at
    return Steps(float(x), float(y), steps.heading, lengths, steps.bends, steps.corners)
