"""Jobs and plans that the check is tried on, and ways to damage a plan."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from layout.face.plan import Plan
from layout.face.planning import compared_plan, make_plan
from layout.job.model import (
    Avoid,
    FaceSpec,
    FixingSpec,
    Job,
    MetalSpec,
    OutlineSpec,
    Require,
    ScallopSpec,
    SeamsSpec,
    SheetSpec,
    Straight,
    Turn,
    Zone,
)

Damage = Callable[[Plan], Plan]

WAVE = (Straight(1500.0), Turn(1.0, 1800.0), Turn(-1.2, 1500.0), Straight(800.0), Turn(0.7, 2500.0))
SHAPES = {
    "circle": OutlineSpec("", "circle", diameter=5000.0),
    "circle inside": OutlineSpec("", "circle", diameter=5000.0, face="inside", inset=-30.0),
    "ellipse": OutlineSpec("", "ellipse", length=6000.0, width=3700.0, inset=240.0),
    "ellipse inside": OutlineSpec("", "ellipse", length=6000.0, width=3700.0, inset=-140.0, face="inside"),
    "tall ellipse": OutlineSpec("", "ellipse", length=3000.0, width=6700.0, datum=(2000.0, 300.0)),
    "stadium": OutlineSpec("", "stadium", length=6000.0, width=2400.0, inset=100.0),
    "stadium inside": OutlineSpec("", "stadium", length=6000.0, width=2400.0, face="inside"),
    "rounded": OutlineSpec("", "rounded-rectangle", length=6000.0, width=4000.0, radius=700.0),
    "rounded from the left": OutlineSpec(
        "", "rounded-rectangle", length=6000.0, width=4000.0, radius=700.0, datum=(-3100.0, 500.0)
    ),
    "wave": OutlineSpec(
        "", "path", start=(100.0, 50.0), heading=0.3, closed=False, face="right", steps=WAVE, inset=20.0
    ),
    "wave from the left": OutlineSpec(
        "", "path", start=(100.0, 50.0), heading=0.3, closed=False, face="left", steps=WAVE
    ),
}
LAP = FaceSpec(height=590.0, top_return=10.0, form_trim=20.0)
FACES = {
    "under": LAP,
    "over": replace(LAP, lap_goes="over"),
    "butt": replace(LAP, seam="butt", largest_scallops=20),
    "cut": replace(LAP, ends="cut"),
}
SEAMS = SeamsSpec(
    tight_radius=400.0,
    avoid=(Avoid(1000.0, 1500.0, "till"), Avoid(4300.0, 4500.0, "hatch")),
    goals=("panels", "worst_seam", "different_lengths", "seam_cost"),
)


def a_job(outline: OutlineSpec, face: FaceSpec = LAP, **more: Any) -> Job:
    job = Job(
        title="Round bar",
        units="mm",
        outlines=(outline,),
        scallop=ScallopSpec("arc", pitch=70.0, depth=16.0),
        metal=MetalSpec("steel", 0.6),
        face=face,
        sheets=(SheetSpec(3000.0, 1250.0, trim=5.0, edge_trim=5.0, kerf=3.0, price=70.0, count=40),),
        fixing=FixingSpec(12.0, 1),
        seams=SEAMS,
    )
    return replace(job, **more)


GATES = a_job(
    OutlineSpec("", "rounded-rectangle", length=3400.0, width=2000.0, radius=300.0, inset=20.0),
    sheets=(
        SheetSpec(3000.0, 1250.0, trim=5.0, edge_trim=5.0, kerf=3.0, price=70.0, count=40),
        SheetSpec(2500.0, 640.0, trim=5.0, price=20.0, count=2, remnant=True, scallops="either"),
    ),
    seams=replace(
        SEAMS,
        avoid=(Avoid(4300.0, 4500.0, "hatch"),),
        require=(Require(7000.0, "gate jamb"),),
        panel_price=12.0,
        goals=("panels", "worst_seam"),
    ),
    zones=(Zone("low", 900.0, 2800.0, 420.0),),
)
"""A loop parted by a zone and a required seam, with corners too tight for seams, and two stock sizes."""
JOBS = {"gates": GATES}


@cache
def planned(shape: str, face: str = "under") -> Plan:
    if shape in JOBS:
        return compared_plan(JOBS[shape])
    return make_plan(a_job(SHAPES[shape], FACES[face]))


# Damages: what is changed in a plan, each alone.


def of(kind: str, index: int, **change: Any) -> Damage:
    """Change fields of one item; a function is given the old value."""

    def damage(plan: Plan) -> Plan:
        items = list(getattr(plan, kind))
        items[index] = _changed(items[index], change)
        return replace(plan, **{kind: tuple(items)})

    return damage


def _changed(item: Any, change: dict[str, Any]) -> Any:
    return replace(item, **{k: v(getattr(item, k)) if callable(v) else v for k, v in change.items()})


def plus(by: float) -> Callable[[float], float]:
    return lambda value: value + by


def without(kind: str, index: int) -> Damage:
    return lambda plan: replace(
        plan,
        **{kind: tuple(v for k, v in enumerate(getattr(plan, kind)) if k != index % len(getattr(plan, kind)))},
    )


def twice(kind: str, index: int) -> Damage:
    return lambda plan: replace(plan, **{kind: (*getattr(plan, kind), getattr(plan, kind)[index])})


def swapped(kind: str) -> Damage:
    def damage(plan: Plan) -> Plan:
        first, second, *rest = getattr(plan, kind)
        return replace(plan, **{kind: (second, first, *rest)})

    return damage


def scallop(**change: Any) -> Damage:
    return lambda plan: replace(plan, scallop=_changed(plan.scallop, change))


def profile(**change: Any) -> Damage:
    return scallop(profile=lambda old: _changed(old, change))


def flex(**change: Any) -> Damage:
    return scallop(flex=lambda old: _changed(old, change))


def cut(**change: Any) -> Damage:
    """Change the last blank of the first sheet with several."""

    def damage(plan: Plan) -> Plan:
        at = next(k for k, sheet in enumerate(plan.sheets) if len(sheet.cuts) > 1)
        cuts = plan.sheets[at].cuts
        return of("sheets", at, cuts=(*cuts[:-1], _changed(cuts[-1], change)))(plan)

    return damage


def job(part: str, **change: Any) -> Damage:
    """Change the job under a plan: what it claims no longer follows."""
    return lambda plan: replace(plan, job=replace(plan.job, **{part: _changed(getattr(plan.job, part), change)}))


def first_of_job(part: str, **change: Any) -> Damage:
    def damage(plan: Plan) -> Plan:
        first, *rest = getattr(plan.job, part)
        return replace(plan, job=replace(plan.job, **{part: (_changed(first, change), *rest)}))

    return damage


def proof(which: str, **change: Any) -> Damage:
    def damage(plan: Plan) -> Plan:
        return of("proof", [p.goal for p in plan.proof].index(which), **change)(plan)

    return damage


def no_number(kind: str, index: int, key: str) -> Damage:
    return of(kind, index, **{key: math.nan})


def bumped(index: int, by: float) -> Callable[[np.ndarray], np.ndarray]:
    return lambda values: values + by * (np.arange(values.size) == index)


def avoided_seam(plan: Plan) -> Plan:
    """Keep free what a seam stands in, and say so in the plan."""
    station = plan.seams[1].station
    return job("seams", avoid=(*plan.job.seams.avoid, Avoid(station - 1, station + 1, "post")))(plan)


def stretch(which: str, **change: Any) -> Damage:
    """Change the first stretch that is kept free for a reason."""

    def damage(plan: Plan) -> Plan:
        return of("stretches", [s.why for s in plan.stretches].index(which), **change)(plan)

    return damage


def more(kind: str, item: Any) -> Damage:
    return lambda plan: replace(plan, **{kind: (*getattr(plan, kind), item)})


def all_of_run(number: int, kind: str, **change: Any) -> Damage:
    """Change every seam or panel of a run."""

    def damage(plan: Plan) -> Plan:
        items = [_changed(i, change) if i.run == number else i for i in getattr(plan, kind)]
        return replace(plan, **{kind: tuple(items)})

    return damage


def both(*damages: Damage) -> Damage:
    def damage(plan: Plan) -> Plan:
        for each in damages:
            plan = each(plan)
        return plan

    return damage


def best_row(**change: Any) -> Damage:
    def damage(plan: Plan) -> Plan:
        at = next(k for k, choice in enumerate(plan.choices) if choice.chosen)
        return of("choices", at, **change)(plan)

    return damage


def other_row(**change: Any) -> Damage:
    """Change a row of the table of choices that is not the best, made of the best where there is none."""

    def damage(plan: Plan) -> Plan:
        best = next(choice for choice in plan.choices if choice.chosen)
        other = replace(best, chosen=False, note="another", panels=best.panels + 1)
        return replace(plan, choices=(best, _changed(other, change)))

    return damage


def half_given(plan: Plan) -> Plan:
    """Give the first panel's last scallop to the second, all sizes kept right: only places can tell."""
    one, two = plan.panels[:2]
    panels = (replace(one, scallops=one.scallops - 1), replace(two, scallops=two.scallops + 1))
    return replace(plan, panels=(*panels, *plan.panels[2:]))
