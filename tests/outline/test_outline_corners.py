"""Sharp corners: mitres and returns, by hand and as drawn bands of face."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from layout.outline.chain import Chain
from layout.outline.corners import (
    BLUNTEST_RETURN,
    SHARPEST,
    End,
    corner_faults,
    corners_of,
    ends_at,
    mitre_ends,
    return_ends,
)
from layout.outline.curves import Arc, Line
from layout.outline.mitre import ended
from layout.outline.segment import Segment
from layout.outline.tolerances import SMOOTH

RIGHT = math.pi / 2
DEPTH = 20.0


def polygon(*corners: tuple[float, float]) -> tuple[Line, ...]:
    """Return the sides of a polygon; anticlockwise is an outside face."""
    sides = []
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        sides.append(Line(x0, y0, math.atan2(y1 - y0, x1 - x0), math.hypot(x1 - x0, y1 - y0)))
    return tuple(sides)


BOX = polygon((0, 0), (3000, 0), (3000, 2000), (0, 2000))
ELL = polygon((0, 0), (3000, 0), (3000, 1000), (1000, 1000), (1000, 2000), (0, 2000))


def loop(sides: tuple[Line, ...]) -> Chain:
    """Return sides as a closed line with corners."""
    return Chain(sides, closed=True, cornered=True)


def elbow(turn: float, before: float = 1000.0, after: float = 1000.0) -> tuple[Line, Line]:
    """Return two straights that meet in the origin, the first along +x."""
    return Line(-before, 0.0, 0.0, before), Line(0.0, 0.0, turn, after)


# Finding them.


def test_corners_of_an_ell_turn_out_five_times_and_in_once() -> None:
    """An L has five outside corners and an inside one; their turns add up to 2π."""
    corners = corners_of(ELL, closed=True)
    assert [round(math.degrees(corner.turn)) for corner in corners] == [90, 90, -90, 90, 90, 90]
    assert [corner.station for corner in corners] == [3000, 4000, 6000, 7000, 8000, 10000]
    assert math.fsum(corner.turn for corner in corners) == pytest.approx(2 * math.pi, abs=1e-12)
    assert (corners[2].x, corners[2].y) == pytest.approx((1000.0, 1000.0))


@pytest.mark.parametrize(("turn", "found"), [(0.99 * SMOOTH, 0), (1.01 * SMOOTH, 1), (-1.01 * SMOOTH, 1)])
def test_corner_begins_where_a_break_is_no_longer_smooth(turn: float, found: int) -> None:
    """A break of 0.1° is smooth; anything more is a corner."""
    assert len(corners_of(elbow(turn), closed=False)) == found


def test_open_line_has_no_corner_at_its_ends() -> None:
    """The same sides without closing have one corner less."""
    assert len(corners_of(BOX, closed=True)) == 4
    assert len(corners_of(BOX, closed=False)) == 3


# Mitres.


@pytest.mark.parametrize("turn", [0.3, RIGHT, 2.0, -0.3, -RIGHT, -2.0])
def test_mitred_parallels_meet_where_the_corner_is_halved(turn: float) -> None:
    """At offset d both sides change by d·tan(δ/2), and end in one point d/cos(δ/2) from the corner."""
    for d in (12.5, 80.0):
        line = Chain(elbow(turn), closed=False, cornered=True).parallel(d)
        before, after = line.segments
        assert before.length == pytest.approx(1000.0 + d * math.tan(turn / 2), abs=1e-9)
        assert after.length == pytest.approx(1000.0 + d * math.tan(turn / 2), abs=1e-9)
        meeting = before.point(np.array(before.length))
        assert meeting == pytest.approx(after.point(np.array(0.0)), abs=1e-9)
        assert math.hypot(*meeting) == pytest.approx(d / math.cos(turn / 2), abs=1e-9)


def test_right_angle_mitre_by_hand() -> None:
    """At 90° tan(δ/2) is 1: out by d outside, in by d inside."""
    assert [end.change(30.0) for end in mitre_ends(RIGHT)] == pytest.approx([30.0, 30.0])
    assert [end.change(30.0) for end in mitre_ends(-RIGHT)] == pytest.approx([-30.0, -30.0])


def test_parallels_of_a_box_and_an_ell_are_as_drawn_by_hand() -> None:
    """A box grows by 2d a side: 8d in all; an L by 2d for each corner more out than in: 8d too."""
    for sides, whole in ((BOX, 10000.0), (ELL, 10000.0)):
        assert loop(sides).parallel(25.0).length == pytest.approx(whole + 8 * 25.0, abs=1e-9)
    # bottom, right end, step, riser (in at its foot, out at its top), top, left
    lengths = [side.length for side in loop(ELL).parallel(25.0).segments]
    assert lengths == pytest.approx([3050.0, 1050.0, 2000.0, 1000.0, 1050.0, 2050.0], abs=1e-9)


def test_mitre_of_many_small_corners_comes_to_steiner() -> None:
    """A polygon of n sides grows by 2n·d·tan(π/n), which tends to 2πd."""
    n, d = 720, 40.0
    angles = np.arange(n) * math.tau / n
    ring = loop(polygon(*((1000 * math.cos(a), 1000 * math.sin(a)) for a in angles)))
    grown = ring.parallel(d).length - ring.length
    assert grown == pytest.approx(2 * n * d * math.tan(math.pi / n), abs=1e-6)
    assert grown == pytest.approx(2 * math.pi * d, rel=1e-5)


def test_parallel_of_a_mitred_parallel_is_one() -> None:
    """12 and then 8 is as good as 20, and −20 leads back."""
    twice, once = loop(ELL).parallel(12.0).parallel(8.0), loop(ELL).parallel(20.0)
    assert [s.length for s in twice.segments] == pytest.approx([s.length for s in once.segments], abs=1e-9)
    back = once.parallel(-20.0)
    assert [s.length for s in back.segments] == pytest.approx([s.length for s in ELL], abs=1e-9)


def test_stations_are_carried_along_normals_past_corners() -> None:
    """On the L's step, 100 mm past its foot: on the parallel 25 mm out the cut of the mitre is left away."""
    line = loop(ELL)
    out = line.parallel(25.0)
    # bottom + 2d, right end + 2d, step as long (out at its start, in at its end), then 100 − d
    there = 3050.0 + 1050.0 + 2000.0 + 75.0
    assert float(line.carry(6100.0, out)) == pytest.approx(there, abs=1e-9)
    assert float(out.carry(there, line)) == pytest.approx(6100.0, abs=1e-9)
    assert out.point(there) - line.point(6100.0) == pytest.approx([25.0, 0.0], abs=1e-9)


