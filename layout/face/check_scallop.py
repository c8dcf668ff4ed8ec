"""The scallop summed up again, from dense samples of each form's own formula."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layout.face.check_line import stepped
from layout.face.check_words import FINE, SHARE, differs, joined, unless
from layout.face.plan import Plan, Scallop
from layout.job.model import Job, ScallopSpec, Step, Straight, Turn

HALVES = 2000
"""pairs of steps of a part, for Simpson's rule"""

WAVE = 16384
"""steps of a sine; the trapezoid rule over a whole wave converges faster than any power of it"""

DRAWN = 4001
"""points that the profile is asked for"""


@dataclass(frozen=True)
class Sums:
    """What the check makes of one scallop."""

    pitch: float
    depth: float
    developed: float
    neutral: float
    """mm above mid-metal of the valley"""
    second: float
    """mm³, J = ∫(y − c)² ds"""

    @property
    def reach(self) -> float:
        """Return the greatest |y − c|, mm."""
        return max(self.neutral, self.depth - self.neutral)


def scallop_sums(spec: ScallopSpec, thickness: float, pitch: float) -> Sums:
    """Return the sums of a form at a pitch, mm.

    >>> half_round = scallop_sums(ScallopSpec("arc", pitch=2.0, depth=1.0), 0.1, 2.0)
    >>> round(half_round.developed - math.pi, 9), round(half_round.neutral - 2 / math.pi, 9)
    (0.0, 0.0)
    """
    found = _sine_sums(pitch, spec.depth) if spec.form == "sine" else _stepped_sums(_steps(spec, thickness, pitch))
    # Measured on the first-off, the metal's own length counts, not that of the drawn line.
    return found if spec.developed is None else replace(found, developed=spec.developed)


Headed = tuple[float, Step]
"""a step with the heading in which it starts"""


def _steps(spec: ScallopSpec, thickness: float, pitch: float) -> list[Headed]:
    """Return the steps of every form but the sine, left to right."""
    flat = (spec.flat or 0.0) if spec.form == "arc-flat" else 0.0
    width, between = pitch - flat, 0.0
    slope = 2 * math.atan2(2 * spec.depth, width)
    both = (width**2 / 4 + spec.depth**2) / (2 * spec.depth)
    if spec.form == "arc-tangent":
        valley = crest = (spec.radius or 0.0) + thickness / 2
        slope, between = _tangent(pitch / 2, spec.depth, 2 * valley)
    elif spec.form == "serpentine":
        valley = crest = both / 2
    else:
        valley = spec.valley_radius or 0.0
        crest = both - valley
    steps: list[Headed] = [
        (0.0, Straight(flat / 2)),
        (0.0, Turn(slope, valley)),
        (slope, Straight(between)),
        (slope, Turn(-2 * slope, crest)),
        (-slope, Straight(between)),
        (-slope, Turn(slope, valley)),
        (0.0, Straight(flat / 2)),
    ]
    return [one for one in steps if (one[1].length if isinstance(one[1], Straight) else one[1].radius) > 0]


def _tangent(half: float, depth: float, both: float) -> tuple[float, float]:
    """Return slope and length of the straight between two arcs whose radii add up to `both`.

    From half = both·sin φ + L·cos φ and depth = both·(1 − cos φ) + L·sin φ:
    half·sin φ + (both − depth)·cos φ = both.
    """
    slope = math.asin(both / math.hypot(half, both - depth)) - math.atan2(both - depth, half)
    return slope, (half - both * math.sin(slope)) / math.cos(slope)


def traced(spec: ScallopSpec, thickness: float, pitch: float, chords: int) -> NDArray[np.float64]:
    """Return points on a scallop, valley to valley, `chords` on each of its parts; shape (n, 2).

    They crowd towards the ends of parts, so that the first chord leaves the valley as the metal does.

    >>> traced(ScallopSpec("arc", pitch=2.0, depth=1.0), 0.1, 2.0, 2).round(9).tolist()
    [[0.0, 0.0], [1.0, 1.0], [2.0, 0.0]]
    """
    u = (1 - np.cos(np.linspace(0.0, math.pi, chords + 1))) / 2
    if spec.form == "sine":
        return np.column_stack([pitch * u, spec.depth / 2 * (1 - np.cos(math.tau * u))])
    points, x, y = [np.zeros((1, 2))], 0.0, 0.0
    for heading, step in _steps(spec, thickness, pitch):
        xs, ys, _ = stepped(x, y, heading, [step])[0].curve(u[1:])
        points.append(np.column_stack([xs, ys]))
        x, y = float(xs[-1]), float(ys[-1])
    return np.concatenate(points)


