"""A chain of segments: curvature over stretches, nearest places, stations past the ends, meshes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from outline_cases import KIDNEY, S_BEND

from layout.job.model import OutlineSpec
from layout.outline.chain import Chain
from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.walk import walk

STADIUM = walk(OutlineSpec("", "stadium", length=3000.0, width=1000.0)).back
"""From the middle of its lower straight: straight to 1000, end to 1000 + 500π, straight, end, straight."""

END = 1000 + 500 * math.pi


def test_a_moved_start_does_not_leave_a_joint_behind() -> None:
    """A stadium started in the middle of a straight has joints there and at its four tangent points."""
    assert STADIUM.joints == pytest.approx([0, 1000, END, END + 2000, END + 2000 + 500 * math.pi])
    assert len(walk(OutlineSpec("", "ellipse", length=6000.0, width=4000.0)).back.segments) == 1


@pytest.mark.parametrize(
    ("start", "end", "least", "most"),
    [
        (100.0, 900.0, 0.0, 0.0),
        (100.0, 999.9, 0.0, 0.0),
        (100.0, 1000.0, 0.0, 1 / 500),  # a joint belongs to both its sides
        (1000.0, 1000.0, 0.0, 1 / 500),
        (1000.1, END - 0.1, 1 / 500, 1 / 500),
        (END, END + 5, 0.0, 1 / 500),
        (END + 0.1, END + 5, 0.0, 0.0),
        (-100.0, 100.0, 0.0, 0.0),
        (-1001.0, 0.0, 0.0, 1 / 500),  # reaches back round the start
        (STADIUM.length - 100, 100.0, 0.0, 0.0),  # start > end wraps past the datum
        (STADIUM.length - 100, 1100.0, 0.0, 1 / 500),
        (STADIUM.length + 100, STADIUM.length + 900, 0.0, 0.0),
        (0.0, 3 * STADIUM.length, 0.0, 1 / 500),
    ],
)
def test_curvature_over_a_stretch_of_a_loop(start: float, end: float, least: float, most: float) -> None:
    """The extremes hold both sides of every joint in the stretch, its ends included."""
    found = STADIUM.extreme_curvature(start, end)
    assert (float(found[0]), float(found[1])) == pytest.approx((least, most))


def test_a_joint_at_the_start_of_a_loop_has_both_its_sides() -> None:
    """A loop that starts where a straight meets an arc: a stretch from 0, or up to the length, has both."""
    line = STADIUM.started_at(1000.0)
    for start, end in ((0.0, 10.0), (line.length - 10, line.length), (0.0, 0.0)):
        assert [float(bend) for bend in line.extreme_curvature(start, end)] == pytest.approx([0, 1 / 500])


def test_curvature_over_many_stretches_at_once_is_that_of_each() -> None:
    """An array of stretches gives what each gives alone."""
    line = walk(KIDNEY).back
    starts = np.linspace(-500.0, line.length + 500.0, 60).reshape(3, 20)
    ends = starts + np.linspace(0.0, 900.0, 20)
    least, most = line.extreme_curvature(starts, ends)
    for index in np.ndindex(starts.shape):
        alone = line.extreme_curvature(starts[index], ends[index])
        assert (least[index], most[index]) == (float(alone[0]), float(alone[1]))
    assert float(least.min()) == pytest.approx(-1 / 1000)
    assert float(most.max()) == pytest.approx(1 / (2000 / math.sqrt(3) - 1000))


def test_curvature_of_an_ellipse_is_extreme_at_its_axes() -> None:
    """Round a tip a/b² at most; over the whole b/a² at least: 2.25/3000 and 2/3 · 1/3000."""
    line = Chain((EllipseArc(0.0, 0.0, 3000.0, 2000.0),), closed=True)
    least, most = line.extreme_curvature([-10.0, 0.0, 100.0], [10.0, line.length, 200.0])
    assert most[:2] == pytest.approx([3000 / 2000**2] * 2, rel=1e-14)
    assert least[1] == pytest.approx(2000 / 3000**2, rel=1e-14)
    assert (least[2], most[2]) == (line.curvature(200.0), line.curvature(100.0))


def test_curvature_over_a_stretch_of_an_open_line() -> None:
    """A stretch that reaches past an end ends there; one that runs backwards is refused."""
    line = walk(S_BEND).back
    least, most = line.extreme_curvature([-50.0, line.length - 1], [10.0, line.length + 50])
    assert least == pytest.approx([0, -1 / 450])
    assert most == pytest.approx([0, -1 / 450])
    with pytest.raises(ValueError, match="end after it starts"):
        line.extreme_curvature(2.0, 1.0)


def test_an_open_line_ends_at_its_ends() -> None:
    """A millionth of a millimetre past an end is the end; more is refused, on either side."""
    line = walk(S_BEND).back
    assert line.point(-1e-6).tolist() == line.point(0.0).tolist()
    assert line.point(line.length + 1e-6).tolist() == line.point(line.length).tolist()
    for station in (-2e-6, line.length + 2e-6, math.nan):
        with pytest.raises(ValueError, match="stations of this open line run from 0"):
            line.point(station)
    with pytest.raises(ValueError, match="starts at its left end"):
        line.started_at(5.0)


def test_answers_have_the_shape_of_the_stations() -> None:
    """A number gives a number or one point; an array of any shape, even none, gives its shape."""
    for shape in ((), (0,), (4,), (2, 3)):
        s = np.full(shape, 1234.5)
        assert STADIUM.point(s).shape == (*shape, 2)
        for answer in (STADIUM.heading(s), STADIUM.curvature(s), STADIUM.carry(s, STADIUM)):
            assert answer.shape == shape
        assert [extreme.shape for extreme in STADIUM.extreme_curvature(s, s + 1)] == [shape, shape]


def test_headings_do_not_jump() -> None:
    """Along a path of left and right turns the heading moves by no more than κ·ds, closing joint included."""
    line = walk(KIDNEY).back
    s = np.linspace(-line.length, 2 * line.length, 30001)
    steps = np.abs(np.diff(line.heading(s)))
    assert steps.max() <= (s[1] - s[0]) / line.smallest_radius * 1.0001
    assert line.heading(line.length) - line.heading(0.0) == pytest.approx(math.tau)


def test_stations_are_carried_between_parallels_only() -> None:
    """Lines of other segments are no parallels."""
    with pytest.raises(ValueError, match="between parallels only"):
        STADIUM.carry(5.0, walk(S_BEND).back)


@pytest.mark.parametrize(
    ("xy", "stations", "distance"),
    [
        ((0.0, -900.0), [0.0], 400.0),
        ((700.0, -100.0), [700.0], 400.0),
        ((3000.0, 0.0), [1000 + 250 * math.pi], 1500.0),
        ((1300.0, 0.0), [1000 + 250 * math.pi], 200.0),
        ((200.0, 0.0), [200.0, END + 800], 500.0),
        ((0.0, 0.0), [0.0, END + 1000], 500.0),
        ((1000.0, 0.0), [1000.0, 1000 + 500 * math.pi / 3, 1000 + 1000 * math.pi / 3, END], 500.0),
    ],
)
def test_all_nearest_places_are_found(xy: tuple[float, float], stations: list[float], distance: float) -> None:
    """On the axis two sides are as near; round an end's centre several places stand for all."""
    found, far = STADIUM.nearest(xy)
    assert found == pytest.approx(stations, abs=1e-9)
    assert far == pytest.approx([distance] * len(stations))


