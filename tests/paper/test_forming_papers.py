"""Die, first-off, press, flex, order and workings on paper: what they say, and that a calculator follows it."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from dataclasses import replace

import pytest
from paper_plans import circle, make_job, make_plan, wander
from scipy import integrate
from shapely.geometry import box as rectangle

from layout.face.buying import Comparison
from layout.face.buying_work import with_buying
from layout.face.flexing import flex_of
from layout.face.forming_job import formed_job
from layout.face.forming_work import with_forming
from layout.job.model import FaceSpec, FixingSpec, ScallopSpec, SheetSpec
from layout.job.model_forming import CoatingSpec, CostsSpec, DieSpec, Limit, LimitsSpec, MeasuredSpec, PressSpec
from layout.paper import die, first_off, flex, order, press
from layout.paper.frame import SMALLEST, finish, frame_box
from layout.paper.order import comparison_words, drop_sizes, worth_keeping
from layout.paper.order_csv import order_csv
from layout.paper.plan_json import plan_object
from layout.paper.primitives import Text
from layout.paper.workings import all_workings, draw_workings
from layout.paper.workings_die import DEPTH, INTEGRALS, PITCH, SINE_LENGTH
from layout.paper.workings_rows import number
from layout.units import KG_PER_POUND, N_PER_LBF

SCALLOPS = {
    "arc": ScallopSpec("arc", 69.85, 15.875),
    "rounded arc": ScallopSpec("arc", 69.85, 15.875, valley_radius=6.0),
    "arc-flat": ScallopSpec("arc-flat", 76.0, 12.0, flat=12.0, valley_radius=4.0),
    "sine": ScallopSpec("sine", 76.0, 18.0),
    "serpentine": ScallopSpec("serpentine", 76.0, 18.0),
    "arc-tangent": ScallopSpec("arc-tangent", 76.2, 25.4, radius=14.29),
}
FULL = {
    "press": PressSpec(capacity=30 * 8896.443, bed=1500.0, between_uprights=900.0, daylight=400.0),
    "fixing": FixingSpec(pull=40.0),
    "coating": CoatingSpec(2),
    "limits": LimitsSpec((Limit("oven", 2743.2), Limit("door", 2743.2, 2000.0))),
    "costs": CostsSpec(hour=85.0, set_up=2.0, fixing=0.12, powder=14.0, delivery=120.0),
}
PAGES = (die.draw_die, first_off.draw_first_off, press.draw_press, flex.draw_flex, order.draw_order, draw_workings)


def plan_of(form="arc", units="in", **changes):
    """Return a ring of 6 panels of a form, with everything that a job may say of forming and buying."""
    job = make_job(circle(4200.0), units=units, scallop=SCALLOPS[form], **{**FULL, **changes})
    plan = make_plan(formed_job(job), 6)
    own = replace(plan.scallop, flex=flex_of(plan.job, plan.scallop.profile, plan.lines))
    return with_buying(with_forming(replace(plan, scallop=own)))


def words_of(drawings):
    """Return all texts of drawings."""
    return [item.text for drawing in drawings for item in drawing.items if isinstance(item, Text)]


CASES = [(form, units) for form in SCALLOPS for units in ("in", "mm")]
every_case = pytest.mark.parametrize(("form", "units"), CASES)


@every_case
def test_a_calculator_follows_every_working(form, units):
    """Each formula, with the inputs as printed, gives the result as printed to four digits."""
    followed = 0
    for one in all_workings(plan_of(form, units)):
        if one.formula in (PITCH, DEPTH):
            continue
        value = evaluated(one.formula, {name: float(number(given)) for name, given in one.inputs.items()})
        assert value == pytest.approx(float(number(one.result)), rel=5e-4, abs=2e-5), one
        followed += 1
    assert followed > 40


def evaluated(formula, letters):
    """Evaluate a printed formula: its signs as a reader takes them."""
    if formula == SINE_LENGTH:
        return integrate.quad(
            lambda x: math.hypot(1, math.pi * letters["d"] / letters["p"] * math.sin(math.tau * x / letters["p"])),
            0,
            letters["p"],
        )[0]
    text = formula
    for sign, python in (("·", "*"), ("−", "-"), ("²", "**2"), ("³", "**3")):
        text = text.replace(sign, python)
    text = re.sub(r"√(\d+)", r"sqrt(\1)", text).replace("√(", "sqrt(")
    known = {"sqrt": math.sqrt, "sin": math.sin, "cos": math.cos, "asin": math.asin}
    return eval(text, {"__builtins__": {}}, {**known, **letters})  # noqa: S307 - formulas of our own


def test_only_what_has_no_closed_form_is_an_integral_and_has_its_inputs():
    """An arc has none; a sine's loaded shape, what springs out of it, and its arc lengths are."""
    assert not [one for one in all_workings(plan_of("arc")) if one.formula in INTEGRALS]
    sine = [one for one in all_workings(plan_of("sine")) if one.formula in INTEGRALS]
    assert {one.figure.split(": ")[-1] for one in sine} == {
        *("loaded pitch = spacing", "loaded depth", "pitch", "depth", "feed", "flat metal")
    }
    assert all({"p", "d"} <= set(one.inputs) for one in sine)


