"""Places told by a point or an angle, through a whole plan, and their check."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from check_cases import a_job

from layout.errors import JobFaults
from layout.face.check import check_plan
from layout.face.plan import Plan
from layout.face.planning import compared_plan
from layout.job.model import Avoid, Job, Opening, OutlineSpec, Require, SeamsSpec, SheetSpec, Straight, Zone
from layout.job.model_places import Asked, Place

RADIUS = 2500.0
NAN = math.nan


def ring(**more: object) -> Job:
    """Return a round bar, its datum at the bottom: an angle φ from +x is station R·(φ + 90°)."""
    usual = {"seams": SeamsSpec(goals=("panels",)), "sheets": (SheetSpec(3000.0, 1250.0),)}
    return a_job(OutlineSpec("", "circle", diameter=2 * RADIUS), **{**usual, **more})


def by_places() -> Job:
    """Return a job whose places are all told by points and angles."""
    return ring(
        seams=SeamsSpec(goals=("panels",), avoid=(Avoid(NAN, 300.0, "till"),), require=(Require(NAN, "post"),)),
        zones=(Zone("low", NAN, NAN, 400.0),),
        openings=(Opening("gate", NAN, NAN, leaf=True, clearance=6.0, ends="cut"),),
        places=(
            Asked("seams.avoid[1].from", Place(near=(0.0, -2400.0))),
            Asked("seams.require[1].at", Place(near=(-2600.0, 0.0))),
            Asked("zone[1].from", Place(at_angle=math.radians(90.0))),
            Asked("zone[1].to", Place(at_angle=math.radians(120.0))),
            Asked("opening[1].from", Place(near=(2510.0, 0.0))),
            Asked("opening[1].to", Place(at_angle=math.radians(20.0))),
        ),
    )


def test_places_become_stations_by_hand() -> None:
    """On a circle a place at an angle is an arc from the datum; what is near a point lies on its ray."""
    job = compared_plan(by_places()).job
    assert job.seams.avoid[0].start == pytest.approx(0.0, abs=1e-6)
    assert job.seams.require[0].at == pytest.approx(RADIUS * math.radians(270.0), abs=1e-6)
    assert (job.zones[0].start, job.zones[0].end) == pytest.approx((RADIUS * math.pi, RADIUS * math.radians(210.0)))
    gate = job.openings[0]
    assert (gate.start, gate.end) == pytest.approx((RADIUS * math.pi / 2, RADIUS * math.radians(110.0)))


def test_places_give_the_plan_that_their_stations_give() -> None:
    """The same job with the stations written out: the same runs, seams and panels."""
    one = compared_plan(by_places())
    other = compared_plan(replace(one.job, places=()))
    assert [seam.station for seam in one.seams] == [seam.station for seam in other.seams]
    assert one.panels == other.panels
    assert check_plan(one) == check_plan(other) == ()


def moved(by: float) -> Plan:
    """Return a plan whose gate stands off its place, its runs and all with it."""
    plan = compared_plan(by_places())
    gate = replace(plan.job.openings[0], start=plan.job.openings[0].start + by)
    return replace(
        compared_plan(replace(plan.job, openings=(gate,), places=())), job=replace(plan.job, openings=(gate,))
    )


def test_check_finds_a_station_that_is_not_its_place() -> None:
    """A gate a millimetre off the point that it is told by, in a plan that is right otherwise."""
    assert check_plan(moved(0.0)) == ()
    assert [f for f in check_plan(moved(1.0)) if f.startswith("opening[1].from: station")]


def test_all_places_that_are_none_are_told_at_once() -> None:
    """A point far off the line, and the centre, to which all of it is as near."""
    job = by_places()
    far = (Asked("zone[1].to", Place(near=(9000.0, 0.0))), Asked("opening[1].to", Place(near=(0.0, 0.0))))
    with pytest.raises(JobFaults) as caught:
        compared_plan(replace(job, places=(*job.places[:3], job.places[4], *far)))
    assert [fault.key for fault in caught.value.faults] == ["zone[1].to", "opening[1].to"]


def test_stretch_told_by_places_wraps_on_a_loop_only() -> None:
    """On a straight wall an opening from right to left is a fault."""
    spec = OutlineSpec("", "path", closed=False, face="right", steps=(Straight(4000.0),))
    places = (Asked("opening[1].from", Place(near=(3000.0, 0.0))), Asked("opening[1].to", Place(near=(1000.0, 0.0))))
    job = replace(ring(), outlines=(spec,), openings=(Opening("gate", NAN, NAN),), places=places)
    with pytest.raises(JobFaults, match="on an open line a stretch cannot wrap"):
        compared_plan(job)
