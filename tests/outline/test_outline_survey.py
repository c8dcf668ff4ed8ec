"""Surveys: known lines are found again from marks on them, with noise, with blunders, and as what they are."""

from __future__ import annotations

import math

import numpy as np
import pytest
from outline_cases import CASES, Case, path
from scipy.integrate import quad
from survey_cases import drawn_line, length_of, marks_on, perimeter_error, read, spec_of, with_noise

from layout.job.model import OutlineSpec, Straight, Turn
from layout.outline.chain import Chain
from layout.outline.shapes import drawn_segments
from layout.outline.survey import SUSPECT, surveyed
from layout.outline.survey_whole import BLUNDER, within_error
from layout.outline.walk import walk

SIGMA = 1.5
"""mm"""

SPACING = 100.0
"""mm between marks"""

FEASIBLE = [case for case in CASES if "thin" not in case.name]
"""No one measures a counter 100 mm wide every 100 mm."""

NAMED = {
    "circle": "circle",
    "ellipse 3:2": "ellipse",
    "ellipse upright": "ellipse",
    "ellipse with equal axes": "circle",
    "stadium": "stadium",
    "stadium upright": "stadium",
    "stadium as wide as long": "circle",
    "rounded rectangle": "rounded-rectangle",
    "rounded rectangle, full ends": "stadium",
    "path drawn clockwise": "rounded-rectangle",
}
"""What each closed case is, by its simplest name."""


def _count(case: Case) -> int:
    return max(20, int(case.length / SPACING))


@pytest.mark.parametrize("case", FEASIBLE, ids=lambda case: case.name)
def test_marks_without_noise_give_the_length_of_the_line_they_are_on(case: Case) -> None:
    """The outline by key and by survey has the same length to 1e-6 of it, the measuring error stated as 0.1 mm."""
    xy, _ = marks_on(drawn_line(case), _count(case))
    found = read(xy, 0.1, closed=case.spec.closed)
    assert length_of(found) == pytest.approx(case.length, rel=1e-6)
    assert found.source.rms < 1e-6
    assert not found.source.suspects
    assert found.source.explained


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("case", [c for c in FEASIBLE if c.name in NAMED], ids=lambda case: case.name)
def test_named_shapes_are_recognised_through_noise(case: Case, seed: int) -> None:
    """Marks with noise give the shape its simplest name, and a length within four standard deviations."""
    line = drawn_line(case)
    xy, _ = marks_on(line, _count(case))
    found = read(with_noise(xy, SIGMA, seed), SIGMA)
    assert found.source.shape == NAMED[case.name]
    assert abs(length_of(found) - case.length) < 4 * perimeter_error(line, _count(case), SIGMA)


@pytest.mark.parametrize("case", FEASIBLE, ids=lambda case: case.name)
def test_rms_is_the_measuring_error(case: Case) -> None:
    """What is left over is the error across the line: between half of it and a quarter more."""
    xy, _ = marks_on(drawn_line(case), _count(case))
    found = read(with_noise(xy, SIGMA, 7), SIGMA, closed=case.spec.closed)
    assert SIGMA / 2 < found.source.rms < 1.25 * SIGMA
    assert found.source.explained


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("case", FEASIBLE, ids=lambda case: case.name)
def test_a_blunder_of_20_sigma_is_named_and_left_out(case: Case, side: float) -> None:
    """One mark moved 20 measuring errors across the line is the one left out, and the length does not mind."""
    line = drawn_line(case)
    xy, stations = marks_on(line, _count(case))
    xy = with_noise(xy, SIGMA, 11)
    planted = _count(case) // 3
    heading = float(line.heading(stations[planted]))
    xy[planted] += side * 20 * SIGMA * np.array([math.sin(heading), -math.cos(heading)])
    found = read(xy, SIGMA, closed=case.spec.closed)
    (named,) = [suspect for suspect in found.source.suspects if suspect.left_out]
    assert named.mark == str(planted + 1)
    assert abs(named.errors - 20) < 5
    assert math.copysign(1.0, named.off) == side
    # Free curves and ends have more figures than the formula's line, so six of its deviations are allowed.
    assert abs(length_of(found) - case.length) < 6 * perimeter_error(line, _count(case), SIGMA)