@every_case
def test_every_length_on_the_die_page_is_in_the_workings(form, units):
    """Whatever the die page shows of springback is a working's result, rounded; differences are of two of them."""
    plan = plan_of(form, units)
    known = {abs(one.result) for one in all_workings(plan)}
    known |= {abs(value) for one in all_workings(plan) for value in one.inputs.values()}
    found = [
        (item.text, item.kind)
        for drawing in die.draw_die(plan)[1:]
        for item in drawing.items
        if isinstance(item, Text) and item.kind in {"cell", "figure"}
    ]
    lengths = [re.fullmatch(rf"[+−]?(\d+\.\d+) {units}", text) for text, _ in found]
    shown = {(match[1], len(match[1].split(".")[1])) for match in lengths if match}
    assert len(shown) > 15
    size = 25.4 if units == "in" else 1.0
    offs = {
        abs(off) / size for tool in plan.forming.stock for off in (tool.pitch_off, tool.depth_off, tool.developed_off)
    }
    offs |= {abs(one.depth - plan.scallop.depth) / size for one in plan.forming.die.outcomes}
    offs |= {abs(one.pitch - plan.scallop.pitch) / size for one in plan.forming.die.outcomes}
    for text, places in sorted(shown):
        near = 0.5000001 * 10**-places
        assert any(abs(float(text) - value) <= near for value in known | offs), text


@pytest.mark.parametrize("units", ["in", "mm"])
def test_sums_of_the_order_page_are_in_the_workings(units):
    """Weights, areas and costs of the order page are workings' results, rounded."""
    plan = plan_of("arc", units)
    results = [one.result for one in all_workings(plan)]
    words = words_of(order.draw_order(plan))
    weights = [float(match[1]) for word in words if (match := re.fullmatch(r"(?:\d+: )?([\d.]+) (?:lb|kg)", word))]
    lift = 23.0 / (float(KG_PER_POUND) if units == "in" else 1.0)
    assert len(weights) >= 5
    for weight in weights:
        assert any(abs(weight - value) <= 0.0500001 for value in (*results, lift)), weight
    assert f"{plan.buying.total:,.2f}" in words
    assert any(value == pytest.approx(plan.buying.total) for value in results)


