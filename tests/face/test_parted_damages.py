"""Every way in which a plan of a parted loop is damaged is found by the independent check."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from check_cases import (
    Damage,
    all_of_run,
    both,
    job,
    more,
    of,
    planned,
    plus,
    proof,
    stretch,
    swapped,
    twice,
    without,
)

from layout.face.check import check_plan
from layout.face.plan import Plan, Proof
from layout.job.model import Require, Zone


def _remnant(plan: Plan) -> int:
    return next(k for k, sheet in enumerate(plan.sheets) if sheet.stock == 1)


def zones(*changed: Zone) -> Damage:
    """Give the job under a plan other zones."""
    return lambda plan: replace(plan, job=replace(plan.job, zones=changed))


def sheets_of_job(index: int, **change: Any) -> Damage:
    """Change one stock size of the job under a plan."""

    def damage(plan: Plan) -> Plan:
        sheets = list(plan.job.sheets)
        sheets[index] = replace(sheets[index], **change)
        return replace(plan, job=replace(plan.job, sheets=tuple(sheets)))

    return damage


LOW, FIRST, SECOND = 1, 2, 3
"""runs of the parted loop: the zone, and the two at the face's height"""

PARTED_RUNS: dict[str, Damage] = {
    "name of the zone": of("runs", 0, name="high"),
    "name of a part": of("runs", 1, name="face"),
    "names exchanged": both(of("runs", 1, name="face 2"), of("runs", 2, name="face 1")),
    "zone left out": of("runs", 0, zone=""),
    "in a zone that it is not in": of("runs", 1, zone="low"),
    "why it begins": of("runs", 1, start_why="low begins"),
    "why it ends": of("runs", 1, end_why="end"),
    "why it ends, a reason more": of("runs", 1, end_why="gate jamb; post"),
    "height of the face in the zone": both(of("runs", 0, height=600.0), all_of_run(LOW, "panels", blank_height=600.0)),
    "height of the zone on the face": both(
        of("runs", 1, height=430.0), all_of_run(FIRST, "panels", blank_height=430.0)
    ),
    "height of one panel": of("panels", 0, blank_height=600.0),
    "end a lap back": of("runs", 2, end=lambda old: old - planned("gates").lines[0].back.length),
    "a lap on": of(
        "runs",
        0,
        **dict.fromkeys(("start", "end", "stations"), lambda old: old + planned("gates").lines[0].back.length),
    ),
    "closed": of("runs", 2, closed=True),
    "a required seam passed over": without("runs", 2),
    "two swapped": swapped("runs"),
    "the gate moved": both(of("runs", 1, end=plus(1.0)), of("runs", 2, start=plus(1.0))),
}
PARTED_SEAMS: dict[str, Damage] = {
    "why of a run's start": of("seams", 0, why="gate jamb"),
    "why of a run's end": of("seams", 1, why="end"),
    "end of a run told as a seam": of("seams", 1, end=False),
    "station a lap on": of("seams", -1, station=lambda old: old + planned("gates").lines[0].back.length),
    "lift at a run's end": of("seams", 0, lift=0.1),
    "cost at a run's end": of("seams", 0, cost=5),
    "one end of two that meet is missing": without("seams", 1),
    "a lap at a run's end": of("panels", 0, lapped=True),
    "right seam is the neighbour's": of("panels", 0, right_seam=plus(1)),
}
PARTED_SHEETS: dict[str, Damage] = {
    "remnant told as a sheet": lambda plan: of("sheets", _remnant(plan), stock=0)(plan),
    "remnant cut as large as a sheet": lambda plan: of("sheets", _remnant(plan), length=3000.0, width=1250.0)(plan),
    "remnants spared": of("order", 1, spare=1, buy=2, cost=40.0),
    "a remnant proves the die": both(
        of("order", 0, prove_out=0, buy=lambda old: old - 1, cost=lambda old: old - 70.0),
        of("order", 1, prove_out=1, buy=plus(1), cost=plus(20.0)),
    ),
    "lines swapped": lambda plan: replace(plan, order=tuple(replace(row, stock=1 - row.stock) for row in plan.order)),
    "weight": of("order", 0, weight=lambda old: old * 1.01),
}
PARTED_STRETCHES: dict[str, Damage] = {
    "tight: start": stretch("tight curve", start=plus(0.01)),
    "tight: end": stretch("tight curve", end=plus(-0.01)),
    "tight: shorter by a scallop": stretch("tight curve", start=plus(71.0005743532955)),
    "tight: why": stretch("tight curve", why="too tight"),
    "tight: exchanged ends": lambda plan: stretch(
        "tight curve", start=plan.stretches[1].end, end=plan.stretches[1].start
    )(plan),
    "tight: missing": without("stretches", 1),
    "tight: twice": twice("stretches", 1),
    "tight where the job has no such radius": job("seams", tight_radius=None),
}
PARTED_JOB: dict[str, Damage] = {
    "no required seam": job("seams", require=()),
    "the required seam a millimetre on": job("seams", require=(Require(7001.0, "gate jamb"),)),
    "the required seam for another reason": job("seams", require=(Require(7000.0, "post"),)),
    "a required seam more": job("seams", require=(Require(7000.0, "gate jamb"), Require(9000.0, "gate jamb"))),
    "no zone": zones(),
    "the zone begins later": zones(Zone("low", 901.0, 2800.0, 420.0)),
    "the zone ends earlier": zones(Zone("low", 900.0, 2799.0, 420.0)),
    "the zone is the rest": zones(Zone("low", 2800.0, 900.0, 420.0)),
    "the zone is lower": zones(Zone("low", 900.0, 2800.0, 410.0)),
    "the zone has another name": zones(Zone("bar", 900.0, 2800.0, 420.0)),
    "a zone more": zones(Zone("low", 900.0, 2800.0, 420.0), Zone("high", 2800.0, 7000.0, 590.0)),
    "a shear too short for a strip": job("face", shear_length=2500.0),
    "a shear too short for a blank's height": job("face", shear_length=500.0),
    "no remnant on hand": sheets_of_job(1, count=0),
    "remnants with their scallops along": sheets_of_job(1, scallops="along"),
    "a shorter remnant": sheets_of_job(1, length=1500.0),
    "the remnant is none": sheets_of_job(1, remnant=False),
    "dearer remnant": sheets_of_job(1, price=21.0),
    "labour without its goal": job("seams", goals=("panels", "worst_seam", "cost")),
    "even panels without their proof": job("seams", even=True),
    "mirrored seams": job("seams", symmetric=True),
    "cut ends": job("face", ends="cut"),
}
PARTED = {
    f"{part}: {name}": damage
    for part, table in {
        "run": PARTED_RUNS,
        "seam": PARTED_SEAMS,
        "sheet": PARTED_SHEETS,
        "stretch": PARTED_STRETCHES,
        "job": PARTED_JOB,
    }.items()
    for name, damage in table.items()
}


def test_there_are_sixty_ways_to_damage_a_parted_plan():
    """Beside those of a plan of one run."""
    assert len(PARTED) >= 60


@pytest.mark.parametrize("name", PARTED)
def test_a_damaged_plan_of_several_runs_is_found_out(name: str):
    """A loop parted by a zone and a gate, cut from two stock sizes."""
    assert check_plan(PARTED[name](planned("gates")))


@pytest.mark.parametrize("by", [1.0, -1.0])
def test_the_cost_is_summed_again(by: float):
    """Two sheets at 70 and a remnant at 20, and five panels at 12."""
    plan = planned("gates")
    cost = 2 * 70 + 20 + 5 * 12
    plan = job("seams", goals=("panels", "cost"))(plan)
    told = more("proof", Proof("cost", cost, cost, proved=True))(plan)
    assert check_plan(told) == ()
    assert check_plan(proof("cost", value=plus(by), bound=plus(by))(told))
    assert check_plan(job("seams", panel_price=12.5)(told))