def _stepped_sums(steps: list[Headed]) -> Sums:
    """Sum up steps from (0, 0), each by Simpson's rule."""
    u = np.linspace(0.0, 1.0, 2 * HALVES + 1)
    weights = np.ones(u.size)
    weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
    x = y = developed = moment = square = top = 0.0
    for heading, step in steps:
        part = stepped(x, y, heading, [step])[0]
        xs, ys, _ = part.curve(u)
        developed += part.length
        moment += part.length * float(weights @ ys) / (6 * HALVES)
        square += part.length * float(weights @ ys**2) / (6 * HALVES)
        x, y, top = float(xs[-1]), float(ys[-1]), max(top, float(ys.max()))
    neutral = moment / developed
    return Sums(x, top, developed, neutral, square - neutral * moment)


def _sine_sums(pitch: float, depth: float) -> Sums:
    """Sum y = depth/2·(1 − cos(2πx/pitch)) over a whole wave."""
    t = np.arange(WAVE) * (math.tau / WAVE)
    stretched = np.hypot(1.0, math.pi * depth / pitch * np.sin(t))
    height = depth / 2 * (1 - np.cos(t))
    neutral = float((height * stretched).mean() / stretched.mean())
    second = pitch * float(((height - neutral) ** 2 * stretched).mean())
    return Sums(pitch, depth, pitch * float(stretched.mean()), neutral, second)


def count_height(job: Job, sums: Sums) -> float:
    """Return the height of the count line off the back line, mm."""
    if job.scallop.count_on == "back":
        return 0.0
    if job.scallop.count_on == "crest":
        return sums.depth + job.metal.thickness
    return sums.neutral + job.metal.thickness / 2


def check_scallop(plan: Plan, sums: Sums) -> list[str]:
    """Return what of the planned scallop does not follow from the job."""
    spec, scallop = plan.job.scallop, plan.scallop
    low, high = spec.pitch_range or (spec.pitch, spec.pitch)
    profile = scallop.profile
    near = SHARE * spec.pitch
    return joined(
        [
            unless(scallop.form == profile.form == spec.form, f"scallop form: the plan says {scallop.form}"),
            differs("drawn pitch", scallop.drawn_pitch, (plan.job.drawn or spec).pitch, FINE),
            unless(
                low - FINE <= scallop.pitch <= high + FINE,
                f"pitch {scallop.pitch:.9g} is not in the job's range",
            ),
            differs("depth", scallop.depth, spec.depth, near),
            differs("pitch of the profile", profile.pitch, scallop.pitch, near),
            differs("depth of the profile", profile.depth, spec.depth, near),
            differs("metal thickness of the profile", profile.thickness, plan.job.metal.thickness, FINE),
            differs("developed length", profile.developed, sums.developed, SHARE * sums.developed),
            differs("neutral height", profile.neutral_height, sums.neutral, SHARE * sums.developed),
            differs("second moment", profile.second_moment, sums.second, SHARE * sums.second),
            differs("reach", profile.reach, sums.reach, SHARE * sums.developed),
            _check_points(scallop, spec),
        ]
    )


def _check_points(scallop: Scallop, spec: ScallopSpec) -> list[str]:
    """Check that the profile as drawn starts and ends in valleys and is as long and deep as it says."""
    points = scallop.profile.points(DRAWN)
    length = float(np.hypot(*np.diff(points, axis=0).T).sum())
    line = scallop.profile.developed
    if spec.developed is not None:
        line = scallop_sums(replace(spec, developed=None), scallop.profile.thickness, scallop.pitch).developed
    ends = np.abs(points[[0, -1]] - [[0.0, 0.0], [scallop.pitch, 0.0]]).max()
    rough = 1e-5 * length  # chords of DRAWN points fall short of the arcs by less
    return joined(
        [
            differs("ends of the drawn profile", float(ends), 0.0, FINE),
            differs("length of the drawn profile", length, line, rough),
            differs("height of the drawn profile", float(np.ptp(points[:, 1])), scallop.depth, rough),
        ]
    )
