"""Splines as segments: against closed forms, against dense chords, and against what a segment must be."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import BSpline

from layout.outline.chain import Chain
from layout.outline.curves import Line
from layout.outline.segment import extreme_curvature
from layout.outline.spline import SplineArc, spline_arcs

CUBIC = ((0.0, 0.0), (400.0, -300.0), (900.0, 500.0), (1300.0, 100.0), (1700.0, 700.0), (2400.0, 300.0))
KNOTS = (0.0, 0.0, 0.0, 0.0, 0.3, 0.7, 1.0, 1.0, 1.0, 1.0)
WEIGHTS = (1.0, 2.0, 0.5, 1.5, 1.0, 3.0)

CURVES = {
    "cubic": spline_arcs(3, KNOTS, CUBIC),
    "rational cubic": spline_arcs(3, KNOTS, CUBIC, WEIGHTS),
    "quadratic": spline_arcs(2, (0, 0, 0, 1, 2, 3, 4, 4, 4), CUBIC),
    "quintic": spline_arcs(5, (0,) * 6 + (1,) * 6, CUBIC),
}

PIECES = [pytest.param(arc, id=f"{name} {k}") for name, arcs in CURVES.items() for k, arc in enumerate(arcs)]


def length_by_quadrature(degree: int, knots: tuple[float, ...], lo: float, hi: float) -> float:
    """Length, mm, of a plain spline from one parameter to another, by other means."""
    slope = BSpline(np.array(knots, dtype=float), np.array(CUBIC), degree).derivative()
    value, _ = quad(lambda t: math.hypot(*slope(t)), lo, hi, epsabs=0, epsrel=1e-13, limit=500)
    return float(value)


def test_pieces_end_at_the_knots() -> None:
    """Three spans of knots are three pieces that follow each other smoothly, their headings too."""
    chain = Chain(CURVES["cubic"], closed=False)
    assert len(chain.segments) == 3
    assert all(gap < 1e-9 and abs(corner) < 1e-9 for _, gap, corner in chain.breaks)


def test_length_is_that_of_adaptive_quadrature() -> None:
    """Each piece as long as scipy's own quadrature of its speed."""
    spans = [(0.0, 0.3), (0.3, 0.7), (0.7, 1.0)]
    for arc, (lo, hi) in zip(CURVES["cubic"], spans, strict=True):
        assert arc.length == pytest.approx(length_by_quadrature(3, KNOTS, lo, hi), rel=1e-12)


def test_a_quarter_circle_as_a_rational_spline_has_its_length_and_curvature() -> None:
    """Weights 1, 1/√2, 1 (Piegl & Tiller, The NURBS Book, section 7.3, from memory): length πr/2, κ = 1/r."""
    (arc,) = spline_arcs(2, (0, 0, 0, 1, 1, 1), ((700, 0), (700, 700), (0, 700)), (1, math.sqrt(0.5), 1))
    assert arc.length == pytest.approx(math.pi * 350, rel=1e-13)
    assert arc.curvature(np.linspace(0, arc.length, 9)) == pytest.approx(1 / 700, rel=1e-11)
    assert arc.turning == pytest.approx(math.pi / 2, rel=1e-13)


def test_the_sharpest_place_of_a_parabola() -> None:
    """Y = x²/2f has its only extreme of curvature, 1/f, at its apex."""
    f = 300.0
    (arc,) = spline_arcs(2, (0, 0, 0, 1, 1, 1), ((-600, 600), (0, -600), (600, 600)))
    (apex,) = arc.curvature_turns
    assert arc.point(np.array(apex)) == pytest.approx(np.array([0.0, 0.0]), abs=1e-9)
    assert arc.curvature(np.array(apex)) == pytest.approx(1 / f, rel=1e-12)


@pytest.mark.parametrize("arc", PIECES)
def test_native_and_station_are_inverse(arc: SplineArc) -> None:
    """There and back for the piece and its parallels."""
    for line in (arc, arc.parallel(20.0), arc.parallel(-20.0), arc.reversed().parallel(15.0)):
        s = np.linspace(0.0, line.length, 33)
        assert line.station(line.native(s)) == pytest.approx(s, abs=1e-9)


@pytest.mark.parametrize("arc", PIECES)
def test_a_parallel_is_longer_by_distance_times_turning(arc: SplineArc) -> None:
    """Steiner, held against the sum of chords brought to its limit."""
    line = arc.parallel(25.0)
    assert line.length == pytest.approx(arc.length + 25 * arc.turning, rel=1e-12)
    sums = []
    for n in (2000, 4000):
        points = line.point(np.linspace(0.0, line.length, n + 1))
        sums.append(float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum()))
    assert sums[1] + (sums[1] - sums[0]) / 3 == pytest.approx(line.length, rel=1e-9)


@pytest.mark.parametrize("arc", PIECES)
def test_heading_and_curvature_are_derivatives(arc: SplineArc) -> None:
    """Points move along the heading, the heading turns by the curvature, on a parallel too."""
    for line in (arc, arc.parallel(20.0)):
        s, h = np.linspace(0.1, 0.9, 17) * line.length, 1e-4 * line.length
        ahead = (line.point(s + h) - line.point(s - h)) / (2 * h)
        assert ahead == pytest.approx(np.stack([np.cos(line.heading(s)), np.sin(line.heading(s))], axis=1), abs=1e-4)
        turn = (line.heading(s + h) - line.heading(s - h)) / (2 * h)
        assert turn == pytest.approx(line.curvature(s), rel=1e-3, abs=1e-8)


