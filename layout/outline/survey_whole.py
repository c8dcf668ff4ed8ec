"""Loops of marks as one named shape: circle, ellipse, stadium or rounded rectangle, wherever it lies.

Each is fitted by the true distances of the marks from it, first so that single marks far off weigh little,
then by least squares without those that are clearly blunders.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from layout.outline.curves import Arc, EllipseArc
from layout.outline.segment import Floats, Segment
from layout.outline.survey_marks import Marks
from layout.outline.survey_steps import Steps

BLUNDER = 6.0
"""Measuring errors off the line past which a mark is clearly a blunder and left out (assumed): honest errors
come so far once in 500 million marks."""

MOST_BLUNDERS = 0.1
"""Share of the marks that may be left out; with more it is the line that is wrong (assumed)."""

ROBUST = 3.0
"""Measuring errors past which a mark weighs by its distance and no longer by the square (assumed)."""

FOOT_STEPS = 30
"""Newton's steps to the foot on an ellipse; 4 or 5 are usual."""

Off = Callable[[Floats, Floats], Floats]
"""Figures of a shape and points (n, 2) to distances outside it, mm."""


@dataclass(frozen=True, eq=False)
class Whole:
    """A named shape as fitted."""

    shape: str
    figures: Floats
    """centre x, y, two or three sizes, turn: see its `_off_…`"""
    off: Floats
    """mm, outside of it, of each mark"""
    kept: NDArray[np.bool_]
    cost: float
    """squares in measuring errors of the marks kept, and 2·ln n for each figure and each mark left out: twice
    the usual price, so that a circle is seldom taken for the ellipse that fits its marks a little better"""
    fits: bool
    """whether what is left over is no more than the measuring error explains"""

    def segments(self) -> tuple[Segment, ...]:
        """Return the shape as segments, anticlockwise."""
        return _SHAPES[self.shape].draw(self.figures)


def best_whole(marks: Marks) -> Whole | None:
    """Return the cheapest named shape that the marks of a loop fit, or None where they fit none."""
    fitted = [fit for shape in _SHAPES for fit in (_fitted(shape, marks),) if fit is not None and fit.fits]
    return min(fitted, key=lambda fit: fit.cost, default=None)


def within_error(squares: float, marks: int, figures: float) -> bool:
    """Tell whether squares in measuring errors are no more than honest errors leave.

    Their sum has mean and half its variance equal to the marks less the figures (chi-square); four standard
    deviations more are allowed (assumed).
    """
    spare = max(marks - figures, 0.0)
    return squares <= spare + 4 * math.sqrt(2 * spare) + 1e-6


def _fitted(shape: str, marks: Marks) -> Whole | None:
    known = _SHAPES[shape]
    starts = [start for start in known.starts(marks) if np.isfinite(start).all()]
    rough = [_least(known.off, start, marks, "soft_l1") for start in starts]
    if not rough:
        return None
    figures = min(rough, key=lambda fit: float(fit[1]))[0]
    kept = np.ones(marks.count, dtype=bool)
    for _ in range(4):
        near = np.abs(known.off(figures, marks.xy)) <= BLUNDER * marks.sigma
        if near.sum() < (1 - MOST_BLUNDERS) * marks.count - 1 or near.sum() <= len(figures):
            return None
        if (near == kept).all() and _:
            break
        kept = near
        figures, _squares = _least(known.off, figures, marks.only(kept), "linear")
    if not known.sound(figures):
        return None
    off = known.off(figures, marks.xy)
    squares = float(np.sum((off / marks.sigma)[kept] ** 2))
    count, left_out = int(kept.sum()), int((~kept).sum())
    cost = squares + 2 * (len(figures) + left_out) * math.log(marks.count)
    return Whole(shape, known.tidy(figures), off, kept, cost, within_error(squares, count, len(figures)))


def _least(off: Off, start: Floats, marks: Marks, loss: Literal["linear", "soft_l1"]) -> tuple[Floats, float]:
    """Return the figures of least squares (or of a loss that forgives) and what is left over."""
    scale = np.ones(len(start))
    if len(start) > 3:
        scale[-1] = 1 / max(float(np.ptp(marks.xy, axis=0).max()), 1.0)

    def left_over(figures: Floats) -> Floats:
        return off(figures, marks.xy) / marks.sigma

    found = least_squares(
        left_over,
        start,
        jac="3-point",
        x_scale=scale,
        loss=loss,
        f_scale=ROBUST if loss != "linear" else 1.0,
        ftol=1e-15,
        xtol=1e-15,
        gtol=1e-15,
        max_nfev=60,
    )
    return np.asarray(found.x, dtype=np.float64), float(found.cost)


