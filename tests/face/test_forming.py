"""How plans are formed: die, stock tools, first-off, press, flex by panel, and what the check finds."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from layout.errors import JobFaults
from layout.face.check import check_plan
from layout.face.forming_job import formed_job
from layout.face.plan import Plan
from layout.face.planning import make_plan
from layout.job.model import FixingSpec, Job, MetalSpec, ScallopSpec, SeamsSpec
from layout.job.model_forming import DieSpec, MeasuredSpec, PressSpec
from layout.metal.die import BOTTOMED, FREE
from tests.jobs import INCH, bent, kiosk, oval, straight

TON = 2000 * 4.4482216152605
KSI = 6.894757293168361
SHORT = SeamsSpec(goals=("panels", "worst_seam"))


def quick(job: Job, **parts: object) -> Job:
    return replace(job, seams=SHORT, **parts)  # type: ignore[arg-type]


@cache
def plain() -> Plan:
    return make_plan(quick(kiosk()))


def test_a_free_die_overbends_by_gardiners_cubic():
    """R0 = Rf·(4x³ − 3x + 1), x = R0·Y/(E·t) < 1/2, for the crest of the plan's own scallop."""
    die, profile, metal = plain().forming.die, plain().scallop.profile, plain().forming.metal
    x = die.crest_radius * metal.yield_ / (metal.modulus * profile.thickness)
    assert x < 0.5
    assert die.crest_radius == pytest.approx(profile.crest_radius * (4 * x**3 - 3 * x + 1), rel=1e-12)
    assert die.punch_radius == pytest.approx(die.crest_radius - profile.thickness / 2)
    assert die.way == FREE
    assert plain().forming.other.way == BOTTOMED


def test_three_grooves_are_usual_and_others_may_be_asked_for():
    """Common practice, no source: three grooves; a nesting error for the second and the third."""
    assert (plain().forming.die.grooves, len(plain().forming.die.nesting)) == (3, 2)
    four = make_plan(quick(kiosk(), press=PressSpec(grooves=4))).forming
    assert (four.die.grooves, len(four.die.nesting), four.press.grooves) == (4, 3, 4)


def test_a_stroke_makes_a_scallop():
    """By panel its scallops and its lap; in the job their sum, at three strokes a minute."""
    forming = plain().forming
    assert forming.strokes == tuple(p.scallops + p.lapped for p in plain().panels)
    assert forming.strokes_in_all == sum(p.scallops for p in plain().panels) + sum(p.lapped for p in plain().panels)
    assert forming.press.hours == pytest.approx(forming.strokes_in_all / 3 / 60)


def test_a_three_inch_bar_gives_about_three_by_three_quarters():
    """Common practice, no source: 24 gauge mild steel near 33 ksi, depth within 5 %; planned, it stays so."""
    plan = make_plan(quick(kiosk(), die=DieSpec(tool="3 in bar")))
    assert plan.scallop.pitch == pytest.approx(3 * INCH)
    assert plan.scallop.depth == pytest.approx(0.75 * INCH, rel=0.05)
    assert 2 * plan.forming.die.punch_radius == pytest.approx(3 * INCH, rel=1e-9)
    chosen = [tool for tool in plan.forming.stock if tool.chosen]
    assert [tool.name for tool in chosen] == ["3 in bar"]
    assert chosen[0].depth_off == pytest.approx(plan.scallop.depth - 0.75 * INCH)


