"""Every way in which sight, holes and hanging of a plan are damaged is found by the independent check."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest
from check_cases import Damage, best_row, first_of_job, job, more, of, plus, stretch, swapped, twice, without
from site_cases import site_job

from layout.face.check import check_plan
from layout.face.plan import Hole, Plan
from layout.face.planning import make_plan
from layout.job.model import Cutout, FaceSpec, OutlineSpec, SeamsSpec, Viewpoint, Wall


@cache
def sound() -> Plan:
    """Return the plan of an ellipse that two people look at past a screen, with two holes, one across the datum."""
    return make_plan(
        site_job(
            OutlineSpec("", "ellipse", length=4200.0, width=2600.0),
            face=FaceSpec(height=590.0, largest_scallops=20, bottom_return=12.0),
            seams=SeamsSpec(goals=("panels", "worst_seam")),
            viewpoints=(Viewpoint("door", (0.0, -4000.0)), Viewpoint("stairs", (1500.0, 4000.0), 2.0)),
            walls=(Wall(((2200.0, 2500.0), (3200.0, 1500.0))),),
            cutouts=(Cutout("socket", 800.0, 300.0, 90.0, 146.0), Cutout("hatch", 20.0, 100.0, 300.0, 200.0)),
        )
    )


def seen_as(name: str, view: str) -> Damage:
    """Say of the first seam of another view that it is seen so from one viewpoint, and price it so."""

    def damage(plan: Plan) -> Plan:
        at = next(k for k, seam in enumerate(plan.seams) if dict(seam.sight)[name] != view)
        sight = tuple((who, view if who == name else told) for who, told in plan.seams[at].sight)
        views, weights = ("hidden", "grazed", "seen"), {"door": 1, "stairs": 2}
        score = sum(weights[who] * views.index(told) for who, told in sight)
        return of("seams", at, sight=sight, cost=score * 10**7 + plan.seams[at].cost % 10**7)(plan)

    return damage


def hung(change: Callable[[tuple[int, ...]], tuple[int, ...]]) -> Damage:
    return of("hanging", 0, order=change)


SIGHT: dict[str, Damage] = {
    **{f"{view} from {name}": seen_as(name, view) for name in ("door", "stairs") for view in ("hidden", "seen")},
    "not told": of("seams", 0, sight=()),
    "told for one viewpoint only": of("seams", 0, sight=lambda old: old[:1]),
    "told for another": of("seams", 0, sight=lambda old: (*old[:1], ("window", "hidden"))),
    "told in another order": of("seams", 0, sight=lambda old: old[::-1]),
    "a word that is none": of("seams", 0, sight=lambda old: (*old[:1], ("stairs", "barely"))),
    "cost without its sight": of("seams", 0, cost=lambda old: old % 10**7 if old >= 10**7 else old + 10**7),
    "cost a µm off": of("seams", 1, cost=plus(1)),
    "sight of the chosen row": best_row(worst_sight=plus(1)),
    "lift of the chosen row": best_row(worst_seam=plus(0.002)),
    "viewpoint elsewhere": first_of_job("viewpoints", at=(0.0, 4000.0)),
    "viewpoint of another name": first_of_job("viewpoints", name="window"),
    "viewpoint heavier": first_of_job("viewpoints", weight=3.0),
    "laps over instead": job("face", lap_goes="over"),
    "laps left open": job("face", lap_goes="either"),
}
HOLES: dict[str, Damage] = {
    **{
        f"{part} {by:+}": of("cutouts", 0, **{part: plus(by)})
        for part in ("left", "bottom", "width", "height")
        for by in (0.01, -0.01)
    },
    "left is no number": of("cutouts", 0, left=math.nan),
    "a notch": of("cutouts", 0, whole=False),
    "in another panel": of("cutouts", 0, panel=lambda old: old % 3 + 1),
    "in a panel that is none": of("cutouts", 0, panel=99),
    "of another name": of("cutouts", 0, name="shelf"),
    "missing": without("cutouts", 1),
    "twice": twice("cutouts", 0),
    "one that nobody asked for": more("cutouts", Hole("shelf", 1, 300.0, 300.0, 50.0, 50.0)),
    "left from the metal, not the blank": of("cutouts", 0, left=plus(-19.05)),
    "bottom without its return": of("cutouts", 0, bottom=plus(-12.0)),
    "hole elsewhere on the wall": first_of_job("cutouts", at=801.0),
    "hole higher on the wall": first_of_job("cutouts", up=301.0),
    "hole wider on the wall": first_of_job("cutouts", width=91.0),
    "no cut-outs": lambda plan: replace(plan, job=replace(plan.job, cutouts=())),
    "its stretch": stretch("socket", start=plus(0.01)),
    "its stretch's end": stretch("hatch", end=plus(-0.01)),
    "its stretch's reason": stretch("hatch", why="till"),
    "its stretch missing": without("stretches", 0),
    "clearance up to the next seam": first_of_job("cutouts", clearance=900.0),
}
HANGING: dict[str, Damage] = {
    "not told": lambda plan: replace(plan, hanging=()),
    "of another run": of("hanging", 0, run=2),
    "twice": twice("hanging", 0),
    "a panel missing": hung(lambda old: old[:-1]),
    "a panel twice": hung(lambda old: (*old[:-1], old[0])),
    "leftwards": hung(lambda old: old[::-1]),
    "two panels swapped": hung(lambda old: (old[1], old[0], *old[2:])),
    **{f"closed {k} panels on": hung(lambda old, k=k: (*old[k:], *old[:k])) for k in (1, 2, 3)},
}
DAMAGES = {
    f"{part}: {name}": damage
    for part, table in {"sight": SIGHT, "hole": HOLES, "hanging": HANGING}.items()
    for name, damage in table.items()
}


def test_the_plan_that_is_damaged_is_sound() -> None:
    """What the check says of a damaged plan is of the damage; it has seams of every view, and holes."""
    plan = sound()
    assert check_plan(plan) == ()
    assert {view for seam in plan.seams for _, view in seam.sight} >= {"hidden", "grazed"}
    assert [hole.name for hole in plan.cutouts] == ["socket", "hatch"]


@pytest.mark.parametrize("name", DAMAGES)
def test_damage_to_sight_holes_and_hanging_is_found(name: str) -> None:
    """Each damage alone makes the check speak."""
    damaged = DAMAGES[name](sound())
    assert damaged != sound()
    assert check_plan(damaged)


def test_swapped_holes_and_equal_order_say_the_same() -> None:
    """Which hole is told first means nothing: the check is silent."""
    assert check_plan(swapped("cutouts")(sound())) == ()
