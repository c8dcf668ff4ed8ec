"""Single curves: what holds for any ellipse arc, circular arc and straight, drawn at random, repeatably."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.segment import Segment, extreme_curvature

repeatable = settings(derandomize=True, max_examples=60, deadline=None)

semi_axes = st.floats(50.0, 5000.0)
angles = st.floats(-7.0, 7.0)
sweeps = st.floats(0.05, math.tau).flatmap(lambda sweep: st.sampled_from([sweep, -sweep]))


@st.composite
def ellipse_arcs(draw: st.DrawFn) -> EllipseArc:
    """Arcs of ellipses up to 100:1 and of their parallels, up to nine tenths of the way to a fold."""
    a, b = draw(semi_axes), draw(semi_axes)
    sweep = draw(sweeps)
    share = draw(st.floats(-0.9, 2.0))  # of the smallest radius, inwards negative
    offset = math.copysign(share * min(a, b) ** 2 / max(a, b), share * sweep)
    return EllipseArc(
        draw(st.floats(-1e4, 1e4)),
        draw(st.floats(-1e4, 1e4)),
        a,
        b,
        draw(angles),
        draw(angles),
        sweep,
        offset,
    )


@st.composite
def segments(draw: st.DrawFn) -> Segment:
    """Any curve."""
    kind = draw(st.sampled_from(["line", "arc", "ellipse", "ellipse"]))
    if kind == "line":
        return Line(draw(semi_axes), draw(semi_axes), draw(angles), draw(semi_axes))
    if kind == "arc":
        return Arc(draw(semi_axes), draw(semi_axes), draw(semi_axes), draw(angles), draw(sweeps))
    return draw(ellipse_arcs())


@repeatable
@given(segments(), st.lists(st.floats(0.0, 1.0), min_size=1, max_size=20))
def test_stations_and_the_shared_parameter_invert_each_other(segment: Segment, shares: list[float]) -> None:
    """Station → parameter → station returns within 1e-13 of the length."""
    s = segment.length * np.array(shares)
    assert np.abs(segment.station(segment.native(s)) - s).max() <= 1e-13 * segment.length


@repeatable
@given(segments(), st.floats(0.02, 0.98))
def test_two_parts_are_the_whole(segment: Segment, share: float) -> None:
    """Cut in two, lengths and turnings add up, the parts meet, and they join to the whole again."""
    s = share * segment.length
    first, second = segment.cut(0.0, s), segment.cut(s, segment.length)
    assert first.length == pytest.approx(s, rel=1e-10)
    assert first.length + second.length == pytest.approx(segment.length, rel=1e-12)
    assert first.turning + second.turning == pytest.approx(segment.turning, abs=1e-12)
    np.testing.assert_allclose(
        first.point(np.array(first.length)), second.point(np.array(0.0)), atol=1e-10 * segment.length + 1e-11
    )
    whole = first.joined(second)
    assert whole is not None
    assert whole.length == pytest.approx(segment.length, rel=1e-12)
    assert second.joined(first) is None or abs(segment.turning) > 6.28


@repeatable
@given(segments(), st.floats(0.0, 1.0), st.floats(0.0, 300.0))
def test_a_parallel_of_a_parallel_is_the_parallel_of_both(segment: Segment, share: float, d: float) -> None:
    """Out by d on the outer side and by d again is out by 2d; and back by 2d is where it was."""
    out = math.copysign(d, segment.turning)
    twice = segment.parallel(out).parallel(out)
    s = np.array([0.0, share * segment.length, segment.length])
    there = twice.station(segment.native(s))
    np.testing.assert_allclose(twice.point(there), segment.parallel(2 * out).point(there), atol=1e-8)
    np.testing.assert_allclose(twice.parallel(-2 * out).point(s), segment.point(s), atol=1e-8)
    assert twice.length == pytest.approx(segment.length + 2 * out * segment.turning, rel=1e-12)


@repeatable
@given(segments(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_extremes_of_curvature_hold_every_sample_and_are_met(segment: Segment, one: float, other: float) -> None:
    """No sampled curvature passes the extremes, and the densest sample comes near both."""
    lo, hi = segment.length * min(one, other), segment.length * max(one, other)
    least, most = extreme_curvature(segment, np.array([lo]), np.array([hi]))
    inner = [turn for turn in segment.curvature_turns if lo <= turn <= hi]
    bends = segment.curvature(np.array([*np.linspace(lo, hi, 200), *inner]))
    assert least[0] == pytest.approx(bends.min(), rel=1e-12)
    assert most[0] == pytest.approx(bends.max(), rel=1e-12)


@repeatable
@given(ellipse_arcs(), st.floats(-2e4, 2e4), st.floats(-2e4, 2e4))
def test_a_nearest_point_is_among_the_feet(arc: EllipseArc, x: float, y: float) -> None:
    """No sampled point of the arc is nearer than the nearest foot."""
    xy = np.array([x, y])
    feet = arc.feet(xy)
    assert feet.min() >= 0
    assert feet.max() <= arc.length
    nearest = np.linalg.norm(arc.point(feet) - xy, axis=1).min()
    sampled = np.linalg.norm(arc.point(arc.mesh(0.5)) - xy, axis=1).min()
    assert nearest <= sampled + 1e-9


@repeatable
@given(segments(), st.sampled_from([0.01, 1.0]))
def test_a_mesh_keeps_its_tolerance(segment: Segment, tolerance: float) -> None:
    """The middle of every stretch of the mesh lies within the tolerance of its chord."""
    s = segment.mesh(tolerance)
    ends, middles = segment.point(s), segment.point((s[1:] + s[:-1]) / 2)
    assert (s[0], s[-1]) == pytest.approx((0.0, segment.length))
    along = np.diff(ends, axis=0)
    across = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.linalg.norm(along, axis=1, keepdims=True)
    rises = np.abs(np.sum((middles - ends[:-1]) * across, axis=1))
    assert rises.max() <= tolerance * 1.001


@repeatable
@given(segments(), angles)
def test_aligned_places_run_along_the_angle(segment: Segment, angle: float) -> None:
    """Every aligned station heads along the angle or against it, and no crossing of it is left out."""
    found = segment.aligned(angle)
    off = np.sin(segment.heading(found) - angle)
    np.testing.assert_allclose(off, 0.0, atol=1e-7)
    s = np.linspace(0.0, segment.length, 400)
    signs = np.sign(np.sin(segment.heading(s) - angle))
    if segment.turning != 0:
        assert len(found) >= np.count_nonzero(signs[1:] * signs[:-1] < 0)


@pytest.mark.parametrize("ratio", [1.0, 1.5, 50.0, 1 / 50])
@pytest.mark.parametrize("share", [-0.999, 0.0, 0.5])
def test_two_thousand_stations_of_an_ellipse_invert(ratio: float, share: float) -> None:
    """Thin, fat, near its fold or not: 2000 stations return to 1e-13 of the ellipse's or the arc's length."""
    a, b = 1000.0 * max(ratio, 1.0), 1000.0 / min(ratio, 1.0)
    arc = EllipseArc(0.0, 0.0, a, b).parallel(share * min(a, b) ** 2 / max(a, b))
    s = np.linspace(0.0, arc.length, 2000)
    size = max(arc.length, EllipseArc(0.0, 0.0, a, b).length)
    assert np.abs(arc.station(arc.native(s)) - s).max() <= 1e-13 * size


@pytest.mark.parametrize("share", [1.0, 1.0 + 1e-12])
def test_an_ellipse_has_no_parallel_past_its_smallest_radius(share: float) -> None:
    """Inwards by b²/a it folds, a ten-thousandth less it does not."""
    arc = EllipseArc(0.0, 0.0, 3000.0, 2000.0)
    limit = 2000.0**2 / 3000.0
    assert arc.parallel(-0.9999 * limit).length > 0
    with pytest.raises(ValueError, match="it folds"):
        arc.parallel(-share * limit)


def test_a_flank_of_an_ellipse_bears_more_than_its_tips() -> None:
    """An arc that keeps off the tips folds at its own smallest radius: ((a² + b²)/2)^1.5/(a·b) at 45°."""
    flank = EllipseArc(0.0, 0.0, 3000.0, 2000.0, start=math.pi / 4, sweep=math.pi / 2)
    limit = ((3000.0**2 + 2000.0**2) / 2) ** 1.5 / (3000.0 * 2000.0)
    assert limit > 2000.0**2 / 3000.0
    assert flank.parallel(-0.9999 * limit).length > 0
    with pytest.raises(ValueError, match="it folds"):
        flank.parallel(-limit)


def test_curves_of_different_kinds_or_circles_do_not_join() -> None:
    """Joining needs one curve going on; a tangent neighbour is not enough."""
    arc = Arc(0.0, 0.0, 100.0, 0.0, 1.0)
    line = Line(100.0, 0.0, math.pi / 2, 50.0)
    wave = EllipseArc(0.0, 0.0, 100.0, 80.0, sweep=1.0)
    assert line.joined(arc) is None
    assert arc.joined(line) is None
    assert wave.joined(arc) is None
    assert arc.joined(Arc(0.0, 0.0, 101.0, 1.0, 1.0)) is None
    assert arc.joined(Arc(0.0, 0.0, 100.0, 1.1, 1.0)) is None
    assert wave.joined(EllipseArc(0.0, 0.0, 100.0, 81.0, start=1.0, sweep=1.0)) is None
    assert arc.joined(Arc(0.0, 0.0, 100.0, 1.0, -0.5)) is None
