"""Lengths against published figures, the source beside each."""

from __future__ import annotations

import math

import numpy as np
import pytest
from outline_cases import left, path, shoelace

from layout.job.model import OutlineSpec, Straight
from layout.outline.chain import Chain
from layout.outline.curves import Arc, EllipseArc
from layout.outline.walk import walk


@pytest.mark.parametrize(
    ("a", "b", "perimeter"),
    [
        (2.0, 1.0, 9.688448220547675),  # Wolfram Language reference, ArcLength
        (3.0, 1.0, 13.364893220555258),  # library test tables
        (1.0, 3.0, 13.364893220555258),  # the same, upright
    ],
)
def test_ellipse_perimeters(a: float, b: float, perimeter: float) -> None:
    """Perimeters of whole ellipses agree with published ones to the last digits."""
    assert EllipseArc(0.0, 0.0, a, b).length == pytest.approx(perimeter, rel=4e-15)


@pytest.mark.parametrize(
    ("m", "integral"),
    [  # Abramowitz & Stegun, Table 17.1
        (0.0, 1.5707963267948966),
        (0.1, 1.5307576368977633),
        (0.25, 1.4674622093394272),
        (0.5, 1.3506438810476755),
        (0.9, 1.1047747327040733),
    ],
)
def test_a_quarter_ellipse_is_the_complete_integral(m: float, integral: float) -> None:
    """A quarter of the ellipse 1 × √(1 − m) is E(m) long, whichever axis is longer."""
    short = math.sqrt(1 - m)
    assert EllipseArc(0.0, 0.0, 1.0, short, sweep=math.pi / 2).length == pytest.approx(integral, rel=4e-15)
    assert EllipseArc(0.0, 0.0, short, 1.0, sweep=-math.pi / 2).length == pytest.approx(integral, rel=4e-15)


def test_a_flat_ellipse_is_as_long_as_its_axis() -> None:
    """E(1) = 1 (Abramowitz & Stegun, Table 17.1): a quarter of an ellipse of no width is its semi-axis."""
    assert EllipseArc(0.0, 0.0, 1.0, 1e-6, sweep=math.pi / 2).length == pytest.approx(1, abs=1e-11)


def test_the_earths_meridian_quadrant() -> None:
    """WGS84: a = 6378137 m, 1/f = 298.257223563, quadrant 10 001 965.729 m (NIMA TR8350.2), to 1 mm."""
    a = 6378137.0
    quadrant = EllipseArc(0.0, 0.0, a, a * (1 - 1 / 298.257223563), sweep=math.pi / 2)
    assert quadrant.length == pytest.approx(10001965.729, abs=0.001)


@pytest.mark.parametrize("d", [10.0, 250.0])
def test_steiners_length_and_area(d: float) -> None:
    """Beside a closed convex line: length L + 2πd, area A + Ld + πd² (Steiner 1840, from memory)."""
    back = walk(OutlineSpec("", "ellipse", length=6000.0, width=4000.0)).back
    beside = back.parallel(d)
    area = math.pi * 3000 * 2000 + back.length * d + math.pi * d**2
    assert beside.length == pytest.approx(back.length + 2 * math.pi * d, rel=1e-14)
    # Chords within 0.001 mm of the line lose at most that over its length.
    assert shoelace(beside.sample(tolerance=0.001)[:-1]) == pytest.approx(area, abs=0.001 * beside.length)


def test_the_parallel_of_an_ellipse_is_no_ellipse() -> None:
    """Beside 3 × 2 at 0.3: 17.750395, not the ellipse 3.3 × 2.3 (17.733450); computed both ways."""
    beside = EllipseArc(0.0, 0.0, 3.0, 2.0).parallel(0.3)
    assert beside.length == pytest.approx(17.750395, abs=5e-7)
    assert EllipseArc(0.0, 0.0, 3.3, 2.3).length == pytest.approx(17.733450, abs=5e-7)


@pytest.mark.parametrize("d", [1.0, 60.0])
def test_barbiers_theorem_on_a_reuleaux_triangle(d: float) -> None:
    """Beside the Reuleaux triangle of width w: π(w + 2d), as of any width w (Barbier, from memory)."""
    w, corner = 1800.0, 120.0
    rounded = path(*(left(60, w + corner), left(60, corner)) * 3, closed=True)
    drawn = walk(rounded).drawn
    assert drawn.length == pytest.approx(math.pi * (w + 2 * corner), rel=1e-12)
    assert drawn.parallel(d).length == pytest.approx(math.pi * (w + 2 * corner + 2 * d), rel=1e-12)


@pytest.mark.parametrize(("lane", "lap"), [(1, 400000.0), (2, 407037.0), (3, 414703.0), (4, 422368.0)], ids=str)
def test_lanes_of_a_running_track(lane: int, lap: float) -> None:
    """World Athletics Track and Field Facilities Manual: 84.39 m straights, 36.50 m radius, 1.22 m lanes.

    Lane 1 is measured 0.30 m out, the others 0.20 m; 84.39 is rounded, so within 1.5 mm.
    """
    straight, radius = 84390.0, 36500.0
    track = walk(OutlineSpec("", "stadium", length=straight + 2 * radius, width=2 * radius)).back
    out = 300.0 if lane == 1 else (lane - 1) * 1220.0 + 200.0
    assert track.parallel(out).length == pytest.approx(lap, abs=1.5)


@pytest.mark.parametrize(("chord", "rise", "radius"), [(96.0, 12.0, 102.0), (6.0, 2.0, 3.25), (20.0, 5.0, 12.5)])
def test_chords_and_rises(chord: float, rise: float, radius: float) -> None:
    """Carpenters' tables: an arc of this radius over this chord rises so much in its middle."""
    arc = Chain((Arc(0.0, 0.0, radius, 0.0, 2 * math.asin(chord / (2 * radius))),), closed=False)
    start, middle, end = arc.point([0.0, arc.length / 2, arc.length])
    assert math.dist(start, end) == pytest.approx(chord)
    assert math.dist(middle, (start + end) / 2) == pytest.approx(rise)


def test_a_pythagorean_walk_closes() -> None:
    """3-4-5: three units on, a quarter turn on a point, four on: five from the start."""
    tiny = 1e-6
    line = walk(path(Straight(3.0), left(90, tiny), Straight(4.0), closed=False)).back
    assert np.linalg.norm(line.point(line.length) - line.point(0.0)) == pytest.approx(5, abs=2 * tiny)