@pytest.mark.parametrize(
    ("way", "name"),
    [
        *[("free", name) for name in ("3 in bar", "NPS 2-1/2 pipe", "3 in hole cutter", "73 mm tube")],
        *[("bottomed", name) for name in ("3-3/4 in bar", "NPS 3-1/2 pipe", "4 in hole cutter", "96 mm tube")],
    ],
)
def test_choosing_a_stock_tool_and_planning_with_it_is_a_round_trip(way: str, name: str):
    """The plan with a tool has the pitch, depth, flat metal and count that the table offered it with."""
    offered = make_plan(quick(oval(190, 140), die=DieSpec(tool=name, way=way)))
    (row,) = [tool for tool in offered.forming.stock if tool.chosen]
    assert (offered.scallop.pitch, offered.scallop.depth) == pytest.approx((row.pitch, row.depth), rel=1e-12)
    assert offered.scallop.profile.developed == pytest.approx(row.developed, rel=1e-12)
    assert sum(run.scallops for run in offered.runs) == row.count
    again = formed_job(offered.job)
    assert again.scallop == offered.job.scallop
    assert again.drawn == kiosk().scallop


def test_offered_counts_are_those_of_plans_with_these_tools():
    """A tool offered to the drawn job, taken, gives the count that the offer said."""
    for tool in plain().forming.stock[:3]:
        taken = make_plan(quick(kiosk(), die=DieSpec(tool=tool.name)))
        assert sum(run.scallops for run in taken.runs) == tool.count


def measured(depth: float = 0.74, **edges: float) -> DieSpec:
    scallop = ScallopSpec("arc", pitch=3.02 * INCH, depth=depth * INCH)
    half = math.atan2(2 * scallop.depth, scallop.pitch)
    stretch = scallop.pitch * 2 * half / math.sin(2 * half)
    return DieSpec(measured=MeasuredSpec(10, 30.2 * INCH, scallop.depth, 10 * stretch * 1.004, **edges))


def test_what_the_first_off_measures_is_what_is_planned():
    """Pitch length/10, depth, flat metal flat/10: the blanks are of the metal that the die really takes."""
    plan = make_plan(quick(kiosk(), die=measured()))
    given = plan.job.die.measured
    assert plan.scallop.pitch == pytest.approx(given.length / 10)
    assert plan.scallop.depth == given.depth
    assert plan.scallop.drawn_pitch == 3 * INCH
    panel = plan.panels[0]
    trim = 2 * plan.job.face.form_trim
    assert panel.blank_length == pytest.approx((panel.scallops + panel.lapped) * given.flat / 10 + trim)
    assert plan.forming.measured.pitch_off == pytest.approx(0.02 * INCH)
    assert plan.forming.fans == ()


def test_a_fan_within_its_limit_is_told_by_panel_and_past_it_refused():
    """1/8 in over a panel: 0.09 in over ten scallops of 32 passes, 0.13 in does not."""
    top = 30.2 * INCH
    plan = make_plan(quick(kiosk(), die=measured(length_top=top + 0.09 * INCH / 3.3)))
    assert len(plan.forming.fans) == len(plan.panels)
    assert plan.forming.fans[0].longer_by > 0
    with pytest.raises(JobFaults, match=r"die\.measured.*Level the die"):
        make_plan(quick(kiosk(), die=measured(length_top=top + 1.3 * INCH / 10, length_bottom=top)))


def test_a_scallop_that_no_straight_stroke_overbends_is_bottomed_and_said():
    """Flanks of 86° cannot be bent a seventh further: the die is the drawing, and the plan says so."""
    face = replace(kiosk().face, seam="butt")
    plan = make_plan(quick(kiosk(), face=face, scallop=ScallopSpec("arc", 3 * INCH, 1.4 * INCH)))
    forming = plan.forming
    assert (forming.die.way, forming.die.springback_ratio, forming.other) == (BOTTOMED, 1.0, None)
    assert any("worked out bottomed" in caution for caution in plan.cautions)


def test_a_shop_press_of_thirty_tons_has_ample_margin():
    """Common practice, no source: three grooves of 24 gauge bottomed take under a quarter of 30 tons."""
    work = make_plan(quick(kiosk(), press=PressSpec(capacity=30 * TON))).forming.press
    assert work.share == pytest.approx(work.force / (30 * TON))
    assert work.bottoming_range[1] < 0.25 * 30 * TON
    assert work.bottoming == pytest.approx(4 * 3 * work.force)


