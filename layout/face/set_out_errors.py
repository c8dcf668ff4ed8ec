"""How far off a mark may stand: the spread of tape readings carried to marks, and boiled down.

One reading of a tape, its end set and its mark made, has the standard deviation `sigma`, and readings do
not lean one way, so their variances add (NIST TN 1297, §5.1 and A.3, propagation of uncertainty).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
XY = tuple[float, float]

SPREAD: Final = 2.0
"""standard deviations to the tolerance: a normal mark passes it 1 time in 22, two neighbours on the same
side 1 time in 966 (2·0.02275², normal distribution)"""


def running_sigma(station: float, tape: float, sigma: float) -> float:
    """Return the standard deviation (mm) of a mark read off a tape laid from the datum.

    Up to the tape's length it is that of one reading; every further lay adds one, independent.

    Parameters
    ----------
    station
        mm from the datum.
    tape
        mm, its length.
    sigma
        mm, of one reading.

    Examples
    --------
    >>> running_sigma(8000.0, 30000.0, 1.0), running_sigma(30000.0, 30000.0, 1.0)
    (1.0, 1.0)
    >>> running_sigma(100000.0, 30000.0, 1.0) == math.sqrt(4)
    True
    """
    return sigma * math.sqrt(max(1, math.ceil(station / tape)))


def tie_point(first: XY, second: XY, distances: tuple[float, float], *, left: bool = True) -> XY:
    """Return where two tapes from control points cross, mm.

    x = (d1² − d2² + B²)/(2B) along the base from the first point to the second.

    Parameters
    ----------
    first, second
        The control points, mm.
    distances
        mm from each.
    left
        On which side of the base, seen from the first point, the mark lies.

    Raises
    ------
    ValueError
        Where the tapes do not meet, or the points are one.

    Examples
    --------
    >>> tie_point((0.0, 0.0), (3.0, 0.0), (4.0, 5.0))
    (0.0, 4.0)
    """
    base = math.dist(first, second)
    if base == 0:
        raise ValueError("two control points at one place give no crossing")
    one, two = distances
    along = ((one - two) * (one + two) + base * base) / (2 * base)
    square = (one - along) * (one + along)
    if square < 0:
        raise ValueError(f"tapes of {one} and {two} do not meet over a base of {base}")
    out = math.sqrt(square) if left else -math.sqrt(square)
    ux, uy = (second[0] - first[0]) / base, (second[1] - first[1]) / base
    return first[0] + along * ux - out * uy, first[1] + along * uy + out * ux


def crossing_angle(mark: XY, first: XY, second: XY) -> float:
    """Return the angle (radians, 0 to π) at which two tapes cross at a mark.

    Examples
    --------
    >>> math.degrees(crossing_angle((0.0, 0.0), (3.0, 0.0), (0.0, 4.0)))
    90.0
    """
    ax, ay = first[0] - mark[0], first[1] - mark[1]
    bx, by = second[0] - mark[0], second[1] - mark[1]
    return math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by)


def tie_covariance(mark: XY, first: XY, second: XY, sigma: float) -> Floats:
    """Return the covariance of a mark set by two tapes, mm², shape (2, 2).

    σ²·(JᵀJ)⁻¹ with the tapes' directions as rows of J. Its axes are σ/√(1 ∓ |cos γ|), γ the crossing angle.

    Raises
    ------
    ValueError
        Where both tapes run along one line: they fix nothing across it.

    Examples
    --------
    >>> tie_covariance((0.0, 0.0), (3.0, 0.0), (0.0, 4.0), sigma=2.0).tolist()
    [[4.0, 0.0], [0.0, 4.0]]
    """
    rows = np.array([(mark[0] - x, mark[1] - y) for x, y in (first, second)])
    rows /= np.linalg.norm(rows, axis=1)[:, None]
    (a, b), (c, d) = rows.tolist()
    turned = a * d - b * c
    if abs(turned) < np.finfo(float).eps:
        raise ValueError("two tapes along one line fix no mark")
    inverse = np.array([[d, -b], [-c, a]]) / turned
    return np.asarray(sigma**2 * inverse @ inverse.T + 0.0)


def along_sigma(covariance: Floats, heading: float) -> float:
    """Return the standard deviation (mm) of a mark along the wall.

    Examples
    --------
    >>> along_sigma(np.diag([4.0, 9.0]), heading=math.pi / 2)
    3.0
    """
    way = np.array([math.cos(heading), math.sin(heading)])
    return math.sqrt(float(way @ covariance @ way))


def chained_sigmas(leaving: Sequence[float], meeting: Sequence[float], sigma: float, first: float = 0.0) -> list[float]:
    """Return the standard deviations (mm along the wall) of marks chained by chords, one from the last.

    A chord c between two marks on a line changes by dc = cos β·ds₁ − cos α·ds₀, so that a mark set by a
    chord with the error ε is off by ds₁ = (ε + cos α·ds₀)/cos β.

    Parameters
    ----------
    leaving, meeting
        Radians between each chord and the wall, at its start (α) and at its end (β), both under π/2.
    sigma
        mm, of one reading.
    first
        mm, of the mark that the chain starts from.

    Examples
    --------
    >>> [round(s, 6) for s in chained_sigmas([0.0] * 10, [0.0] * 10, sigma=0.1)][-1]  # NIST TN 1297: √10·0.1
    0.316228
    """
    found, variance = [], first**2
    for alpha, beta in zip(leaving, meeting, strict=True):
        variance = (sigma**2 + math.cos(alpha) ** 2 * variance) / math.cos(beta) ** 2
        found.append(math.sqrt(variance))
    return found


def tie_check_sigma(heading: float, direction: float, mark_sigma: float, sigma: float) -> float:
    """Return the standard deviation (mm) of a tie read to a mark that was set along the wall.

    The reading's own, and the share of the mark's error that lies along the tape.

    Parameters
    ----------
    heading, direction
        Radians, of the wall and of the tape.
    mark_sigma, sigma
        mm, of the mark along the wall and of one reading.

    Examples
    --------
    >>> tie_check_sigma(0.0, 0.0, 4.0, 3.0), tie_check_sigma(0.0, math.pi / 2, 4.0, 3.0)
    (5.0, 3.0)
    """
    return math.hypot(sigma, math.cos(direction - heading) * mark_sigma)


def chord_check_sigma(angles: tuple[float, float], mark_sigmas: tuple[float, float], sigma: float) -> float:
    """Return the standard deviation (mm) of a chord read between two marks that were set each by itself.

    Parameters
    ----------
    angles
        Radians between the chord and the wall at both marks.
    mark_sigmas, sigma
        mm, of both marks along the wall and of one reading.

    Examples
    --------
    >>> chord_check_sigma((0.0, 0.0), (1.0, 1.0), 1.0) == math.sqrt(3)
    True
    """
    parts = [math.cos(angle) * own for angle, own in zip(angles, mark_sigmas, strict=True)]
    return math.hypot(sigma, *parts)


def tolerance_of(sigma: float, step: float) -> float:
    """Return `SPREAD` standard deviations rounded up to whole steps, at least one, mm.

    Examples
    --------
    >>> tolerance_of(1.5, 1.0), tolerance_of(1.51, 1.0), tolerance_of(0.0, 1.5875)
    (3.0, 4.0, 1.5875)
    """
    return step * max(1, math.ceil(round(SPREAD * sigma / step, 9)))
