"""What plans take to buy and carry: weights, areas, powder, limits, costs, other sizes; and their check."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest

from layout.errors import JobFaults, NoPlan
from layout.face.buying_work import hands_for
from layout.face.check import check_plan
from layout.face.plan import Plan
from layout.face.planning import make_plan
from layout.job.model import FixingSpec, Job, MetalSpec, SeamsSpec, SheetSpec
from layout.job.model_forming import CoatingSpec, CostsSpec, Limit, LimitsSpec
from tests.jobs import INCH, kiosk, straight

SHORT = SeamsSpec(goals=("panels", "worst_seam"))
FEET = 12 * INCH


def quick(job: Job, **parts: object) -> Job:
    return replace(job, seams=replace(SHORT, panel_price=90.0), **parts)  # type: ignore[arg-type]


PRICED = {
    "sheets": (SheetSpec(10 * FEET, 4 * FEET, trim=0.25 * INCH, price=71.5),),
    "coating": CoatingSpec(2, transfer=0.5, gravity=1.6, film=0.0508),
    "costs": CostsSpec(hour=85.0, set_up=2.0, fixing=0.12, powder=14.0, delivery=120.0),
}


@cache
def priced() -> Plan:
    return make_plan(quick(kiosk(), **PRICED))


def test_sheets_and_blanks_weigh_area_times_thickness_times_density():
    """Steel 7850 kg/m³, by its own density and not the gauge rule's 8039."""
    plan = priced()
    each = 10 * FEET * 4 * FEET * 0.0239 * INCH * 7850e-9
    assert plan.order[0].weight == pytest.approx(plan.order[0].buy * each)
    for panel, weight in zip(plan.panels, plan.buying.weights, strict=True):
        assert weight == pytest.approx(panel.blank_length * panel.blank_height * 0.0239 * INCH * 7850e-9)
    assert plan.buying.weights[plan.buying.heaviest - 1] == max(plan.buying.weights)


def test_a_density_of_the_jobs_own_weighs_in_proportion():
    """Twice the density, twice every weight."""
    heavy = make_plan(quick(kiosk(), metal=MetalSpec("steel", 0.0239 * INCH, 24, density=15700.0)))
    light = make_plan(quick(kiosk()))
    assert heavy.order[0].weight == pytest.approx(2 * light.order[0].weight)
    assert heavy.buying.weights == pytest.approx([2 * weight for weight in light.buying.weights])


def test_powder_and_areas_are_those_of_finished_panels():
    """Form trim is cut off before coating: flat metal S·(n + lap)·height, both faces, half of it staying on."""
    plan = priced()
    scallops = sum(panel.scallops + panel.lapped for panel in plan.panels)
    area = scallops * plan.scallop.profile.developed * 40 * INCH
    assert plan.buying.developed_area == pytest.approx(area)
    assert plan.buying.coated_area == pytest.approx(2 * area)
    assert plan.buying.powder == pytest.approx(2 * area / 1e6 * 50.8 * 1.6 / 1000 / 0.5)
    bare = make_plan(quick(kiosk())).buying
    assert (bare.coated_area, bare.powder) == (0.0, None)


def test_fixings_are_counted_column_by_column():
    """A lapped panel of n scallops, fixed in every valley: n columns; the last of an open run one more; times rows."""
    loop = make_plan(quick(kiosk(), fixing=FixingSpec(rows=4)))
    assert loop.buying.fixings == 4 * sum(panel.scallops for panel in loop.panels)
    wall = make_plan(quick(straight(300), fixing=FixingSpec(rows=2)))
    assert wall.buying.fixings == 2 * (sum(panel.scallops for panel in wall.panels) + 1)
    wide = make_plan(quick(straight(300), fixing=FixingSpec(rows=1, every=2)))
    columns = [math.ceil(panel.scallops / 2) + (not panel.lapped) for panel in wide.panels]
    assert wide.buying.fixings == sum(columns)


def test_the_total_is_the_sum_of_what_is_priced():
    """Sheets, labour a panel, press hours and setting, fixings, powder, delivery; nothing else."""
    plan = priced()
    hours = plan.forming.strokes_in_all / 3 / 60
    wanted = (
        plan.order[0].buy * 71.5
        + len(plan.panels) * 90
        + (hours + 2) * 85
        + plan.buying.fixings * 0.12
        + plan.buying.powder * 14
        + 120
    )
    assert plan.buying.total == pytest.approx(wanted)


