"""Whole plans of lines parted into runs, and what their independent check says of shear, mirror and choices."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from check_cases import GATES, LAP, SHAPES, a_job, job, of, planned

from layout.errors import JobFaults, NoPlan
from layout.face.check import check_plan
from layout.face.check_mirror import check_mirrored
from layout.face.check_runs import own_lines
from layout.face.check_scallop import scallop_sums
from layout.face.check_sheets import _sheared
from layout.face.plan import Cut, Plan
from layout.face.planning import compared_plan
from layout.job.model import Avoid, Job, OutlineSpec, Require, SeamsSpec, SheetSpec, Straight, Turn, Zone
from layout.job.model_forming import Limit, LimitsSpec
from layout.units import parse_length


def wall(length: float, *stations: float, **more: object) -> Job:
    """Return an open straight wall of a length, mm, with required seams, one goal and plenty of sheets."""
    spec = OutlineSpec("", "path", closed=False, face="right", steps=(Straight(length),))
    seams = SeamsSpec(require=tuple(Require(at, "post") for at in stations), goals=("panels",))
    return a_job(spec, **{"seams": seams, "sheets": (SheetSpec(3000.0, 1250.0),), **more})


def test_runs_that_meet_have_an_end_seam_each():
    """At the gate run 1 ends and run 2 begins: two seams at one place, numbered one after the other."""
    plan = planned("gates")
    gate = [seam for seam in plan.seams if abs(seam.station - 7000.0) < 1e-6]
    assert [(seam.run, seam.boundary, seam.end, seam.why) for seam in gate] == [
        (2, plan.runs[1].scallops, True, "gate jamb"),
        (3, 0, True, "gate jamb"),
    ]
    assert [seam.number for seam in plan.seams] == list(range(1, len(plan.seams) + 1))
    assert [seam.lift for seam in plan.seams if seam.end] == [0.0] * (2 * len(plan.runs))


def test_seams_past_the_datum_have_the_station_that_a_tape_reads():
    """The last run goes on past the datum: its seams' stations are on the line, its boundaries rise all the same."""
    plan = planned("gates")
    length = plan.lines[0].back.length
    assert plan.runs[-1].end > length
    last = [seam for seam in plan.seams if seam.run == 3]
    assert all(0 <= seam.station < length for seam in plan.seams)
    assert all(before.boundary < after.boundary for before, after in pairwise(last))
    assert last[-1].station == pytest.approx(900.0)


def test_no_panel_laps_over_the_end_of_its_run():
    """Each run's last panel is without, all others carry one scallop more."""
    plan = planned("gates")
    for run in plan.runs:
        panels = [panel for panel in plan.panels if panel.run == run.number]
        assert [panel.lapped for panel in panels] == [True] * (len(panels) - 1) + [False]
        assert sum(panel.scallops for panel in panels) == run.scallops


def test_blanks_are_as_high_as_their_run():
    """420 mm and a top return of 10 in the zone, 590 and 10 elsewhere."""
    plan = planned("gates")
    heights = {run.number: 430.0 if run.zone == "low" else 600.0 for run in plan.runs}
    assert all(panel.blank_height == heights[panel.run] for panel in plan.panels)


def test_a_parted_loop_with_laps_over_and_cut_ends_agrees():
    """Both kinds of end are planned and pass the check."""
    for face in (replace(LAP, lap_goes="over"), replace(LAP, ends="cut")):
        plan = compared_plan(replace(GATES, face=face, seams=replace(GATES.seams, goals=("panels",))))
        assert check_plan(plan) == ()


def test_one_pitch_of_a_range_is_held_to_its_best():
    """Three walls of unlike lengths: the pitch moved by a hundredth of a millimetre is told."""
    made = wall(5000.0, 1700.0, 3000.0)
    made = replace(made, scallop=replace(made.scallop, pitch_range=(69.0, 71.0)))
    plan = compared_plan(made)
    shares = [run.take_up / plan.scallop.pitch for run in plan.runs]
    assert max(shares) == pytest.approx(-min(shares), abs=1e-9)
    worse = _repitched(plan, plan.scallop.pitch + 0.01)
    assert any("another of the range gives less take-up" in said for said in check_plan(worse))


