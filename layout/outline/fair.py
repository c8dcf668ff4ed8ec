"""A fair curve through marks: one that bends as evenly as the marks allow, laid as arcs.

A spline of degree five with even knots over the chords from mark to mark; the third differences of its
coefficients are held small at a price (Eilers & Marx, Flexible smoothing with B-splines and penalties,
Statist. Sci. 11 (1996)), and what that takes off is smoothed once more and added, so that a round curve does
not shrink (Tukey's twicing). The price is where the error to be expected is least: the squares and twice the
figures in effect (Mallows, Some comments on Cp, Technometrics 15 (1973)); all from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import scipy.linalg
from scipy.interpolate import BSpline

from layout.outline.segment import Floats
from layout.outline.survey_marks import Marks, price
from layout.outline.survey_steps import STRAIGHTEST, Steps

DEGREE = 5
"""Of the spline: curvature and its rate are continuous."""

FEWEST_SPANS, MOST_SPANS = 6, 120
"""Spans between knots: as many as marks, within these (assumed)."""

PRICES = tuple(10.0 ** (k / 4) for k in range(-40, 41))
"""Prices of uneven bending that are tried, beside the squares in measuring errors."""

SHORTEST = 1e-3
"""mm from knot to knot, at least: marks that turn back leave a knot where the one before is."""

EVEN = 1e-9
"""mm or radians: a stretch whose ends agree so well is a straight."""


@dataclass(frozen=True, eq=False)
class Fair:
    """A fair curve as laid."""

    steps: Steps
    """two arcs for each span"""
    off: Floats
    """mm, left of the line, of each mark"""
    figures: float
    """figures in effect: half the trace of how the curve's x and y follow the marks'"""
    squares: float
    """Σ(off/σ)²"""
    cost: float
    """squares in measuring errors, and the price of each figure in effect"""


def fair_curve(marks: Marks) -> Fair:
    """Return the fair curve through at least three marks.

    Examples
    --------
    >>> turn = np.linspace(0.0, 2 * math.pi, 48, endpoint=False)
    >>> round_ = np.stack([900 * np.cos(turn), 900 * np.sin(turn)], axis=1)
    >>> fair = fair_curve(Marks(round_, np.full(48, 1.0), closed=True))
    >>> abs(float(fair.steps.lengths.sum()) - 2 * math.pi * 900) < 1
    True
    """
    chords = np.linalg.norm(np.diff(marks.xy, axis=0, append=marks.xy[:1]), axis=1)
    reach = np.concatenate([[0.0], np.cumsum(chords)])
    spans = min(max(marks.count, FEWEST_SPANS), MOST_SPANS)
    at = reach[:-1] / (reach[-1] if marks.closed else reach[-2]) * spans
    knots = np.arange(-DEGREE, spans + DEGREE + 1, dtype=np.float64)
    basis = _basis(knots, at, spans, marks.closed)
    coefficients, figures = _smoothed(basis, marks)
    if marks.closed:
        coefficients = np.concatenate([coefficients, coefficients[:DEGREE]])
    curve = BSpline(knots, coefficients, DEGREE)
    steps = _arcs(curve, spans)
    off, _ = steps.feet(marks.xy, steps.nearest_piece(marks.xy))
    squares = float(np.sum((off / marks.sigma) ** 2))
    return Fair(steps, off, figures, squares, squares + figures * price(marks.count))


def _basis(knots: Floats, at: Floats, spans: int, closed: bool) -> Floats:
    """Value of each spline at each mark, shape (n, splines); round a loop the last ones are the first."""
    inside = np.clip(at, 0.0, np.nextafter(float(spans), 0.0))
    full = BSpline.design_matrix(inside, knots, DEGREE).toarray()
    if not closed:
        return np.asarray(full)
    out = full[:, :spans].copy()
    for extra in range(DEGREE):
        out[:, extra % spans] += full[:, spans + extra]
    return np.asarray(out)


def _smoothed(basis: Floats, marks: Marks) -> tuple[Floats, float]:
    """Return coefficients (splines, 2) at the best price, and the figures in effect of one coordinate."""
    weight = 1 / marks.sigma
    rows, goal = basis * weight[:, None], marks.xy * weight[:, None]
    changes = _third_differences(basis.shape[1], marks.closed)
    squares = rows.T @ rows
    ridge = squares + 1e-9 * np.trace(squares) / len(squares) * (changes.T @ changes)
    # In the basis where both are diagonal a price only scales: squares → 1, uneven bending → bends.
    bends, turn = scipy.linalg.eigh(changes.T @ changes, ridge + 1e-13 * np.trace(squares) * np.eye(len(squares)))
    bends = np.maximum(bends, 0.0)
    followed = rows @ turn
    seen = followed.T @ goal
    best: tuple[float, float, float] | None = None
    for held in PRICES:
        share = _twice(bends, held)
        left = goal - followed @ (share[:, None] * seen)
        figures = float(np.sum(share * np.sum(followed**2, axis=0)))
        expected = float(np.sum(left**2)) + 4 * figures
        if best is None or expected <= best[0]:
            best = (expected, held, figures)
    assert best is not None  # noqa: S101 - there are prices
    return turn @ (_twice(bends, best[1])[:, None] * seen), best[2]


def _twice(bends: Floats, held: float) -> Floats:
    """Share of each part that is followed: once smoothed, and the rest smoothed again."""
    once = 1 / (1 + held * bends)
    return np.asarray(once * (2 - once))


def _third_differences(splines: int, closed: bool) -> Floats:
    rows = np.eye(splines)
    if not closed:
        return np.diff(rows, n=3, axis=0)
    for _ in range(3):
        rows = np.roll(rows, -1, axis=0) - rows
    return rows


def _arcs(curve: BSpline, spans: int) -> Steps:
    """Return two arcs for each span, tangent to the curve at its knots and to each other between.

    Of the pairs that do so the one whose arcs leave the ends by equal lengths of tangent (Bolton, Biarc
    curves, Computer-Aided Design 7 (1975); from memory).
    """
    at = np.arange(spans + 1, dtype=np.float64)
    points, ways = np.asarray(curve(at)), np.asarray(curve.derivative()(at))
    headings = np.unwrap(np.arctan2(ways[:, 1], ways[:, 0]))
    lengths, bends = [], []
    for i in range(spans):
        for length, bend in _pair(points[i], points[i + 1], float(headings[i]), float(headings[i + 1])):
            lengths.append(length)
            bends.append(bend if abs(bend) >= STRAIGHTEST else 0.0)
    x, y = points[0].tolist()
    return Steps(x, y, float(headings[0]), np.array(lengths), np.array(bends), np.zeros(2 * spans))


def _pair(start: Floats, end: Floats, leaving: float, arriving: float) -> list[tuple[float, float]]:
    """Lengths and curvatures of two arcs from a point and heading to another."""
    chord = end - start
    way = math.atan2(chord[1], chord[0])
    a, b = math.remainder(leaving - way, math.tau), math.remainder(arriving - way, math.tau)
    size = max(float(np.hypot(*chord)), SHORTEST)
    # Equal tangent lengths d: the middle of the two tips lies where |tips| = 2d.
    v = 2 * (1 - math.cos(b - a))
    u = size * (math.cos(a) + math.cos(b))
    d = size**2 / (u + math.sqrt(u * u + v * size**2))
    tip = np.array([d * math.cos(a), d * math.sin(a)])
    other = np.array([size - d * math.cos(b), -d * math.sin(b)])
    across = other - tip
    middle = math.atan2(across[1], across[0])
    return [_arc_of(d, middle - a), _arc_of(d, b - middle)]


def _arc_of(tangent: float, turn: float) -> tuple[float, float]:
    """Length and curvature of the arc with tangents of one length from its ends to their meeting."""
    turn = math.remainder(turn, math.tau)
    if abs(turn) < EVEN:
        return 2 * tangent, 0.0
    radius = tangent / math.tan(turn / 2)
    return abs(radius * turn), 1 / radius
