"""Outlines with their sums done by hand, and a walk of each that shares nothing with layout.outline.

A case is traced as pieces of dense points with the unit normals on their right; lengths of lines beside
it are sums of chords, brought to the limit by Richardson's rule (the chord sum's error falls as h²).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import quad

from layout.job.model import OutlineSpec, Straight, Turn

Floats = NDArray[np.float64]
Piece = Callable[[Floats], tuple[Floats, Floats]]
"""Of a parameter 0…1: points (n, 2) and unit normals (n, 2) on the right of the drawn direction."""


@dataclass(frozen=True)
class Case:
    """One outline, its drawn length and its turning as sums done by hand."""

    name: str
    spec: OutlineSpec
    length: float
    """mm"""
    turning: float
    """radians, in the direction drawn (anticlockwise for named shapes), left positive"""
    outwards: tuple[float, ...] = (0.0, -25.0, 40.0)
    """mm, distances of back lines to the right of the drawn direction, that do not fold"""
    tightest: float = 0.0
    """mm, smallest radius of the drawn line; inf where straight"""


def _ellipse_by_quadrature(a: float, b: float) -> float:
    quarter, _ = quad(
        lambda t: math.hypot(a * math.sin(t), b * math.cos(t)),
        0,
        math.pi / 2,
        epsabs=0,
        epsrel=1e-13,
        limit=500,
    )
    return 4 * quarter


def _closed(shape: str, **figures: float) -> OutlineSpec:
    return OutlineSpec("", shape, **figures)  # type: ignore[arg-type]


def path(*steps: Straight | Turn, closed: bool = False, **given: object) -> OutlineSpec:
    """Make a path of steps, open unless said otherwise, its face outside or right."""
    face = {"face": "outside" if closed else "right"}
    return OutlineSpec("", "path", steps=steps, closed=closed, **{**face, **given})  # type: ignore[arg-type]


def left(degrees: float, radius: float) -> Turn:
    """Make a left turn."""
    return Turn(math.radians(degrees), radius)


def right(degrees: float, radius: float) -> Turn:
    """Make a right turn."""
    return Turn(-math.radians(degrees), radius)


KIDNEY = path(
    # A straight front, round its right end, back over a hump between two hollows, round its left end.
    Straight(2000.0),
    left(180, 500.0),
    right(60, 1000.0),
    left(120, 2000.0 / math.sqrt(3) - 1000.0),
    right(60, 1000.0),
    left(180, 500.0),
    closed=True,
    start=(-1000.0, -500.0),
)
"""Its back spans 2000 = 2·1000·sin 60° + 2·r·sin 60°, so the hump's radius is 2000/√3 − 1000."""

CLOCKWISE = path(
    Straight(900.0), right(90, 250.0), Straight(400.0), right(90, 250.0), Straight(900.0), right(90, 250.0),
    Straight(400.0), right(90, 250.0), closed=True, start=(300.0, 700.0), heading=0.3,
)  # fmt: skip

S_BEND = path(Straight(700.0), left(75, 600.0), Straight(150.0), right(110, 450.0), heading=-0.4)

CASES = (
    Case("circle", _closed("circle", diameter=3000.0), math.pi * 3000, math.tau, tightest=1500.0),
    Case("ellipse 3:2", _closed("ellipse", length=6000.0, width=4000.0), _ellipse_by_quadrature(3000, 2000),
         math.tau, tightest=2000.0**2 / 3000),
    Case("ellipse upright", _closed("ellipse", length=2400.0, width=3700.0),
         _ellipse_by_quadrature(1200, 1850), math.tau, tightest=1200.0**2 / 1850),
    Case("ellipse thin 50:1", _closed("ellipse", length=5000.0, width=100.0),
         _ellipse_by_quadrature(2500, 50), math.tau, outwards=(0.0, -0.9, 40.0), tightest=50.0**2 / 2500),
    Case("ellipse thin upright 1:50", _closed("ellipse", length=100.0, width=5000.0),
         _ellipse_by_quadrature(50, 2500), math.tau, outwards=(0.0, -0.9, 40.0), tightest=50.0**2 / 2500),
    Case("ellipse with equal axes", _closed("ellipse", length=3000.0, width=3000.0), math.pi * 3000, math.tau,
         tightest=1500.0),
    Case("stadium", _closed("stadium", length=5000.0, width=1800.0), 2 * 3200 + math.pi * 1800, math.tau,
         tightest=900.0),
    Case("stadium upright", _closed("stadium", length=1500.0, width=2100.0), 2 * 600 + math.pi * 1500,
         math.tau, tightest=750.0),
    Case("stadium as wide as long", _closed("stadium", length=1500.0, width=1500.0), math.pi * 1500,
         math.tau, tightest=750.0),
    Case("rounded rectangle", _closed("rounded-rectangle", length=3000.0, width=1400.0, radius=300.0),
         2 * 2400 + 2 * 800 + math.tau * 300, math.tau, tightest=300.0),
    Case("rounded rectangle, full ends",
         _closed("rounded-rectangle", length=3000.0, width=1400.0, radius=700.0),
         2 * 1600 + math.tau * 700, math.tau, tightest=700.0),
    Case("path, kidney", KIDNEY,
         2000 + 2 * math.pi * 500 + 2 * math.pi / 3 * 1000 + 2 * math.pi / 3 * (2000 / math.sqrt(3) - 1000),
         math.tau, tightest=2000 / math.sqrt(3) - 1000),
    Case("path drawn clockwise", CLOCKWISE, 2 * 900 + 2 * 400 + math.tau * 250, -math.tau, tightest=250.0),
    Case("open path, S", S_BEND, 850 + math.radians(75) * 600 + math.radians(110) * 450,
         math.radians(75 - 110), tightest=450.0),
    Case("open path, one straight", path(Straight(2440.0), start=(5.0, 7.0), heading=2.0), 2440.0, 0.0,
         tightest=math.inf),
    Case("open path, a ring", path(left(360, 800.0)), math.tau * 800, math.tau, tightest=800.0),
)  # fmt: skip