def _repitched(plan: Plan, pitch: float) -> Plan:
    """Return a plan that claims another pitch and the take-up that follows from it."""
    runs = tuple(replace(run, take_up=run.count_length / run.scallops - pitch) for run in plan.runs)
    return replace(plan, runs=runs, scallop=replace(plan.scallop, pitch=pitch))


def test_a_stretch_in_one_of_two_runs_is_told_by_its_run():
    """The run that cannot be split is named, with its part's name."""
    made = wall(9000.0, 3500.0)
    made = replace(made, seams=replace(made.seams, avoid=(Avoid(4000.0, 8000.0, "mural"),)))
    with pytest.raises(NoPlan, match=r"run face 2: panels .* cannot cross the stretch .*mural") as refused:
        compared_plan(made)
    (told,) = [words for words in refused.value.remedies if "a sheet" in words]
    length = parse_length(told.split("a sheet ")[1].split(" long")[0], "mm")
    assert compared_plan(replace(made, sheets=(SheetSpec(length, 1250.0),))).panels
    with pytest.raises(NoPlan):
        compared_plan(replace(made, sheets=(SheetSpec(length - 75.0, 1250.0),)))


def test_the_sheet_that_a_refusal_names_comes_with_the_shear_that_parts_it():
    """A longer strip is a longer cut: with the sheet alone the shear is too short, with both there is a plan."""
    made = wall(9000.0, 3500.0)
    made = replace(made, seams=replace(made.seams, avoid=(Avoid(4000.0, 8000.0, "mural"),)))
    made = replace(made, face=replace(made.face, shear_length=3000.0))
    with pytest.raises(NoPlan) as refused:
        compared_plan(made)
    (told,) = [words for words in refused.value.remedies if "a sheet" in words]
    sheet = parse_length(told.split("a sheet ")[1].split(" long")[0], "mm")
    shear = parse_length(told.split("cuts ")[1].split(", and")[0], "mm")
    longer = replace(made, sheets=(SheetSpec(sheet, 1250.0),))
    with pytest.raises(JobFaults, match="by cuts that short"):
        compared_plan(longer)
    assert compared_plan(replace(longer, face=replace(longer.face, shear_length=shear))).panels


def test_a_refusal_names_the_limit_that_is_in_the_way():
    """A door of 1 m bars the panels that cross a stretch: as wide as the refusal says it lets them through."""
    made = wall(9000.0)
    made = replace(made, seams=replace(made.seams, avoid=(Avoid(4000.0, 5400.0, "mural"),)))

    def through(door: float) -> Job:
        return replace(made, limits=LimitsSpec((Limit("door", door, None),)))

    with pytest.raises(NoPlan) as refused:
        compared_plan(through(1000.0))
    (told,) = [words for words in refused.value.remedies if "limits.door of at least" in words]
    door = parse_length(told.split("limits.door of at least ")[1].split(",")[0], "mm")
    assert compared_plan(through(door)).panels
    with pytest.raises(NoPlan):
        compared_plan(through(door - 75.0))


def test_a_zone_lower_than_the_rest_shares_its_sheets():
    """A face of 590 and a zone of 200 mm: their strips lie side by side on one sheet of 1250."""
    made = wall(4200.0, zones=(Zone("low", 2100.0, 4200.0, 200.0),))
    plan = compared_plan(made)
    assert [run.name for run in plan.runs] == ["face", "low"]
    assert len(plan.sheets) == 1
    assert sorted(cut.height for cut in plan.sheets[0].cuts) == [210.0, 600.0]


# The check's own words on cuts.

QUARTERS = [Cut(1, 0, 0, 40, 20), Cut(2, 60, 0, 40, 20), Cut(3, 0, 30, 40, 20), Cut(4, 60, 30, 40, 20)]


@pytest.mark.parametrize(("longest", "cuttable"), [(100.0, True), (50.0, True), (49.0, False), (40.0, False)])
def test_blanks_are_freed_by_cuts_across_the_short_side_first(longest: float, cuttable: bool):
    """Of a piece of 100 × 50 the first cut is at least 50 long; then all pieces are 40 × 50, cut by 40."""
    assert _sheared(QUARTERS, 0.0, (100.0, 50.0), longest) is cuttable


@pytest.mark.parametrize(("longest", "cuttable"), [(100.0, True), (99.0, False)])
def test_a_strip_along_a_piece_is_a_cut_as_long_as_the_piece(longest: float, cuttable: bool):
    """One blank of 100 × 30 out of 100 × 150: there is no shorter cut than along it."""
    assert _sheared([Cut(1, 0, 0, 100, 30)], 0.0, (100.0, 150.0), longest) is cuttable


