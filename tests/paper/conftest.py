"""Plans that the drawing tests share; each is made once."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from paper_plans import SITE, circle, looked_at, make_job, make_plan, wander

from layout.face.plan import Plan, Stretch
from layout.job.model import OutlineSpec


@cache
def _plan(name: str) -> Plan:
    rings = {"ring of 4": (2400.0, 4), "ring of 40": (15000.0, 40), "ring of 120": (45000.0, 120)}
    if name in rings:
        diameter, panels = rings[name]
        gate = Stretch(0, diameter * 3.1 - 400, 300, "gate, kept free for the leaf")
        return make_plan(make_job(circle(diameter)), panels, stretches=(Stretch(0, 600, 1500, "till"), gate))
    if name == "open line":
        return make_plan(make_job(wander()), 7, stretches=(Stretch(0, 600, 1500, "till"),))
    if name == "two outlines":
        island = OutlineSpec("island", "ellipse", length=5000.0, width=2600.0, inset=150.0)
        return make_plan(make_job((island, replace(wander("back bar"), start=(-3000.0, 4500.0)))), 6)
    if name == "hollow in mm":
        return make_plan(make_job(replace(circle(6000.0), face="inside"), units="mm"), 12)
    if name == "looked at":
        return looked_at(make_plan(make_job(circle(3600.0), **SITE), 6))
    assert name == "one panel"
    return make_plan(make_job(replace(wander(), steps=wander().steps[:1])), 1)


NAMES = (
    "ring of 4",
    "ring of 40",
    "ring of 120",
    "open line",
    "two outlines",
    "hollow in mm",
    "one panel",
    "looked at",
)


@pytest.fixture(params=NAMES)
def plan(request: pytest.FixtureRequest) -> Plan:
    """Return every shared plan in turn."""
    return _plan(request.param)


@pytest.fixture
def ring() -> Plan:
    """Return a ring of 40 panels in inches."""
    return _plan("ring of 40")


@pytest.fixture
def open_plan() -> Plan:
    """Return an open line of 7 panels in inches."""
    return _plan("open line")


@pytest.fixture
def hollow() -> Plan:
    """Return the inside of a ring, 12 panels, in millimetres."""
    return _plan("hollow in mm")


@pytest.fixture
def looked() -> Plan:
    """Return a ring that people look at, with cut-outs, in inches."""
    return _plan("looked at")


@pytest.fixture
def pair() -> Plan:
    """Return two outlines in one job."""
    return _plan("two outlines")
