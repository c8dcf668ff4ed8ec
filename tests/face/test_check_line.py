"""The check's own lines against formulas and published lengths."""

from __future__ import annotations

import math

import numpy as np
import pytest

from layout.face.check_datum import started
from layout.face.check_line import Polyline, sampled, walked_parts
from layout.job.model import OutlineSpec, Straight, Turn

STADIUM = OutlineSpec("", "stadium", length=6000.0, width=2400.0)
WAVE = (Straight(1500.0), Turn(1.0, 1800.0), Turn(-1.2, 1500.0))


def line(spec: OutlineSpec) -> Polyline:
    return sampled(started(walked_parts(spec), spec), closed=spec.closed)


def test_a_circle_is_as_long_as_its_formula_and_its_parallel_longer_by_two_pi_d():
    ring = line(OutlineSpec("", "circle", diameter=5000.0))
    assert ring.length == pytest.approx(math.pi * 5000, rel=1e-11)
    assert ring.parallel(35.0).length == pytest.approx(math.pi * 5070, rel=1e-11)


@pytest.mark.parametrize(
    ("a", "b", "perimeter"),
    [
        (2.0, 1.0, 9.688448220547675),  # Wolfram Language reference, ArcLength
        (3.0, 1.0, 13.364893220555258),  # library test tables of the complete elliptic integral
    ],
)
def test_an_ellipse_is_as_long_as_published(a: float, b: float, perimeter: float):
    found = line(OutlineSpec("", "ellipse", length=2000 * a, width=2000 * b))
    assert found.length == pytest.approx(1000 * perimeter, rel=1e-10)


def test_the_parallel_of_an_ellipse_is_longer_by_steiner_and_no_ellipse():
    """Ellipse 3 × 2 at 0.3: 17.750395, not the 17.733450 of the ellipse 3.3 × 2.3 (computed both ways)."""
    found = line(OutlineSpec("", "ellipse", length=6000.0, width=4000.0)).parallel(300.0)
    assert found.length == pytest.approx(17750.395, abs=1e-3)


def test_a_stadium_is_two_straights_and_a_circle():
    assert line(STADIUM).length == pytest.approx(2 * 3600 + math.pi * 2400, rel=1e-11)


def test_a_rounded_rectangle_lacks_its_corners():
    spec = OutlineSpec("", "rounded-rectangle", length=6000.0, width=4000.0, radius=700.0)
    assert line(spec).length == pytest.approx(2 * (6000 + 4000) - (8 - 2 * math.pi) * 700, rel=1e-11)


def test_an_inside_face_is_walked_clockwise_and_an_outside_face_anticlockwise():
    for face, turning in (("outside", math.tau), ("inside", -math.tau)):
        found = line(OutlineSpec("", "ellipse", length=6000.0, width=4000.0, face=face))
        assert found.heading[-1] - found.heading[0] == pytest.approx(turning, abs=1e-9)


def test_the_left_face_of_an_open_line_is_walked_from_its_end():
    right = OutlineSpec("", "path", closed=False, face="right", steps=WAVE)
    left = OutlineSpec("", "path", closed=False, face="left", steps=WAVE)
    there, back = line(right), line(left)
    assert back.point([0.0])[0] == pytest.approx(there.point([there.length])[0], abs=1e-9)
    assert back.sides(10.0)[0] == pytest.approx(1 / 1500, rel=1e-9)  # the right turn, seen from the other side


def test_curvature_by_differences_is_that_of_the_vertices():
    """An ellipse bends a/b² at the end of its long axis and b/a² at the end of its short one."""
    a, b = 3000.0, 1850.0
    found = line(OutlineSpec("", "ellipse", length=2 * a, width=2 * b))
    assert found.sides(0.0) == pytest.approx((b / a**2, b / a**2), rel=1e-7)
    assert found.sides(found.length / 4) == pytest.approx((a / b**2, a / b**2), rel=1e-6)


