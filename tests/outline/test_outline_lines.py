"""Every outline, from every face: lengths, parallels, directions and stations against independent sums."""

from __future__ import annotations

import math

import numpy as np
import pytest
from outline_cases import CASES, Case, faces, length_beside, polylines, reach_beside, shoelace, with_back_line

from layout.outline.chain import Chain
from layout.outline.walk import Walked, walk

LENGTHS = 1e-9
"""Relative error allowed in a length."""

ALL = [
    pytest.param(case, face, outward, id=f"{case.name}, {face}, {outward:+g}")
    for case in CASES
    for face in faces(case)
    for outward in case.outwards
]
EACH_FACE = [pytest.param(case, face, id=f"{case.name}, {face}") for case in CASES for face in faces(case)]


def _walked(case: Case, face: str, outward: float) -> tuple[Walked, float]:
    """Walk a case and tell its side: +1 along the drawn direction, −1 against it."""
    return walk(with_back_line(case, face, outward)), 1.0 if face == faces(case)[0] else -1.0


def _stations(chain: Chain, count: int = 47) -> np.ndarray:
    """Stations spread unevenly from end to end, none a joint but the ends."""
    return chain.length * np.linspace(0.0, 1.0, count) ** 1.3


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_hand_sums_agree_with_chord_sums(case: Case) -> None:
    """The two independent lengths that the others are held against agree with each other."""
    assert length_beside(case.spec, 0.0) == pytest.approx(case.length, rel=LENGTHS)


@pytest.mark.parametrize(("case", "face", "outward"), ALL)
def test_lengths_agree_with_hand_sums_and_chord_sums(case: Case, face: str, outward: float) -> None:
    """The drawn line has the length done by hand; the back line and one 12 mm before it, chord sums'."""
    walked, side = _walked(case, face, outward)
    count = walked.back.parallel(12.0 * side)
    assert walked.drawn.length == pytest.approx(case.length, rel=LENGTHS)
    assert walked.back.length == pytest.approx(length_beside(case.spec, outward), rel=LENGTHS)
    assert count.length == pytest.approx(length_beside(case.spec, outward + 12), rel=LENGTHS)


@pytest.mark.parametrize(("case", "face", "outward"), ALL)
def test_a_parallel_is_longer_by_distance_times_turning(case: Case, face: str, outward: float) -> None:
    """Steiner: L(d) = L + d·θ, θ positive where the face is convex."""
    walked, side = _walked(case, face, outward)
    assert walked.drawn.turning == pytest.approx(side * case.turning, abs=1e-9)
    assert walked.back.length == pytest.approx(case.length + outward * case.turning, rel=LENGTHS)


@pytest.mark.parametrize(("case", "face"), EACH_FACE)
def test_points_lie_on_the_traced_line_in_order(case: Case, face: str) -> None:
    """The stations of the traced points, from chord sums, are where those points are found."""
    outward = case.outwards[-1]
    walked, side = _walked(case, face, outward)
    line, reach = reach_beside(case.spec, outward, 2**12)
    if side < 0:
        line, reach = line[::-1], reach[-1] - reach[::-1]
    some = np.linspace(0, len(line) - 1, 40).astype(int)
    origin = walked.back.nearest((line[0, 0], line[0, 1]))[0][0] if case.spec.closed else 0.0
    found = walked.back.point(origin + np.minimum(reach[some], walked.back.length))
    np.testing.assert_allclose(found, line[some], rtol=0, atol=1e-5)


