"""Sixty plans of many sizes, shapes, papers and units, by fixed seeds: from tiny to long, from 4 to 120 seams."""

from __future__ import annotations

import math
import random

from paper_plans import make_job, make_plan

from layout.face.plan import Plan, Stretch
from layout.job.model import OutlineSpec, SheetSpec, Straight, Turn
from layout.job.model_packet import PaperSpec

COUNT = 60
PITCH = 69.85
"""mm, of every job here"""


PAPERS = ("letter", "A4", "tabloid", "A3")


EXTREMES = {
    "ring of 300 mm": (OutlineSpec("", "circle", diameter=300.0), 3),
    "wall of 300 mm": (OutlineSpec("", "path", closed=False, face="right", steps=(Straight(300.0),)), 1),
    "wall of 60 m, few": (OutlineSpec("", "path", closed=False, face="right", steps=(Straight(60000.0),)), 25),
    "wall of 60 m, many": (OutlineSpec("", "path", closed=False, face="left", steps=(Straight(60000.0),)), 120),
    "loop of 60 m": (OutlineSpec("", "rounded-rectangle", length=24000.0, width=6000.0, radius=600.0), 120),
    "hairpin of 60 m": (
        OutlineSpec(
            "",
            "path",
            closed=False,
            face="right",
            steps=(Straight(28000.0), Turn(math.pi, 1200.0), Straight(28000.0)),
        ),
        60,
    ),
}
"""outline and number of panels"""


def extreme(name: str, paper: str) -> Plan:
    """Return a plan of a tiny or a long outline on one paper."""
    spec, panels = EXTREMES[name]
    sheets = (SheetSpec(length=3048.0, width=1219.2, trim=6.35, price=71.5),)
    units = "in" if paper in ("letter", "tabloid") else "mm"
    return make_plan(make_job(spec, units, paper=PaperSpec(paper), sheets=sheets), panels)


def generated(seed: int) -> Plan:
    """Return one plan: the number of panels first, then a line that is long enough for them."""
    dice = random.Random(seed)
    panels = round(4 * 30 ** dice.random())
    length = panels * PITCH * dice.uniform(8.0, 24.0)
    spec = _outline(dice, length)
    units = dice.choice(("in", "mm"))
    paper = PaperSpec(dice.choice((None, None, "letter", "A4", "tabloid", "A3")))
    sheets = (SheetSpec(length=3048.0, width=1219.2, trim=6.35, price=71.5),)
    job = make_job(spec, units, paper=paper, sheets=sheets)
    start = dice.uniform(0.1, 0.6) * length
    stretches = (Stretch(0, start, start + 900.0, "till"),) if dice.random() < 0.6 else ()
    return make_plan(job, panels, stretches=stretches)


def _outline(dice: random.Random, length: float) -> OutlineSpec:
    """Return an outline about as long as asked."""
    shape = dice.choice(("circle", "ellipse", "rounded-rectangle", "stadium", "path"))
    if shape == "circle":
        return OutlineSpec("", "circle", diameter=max(length / math.pi, 1400.0))
    if shape == "ellipse":
        wide = max(length / math.pi * dice.uniform(1.0, 1.45), 1800.0)
        return OutlineSpec("", "ellipse", length=wide, width=max(2 * length / math.pi - wide, 0.45 * wide))
    if shape == "path":
        return _path(dice, length)
    wide = max(length * dice.uniform(0.26, 0.44), 1800.0)
    deep = max(length / 2 - wide, 1400.0)
    if shape == "stadium":
        return OutlineSpec("", "stadium", length=max(wide, deep + 200.0), width=deep)
    return OutlineSpec("", "rounded-rectangle", length=wide, width=deep, radius=600.0)


def _path(dice: random.Random, length: float) -> OutlineSpec:
    """Return an open line that bends one way and the other, never into itself."""
    part = length / 5
    bend = math.radians(dice.uniform(20.0, 75.0))
    radius = max(part / bend, 700.0)
    steps = (Straight(part), Turn(bend, radius), Straight(part), Turn(-bend, radius), Straight(part))
    return OutlineSpec("", "path", closed=False, steps=steps, face=dice.choice(("left", "right")))
