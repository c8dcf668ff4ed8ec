"""The whole line, from a job to a checked plan."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest

from layout.errors import JobFaults, NoPlan
from layout.face.plan import Plan
from layout.face.planning import make_plan
from layout.job.model import Avoid, Job, OrderSpec, OutlineSpec, SheetSpec
from layout.units import parse_length
from tests.jobs import INCH, bent, job, kiosk, oval, straight, with_face, with_scallop, with_seams


def values(plan: Plan) -> dict[str, float]:
    return {proof.goal: proof.value for proof in plan.proof}


def boundaries(plan: Plan) -> list[int]:
    return [seam.boundary for seam in plan.seams]


def test_round_kiosk_plans_in_four_panels():
    """Common practice, no source: 96 in across in 3 × 3/4 in is 102 scallops in 4 panels, curve or not."""
    plan = make_plan(kiosk())
    assert plan.runs[0].scallops == 102
    assert len(plan.panels) == 4
    assert sum(panel.scallops for panel in plan.panels) == 102
    assert all(proof.proved for proof in plan.proof)


def test_oval_counter_needs_eight_sheets_and_ten_with_spare_and_proving():
    """Common practice, no source: about 24 × 15 ft takes ten 10-ft sheets, the bare need being 8."""
    made = oval(24 * 12, 15 * 12, order=OrderSpec("0.10", 1))
    made = with_scallop(made, pitch=2.95 * INCH, pitch_range=(2.9 * INCH, 3.0 * INCH))
    plan = make_plan(made)
    assert plan.order[0].needed == 8
    assert plan.order[0].buy == 10


def test_fewest_panels_are_the_ceiling_where_nothing_forbids():
    """A blank of 120 in gives floor((120 − 1.5)/S) scallops, one of them the lap."""
    plan = make_plan(kiosk())
    most = math.floor((120 - 1.5) * INCH / plan.scallop.profile.developed) - 1
    assert len(plan.panels) == math.ceil(102 / most)


def test_butt_seams_gain_the_lap_scallop():
    """Without laps every blank is shorter by one scallop, form trim and all else the same."""
    lap, butt = make_plan(kiosk()), make_plan(with_face(kiosk(), seam="butt"))
    assert not any(panel.lapped for panel in butt.panels)
    by_count = {p.scallops: p.blank_length for p in lap.panels}
    for panel in butt.panels:
        if panel.scallops in by_count:
            developed = butt.scallop.profile.developed
            assert panel.blank_length == pytest.approx(by_count[panel.scallops] - developed)


def test_last_panel_of_an_open_run_carries_no_lap():
    """Free ends don't lap, so only the last panel is without."""
    plan = make_plan(straight(300.0))
    assert [panel.lapped for panel in plan.panels] == [True] * (len(plan.panels) - 1) + [False]
    assert plan.seams[0].why == plan.seams[-1].why == "end"
    assert [seam.number for seam in plan.seams] == list(range(1, len(plan.panels) + 2))


def test_no_seam_falls_in_a_stretch_kept_free():
    """Every seam lies outside it, ends included, also where it wraps past the datum."""
    free = Avoid(290 * INCH, 20 * INCH, "door")
    plan = make_plan(with_seams(kiosk(), avoid=(free,)))
    assert all(20 * INCH < seam.station < 290 * INCH for seam in plan.seams)
    assert [(s.start, s.end, s.why) for s in plan.stretches] == [(free.start, free.end, "door")]


def test_a_stretch_past_the_end_of_the_line_is_a_fault():
    """A wall of 300 in ends at 25 ft; a stretch to its very end is fine, a hair more is not."""
    wall = straight(300.0)
    assert make_plan(with_seams(wall, avoid=(Avoid(280 * INCH, 300 * INCH, "post"),))).panels
    with pytest.raises(JobFaults, match="the back line ends at station 25 ft") as refusal:
        make_plan(with_seams(wall, avoid=(Avoid(280 * INCH, 300.1 * INCH, "post"),)))
    assert [fault.key for fault in refusal.value.faults] == ["seams.avoid[1].to"]


def test_a_lap_over_is_judged_one_scallop_further_right():
    """A stretch that bars only boundary j bars a seam at j under, at j − 1 over."""
    wall = straight(300.0)
    under = make_plan(wall)
    middle = under.seams[1].boundary
    free = (Avoid((middle - 0.2) * 3 * INCH, (middle + 0.2) * 3 * INCH, "post"),)
    for goes, barred in (("under", middle), ("over", middle - 1)):
        plan = make_plan(with_face(with_seams(wall, avoid=free), lap_goes=goes))
        assert barred not in boundaries(plan)[1:-1]