@pytest.mark.parametrize(("case", "face"), EACH_FACE)
def test_heading_is_the_way_of_travel_and_curvature_its_rate(case: Case, face: str) -> None:
    """Central differences of points give heading, and of heading curvature, away from joints."""
    walked, _ = _walked(case, face, case.outwards[-1])
    back = walked.back
    h = 1e-5 * min(back.smallest_radius, 100.0)
    s = _stations(back)[1:-1]
    s = s[np.abs(s[:, None] - back.joints).min(axis=1, initial=math.inf) > 10 * h]
    ahead = (back.point(s + h) - back.point(s - h)) / (2 * h)
    heading = back.heading(s)
    np.testing.assert_allclose(ahead, np.stack([np.cos(heading), np.sin(heading)], axis=1), atol=1e-7)
    rate = (back.heading(s + h) - back.heading(s - h)) / (2 * h)
    np.testing.assert_allclose(rate, back.curvature(s), atol=1e-6 / back.smallest_radius + 1e-9)


@pytest.mark.parametrize(("case", "face"), EACH_FACE)
def test_the_viewer_is_on_the_right(case: Case, face: str) -> None:
    """A line towards the viewer lies on the right; round an outside face it holds the loop inside it."""
    walked, side = _walked(case, face, case.outwards[-1])
    back, d = walked.back, 12.0 * side
    towards = back.parallel(d)
    s = _stations(back)
    heading = back.heading(s)
    rights = np.stack([np.sin(heading), -np.cos(heading)], axis=1)
    np.testing.assert_allclose(towards.point(back.carry(s, towards)) - back.point(s), d * rights, atol=1e-6)
    if case.spec.closed:
        area = shoelace(back.sample(tolerance=0.01)[:-1])
        assert (area > 0) == (face == "outside")


@pytest.mark.parametrize(("case", "face"), EACH_FACE)
def test_stations_are_found_again(case: Case, face: str) -> None:
    """Station → point → nearest station, and station → parallel → back, to 1e-9 of the length."""
    walked, side = _walked(case, face, case.outwards[-1])
    back = walked.back
    s = _stations(back)[1:-1]
    for station, (x, y) in zip(s, back.point(s), strict=True):
        found, distance = back.nearest((x, y))
        assert found == pytest.approx([station], abs=1e-9 * back.length)
        assert distance == pytest.approx([0.0], abs=1e-9 * back.length)
    other = back.parallel(12.0 * side)
    np.testing.assert_allclose(other.carry(back.carry(s, other), back), s, atol=1e-9 * back.length)


@pytest.mark.parametrize(("case", "face"), EACH_FACE)
def test_carried_stations_differ_by_distance_times_angle(case: Case, face: str) -> None:
    """Station on the parallel at d is s + d·θ(s), θ from station 0."""
    walked, side = _walked(case, face, case.outwards[-1])
    back, d = walked.back, 12.0 * side
    s = _stations(back)
    turned = back.heading(s) - back.heading(0.0)
    np.testing.assert_allclose(back.carry(s, back.parallel(d)), s + d * turned, rtol=0, atol=1e-9 * back.length)


@pytest.mark.parametrize(("case", "face"), EACH_FACE)
def test_drawn_and_back_line_start_on_one_normal(case: Case, face: str) -> None:
    """Station 0 of the drawn line, the back line and the datum stand on one normal."""
    walked, side = _walked(case, face, case.outwards[-1])
    heading = float(walked.back.heading(0.0))
    right = np.array([math.sin(heading), -math.cos(heading)])
    assert walked.back.point(0.0).tolist() == list(walked.datum)
    gap = walked.back.point(0.0) - walked.drawn.point(0.0)
    np.testing.assert_allclose(gap, case.outwards[-1] * side * right, atol=1e-9)


@pytest.mark.parametrize(("case", "face"), EACH_FACE)
def test_smallest_radius_is_the_one_by_hand(case: Case, face: str) -> None:
    """Of an ellipse b²/a, of arcs the smallest, of straights none."""
    walked, _ = _walked(case, face, 0.0)
    assert walked.drawn.smallest_radius == pytest.approx(case.tightest, rel=1e-12)


