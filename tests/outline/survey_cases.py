"""Marks simulated on known lines, for the tests of surveys."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from outline_cases import Case

from layout.job.model import OutlineSpec
from layout.job.model_survey import Mark, Survey
from layout.outline.chain import Chain
from layout.outline.shapes import drawn_segments
from layout.outline.survey import Surveyed, surveyed

Floats = NDArray[np.float64]


def spec_of(xy: Floats, sigma: float, *, closed: bool = True, **given: object) -> OutlineSpec:
    """Return a surveyed outline of places, named by their numbers from 1."""
    marks = tuple(Mark(str(i), x, y, sigma, f"outline.points[{i}]") for i, (x, y) in enumerate(xy.tolist(), 1))
    return OutlineSpec("", "points", closed=closed, survey=Survey(marks, sigma), **given)  # type: ignore[arg-type]


def drawn_line(case: Case) -> Chain:
    """Return a case's line."""
    return Chain(drawn_segments(case.spec), case.spec.closed)


def marks_on(line: Chain, count: int, *, shift: float = 0.3) -> tuple[Floats, Floats]:
    """Return places evenly along a line and their stations; round a loop from a share of the first gap on."""
    round_ = (np.arange(count) + shift) * line.length / count
    stations = round_ if line.closed else np.linspace(0.0, line.length, count)
    return line.point(stations), stations


def with_noise(xy: Floats, sigma: float, seed: int) -> Floats:
    """Return places with seeded normal errors of one standard deviation in x and y."""
    return xy + np.random.default_rng(seed).normal(0.0, sigma, xy.shape)


def perimeter_error(line: Chain, count: int, sigma: float) -> float:
    """Return the standard deviation, mm, of the length of a line laid through marks.

    A line moved by δ(s) to the right is longer by ∫κδ ds; with δ an error of σ at each of n marks L/n apart
    that is Σκ·δ·L/n, of variance σ²·(L/n)²·Σκ² = σ²·L²·mean(κ²)/n. An open line has besides σ at each end along it.
    """
    bends = line.curvature(np.linspace(0.0, line.length, 2001)[:-1])
    across = sigma * line.length * math.sqrt(float(np.mean(bends**2)) / count)
    return across if line.closed else math.hypot(across, sigma * math.sqrt(2))


def length_of(found: Surveyed) -> float:
    """Return the length of a surveyed line, mm."""
    return math.fsum(segment.length for segment in found.segments)


def read(xy: Floats, sigma: float, *, closed: bool = True) -> Surveyed:
    """Lay a line through places."""
    return surveyed(spec_of(xy, sigma, closed=closed))