def test_force_scales_as_the_blanks_height():
    """F ∝ w: twice the blank, twice the force; nothing else of the plan enters."""
    low = make_plan(quick(kiosk(), face=replace(kiosk().face, height=20 * INCH))).forming.press
    assert plain().forming.press.force == pytest.approx(2 * low.force)


def test_a_press_too_small_says_what_would_do():
    """Over capacity: a caution of the plan with the height that it forms; bottoming counts only where one bottoms."""
    force = plain().forming.press.force
    over = make_plan(quick(kiosk(), press=PressSpec(capacity=0.9 * force)))
    assert any("over capacity" in caution for caution in over.cautions)
    tight = PressSpec(capacity=2 * force)
    free = make_plan(quick(kiosk(), press=tight))
    assert not any("bottoming" in caution for caution in free.cautions)
    pressed = make_plan(quick(kiosk(), press=tight, die=DieSpec(way="bottomed")))
    assert any("bottoming 3 grooves is over capacity" in caution for caution in pressed.cautions)


def test_the_press_must_take_the_face_and_its_lift():
    """Last valid and first invalid bed and daylight."""
    height = plain().panels[0].blank_height
    make_plan(quick(kiosk(), press=PressSpec(bed=height)))
    with pytest.raises(JobFaults, match=r"press\.bed"):
        make_plan(quick(kiosk(), press=PressSpec(bed=height - 0.1)))
    die, profile = plain().forming.die, plain().scallop.profile
    clear = die.loaded_depth + profile.depth + profile.thickness
    make_plan(quick(kiosk(), press=PressSpec(daylight=clear + 0.1)))
    with pytest.raises(JobFaults, match=r"press\.daylight"):
        make_plan(quick(kiosk(), press=PressSpec(daylight=clear)))


def test_stretch_sets_sooner_than_crowd():
    """Residue of forming: what a panel may stretch is opening_share of what it may crowd, at least half."""
    forming = plain().forming
    assert 0.5 < forming.opening_share < 1
    for one in forming.flex:
        assert one.stretch == pytest.approx(one.crowd * forming.opening_share)
        assert one.crowd > 0


def test_panels_on_curves_tighter_than_the_natural_bend_are_named():
    """An oval's ends are pre-curved where 1/κ falls under R_el; a straight wall's panels never are."""
    plan = make_plan(quick(oval(300, 60), metal=MetalSpec("steel", 0.0239 * INCH, 24)))
    natural = plan.scallop.flex.natural_bend_radius
    named = {one.panel for one in plan.forming.flex if one.pre_curve}
    tight = {one.panel for one in plan.forming.flex if one.radius is not None and abs(one.radius) < natural}
    assert named == tight
    (caution,) = [text for text in plan.cautions if text.startswith("pre-curve")] or [""]
    assert all(str(number) in caution for number in named)
    flat = make_plan(quick(straight(400)))
    assert not any(one.pre_curve or one.radius is not None or one.end_pull for one in flat.forming.flex)


def test_a_hollow_curve_presses_its_ends_and_a_convex_one_pulls_them():
    """On the concave part of a wandering wall nothing pulls at the fixings; on the convex part it does."""
    inside = replace(kiosk(), outlines=(replace(kiosk().outlines[0], face="inside"),))
    assert all(one.end_pull == 0 for one in make_plan(quick(inside)).forming.flex)
    assert all(one.end_pull > 0 for one in plain().forming.flex)
    assert {one.radius is not None and one.radius < 0 for one in make_plan(quick(bent())).forming.flex} == {True, False}