def test_tight_radius_keeps_seams_off_the_ends_of_an_oval():
    """Half axes a, b: radius b²/a at the ends; seams keep one pitch off what is tighter than asked."""
    made = oval(240.0, 140.0)
    free, kept = make_plan(made), make_plan(with_seams(made, tight_radius=60 * INCH))
    assert min(seam.radius or math.inf for seam in kept.seams) > 60 * INCH
    assert any(stretch.why == "tight curve" for stretch in kept.stretches)
    assert values(kept)["panels"] >= values(free)["panels"]


def test_worst_seam_is_on_the_flattest_places_of_an_oval():
    """Lift falls with curvature, so no chosen seam is worse than what the proof says, and it is proved."""
    plan = make_plan(oval(240.0, 140.0))
    assert max(seam.cost for seam in plan.seams) == values(plan)["worst_seam"]
    assert sum(seam.cost for seam in plan.seams) == values(plan)["seam_cost"]


def test_each_seam_says_why():
    """Reasons are of the known kinds, and a longest panel reaches as far as the sheet does."""
    plan = make_plan(with_seams(bent(), avoid=(Avoid(70 * INCH, 100 * INCH, "hatch"),)))
    known = {
        "free",
        "kept off the tight curve",
        "where the edge lifts less",
        "as far as the sheet reaches",
        "end",
        "kept off: hatch",
    }
    assert {seam.why for seam in plan.seams} <= known


def test_short_panels_share_a_strip_and_a_sheet():
    """Panels of at most 10 scallops of a low face: several to a strip, several strips to a sheet."""
    low = with_face(straight(300.0), height=11 * INCH, largest_scallops=10)
    plan = make_plan(low)
    blanks = Counter(panel.sheet for panel in plan.panels)
    assert len(plan.panels) == 10
    assert len(plan.sheets) == 1
    assert blanks[1] == 10


def test_a_blank_higher_than_the_sheet_is_a_fault():
    """48 in of height just fits a 48 in sheet; a sixteenth more does not."""
    assert make_plan(with_face(kiosk(), height=48 * INCH)).panels
    with pytest.raises(JobFaults, match="fits no sheet") as refusal:
        make_plan(with_face(kiosk(), height=48.0625 * INCH))
    assert refusal.value.faults[0].key == "face.height"


def test_a_stretch_too_long_for_any_panel_is_told_with_the_least_change():
    """No panel of a 10-ft sheet crosses 12 ft without a seam; the refusal names what would heal it."""
    wall = straight(300.0)
    with pytest.raises(NoPlan, match="cannot cross the stretch") as refusal:
        make_plan(with_seams(wall, avoid=(Avoid(60 * INCH, 204 * INCH, "glass"),)))
    assert any("Allow a seam at" in remedy for remedy in refusal.value.remedies)
    assert any("Allow panels of" in remedy for remedy in refusal.value.remedies)


def test_the_sheet_that_a_refusal_names_is_enough_and_an_inch_less_is_not():
    """The remedy's length is read back from its words and used as told."""
    mural = (Avoid(60 * INCH, 204 * INCH, "mural"),)
    wall = with_seams(straight(300.0), avoid=mural)
    with pytest.raises(NoPlan) as refusal:
        make_plan(wall)
    (told,) = [remedy for remedy in refusal.value.remedies if "a sheet" in remedy]
    length = parse_length(told.split("a sheet ")[1].split(" long")[0], "in")
    sheet = SheetSpec(length=length, width=48 * INCH)
    assert make_plan(replace(wall, sheets=(sheet,))).panels
    with pytest.raises(NoPlan):
        make_plan(replace(wall, sheets=(replace(sheet, length=length - INCH),)))


def test_lap_on_steep_flanks_is_a_fault_and_butt_is_not():
    """A half-round arc stands at 90°, past the 75° of a lap (common practice, no source)."""
    steep = with_scallop(kiosk(), depth=1.5 * INCH, most_take_up=0.05)
    steep = with_face(steep, smallest_panel=2)
    with pytest.raises(JobFaults, match="75"):
        make_plan(steep)
    assert make_plan(with_face(steep, seam="butt")).panels


def test_pitch_range_takes_the_count_with_the_best_goals():
    """Each count of the range is planned alone with its own pitch, and none beats the plan."""
    made = with_scallop(oval(200.0, 130.0), pitch_range=(2.9 * INCH, 3.1 * INCH))
    best = make_plan(made)
    for scallops in range(best.runs[0].scallops - 3, best.runs[0].scallops + 4):
        near = best.lines[0].count.length / scallops
        narrow = with_scallop(made, pitch=near, pitch_range=(near * 0.9975, near * 1.0025))
        try:
            other = make_plan(narrow)
        except NoPlan:
            continue
        keys = [tuple(values(p)[g] for g in made.seams.goals) for p in (best, other)]
        if 2.9 * INCH <= other.scallop.pitch <= 3.1 * INCH:
            assert keys[0] <= keys[1]


