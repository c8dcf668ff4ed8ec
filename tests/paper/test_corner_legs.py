"""Drawings of corners: panels end where their metal does, a return's leg is drawn, labels keep to their own run."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from functools import cache

import ezdxf
import pytest
from paper_plans import make_job

from layout.face.plan import Plan
from layout.face.planning import make_plan
from layout.job.model import OutlineSpec, SheetSpec, Straight, Turn
from layout.paper.corner_legs import corner_leg
from layout.paper.dxf import seam_map_dxf
from layout.paper.primitives import Lines
from layout.paper.seam_map import draw_seam_map

LONG, SHORT = 2400.0, 1500.0


@cache
def counter(kind: str, turn: float) -> Plan:
    """Return a counter of two straights that meet in a corner."""
    steps = (Straight(LONG), Turn(math.radians(turn), 0.0), Straight(SHORT))
    spec = OutlineSpec("", "path", closed=False, face="right", corner=kind, steps=steps)
    job = make_job(spec, "mm", sheets=(SheetSpec(3000.0, 1250.0),))
    return make_plan(replace(job, scallop=replace(job.scallop, most_take_up=0.1)))


def depth(plan):
    """Return how far the outermost metal stands off the wall, mm."""
    return plan.scallop.depth + plan.job.metal.thickness


def crests(plan):
    """Return start and end of each panel's crest in the DXF, by panel."""
    space = ezdxf.read(io.StringIO(seam_map_dxf(plan).decode("utf-8"))).modelspace()
    found = {}
    for one in space.query('LINE[layer=="PANELS"]'):
        number = one.get_xdata("SEAMWALK")[0].value
        ends = [(one.dxf.start.x, one.dxf.start.y), (one.dxf.end.x, one.dxf.end.y)]
        found[number] = [found[number][0], ends[1]] if number in found else ends
    return found


HAND = {
    # kind, turn: how far past the corner the first run's crest ends, and how far before it the second's begins
    ("mitre", 90.0): (1.0, 1.0),
    ("mitre", -90.0): (-1.0, -1.0),
    ("mitre", 60.0): (math.tan(math.radians(30.0)), math.tan(math.radians(30.0))),
    ("return", 90.0): (1.0, 0.0),
    ("return", -90.0): (0.0, -1.0),
    ("return", 60.0): (1 / math.sin(math.radians(60.0)), -1 / math.tan(math.radians(60.0))),
    ("return", -60.0): (0.0, -math.sin(math.radians(60.0))),
}


@pytest.mark.parametrize(("kind", "turn"), HAND)
def test_a_panels_crest_ends_where_its_metal_does(kind, turn):
    """By hand, in depths of the face: cut across in a mitre, square in a return, straight on along its own wall."""
    plan = counter(kind, turn)
    past, before = (share * depth(plan) for share in HAND[kind, turn])
    last = max(panel.number for panel in plan.panels if panel.run == 1)
    found = crests(plan)
    assert found[last][1] == pytest.approx((LONG + past, -depth(plan)), abs=1e-6)
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    wanted = (LONG + depth(plan) * sin - before * cos, -depth(plan) * cos - before * sin)
    assert found[last + 1][0] == pytest.approx(wanted, abs=1e-6)


def test_a_run_that_meets_no_other_has_no_leg():
    """Ends of an open line end square, at their stations."""
    plan = counter("return", 90.0)
    assert corner_leg(plan, plan.runs[0], 0.0, at_end=False) is None
    assert corner_leg(plan, plan.runs[1], 0.0, at_end=True) is None


@pytest.mark.parametrize(
    ("turn", "kinds"), [(90.0, {"return-leg"}), (-90.0, {"return-gap"}), (60.0, {"return-leg", "return-gap"})]
)
def test_the_map_draws_what_a_return_does(turn, kinds):
    """Outside the leg of the run that goes past, to scale; inside the gap before the one that stops short."""
    plan = counter("return", turn)
    (drawing,) = draw_seam_map(plan)
    legs = [item for item in drawing.items if isinstance(item, Lines) and item.kind in ("return-leg", "return-gap")]
    assert {leg.kind for leg in legs} == kinds
    ratio = float(drawing.scale.split(":")[1])
    for leg in legs:
        past, before = (abs(share) * depth(plan) for share in HAND["return", turn])
        wanted = past if leg.kind == "return-leg" else before
        assert math.dist(*leg.paths[0]) * ratio == pytest.approx(wanted, rel=1e-6)


def test_a_mitre_has_no_leg_on_the_map():
    """Both runs end at the corner."""
    (drawing,) = draw_seam_map(counter("mitre", 90.0))
    assert not any(item.kind.startswith("return") for item in drawing.items)


@pytest.mark.parametrize("turn", [90.0, -90.0])
def test_ticks_at_a_corner_do_not_lie_on_the_other_wall(turn):
    """Each leans to its own run, 35° off square."""
    plan = counter("return", turn)
    (drawing,) = draw_seam_map(plan)
    ends = [seam for seam in plan.seams if seam.end][1:3]
    for seam, lean in zip(ends, (-35.0, 35.0), strict=True):
        ((a, b),) = [
            item.paths[0] for item in drawing.items if isinstance(item, Lines) and item.key == f"tick-{seam.number}"
        ]
        angle = math.atan2(b[1] - a[1], b[0] - a[0]) - (seam.heading - math.pi / 2)
        assert math.degrees(math.remainder(angle, math.tau)) == pytest.approx(lean)
