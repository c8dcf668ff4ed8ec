"""The check of surveyed lines: sound ones pass, and each damage to what is claimed is found."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from layout.face.check_line import sampled
from layout.face.check_survey import survey_findings, survey_parts
from layout.face.plan import Lines
from layout.job.marks import survey_of
from layout.job.model import OutlineSpec
from layout.job.model_survey import MarksSpec
from layout.outline.survey_source import SurveySource
from layout.outline.walk import walk

SIGMA = 1.5

Damage = Callable[[SurveySource], SurveySource]


def _marks(shape: str) -> MarksSpec:
    turns = np.linspace(0.0, math.tau, 72, endpoint=False)
    rng = np.random.default_rng(8)
    wave = 100 * np.cos(4 * turns) if shape == "wavy" else 0.0
    xy = np.stack([(2000 + wave) * np.cos(turns), (1300 + wave) * np.sin(turns)], axis=1)
    xy += rng.normal(0, SIGMA, xy.shape)
    xy[20] *= 1.03
    if shape != "tapes":
        return MarksSpec("points", tuple((x, y) for x, y in xy.tolist()), None, "left", SIGMA)
    first, second = np.array([-1500.0, -4000.0]), np.array([1500.0, -4000.0])
    tapes = ((math.dist(p, first), math.dist(p, second)) for p in xy)
    return MarksSpec("tapes", tuple(tapes), ((-1500.0, -4000.0), (1500.0, -4000.0)), "left", SIGMA)


def _claimed(shape: str) -> tuple[OutlineSpec, Lines]:
    asked = _marks(shape)
    spec = OutlineSpec("", "points", survey=survey_of(asked, "outline.points", "mm"), marks=asked)
    walked = walk(spec)
    back = walked.back
    return spec, Lines("face", walked.drawn, back, back, back, walked.datum, survey=walked.survey)


def _source(lines: Lines) -> SurveySource:
    assert lines.survey is not None
    return lines.survey


@pytest.mark.parametrize("shape", ["ellipse", "wavy", "tapes"])
def test_a_sound_survey_agrees_and_has_the_length_of_its_line(shape: str) -> None:
    """The check's own trace of the claimed pieces is as long as the drawn line, to a share of 1e-9."""
    spec, lines = _claimed(shape)
    assert list(survey_findings(spec, lines)) == []
    assert sampled(survey_parts(lines), closed=True).length == pytest.approx(lines.drawn.length, rel=1e-9)


def _moved(source: SurveySource) -> SurveySource:
    first = source.pieces[0]
    return replace(source, pieces=(replace(first, x=first.x + 0.8), *source.pieces[1:]))


def _kept(source: SurveySource) -> SurveySource:
    return replace(source, suspects=tuple(replace(suspect, left_out=False) for suspect in source.suspects))


def _left_out(source: SurveySource) -> SurveySource:
    return replace(source, suspects=(*source.suspects, replace(source.suspects[0], mark="5")))


def _renamed(source: SurveySource) -> SurveySource:
    return replace(source, off=(("x", source.off[0][1]), *source.off[1:]))


@pytest.mark.parametrize(
    ("damage", "finding"),
    [
        (_moved, "off it, not"),
        (_kept, r"off it \(rms\), not"),
        (_left_out, "a mark is left out that is no blunder"),
        (_renamed, "not those measured"),
    ],
)
@pytest.mark.parametrize("shape", ["ellipse", "wavy"])
def test_each_damage_to_what_is_claimed_is_found(shape: str, damage: Damage, finding: str) -> None:
    """A line moved by 0.8 mm, a blunder counted in, an honest mark left out, other marks."""
    spec, lines = _claimed(shape)
    found = "; ".join(survey_findings(spec, replace(lines, survey=damage(_source(lines)))))
    assert re.search(finding, found), found


def test_a_line_that_does_not_hold_together_is_found() -> None:
    """An arc of the wavy line longer by 2 mm misses the next one."""
    spec, lines = _claimed("wavy")
    source = _source(lines)
    pieces = (replace(source.pieces[0], length=source.pieces[0].length + 2), *source.pieces[1:])
    found = "; ".join(survey_findings(spec, replace(lines, survey=replace(source, pieces=pieces))))
    assert "pieces 1 and the next miss by 2 mm" in found


@pytest.mark.parametrize("shape", ["ellipse", "tapes"])
def test_marks_that_stand_elsewhere_than_measured_are_found(shape: str) -> None:
    """A mark put 1 mm off its figures, as a wrong sum for tapes would."""
    spec, lines = _claimed(shape)
    assert spec.survey is not None
    mark = spec.survey.marks[3]
    marks = (*spec.survey.marks[:3], replace(mark, x=mark.x + 1.0), *spec.survey.marks[4:])
    moved = replace(spec, survey=replace(spec.survey, marks=marks))
    assert "mark 4 is" in "; ".join(survey_findings(moved, lines))


@pytest.mark.parametrize("seed", range(40))
def test_marks_about_a_corner_are_as_far_off_as_the_check_finds(seed: int) -> None:
    """A mark at an outside corner may lie past both sides' ends: it is then off the corner, not off a longer side."""
    rng = np.random.default_rng(seed)
    xy = [(x, 0.0) for x in (0.0, 900.0, 1800.0, 2700.0)] + [(2700.0, y) for y in (700.0, 1400.0, 2100.0)]
    noisy = np.array(xy) + rng.normal(0, 0.5, (7, 2))
    asked = MarksSpec("points", tuple((x, y) for x, y in noisy.tolist()), None, "left", SIGMA, corners=("4",))
    survey = survey_of(asked, "outline.points", "mm")
    spec = OutlineSpec("", "points", closed=False, face="right", corner="mitre", survey=survey, marks=asked)
    walked = walk(spec)
    back = walked.back
    lines = Lines("face", walked.drawn, back, back, back, walked.datum, survey=walked.survey)
    assert list(survey_findings(spec, lines)) == []