def test_nearest_places_of_an_ellipse_on_its_axis() -> None:
    """From (p, 0) inside the evolute the feet lie at cos t = a·p/(a² − b²), on both sides."""
    a, b, p = 3000.0, 2000.0, 900.0
    line = Chain((EllipseArc(0.0, 0.0, a, b),), closed=True)
    stations, distances = line.nearest((p, 0.0))
    x = a * a * p / (a * a - b * b)
    y = b * math.sqrt(1 - (x / a) ** 2)
    np.testing.assert_allclose(line.point(stations), [[x, y], [x, -y]], atol=1e-8)
    assert distances == pytest.approx([math.hypot(x - p, y)] * 2)
    cusp = (a * a - b * b) / a
    assert len(line.nearest((cusp + 1.0, 0.0))[0]) == 1
    assert len(line.nearest((cusp - 1.0, 0.0))[0]) == 2


def test_a_mesh_holds_joints_and_ends_and_keeps_its_step() -> None:
    """Stations rise from 0 to the length, hold every joint, and lie no further apart than the step."""
    stations = STADIUM.mesh(step=70.0)
    assert (stations[0], stations[-1]) == (0.0, STADIUM.length)
    assert (np.diff(stations) > 0).all()
    assert np.diff(stations).max() <= 70.0
    assert np.isin(STADIUM.joints, stations).all()
    assert STADIUM.sample(step=70.0)[0] == pytest.approx(STADIUM.sample(step=70.0)[-1])
    for given in ({}, {"step": 1.0, "tolerance": 1.0}):
        with pytest.raises(ValueError, match="either a tolerance or a step"):
            STADIUM.mesh(**given)


def test_a_straight_split_over_the_start_is_joined_when_the_start_moves() -> None:
    """A loop drawn from the middle of a straight has that straight whole once it starts elsewhere."""
    half, end = Line(0.0, 0.0, 0.0, 500.0), Arc(500.0, 300.0, 300.0, -math.pi / 2, math.pi)
    top, other = Line(500.0, 600.0, math.pi, 1000.0), Arc(-500.0, 300.0, 300.0, math.pi / 2, math.pi)
    drawn = Chain((half, end, top, other, Line(-500.0, 0.0, 0.0, 500.0)), closed=True)
    moved = drawn.started_at(500 + 300 * math.pi + 200)
    lengths = [segment.length for segment in moved.segments]
    assert lengths == pytest.approx([800, 300 * math.pi, 1000, 300 * math.pi, 200])
