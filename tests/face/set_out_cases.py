"""Walls with marks on them, without a solver: enough of a plan for the set-out."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

import numpy as np

from layout.errors import JobFaults
from layout.face.plan import Lines, Seam
from layout.job.model import Job, OutlineSpec, Straight, Turn
from layout.outline.walk import walk
from tests.jobs import job


@dataclass(frozen=True, eq=False)
class Marked:
    """What the set-out reads of a plan."""

    job: Job
    lines: tuple[Lines, ...]
    seams: tuple[Seam, ...]


def marked(specs: list[OutlineSpec], marks: int | list[float], units: str = "mm") -> Marked:
    """Mark every wall at even distances, or the one wall at the given stations."""
    lines = tuple(_lines(spec, units) for spec in specs)
    seams: list[Seam] = []
    for k, one in enumerate(lines):
        back = one.back
        stations = (
            np.linspace(0.0, back.length, marks + back.closed)[: marks if back.closed else None]
            if isinstance(marks, int)
            else np.array(marks)
        )
        for station in stations.tolist():
            x, y = back.point(station).tolist()
            bend = float(back.curvature(station))
            end = not back.closed and station in {0.0, back.length}
            heading = float(back.heading(station))
            number = len(seams) + 1
            radius = 1 / bend if bend else None
            seams.append(Seam(number, k + 1, k, 0, station, x, y, heading, radius, 0.0, 0, "even", end=end))
    return Marked(job(specs[0], units=units), lines, tuple(seams))


def _lines(spec: OutlineSpec, units: str) -> Lines:
    walked = walk(spec, units)
    back = walked.back
    return Lines(spec.name, walked.drawn, back, back.parallel(8.0), back.parallel(17.0), walked.datum)


def circle(diameter: float, face: str = "outside") -> OutlineSpec:
    """Return a round wall."""
    return OutlineSpec("", "circle", diameter=diameter, face=face)


def straight(length: float, start: tuple[float, float] = (0.0, 0.0)) -> OutlineSpec:
    """Return a straight wall along +x; the viewer is below it."""
    return OutlineSpec("", "path", start=start, closed=False, face="right", steps=(Straight(length),))


def generated(count: int, seed: int) -> list[OutlineSpec]:
    """Return walls of every shape, faces to both sides, all of them sound."""
    chance = random.Random(seed)
    found: list[OutlineSpec] = []
    while len(found) < count:
        spec = _generated(chance, len(found) % 5)
        try:
            walk(spec, "mm")
        except JobFaults:
            continue
        found.append(spec)
    return found


def _generated(chance: random.Random, kind: int) -> OutlineSpec:
    face = chance.choice(("outside", "inside"))
    length = chance.uniform(2000.0, 20000.0)
    width = length * chance.uniform(0.3, 0.95)
    inset = chance.uniform(0.0, 150.0) * (1 if face == "outside" else 0)
    match kind:
        case 0:
            return OutlineSpec("", "circle", diameter=length, face=face, inset=inset)
        case 1:
            return OutlineSpec("", "ellipse", length=length, width=width, face=face, inset=inset)
        case 2:
            return OutlineSpec("", "stadium", length=length, width=width, face=face, inset=inset)
        case 3:
            radius = chance.uniform(0.2, 0.45) * width
            return OutlineSpec(
                "", "rounded-rectangle", length=length, width=width, radius=radius, face=face, inset=inset
            )
    steps: list[Straight | Turn] = []
    for _ in range(chance.randint(1, 3)):
        steps.append(Straight(chance.uniform(800.0, 3000.0)))
        steps.append(Turn(math.radians(chance.uniform(-110.0, 110.0)), chance.uniform(700.0, 3000.0)))
    steps.append(Straight(chance.uniform(800.0, 3000.0)))
    return OutlineSpec("", "path", closed=False, face=chance.choice(("left", "right")), steps=tuple(steps))
