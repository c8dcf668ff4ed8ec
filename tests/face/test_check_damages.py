"""Every way in which a plan is damaged is found by the independent check."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from check_cases import (
    Damage,
    avoided_seam,
    best_row,
    bumped,
    cut,
    first_of_job,
    flex,
    half_given,
    job,
    more,
    no_number,
    of,
    other_row,
    planned,
    plus,
    profile,
    proof,
    scallop,
    stretch,
    swapped,
    twice,
    without,
)

from layout.face.check import check_plan
from layout.face.plan import Choice, OrderLine, Panel, Proof, Run, Seam, SheetCut, Stretch
from layout.job.model import Avoid, Require

LINES: dict[str, Damage] = {
    "name": of("lines", 0, name="other"),
    "datum x": of("lines", 0, datum=lambda old: (old[0] + 0.001, old[1])),
    "datum y": of("lines", 0, datum=lambda old: (old[0], old[1] - 0.001)),
    **{
        f"{kind} line off by {d}": of("lines", 0, **{kind: lambda old, d=d: old.parallel(d)})
        for kind in ("drawn", "back", "count", "crest")
        for d in (0.01, -0.01)
    },
    "count line is the back line": lambda plan: of("lines", 0, count=plan.lines[0].back)(plan),
    "count line is the crest line": lambda plan: of("lines", 0, count=plan.lines[0].crest)(plan),
    "no line": without("lines", 0),
    "a line twice": twice("lines", 0),
    "back line walked the other way": of("lines", 0, back=lambda old: old.reversed()),
}
SCALLOP: dict[str, Damage] = {
    "form": scallop(form="sine"),
    "pitch": scallop(pitch=plus(0.01)),
    "pitch not positive": scallop(pitch=0.0),
    "drawn pitch": scallop(drawn_pitch=plus(0.01)),
    "depth": scallop(depth=plus(0.01)),
    "profile form": profile(form="sine"),
    "profile pitch": profile(pitch=plus(0.01)),
    "profile depth": profile(depth=plus(0.01)),
    "profile thickness": profile(thickness=plus(0.01)),
    "developed": profile(developed=plus(0.001)),
    "neutral height": profile(neutral_height=plus(0.001)),
    "no number": profile(neutral_height=math.nan),
    "second moment": profile(second_moment=lambda old: old * 1.0001),
    "reach": profile(reach=plus(0.001)),
    "pieces": profile(pieces=lambda old: (replace(old[0], radius=old[0].radius * 1.01), *old[1:])),
}
FLEX: dict[str, Damage] = {
    "take-up limit": flex(take_up_limit=lambda old: old * 1.001),
    "limit at the tightest curve": flex(tight_take_up_limit=lambda old: old * 0.999 + 1e-3),
    "pull of no metal": flex(pull_per_mm=lambda old: old * 1000),
    "natural bend": flex(natural_bend_radius=lambda old: old * 1.001),
    "natural bend of no number": flex(natural_bend_radius=math.nan),
    "no pull": flex(pull_per_mm=0.0),
    "another modulus": job("metal", modulus=150e3),
    "another yield": job("metal", yield_=100.0),
}
RUNS: dict[str, Damage] = {
    "number": of("runs", 0, number=2),
    "outline": of("runs", 0, outline=1),
    "closed": of("runs", 0, closed=lambda old: not old),
    "a scallop more": of("runs", 0, scallops=plus(1)),
    "a scallop fewer, with its boundary": of(
        "runs", 0, scallops=lambda old: old - 1, stations=lambda old: np.delete(old, 5)
    ),
    "start": of("runs", 0, start=plus(0.01)),
    "end": of("runs", 0, end=plus(0.01)),
    "turned by a lap of its pitch": of("runs", 0, start=plus(70.0), end=plus(70.0), stations=lambda old: old + 70),
    "count length": of("runs", 0, count_length=plus(0.01)),
    "take-up": of("runs", 0, take_up=plus(1e-4)),
    "take-up of the other sign": of("runs", 0, take_up=lambda old: -old),
    "may be longer": of("runs", 0, may_be_longer=plus(0.01)),
    "may be shorter": of("runs", 0, may_be_shorter=plus(0.01)),
    "first boundary": of("runs", 0, stations=bumped(0, 0.001)),
    "a boundary": of("runs", 0, stations=bumped(20, 0.001)),
    "last boundary": of("runs", 0, stations=lambda old: bumped(old.size - 1, 0.001)(old)),
    "a boundary that is no number": of("runs", 0, stations=bumped(7, math.nan)),
    "height": of("runs", 0, height=plus(0.01)),
    "last scallop cut": of("runs", 0, last_part=0.5),
    "missing": without("runs", 0),
    "twice": twice("runs", 0),
}
SEAM: dict[str, Damage] = {
    "number": of("seams", 1, number=plus(1)),
    "run": of("seams", 1, run=2),
    "outline": of("seams", 1, outline=1),
    "boundary": of("seams", 1, boundary=plus(1)),
    "boundary of no run": of("seams", 1, boundary=100_000),
    "station": of("seams", 1, station=plus(0.001)),
    "x": of("seams", 1, x=plus(0.001)),
    "y": of("seams", 1, y=plus(-0.001)),
    "heading": of("seams", 1, heading=plus(1e-4)),
    "heading against travel": of("seams", 1, heading=plus(math.pi)),
    "radius": of("seams", 1, radius=lambda old: 1500.0 if old is None else old * 1.001),
    "radius of the other sign": of("seams", 1, radius=lambda old: -1500.0 if old is None else -old),
    "straight": of("seams", 1, radius=lambda old: 2000.0 if old is None else None),
    "lift": of("seams", 1, lift=plus(1e-3)),
    "lift and cost": of("seams", 1, lift=plus(1e-3), cost=plus(1)),
    "cost": of("seams", 1, cost=plus(1)),
    "a cheaper cost": of("seams", 1, cost=plus(-1)),
    "end": of("seams", 1, end=lambda old: not old),
    "first seam's end": of("seams", 0, end=lambda old: not old),
    "no number": no_number("seams", 1, "x"),
    "lift that is no number": no_number("seams", 1, "lift"),
    "missing": without("seams", 1),
    "last missing": without("seams", -1),
    "twice": twice("seams", 1),
    "two swapped": swapped("seams"),
}
PANELS: dict[str, Damage] = {
    "number": of("panels", 0, number=7),
    "run": of("panels", 0, run=2),
    "first scallop": of("panels", 0, first_scallop=plus(1)),
    "a scallop more": of("panels", 0, scallops=plus(1)),
    "a scallop given to its neighbour": half_given,
    "lapped": of("panels", 0, lapped=lambda old: not old),
    "last lapped": of("panels", -1, lapped=lambda old: not old),
    "cover": of("panels", 0, cover=plus(0.01)),
    "overall": of("panels", 0, overall=plus(0.01)),
    "overall is the cover": lambda plan: of("panels", 0, overall=plan.panels[0].cover)(plan),
    "blank length": of("panels", 0, blank_length=plus(0.01)),
    "blank height": of("panels", 0, blank_height=plus(0.01)),
    "left seam": of("panels", 0, left_seam=plus(1)),
    "right seam": of("panels", 0, right_seam=plus(1)),
    "sheet": of("panels", 0, sheet=plus(1)),
    "missing": without("panels", 0),
    "twice": twice("panels", 0),
    "two swapped": swapped("panels"),
}
SHEETS: dict[str, Damage] = {
    "number": of("sheets", 0, number=9),
    "stock": of("sheets", 0, stock=1),
    "length": of("sheets", 0, length=plus(1.0)),
    "width": of("sheets", 0, width=plus(1.0)),
    "used": of("sheets", 0, used=plus(1e-5)),
    "nothing cut": of("sheets", 0, cuts=()),
    "missing": without("sheets", 0),
    "twice": twice("sheets", 0),
    "panel cut twice": cut(panel=1),
    "panel that is none": cut(panel=99),
    "moved off the left": cut(x=plus(-0.1)),
    "moved off the right": cut(x=2000.0),
    "moved into its neighbour": cut(y=plus(-0.1)),
    "moved off the top": cut(y=plus(100.0)),
    "cut short": cut(length=plus(-1.0)),
    "cut low": cut(height=plus(-1.0)),
    "turned": cut(turned=True),
    "x is no number": cut(x=math.nan),
}
ORDER: dict[str, Damage] = {
    "stock": of("order", 0, stock=1),
    "needed": of("order", 0, needed=plus(-1), buy=plus(-1)),
    "spare": of("order", 0, spare=plus(-1)),
    "spare and buy": of("order", 0, spare=plus(1), buy=plus(1), cost=plus(70.0)),
    "proving": of("order", 0, prove_out=plus(1)),
    "buy": of("order", 0, buy=plus(1)),
    "cost": of("order", 0, cost=plus(1.0)),
    "no cost": of("order", 0, cost=None),
    "missing": without("order", 0),
    "twice": twice("order", 0),
}
GOALS = ("panels", "worst_seam", "different_lengths", "seam_cost", "sheets")
PROOF: dict[str, Damage] = {
    **{f"{goal}: a lower value": proof(goal, value=plus(-1), bound=plus(-1)) for goal in GOALS},
    **{f"{goal}: a higher value": proof(goal, value=plus(1), bound=plus(1)) for goal in GOALS},
    "a bound over the value": proof("panels", bound=plus(1)),
    "proved without meeting": proof("panels", bound=plus(-1), proved=True),
    "met and not proved": proof("sheets", value=plus(0), bound=lambda old: old, proved=lambda old: not old),
    "no such goal": proof("sheets", goal="beauty"),
    "missing": without("proof", 0),
    "sheets missing": without("proof", -1),
    "twice": twice("proof", 0),
    "a bound that is no number": proof("panels", bound=math.nan),
    "a value that is no number": proof("worst_seam", value=math.nan),
    "a chosen choice that is another": lambda plan: replace(plan, choices=(Choice(None, 1, 1, 0.0, 1, True),)),
    "no choice chosen": lambda plan: replace(plan, choices=(Choice(None, 1, 1, 0.0, 1, False),)),
}
JOB: dict[str, Damage] = {
    "pitch": job("scallop", pitch=70.05),
    "depth": job("scallop", depth=16.01),
    "form": job("scallop", form="sine"),
    "valley radius": job("scallop", valley_radius=2.0),
    "count on the back": job("scallop", count_on="back"),
    "count on the crest": job("scallop", count_on="crest"),
    "pitch range elsewhere": job("scallop", pitch_range=(71.0, 72.0)),
    "pitch range with take-up": job("scallop", pitch_range=(69.0, 72.0)),
    "less take-up": job("scallop", most_take_up=0.019),
    "no take-up": job("scallop", most_take_up=1e-6),
    "thickness": job("metal", thickness=0.65),
    "height": job("face", height=589.0),
    "top return": job("face", top_return=11.0),
    "bottom return": job("face", bottom_return=1.0),
    "scribe": job("face", scribe=1.0),
    "butt": job("face", seam="butt"),
    "form trim": job("face", form_trim=20.1),
    "smallest panel": job("face", smallest_panel=100),
    "largest panel in scallops": job("face", largest_scallops=20),
    "largest panel overall": job("face", largest_overall=1500.0),
    "edge fixing": job("fixing", edge=13.0),
    "fixings every other valley": job("fixing", every=2),
    "tight radius": job("seams", tight_radius=1e5),
    "a seam in a stretch kept free": avoided_seam,
    "a stretch that is not told": job("seams", avoid=lambda old: (*old, Avoid(10.0, 10.5, "post"))),
    "a required run": job("seams", require=(Require(1234.5),)),
    "a goal more": job("seams", goals=lambda old: (*old, "weight")),
    "a shorter sheet": first_of_job("sheets", length=2500.0),
    "a narrower sheet": first_of_job("sheets", width=1000.0),
    "trim": first_of_job("sheets", trim=6.0),
    "edge trim": first_of_job("sheets", edge_trim=7.0),
    "kerf": first_of_job("sheets", kerf=4.0),
    "price": first_of_job("sheets", price=71.0),
    "no price": first_of_job("sheets", price=None),
    "on hand": first_of_job("sheets", count=1),
    "scallops along": first_of_job("sheets", scallops="along"),
    "remnant": first_of_job("sheets", remnant=True),
    "spare": job("order", spare="0.75"),
    "proving": job("order", prove_out=2),
    "inset": first_of_job("outlines", inset=plus(0.01)),
    "drawn from elsewhere": first_of_job("outlines", start=(0.0, 1.0), datum=(3000.0, -1000.0)),
    "the other face": first_of_job(
        "outlines", face=lambda old: {"outside": "inside", "right": "left"}.get(old, "outside")
    ),
}
CHOICES: dict[str, Damage] = {
    "cost": best_row(cost=plus(1.0)),
    "no cost": best_row(cost=None),
    "sheets": best_row(sheets=plus(1)),
    "panels": best_row(panels=plus(1)),
    "worst seam": best_row(worst_seam=plus(0.002)),
    "lengths": best_row(different_lengths=plus(1)),
    "not chosen": best_row(chosen=False),
    "note of the best": best_row(note="one more panel"),
    "no note": best_row(note=""),
    "two are the best": other_row(note="best by the goals"),
    "two are chosen": other_row(chosen=True),
    "another with fewer panels": other_row(panels=lambda old: old - 2),
    "another with as many panels and a better seam": other_row(
        panels=lambda old: old - 1, worst_seam=lambda old: old - 0.002
    ),
    "another with more sheets than panels": other_row(sheets=lambda old: 99),
    "another with more lengths than panels": other_row(different_lengths=lambda old: 99),
    "another with no sheet": other_row(sheets=0),
    "another that gains money": other_row(cost=-1.0),
    "another whose lift is no number": other_row(worst_seam=math.nan),
}
STRETCHES: dict[str, Damage] = {
    "asked: start": stretch("hatch", start=plus(0.01)),
    "asked: end": stretch("hatch", end=plus(0.01)),
    "asked: why": stretch("hatch", why="till"),
    "asked: outline": stretch("hatch", outline=1),
    "asked: for a tight curve": stretch("hatch", why="tight curve"),
    "one missing": without("stretches", 0),
    "one twice": twice("stretches", 0),
    "one that nobody asked for": more("stretches", Stretch(0, 100.0, 200.0, "post")),
    "a straight told to be tight": more("stretches", Stretch(0, 100.0, 200.0, "tight curve")),
}
DAMAGES = {
    f"{part}: {name}": damage
    for part, table in {
        "lines": LINES,
        "scallop": SCALLOP,
        "flex": FLEX,
        "run": RUNS,
        "seam": SEAM,
        "panel": PANELS,
        "sheet": SHEETS,
        "order": ORDER,
        "proof": PROOF,
        "choice": CHOICES,
        "stretch": STRETCHES,
        "job": JOB,
    }.items()
    for name, damage in table.items()
}


def test_there_are_more_than_a_hundred_and_ninety_ways_to_damage_a_plan():
    assert len(DAMAGES) >= 190


@pytest.mark.parametrize("shape", ["ellipse", "wave", "gates"])
def test_the_plans_that_are_damaged_are_sound(shape: str):
    """What the check says of a damaged plan is of the damage."""
    assert check_plan(planned(shape)) == ()


@pytest.mark.parametrize("shape", ["ellipse", "wave"])
@pytest.mark.parametrize("name", DAMAGES)
def test_a_damaged_plan_is_found_out(name: str, shape: str):
    assert check_plan(DAMAGES[name](planned(shape)))


@pytest.mark.parametrize(
    ("kind", "index"),
    [(Run, 0), (Seam, 1), (Panel, 0), (SheetCut, 0), (OrderLine, 0), (Proof, 0), (Choice, 1), (Stretch, 0)],
)
def test_every_field_of_the_plan_is_held_to(kind: type, index: int):
    """Each field alone, changed to what it is not, is found; those that only tell are named here."""
    plan = planned("ellipse")
    tables = {
        Run: "runs",
        Seam: "seams",
        Panel: "panels",
        SheetCut: "sheets",
        OrderLine: "order",
        Proof: "proof",
        Choice: "choices",
        Stretch: "stretches",
    }
    free = {(Seam, "why"), (Choice, "note")}
    for field in fields(kind):
        if (kind, field.name) not in free:
            assert check_plan(of(tables[kind], index, **{field.name: _other})(plan)), field.name


def _other(value: Any) -> Any:
    """Return a value of the same kind that is another."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value + 3
    if isinstance(value, str):
        return f"{value}, not"
    if isinstance(value, np.ndarray):
        return value + 0.01
    return value[:-1] if value else 0.25