def test_weak_fixings_ask_for_more_rows():
    """What the ends pull over what a fixing holds, rounded up; more than the job has earns a caution."""
    pull = plain().forming.flex[0].end_pull
    enough = make_plan(quick(kiosk(), fixing=FixingSpec(pull=pull / 3 * 1.001)))
    assert {one.rows for one in enough.forming.flex} == {3}
    assert not any("spring off with" in caution for caution in enough.cautions)
    weak = make_plan(quick(kiosk(), fixing=FixingSpec(pull=pull / 3 * 0.999)))
    assert {one.rows for one in weak.forming.flex} == {4}
    assert any("spring off with" in caution and "4 times" in caution for caution in weak.cautions)


@pytest.mark.parametrize("low", [20.0, 30.0])
def test_the_band_of_yields_is_the_jobs_where_it_gives_one(low: float):
    """Softer metal finishes deeper than planned, harder shallower; the band's ends are those given."""
    spec = MetalSpec("steel", 0.0239 * INCH, 24, yield_low=low * KSI, yield_high=45 * KSI)
    soft, planned, hard = make_plan(quick(kiosk(), metal=spec)).forming.die.outcomes
    assert (soft.yield_, hard.yield_) == pytest.approx((low * KSI, 45 * KSI))
    assert soft.depth > planned.depth > hard.depth


def outcome(forming, k, field, more):
    """Return the forming with one figure of one outcome larger."""
    changed = list(forming.die.outcomes)
    changed[k] = replace(changed[k], **{field: getattr(changed[k], field) + more})
    return replace(forming, die=replace(forming.die, outcomes=tuple(changed)))


def offered(forming, field, more):
    """Return the forming with one figure of a tool that is not chosen larger."""
    k = next(k for k, tool in enumerate(forming.stock) if not tool.chosen)
    changed = list(forming.stock)
    changed[k] = replace(changed[k], **{field: getattr(changed[k], field) + more})
    return replace(forming, stock=tuple(changed))