def test_a_wavy_wall_is_a_fair_curve_of_the_right_length() -> None:
    """The line r = 2000 + 120·cos 5t is no chain of arcs; its length is ∫√(r² + r'²) dt, within four deviations."""

    def radius(t: float) -> float:
        return 2000 + 120 * math.cos(5 * t)

    length, _ = quad(lambda t: math.hypot(radius(t), 600 * math.sin(5 * t)), 0.0, math.tau, limit=400)
    count = 120
    turns = np.arange(count) * math.tau / count
    reach = 2000 + 120 * np.cos(5 * turns)
    exact = np.stack([reach * np.cos(turns), reach * np.sin(turns)], axis=1)
    found = read(with_noise(exact, SIGMA, 2), SIGMA)
    line = Chain(found.segments, closed=True)
    assert found.source.shape == "fair curve"
    assert abs(line.length - length) < 4 * perimeter_error(line, count, SIGMA)
    assert line.parallel(25.0).length == pytest.approx(line.length + math.tau * 25.0, rel=1e-12)


def test_straights_and_arcs_of_an_open_wall_are_found_with_their_sizes() -> None:
    """A straight of 1500, a quarter of radius 900 and a straight of 1200 come out as these three."""
    wall = path(Straight(1500.0), Turn(math.pi / 2, 900.0), Straight(1200.0))
    line = Chain(drawn_segments(wall), closed=False)
    xy, _ = marks_on(line, 60)
    found = read(with_noise(xy, SIGMA, 5), SIGMA, closed=False)
    kinds = [piece.kind for piece in found.source.pieces]
    assert kinds == ["straight", "arc", "straight"]
    assert 1 / found.source.pieces[1].bend == pytest.approx(900.0, abs=10.0)
    assert abs(line.length - length_of(found)) < 4 * perimeter_error(line, 60, SIGMA)


def test_a_corner_of_the_wall_stays_a_corner() -> None:
    """Two straights at a right angle are two straights, and the corner is a fault that tells its degrees."""
    along = np.stack([np.linspace(0.0, 2000.0, 21), np.zeros(21)], axis=1)
    up = np.stack([np.full(20, 2040.0), np.linspace(140.0, 2040.0, 20)], axis=1)
    xy = np.concatenate([along, up])
    found = read(xy, 0.5, closed=False)
    assert [piece.kind for piece in found.source.pieces] == ["straight", "straight"]
    turn = found.source.pieces[1].heading - found.source.pieces[0].heading
    assert turn == pytest.approx(math.pi / 2, abs=1e-6)


@pytest.mark.parametrize("case", [c for c in FEASIBLE if c.spec.closed], ids=lambda case: case.name)
def test_marks_taken_the_other_way_round_give_the_same_line(case: Case) -> None:
    """Clockwise marks make the same loop walked clockwise."""
    xy, _ = marks_on(drawn_line(case), _count(case))
    there, back = read(xy, 0.1), read(xy[::-1], 0.1)
    assert length_of(back) == pytest.approx(length_of(there), rel=1e-6)
    turned = [math.fsum(segment.turning for segment in found.segments) for found in (there, back)]
    assert turned[0] == pytest.approx(-turned[1])


def test_turned_and_shifted_marks_give_the_same_shape_there() -> None:
    """A stadium turned by 1 radian and moved is found with its axis and its middle."""
    case = next(c for c in CASES if c.name == "stadium")
    xy, _ = marks_on(drawn_line(case), 80)
    c, s = math.cos(1.0), math.sin(1.0)
    found = read(xy @ np.array([[c, s], [-s, c]]) + (12000.0, -3400.0), 0.1)
    assert found.source.shape == "stadium"
    assert math.remainder(found.source.pieces[0].heading - 1.0, math.pi) == pytest.approx(0.0, abs=1e-9)
    assert length_of(found) == pytest.approx(case.length, rel=1e-9)