def test_what_is_not_priced_is_named_and_not_counted():
    """No invented prices: such lines have none, and with none at all there is no total."""
    bare = make_plan(replace(kiosk(), seams=SHORT))
    assert bare.buying.total is None
    assert all(line.cost is None and "not priced" in line.sum for line in bare.buying.costs)


@pytest.mark.parametrize("name", ["oven", "door", "elevator", "truck"])
def test_each_limit_is_a_panel_limit_and_is_named_where_it_binds(name: str):
    """No panel is longer overall, lap included; a seam beside a longest panel says what it is as long as."""
    limit = LimitsSpec((Limit(name, 7 * FEET), Limit("truck", 12 * FEET)))
    plan = make_plan(quick(kiosk(), limits=limit))
    assert max(panel.overall for panel in plan.panels) <= 7 * FEET
    assert max(panel.scallops + panel.lapped for panel in plan.panels) == 28
    assert f"as far as the {name} allows" in {seam.why for seam in plan.seams}


def test_the_least_of_limits_and_largest_panel_binds():
    """A largest panel under the oven's length goes first, by its own words."""
    face = replace(kiosk().face, largest_overall=6 * FEET)
    plan = make_plan(quick(kiosk(), face=face, limits=LimitsSpec((Limit("oven", 7 * FEET),))))
    assert max(panel.overall for panel in plan.panels) <= 6 * FEET
    assert {seam.why for seam in plan.seams} & {"as long as a panel may be"}


def test_panels_too_high_for_an_opening_are_refused():
    """Last valid and first invalid height, by the limit's own key."""
    make_plan(quick(kiosk(), limits=LimitsSpec((Limit("door", 9 * FEET, 40 * INCH),))))
    with pytest.raises(JobFaults, match=r"limits\.door"):
        make_plan(quick(kiosk(), limits=LimitsSpec((Limit("door", 9 * FEET, 39.9 * INCH),))))


def test_limits_that_allow_no_panel_say_which():
    """An elevator of three pitches is under the smallest panel."""
    with pytest.raises(JobFaults, match=r"limits\.elevator allows 3 scallops") as refused:
        make_plan(quick(kiosk(), limits=LimitsSpec((Limit("elevator", 9.5 * INCH),))))
    (fault,) = refused.value.faults
    least = re.search(r"limits\.elevator of at least (?:(\d+) ft )?([\d /]+) in", fault.remedy)
    assert least is not None
    assert "sheet" not in fault.remedy
    inches = 12 * int(least[1] or 0) + sum(float(Fraction(part)) for part in least[2].split())
    with pytest.raises(NoPlan, match="4 to 4 scallops"):
        make_plan(quick(kiosk(), limits=LimitsSpec((Limit("elevator", inches * INCH),))))
    with pytest.raises(JobFaults, match=r"limits\.elevator"):
        make_plan(quick(kiosk(), limits=LimitsSpec((Limit("elevator", (inches - 1 / 16) * INCH),))))


def test_sheets_on_hand_are_not_bought_and_what_they_lack_is_said():
    """Of 9 on hand and all that spare and proving take: the rest is bought, with a caution; none with enough."""
    whole = priced().order[0].buy
    for count, more in ((whole - 1, 1), (whole, 0), (whole + 5, 0)):
        sheets = (replace(PRICED["sheets"][0], count=count),)
        plan = make_plan(quick(kiosk(), **{**PRICED, "sheets": sheets}))
        (line,) = plan.order
        assert (line.from_stock, line.to_buy) == (min(count, whole), more)
        assert any(text.startswith("order:") for text in plan.cautions) == bool(more)
    assert check_plan(replace(plan, order=(replace(line, from_stock=line.from_stock - 1),)))
    assert (priced().order[0].from_stock, priced().order[0].to_buy) == (0, whole)


def test_hands_go_by_weight_and_by_length():
    """One person lifts 23 kg (NIOSH load constant, from memory); long panels take two."""
    assert (hands_for(23.0, 1000.0, 23.0), hands_for(23.01, 1000.0, 23.0), hands_for(46.5, 1000.0, 23.0)) == (1, 2, 3)
    assert hands_for(1.0, 2401.0, 23.0) == 2