# The plan moves with the plan.

L_SHAPE = OutlineSpec("", "path", steps=bent().outlines[0].steps, closed=False, face="right")


def turned(made: Job, angle: float, shift: tuple[float, float]) -> Job:
    """Return the job with its path turned and shifted."""
    spec = made.outlines[0]
    return replace(made, outlines=(replace(spec, start=shift, heading=spec.heading + angle),))


@pytest.mark.parametrize(("angle", "shift"), [(0.7, (0.0, 0.0)), (-2.1, (5000.0, -300.0)), (math.pi, (1.0, 1.0))])
def test_turned_and_shifted_paths_have_the_same_plan(angle: float, shift: tuple[float, float]):
    """Seams depend on the line alone, not on where it lies."""
    here, there = make_plan(job(L_SHAPE)), make_plan(turned(job(L_SHAPE), angle, shift))
    assert values(here) == values(there)
    assert boundaries(here) == boundaries(there)
    assert [s.station for s in there.seams] == pytest.approx([s.station for s in here.seams], abs=1e-6)


def test_a_quarter_turn_of_an_oval_keeps_its_goals():
    """Length and width exchanged, the datum moved along: the same seams."""
    lying = oval(220.0, 150.0)
    lying = replace(lying, outlines=(replace(lying.outlines[0], datum=(0.0, -75 * INCH)),))
    standing = oval(150.0, 220.0)
    standing = replace(standing, outlines=(replace(standing.outlines[0], datum=(75 * INCH, 0.0)),))
    one, two = make_plan(lying), make_plan(standing)
    assert values(one) == values(two)
    assert [s.station for s in two.seams] == pytest.approx([s.station for s in one.seams], abs=1e-5)


def test_the_other_half_datum_of_an_oval_keeps_its_goals():
    """An ellipse is the same from its other side: same values, and stations to the same numbers."""
    made = oval(220.0, 150.0)
    opposite = replace(made, outlines=(replace(made.outlines[0], datum=(0.0, 75 * INCH)),))
    one, two = make_plan(made), make_plan(opposite)
    assert values(one) == values(two)
    assert boundaries(one) == boundaries(two)


def test_a_mirrored_wall_has_mirrored_goals_with_butt_seams():
    """Steps in reverse order with butt seams: the same values (laps have a hand, butts have not)."""
    spec = L_SHAPE
    mirror = replace(spec, steps=spec.steps[::-1])
    one = make_plan(with_face(job(spec), seam="butt"))
    two = make_plan(with_face(job(mirror), seam="butt"))
    assert values(one) == values(two)


def test_inch_and_millimetre_jobs_of_one_size_have_one_plan():
    """Units are only how lengths are written."""
    inch = oval(220.0, 150.0)
    one, two = make_plan(inch), make_plan(replace(inch, units="mm"))
    assert values(one) == values(two)
    assert boundaries(one) == boundaries(two)


def test_inside_and_outside_of_a_loop_run_opposite_ways():
    """An inside face runs clockwise and is concave: its count line is shorter than its back line."""
    outside = make_plan(oval(220.0, 150.0))
    spec = OutlineSpec("", "ellipse", length=220 * INCH, width=150 * INCH, face="inside")
    inside = make_plan(job(spec))
    drawn = outside.lines[0].back.length
    assert inside.lines[0].back.length == pytest.approx(drawn, rel=1e-12)
    height = outside.lines[0].count.length - drawn
    assert drawn - inside.lines[0].count.length == pytest.approx(height, rel=1e-9)


def test_same_job_same_plan():
    """Nothing is left to chance."""
    one, two = make_plan(bent()), make_plan(bent())
    assert one.seams == two.seams
    assert one.panels == two.panels
    assert one.sheets == two.sheets


def test_kerf_and_trims_are_counted():
    """A sheet that just holds a blank between its trims no longer does with a trim a little wider."""
    plan = make_plan(kiosk())
    longest = max(panel.blank_length for panel in plan.panels)
    sheet = SheetSpec(length=longest + 20.0, width=48 * INCH, trim=10.0)
    assert len(make_plan(replace(kiosk(), sheets=(sheet,))).panels) == len(plan.panels)
    tight = replace(sheet, trim=10.01)
    again = make_plan(replace(kiosk(), sheets=(tight,)))
    assert max(panel.blank_length for panel in again.panels) < longest


