"""Jobs for tests, built by hand so that they need no job file."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from layout.job.model import (
    FaceSpec,
    FixingSpec,
    Job,
    MetalSpec,
    OutlineSpec,
    ScallopSpec,
    SeamsSpec,
    SheetSpec,
    Straight,
    Turn,
)

INCH = 25.4
GOALS = ("panels", "worst_seam", "different_lengths", "seam_cost")


def job(outline: OutlineSpec, **parts: Any) -> Job:
    """Return a job in 24 gauge steel (0.0239 in) on 120 × 48 in sheets, scallops 3 × 3/4 in, unless told."""
    usual: dict[str, Any] = {
        "title": "Test counter",
        "units": "in",
        "scallop": ScallopSpec("arc", pitch=3 * INCH, depth=0.75 * INCH),
        "metal": MetalSpec("steel", thickness=0.0239 * INCH, gauge=24),
        "face": FaceSpec(height=40 * INCH),
        "sheets": (SheetSpec(length=120 * INCH, width=48 * INCH),),
        "seams": SeamsSpec(goals=GOALS),
        "fixing": FixingSpec(),
    }
    return Job(outlines=(outline,), **{**usual, **parts})


def kiosk(**parts: Any) -> Job:
    """Return a round kiosk 96 in across."""
    return job(OutlineSpec("", "circle", diameter=96 * INCH), **parts)


def oval(length: float, width: float, **parts: Any) -> Job:
    """Return an elliptic counter, sizes in inches."""
    return job(OutlineSpec("", "ellipse", length=length * INCH, width=width * INCH), **parts)


def straight(length: float, **parts: Any) -> Job:
    """Return an open straight wall, length in inches, from (0, 0) along +x."""
    spec = OutlineSpec("", "path", closed=False, face="right", steps=(Straight(length * INCH),))
    return job(spec, **parts)


def bent(**parts: Any) -> Job:
    """Return an open wall: straight, convex quarter turn, straight, concave eighth turn, straight."""
    quarter = 1.5707963267948966
    steps = (
        Straight(60 * INCH),
        Turn(quarter, 40 * INCH),
        Straight(50 * INCH),
        Turn(-quarter / 2, 70 * INCH),
        Straight(45 * INCH),
    )
    return job(OutlineSpec("", "path", closed=False, face="right", steps=steps), **parts)


def with_seams(made: Job, **changes: Any) -> Job:
    """Return the job with other wishes for its seams."""
    return replace(made, seams=replace(made.seams, **changes))


def with_face(made: Job, **changes: Any) -> Job:
    """Return the job with another face."""
    return replace(made, face=replace(made.face, **changes))


def with_scallop(made: Job, **changes: Any) -> Job:
    """Return the job with another scallop."""
    return replace(made, scallop=replace(made.scallop, **changes))
