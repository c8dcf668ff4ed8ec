"""The line of straights and arcs, or the fair curve, that marks in their order make, and which of them spoil it.

The line costs its squares in measuring errors and ln n for each figure (Schwarz, Estimating the dimension of a
model, Ann. Statist. 6 (1978); from memory), with few marks more: a figure must earn its place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.outline.fair import fair_curve
from layout.outline.segment import Floats
from layout.outline.survey_marks import Marks, price
from layout.outline.survey_pieces import laid_pieces
from layout.outline.survey_steps import Steps
from layout.outline.survey_whole import BLUNDER, MOST_BLUNDERS, within_error

SUSPECT = 4.0
"""Measuring errors off the line from which a mark is suspect; honest errors come so far once in 16 000 marks."""

CLEAR = 6.0
"""Cost by which the less likely kind of line must be better than the likelier one: strong evidence by Kass & Raftery,
Bayes factors, J. Amer. Statist. Assoc. 90 (1995), whose 2·ln of the odds this is (from memory)."""

SPIKE = 2.0
"""Measuring errors from which a mark that fits none of its neighbours is tried as a blunder (assumed)."""

ALL_TRIED = 12
"""Marks of a line so short that each is tried as a blunder where only a free curve goes through them (assumed)."""

SPARE = 3
"""Marks more than figures that a line must have left to say of another mark that it is a blunder (assumed)."""

TRIED = 3
"""Marks that are tried as the next blunder, the likeliest ones (assumed)."""


@dataclass(frozen=True, eq=False)
class Laying:
    """One way of laying a line through marks."""

    shape: str
    steps: Steps
    off: Floats
    """mm, to the right of the line, of the marks it was laid through"""
    squares: float
    """Σ(off/σ)²"""
    figures: float
    """free figures less ties, or figures in effect"""
    cost: float
    """squares, and the price of each figure"""

    @property
    def fits(self) -> bool:
        """Tell whether what is left over is no more than the measuring error explains."""
        return within_error(self.squares, len(self.off), self.figures)


def _line(marks: Marks, *, cornered: bool) -> Laying:
    """Return straights and arcs, or the fair curve that clearly costs less."""
    fair = fair_curve(marks)
    pieces = laid_pieces(marks, fair.steps, fair.cost + CLEAR, cornered=cornered)
    if pieces is not None:
        laid = pieces.laid
        return Laying("straights and arcs", laid.steps, -laid.off, laid.squares, pieces.figures, pieces.cost)
    return Laying("fair curve", fair.steps, -fair.off, fair.squares, fair.figures, fair.cost)


def laid_line(marks: Marks, *, cornered: bool = False) -> tuple[Laying, NDArray[np.bool_]]:
    """Lay a line, and again without the mark that spoils it most, while one clearly does."""
    kept = np.ones(marks.count, dtype=bool)
    line = _line(marks, cornered=cornered)
    for _ in range(max(1, math.floor(MOST_BLUNDERS * marks.count))):
        better = _without_one(marks, kept, line, cornered=cornered)
        if better is None:
            break
        line, out = better
        kept[out] = False
    return _with_cleared(marks, kept, line, cornered=cornered)


def _with_cleared(
    marks: Marks, kept: NDArray[np.bool_], line: Laying, *, cornered: bool
) -> tuple[Laying, NDArray[np.bool_]]:
    """Take marks back that are no blunders off the line that was found in the end."""
    cleared = ~kept & (np.abs(off_line(line.steps, marks.xy)) < BLUNDER * marks.sigma)
    if not cleared.any():
        return line, kept
    return _line(marks.only(kept | cleared), cornered=cornered), kept | cleared


def _without_one(marks: Marks, kept: NDArray[np.bool_], line: Laying, *, cornered: bool) -> tuple[Laying, int] | None:
    """Return the cheapest line without one mark more, and that mark; None where each mark earns its place.

    A mark left out costs as much as the figures that would explain it: its two coordinates.
    """
    here = marks.only(kept)
    names = np.flatnonzero(kept)
    more = 2 * price(marks.count)
    best: tuple[Laying, int] | None = None
    for i in _candidates(here, line):
        others = np.ones(here.count, dtype=bool)
        others[i] = False
        other = _line(here.only(others), cornered=cornered)
        off = abs(float(off_line(other.steps, here.xy[i : i + 1])[0])) / here.sigma[i]
        told = others.sum() - other.figures >= SPARE
        if told and off >= BLUNDER and other.cost + more < (best[0].cost + more if best else line.cost):
            best = other, int(names[i])
    return best


def _candidates(marks: Marks, line: Laying) -> list[int]:
    """Return marks that may be blunders: far off the line, or off what their neighbours on every side foretell."""
    spikes = _spikes(marks)
    off = np.abs(line.off) / marks.sigma
    by_spike = [i for i in np.argsort(-spikes, kind="stable").tolist() if spikes[i] > SPIKE][:TRIED]
    by_off = [i for i in np.argsort(-off, kind="stable").tolist() if off[i] > SUSPECT][:TRIED]
    # An open line ends beside its first and last mark: without one of them it would be shorter.
    ends = () if marks.closed else (0, marks.count - 1)
    if marks.count <= ALL_TRIED and line.shape == "fair curve" and (by_spike or by_off):
        return [i for i in range(marks.count) if i not in ends]  # a blunder makes its few neighbours look worse than it
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


def off_line(steps: Steps, xy: Floats) -> Floats:
    """How far points are off a line, mm, those to its right positive; past a corner or an end, from there."""
    piece = steps.nearest_piece(xy)
    off, along = steps.feet(xy, piece)
    past = np.maximum(np.maximum(-along, along - steps.lengths[piece]), 0.0)
    found: Floats = -np.copysign(np.hypot(off, past), off)
    return found