@every_case
def test_the_pages_are_neat_in_every_form(form, units):
    """No text over another, none outside the frame, none too small, in either size of paper."""
    plan = plan_of(form, units)
    drawings = [drawing for draw in PAGES for drawing in draw(plan)]
    for paper in finish(drawings, plan.job):
        frame = frame_box(units)
        inside = rectangle(frame.left, frame.bottom, frame.right, frame.top)
        texts = [item for item in paper.items if isinstance(item, Text) and item.text.strip()]
        boxes = [text.box() for text in texts]
        assert all(text.size >= SMALLEST for text in texts)
        for text, one in zip(texts, boxes, strict=True):
            assert inside.contains(rectangle(one.left, one.bottom, one.right, one.top)), (paper.name, text.text)
        for k, one in enumerate(boxes):
            for other in range(k):
                inked = one.grown(-0.05) if min(one.width, one.height) > 0.2 else one
                assert not inked.overlaps(boxes[other]), (paper.name, texts[k].text, texts[other].text)


def test_each_page_has_its_own_cautions():
    """Die blocks, pinching, wiring and egress, lifting, ovens and dust: each where the work is done."""
    plan = plan_of()
    said = {draw.__module__.rpartition(".")[2]: " ".join(words_of(draw(plan))) for draw in PAGES}
    for page, words in {
        "die": ("split", "Lock the ram"),
        "first_off": ("edges",),
        "press": ("hands", "two-hand control", "off-centre"),
        "flex": ("wiring, gas", "exits", "local codes"),
        "order": ("ovens", "dust", "heavy", "edges cut"),
    }.items():
        assert [word for word in words if word not in said[page]] == [], page


def test_the_die_page_says_where_to_start_and_no_false_thousandths():
    """Springback's figures have two decimals of an inch, one of a millimetre; the first-off decides."""
    plan = plan_of()
    words = words_of(die.draw_die(plan))
    assert any("the first-off decides" in word for word in words)
    assert f"{plan.forming.die.punch_radius / 25.4:.2f} in" in words
    assert not any(re.search(r"radius.*\d\.\d{3}", word) for word in words)
    assert f"{plan_of(units='mm').forming.die.punch_radius:.1f} mm" in words_of(die.draw_die(plan_of(units="mm")))


def test_the_first_off_form_asks_for_what_the_job_file_takes():
    """Pitch over ten at three heights, depth, flat, curl, pass or not; and the line to write them in."""
    plan = plan_of()
    words = words_of(first_off.draw_first_off(plan))
    for row in ("over 10 scallops, top", "over 10 scallops, middle", "over 10 scallops, bottom"):
        assert row in words
    assert words.count("[   ] pass   [   ] not") == 6
    line = next(word for word in words if word.startswith("[die]"))
    assert all(key in line for key in ("scallops", "length", "depth", "flat", "length_top", "length_bottom"))


def test_a_pitch_in_the_forms_band_still_goes_on():
    """At both ends of the band every run's scallops are within most_take_up, one scallop more or less not."""
    plan = plan_of()
    low, high = first_off.pitch_band(plan, plan.forming)
    assert low < plan.scallop.pitch < high
    for run in plan.runs:
        for pitch in (low, high):
            assert abs(run.pitch - pitch) <= plan.job.scallop.most_take_up * plan.scallop.pitch + 1e-9


def test_a_measured_first_off_is_shown_with_its_fan():
    """What the plan goes by, beside the drawing; the worst panel's fan with its side."""
    found = MeasuredSpec(10, 703.0, 15.8, 790.0, length_top=703.3, length_bottom=703.0)
    plan = plan_of(units="mm", die=DieSpec(measured=found))
    words = " ".join(words_of(first_off.draw_first_off(plan)))
    assert "This plan goes by a measured first-off" in words
    assert "longer at its top" in words
    assert "+0.4 mm" in words or "+0.5 mm" in words


def test_plan_json_has_forces_and_weights_of_the_jobs_units():
    """Lbf and lb in an inch job, kN and kg in a mm job; share is force over capacity."""
    inch, metric = plan_object(plan_of()), plan_object(plan_of(units="mm"))
    work = plan_of().forming.press
    assert inch["press"]["force"] == pytest.approx(work.force / float(N_PER_LBF))
    assert metric["press"]["force"] == pytest.approx(work.force / 1000)
    assert inch["press"]["share"] == metric["press"]["share"] == pytest.approx(work.force / work.capacity)
    assert inch["order"][0]["weight"] == pytest.approx(metric["order"][0]["weight"] / float(KG_PER_POUND))
    bare = plan_object(plan_of(press=PressSpec()))["press"]
    assert (bare["capacity"], bare["share"]) == (None, None)
    assert json.dumps(inch["die"]["stock"][0])