DAMAGE = {
    "punch": lambda f: replace(f, die=replace(f.die, punch_radius=f.die.punch_radius + 0.01)),
    "groove": lambda f: replace(f, die=replace(f.die, groove_radius=f.die.groove_radius + 0.01)),
    "crest": lambda f: replace(f, die=replace(f.die, crest_radius=f.die.crest_radius * 1.001)),
    "ratio": lambda f: replace(f, die=replace(f.die, springback_ratio=f.die.springback_ratio * 1.001)),
    "loaded pitch": lambda f: replace(f, die=replace(f.die, loaded_pitch=f.die.loaded_pitch + 0.1)),
    "loaded depth": lambda f: replace(f, die=replace(f.die, loaded_depth=f.die.loaded_depth + 0.1)),
    "feed": lambda f: replace(f, die=replace(f.die, feed=f.die.feed + 0.01)),
    "grooves": lambda f: replace(f, die=replace(f.die, grooves=4)),
    "strokes": lambda f: replace(f, strokes=(f.strokes[0] + 1, *f.strokes[1:])),
    "force": lambda f: replace(f, press=replace(f.press, force=f.press.force * 20)),
    "bottoming": lambda f: replace(f, press=replace(f.press, bottoming=f.press.bottoming * 2)),
    "hours": lambda f: replace(f, press=replace(f.press, hours=f.press.hours * 2)),
    "share": lambda f: replace(f, press=replace(f.press, share=f.press.share * 1.01)),
    "pre-curve": lambda f: replace(f, flex=(replace(f.flex[0], pre_curve=True), *f.flex[1:])),
    "tool's pitch": lambda f: replace(f, stock=tuple(replace(tool, pitch=tool.pitch + 0.01) for tool in f.stock)),
    "tool's count": lambda f: replace(f, stock=tuple(replace(tool, count=tool.count + 1) for tool in f.stock)),
    "force, a little": lambda f: replace(f, press=replace(f.press, force=f.press.force * 1.00001)),
    "bottoming, a little": lambda f: replace(f, press=replace(f.press, bottoming=f.press.bottoming * 1.00001)),
    "force range": lambda f: replace(f, press=replace(f.press, force_range=(0.0, f.press.force_range[1]))),
    "bottoming range": lambda f: replace(f, press=replace(f.press, bottoming_range=(f.press.bottoming,) * 2)),
    "bend": lambda f: replace(f, press=replace(f.press, bend=(f.press.bend[0] + 1, *f.press.bend[1:]))),
    "bend cut short": lambda f: replace(f, press=replace(f.press, bend=f.press.bend[:3])),
    "grooves in contact": lambda f: replace(f, press=replace(f.press, grooves=2)),
    "capacity": lambda f: replace(f, press=replace(f.press, capacity=f.press.capacity * 2)),
    "no capacity": lambda f: replace(f, press=replace(f.press, capacity=None)),
    "bottoming share": lambda f: replace(f, press=replace(f.press, bottoming_share=0.1)),
    "opening": lambda f: replace(f, die=replace(f.die, opening=f.die.opening + 1)),
    "nesting": lambda f: replace(f, die=replace(f.die, nesting=(f.die.nesting[0], f.die.nesting[0]))),
    "nesting lost": lambda f: replace(f, die=replace(f.die, nesting=f.die.nesting[1:])),
    "finished pitch": lambda f: replace(f, die=replace(f.die, finished_pitch=f.die.finished_pitch + 0.1)),
    "outcome's yield": lambda f: outcome(f, 0, "yield_", 1.0),
    "outcome's pitch": lambda f: outcome(f, 1, "pitch", 0.1),
    "outcome's depth": lambda f: outcome(f, 2, "depth", 0.1),
    "outcome's crest": lambda f: outcome(f, 0, "crest_radius", 0.1),
    "outcome's punch": lambda f: outcome(f, 2, "punch_radius", 0.1),
    "an outcome lost": lambda f: replace(f, die=replace(f.die, outcomes=f.die.outcomes[:2])),
    "another metal": lambda f: replace(f, metal=replace(f.metal, tensile=f.metal.tensile * 1.001)),
    "no way to the drawn": lambda f: replace(f, to_drawn=None),
    "way to the drawn": lambda f: replace(f, to_drawn=replace(f.to_drawn, punch_radius=f.to_drawn.punch_radius + 0.1)),
    "flex of a panel lost": lambda f: replace(f, flex=f.flex[1:]),
    "a panel's take-up": lambda f: replace(f, flex=(replace(f.flex[0], take_up=9.0), *f.flex[1:])),
    "a panel's pull": lambda f: replace(f, flex=(replace(f.flex[0], pull=f.flex[0].pull * 2 + 1), *f.flex[1:])),
    "a panel's rows": lambda f: replace(f, flex=(replace(f.flex[0], rows=9), *f.flex[1:])),
    "one tool's pitch": lambda f: offered(f, "pitch", 0.01),
    "one tool's depth": lambda f: offered(f, "depth", 0.01),
    "one tool's flat metal": lambda f: offered(f, "developed", 0.01),
    "one tool's diameter": lambda f: offered(f, "diameter", 0.01),
    "one tool's count": lambda f: offered(f, "count", 1),
    "one tool's pitch off": lambda f: offered(f, "pitch_off", 0.01),
    "one tool's depth off": lambda f: offered(f, "depth_off", 0.01),
    "one tool's flat metal off": lambda f: offered(f, "developed_off", 0.01),
    "no such tool": lambda f: replace(f, stock=(*f.stock, replace(f.stock[-1], name="a spoon"))),
    "a tool twice": lambda f: replace(f, stock=(*f.stock, f.stock[-1])),
    "tool's diameter": lambda f: replace(f, stock=tuple(replace(tool, diameter=tool.diameter + 1) for tool in f.stock)),
}


@cache
def tooled() -> Plan:
    return make_plan(quick(kiosk(), die=DieSpec(tool="3 in bar"), press=PressSpec(capacity=30 * TON)))


