"""Least squares with ties: a line of straights and arcs laid through marks, closed exactly where it must be.

Gauss and Newton's steps, damped after Levenberg (1944) and Marquardt (1963), within the space that keeps the
ties (Björck, Numerical Methods for Least Squares Problems, SIAM 1996, §5.1; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy.linalg

from layout.outline.segment import Floats
from layout.outline.survey_marks import Marks
from layout.outline.survey_steps import Indices, Steps

MOST_STEPS = 15
"""Steps of one fit; 5 to 10 are usual."""

MOST_DEALS = 4
"""Times that marks are dealt anew to the pieces that they are nearest to; 1 or 2 are usual."""

GAIN = 1e-12
"""Share of the squares under which a further step is not worth while."""

STILL = 1e-11
"""Share by which the last figure moves when a fit has come to rest."""

TIED = 1e-9
"""mm within which a loop closes, and by which its turn may be wrong 1 m off."""

MOST_TIES = 6
"""Newton's steps to close a loop again after each step; 2 or 3 are usual."""

STIFF = 1e9
"""Damping past which no step can better the fit."""


@dataclass(frozen=True, eq=False)
class Freedom:
    """Which figures of a line are free: figures = base + spread @ free."""

    base: Floats
    spread: Floats

    def steps(self, free: Floats) -> Steps:
        """Return the line of free figures."""
        return Steps.of(self.base + self.spread @ free)


def picked(steps: Steps, chosen: Indices) -> tuple[Freedom, Floats]:
    """Return the freedom of the chosen figures of a line, each on its own, and where they stand."""
    base = steps.figures
    spread = np.zeros((len(base), len(chosen)))
    spread[chosen, np.arange(len(chosen))] = 1.0
    free = base[chosen]
    base = base.copy()
    base[chosen] = 0.0
    return Freedom(base, spread), free


@dataclass(frozen=True, eq=False)
class Laid:
    """A line as laid through marks."""

    steps: Steps
    free: Floats
    off: Floats
    """mm, left of the line, of each mark"""
    slopes: Floats
    """of off/σ of each mark by the free figures, within the ties, shape (n, free − ties)"""
    within: Floats
    """directions of the free figures that keep the ties, shape (free, free − ties)"""
    squares: float
    """Σ(off/σ)²"""
    rested: bool
    """whether it came to rest"""


@dataclass(frozen=True, eq=False)
class _Sums:
    rows: Floats
    slopes: Floats
    ties: Floats
    tie_slopes: Floats
    merit: float


def lay(freedom: Freedom, free: Floats, marks: Marks, piece: Indices, turn: float) -> Laid | None:
    """Return the line of least squares through marks that belong to given pieces, or None where it is none.

    Parameters
    ----------
    freedom, free
        What may move, and where it starts from.
    marks
        The marks.
    piece
        Which piece each belongs to, shape (n,).
    turn
        Radians that a closed line turns in all, ±2π.
    """
    try:
        return _laid(freedom, free, marks, piece, turn)
    except np.linalg.LinAlgError:  # figures past all numbers: there is no such line
        return None


def _laid(freedom: Freedom, free: Floats, marks: Marks, piece: Indices, turn: float) -> Laid | None:
    free = _closed(freedom, free, marks, turn, np.ones(len(free)))
    here = _sums(freedom, free, marks, piece, turn)
    if not math.isfinite(here.merit):
        return None
    damping, rested = 1e-4, False
    for _ in range(MOST_STEPS):
        step, scale = _step(here, damping)
        other = _closed(freedom, free + step, marks, turn, scale)
        there = _sums(freedom, other, marks, piece, turn)
        if there.merit <= here.merit:
            small = np.abs(other - free) <= STILL * (np.abs(free) + 1e-6)
            gained = here.merit - there.merit
            free, here, damping = other, there, max(damping / 10, 1e-13)
            if small.all() or gained <= GAIN * here.merit:
                rested = True
                break
        else:
            damping *= 10
            if damping > STIFF:
                rested = True
                break
    steps = freedom.steps(free)
    off, _ = steps.feet(marks.xy, piece)
    within, _ = _within(here)
    inside = here.slopes[: marks.count] @ within
    return Laid(steps, free, off, inside, within, float(np.sum((off / marks.sigma) ** 2)), rested)


def settled(
    make: Callable[[Steps], tuple[Freedom, Floats]], steps: Steps, marks: Marks, turn: float, most: float
) -> Laid | None:
    """Lay a line again and again, each mark dealt to the piece it is nearest to, until none changes.

    Parameters
    ----------
    make
        From a line to what of it may move and where that stands.
    steps
        Where it starts from.
    marks, turn
        As of `lay`.
    most
        Squares in measuring errors past which it is given up.
    """
    piece = steps.nearest_piece(marks.xy)
    for _ in range(MOST_DEALS):
        laid = lay(*make(steps), marks, piece, turn)
        if laid is None or laid.squares > most:
            return None
        steps = laid.steps
        dealt = steps.nearest_piece(marks.xy)
        if (dealt == piece).all():
            break
        piece = dealt
    return laid