def test_other_sizes_are_planned_again_alone():
    """A comparison is what a plan with that size alone comes to; one that fits nothing says why."""
    sizes = (SheetSpec(12 * FEET, 4 * FEET, price=92.0), SheetSpec(8 * FEET, 3 * FEET, price=40.0))
    job = quick(kiosk(), **PRICED)
    job = replace(job, order=replace(job.order, compare=sizes))
    plan = make_plan(job)
    longer, low = plan.buying.comparisons
    alone = make_plan(replace(job, sheets=sizes[:1], order=replace(job.order, compare=())))
    assert longer.total == pytest.approx(alone.buying.total)
    assert (longer.panels, longer.buy) == (len(alone.panels), alone.order[0].buy)
    assert longer.seams == sum(not seam.end for seam in alone.seams)
    assert "fits no sheet" in low.refused


def test_the_jobs_own_sizes_are_compared_where_there_are_a_few():
    """Two stock sizes: each alone; one: nothing to compare."""
    sheets = (SheetSpec(10 * FEET, 4 * FEET, price=71.5), SheetSpec(8 * FEET, 4 * FEET, price=55.0))
    plan = make_plan(quick(kiosk(), sheets=sheets))
    assert [one.sheet.length for one in plan.buying.comparisons] == [10 * FEET, 8 * FEET]
    assert make_plan(quick(kiosk())).buying.comparisons == ()


def test_diagonals_tell_how_far_a_sheet_leans():
    """d1² − d2² = 4·L·s for a sheet that leans by s over its width; 1/16 in for each 6 in of 48 is 1/2 in."""
    (one,) = priced().buying.squares
    assert one.mill == pytest.approx(0.5 * INCH)
    assert one.diagonal == pytest.approx(math.hypot(10 * FEET, 4 * FEET))
    longer = math.hypot(10 * FEET + one.mill, 4 * FEET)
    shorter = longer - one.differ
    assert longer**2 - shorter**2 == pytest.approx(4 * 10 * FEET * one.mill)
    assert one.room == pytest.approx(0.5 * INCH)


DAMAGE = {
    "a weight": lambda b: replace(b, weights=(b.weights[0] * 1.01, *b.weights[1:])),
    "all weights": lambda b: replace(b, weights=tuple(w * 100 for w in b.weights)),
    "the heaviest": lambda b: replace(b, heaviest=b.weights.index(min(b.weights)) + 1),
    "area": lambda b: replace(b, developed_area=b.developed_area * 1.001),
    "coated area": lambda b: replace(b, coated_area=b.coated_area / 2),
    "powder": lambda b: replace(b, powder=b.powder * 1.01),
    "total": lambda b: replace(b, total=b.total + 1),
    "no total": lambda b: replace(b, total=None),
    "a weight lost": lambda b: replace(b, weights=b.weights[1:]),
    "no such panel": lambda b: replace(b, heaviest=len(b.weights) + 1),
    "a diagonal": lambda b: replace(b, squares=(replace(b.squares[0], diagonal=b.squares[0].diagonal + 0.01),)),
    "a lean": lambda b: replace(b, squares=(replace(b.squares[0], mill=b.squares[0].mill + 0.01),)),
    "diagonals differ": lambda b: replace(b, squares=(replace(b.squares[0], differ=0.0),)),
    "room to square": lambda b: replace(b, squares=(replace(b.squares[0], room=b.squares[0].room * 2),)),
    "no squares": lambda b: replace(b, squares=()),
    "a cost line lost": lambda b: replace(b, costs=b.costs[1:]),
}


def test_a_bought_plan_is_without_findings():
    """What the check sums up again agrees."""
    assert check_plan(priced()) == ()


@pytest.mark.parametrize("what", DAMAGE)
def test_the_check_finds_every_damage_to_what_is_bought(what: str):
    """A plan whose buying says something else is refused."""
    assert check_plan(replace(priced(), buying=DAMAGE[what](priced().buying)))


def test_the_check_finds_panels_over_a_limit_and_orders_of_other_weight():
    """A limit written into the job afterwards, a weight that is not its sheets'."""
    plan = priced()
    limits = LimitsSpec((Limit("oven", 5 * FEET),))
    assert any("over the oven" in found for found in check_plan(replace(plan, job=replace(plan.job, limits=limits))))
    line = replace(plan.order[0], weight=plan.order[0].weight + 1)
    assert check_plan(replace(plan, order=(line, *plan.order[1:])))