def test_a_formed_plan_is_without_findings():
    """What the check works out again agrees, with a tool and with a measured first-off."""
    assert check_plan(tooled()) == ()
    assert check_plan(make_plan(quick(kiosk(), die=measured()))) == ()


@pytest.mark.parametrize("what", DAMAGE)
def test_the_check_finds_every_damage_to_what_is_formed(what: str):
    """A plan whose forming says something else is refused."""
    assert check_plan(replace(tooled(), forming=DAMAGE[what](tooled().forming)))


@pytest.mark.parametrize("share", [0.999, 1.001, 3.0])
def test_the_check_finds_flex_of_another_modulus(share: float):
    """The plan's pull a millimetre is that of the job's metal, not of any sheet metal."""
    plan = tooled()
    flex = replace(plan.scallop.flex, pull_per_mm=plan.scallop.flex.pull_per_mm * share)
    assert check_plan(replace(plan, scallop=replace(plan.scallop, flex=flex)))


@pytest.mark.parametrize("form", ["arc-flat", "sine", "serpentine", "arc-tangent", "arc"])
@pytest.mark.parametrize("way", ["free", "bottomed"])
def test_every_form_is_checked_both_ways_of_working(form: str, way: str):
    """Outcomes, tools and loaded shape of each form, worked out apart, agree with the plan."""
    scallop = {
        "arc": ScallopSpec("arc", 69.85, 15.875, valley_radius=6.0),
        "arc-flat": ScallopSpec("arc-flat", 76.0, 12.0, flat=12.0, valley_radius=4.0),
        "arc-tangent": ScallopSpec("arc-tangent", 76.2, 25.4, radius=14.29),
    }.get(form, ScallopSpec(form, 76.0, 18.0))
    plan = make_plan(quick(kiosk(), scallop=scallop, die=DieSpec(way=way)))
    assert check_plan(plan) == ()
    assert plan.forming.to_drawn is None


def test_a_curl_and_a_miss_are_cautions_with_a_way_out():
    """A free sheet of rounded arcs curls and misses its depth; bottomed or of one radius it does neither."""
    rounded = ScallopSpec("arc", 69.85, 15.875, valley_radius=6.0)
    curl = [text for text in make_plan(quick(kiosk(), scallop=rounded)).cautions if "formed free" in text]
    assert len(curl) == 2
    assert all("bottom it" in text.lower() for text in curl)
    assert "valley_radius" in curl[1]
    for plain_one in (
        {"die": DieSpec(way="bottomed"), "scallop": rounded},
        {"scallop": ScallopSpec("sine", 76.0, 18.0)},
    ):
        assert not any("formed free" in text for text in make_plan(quick(kiosk(), **plain_one)).cautions)


def test_a_low_daylight_and_a_fan_are_told_together_and_inches_first():
    """Both faults of one press and die; an inch job reads inches before millimetres."""
    uneven = measured(length_top=31.5 * INCH, length_bottom=30.2 * INCH)
    with pytest.raises(JobFaults) as refused:
        make_plan(quick(kiosk(), die=uneven, press=PressSpec(daylight=10.0, bed=36 * INCH)))
    assert {fault.key for fault in refused.value.faults} == {"die.measured", "press.daylight", "press.bed"}
    fan, _, bed = refused.value.faults
    assert bed.value == "36 in (914.4 mm)"
    assert "within 0.125 in (3.175 mm)" in fan.rule


def test_the_check_finds_a_first_off_that_is_not_planned_with():
    """Another measured pitch, depth or flat than the plan's."""
    plan = make_plan(quick(kiosk(), die=measured()))
    for change in ({"length": 900.0}, {"depth": 20.0}, {"flat": 900.0}):
        other = replace(plan.job.die, measured=replace(plan.job.die.measured, **change))
        assert check_plan(replace(plan, job=replace(plan.job, die=other)))
    assert check_plan(replace(plan, forming=None))
