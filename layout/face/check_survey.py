"""A surveyed line held against its marks: the check measures the marks off its own trace of what is claimed.

The line of a survey is a choice, so the check does not lay one of its own: it walks the claimed pieces by its
own formulas and asks whether they hold together, pass every mark in order as near as claimed, and whether
marks were left out, or kept, that should not have been.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from layout.face.check_line import Floats, Part, Polyline, arc, ellipse, sampled, straight
from layout.face.plan import Lines, Plan
from layout.job.model import OutlineSpec

JOINED = 0.5
"""mm by which claimed pieces may miss each other"""

SMOOTH = math.radians(0.1)
"""radians of corner between pieces that is none"""

NEAR = 0.02
"""mm by which the distance of a mark may differ from the claimed one: chords of a kilometre in 24 000 rise less"""

OUT = 6.0
"""measuring errors off the line from which, and only from which, a mark is left out"""

ORDER = 4.0
"""measuring errors by which a mark may stand behind the one before it along the line"""

SAME = 1e-6
"""mm by which a mark's place may differ from the one measured"""


def survey_parts(lines: Lines) -> list[Part]:
    """Return the claimed pieces of a surveyed line as parts, in the order of the marks."""
    if lines.survey is None:
        return []
    parts = []
    for piece in lines.survey.pieces:
        if piece.semi_axes is not None:
            parts.append(_turned(ellipse(*piece.semi_axes), piece.x, piece.y, piece.heading))
        elif piece.kind == "arc":
            parts.append(arc(piece.x, piece.y, piece.heading, 1 / abs(piece.bend), piece.length * piece.bend))
        else:
            parts.append(straight(piece.x, piece.y, piece.heading, piece.length))
    return parts


def _turned(part: Part, x: float, y: float, turn: float) -> Part:
    """Return a part turned about (0, 0) and moved there."""
    c, s = math.cos(turn), math.sin(turn)

    def curve(u: Floats) -> Floats:
        px, py, heading = part.curve(u)
        return np.array([x + c * px - s * py, y + s * px + c * py, heading + turn])

    return Part(curve, part.length)


def check_survey(plan: Plan) -> list[str]:
    """Return what of the surveyed lines does not agree with their marks, in words."""
    return [
        f"outline {lines.name}: {finding}"
        for spec, lines in zip(plan.job.outlines, plan.lines, strict=True)
        if spec.shape == "points"
        for finding in survey_findings(spec, lines)
    ]


def survey_findings(spec: OutlineSpec, lines: Lines) -> Iterator[str]:
    """Yield what of one surveyed line does not agree with its marks."""
    if spec.survey is None or lines.survey is None:
        yield "a surveyed line has neither marks nor a source"
        return
    claimed = lines.survey
    yield from _misplaced(spec)
    parts = survey_parts(lines)
    yield from _broken(parts, spec.closed, cornered=spec.corner is not None)
    line = sampled(parts, closed=spec.closed)
    count = len(spec.survey.marks) - claimed.closing_mark
    marks = np.array([(mark.x, mark.y) for mark in spec.survey.marks[:count]])
    sigma = np.array([mark.sigma for mark in spec.survey.marks[:count]])
    if [name for name, _ in claimed.off] != [mark.name for mark in spec.survey.marks[:count]]:
        yield "the marks of its source are not those measured"
        return
    off, station = _nearest(line, marks)
    told = np.abs([value for _, value in claimed.off])
    for i in np.flatnonzero(np.abs(off - told) > NEAR).tolist():
        yield f"mark {claimed.off[i][0]} is {off[i]:.9g} off it, not {told[i]:.9g}"
    left_out = {suspect.mark for suspect in claimed.suspects if suspect.left_out}
    out = np.array([name in left_out for name, _ in claimed.off])
    if ((off / sigma < OUT - NEAR / sigma) & out).any():
        yield "a mark is left out that is no blunder"
    if abs(math.sqrt(float(np.mean(off[~out] ** 2))) - claimed.rms) > NEAR:
        yield f"the marks are {math.sqrt(float(np.mean(off[~out] ** 2))):.9g} off it (rms), not {claimed.rms:.9g}"
    yield from _out_of_order(station[~out], sigma[~out], line)


def _misplaced(spec: OutlineSpec) -> Iterator[str]:
    """Find marks of the job file that do not stand where their figures say; by the angles of a triangle for tapes."""
    asked, survey = spec.marks, spec.survey
    if asked is None or survey is None or not asked.pairs:
        return
    for (a, b), mark in zip(asked.pairs, survey.marks, strict=True):
        at = complex(mark.x, mark.y)
        if asked.line is None:
            miss = abs(at - complex(a, b))
        else:
            first, second = complex(*asked.line[0]), complex(*asked.line[1])
            left = ((at - first) / (second - first)).imag * (1 if asked.side == "left" else -1)
            if asked.how == "tapes":
                miss = max(abs(abs(at - first) - a), abs(abs(at - second) - b), -left)
            else:
                miss = abs((at - first) / (second - first) * abs(second - first) - complex(a, b * _sign(asked.side)))
        if miss > SAME:
            yield f"mark {mark.name} is {miss:.3g} off where its figures put it"


def _sign(side: str) -> int:
    return 1 if side == "left" else -1


def _broken(parts: Sequence[Part], closed: bool, *, cornered: bool) -> Iterator[str]:
    """Find gaps between claimed pieces, and corners where the job has none."""
    ends = [part.curve(np.array([0.0, 1.0])) for part in parts]
    for i in range(len(ends) if closed else len(ends) - 1):
        before, after = ends[i][:, 1], ends[(i + 1) % len(ends)][:, 0]
        gap = math.hypot(after[0] - before[0], after[1] - before[1])
        corner = abs(math.remainder(float(after[2] - before[2]), math.tau))
        if gap > JOINED or (corner > SMOOTH and not cornered):
            yield f"pieces {i + 1} and the next miss by {gap:.3g} mm and {corner:.3g} radians"


def _nearest(line: Polyline, marks: Floats) -> tuple[Floats, Floats]:
    """Return the distance of each mark from the line, and the station nearest to it, shape (n,) each."""
    x0, y0, x1, y1 = line.x[:-1], line.y[:-1], line.x[1:], line.y[1:]
    dx, dy = x1 - x0, y1 - y0
    square = np.maximum(dx * dx + dy * dy, 1e-300)
    off, station = np.empty(len(marks)), np.empty(len(marks))
    for i, (x, y) in enumerate(marks.tolist()):
        share = np.clip(((x - x0) * dx + (y - y0) * dy) / square, 0.0, 1.0)
        distance = np.hypot(x0 + share * dx - x, y0 + share * dy - y)
        k = int(np.argmin(distance))
        off[i], station[i] = distance[k], line.station[k] + share[k] * line.steps[k]
    return off, station


def _out_of_order(station: Floats, sigma: Floats, line: Polyline) -> Iterator[str]:
    """Find marks that stand behind the one before them, walked the way the marks run."""
    ahead = np.diff(station)
    if line.closed:
        ahead = np.mod(ahead + line.length / 2, line.length) - line.length / 2
    if np.sum(ahead) < 0:
        ahead = -ahead
    behind = np.flatnonzero(ahead < -ORDER * (sigma[1:] + sigma[:-1]))
    if behind.size:
        yield f"{behind.size} marks stand behind the one before them"