def test_a_joint_has_two_curvatures():
    found = line(STADIUM)
    assert found.sides(1800.0) == pytest.approx((0.0, 1 / 1200), abs=1e-12)
    assert found.sides(1800.0 - 1e-3) == pytest.approx((0.0, 0.0), abs=1e-12)


def test_the_greatest_bend_of_a_stretch_reaches_round_the_datum():
    found = line(STADIUM)
    assert found.most_bend(-1700.0, 1700.0) == pytest.approx(0.0, abs=1e-12)
    assert found.most_bend(-1900.0, 0.0) == pytest.approx(1 / 1200, rel=1e-9)


def test_points_between_nodes_lie_on_the_arc():
    ring = line(OutlineSpec("", "circle", diameter=5000.0))
    stations = np.linspace(0.0, 2 * ring.length, 997)
    assert np.hypot(*ring.point(stations).T) == pytest.approx(2500.0, abs=1e-9)


def test_stations_are_carried_along_normals_lap_by_lap():
    ring = line(OutlineSpec("", "circle", diameter=2000.0))
    outer = ring.parallel(100.0)
    carried = ring.carried([100.0, 100.0 + ring.length], outer)
    assert carried == pytest.approx([110.0, 110.0 + outer.length], rel=1e-9)


def test_a_parallel_past_the_smallest_radius_folds():
    found = line(OutlineSpec("", "ellipse", length=6000.0, width=4000.0))  # smallest radius b²/a = 1333.3
    assert not found.parallel(-1333.0).folds
    assert found.parallel(-1334.0).folds


@pytest.mark.parametrize(
    ("spec", "datum"),
    [
        (OutlineSpec("", "circle", diameter=2000.0), (0.0, -1000.0)),
        (OutlineSpec("", "circle", diameter=2000.0, face="inside", inset=-100.0), (0.0, -900.0)),
        (OutlineSpec("", "ellipse", length=6000.0, width=4000.0, inset=100.0), (0.0, -1900.0)),
        (STADIUM, (0.0, -1200.0)),
        (OutlineSpec("", "stadium", length=2400.0, width=6000.0), (0.0, -3000.0)),
        (OutlineSpec("", "circle", diameter=2000.0, datum=(3000.0, 0.0)), (1000.0, 0.0)),
        (OutlineSpec("", "circle", diameter=2000.0, datum=(-300.0, -400.0)), (-600.0, -800.0)),
        (OutlineSpec("", "stadium", length=6000.0, width=2400.0, datum=(500.0, 9000.0)), (500.0, 1200.0)),
    ],
)
def test_station_0_is_the_lowest_point_or_the_nearest_to_the_one_given(spec: OutlineSpec, datum: tuple[float, float]):
    back = line(spec).parallel(-spec.inset)
    assert back.point([0.0])[0] == pytest.approx(datum, abs=1e-8)


def test_a_lowest_straight_drawn_in_two_pieces_has_one_middle():
    steps = (
        Straight(900.0),
        Turn(math.pi, 1000.0),
        Straight(2000.0),
        Turn(math.pi, 1000.0),
        Straight(1100.0),
    )
    spec = OutlineSpec("", "path", start=(100.0, -1000.0), steps=steps)
    assert line(spec).point([0.0])[0] == pytest.approx((0.0, -1000.0), abs=1e-8)


def test_of_two_lowest_places_the_left_one_is_the_datum():
    """A saddle of two feet at x ∓1500, drawn from the right foot on."""
    dip = 2 * math.atan(1000 / 1500)  # the two outer arcs and the dip between meet half way
    steps = (
        Turn(math.pi, 800.0),
        Straight(3000.0),
        Turn(math.pi, 800.0),
        Turn(dip, 1200.0),
        Turn(-dip, 1200.0),
        Turn(-dip, 1200.0),
        Turn(dip, 1200.0),
    )
    low = 4 * 1200 * math.sin(dip)
    spec = OutlineSpec("", "path", start=(low / 2, 0.0), steps=(*steps[:1], Straight(low), *steps[2:]))
    assert line(spec).point([0.0])[0] == pytest.approx((-low / 2, 0.0), abs=1e-8)