def _closed(freedom: Freedom, free: Floats, marks: Marks, turn: float, scale: Floats) -> Floats:
    """Return the free figures nearest to these by which a loop closes, by Newton's rule."""
    if not marks.closed:
        return free
    for _ in range(MOST_TIES):
        ties, slopes = _ties(freedom.steps(free), turn)
        if np.abs(ties).max() <= TIED or not np.isfinite(ties).all():
            break
        free = free - scale * np.linalg.lstsq(slopes @ freedom.spread * scale, ties, rcond=None)[0]
    return free


def _sums(freedom: Freedom, free: Floats, marks: Marks, piece: Indices, turn: float) -> _Sums:
    """Residuals in measuring errors, ties in mm, and both by the free figures; merit inf for no line."""
    steps = freedom.steps(free)
    if not ((steps.lengths > 0).all() and np.isfinite(steps.nodes).all()):
        empty = np.empty(0)
        return _Sums(empty, empty, empty, empty, math.inf)
    off, along = steps.feet(marks.xy, piece)
    _, moves = steps.moves(piece, along)
    # The piece's normal at the foot: the direction in which the mark lies off it, also where off is 0.
    ahead = steps.headings[piece] + steps.bends[piece] * along
    normal = np.stack([-np.sin(ahead), np.cos(ahead)], axis=1)
    rows = [off / marks.sigma]
    slopes = [-np.einsum("mi,mip->mp", normal, moves) / marks.sigma[:, None]]
    more, more_slopes = _end_rows(steps, marks)
    ties, tie_slopes = _ties(steps, turn) if marks.closed else (np.empty(0), np.empty((0, len(freedom.base))))
    rows += [more]
    slopes += [more_slopes]
    spread = [slope @ freedom.spread for slope in slopes]
    found = np.concatenate(rows)
    # Where a loop can't be closed there is no line.
    merit = float(found @ found) if np.abs(ties).max(initial=0.0) <= 1e3 * TIED else math.inf
    return _Sums(found, np.concatenate(spread), ties, tie_slopes @ freedom.spread, merit)


def _end_rows(steps: Steps, marks: Marks) -> tuple[Floats, Floats]:
    """Hold the ends of an open line beside its first and last mark; round a loop the joints hold the start."""
    if marks.closed:
        return np.empty(0), np.empty((0, 3 + 3 * steps.count))
    last = steps.count - 1
    points, moves = steps.moves(np.array([0, last]), np.array([0.0, steps.lengths[last]]))
    ahead = np.array([steps.headings[0], steps.headings[-1]])
    way = np.stack([np.cos(ahead), np.sin(ahead)], axis=1)
    moves[1, :, 3 + last] += way[1]
    rows = np.einsum("mi,mi->m", way, marks.xy[[0, -1]] - points) / marks.sigma[[0, -1]]
    return rows, -np.einsum("mi,mip->mp", way, moves) / marks.sigma[[0, -1], None]


def _ties(steps: Steps, turn: float) -> tuple[Floats, Floats]:
    """By how much a loop fails to close, mm and mm of a turn at 1 m, and how that moves."""
    k, last = steps.count, steps.count - 1
    points, moves = steps.moves(np.array([last]), steps.lengths[last:])
    moves[0, :, 3 + last] += steps.ways[last]
    moves[0, 0, 0] = moves[0, 1, 1] = 0.0
    gap = points[0] - steps.nodes[0]
    turned = float(steps.lengths @ steps.bends) + math.fsum(steps.corners)
    reach = 1000.0
    turning = np.zeros(3 + 3 * k)
    turning[3 : 3 + k], turning[3 + k : 3 + 2 * k], turning[3 + 2 * k :] = steps.bends, steps.lengths, 1.0
    return np.append(gap, reach * (turned - turn)), np.concatenate([moves[0], reach * turning[None]])


def _within(sums: _Sums) -> tuple[Floats, Floats]:
    """Return directions of free figures that keep the ties, shape (free, free − ties), and their scale."""
    size = np.linalg.norm(sums.slopes, axis=0)
    scale = 1 / np.where(size > 0, size, 1.0)
    if not len(sums.ties):
        return np.diag(scale), scale
    q, _ = scipy.linalg.qr((sums.tie_slopes * scale).T)
    return scale[:, None] * q[:, len(sums.ties) :], scale


def _step(sums: _Sums, damping: float) -> tuple[Floats, Floats]:
    """Return the damped step within the ties, and the scale of the figures that it was sought in."""
    within, scale = _within(sums)
    rows = sums.slopes @ within
    # By the normal equations: the damping keeps them sound, and the next step mends what they lose.
    squares = rows.T @ rows
    size = np.maximum(np.diag(squares), 1e-18)
    inside = np.linalg.solve(squares + damping * np.diag(size), -rows.T @ sums.rows)
    return within @ inside, scale
