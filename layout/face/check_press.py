"""The press's figures, worked out again: force, bottoming, shares, hours, bed."""

from __future__ import annotations

from collections.abc import Iterator

from layout.face.check_words import FINE, SHARE, counted, differs, unless
from layout.face.forming import Forming
from layout.face.plan import Plan

FACTOR = 1.33
"""Kbf of a groove (Groover; factors read)"""

OFF = 0.2
"""share by which the force may be off either way (assumed)"""

BOTTOM = (3.0, 4.0, 5.0)
"""least, planned and greatest bottoming factor (common practice, no source)"""

FORCE = 1e-6
"""share by which two ways of working a force out may differ (no unit)"""


def check_press(plan: Plan, forming: Forming, tensile: float) -> Iterator[str]:
    """Yield what of the press does not follow from panels, die and tensile strength (MPa)."""
    work, spec, t = forming.press, plan.job.press, plan.job.metal.thickness
    height, opening = max(panel.blank_height for panel in plan.panels), forming.die.loaded_pitch - _flat(plan)
    force = FACTOR * tensile * height * t**2 / opening
    for name, claimed, own in (
        ("force", work.force, force),
        ("least force", work.force_range[0], force * (1 - OFF)),
        ("greatest force", work.force_range[1], force * (1 + OFF)),
        ("bottoming", work.bottoming, BOTTOM[1] * force * spec.grooves),
        ("least bottoming", work.bottoming_range[0], BOTTOM[0] * force * spec.grooves),
        ("greatest bottoming", work.bottoming_range[1], BOTTOM[2] * force * spec.grooves),
        ("bottoming factor", work.bottoming_factor, BOTTOM[1]),
        ("hours", work.hours, sum(forming.strokes) / spec.speed / 60),
    ):
        yield from differs(f"press: {name}", claimed, own, FORCE * own)
    bend = (height, t, opening, tensile)
    yield from unless(len(work.bend) == len(bend), f"press: the force has {len(work.bend)} inputs, not {len(bend)}")
    names = ("height", "thickness", "opening", "tensile strength")
    for name, claimed, own in zip(names, work.bend, bend, strict=False):
        yield from differs(f"press: {name} of the bend", claimed, own, FORCE * own)
    yield from counted("press: strokes", work.strokes, sum(forming.strokes))
    yield from counted("press: grooves", work.grooves, spec.grooves)
    if spec.bed is not None:
        yield from unless(height <= spec.bed + FINE, f"press: blanks {height:.6g} high on a bed of {spec.bed:.6g}")
    yield from _check_capacity(plan, forming)


def _check_capacity(plan: Plan, forming: Forming) -> Iterator[str]:
    """Check capacity and shares; there are none where no press is given."""
    work, capacity = forming.press, plan.job.press.capacity
    given = (work.capacity, work.share, work.bottoming_share)
    if capacity is None:
        yield from unless(given == (None, None, None), "press: a share of a capacity that is not given")
        return
    wanted = (capacity, work.force / capacity, work.bottoming / capacity)
    for name, claimed, own in zip(("capacity", "share of its capacity", "bottoming share"), given, wanted, strict=True):
        yield from differs(f"press: {name}", claimed if claimed is not None else 0.0, own, SHARE * own)


def _flat(plan: Plan) -> float:
    return (plan.job.scallop.flat or 0.0) if plan.job.scallop.form == "arc-flat" else 0.0
