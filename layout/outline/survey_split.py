"""Where straights and arcs begin and end among marks: the cheapest split, found by dynamic programming.

Each stretch of marks is fitted by a straight and by a circle on its own, and costs its squares in measuring
errors and a price for each figure (Bellman & Roth, Curve fitting by segmented straight lines, J. Amer.
Statist. Assoc. 64 (1969); the price is that of Schwarz's criterion, Ann. Statist. 6 (1978); from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from layout.outline.segment import Floats
from layout.outline.survey_marks import Marks, price
from layout.outline.survey_steps import Indices, Steps

MOST_PLACES = 150
"""Marks between which a piece may end; of more every second, third … is taken. Work grows with the cube."""

STRAIGHT_PRICE, ARC_PRICE = 2.0, 3.0
"""Figures of a piece."""

LEAST_BENT = 5
"""Marks of two straights with a bend: two on each, and one that tells the bend."""

NEWTON_STEPS = 12
"""Steps to the root that makes a circle of moments; 4 to 6 are usual."""


@dataclass(frozen=True)
class Stretch:
    """Marks that one piece goes through."""

    first: int
    """index of its first mark"""
    after: int
    """index after its last mark"""
    straight: bool


def split(marks: Marks) -> list[Stretch]:
    """Return the cheapest split of marks into straights and arcs, in their order, all marks used once.

    Round a loop the split may begin anywhere; its first stretch may start at any mark and the last one
    goes round to it (indices past the last mark go on from the first).
    """
    if not marks.closed:
        return _split_open(marks)
    start = 0
    for _ in range(2):
        found = _split_open(marks.from_mark(start))
        if len(found) == 1:
            break
        start = (start + found[(len(found) + 1) // 2].first) % marks.count
    found = _split_open(marks.from_mark(start))
    return [Stretch(s.first + start, s.after + start, s.straight) for s in found]


def _split_open(marks: Marks) -> list[Stretch]:
    places = _places(marks.count)
    each = price(marks.count)
    best = np.full(len(places), math.inf)
    came: list[tuple[int, bool]] = [(0, True)] * len(places)
    best[0] = 0.0
    for i in range(len(places) - 1):
        if not math.isfinite(best[i]):
            continue
        ends = places[i + 1 :]
        line, arc = _costs(marks, int(places[i]), ends)
        straight = line + STRAIGHT_PRICE * each <= arc + ARC_PRICE * each
        total = best[i] + np.minimum(line + STRAIGHT_PRICE * each, arc + ARC_PRICE * each)
        for j in np.flatnonzero(total < best[i + 1 :]).tolist():
            best[i + 1 + j], came[i + 1 + j] = total[j], (i, bool(straight[j]))
    found: list[Stretch] = []
    at = len(places) - 1
    while at:
        before, straight_ = came[at]
        found.append(Stretch(int(places[before]), int(places[at]), straight_))
        at = before
    return found[::-1]


def _places(count: int) -> Indices:
    """Return indices at which stretches may begin and end, 0 and the number of marks included."""
    stride = math.ceil(count / MOST_PLACES)
    places = np.arange(0, count + 1, stride)
    return places if places[-1] == count else np.append(places[:-1], count)


def _costs(marks: Marks, first: int, ends: Indices) -> tuple[Floats, Floats]:
    """Squares in measuring errors of the best straight and the best circle from `first` to each end."""
    xy, weight = marks.xy[first:] - marks.xy[first], 1 / marks.sigma[first:] ** 2
    inside = (np.arange(len(xy)) < (ends - first)[:, None]) * weight
    total = inside.sum(axis=1, keepdims=True)
    x = xy[:, 0] - inside @ xy[:, :1] / total
    y = xy[:, 1] - inside @ xy[:, 1:] / total
    number = ends - first
    line = _line_squares(x, y, inside)
    cx, cy, radius = _circle(x, y, inside / total)
    with np.errstate(all="ignore"):  # marks on one straight have no circle
        arc = np.sum(inside * (np.hypot(x - cx[:, None], y - cy[:, None]) - radius[:, None]) ** 2, axis=1)
    arc = np.where(np.isfinite(arc), np.minimum(arc, line), line)
    # One mark is no piece, but where nothing else is left over.
    alone = np.where(number < 2, 4 * price(marks.count), 0.0)
    return line + alone, np.where(number < 3, math.inf, arc)


def _line_squares(x: Floats, y: Floats, weight: Floats) -> Floats:
    """Least eigenvalue of the scatter: the squares off the best straight, shape (ends,)."""
    xx, yy, xy = (np.sum(weight * a * b, axis=1) for a, b in ((x, x), (y, y), (x, y)))
    return np.asarray(np.maximum((xx + yy) / 2 - np.hypot((xx - yy) / 2, xy), 0.0))


def _circle(x: Floats, y: Floats, weight: Floats) -> tuple[Floats, Floats, Floats]:
    """Circle of each row of centred points by Taubin's fit (IEEE PAMI 13 (1991)): centre and radius.

    The smallest root of its characteristic polynomial, by Newton's rule from 0 (from memory).
    """
    z = x * x + y * y
    xx, yy, xy, xz, yz, zz = (
        np.sum(weight * a * b, axis=1) for a, b in ((x, x), (y, y), (x, y), (x, z), (y, z), (z, z))
    )
    mean, spread, area = xx + yy, zz - (xx + yy) ** 2, xx * yy - xy * xy
    c0 = xz * (xz * yy - yz * xy) + yz * (yz * xx - xz * xy) - spread * area
    c1 = (spread + 4 * area) * mean - xz * xz - yz * yz
    c2 = -3 * mean * mean - zz
    with np.errstate(all="ignore"):
        root = np.zeros_like(mean)
        for _ in range(NEWTON_STEPS):
            step = (c0 + root * (c1 + root * (c2 + root * 4 * mean))) / (c1 + root * (2 * c2 + root * 12 * mean))
            root = np.where(np.isfinite(step), root - step, root)
        base = 2 * (root * root - root * mean + area)
        cx = (xz * (yy - root) - yz * xy) / base
        cy = (yz * (xx - root) - xz * xy) / base
        return cx, cy, np.sqrt(cx * cx + cy * cy + mean)


def one_bend(marks: Marks) -> Steps | None:
    """Return the straights of the first and last two marks of an open line with an arc between; None without one."""
    if marks.closed or marks.count < LEAST_BENT:
        return None
    ahead, back = marks.xy[1] - marks.xy[0], marks.xy[-2] - marks.xy[-1]
    turn = math.remainder(math.atan2(-back[1], -back[0]) - math.atan2(ahead[1], ahead[0]), math.tau)
    cross = ahead[0] * back[1] - ahead[1] * back[0]
    if not cross:
        return None
    gap = marks.xy[-1] - marks.xy[0]
    # Of each straight how far it goes to where both meet, mm, and how far to its second mark.
    first, last = np.hypot(*ahead), np.hypot(*back)
    to = (gap[0] * back[1] - gap[1] * back[0]) / cross * first, (gap[0] * ahead[1] - gap[1] * ahead[0]) / cross * last
    tangent = 0.9 * min(to[0] - first, to[1] - last)
    if tangent <= 0:
        return None
    bend = math.tan(turn / 2) / tangent
    lengths = np.array([to[0] - tangent, turn / bend, to[1] - tangent])
    x, y = marks.xy[0].tolist()
    return Steps(x, y, math.atan2(ahead[1], ahead[0]), lengths, np.array([0.0, bend, 0.0]), np.zeros(3))
