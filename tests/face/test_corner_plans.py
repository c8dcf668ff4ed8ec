"""Plans of lines with sharp corners, by hand: runs that meet in mitres or run past one another, and their check."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from check_cases import Damage, a_job, of

from layout.errors import JobFaults
from layout.face.check import check_plan
from layout.face.check_corners import corner_changes
from layout.face.plan import Plan
from layout.face.planning import compared_plan
from layout.job.model import Job, Opening, OutlineSpec, SeamsSpec, SheetSpec, Step, Straight, Turn
from layout.outline.corners import ends_at
from layout.units import format_length

PITCH, DEPTH = 70.0, 16.0 + 0.6
"""mm, and from the back line to the outermost metal"""
RIGHT = math.pi / 2


def corner(degrees: float) -> Turn:
    """Return a turn on the spot, left positive."""
    return Turn(math.radians(degrees), 0.0)


def counter(*steps: Step, closed: bool = False, corner: str = "mitre", **more: object) -> Job:
    """Return a job of a path with corners; take-up up to 12 %, so that any length is filled."""
    face = more.pop("side", "outside" if closed else "right")
    spec = OutlineSpec("", "path", closed=closed, face=face, corner=corner, steps=steps, inset=more.pop("inset", 0.0))
    job = a_job(spec, **{"seams": SeamsSpec(goals=("panels",)), "sheets": (SheetSpec(3000.0, 1250.0),), **more})
    return replace(job, scallop=replace(job.scallop, most_take_up=0.12))


BOX = (Straight(3000.0), corner(90), Straight(1400.0), corner(90), Straight(3000.0), corner(90), Straight(1400.0))
ELL = (
    *(Straight(3000.0), corner(90), Straight(1000.0), corner(90), Straight(2000.0), corner(-90)),
    *(Straight(1000.0), corner(90), Straight(1000.0), corner(90), Straight(2000.0)),
)


def height(plan: Plan) -> float:
    """Return how far the count line stands off the back line, mm."""
    return plan.scallop.profile.neutral_height + plan.job.metal.thickness / 2


@pytest.mark.parametrize("degrees", [30, 90, 120, -30, -90, -120])
def test_mitre_at_the_count_line_by_hand(degrees: int) -> None:
    """Both runs are d·tan(δ/2) longer outside, as much shorter inside, d being the count line's height."""
    plan = compared_plan(counter(Straight(1400.0), corner(degrees), Straight(2100.0)))
    change = height(plan) * math.tan(math.radians(degrees) / 2)
    assert [run.count_length for run in plan.runs] == pytest.approx([1400.0 + change, 2100.0 + change], abs=1e-9)
    assert [run.take_up for run in plan.runs] == pytest.approx([change / 20, change / 30], abs=1e-9)
    assert (plan.runs[0].end_why, plan.runs[1].start_why) == ("corner", "corner")


def test_outside_return_by_hand() -> None:
    """At a right angle the left-hand run goes past by the whole depth, the other begins at the corner."""
    plan = compared_plan(counter(Straight(1400.0), corner(90), Straight(2100.0), corner="return"))
    assert [run.count_length for run in plan.runs] == pytest.approx([1400.0 + DEPTH, 2100.0], abs=1e-9)


def test_inside_return_by_hand() -> None:
    """At a right angle the left-hand run goes into the corner, the other stops short of it by the whole depth."""
    plan = compared_plan(counter(Straight(1400.0), corner(-90), Straight(2100.0), corner="return"))
    assert [run.count_length for run in plan.runs] == pytest.approx([1400.0, 2100.0 - DEPTH], abs=1e-9)
    # boundary 1 stands a pitch on from where the metal begins, a depth off the corner
    pitch = (2100.0 - DEPTH) / 30
    assert plan.runs[1].stations[:2].tolist() == pytest.approx([1400.0, 1400.0 + DEPTH + pitch], abs=1e-6)


def test_boundaries_of_mitred_runs_are_even_on_the_count_line() -> None:
    """Outside: the first boundary of the second run is a pitch less tan(45°)·d from the corner."""
    plan = compared_plan(counter(Straight(1400.0), corner(90), Straight(2100.0)))
    pitch = (2100.0 + height(plan)) / 30
    wanted = [1400.0 + j * pitch - height(plan) for j in range(1, 30)]
    assert plan.runs[1].stations[1:-1].tolist() == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize("kind", ["mitre", "return"])
@pytest.mark.parametrize(("steps", "side"), [(BOX, "outside"), (BOX, "inside"), (ELL, "outside"), (ELL, "inside")])
def test_loops_with_corners_are_planned_and_agree(steps: tuple[Step, ...], side: str, kind: str) -> None:
    """A box of four runs and an L of six, from outside and inside, the back line off the outline."""
    plan = compared_plan(counter(*steps, closed=True, side=side, corner=kind, inset=24.0))
    assert len(plan.runs) == (4 if steps is BOX else 6)
    assert check_plan(plan) == ()
    assert all(a.end == b.start for a, b in zip(plan.runs, plan.runs[1:], strict=False))


def test_inset_of_a_box_is_mitred_too() -> None:
    """24 mm in, a side is 48 shorter; at the count line it is 2d longer again."""
    plan = compared_plan(counter(*BOX, closed=True, inset=24.0))
    lengths = sorted(run.count_length for run in plan.runs)
    short, long = 1400.0 - 48.0 + 2 * height(plan), 3000.0 - 48.0 + 2 * height(plan)
    assert lengths == pytest.approx([short, short, long, long], abs=1e-9)


