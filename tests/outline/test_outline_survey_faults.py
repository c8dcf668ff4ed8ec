"""Marks through which no line can be laid: each fault names its mark, its rule and what to do."""

from __future__ import annotations

import math

import numpy as np
import pytest
from survey_cases import Floats, spec_of

from layout.errors import Fault, JobFaults
from layout.job.model import OutlineSpec
from layout.outline.survey import surveyed


def _ring(count: int) -> Floats:
    turns = np.linspace(0.0, math.tau, count, endpoint=False)
    return 1000 * np.stack([np.cos(turns), np.sin(turns)], axis=1)


def _fault(xy: Floats, *, closed: bool = True, sigma: float = 1.0) -> Fault:
    with pytest.raises(JobFaults, match=r"mark|loop|across") as refused:
        surveyed(spec_of(xy, sigma, closed=closed))
    (fault,) = refused.value.faults
    assert fault.rule
    assert fault.remedy
    return fault


def test_six_marks_make_a_loop_and_five_do_not() -> None:
    """The least that tell an ellipse and one mark more."""
    assert surveyed(spec_of(_ring(6), 1.0)).source.shape == "circle"
    assert _fault(_ring(5)).value == "5 marks"


def test_three_marks_make_an_open_line_and_two_do_not() -> None:
    """The least that tell a straight and one mark more."""
    wall = np.array([[0.0, 0.0], [800.0, 0.0], [1600.0, 0.0]])
    (piece,) = surveyed(spec_of(wall, 1.0, closed=False)).source.pieces
    assert (piece.kind, round(piece.length, 6)) == ("straight", 1600.0)
    assert "at least 3 marks" in _fault(wall[:2], closed=False).rule


def test_a_thousand_marks_are_the_most() -> None:
    """One more is refused before any work is done."""
    assert "at most 1000 marks" in _fault(_ring(1001)).rule


def test_marks_out_of_order_are_named() -> None:
    """Marks 5 and 6 exchanged: the line from 4 to 6 crosses that from 5 to 7, told with the place."""
    xy = _ring(24)
    xy[[4, 9]] = xy[[9, 4]]
    fault = _fault(xy)
    assert fault.key == "outline.points"
    assert "crosses itself" in fault.rule
    assert "x " in fault.rule


def test_two_marks_at_one_place_are_named() -> None:
    """Marks 8 and 9 within one measuring error of each other; a little farther apart they may stand."""
    xy = np.insert(_ring(24), 8, _ring(24)[7] + (0.5, 0.5), axis=0)
    fault = _fault(xy)
    assert fault.key == "outline.points[9]"
    assert "marks 8 and 9" in fault.rule
    xy[8] = xy[7] + 3.0 * (xy[9] - xy[7]) / np.linalg.norm(xy[9] - xy[7])
    assert surveyed(spec_of(xy, 1.0)).source.marks == 25


def test_a_loop_on_one_straight_is_none() -> None:
    """Marks there and back along a straight enclose nothing."""
    along = np.concatenate([np.linspace(0.0, 2000.0, 8), np.linspace(1900.0, 100.0, 8)])
    fault = _fault(np.stack([along, np.where(np.arange(16) < 8, 0.0, 1.0)], axis=1))
    assert "lie on one straight" in fault.rule
    assert "closed = false" in fault.remedy


def test_a_line_smaller_than_any_counter_is_a_slip_of_the_unit() -> None:
    """A ring of 100 mm radius and 200 mm across."""
    assert "Look at the units" in _fault(_ring(24) / 10, sigma=0.1).remedy


def test_no_marks_at_all() -> None:
    """A surveyed outline without a survey is a fault and no traceback."""
    with pytest.raises(JobFaults, match=r"outline\.points: a surveyed outline needs its marks"):
        surveyed(OutlineSpec("", "points"))


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("closed", [True, False])
def test_wild_marks_give_a_line_or_faults(seed: int, closed: bool) -> None:
    """Whatever marks are given, there is a line or there are faults; never a traceback."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 40))
    turns = np.sort(rng.uniform(0, math.tau, count))
    reach = rng.uniform(100, 3000, count)
    wild = np.stack([reach * np.cos(turns), reach * np.sin(turns)], axis=1)
    if seed % 3 == 0:
        wild = np.round(wild, -3)
    spec = spec_of(wild, float(rng.choice([0.1, 1.5, 20.0])), closed=closed)
    try:
        segments = surveyed(spec).segments
    except JobFaults:
        with pytest.raises(JobFaults, match=r"outline\.points.*: .+\. .+\."):
            surveyed(spec)
        return
    assert math.isfinite(sum(segment.length for segment in segments))