def faces(case: Case) -> tuple[str, str]:
    """Return the two faces that a case has: along the drawn direction for named shapes, and against."""
    if not case.spec.closed:
        return "right", "left"
    return ("outside", "inside") if case.turning > 0 else ("inside", "outside")


def with_back_line(case: Case, face: str, outward: float) -> OutlineSpec:
    """Return the case's outline with a back line `outward` mm to the right of its drawn direction."""
    along = face == faces(case)[0]
    return replace(case.spec, face=face, inset=-outward if along else outward)


def pieces(spec: OutlineSpec) -> list[Piece]:
    """Trace an outline in its drawn direction, piece by piece."""
    if spec.shape in {"circle", "ellipse"}:
        length = spec.diameter if spec.shape == "circle" else spec.length
        width = spec.diameter if spec.shape == "circle" else spec.width
        assert length is not None
        assert width is not None
        return [_oval(length / 2, width / 2)]
    if spec.shape == "path":
        return _steps(spec.start, spec.heading, spec.steps)
    assert spec.length is not None
    assert spec.width is not None
    radius = min(spec.length, spec.width) / 2 if spec.radius is None else spec.radius
    along, across = spec.length - 2 * radius, spec.width - 2 * radius
    corner = Turn(math.pi / 2, radius)
    steps = [step for side in (along, across, along, across) for step in (Straight(side), corner)]
    return _steps((-along / 2, -spec.width / 2), 0.0, tuple(steps))


def _oval(a: float, b: float) -> Piece:
    def trace(u: Floats) -> tuple[Floats, Floats]:
        t = math.tau * u
        normals = np.stack([b * np.cos(t), a * np.sin(t)], axis=1)
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        return np.stack([a * np.cos(t), b * np.sin(t)], axis=1), normals

    return trace


def _steps(start: tuple[float, float], heading: float, steps: tuple[Straight | Turn, ...]) -> list[Piece]:
    """Each step by its chord: 2R·sin(α/2) long, α/2 off the heading (a straight turns by 0)."""
    traced: list[Piece] = []
    here = np.array(start, dtype=np.float64)
    for step in steps:
        length = step.length if isinstance(step, Straight) else step.radius * abs(step.angle)
        angle = 0.0 if isinstance(step, Straight) else step.angle

        def trace(
            u: Floats,
            here: Floats = here,
            heading: float = heading,
            length: float = length,
            angle: float = angle,
        ) -> tuple[Floats, Floats]:
            half = angle * u / 2
            chord = length * u * np.sinc(half / math.pi)
            points = here + np.stack([chord * np.cos(heading + half), chord * np.sin(heading + half)], axis=1)
            ahead = heading + angle * u
            return points, np.stack([np.sin(ahead), -np.cos(ahead)], axis=1)

        traced.append(trace)
        here = trace(np.array([1.0]))[0][0]
        heading += angle
    return traced


def length_beside(spec: OutlineSpec, out: float, parts: int = 2**12) -> float:
    """Length, mm, of the line `out` mm to the right of the drawn direction: chord sums to the limit."""
    fine, coarse = chord_sum(spec, out, 2 * parts), chord_sum(spec, out, parts)
    return fine + (fine - coarse) / 3


def chord_sum(spec: OutlineSpec, out: float, parts: int) -> float:
    """Sum of `parts` chords a piece of the line `out` mm to the right of the drawn direction."""
    return math.fsum(float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) for line in polylines(spec, out, parts))


def polylines(spec: OutlineSpec, out: float, parts: int) -> list[Floats]:
    """Points, piece by piece, of the line `out` mm to the right of the drawn direction."""
    u = np.linspace(0.0, 1.0, parts + 1)
    return [points + out * normals for points, normals in (piece(u) for piece in pieces(spec))]


def reach_beside(spec: OutlineSpec, out: float, parts: int) -> tuple[Floats, Floats]:
    """Points of the line `out` mm to the right of the drawn direction, and how far along it they are, mm."""
    coarse, fine = (polylines(spec, out, n) for n in (parts, 2 * parts))
    reach = [
        np.diff(_cumulative(double)[::2] + (_cumulative(double)[::2] - _cumulative(single)) / 3)
        for single, double in zip(coarse, fine, strict=True)
    ]
    points = np.concatenate([coarse[0][:1], *(line[1:] for line in coarse)])
    return points, np.concatenate([[0.0], np.cumsum(np.concatenate(reach))])


def _cumulative(line: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])


def shoelace(points: Floats) -> float:
    """Signed area of a closed polygon, mm², anticlockwise positive (Gauss)."""
    x, y = points.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