def test_datum_of_a_box_is_the_middle_of_its_lowest_side() -> None:
    """Seen from outside the first corner is at half of 3000."""
    assert compared_plan(counter(*BOX, closed=True)).runs[0].start == pytest.approx(1500.0)


def test_box_turned_onto_its_corner_starts_there() -> None:
    """Its lowest point is a corner: station 0 is a run's end, and the last run ends on it."""
    job = counter(*BOX, closed=True)
    job = replace(job, outlines=(replace(job.outlines[0], heading=0.3),))
    plan = compared_plan(job)
    assert plan.runs[0].start == 0.0
    assert plan.runs[-1].end == pytest.approx(plan.lines[0].back.length)


def test_run_that_stops_at_a_jamb_short_of_a_corner_has_no_mitre() -> None:
    """An opening from the corner on: the run before ends square, at its own length."""
    gap = Opening("gap", 1400.0, 2100.0)
    plan = compared_plan(counter(Straight(1400.0), corner(90), Straight(2100.0), openings=(gap,)))
    assert [run.count_length for run in plan.runs] == pytest.approx([1400.0, 1400.0], abs=1e-9)


def test_corner_without_a_word_on_it_is_a_fault() -> None:
    """The job must say how runs meet there."""
    job = counter(Straight(1400.0), corner(90), Straight(2100.0))
    with pytest.raises(JobFaults, match=r"it has a corner of 90\.00° to the left") as caught:
        compared_plan(replace(job, outlines=(replace(job.outlines[0], corner=None),)))
    assert 'corner = "mitre"' in caught.value.faults[0].remedy


@pytest.mark.parametrize(("degrees", "ok"), [(150, True), (151, False)])
def test_corner_too_sharp_for_a_mitre_is_a_fault(degrees: int, ok: bool) -> None:
    """150° is the last."""
    job = counter(Straight(1400.0), corner(degrees), Straight(2100.0))
    if ok:
        assert check_plan(compared_plan(job)) == ()
    else:
        with pytest.raises(JobFaults, match=r"a mitre turns at most 150\.0°"):
            compared_plan(job)


@pytest.mark.parametrize("kind", ["mitre", "return"])
@pytest.mark.parametrize("degrees", [45, 60, 90, 120, 135, -45, -60, -90, -120, -135])
def test_check_finds_what_a_corner_changes_by_crossing_lines(kind: str, degrees: int) -> None:
    """The check's crossings of lines come to the planner's formulas."""
    turn = math.radians(degrees)
    planned = [end.change(9.0) for end in ends_at(kind, turn, DEPTH)]
    assert corner_changes(kind, turn, 9.0, DEPTH) == pytest.approx(planned, abs=1e-9)


def planned() -> Plan:
    """Return an L seen from outside."""
    return compared_plan(counter(*ELL, closed=True))


def outline(**change: object) -> Damage:
    """Change the outline of the job under a plan."""
    return lambda plan: replace(plan, job=replace(plan.job, outlines=(replace(plan.job.outlines[0], **change),)))


DAMAGES: dict[str, Damage] = {
    "returns in the job": outline(corner="return"),
    "a corner a hundredth of a degree sharper": lambda plan: outline(
        steps=tuple(corner(90.01) if step == corner(90) else step for step in plan.job.outlines[0].steps)
    )(plan),
    "run longer at the count line": of("runs", 0, count_length=lambda mm: mm + 0.01),
    "end of a run off its corner": of("runs", 0, end=lambda mm: mm + 0.01),
    "why a run ends": of("runs", 0, end_why="end"),
    "boundary moved": of("runs", 1, stations=lambda at: at + 0.01),
    "seam looks round the corner": lambda plan: of(
        "seams", next(k for k, seam in enumerate(plan.seams) if seam.end and seam.boundary), heading=lambda h: h + RIGHT
    )(plan),
}


@pytest.mark.parametrize("name", list(DAMAGES))
def test_damage_at_corners_is_found(name: str) -> None:
    """Each change alone is told."""
    assert check_plan(DAMAGES[name](planned()))


def test_no_scallop_is_cut_at_a_corner() -> None:
    """Two walls that meet, ends cut: each is cut at its free end, where a trim can bury it, and the plan is checked."""
    made = counter(Straight(1420.0), corner(90), Straight(2130.0))
    plan = compared_plan(replace(made, face=replace(made.face, ends="cut")))
    assert [(run.first_part is not None, run.last_part is not None) for run in plan.runs] == [
        (True, False),
        (False, True),
    ]


@pytest.mark.parametrize(("kind", "word"), [("mitre", "mitre of 45.0°"), ("return", "returns past the corner")])
def test_corners_are_told_with_where_their_valleys_stand(kind: str, word: str) -> None:
    """The cautions name the corner's station, what is done with the ends there, and both valleys beside it."""
    plan = compared_plan(counter(Straight(1400.0), corner(90), Straight(2100.0), corner=kind))
    (told,) = [said for said in plan.cautions if said.startswith("corner at station 1400 mm")]
    assert word in told
    beyond = height(plan) * math.tan(RIGHT / 2)
    if kind == "mitre":
        assert told.count(f"stands {format_length(beyond, 'mm')} past the corner") == 2