@pytest.mark.parametrize("arc", PIECES)
def test_reversed_and_cut_lie_on_the_same_curve(arc: SplineArc) -> None:
    """Reversed, the far end comes first; cut and joined again it is whole."""
    s = np.linspace(0.0, arc.length, 9)
    assert arc.reversed().point(s) == pytest.approx(arc.point(arc.length - s), abs=1e-8)
    assert arc.reversed().turning == pytest.approx(-arc.turning)
    head, tail = arc.cut(0.0, arc.length / 3), arc.cut(arc.length / 3, arc.length)
    assert head.length + tail.length == pytest.approx(arc.length, rel=1e-12)
    whole = head.joined(tail)
    assert whole is not None
    assert whole.length == pytest.approx(arc.length, rel=1e-12)
    assert tail.joined(head) is None
    assert arc.joined(Line(0.0, 0.0, 0.0, 1.0)) is None


@pytest.mark.parametrize("arc", PIECES)
def test_no_sampled_curvature_passes_the_extremes(arc: SplineArc) -> None:
    """The ends and the curvature's turns bound all of it."""
    least, most = extreme_curvature(arc, np.array([0.0]), np.array([arc.length]))
    bends = arc.curvature(np.linspace(0.0, arc.length, 4001))
    assert bends.max() <= most[0] + 1e-12
    assert bends.min() >= least[0] - 1e-12
    assert bends.max() == pytest.approx(float(most[0]), rel=1e-3, abs=1e-9)


@pytest.mark.parametrize("arc", PIECES)
def test_feet_hold_the_nearest_point(arc: SplineArc) -> None:
    """No sampled point is nearer than the nearest foot."""
    samples = arc.point(np.linspace(0.0, arc.length, 4001))
    for place in ((0.0, 0.0), (900.0, 900.0), (1500.0, -200.0), (2500.0, 300.0)):
        xy = np.array(place)
        nearest = np.linalg.norm(arc.point(arc.feet(xy)) - xy, axis=1).min()
        assert nearest <= np.linalg.norm(samples - xy, axis=1).min() + 1e-9


@pytest.mark.parametrize("arc", PIECES)
def test_aligned_places_have_the_heading(arc: SplineArc) -> None:
    """At each the heading is along or against, and every change of side between samples has one."""
    for angle in (0.0, 0.3, math.pi / 2):
        found = arc.aligned(angle)
        assert np.sin(arc.heading(found) - angle) == pytest.approx(0.0, abs=1e-9)
        side = np.sign(np.sin(arc.heading(np.linspace(0.0, arc.length, 2001)) - angle))
        assert len(found) >= np.count_nonzero(np.diff(side))


@pytest.mark.parametrize("arc", PIECES)
def test_chords_of_the_mesh_stay_near(arc: SplineArc) -> None:
    """Midway between its stations the curve leaves the chord by no more than the tolerance."""
    for line in (arc, arc.parallel(-20.0)):
        s = line.mesh(0.5)
        ends, middle = line.point(s), line.point((s[1:] + s[:-1]) / 2)
        chord = np.diff(ends, axis=0)
        off = np.abs(chord[:, 0] * (middle - ends[:-1])[:, 1] - chord[:, 1] * (middle - ends[:-1])[:, 0])
        assert (off / np.linalg.norm(chord, axis=1)).max() <= 0.5


def test_a_loop_of_a_spline_turns_all_round() -> None:
    """A cubic that crosses itself turns by more than π, and no turn is lost."""
    (arc,) = spline_arcs(3, (0, 0, 0, 0, 1, 1, 1, 1), ((0, 0), (1000, 500), (-400, 500), (600, 0)))
    x, y = np.diff(arc.point(np.linspace(0.0, arc.length, 20001)), axis=0).T
    assert arc.turning == pytest.approx(float(np.ptp(np.unwrap(np.arctan2(y, x)))), abs=1e-3)


@pytest.mark.parametrize(
    ("degree", "knots", "points", "weights", "words"),
    [
        (3, (0, 0, 0, 0, 1, 1, 1, 1), CUBIC, (), "as many as points"),
        (2, (0, 0, 0, 1, 1, 1), CUBIC[:2], (), "cannot have 2 control points"),
        (2, (0, 0, 1, 0, 1, 1), CUBIC[:3], (), "knots rise"),
        (2, (0, 0, 0, 1, 1, math.nan), CUBIC[:3], (), "knots rise"),
        (2, (0, 0, 0, 1, 1, 1), CUBIC[:3], (1, 0, 1), "weights are positive"),
        (2, (0, 0, 0, 1, 1, 1), CUBIC[:3], (1, 1e-9, 1), "too far apart"),
        (3, (0, 0, 0, 0, 1, 1, 1, 1), ((0, 0), (1000, 900), (0, 900), (1000, 0)), (), "comes to a point"),
    ],
)
def test_what_is_no_spline_is_refused(
    degree: int,
    knots: tuple[float, ...],
    points: tuple[tuple[float, float], ...],
    weights: tuple[float, ...],
    words: str,
) -> None:
    """Counts, order and weights are judged, and a cusp is no curve."""
    with pytest.raises(ValueError, match=words):
        spline_arcs(degree, knots, points, weights)


def test_a_parallel_that_folds_is_refused() -> None:
    """Just short of the radius at the apex it holds, past it it folds."""
    (arc,) = spline_arcs(2, (0, 0, 0, 1, 1, 1), ((-600, 600), (0, -600), (600, 600)))
    assert arc.parallel(-299.9).length > 0
    with pytest.raises(ValueError, match="folds"):
        arc.parallel(-300.1)
