"""Plans of jobs that people look at, and that have holes: from the job to the checked plan."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from site_cases import laid, site_job

from layout.errors import JobFaults, NoPlan
from layout.face.plan import Plan
from layout.face.planning import make_plan
from layout.face.sight import hand_of, sights_of, told
from layout.face.sight_lines import screens_of
from layout.face.takeoff import take_off
from layout.job.model import Cutout, FaceSpec, Job, OutlineSpec, SeamsSpec, Straight, Viewpoint, Wall

FEW = SeamsSpec(goals=("panels", "worst_seam", "seam_cost"))
FLAT = OutlineSpec("", "path", closed=False, face="right", steps=(Straight(70.0 * 50),))
"""50 scallops of 70 mm without take-up"""
RING = OutlineSpec("", "circle", diameter=3000.0)
DOOR = Viewpoint("door", (0.0, -4000.0))
WIDE = FaceSpec(height=590.0, largest_scallops=26)
"""panels wide enough to reach across all of the ring that the door sees"""
SOCKET = Cutout("socket", at=70.0 * 12.5, up=300.0, width=90.0, height=146.0)
FACE = FaceSpec(height=590.0, largest_scallops=20)


def job(outline: OutlineSpec = RING, **parts: object) -> Job:
    return site_job(outline, **{"face": FACE, "seams": FEW, **parts})  # type: ignore[arg-type]


@cache
def planned(made: Job) -> Plan:
    return make_plan(made)


def scores(made: Job) -> np.ndarray:
    """Return how much a seam at each boundary would be seen."""
    placed = laid(made)
    run = placed.runs[0]
    seen = sights_of(made, placed.lines[run.outline], run, placed.profile, screens_of(placed.lines, made.walls))
    return np.asarray(seen.scores(hand_of(made)))


def values(plan: Plan) -> dict[str, float]:
    return {proof.goal: proof.value for proof in plan.proof}


def test_seams_go_out_of_sight_where_they_can() -> None:
    """The plan made without the door shows it seams; the one made with it shows none, with as many panels."""
    blind, looked = planned(job(face=WIDE)), planned(job(viewpoints=(DOOR,), face=WIDE))
    seen = scores(looked.job)
    assert seen[[seam.boundary for seam in blind.seams]].max() > 0
    assert {view for seam in looked.seams for _, view in seam.sight} == {"hidden"}
    assert len(blind.panels) == len(looked.panels)
    assert told(int(values(looked)["worst_seam"]))[0] == 0


def test_wall_between_hides_as_well() -> None:
    """Behind a screen in front of the eye all of a flat face is hidden; without it, some must be grazed or seen."""
    eye = Viewpoint("counter", (1750.0, -700.0))
    screen = Wall(((1600.0, -600.0), (1900.0, -600.0)))
    bare, hidden = (job(FLAT, viewpoints=(eye,), walls=walls) for walls in ((), (screen,)))
    assert scores(bare).max() == 2
    assert scores(hidden).max() == 0
    assert values(planned(hidden))["seam_cost"] == 0.0


def test_least_seen_seams_are_the_least_of_all_ways() -> None:
    """Three panels of 4 to 20 scallops on 50: no pair of seams is seen less than the plan's, worst first."""
    eyes = (Viewpoint("left", (200.0, -1200.0), 1.0), Viewpoint("right", (2600.0, -900.0), 3.0))
    plan = planned(job(FLAT, viewpoints=eyes))
    seen = scores(plan.job)
    ways = [(a, b) for a in range(4, 21) for b in range(a + 4, min(a + 20, 46) + 1) if 4 <= 50 - b <= 21]
    best = min((max(seen[a], seen[b]), seen[a] + seen[b]) for a, b in ways)
    inner = [seam for seam in plan.seams if not seam.end]
    assert len(inner) == 2
    assert (max(seen[s.boundary] for s in inner), sum(seen[s.boundary] for s in inner)) == best
    assert all(proof.proved for proof in plan.proof)


def test_a_seams_cost_is_its_sight_then_its_lift() -> None:
    """Views 0, 1, 2 times whole weights, ten million each, and the lift in whole µm."""
    eyes = (
        Viewpoint("a", (0.0, -2500.0), 1.0),
        Viewpoint("b", (2300.0, 1000.0), 2.0),
        Viewpoint("c", (-2300.0, 1000.0)),
    )
    plan = planned(job(viewpoints=eyes, seams=SeamsSpec(goals=("different_lengths", "panels"))))
    views = {"hidden": 0, "grazed": 1, "seen": 2}
    for seam in plan.seams:
        sight = dict(seam.sight)
        assert list(sight) == ["a", "b", "c"]
        score = views[sight["a"]] + 2 * views[sight["b"]] + views[sight["c"]]
        assert seam.cost == score * 10_000_000 + round(seam.lift * 1000)


def test_choices_tell_the_lift_of_their_worst_seam_and_how_it_is_seen() -> None:
    """Lift in mm stays lift where people look on; the sight of the same seam stands beside it."""
    plan = planned(job(viewpoints=(DOOR,), face=WIDE))
    worst = max(plan.seams, key=lambda seam: seam.cost)
    (chosen,) = (choice for choice in plan.choices if choice.chosen)
    assert chosen.worst_seam == pytest.approx(worst.lift, abs=5e-4)
    assert chosen.worst_sight == 0
    assert any(choice.worst_sight > 0 for choice in plan.choices)
    assert all(choice.worst_seam < 1.0 for choice in plan.choices)


