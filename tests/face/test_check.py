"""The independent check passes plans as they are made, and refuses defects of the program."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from check_cases import FACES, SEAMS, SHAPES, a_job, job, of, planned, plus

from layout.errors import CheckFailed
from layout.face import check, costs, fit, order
from layout.face.blanks import Blanks
from layout.face.check import check_plan
from layout.face.plan import Cut
from layout.face.planning import make_plan
from layout.job.model import Avoid, ScallopSpec
from layout.outline import walk
from layout.outline.curves import EllipseArc


@pytest.mark.parametrize("face", FACES)
@pytest.mark.parametrize("shape", SHAPES)
def test_a_plan_as_made_agrees(shape: str, face: str):
    assert check_plan(planned(shape, face)) == ()


@pytest.mark.parametrize(
    "scallop",
    [
        ScallopSpec("sine", 70.0, 20.0),
        ScallopSpec("arc-flat", 70.0, 20.0, flat=10.0, count_on="back"),
        ScallopSpec("arc-flat", 70.0, 20.0, flat=10.0, valley_radius=3.0, count_on="crest"),
        ScallopSpec("serpentine", 70.0, 20.0),
        ScallopSpec("arc-tangent", 70.0, 20.0, radius=6.0),
        ScallopSpec("arc", 70.0, 16.0, pitch_range=(69.0, 71.0), valley_radius=3.0),
    ],
    ids=lambda spec: spec.form,
)
def test_a_plan_of_every_form_agrees(scallop: ScallopSpec):
    assert check_plan(make_plan(a_job(SHAPES["ellipse"], scallop=scallop))) == ()


def test_two_outlines_are_checked_each_with_its_own_stretches():
    """A stretch of one outline bars nothing on the other."""
    two = (replace(SHAPES["wave"], name="bar", start=(20_000.0, 50.0)), replace(SHAPES["circle"], name="kiosk"))
    seams = replace(SEAMS, avoid=(Avoid(1000.0, 1500.0, "till", "bar"), Avoid(200.0, 900.0, "door", "kiosk")))
    plan = make_plan(replace(a_job(two[0]), outlines=two, seams=seams))
    assert check_plan(plan) == ()
    for outline, name in ((0, "bar"), (1, "kiosk")):
        seam = next(seam for seam in plan.seams if seam.outline == outline and not seam.end and seam.station > 10)
        other = ("kiosk", "bar")[outline]
        for whose, found in ((name, True), (other, False)):
            damaged = job("seams", avoid=(Avoid(seam.station - 1, seam.station + 1, "post", whose),))(plan)
            assert any(f"seam {seam.number}: in the stretch" in said for said in check_plan(damaged)) is found


@pytest.mark.parametrize("name", ["ellipse", "wave"])
def test_a_plan_turned_half_round_has_the_same_sums(name: str):
    """A path walked from elsewhere keeps its lengths, so the check passes it as well."""
    spec = replace(SHAPES[name], datum=(0.0, 1850.0) if SHAPES[name].closed else None, heading=2.0)
    assert check_plan(make_plan(a_job(spec))) == ()


def test_a_lap_over_is_judged_one_scallop_further_right():
    """On a wall of changing curvature the two laps cost differently, so each plan fails as the other."""
    for here, there in (("under", "over"), ("over", "under")):
        plan = planned("ellipse", here)
        assert any("lift" in finding for finding in check_plan(job("face", lap_goes=there)(plan)))


def test_a_cut_end_has_no_take_up_and_its_own_share():
    plan = planned("wave", "cut")
    part = plan.runs[0].last_part
    assert part is not None
    assert check_plan(of("runs", 0, take_up=0.01)(plan))
    assert check_plan(of("runs", 0, last_part=part + 1e-4)(plan))
    assert check_plan(of("panels", -1, cover=plus(0.01))(plan))


def test_blanks_that_no_straight_cut_parts_are_found():
    """Four blanks round a fifth, like a pinwheel: apart and inside, yet no cut goes from edge to edge."""
    plan = planned("ellipse")
    wheel = ((5, 5, 20, 10), (30, 5, 10, 20), (20, 30, 20, 10), (5, 20, 10, 20), (18, 18, 8, 8))
    cuts = tuple(Cut(k + 1, *map(float, place)) for k, place in enumerate(wheel))
    findings = check_plan(of("sheets", 0, cuts=cuts)(plan))
    assert any("from edge to edge" in finding for finding in findings)
    assert not any("overlap" in finding for finding in findings)
    findings = check_plan(of("sheets", 0, cuts=cuts[:-2])(plan))
    assert not any("from edge to edge" in finding for finding in findings)


def test_the_findings_say_what_and_both_numbers():
    findings = check_plan(of("order", 0, buy=plus(1))(planned("wave")))
    needed = planned("wave").order[0].buy
    assert findings[0] == f"order of sheet size 1: buy: the plan says {needed + 1}, the check finds {needed}"


@pytest.mark.parametrize(
    ("owner", "name", "wrong", "said"),
    [
        (costs, "edge_lift", lambda old: lambda *of: 1.01 * old(*of), "lift"),
        (order, "spare_sheets", lambda old: lambda *of: old(*of) + 1, "spare"),
        (walk, "lowest_station", lambda old: lambda line: old(line) + 1.0, "datum x"),
        (Blanks, "length", lambda old: lambda *of, lapped: old(*of, lapped=lapped) + 1, "blank length"),
        (EllipseArc, "parallel", lambda old: lambda arc, d: old(arc, 1.001 * d), "length"),
        (
            fit,
            "build_profile",
            lambda old: lambda *of: replace(old(*of), neutral_height=10.0),
            "neutral height",
        ),
    ],
)
def test_a_defect_of_the_program_is_refused(
    owner: Any, name: str, wrong: Callable[[Any], Any], said: str, monkeypatch: pytest.MonkeyPatch
):
    """The check shares no code with what makes the plan, so an error there does not hide itself."""
    made = a_job(SHAPES["ellipse"])
    monkeypatch.setattr(owner, name, wrong(getattr(owner, name)))
    with pytest.raises(CheckFailed, match=said):
        make_plan(made)


def test_the_check_stands_apart_from_what_it_checks():
    """It imports nothing of outline or solver; of the metal only tables, of the face only the plan and its values."""
    for path in Path(check.__file__).parent.glob("check*.py"):
        for line in path.read_text("utf-8").splitlines():
            if line.startswith(("from ", "import ")):
                assert not re.search(r"layout\.outline|solver", line), f"{path.name}: {line}"
                assert not re.search(r"layout\.metal\.(?!metals\b|stock_tools\b|die import Die$)", line), line
                assert not re.search(r"layout\.face\.(?!check|plan\b|buying\b|forming\b)", line), f"{path.name}: {line}"
