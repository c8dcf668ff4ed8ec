"""How well marks tell a surveyed line: what its length may be off by, and where it bends unseen between two marks."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from layout.outline.corners import corners_of
from layout.outline.segment import Floats, Segment
from layout.outline.survey_marks import Marks
from layout.outline.survey_steps import Steps

UNSEEN = math.radians(30.0)
"""Turn from one mark to the next that is told: the line rises some 3 % of its radius between them (assumed)."""

HALVES = 2000
"""Places at which a line's curvature is summed."""


def length_error(segments: Sequence[Segment], marks: Marks) -> float:
    """Return the standard deviation of a surveyed line's length, mm, as far as its shape is right.

    A line moved by δ(s) to the right is longer by ∫κδ ds: with an error of σ at each of n marks L/n apart,
    σ²·(L/n)·∫κ² ds. An end of an open line has σ along it. At a corner that turns by θ a side that ends 2σ/√m off,
    m marks on it (least squares, at its end), makes the line tan(θ/2) as much longer.

    Parameters
    ----------
    segments
        The line.
    marks
        Those that it was laid through.

    Examples
    --------
    >>> from layout.outline.curves import Line
    >>> wall = Marks(np.stack([np.linspace(0.0, 900.0, 10), np.zeros(10)], axis=1), np.full(10, 1.5), closed=False)
    >>> length_error([Line(0.0, 0.0, 0.0, 900.0)], wall) == 1.5 * math.sqrt(2)
    True
    """
    length = math.fsum(segment.length for segment in segments)
    sigma = float(np.sqrt(np.mean(marks.sigma**2)))
    bent = math.fsum(_squares_of_curvature(segment) for segment in segments)
    squares = length / marks.count * bent + (0.0 if marks.closed else 2.0)
    for corner in corners_of(segments, marks.closed):
        beside = (segments[corner.segment], segments[(corner.segment + 1) % len(segments)])
        for side in beside:
            squares += math.tan(corner.turn / 2) ** 2 * 4 / max(marks.count * side.length / length, 2.0)
    return sigma * math.sqrt(squares)


def _squares_of_curvature(segment: Segment) -> float:
    """Return ∫κ² ds of a segment, 1/mm, by the rule of midpoints."""
    at = (np.arange(HALVES) + 0.5) * segment.length / HALVES
    return float(np.mean(segment.curvature(at) ** 2)) * segment.length


def bends_unseen(steps: Steps, marks: Marks) -> tuple[int, int, float] | None:
    """Return the two neighbouring marks between which a line of pieces turns most, and the radians; None: little.

    Corners don't count: they stand where two straights meet, marks or none.
    """
    piece = steps.nearest_piece(marks.xy)
    _, along = steps.feet(marks.xy, piece)
    starts = np.concatenate([[0.0], np.cumsum(steps.lengths)])
    turned = np.concatenate([[0.0], np.cumsum(np.abs(steps.lengths * steps.bends))])
    here = np.interp(starts[piece] + np.clip(along, 0.0, steps.lengths[piece]), starts, turned)
    turns: Floats = np.diff(here, append=here[0]) if marks.closed else np.diff(here)
    if marks.closed and turned[-1] > 0:  # a mark where the loop closes stands at its start and at its end
        turns = turns - turned[-1] * np.round(turns / turned[-1])
    turns = np.abs(turns)
    most = int(np.argmax(turns))
    if turns[most] <= UNSEEN:
        return None
    return most, (most + 1) % marks.count, float(turns[most])
