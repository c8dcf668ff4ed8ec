"""Few marks on open walls: what they make, how well its length is known, and what is said where they are too few."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from outline_cases import path
from survey_cases import Floats, length_of, marks_on, read, spec_of, with_noise

from layout.cli import main
from layout.face.planning import make_plan
from layout.job.model import Straight, Turn
from layout.outline.chain import Chain
from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.shapes import drawn_segments
from layout.outline.survey_marks import Marks
from layout.outline.survey_trust import UNSEEN, length_error
from layout.paper.survey_words import survey_words
from tests.jobs import job

SIGMA = 1.5
"""mm"""

QUARTER = math.pi / 2

OVAL = EllipseArc(0.0, 0.0, 2500.0, 1500.0, rotation=0.0)

WALLS = {
    "straight": path(Straight(2000.0)),
    "quarter": path(Turn(QUARTER, 1200.0)),
    "straight, bend, straight": path(Straight(1500.0), Turn(QUARTER, 900.0), Straight(1200.0)),
    "S": path(Turn(QUARTER, 1200.0), Turn(-QUARTER, 1200.0)),
}
KINDS = {
    "straight": ["straight"],
    "quarter": ["arc"],
    "straight, bend, straight": ["straight", "arc", "straight"],
    "S": ["arc", "arc"],
}


def wall(name: str) -> Chain:
    """Return a wall by its name."""
    if name == "quarter ellipse":
        return Chain((OVAL.cut(0.0, OVAL.length / 4),), closed=False)
    return Chain(drawn_segments(WALLS[name]), closed=False)


@pytest.mark.parametrize("count", [6, 8, 12])
@pytest.mark.parametrize("name", [*WALLS, "quarter ellipse"])
def test_the_length_is_as_right_as_is_told(name: str, count: int) -> None:
    """Within four of the standard deviations that are told, and never called unexplained: six surveys with noise."""
    line = wall(name)
    xy, _ = marks_on(line, count)
    for seed in range(6):
        found = read(with_noise(xy, SIGMA, seed), SIGMA, closed=False)
        assert abs(length_of(found) - line.length) < 4 * found.source.length_error
        assert found.source.explained
        assert not found.source.suspects


@pytest.mark.parametrize("count", [6, 8, 12])
@pytest.mark.parametrize("name", WALLS)
def test_few_marks_make_the_simplest_wall(name: str, count: int) -> None:
    """Pieces of the wall and no more: noise alone bends no straight, and a bend is no pair of corners."""
    xy, _ = marks_on(wall(name), count)
    for seed in range(6):
        found = read(with_noise(xy, SIGMA, seed), SIGMA, closed=False)
        assert [piece.kind for piece in found.source.pieces] == KINDS[name]


def test_the_error_told_is_that_of_many_surveys() -> None:
    """Forty surveys of one wall scatter by the told deviation, to a third of it (forty tell it to a ninth)."""
    line = wall("straight, bend, straight")
    xy, _ = marks_on(line, 12)
    found = [read(with_noise(xy, SIGMA, 100 + seed), SIGMA, closed=False) for seed in range(40)]
    scatter = float(np.std([length_of(each) for each in found]))
    assert scatter == pytest.approx(found[0].source.length_error, rel=1 / 3)


def _marks(count: int, *, closed: bool) -> Marks:
    return Marks(np.zeros((count, 2)), np.full(count, SIGMA), closed)


def test_the_error_of_a_circles_girth_by_hand() -> None:
    """Its radius is σ/√n off, so its girth 2π·σ/√n, whatever its size."""
    for radius in (500.0, 3000.0):
        circle = Arc(0.0, 0.0, radius, 0.0, math.tau)
        assert length_error([circle], _marks(25, closed=True)) == pytest.approx(math.tau * SIGMA / 5)


def test_the_error_at_a_corner_by_hand() -> None:
    """An open L at 90°, 8 marks on each side: σ along at both ends, 2σ/√8·tan 45° across at the corner, twice."""
    sides = [Line(0.0, 0.0, 0.0, 1000.0), Line(1000.0, 0.0, QUARTER, 1000.0)]
    assert length_error(sides, _marks(16, closed=False)) == pytest.approx(SIGMA * math.sqrt(2 + 2 * 4 / 8))


def _bend(step: float) -> Floats:
    """Return marks on a circle of radius 1000, a step apart, seven of them."""
    turns = step * np.arange(7)
    return 1000 * np.stack([np.sin(turns), 1 - np.cos(turns)], axis=1)


@pytest.mark.parametrize(("degrees", "told"), [(-0.1, False), (0.1, True)])
def test_a_bend_between_two_marks_is_told_from_30_degrees(degrees: float, told: bool) -> None:
    """A tenth of a degree less goes without a word; a tenth more names both marks."""
    step = UNSEEN + math.radians(degrees)
    found = read(_bend(step), 0.1, closed=False)
    words = "\n".join(survey_words(found.source, "mm"))
    assert ("it turns 30.1° unseen: take marks between them" in words) is told
    assert (found.source.unseen is not None) is told


def test_walls_that_few_marks_cannot_tell_are_told_so() -> None:
    """An S between straights, eight marks: whatever is made of them, it says where it bends unseen."""
    line = Chain(
        drawn_segments(path(Straight(800.0), Turn(QUARTER, 700.0), Turn(-QUARTER, 700.0), Straight(800.0))), False
    )
    xy, _ = marks_on(line, 8)
    for seed in range(4):
        found = read(with_noise(xy, SIGMA, seed), SIGMA, closed=False)
        assert found.source.unseen is not None


def test_a_blunder_among_eight_marks_of_a_straight_is_named() -> None:
    """Seven agree on a straight."""
    xy, _ = marks_on(wall("straight"), 8)
    xy = with_noise(xy, SIGMA, 2)
    xy[3, 1] += 20 * SIGMA
    found = read(xy, SIGMA, closed=False)
    assert [(suspect.mark, suspect.left_out) for suspect in found.source.suspects] == [("4", True)]


def test_no_mark_is_left_out_where_too_few_would_be_left() -> None:
    """Five marks, one of them off a straight: the four others agree on too little to say so."""
    xy = np.stack([np.linspace(0.0, 2000.0, 5), np.array([0.0, 0.0, 30.0, 0.0, 0.0])], axis=1)
    assert not any(suspect.left_out for suspect in read(xy, SIGMA, closed=False).source.suspects)


def test_a_fair_curve_is_told_in_a_few_words() -> None:
    """By its length and its tightest bend, not by two dozen arcs."""
    line = wall("quarter ellipse")
    xy, _ = marks_on(line, 8)
    found = read(with_noise(xy, SIGMA, 1), SIGMA, closed=False)
    assert found.source.shape == "fair curve"
    first = survey_words(found.source, "mm")[0]
    assert first.startswith("8 marks (x and y) make a fair curve of ")
    assert "its tightest radius" in first
    assert "arc of" not in first


def test_a_corner_is_told_between_its_straights() -> None:
    """In the order of the marks."""
    along, down = np.arange(0.0, 1001.0, 200.0), np.arange(-200.0, -801.0, -200.0)
    xy = np.concatenate([np.stack([along, 0 * along], axis=1), np.stack([0 * down + 1000, down], axis=1)])
    words = survey_words(read(xy, SIGMA, closed=False).source, "mm")
    assert "straight of 1000 mm, corner of 90.0° to the right, straight of 800 mm" in words[0]


def test_a_plan_warns_of_marks_that_were_left_out() -> None:
    """The caution names the mark, how far it is off, and what to do."""
    xy, _ = marks_on(wall("straight, bend, straight"), 24)
    xy[5, 1] += 40.0
    made = job(spec_of(xy, SIGMA, closed=False, face="right"), units="mm")
    plan = make_plan(replace(made, scallop=replace(made.scallop, most_take_up=0.1)))
    assert "survey of face: mark 6 is 40 mm off the line, and was left out: measure it again" in plan.cautions


SURVEY = """
title = "Hall bar"
units = "mm"
[outline]
shape = "points"
closed = false
points = [[0, 0], [400, 0], [800, 0], [1200, 60], [1600, 0], [2000, 0], [2400, 0], [2800, 0]]
[scallop]
form = "arc"
pitch = 70
depth = 16
[metal]
kind = "steel"
gauge = 24
[face]
height = 1000
[[sheet]]
length = 3000
width = 1250
"""


def test_the_picture_shows_marks_and_rings_suspects(tmp_path: Path) -> None:
    """All eight marks, and mark 4 with how far it is off."""
    file, picture = tmp_path / "bar.toml", tmp_path / "seen.svg"
    file.write_text(SURVEY, encoding="utf-8")
    assert main(["check", str(file), "--picture", str(picture)]) == 0
    drawn = picture.read_text(encoding="utf-8")
    assert drawn.count('class="mark"') >= 8
    assert "mark 4, 60 mm off: left out" in drawn
    assert "8 marks (x and y) make straights and arcs" in drawn