# The shapes: distances outside of them, and where a fit starts.


def _local(figures: Floats, xy: Floats) -> tuple[Floats, Floats]:
    """Points in the shape's own axes."""
    dx, dy = xy[:, 0] - figures[0], xy[:, 1] - figures[1]
    c, s = math.cos(figures[-1]), math.sin(figures[-1])
    return c * dx + s * dy, c * dy - s * dx


def _off_circle(figures: Floats, xy: Floats) -> Floats:
    return np.asarray(np.hypot(xy[:, 0] - figures[0], xy[:, 1] - figures[1]) - figures[2])


def _off_stadium(figures: Floats, xy: Floats) -> Floats:
    """Centre, half of the straights, radius, turn."""
    x, y = _local(figures, xy)
    return np.asarray(np.hypot(np.maximum(np.abs(x) - figures[2], 0.0), y) - figures[3])


def _off_rounded(figures: Floats, xy: Floats) -> Floats:
    """Centre, half length, half width, corners' radius, turn."""
    x, y = _local(figures, xy)
    radius = figures[4]
    u, v = np.abs(x) - (figures[2] - radius), np.abs(y) - (figures[3] - radius)
    out = np.hypot(np.maximum(u, 0.0), np.maximum(v, 0.0))
    return np.asarray(out + np.minimum(np.maximum(u, v), 0.0) - radius)


def _off_ellipse(figures: Floats, xy: Floats) -> Floats:
    """Centre, semi-axes, turn: from the foot (a cos t, b sin t), by Newton's rule on its equation in t."""
    x, y = _local(figures, xy)
    a, b = abs(float(figures[2])), abs(float(figures[3]))
    if min(a, b) <= 0:
        return np.full(len(xy), math.inf)
    t = np.arctan2(y * a, x * b)
    for _ in range(FOOT_STEPS):
        sin, cos = np.sin(t), np.cos(t)
        value = (a * a - b * b) * sin * cos - x * a * sin + y * b * cos
        slope = (a * a - b * b) * (cos * cos - sin * sin) - x * a * cos - y * b * sin
        # The nearest point is where the slope is below 0; elsewhere go down the gradient instead.
        step = np.where(slope < 0, value / np.where(slope < 0, slope, 1.0), -value / (a * a + b * b))
        step = np.clip(step, -0.3, 0.3)
        t = t - step
        if np.abs(step).max(initial=0.0) < 1e-15:
            break
    sin, cos = np.sin(t), np.cos(t)
    nx, ny = b * cos, a * sin
    return np.asarray(((x - a * cos) * nx + (y - b * sin) * ny) / np.hypot(nx, ny))


def _frame(marks: Marks) -> tuple[Floats, float, float, float]:
    """Centroid, the greater and lesser radius of gyration of the area that marks enclose, and its long axis."""
    middle = marks.xy.mean(axis=0)
    x, y = (marks.xy - middle).T
    u, v = np.roll(x, -1), np.roll(y, -1)
    cross = x * v - u * y
    area = cross.sum() / 2
    cx, cy = (cross @ (x + u)) / (6 * area), (cross @ (y + v)) / (6 * area)
    xx = cross @ (x * x + x * u + u * u) / (12 * area) - cx * cx
    yy = cross @ (y * y + y * v + v * v) / (12 * area) - cy * cy
    xy = cross @ (x * v + 2 * x * y + 2 * u * v + u * y) / (24 * area) - cx * cy
    half = math.hypot((xx - yy) / 2, xy)
    mean = (xx + yy) / 2
    turn = math.atan2(2 * xy, xx - yy) / 2
    return middle + np.array([cx, cy]), math.sqrt(mean + half), math.sqrt(max(mean - half, 1e-9)), turn


def _start_circle(marks: Marks) -> list[Floats]:
    centre, greater, lesser, _ = _frame(marks)
    return [np.array([*centre, greater + lesser])]


def _start_ellipse(marks: Marks) -> list[Floats]:
    centre, greater, lesser, turn = _frame(marks)
    return [np.array([*centre, 2 * greater, 2 * lesser, turn])]