def test_a_survey_is_walked_as_the_outline_it_was_taken_off() -> None:
    """By key and by survey an ellipse gives the same back line, datum and stations."""
    by_key = OutlineSpec("", "ellipse", length=5000.0, width=3000.0, inset=120.0)
    line = Chain(drawn_segments(by_key), closed=True)
    xy, _ = marks_on(line, 90)
    one, other = walk(by_key), walk(spec_of(xy, 0.1, inset=120.0))
    assert other.back.length == pytest.approx(one.back.length, rel=1e-6)
    np.testing.assert_allclose(other.datum, one.datum, atol=1e-3)
    stations = np.linspace(0.0, one.back.length, 12)[:-1]
    np.testing.assert_allclose(other.back.point(stations), one.back.point(stations), atol=1e-2)
    assert other.survey is not None
    assert other.survey.shape == "ellipse"


def test_the_last_mark_may_be_the_first_taken_again() -> None:
    """A loop whose first mark is given again at the end is the loop without it, and that is said."""
    turns = np.linspace(0.0, math.tau, 31)
    xy = 1000 * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    found = read(xy, 0.5)
    assert found.source.closing_mark
    assert found.source.marks == 31
    assert len(found.source.off) == 30
    assert not read(xy[:-1], 0.5).source.closing_mark


@pytest.mark.parametrize(("errors", "suspect", "out"), [(2.0, False, False), (5.0, True, False), (9.0, True, True)])
def test_a_mark_is_suspect_from_4_and_left_out_from_6_errors(errors: float, suspect: bool, out: bool) -> None:
    """Between the two it is named and kept: honest measuring hardly does it, a blunder is not clear."""
    turns = np.linspace(0.0, math.tau, 200, endpoint=False)
    reach = np.full(200, 1500.0)
    reach[50] += errors * SIGMA
    found = read(np.stack([reach * np.cos(turns), reach * np.sin(turns)], axis=1), SIGMA)
    assert SUSPECT == 4.0
    assert BLUNDER == 6.0
    assert [(s.mark, s.left_out) for s in found.source.suspects] == ([("51", out)] if suspect else [])


def test_the_end_marks_of_an_open_line_are_never_left_out() -> None:
    """A last mark 20 errors off the wall still says where the wall ends: the line is not a gap shorter."""
    xy = np.stack([np.linspace(0.0, 3000.0, 31), np.zeros(31)], axis=1)
    xy[-1, 1] = 20 * SIGMA
    found = read(xy, SIGMA, closed=False)
    assert not any(suspect.left_out for suspect in found.source.suspects)
    assert length_of(found) == pytest.approx(3000.0, abs=20 * SIGMA)


def test_less_certain_marks_weigh_less() -> None:
    """Half of a circle's marks 20 mm out, with a stated error of 40 mm, hardly move the line: by the weights."""
    turns = np.linspace(0.0, math.tau, 60, endpoint=False)
    reach = np.where(np.arange(60) % 2 == 0, 1000.0, 1020.0)
    spec = spec_of(np.stack([reach * np.cos(turns), reach * np.sin(turns)], axis=1), 1.0)
    assert spec.survey is not None
    marks = tuple(
        type(mark)(mark.name, mark.x, mark.y, 1.0 if i % 2 == 0 else 40.0) for i, mark in enumerate(spec.survey.marks)
    )
    found = surveyed(OutlineSpec("", "points", survey=type(spec.survey)(marks, 1.0)))
    weight = 1 / 40**2
    expected = (1000.0 + 1020.0 * weight) / (1 + weight)
    assert length_of(found) == pytest.approx(math.tau * expected, rel=1e-6)


@pytest.mark.parametrize(("squares", "fits"), [(50 + 40.0, True), (50 + 40.1, False)])
def test_what_is_left_over_is_judged_by_chi_square(squares: float, fits: bool) -> None:
    """With 50 to spare, 50 + 4·√(2·50) = 90 is the most that honest errors leave."""
    assert within_error(squares, 53, 3.0) is fits


def test_the_same_marks_give_the_same_line() -> None:
    """Nothing is drawn by lot."""
    case = next(c for c in CASES if c.name == "path, kidney")
    xy, _ = marks_on(drawn_line(case), _count(case))
    noisy = with_noise(xy, SIGMA, 3)
    assert read(noisy, SIGMA).segments == read(noisy, SIGMA).segments