def test_what_a_mitre_adds_stands_at_the_corner() -> None:
    """Past the normal of an outside corner the back line has no station but the corner's own."""
    line = loop(BOX)
    out = line.parallel(25.0)
    assert [float(line.carry(3000.0, out)), float(out.carry(3040.0, line))] == pytest.approx([3075.0, 3000.0])


def test_direction_of_a_loop_with_corners_goes_once_round() -> None:
    """All of a box's turning is in its corners: a lap on, the heading is 2π more."""
    line = loop(BOX)
    assert (line.turning, line.turned) == (0.0, pytest.approx(math.tau))
    assert float(line.heading(line.length + 10.0) - line.heading(10.0)) == pytest.approx(math.tau)


# Returns.


def test_right_angle_return_by_hand() -> None:
    """Outside: past by the full depth, and nothing; inside: nothing, and stopped by the full depth."""
    assert [end.change(7.0) for end in return_ends(RIGHT, DEPTH)] == pytest.approx([DEPTH, 0.0], abs=1e-12)
    assert [end.change(7.0) for end in return_ends(-RIGHT, DEPTH)] == pytest.approx([0.0, -DEPTH], abs=1e-12)


@pytest.mark.parametrize("degrees", [45, 60, 89, 90, 91, 120, 135])
def test_outside_return_covers_its_neighbours_end_without_touching_its_metal(degrees: int) -> None:
    """The band that stops meets the one that runs past in a line at most, and its end stays behind it."""
    turn = math.radians(degrees)
    past, stops = (band(line, end, at) for line, end, at in returned(turn))
    assert past.intersection(stops).area < 1e-6
    reach = LineString([(0.0, 0.0), (DEPTH / math.sin(turn), 0.0)])
    assert past.boundary.buffer(1e-6).contains(reach)
    # D/sin δ along the first's back line is where the second's crest line comes up to it
    crest = Chain((elbow(turn)[1],), closed=False).parallel(DEPTH).point(np.array([0.0, 1000.0]))
    along = (crest[1] - crest[0]) / 1000.0
    foot = np.array(reach.coords[-1]) - crest[0]
    assert along[0] * foot[1] - along[1] * foot[0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("degrees", [-45, -60, -89, -90, -91, -120, -135])
def test_inside_return_stops_short_of_its_neighbours_crests(degrees: int) -> None:
    """Both bands stay on the viewer's side of both back lines, and touch."""
    turn = math.radians(degrees)
    runs, stops = (band(line, end, at) for line, end, at in returned(turn))
    assert runs.intersection(stops).area < 1e-6
    assert runs.distance(stops) == pytest.approx(0.0, abs=1e-9)
    beside = [(0, 0), (-1200, 0), (-1200, 1200), (1200, 1200), (1200, -1200)]
    wall = Polygon([*beside[: 5 if degrees < -45 else 4], (1200 * math.cos(turn), 1200 * math.sin(turn))])
    assert wall.is_valid
    assert runs.intersection(wall).area < 1e-6
    assert stops.intersection(wall).area < 1e-6


def returned(turn: float) -> list[tuple[Line, End, str]]:
    before, after = elbow(turn)
    first, second = ends_at("return", turn, DEPTH)
    return [(before, first, "stop"), (after, second, "start")]


def band(line: Line, end: End, at: str) -> Polygon:
    """Return the face over a straight as a rectangle, its end changed as a corner says."""
    change = end.change(0.0)
    made = Chain((ended(line, 0.0, change) if at == "stop" else ended(line, change, 0.0),), closed=False)
    back, crest = made.point([0.0, made.length]), made.parallel(DEPTH).point([0.0, made.length])
    return Polygon([*back.tolist(), *crest[::-1].tolist()])


# Ends of straights.


def test_end_is_moved_along_its_straight() -> None:
    """The other end stays where it was, and so does the direction."""
    made = ended(Line(0, 0, 0, 500), -120.0, 0.0)
    assert (made.length, made.point(np.array(0.0)).tolist()) == (380.0, [120.0, 0.0])
    made = ended(Line(800, 300, RIGHT, 400), 0.0, 35.0)
    assert made.point(np.array(made.length)) == pytest.approx([800.0, 735.0], abs=1e-9)


@pytest.mark.parametrize(
    ("segment", "change", "words"),
    [
        (Line(0, 0, 0, 20.0), -20.0, "cannot be cut"),
        (Arc(0, 0, 300, 0, 1.0), 5.0, "only a straight"),
    ],
)
def test_end_that_cannot_be_moved_is_refused(segment: Segment, change: float, words: str) -> None:
    """A cut leaves something, and a curve has no way on."""
    with pytest.raises(ValueError, match=words):
        ended(segment, 0.0, change)


# Faults.


def rules(segments: tuple[Segment, ...], kind: str, closed: bool = False) -> list[str]:
    return [fault.rule for fault in corner_faults(segments, closed, kind, DEPTH, "outline", "mm")]


@pytest.mark.parametrize("kind", ["mitre", "return"])
def test_box_and_ell_have_no_faults(kind: str) -> None:
    """Straights meters long carry corners of 20 mm depth."""
    assert rules(BOX, kind, closed=True) == rules(ELL, kind, closed=True) == []


@pytest.mark.parametrize(
    ("kind", "turn", "faults"),
    [
        ("mitre", SHARPEST["mitre"], 0),
        ("mitre", SHARPEST["mitre"] + 0.01, 1),
        ("return", SHARPEST["return"], 0),
        ("return", -SHARPEST["return"] - 0.01, 1),
        ("return", BLUNTEST_RETURN, 0),
        ("return", BLUNTEST_RETURN - 0.01, 1),
    ],
)
def test_corner_too_sharp_or_too_blunt_is_a_fault(kind: str, turn: float, faults: int) -> None:
    """A mitre turns at most 150°, a return 45° to 135° (assumed)."""
    assert len(rules(elbow(turn), kind)) == faults


@pytest.mark.parametrize(("length", "faults"), [(2 * DEPTH + 0.1, 0), (2 * DEPTH - 0.1, 1)])
def test_straight_between_two_inside_corners_bears_both_cuts(length: float, faults: int) -> None:
    """A niche of right angles loses the depth at both its ends."""
    niche = (Line(0, 0, 0, 500), Line(500, 0, -RIGHT, length), Line(500, -length, -math.pi, 500))
    assert len(rules(niche, "mitre")) == faults


def test_curve_that_comes_up_to_a_corner_is_a_fault() -> None:
    """Only straights can be lengthened or cut exactly."""
    found = rules((Arc(0, 0, 500, -RIGHT, RIGHT), Line(500, 0, math.pi, 300)), "mitre")
    assert len(found) == 1
    assert "a curve comes up to the corner at station 785.4 mm" in found[0]
