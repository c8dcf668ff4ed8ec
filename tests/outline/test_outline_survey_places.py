"""Places by station, by the nearest point and by the angle from the centre, on walked back lines."""

from __future__ import annotations

import math

import numpy as np
import pytest
from outline_cases import CASES, Case, path, polylines
from survey_cases import drawn_line, marks_on, spec_of

from layout.errors import JobFaults
from layout.job.model import OutlineSpec, Straight, Turn
from layout.job.place import Place
from layout.outline.places import FARTHEST, centre_of, station_of
from layout.outline.walk import walk
from layout.units import format_length

CIRCLE = OutlineSpec("", "circle", diameter=2000.0)
KEY = "opening[1].from"


def _station(place: Place, spec: OutlineSpec) -> float:
    return station_of(place, walk(spec), spec, KEY, "mm")


@pytest.mark.parametrize("degrees", [-90.0, -45.0, 0.0, 30.0, 90.0, 180.0, 270.0, 359.0])
def test_an_angle_on_a_circle_is_its_arc_from_the_datum(degrees: float) -> None:
    """From the lowest point at −90°: r·(angle + 90°)."""
    expected = 1000.0 * (math.radians(degrees + 90) % math.tau)
    assert _station(Place(at_angle=math.radians(degrees)), CIRCLE) == pytest.approx(expected, abs=1e-6)


def test_an_angle_is_walked_the_other_way_round_inside() -> None:
    """On the inside face stations run clockwise: 0° is three quarters round from −90°."""
    inside = OutlineSpec("", "circle", diameter=2000.0, face="inside")
    assert _station(Place(at_angle=0.0), inside) == pytest.approx(1000.0 * 1.5 * math.pi)


@pytest.mark.parametrize("case", [c for c in CASES if c.spec.closed and c.name != "path, kidney"], ids=lambda c: c.name)
def test_the_place_at_an_angle_is_seen_at_that_angle(case: Case) -> None:
    """Its point lies on the ray from the centre."""
    walked = walk(case.spec)
    centre = centre_of(case.spec, walked.drawn)
    for degrees in range(5, 365, 24):
        station = station_of(Place(at_angle=math.radians(degrees)), walked, case.spec, KEY, "mm")
        x, y = walked.back.point(station).tolist()
        seen = math.atan2(y - centre[1], x - centre[0])
        assert math.remainder(seen - math.radians(degrees), math.tau) == pytest.approx(0.0, abs=1e-9)


def test_the_centre_of_a_surveyed_loop_is_its_centroid() -> None:
    """An ellipse surveyed with its middle at (700, −250) is seen from there."""
    case = next(c for c in CASES if c.name == "ellipse 3:2")
    xy, _ = marks_on(drawn_line(case), 80)
    spec = spec_of(xy + np.array([700.0, -250.0]), 0.1)
    assert centre_of(spec, walk(spec).drawn) == pytest.approx((700.0, -250.0), abs=1e-3)


def test_the_centre_of_another_loop_is_that_of_its_area() -> None:
    """By Gauss's sums over the dense polygon of the kidney, traced by other means."""
    case = next(c for c in CASES if c.name == "path, kidney")
    x, y = np.concatenate(polylines(case.spec, 0.0, 2000)).T
    cross = x * np.roll(y, -1) - np.roll(x, -1) * y
    expected = [float(cross @ (v + np.roll(v, -1))) / (3 * float(cross.sum())) for v in (x, y)]
    assert centre_of(case.spec, drawn_line(case)) == pytest.approx(expected, abs=1e-2)


def test_the_centre_of_an_open_line_is_between_its_ends() -> None:
    """A half ring from (0, 0) to (0, 2r) has its ends' middle at (0, r)."""
    spec = path(Turn(math.pi, 800.0))
    assert centre_of(spec, walk(spec).drawn) == pytest.approx((0.0, 800.0), abs=1e-9)
    assert _station(Place(at_angle=0.0), spec) == pytest.approx(800.0 * math.pi / 2)


def test_a_ray_past_the_end_of_an_open_line_meets_nothing() -> None:
    """The half ring is not there at 180°."""
    with pytest.raises(JobFaults, match=r"opening\[1\]\.from = at_angle 180\.0°: the back line must be there at this"):
        _station(Place(at_angle=math.pi), path(Turn(math.pi, 800.0)))


def test_several_meetings_are_listed_with_their_stations() -> None:
    """From between the ends of a wall of three bends a ray to (1500, 600) meets it there, and in two bends.

    That place is on the second straight, 2000 + 300π + 500 along.
    """
    bend, back = Turn(math.pi, 300.0), Turn(-math.pi, 300.0)
    wall = path(Straight(2000.0), bend, Straight(1200.0), back, Straight(600.0), bend, Straight(1400.0))
    assert centre_of(wall, walk(wall).drawn) == pytest.approx((0.0, 900.0))
    station = format_length(2000 + 300 * math.pi + 500, "mm")
    with pytest.raises(JobFaults, match=f" and station {station} .x 1500 mm, y 600 mm. and station "):
        _station(Place(at_angle=math.atan2(-300.0, 1500.0)), wall)


def test_a_point_near_the_line_is_its_nearest_station() -> None:
    """(1400, 0) is nearest to the circle's right end, a quarter round from the lowest point."""
    assert _station(Place(near=(1400.0, 0.0)), CIRCLE) == pytest.approx(1000.0 * math.pi / 2)


@pytest.mark.parametrize(("off", "fits"), [(FARTHEST, True), (FARTHEST + 1, False)])
def test_a_point_far_off_the_line_is_a_slip(off: float, fits: bool) -> None:
    """As far as half a metre it is near; a millimetre more it is not."""
    place = Place(near=(1000.0 + off, 0.0))
    if fits:
        assert _station(place, CIRCLE) == pytest.approx(1000.0 * math.pi / 2)
        return
    with pytest.raises(JobFaults, match="a point is within 500 mm of the back line"):
        _station(place, CIRCLE)


def test_a_point_as_near_to_two_places_is_told_both() -> None:
    """Half way between the sides of a stadium."""
    stadium = OutlineSpec("", "stadium", length=3000.0, width=900.0)
    with pytest.raises(JobFaults, match=r"these are as near: station .* and station "):
        _station(Place(near=(100.0, 0.0)), stadium)


@pytest.mark.parametrize(("past", "fits"), [(0.0, True), (0.1, False)])
def test_a_station_lies_on_the_line(past: float, fits: bool) -> None:
    """As far as the end; a tenth of a millimetre more it is off."""
    wall = path(Straight(2440.0))
    if fits:
        assert _station(Place(station=2440.0 + past), wall) == 2440.0
        return
    with pytest.raises(JobFaults, match="the back line ends at station 2440 mm"):
        _station(Place(station=2440.0 + past), wall)