@pytest.mark.parametrize(("case", "face"), EACH_FACE)
def test_bounds_hold_the_line_and_touch_it(case: Case, face: str) -> None:
    """The bounds are those of a dense trace, within the trace's own rise."""
    walked, _ = _walked(case, face, case.outwards[-1])
    line = np.concatenate(polylines(case.spec, case.outwards[-1], 4000))
    assert walked.back.bounds == pytest.approx((*line.min(axis=0), *line.max(axis=0)), abs=2e-3)


@pytest.mark.parametrize(("case", "face"), EACH_FACE)
def test_inside_and_outside_are_one_line_walked_two_ways(case: Case, face: str) -> None:
    """Reversed twice is the same; reversed once, station s is length − s, curvature changes sign."""
    walked, _ = _walked(case, face, case.outwards[-1])
    back, other = walked.back, walked.back.reversed()
    s = _stations(back)[1:-1]
    assert other.turning == pytest.approx(-back.turning)
    np.testing.assert_allclose(other.point(back.length - s), back.point(s), atol=1e-8)
    np.testing.assert_allclose(other.curvature(back.length - s), -back.curvature(s), rtol=1e-6, atol=1e-15)
    np.testing.assert_allclose(other.reversed().point(s), back.point(s), atol=1e-8)


@pytest.mark.parametrize("case", [case for case in CASES if case.spec.closed], ids=lambda case: case.name)
def test_a_loop_is_walked_round_and_round(case: Case) -> None:
    """One lap on: same point and curvature, heading 2π on, carried station one parallel's length on."""
    back = walk(case.spec).back
    other = back.parallel(10.0)
    s = _stations(back)[1:-1]
    for laps in (-2, 1, 3):
        on = s + laps * back.length
        np.testing.assert_allclose(back.point(on), back.point(s), atol=1e-7)
        np.testing.assert_allclose(back.heading(on), back.heading(s) + laps * math.tau, atol=1e-6)
        np.testing.assert_allclose(back.carry(on, other), back.carry(s, other) + laps * other.length, atol=1e-7)


@pytest.mark.parametrize("case", [case for case in CASES if case.spec.closed], ids=lambda case: case.name)
def test_a_loop_may_start_anywhere(case: Case) -> None:
    """Started at s0, station s is station s0 + s of before; length and turning do not change."""
    back = walk(case.spec).back
    s = _stations(back)[1:-1]
    for start in (0.0, 1e-7, 0.123 * back.length, *back.joints[:2], back.length - 1e-7, 1.5 * back.length):
        other = back.started_at(start)
        assert other.length == pytest.approx(back.length, rel=1e-12)
        assert other.turning == pytest.approx(back.turning, abs=1e-12)
        np.testing.assert_allclose(other.point(s), back.point(s + start), atol=2e-6)


def test_equal_axes_make_a_circle() -> None:
    """An ellipse as wide as long has a circle's points, headings and curvature at every station."""
    by_name = {case.name: case for case in CASES}
    circle = walk(by_name["circle"].spec).back
    ellipse = walk(by_name["ellipse with equal axes"].spec).back
    s = _stations(circle)
    np.testing.assert_allclose(ellipse.point(s), circle.point(s), atol=1e-9)
    np.testing.assert_allclose(ellipse.curvature(s), circle.curvature(s), rtol=1e-12)


def test_a_stadium_with_equal_sides_is_a_circle() -> None:
    """A stadium as wide as long keeps no straight."""
    by_name = {case.name: case for case in CASES}
    drawn = walk(by_name["stadium as wide as long"].spec).drawn
    assert drawn.extreme_curvature(0.0, drawn.length) == pytest.approx((1 / 750, 1 / 750))


def test_full_ends_make_a_stadium() -> None:
    """A rounded rectangle whose radius is half its width is the stadium: two straights, two half circles."""
    by_name = {case.name: case for case in CASES}
    drawn = walk(by_name["rounded rectangle, full ends"].spec).drawn
    assert sorted(segment.length for segment in drawn.segments) == pytest.approx(
        [800, 800, 1600, math.pi * 700, math.pi * 700]
    )