def test_a_curve_tighter_than_the_natural_bend_is_planned_with_a_caution():
    """A metal of a quarter of the yield has four times the natural bend radius: the kiosk's curve sets it."""
    soft = replace(kiosk(), metal=replace(kiosk().metal, yield_=40.0))
    plan = make_plan(soft)
    flex = plan.scallop.flex
    assert flex.natural_bend_radius > 48 * INCH
    assert flex.tight_take_up_limit == 0
    assert any(caution.startswith("pre-curve") for caution in plan.cautions)
    assert not any(caution.startswith("pre-curve") for caution in make_plan(kiosk()).cautions)


def test_a_length_written_as_a_count_is_a_fault():
    """`largest_panel = 90` in an inch job would be 90 scallops, and the limit would vanish."""
    with pytest.raises(JobFaults, match='as "90 in"'):
        make_plan(with_face(kiosk(), largest_scallops=90))
    assert make_plan(with_face(kiosk(), largest_scallops=60)).panels


def test_a_sliver_at_a_cut_end_earns_a_caution():
    """33 scallops of 3 in and a tenth of an inch: a trim holds no such sliver; half a scallop it does."""
    for length, slivers in ((99.1, 1), (100.5, 0)):
        plan = make_plan(with_face(straight(length), ends="cut"))
        assert sum("its last scallop is cut to" in caution for caution in plan.cautions) == slivers


def test_a_refusal_names_the_whole_stretch_and_the_radius_that_would_do():
    """A stretch of 12 ft is told whole; a tight radius that bars all is told with one that does not."""
    with pytest.raises(NoPlan) as stretch:
        make_plan(with_seams(straight(300.0), avoid=(Avoid(60 * INCH, 204 * INCH, "mural"),)))
    assert "of mural, from station 5 ft to 17 ft" in stretch.value.reason
    with pytest.raises(NoPlan) as tight:
        make_plan(with_seams(oval(240.0, 140.0), tight_radius=300 * INCH))
    assert "seams.tight_radius of at most" in tight.value.remedies[0]
    told = tight.value.remedies[0].split("at most ")[1].split(" lets")[0]
    assert make_plan(with_seams(oval(240.0, 140.0), tight_radius=parse_length(told, "in"))).panels


def test_a_longest_panel_by_the_job_is_not_laid_to_the_sheet():
    """With the job's own limit the reason is that limit; without it the sheet's."""
    limited = make_plan(with_face(kiosk(), largest_scallops=23))
    assert "as long as a panel may be" in {seam.why for seam in limited.seams}
    assert "as far as the sheet reaches" not in {seam.why for seam in limited.seams}
    free = make_plan(with_face(kiosk(), smallest_panel=3))  # 3 + 33 + 33 + 33
    assert "as far as the sheet reaches" in {seam.why for seam in free.seams}


def test_a_stretch_over_the_whole_loop_bars_every_seam():
    """From the datum round to the datum again nothing is left; half the loop leaves plenty."""
    length = math.pi * 96 * INCH
    with pytest.raises(NoPlan):
        make_plan(with_seams(kiosk(), avoid=(Avoid(0.0, length, "all round"),)))
    with pytest.raises(NoPlan):
        make_plan(with_seams(kiosk(), avoid=(Avoid(0.0, length - 1e-7, "all round"),)))
    assert make_plan(with_seams(kiosk(), avoid=(Avoid(0.0, 80 * INCH, "side"),))).panels


def test_a_pitch_too_steep_to_lap_is_passed_over_while_another_laps():
    """Depth 1.2 in: at 3.0 in the flanks stand at 81°, at 3.2 in they lap; the range still plans."""
    made = with_scallop(kiosk(), depth=1.2 * INCH, pitch_range=(2.8 * INCH, 3.2 * INCH), most_take_up=0.05)
    plan = make_plan(with_face(made, smallest_panel=2))
    assert plan.scallop.profile.steepest <= math.radians(75)


@pytest.mark.parametrize("pitch", [2.81, 2.87, 2.93, 3.0, 3.04, 3.11, 3.17])
@pytest.mark.parametrize("units", ["in", "mm"])
def test_every_sheet_told_is_long_enough_as_told(pitch: float, units: str):
    """Rounded to the nearest figure half of these would fall short; a remedy is rounded to the side that does."""
    wall = with_scallop(straight(300.0), pitch=pitch * INCH, most_take_up=0.05)
    wall = replace(with_seams(wall, avoid=(Avoid(60 * INCH, 210 * INCH, "mural"),)), units=units)
    with pytest.raises(NoPlan) as refusal:
        make_plan(wall)
    (told,) = [remedy for remedy in refusal.value.remedies if "a sheet" in remedy]
    length = parse_length(told.split("a sheet ")[1].split(" long")[0], units)
    assert make_plan(replace(wall, sheets=(SheetSpec(length=length, width=48 * INCH),))).panels