def _boxes(marks: Marks) -> list[tuple[Floats, float, float, float]]:
    """Boxes round the marks along the long axis, across the diagonal, and of least area; single marks may stand out."""
    centre, _, _, turn = _frame(marks)
    skip = max(1, marks.count // 20)
    found = []
    for angle in [turn, turn + math.pi / 4, *(turn + math.radians(step) for step in range(-40, 45, 5))]:
        x, y = _local(np.array([*centre, angle]), marks.xy)
        spans = [np.sort(along)[[skip, -1 - skip]] for along in (x, y)]
        half = [float(span[1] - span[0]) / 2 for span in spans]
        found.append((centre, half[0], half[1], angle))
    least = min(found[2:], key=lambda box: box[1] * box[2])
    return [found[0], least]


def _start_stadium(marks: Marks) -> list[Floats]:
    boxes = ((c, max(a, b), min(a, b), t + (0.0 if a >= b else math.pi / 2)) for c, a, b, t in _boxes(marks))
    return [np.array([*c, max(a - b, b / 20), b, t]) for c, a, b, t in boxes]


def _start_rounded(marks: Marks) -> list[Floats]:
    shares = (0.15, 0.5)
    return [np.array([*c, a, b, share * min(a, b), t]) for c, a, b, t in _boxes(marks) for share in shares]


def _tidy_turned(figures: Floats) -> Floats:
    """Bring the long side along the shape's own x, and that within a right angle of +x."""
    out = figures.copy()
    if len(out) in {5, 6} and out[3] > out[2]:
        out[2], out[3], out[-1] = out[3], out[2], out[-1] + math.pi / 2
    return _tidy_turn(out)


def _tidy_turn(figures: Floats) -> Floats:
    out = figures.copy()
    out[-1] = math.remainder(out[-1], math.pi)
    return out


def _draw_circle(figures: Floats) -> tuple[Segment, ...]:
    return (Arc(float(figures[0]), float(figures[1]), float(figures[2]), 0.0, math.tau),)


def _draw_ellipse(figures: Floats) -> tuple[Segment, ...]:
    cx, cy, a, b, turn = figures.tolist()
    return (EllipseArc(cx, cy, a, b, rotation=turn),)


def _draw_stadium(figures: Floats) -> tuple[Segment, ...]:
    cx, cy, half, radius, turn = figures.tolist()
    return _drawn_round(cx, cy, turn, (half, 0.0, radius))


def _draw_rounded(figures: Floats) -> tuple[Segment, ...]:
    cx, cy, along, across, radius, turn = figures.tolist()
    return _drawn_round(cx, cy, turn, (along - radius, across - radius, radius))


def _drawn_round(cx: float, cy: float, turn: float, sizes: tuple[float, float, float]) -> tuple[Segment, ...]:
    """Straights and arcs from the left end of the lower straight: half lengths of both, and the radius."""
    along, across, radius = sizes
    c, s = math.cos(turn), math.sin(turn)
    u, v = -along, -across - radius
    x, y = cx + c * u - s * v, cy + s * u + c * v
    quarter = radius * math.pi / 2
    if across == 0:
        lengths, bends = [2 * along, 2 * quarter] * 2, [0.0, 1 / radius] * 2
    else:
        lengths = [2 * along, quarter, 2 * across, quarter] * 2
        bends = [0.0, 1 / radius] * 4
    return Steps(x, y, turn, np.array(lengths), np.array(bends), np.zeros(len(lengths))).segments()


@dataclass(frozen=True)
class _Shape:
    off: Off
    starts: Callable[[Marks], list[Floats]]
    sound: Callable[[Floats], bool]
    tidy: Callable[[Floats], Floats]
    draw: Callable[[Floats], tuple[Segment, ...]]


_SHAPES = {
    "circle": _Shape(_off_circle, _start_circle, lambda f: bool(f[2] > 0), lambda f: f, _draw_circle),
    "ellipse": _Shape(_off_ellipse, _start_ellipse, lambda f: bool(f[2] > 0 and f[3] > 0), _tidy_turned, _draw_ellipse),
    "stadium": _Shape(_off_stadium, _start_stadium, lambda f: bool(f[2] > 0 and f[3] > 0), _tidy_turn, _draw_stadium),
    "rounded-rectangle": _Shape(
        _off_rounded, _start_rounded, lambda f: bool(0 < f[4] < min(f[2], f[3])), _tidy_turned, _draw_rounded
    ),
}
"""Every shape that marks are tried for, the one of fewest figures first."""
