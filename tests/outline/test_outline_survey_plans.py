"""The same outline by key and by survey gives the same plan, sharp corners included."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from survey_cases import Floats, marks_on, spec_of
from test_outline_drawing_plans import BY_KEY

from layout.face.planning import make_plan
from layout.job.model import OutlineSpec, SeamsSpec, Straight, Turn
from layout.outline.chain import Chain
from layout.outline.corners import corners_of
from layout.outline.shapes import drawn_segments
from layout.paper.plan_json import plan_object
from tests.jobs import job

SIGMA = 0.1
"""mm, stated; the marks themselves are exact"""

RIGHT = math.pi / 2


def alike(one: Any, other: Any) -> bool:
    """Compare two values of plan.json: words and counts alike, numbers to a ten-thousandth of a millimetre."""
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-7, abs_tol=1e-4)
    return bool(one == other)


def planned(spec: OutlineSpec) -> dict[str, Any]:
    """Return what plan.json tells of a job of this outline, but where the outline came from."""
    made = job(spec, seams=SeamsSpec(goals=("panels",)))
    made = replace(made, scallop=replace(made.scallop, most_take_up=0.12))
    told: dict[str, Any] = plan_object(make_plan(made))
    told["outline"].pop("source", None)
    return told


def surveyed_as(spec: OutlineSpec, xy: Floats, corners: tuple[int, ...] = ()) -> OutlineSpec:
    """Return a survey of an outline, faced and inset as that is; some marks said to stand at corners."""
    found = spec_of(xy, SIGMA, closed=spec.closed, face=spec.face, inset=spec.inset, corner=spec.corner)
    assert found.survey is not None
    marks = tuple(replace(mark, corner=i in corners) for i, mark in enumerate(found.survey.marks))
    return replace(found, survey=replace(found.survey, marks=marks))


@pytest.mark.parametrize("name", BY_KEY)
@pytest.mark.parametrize("inset", [0.0, 35.0])
def test_by_key_and_by_survey_the_plan_is_the_same(name: str, inset: float) -> None:
    """Circle, ellipse, stadium, rounded rectangle and an open path, 60 exact marks on each."""
    by_key = replace(BY_KEY[name][1], inset=inset)
    xy, _ = marks_on(Chain(drawn_segments(by_key), by_key.closed), 60)
    assert alike(planned(by_key), planned(surveyed_as(by_key, xy)))


def _path(*steps: Straight | Turn, closed: bool, corner: str) -> OutlineSpec:
    face = "outside" if closed else "right"
    return OutlineSpec("", "path", closed=closed, face=face, corner=corner, steps=steps, start=(400.0, -300.0))


def corner(degrees: float) -> Turn:
    """Return a turn on the spot, left positive."""
    return Turn(math.radians(degrees), 0.0)


CORNERED = {
    "an open L, mitred": _path(Straight(1400.0), corner(90), Straight(2100.0), closed=False, corner="mitre"),
    "an open L going in, one side returned": _path(
        Straight(1400.0), corner(-90), Straight(2100.0), closed=False, corner="return"
    ),
    "a blunt corner, mitred": _path(Straight(1700.0), corner(35), Straight(1500.0), closed=False, corner="mitre"),
    "a bend between two corners": _path(
        *(Straight(1200.0), corner(90), Straight(700.0), Turn(-RIGHT, 900.0), Straight(800.0), corner(60)),
        *(Straight(1300.0),), closed=False, corner="mitre",
    ),
    "a box, mitred": _path(
        *(Straight(3000.0), corner(90), Straight(1400.0), corner(90), Straight(3000.0), corner(90), Straight(1400.0)),
        *(corner(90),), closed=True, corner="mitre",
    ),
    "an L-shaped island, returned": _path(
        *(Straight(3000.0), corner(90), Straight(1000.0), corner(90), Straight(2000.0), corner(-90)),
        *(Straight(1000.0), corner(90), Straight(1000.0), corner(90), Straight(2000.0), corner(90)),
        closed=True, corner="return",
    ),
    "a loop with one corner": _path(
        *(Straight(1100.0), Turn(1.5 * math.pi, 1100.0), Straight(1100.0), corner(90)), closed=True, corner="mitre",
    ),
}  # fmt: skip


def marked(spec: OutlineSpec, count: int = 64) -> tuple[Floats, tuple[int, ...]]:
    """Return marks along a line and one at each corner, and which those are."""
    line = Chain(drawn_segments(spec), spec.closed, True)
    at = np.array([found.station for found in corners_of(line.segments, spec.closed)])
    _, even = marks_on(line, count)
    even = even[np.abs(even[:, None] - at).min(axis=1) > 20.0] if spec.closed else even
    stations = np.unique(np.concatenate([even, at]))
    return line.point(stations), tuple(np.flatnonzero(np.isin(stations, at)).tolist())


@pytest.mark.parametrize("name", CORNERED)
def test_marked_corners_are_those_of_the_path(name: str) -> None:
    """Each is a run's end, cut or grown as the path's: the whole plan is the same."""
    spec = CORNERED[name]
    assert alike(planned(spec), planned(surveyed_as(spec, *marked(spec))))


@pytest.mark.parametrize("name", [name for name in CORNERED if "one corner" not in name])
def test_corners_between_straights_are_recognised(name: str) -> None:
    """Without a word of them, and without a mark on any: where two straights meet the plan is the path's."""
    spec = CORNERED[name]
    xy, corners = marked(spec)
    assert alike(planned(spec), planned(surveyed_as(spec, np.delete(xy, corners, axis=0))))
