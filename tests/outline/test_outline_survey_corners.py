"""Sharp corners of surveyed walls: said by the survey or recognised, through noise, with what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from survey_cases import Floats, marks_on, read, spec_of, with_noise

from layout.errors import Fault, JobFaults
from layout.job.marks import survey_in
from layout.job.model import OutlineSpec
from layout.job.model_survey import MarksSpec
from layout.outline.survey import surveyed
from layout.outline.survey_corners import LEAST_CORNER
from layout.outline.survey_source import SurveyedPiece
from layout.outline.walk import walk
from tests.job.job_texts import faults_of, with_outline

SIGMA = 1.5
"""mm"""


def ell(turn: float = math.pi / 2, first: float = 2000.0, second: float = 1500.0, each: int = 15) -> Floats:
    """Return marks on two straights that meet at an angle, the mark `each` − 1 at the corner."""
    there = np.stack([np.linspace(0.0, first, each), np.zeros(each)], axis=1)
    away = np.linspace(0.0, second, each)[1:, None] * np.array([math.cos(turn), math.sin(turn)])
    return np.concatenate([there, there[-1] + away])


def with_corners(xy: Floats, *corners: int, sigma: float = SIGMA, closed: bool = False) -> OutlineSpec:
    """Return a survey whose marks of these indices stand at corners."""
    spec = spec_of(xy, sigma, closed=closed, face="outside" if closed else "right", corner="mitre")
    assert spec.survey is not None
    marks = tuple(replace(mark, corner=i in corners) for i, mark in enumerate(spec.survey.marks))
    return replace(spec, survey=replace(spec.survey, marks=marks))


def pieces(spec: OutlineSpec) -> tuple[SurveyedPiece, ...]:
    """Return what the marks were found to make."""
    return surveyed(spec).source.pieces


@pytest.mark.parametrize("seed", range(4))
def test_sides_are_as_long_as_noise_allows(seed: int) -> None:
    """Each side is off by its end's σ and by the other straight's error at its end, 2σ/√n: within four of both."""
    first, second = pieces(with_corners(with_noise(ell(), SIGMA, seed), 14))
    error = math.hypot(SIGMA, 2 * SIGMA / math.sqrt(15))
    assert abs(first.length - 2000.0) < 4 * error
    assert abs(second.length - 1500.0) < 4 * error
    assert abs(second.heading - first.heading - math.pi / 2) < 4 * math.sqrt(2 * 12 / 15) * SIGMA / 1500.0


def test_a_blunder_beside_a_corner_is_named_and_left_out() -> None:
    """A mark 20 errors off the second straight; the corner stays where it is."""
    xy = with_noise(ell(), SIGMA, 5)
    xy[20, 0] += 20 * SIGMA
    source = surveyed(with_corners(xy, 14)).source
    (named,) = [suspect for suspect in source.suspects if suspect.left_out]
    assert named.mark == "21"
    assert source.pieces[0].length == pytest.approx(2000.0, abs=4.0)


def test_a_side_of_two_marks_is_the_straight_between_them() -> None:
    """A stub of wall with a mark at each of its corners."""
    xy = np.array([(0, 0), (600, 0), (1200, 0), (1200, 300), (1800, 300), (2400, 300)], dtype=np.float64)
    first, stub, last = pieces(with_corners(xy, 2, 3))
    assert [round(piece.length, 6) for piece in (first, stub, last)] == [1200.0, 300.0, 1200.0]
    assert stub.heading == pytest.approx(math.pi / 2)


def test_marks_run_clockwise_as_well() -> None:
    """A box walked the other way round has the same sides in the other order."""
    box = np.array([(0, 0), (1000, 0), (2000, 0), (2000, 700), (2000, 1400), (1000, 1400), (0, 1400), (0, 700)])
    there = pieces(with_corners(box.astype(float), 0, 2, 4, 6, closed=True))
    back = pieces(with_corners(box[::-1].astype(float), 1, 3, 5, 7, closed=True))
    assert [piece.length for piece in there] == pytest.approx([2000.0, 1400.0] * 2)
    assert sorted(piece.length for piece in back) == pytest.approx([1400.0, 1400.0, 2000.0, 2000.0])


def test_a_corner_taken_first_and_last_is_one() -> None:
    """A loop that starts at a corner and ends on it again, marked the second time."""
    box = np.array([(0, 0), (1000, 0), (2000, 0), (2000, 700), (2000, 1400), (1000, 1400), (0, 1400), (0, 700), (0, 0)])
    source = surveyed(with_corners(box.astype(float), 8, 2, 4, 6, closed=True)).source
    assert source.closing_mark
    assert [piece.length for piece in source.pieces] == pytest.approx([2000.0, 1400.0] * 2)


def test_a_box_without_a_word_is_a_box_and_its_corners_are_told() -> None:
    """Recognised, not smoothed: each corner is a fault that says how to say what becomes of it."""
    box = np.array([(0, 0), (3000, 0), (3000, 1400), (0, 1400), (0, 0)], dtype=np.float64)
    along = np.arange(60) * 8800 / 60 + 40.0
    xy = np.stack([np.interp(along, [0, 3000, 4400, 7400, 8800], box[:, i]) for i in (0, 1)], axis=1)
    with pytest.raises(JobFaults, match=r"corner of 90\.00° to the left") as refused:
        walk(spec_of(xy, 0.5))
    assert len(refused.value.faults) == 4
    assert 'corner = "mitre" or "return"' in refused.value.faults[0].remedy


def test_a_rounded_rectangle_stays_one_where_the_job_has_corners() -> None:
    """Corners of 300 mm radius, well measured: the word corner = "mitre" makes no sharp ones of them."""
    by_key = walk(OutlineSpec("", "rounded-rectangle", length=2400.0, width=1400.0, radius=300.0)).drawn
    xy, _ = marks_on(by_key, 60)
    assert surveyed(replace(spec_of(xy, 0.5), corner="mitre")).source.shape == "rounded-rectangle"


def _fault(spec: OutlineSpec) -> Fault:
    with pytest.raises(JobFaults, match="corner") as refused:
        surveyed(spec)
    (fault,) = refused.value.faults
    return fault


def test_the_ends_of_an_open_line_are_no_corners() -> None:
    """Nothing meets there."""
    assert "mark 29" in _fault(with_corners(ell(), 28)).rule
    assert "mark 1" in _fault(with_corners(ell(), 0)).rule


@pytest.mark.parametrize(("more", "sound"), [(0.1, True), (-0.1, False)])
def test_a_corner_turns_5_degrees(more: float, sound: bool) -> None:
    """A tenth of a degree more is a corner; a tenth less is the bend of a slack tape."""
    spec = with_corners(ell(LEAST_CORNER + math.radians(more)), 14)
    if sound:
        assert len(pieces(spec)) == 2
    else:
        fault = _fault(spec)
        assert fault.key == "outline.points[15]"
        assert "turns 4.9°" in fault.rule


def test_a_curve_beside_a_corner_is_refused() -> None:
    """A quarter circle that runs into the corner: runs meet on straights."""
    turns = np.linspace(0.0, math.pi / 2, 15)
    bend = np.stack([900 * np.sin(turns), 900 - 900 * np.cos(turns)], axis=1)
    away = bend[-1] + np.arange(100.0, 1600.0, 100.0)[:, None] * np.array([1.0, 0.0])
    fault = _fault(with_corners(np.concatenate([bend, away]), 14))
    assert "the marks before it make a curve" in fault.rule


def test_a_table_says_its_corners() -> None:
    """Under `corner` a word, an x or a 1; nothing, no, 0 and a dash are none."""
    told = ("", "x", "no", "NO", "0", "1", "corner", "-")
    rows = "\n".join(f"m{i},{100 * i},0,{word}" for i, word in enumerate(told))
    survey = survey_in(f"mark,x,y,corner\n{rows}\n".encode(), MarksSpec("points"), "hall.csv", "mm")
    assert [mark.name for mark in survey.marks if mark.corner] == ["m1", "m5", "m6"]


WALL = """\
[outline]
shape = "points"
closed = false
corner = "mitre"
points = [[0, 0], [30, 0], [60, 0], [60, 40], [60, 80]]
"""


@pytest.mark.parametrize(
    ("corners", "told"),
    [
        ("[3]", ""),
        ('["3"]', ""),
        ("[9]", "corners are marks of the survey, and this is none"),
        ("3", "this must be a list of marks"),
        ("[]", "this must be a list of marks"),
        ("[true]", "this must be a list of marks"),
    ],
)
def test_corners_are_named_in_the_job(corners: str, told: str) -> None:
    """By number or name; what is no mark is told with its key."""
    faults = faults_of(with_outline(f"{WALL}corners = {corners}\n"))
    assert [fault.key for fault in faults] == (["outline.corners"] if told else [])
    assert not told or told in faults[0].rule


def test_only_a_survey_has_marks_at_corners() -> None:
    """A circle has none."""
    (fault,) = faults_of(with_outline('[outline]\nshape = "circle"\ndiameter = 90\ncorners = [1]\n'))
    assert fault.key == "outline.corners"
    assert fault.rule == "a circle has no corners"


def test_sparse_marks_find_no_corner_in_a_smooth_bend() -> None:
    """A quarter of radius 900 between straights, a mark every 300 mm, stays a bend."""
    turns = np.linspace(0.0, math.pi / 2, 6)
    bend = np.stack([900 * np.sin(turns), 900 - 900 * np.cos(turns)], axis=1)
    before = np.stack([np.arange(-1200.0, 0.0, 300.0), np.zeros(4)], axis=1)
    after = bend[-1] + np.arange(300.0, 1500.0, 300.0)[:, None] * np.array([0.0, 1.0])
    found = read(np.concatenate([before, bend, after]), 1.0, closed=False)
    assert [piece.kind for piece in found.source.pieces] == ["straight", "arc", "straight"]