def test_a_blank_of_the_whole_width_needs_cuts_across_only():
    """Two blanks of 140 × 50 out of 300 × 50 come by cuts of 50, whatever the length."""
    pair = [Cut(1, 0, 0, 140, 50), Cut(2, 150, 0, 140, 50)]
    assert _sheared(pair, 0.0, (300.0, 50.0), 50.0)
    assert not _sheared(pair, 0.0, (300.0, 50.0), 49.0)


def test_a_plan_for_a_longer_shear_is_refused_for_a_shorter():
    """Strips are cut along the sheet, 2990 mm; cut across first, no cut is longer than the longest blank."""
    plan = planned("ellipse")
    blank = max(panel.blank_length for panel in plan.panels)
    assert 1240.0 < blank < 2980.0
    assert check_plan(job("face", shear_length=2990.0)(plan)) == ()
    for longest, parted in ((2980.0, True), (blank, True), (blank - 1.0, False)):
        findings = check_plan(job("face", shear_length=longest)(plan))
        assert any("a sheet gives" in said for said in findings)
        assert any("free its blanks" in said for said in findings) is not parted


# The check's own words on mirrored seams.


def mirrored(plan: Plan) -> list[str]:
    made = replace(plan.job, seams=replace(plan.job.seams, symmetric=True))
    own = own_lines(made, scallop_sums(made.scallop, made.metal.thickness, plan.scallop.pitch), plan.lines)
    return list(check_mirrored(replace(plan, job=made), own))


def with_boundaries(plan: Plan, boundaries: list[int]) -> Plan:
    """Return a plan of one run that claims seams at these boundaries."""
    first = plan.seams[0]
    return replace(plan, seams=tuple(replace(first, boundary=b) for b in boundaries))


def test_mirrored_seams_stand_about_an_axis_of_the_line():
    """An ellipse has axes through boundary 0 and a quarter round; elsewhere evenly spaced seams are none."""
    plan = compared_plan(a_job(SHAPES["ellipse"], seams=SeamsSpec(goals=("panels",))))
    n = plan.runs[0].scallops
    assert mirrored(with_boundaries(plan, [10, 40, n - 40, n - 10])) == []
    assert mirrored(with_boundaries(plan, [0, 30, n - 30])) == []
    assert mirrored(with_boundaries(plan, [0, 30, n - 31]))
    assert mirrored(with_boundaries(plan, [11, 41, n - 39, n - 9]))


def test_half_a_turn_is_no_mirror():
    """A wall that bends as much left as right is the same from behind, and has no axis; an arch has one."""
    bends = {name: _bent(*turns) for name, turns in (("s", (0.5, -0.5)), ("arch", (0.5, 0.5)))}
    for name, fine in (("s", False), ("arch", True)):
        plan = bends[name]
        ends = [0, plan.runs[0].scallops // 2, plan.runs[0].scallops]
        even = with_boundaries(plan, ends if plan.runs[0].scallops % 2 == 0 else [ends[0], ends[2]])
        assert (mirrored(even) == []) is fine


def _bent(first: float, second: float) -> Plan:
    steps = (Straight(1000.0), Turn(first, 2000.0), Turn(second, 2000.0), Straight(1000.0))
    spec = OutlineSpec("", "path", closed=False, face="right", steps=steps)
    return compared_plan(a_job(spec, seams=SeamsSpec(goals=("panels",))))


def test_findings_say_which_zone_a_run_should_be_in():
    """What, and both of what is said."""
    findings = check_plan(of("runs", 0, zone="")(planned("gates")))
    assert findings == ("run 1: in zone none, by the job low",)


def test_three_parts_of_a_loop_hold_as_many_scallops_as_it_is_long():
    """The parts' count lengths sum to the count line, which is 2π(c + t/2) longer than the back line."""
    plan = planned("gates")
    assert math.fsum(run.count_length for run in plan.runs) == pytest.approx(plan.lines[0].count.length, rel=1e-12)
    neutral = plan.scallop.profile.neutral_height + 0.6 / 2
    assert plan.lines[0].count.length - plan.lines[0].back.length == pytest.approx(math.tau * neutral, rel=1e-9)
