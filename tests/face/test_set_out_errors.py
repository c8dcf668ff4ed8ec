"""Errors of marks: against simulation, published sums and formulas."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from set_out_cases import circle, marked

from layout.face.set_out_chords import chord_between
from layout.face.set_out_errors import (
    along_sigma,
    chained_sigmas,
    chord_check_sigma,
    crossing_angle,
    running_sigma,
    tie_check_sigma,
    tie_covariance,
    tie_point,
    tolerance_of,
)
from layout.job.model import OutlineSpec

RUNS = 20_000
SHARE = 0.02
"""within which propagation and simulation must agree; 20 000 runs know a deviation to 1/√40 000 = 0.5 %"""
SIGMA = 1.5


@pytest.fixture
def chance():
    """Return the same chance for every test."""
    return np.random.default_rng(20260415)


@pytest.mark.parametrize(
    ("distances", "base", "mark"),
    [((4.0, 5.0), 3.0, (0.0, 4.0)), ((12.0, 13.0), 5.0, (0.0, 12.0)), ((5.0, 13.0), 12.0, (0.0, 5.0))],
)
def test_two_tapes_meet_at_a_right_angle_exactly(distances, base, mark):
    """3-4-5 and 5-12-13 (mathematics): x = (d1² − d2² + B²)/(2B) is 0 to the last bit, on both sides."""
    assert tie_point((0.0, 0.0), (base, 0.0), distances) == mark
    assert tie_point((0.0, 0.0), (base, 0.0), distances, left=False) == (mark[0], -mark[1])


def test_two_tapes_meet_wherever_the_base_lies():
    """The mark turns and moves with its control points."""
    turn = math.radians(37.0)
    moved = [
        (100 + r * math.cos(turn + a), -50 + r * math.sin(turn + a)) for r, a in ((0, 0), (3, 0), (4, math.pi / 2))
    ]
    assert tie_point(moved[0], moved[1], (4.0, 5.0)) == pytest.approx(moved[2], abs=1e-12)


def test_tapes_that_touch_meet_and_shorter_ones_do_not():
    """Along the base is the last crossing; a hair shorter there is none."""
    assert tie_point((0.0, 0.0), (7.0, 0.0), (3.0, 4.0)) == (3.0, 0.0)
    with pytest.raises(ValueError, match="do not meet"):
        tie_point((0.0, 0.0), (7.0, 0.0), (3.0, 3.999))
    with pytest.raises(ValueError, match="one place"):
        tie_point((1.0, 1.0), (1.0, 1.0), (3.0, 4.0))


@pytest.mark.parametrize("degrees", [30.0, 60.0, 90.0, 120.0, 150.0])
def test_axes_of_a_two_tape_mark_follow_the_crossing(degrees):
    """The error ellipse has the semi-axes σ/√(1 − |cos γ|) and σ/√(1 + |cos γ|)."""
    turn = math.radians(degrees)
    first, second = (5000.0, 0.0), (8000.0 * math.cos(turn), 8000.0 * math.sin(turn))
    assert crossing_angle((0.0, 0.0), first, second) == pytest.approx(turn)
    found = np.sqrt(np.linalg.eigvalsh(tie_covariance((0.0, 0.0), first, second, SIGMA)))
    flat = abs(math.cos(turn))
    assert found == pytest.approx([SIGMA / math.sqrt(1 + flat), SIGMA / math.sqrt(1 - flat)])


def test_two_tapes_on_one_line_fix_nothing():
    """From both sides of a mark along one line there is no covariance."""
    with pytest.raises(ValueError, match="along one line"):
        tie_covariance((0.0, 0.0), (-3.0, 0.0), (4.0, 0.0), SIGMA)


@pytest.mark.parametrize("degrees", [30.0, 55.0, 90.0, 150.0])
def test_two_tape_marks_scatter_as_propagated(degrees, chance):
    """20 000 marks set by two tapes each scatter within 2 % of the propagated deviation, every way."""
    turn = math.radians(degrees)
    first, second = (5000.0, 0.0), (8000.0 * math.cos(turn), 8000.0 * math.sin(turn))
    errors = chance.normal((5000.0, 8000.0), SIGMA, (RUNS, 2))
    left = first[0] * second[1] - first[1] * second[0] > 0
    marks = np.array([tie_point(first, second, (a, b), left=left) for a, b in errors.tolist()])
    spread = tie_covariance((0.0, 0.0), first, second, SIGMA)
    for heading in np.radians([0.0, 45.0, 90.0, 135.0]):
        along = marks @ (math.cos(heading), math.sin(heading))
        assert float(along.std()) == pytest.approx(along_sigma(spread, heading), rel=SHARE)


@pytest.mark.parametrize(("station", "lays"), [(1.0, 1), (30000.0, 1), (30000.1, 2), (100000.0, 4)])
def test_running_marks_scatter_as_propagated(station, lays, chance):
    """A tape laid once errs once; laid k times, √k as much (NIST TN 1297 §5.1), and 20 000 tapes agree."""
    assert running_sigma(station, 30000.0, SIGMA) == pytest.approx(SIGMA * math.sqrt(lays))
    parts = np.full(lays, 30000.0)
    parts[-1] = station - 30000.0 * (lays - 1)
    marks = (parts + chance.normal(0.0, SIGMA, (RUNS, lays))).sum(axis=1)
    assert float(marks.std()) == pytest.approx(running_sigma(station, 30000.0, SIGMA), rel=SHARE)


@pytest.mark.parametrize("shape", ["hollow ring", "ellipse"])
def test_chained_marks_scatter_as_propagated(shape, chance):
    """20 000 chains of chords, each mark sought on the wall from the last, scatter within 2 % of the sum."""
    spec = {
        "hollow ring": circle(6000.0, face="inside"),
        "ellipse": OutlineSpec("", "ellipse", length=6000.0, width=3500.0),
    }[shape]
    back = marked([spec], 1).lines[0].back
    stations = np.arange(0.0, 6.5) * 1300.0
    chords = [chord_between(back, a, b) for a, b in pairwise(stations)]
    at = np.zeros(RUNS)
    for k, chord in enumerate(chords):
        goal = chord.length + chance.normal(0.0, SIGMA, RUNS)
        before, at = back.point(at), np.full(RUNS, stations[k + 1])
        for _ in range(4):  # Newton: the chord grows by the cosine between it and the wall
            away = back.point(at) - before
            length, heading = np.linalg.norm(away, axis=1), back.heading(at)
            gain = (away[:, 0] * np.cos(heading) + away[:, 1] * np.sin(heading)) / length
            at = at - (length - goal) / gain
        expected = chained_sigmas([c.leaving for c in chords], [c.meeting for c in chords], SIGMA)[k]
        assert float(at.std()) == pytest.approx(expected, rel=SHARE)


def test_chaining_on_a_straight_adds_up_as_root_n():
    """Ten lengths of 0.1 make √10·0.1 = 0.316, not 1 (NIST TN 1297 §5.1)."""
    found = chained_sigmas([0.0] * 10, [0.0] * 10, 0.1)
    assert found == pytest.approx([0.1 * math.sqrt(k) for k in range(1, 11)])
    assert found[-1] == pytest.approx(0.316, abs=5e-4)


def test_ties_check_as_propagated(chance):
    """A tie read to a mark that is off along the wall: reading and share of the mark's error."""
    heading, direction, own = 0.3, 1.2, 2.0
    off = chance.normal(0.0, own, RUNS)
    control = -9000.0 * np.array([math.cos(direction), math.sin(direction)])
    marks = off[:, None] * np.array([math.cos(heading), math.sin(heading)])
    read = np.linalg.norm(marks - control, axis=1) + chance.normal(0.0, SIGMA, RUNS)
    assert float(read.std()) == pytest.approx(tie_check_sigma(heading, direction, own, SIGMA), rel=SHARE)