@pytest.mark.parametrize("x", [-400.0, 3900.0])
def test_either_hand_gives_the_better_of_both(x: float) -> None:
    """From beyond an end of a flat wall the edge of one hand faces away: either takes the plan of least value."""
    eye = Viewpoint("hall", (x, -6000.0))
    asked = {
        goes: job(FLAT, viewpoints=(eye,), face=replace(FACE, lap_goes=goes)) for goes in ("under", "over", "either")
    }
    found = {goes: list(values(planned(made)).values()) for goes, made in asked.items()}
    assert found["under"] != found["over"]
    assert found["either"] == min(found["under"], found["over"])
    assert planned(asked["either"]).job.face.lap_goes == min(("under", "over"), key=lambda goes: found[goes])


def test_equal_hands_go_under() -> None:
    """Where both hands come to the same, laps go under."""
    assert planned(job(FLAT, face=replace(FACE, lap_goes="either"))).job.face.lap_goes == "under"


def test_ring_is_closed_where_nobody_looks() -> None:
    """The closing panel's two edges are hidden, and hanging starts beside it, all panels once."""
    plan = planned(job(viewpoints=(DOOR,), face=WIDE))
    (hung,) = plan.hanging
    count = len(plan.panels)
    assert sorted(hung.order) == list(range(1, count + 1))
    assert all((b - a) % count == 1 for a, b in pairwise(hung.order))
    seams = {seam.number: seam for seam in plan.seams}
    closing = plan.panels[hung.order[-1] - 1]
    assert {seams[k].sight for k in (closing.left_seam, closing.right_seam)} == {(("door", "hidden"),)}


@pytest.mark.parametrize(("goes", "way"), [("under", 1), ("over", -1)])
def test_open_run_is_hung_from_end_to_end(goes: str, way: int) -> None:
    """Laps under go left to right, over right to left, with or without viewpoints."""
    plan = planned(job(FLAT, face=replace(FACE, lap_goes=goes)))
    assert plan.hanging[0].order == tuple(panel.number for panel in plan.panels)[::way]


def test_symmetric_seams_are_planned_where_people_look() -> None:
    """Mirrored seams and a viewpoint on the axis: the plan is checked, and its seams mirror."""
    plan = planned(job(viewpoints=(DOOR,), seams=replace(FEW, symmetric=True)))
    lap = plan.lines[0].back.length
    stations = sorted(seam.station for seam in plan.seams)
    assert stations == pytest.approx(sorted((lap - station) % lap for station in stations), abs=1e-6)


# Cut-outs.


def test_hole_in_the_middle_of_a_scallop_lies_in_the_middle_of_its_metal() -> None:
    """Centred on the crest 12.5 pitches along, its middle is form trim + (12.5 − first)·S from the blank's left."""
    plan = planned(job(FLAT, cutouts=(SOCKET,), face=replace(FACE, scribe=25.0, bottom_return=12.0)))
    (hole,) = plan.cutouts
    panel = plan.panels[hole.panel - 1]
    developed = plan.scallop.profile.developed
    middle = plan.job.face.form_trim + (12.5 - panel.first_scallop) * developed
    assert hole.left + hole.width / 2 == pytest.approx(middle, abs=1e-9)
    assert (hole.bottom, hole.height, hole.whole) == (25.0 + 12.0 + 300.0, 146.0, True)


@pytest.mark.parametrize(("clearance", "reach"), [(None, 45.0 + 70.0), (10.0, 45.0 + 10.0)])
def test_seams_keep_off_a_hole_by_themselves(clearance: float | None, reach: float) -> None:
    """A hole where a seam would fall moves it half the width and the clearance off, one pitch by default."""
    plain = planned(job(FLAT))
    taken = next(seam.station for seam in plain.seams if not seam.end)
    plan = planned(job(FLAT, cutouts=(replace(SOCKET, at=taken, clearance=clearance),)))
    assert min(abs(seam.station - taken) for seam in plan.seams) >= reach
    assert [(s.start, s.end, s.why) for s in plan.stretches] == [
        (pytest.approx(taken - reach), pytest.approx(taken + reach), "socket")
    ]


def test_a_hole_that_no_panel_can_span_is_named() -> None:
    """Twenty scallops are the most, and the hole keeps a seam off 24: no plan, and the reason is the hole."""
    hole = replace(SOCKET, at=1750.0, width=70.0 * 22, name="show case")
    with pytest.raises(NoPlan, match="show case"):
        make_plan(job(FLAT, cutouts=(hole,)))


def test_faults_of_the_site_are_told_together_before_planning() -> None:
    """An eye in the face and a hole above it are both faults, of the take-off as of the plan."""
    made = job(FLAT, viewpoints=(Viewpoint("till", (700.0, -100.0)),), cutouts=(replace(SOCKET, up=500.0),))
    for work in (make_plan, take_off):
        with pytest.raises(JobFaults) as caught:
            work(made)
        assert [fault.key for fault in caught.value.faults] == ["cutout[1].height", "viewpoint[1].at"]