def test_the_order_table_has_a_row_a_thing():
    """Sheets with spare and proving ones, powder and fixings, with weight and cost."""
    plan = plan_of()
    rows = list(csv.DictReader(io.StringIO(order_csv(plan), newline="")))
    assert [row["item"] for row in rows] == ["sheet", "powder", "fixing"]
    assert int(rows[0]["buy"]) == plan.order[0].buy
    assert rows[0]["weight (lb)"] == f"{plan.order[0].weight / float(KG_PER_POUND):.1f}"
    assert int(rows[2]["buy"]) == plan.buying.fixings


def test_comparisons_say_what_is_saved_and_what_it_costs():
    """Fewer seams and more money in one sentence; a size without a plan has none."""
    plan = plan_of()
    seams = sum(not seam.end for seam in plan.seams)
    sheet = SheetSpec(3657.6, 1219.2)
    one = Comparison(sheet, seams - 3, 3, 8, 100.0, plan.buying.total + 40.0)
    assert comparison_words(plan, one) == "12 ft × 4 ft sheets would save 3 seams and cost 40.00 more."
    assert "add 1 seam and save 5.00." in comparison_words(
        plan, replace(one, seams=seams + 1, total=plan.buying.total - 5)
    )
    assert comparison_words(plan, replace(one, refused="it fits nothing")) == ""


def test_drops_worth_keeping_give_a_panel_or_an_eighth():
    """A smallest panel's blank just fits or just does not; an eighth of the sheet is kept whatever its shape."""
    plan = plan_of()
    height = plan.panels[0].blank_height
    length = 5 * plan.scallop.profile.developed + 2 * plan.job.face.form_trim
    assert worth_keeping(plan, (length, height), 1e9)
    assert not worth_keeping(plan, (length - 0.1, height), 1e9)
    assert not worth_keeping(plan, (length, height - 0.1), 1e9)
    assert worth_keeping(plan, (100.0, 10.0), 8000.0)
    assert not worth_keeping(plan, (99.0, 10.0), 8000.0)
    assert sum(drop.count for drop in drop_sizes(plan)) > 0


def test_an_open_line_of_several_heights_is_told_by_its_tallest():
    """The press is asked for the tallest blank; the flex table names every panel, alike ones in one row."""
    plan = make_plan(make_job(wander(), face=FaceSpec(height=900.0)), 5)
    assert plan.forming.press.bend[0] == max(panel.blank_height for panel in plan.panels)
    words = words_of(flex.draw_flex(plan))
    named = [int(number) for word in words if re.fullmatch(r"\d+(, \d+)*", word) for number in word.split(", ")]
    assert sorted(named) == [panel.number for panel in plan.panels]
    assert any("hollow" in word for word in words)


def test_a_measured_die_is_set_beside_the_drawn_scallop():
    """The page says what the die is equal to and what comes to the drawn; every difference is off the drawn."""
    spec = SCALLOPS["arc"]
    half = math.atan2(2 * spec.depth, spec.pitch)
    flat = 10 * spec.pitch * 2 * half / math.sin(2 * half)
    plan = plan_of("arc", die=DieSpec(measured=MeasuredSpec(10, spec.pitch * 10, spec.depth, flat)))
    assert plan.forming.to_drawn.punch_radius == pytest.approx(plan.forming.die.punch_radius, rel=1e-6)
    deeper = replace(plan.forming, to_drawn=replace(plan.forming.to_drawn, punch_radius=99.0))
    words = words_of(die.draw_die(replace(plan, forming=deeper)))
    assert {"Your die is equal to", "To come to the drawn", f"{99 / 25.4:.2f} in"} <= set(words)
    assert "Die to start with" not in words
