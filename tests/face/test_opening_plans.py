"""Plans of lines with gates and gaps, by hand: where runs end, what they hold, what is refused and what would do."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from check_cases import LAP, Damage, a_job, of

from layout.errors import JobFaults, NoPlan
from layout.face.check import check_plan
from layout.face.plan import Plan
from layout.face.planning import compared_plan
from layout.job.model import Job, Opening, OutlineSpec, SeamsSpec, SheetSpec, Straight, Zone
from layout.units import parse_length

PITCH = 70.0


def wall(length: float, *openings: Opening, **more: object) -> Job:
    """Return an open straight wall with openings, scallops of 70 mm that give at most 2 %, plenty of sheets."""
    spec = OutlineSpec("", "path", closed=False, face="right", steps=(Straight(length),))
    usual = {"openings": openings, "seams": SeamsSpec(goals=("panels",)), "sheets": (SheetSpec(3000.0, 1250.0),)}
    return a_job(spec, **{**usual, **more})


def test_face_stops_at_jambs_and_leaf_keeps_its_clearance() -> None:
    """1400 | 7 gap, 910 = 13·70 leaf, 7 gap | 700: three runs of whole scallops, no take-up anywhere."""
    plan = compared_plan(wall(1400.0 + 924.0 + 700.0, Opening("gate", 1400.0, 2324.0, leaf=True, clearance=7.0)))
    assert [(run.name, run.start, run.end, run.scallops) for run in plan.runs] == [
        ("face 1", 0.0, 1400.0, 20),
        ("gate leaf", 1407.0, 2317.0, 13),
        ("face 2", 2324.0, 3024.0, 10),
    ]
    assert [run.take_up for run in plan.runs] == pytest.approx([0.0] * 3, abs=1e-9)
    assert [run.start_why for run in plan.runs] == ["end", "gate, leaf", "gate, right jamb"]
    assert [run.end_why for run in plan.runs] == ["gate, left jamb", "gate, leaf", "end"]


def test_gap_without_a_leaf_holds_no_run() -> None:
    """1400 and 700 beside a gap of 924: two runs, and no metal between."""
    plan = compared_plan(wall(3024.0, Opening("gap", 1400.0, 2324.0)))
    assert [(run.name, run.scallops) for run in plan.runs] == [("face 1", 20), ("face 2", 10)]


def test_take_up_of_a_leaf_is_what_its_clearance_leaves() -> None:
    """920 less twice 6 is 908: 13 scallops crowded by 70 − 908/13."""
    plan = compared_plan(wall(3020.0, Opening("gate", 1400.0, 2320.0, leaf=True, clearance=6.0)))
    assert plan.runs[1].take_up == pytest.approx((920.0 - 2 * 6.0) / 13 - PITCH, abs=1e-9)


def test_opening_past_the_datum_leaves_one_run() -> None:
    """Round 5 m, a gap from 200 before the datum to 300 past it: one open run of all the rest."""
    job = a_job(OutlineSpec("", "circle", diameter=5000.0))
    back = compared_plan(job).lines[0].back.length
    gap = Opening("door", back - 200.0, 300.0, ends="cut")
    (run,) = compared_plan(replace(job, openings=(gap,))).runs
    assert (run.start, run.end) == pytest.approx((300.0, back - 200.0))
    assert not run.closed
    assert run.name == "face"


def test_leaf_has_the_height_of_its_zone() -> None:
    """A low part from one jamb to the other gives the leaf its height, and its run its name no more."""
    gate = Opening("gate", 1400.0, 2324.0, leaf=True, clearance=7.0)
    plan = compared_plan(wall(3024.0, gate, zones=(Zone("low", 1400.0, 2324.0, 400.0),)))
    leaf = plan.runs[1]
    assert (leaf.name, leaf.zone, leaf.height) == ("gate leaf", "low", 400.0 + LAP.top_return)


# Cut ends.


def test_ends_of_one_opening_are_cut_where_it_says_so() -> None:
    """Left of the gap 1430 = 20·70 + 30 is cut at its right end; right of it 670 = 9·70 + 40 at its left."""
    plan = compared_plan(wall(1430.0 + 500.0 + 670.0, Opening("gap", 1430.0, 1930.0, ends="cut")))
    left, right = plan.runs
    assert (left.scallops, left.first_part, left.last_part) == (21, None, pytest.approx(30.0 / PITCH))
    assert (right.scallops, right.first_part, right.last_part) == (10, pytest.approx(40.0 / PITCH), None)
    assert left.stations[:2].tolist() == pytest.approx([0.0, PITCH])
    assert right.stations[:3].tolist() == pytest.approx([1930.0, 1970.0, 2040.0])
    assert (right.may_be_longer, right.may_be_shorter) == pytest.approx((30.0, 40.0))


def test_panel_with_a_cut_first_scallop_covers_so_much_less() -> None:
    """Ten scallops, the first 40 of 70 mm: a cover of 670, a blank of ten all the same."""
    plan = compared_plan(wall(2600.0, Opening("gap", 1430.0, 1930.0, ends="cut")))
    panels = [panel for panel in plan.panels if panel.run == 2]
    lap = sum(panel.lapped for panel in panels)
    assert sum(panel.cover for panel in panels) == pytest.approx(670.0)
    blanks = sum(panel.blank_length - 2 * LAP.form_trim for panel in panels)
    assert blanks == pytest.approx((10 + lap) * plan.scallop.profile.developed)


def test_leaf_with_cut_ends_is_cut_at_its_right() -> None:
    """A leaf of 900 = 12·70 + 60 keeps 60 of its last scallop, the runs beside it stay whole or cut by the same."""
    gate = Opening("gate", 1400.0, 2300.0, leaf=True, ends="cut")
    leaf = compared_plan(wall(3000.0, gate)).runs[1]
    assert (leaf.scallops, leaf.first_part, leaf.last_part) == (13, None, pytest.approx(60.0 / PITCH))


# What does not fit, and what would do.


def refused(job: Job) -> NoPlan:
    with pytest.raises(NoPlan) as caught:
        compared_plan(job)
    return caught.value


def test_least_jamb_move_by_hand_does() -> None:
    """1430 is 30 over 20·70, of which take-up bears 28: the left jamb 2 mm to the left, and the plan is there."""
    job = wall(3000.0, Opening("gap", 1430.0, 2300.0))
    told = next(line for line in refused(job).remedies if line.startswith("Or move"))
    assert told.startswith("Or move the left jamb of gap 2.000 mm to the left")
    found = re.search(r'opening\[1\]\.from = "([^"]+)"', told)
    assert found is not None
    station = parse_length(found[1], "mm")
    assert station == pytest.approx(1430.0 - (30.0 - 0.02 * 20 * PITCH), abs=1e-3)
    assert compared_plan(replace(job, openings=(Opening("gap", station, 2300.0),))).runs[0].scallops == 20
    with pytest.raises(NoPlan):
        compared_plan(replace(job, openings=(Opening("gap", station + 0.01, 2300.0),)))


def test_jamb_of_a_leaf_moves_only_where_the_run_beside_still_fits() -> None:
    """A leaf of 935 is 10.5 over what 13 bear: growing it to 14·70·0.98 would need 25.4; either is told and does."""
    gate = Opening("gate", 1400.0, 2335.0, leaf=True)
    job = wall(2335.0 + 700.0, gate)
    told = next(line for line in refused(job).remedies if line.startswith("Or move"))
    found = re.search(r'opening\[1\]\.(from|to) = "([^"]+)"', told)
    assert found is not None
    change = {"from": "start", "to": "end"}[found[1]]
    mended = replace(job, openings=(replace(gate, **{change: parse_length(found[2], "mm")}),))
    assert compared_plan(mended).runs[1].scallops == 13


def test_cut_end_and_filler_are_told_with_their_width_and_do() -> None:
    """1430 − 20·70 leaves 30 mm: of a cut scallop, or of plain metal beside 20, which may stretch by 28 of it."""
    job = wall(3000.0, Opening("gap", 1430.0, 2300.0))
    filler = next(line for line in refused(job).remedies if "plain metal" in line)
    assert "at least 2.000 mm wide at the left jamb of gap, beside 20 scallops in run face 1 (about 30 mm" in filler
    told = next(line for line in refused(job).remedies if "cut the last scallop" in line)
    assert 'opening[1].ends = "cut"' in told
    assert "run face 1: 30.000 mm of it left" in told
    mended = replace(job, openings=(replace(job.openings[0], ends="cut"),))
    assert compared_plan(mended).runs[0].last_part == pytest.approx(30.0 / PITCH)


def test_pitch_that_would_do_does() -> None:
    """One pitch for a lone run of 1430: 1430/20 = 71.5."""
    job = wall(1430.0 + 700.0, Opening("gap", 1430.0, 2130.0))
    told = next(line for line in refused(job).remedies if "draw a pitch" in line)
    assert "best 71.500 mm (20 scallops)" in told
    assert compared_plan(replace(job, scallop=replace(job.scallop, pitch=71.5))).runs[0].take_up == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("openings", "key"),
    [
        ((Opening("far", 2500.0, 3100.0),), "opening[1].to"),
        ((Opening("none", 900.0, 900.0),), "opening[1].to"),
        ((Opening("one", 500.0, 900.0), Opening("two", 800.0, 1200.0)), "opening[2].from"),
        ((Opening("tight", 700.0, 800.0, leaf=True, clearance=40.0),), "opening[1].clearance"),
        ((Opening("near", 20.0, 900.0),), "opening[1]"),
    ],
)
def test_openings_that_cannot_be_are_faults(openings: tuple[Opening, ...], key: str) -> None:
    """Off the line, of no width, over another, with no leaf left, or with no scallop beside."""
    with pytest.raises(JobFaults) as caught:
        compared_plan(wall(3000.0, *openings))
    assert [fault.key for fault in caught.value.faults] == [key]


# Damages.


def planned() -> Plan:
    """Return a wall with a gate that has a leaf, and a gap whose ends are cut."""
    gate, gap = Opening("gate", 1400.0, 2324.0, leaf=True, clearance=7.0), Opening("gap", 3030.0, 3530.0, ends="cut")
    return compared_plan(wall(4200.0, gate, gap))


def openings(index: int, **change: object) -> Damage:
    """Change an opening of the job under a plan."""

    def damage(plan: Plan) -> Plan:
        found = list(plan.job.openings)
        found[index] = replace(found[index], **change)
        return replace(plan, job=replace(plan.job, openings=tuple(found)))

    return damage


DAMAGES: dict[str, Damage] = {
    "leaf called otherwise": of("runs", 1, name="gate"),
    "leaf longer than its clearance leaves": of("runs", 1, end=2324.0),
    "why the leaf begins": of("runs", 1, start_why="gate, left jamb"),
    "no leaf in the job": openings(0, leaf=False),
    "more clearance in the job": openings(0, clearance=8.0),
    "jamb moved in the job": openings(0, start=1399.0),
    "whole ends in the job": openings(1, ends="whole"),
    "gap not in the job": lambda plan: replace(plan, job=replace(plan.job, openings=plan.job.openings[:1])),
    "first scallop whole": of("runs", 3, first_part=None),
    "last scallop cut instead": lambda plan: of("runs", 3, first_part=None, last_part=plan.runs[3].first_part)(plan),
    "cut wider": of("runs", 3, first_part=0.9),
    "run through the gap": of("runs", 2, end=3530.0),
}


def test_plan_with_openings_agrees() -> None:
    """Gate, leaf and cut gap are worked out again alike, and runs follow one another but for the gaps."""
    plan = planned()
    assert check_plan(plan) == ()
    assert [b.start - a.end for a, b in pairwise(plan.runs)] == pytest.approx([7.0, 7.0, 500.0])


@pytest.mark.parametrize("name", list(DAMAGES))
def test_damage_to_openings_is_found(name: str) -> None:
    """Each change alone is told."""
    assert check_plan(DAMAGES[name](planned()))