def test_chords_check_as_propagated(chance):
    """A chord read between two marks set each by itself: the reading and the shares of both."""
    angle, radius = 0.4, 3000.0
    start, end = (chance.normal(0.0, own, RUNS) / radius for own in (1.0, 2.0))
    chord = 2 * radius * np.sin(angle + (end - start) / 2) + chance.normal(0.0, SIGMA, RUNS)
    assert float(chord.std()) == pytest.approx(chord_check_sigma((angle, angle), (1.0, 2.0), SIGMA), rel=SHARE)


def test_tolerance_is_twice_the_spread_in_whole_steps():
    """2σ on a step stays there, a hair above takes the next one; never under one step."""
    assert tolerance_of(1.5875, 1.5875) == 2 * 1.5875
    assert tolerance_of(1.5876, 1.5875) == 3 * 1.5875
    assert tolerance_of(0.01, 1.0) == 1.0


def test_two_marks_past_the_tolerance_on_one_side_are_one_in_a_thousand(chance):
    """The stop rule stops an honest job seldom: 2·0.02275² = 0.104 % of neighbours (normal distribution)."""
    errors = chance.normal(0.0, 1.0, (400_000, 2))
    both = ((errors > 2.0).all(axis=1) | (errors < -2.0).all(axis=1)).mean()
    assert float(both) == pytest.approx(2 * 0.02275**2, rel=0.15)
