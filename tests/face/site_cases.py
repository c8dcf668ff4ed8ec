"""Outlines laid out up to their runs, for what the site does to a plan."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from check_cases import SHAPES

from layout.face.blanks import Blanks, blanks_of
from layout.face.check_runs import Own, own_lines
from layout.face.check_scallop import scallop_sums
from layout.face.fit import fits
from layout.face.plan import Lines, Run
from layout.face.runs import lines_of, runs_of, spans_of, walk_all
from layout.job.model import (
    FaceSpec,
    Job,
    MetalSpec,
    OutlineSpec,
    ScallopSpec,
    SheetSpec,
    Straight,
    Turn,
    Viewpoint,
    Wall,
)
from layout.metal.profile import Profile

FORMS = {
    "arc": ScallopSpec("arc", pitch=70.0, depth=16.0, most_take_up=0.1),
    "half round": ScallopSpec("arc", pitch=60.0, depth=30.0, most_take_up=0.1),
    "rounded arc": ScallopSpec("arc", pitch=70.0, depth=16.0, valley_radius=6.0, most_take_up=0.1),
    "arc-flat": ScallopSpec("arc-flat", pitch=90.0, depth=20.0, flat=20.0, most_take_up=0.1),
    "sine": ScallopSpec("sine", pitch=76.0, depth=18.0, most_take_up=0.1),
    "serpentine": ScallopSpec("serpentine", pitch=80.0, depth=22.0, most_take_up=0.1),
    "arc-tangent": ScallopSpec("arc-tangent", pitch=80.0, depth=25.0, radius=8.0, most_take_up=0.1),
}


@dataclass(frozen=True, eq=False)
class Laid:
    """A job laid out to its runs, with the check's own lines beside."""

    job: Job
    lines: tuple[Lines, ...]
    runs: tuple[Run, ...]
    profile: Profile
    blanks: Blanks
    own: list[Own]


def site_job(outline: OutlineSpec, form: str = "arc", *, face: FaceSpec | None = None, **parts: object) -> Job:
    """Return a job on one outline."""
    return Job(
        title="Site",
        units="mm",
        outlines=(outline,),
        scallop=FORMS[form],
        metal=MetalSpec("steel", thickness=0.6),
        face=face or FaceSpec(height=590.0),
        sheets=(SheetSpec(3000.0, 1250.0),),
        **parts,  # type: ignore[arg-type]
    )


def laid(job: Job) -> Laid:
    """Lay a job out."""
    walked = walk_all(job)
    spans = spans_of(job, walked)
    fit = fits(job, spans)[0]
    lines = lines_of(job, walked, fit)
    blanks = blanks_of(job, fit.profile.developed)
    runs = runs_of(job, spans, lines, fit, blanks)
    own = own_lines(job, scallop_sums(job.scallop, job.metal.thickness, fit.profile.pitch))
    return Laid(job, lines, runs, fit.profile, blanks, own)


def random_path(rng: np.random.Generator) -> OutlineSpec:
    """Return an open line of straights and gentle arcs."""
    steps: list[Straight | Turn] = []
    for _ in range(int(rng.integers(2, 5))):
        steps.append(Straight(float(rng.uniform(300, 1500))))
        steps.append(Turn(float(rng.choice([-1, 1]) * rng.uniform(0.3, 0.9)), float(rng.uniform(700, 2500))))
    heading = float(rng.uniform(0, math.tau))
    side = str(rng.choice(["right", "left"]))
    return OutlineSpec("", "path", heading=heading, closed=False, face=side, steps=tuple(steps))


def random_scenes(count: int, seed: int) -> Iterator[Job]:
    """Yield jobs on known and random outlines, with random forms, viewpoints and walls."""
    rng = np.random.default_rng(seed)
    shapes, forms = list(SHAPES), list(FORMS)
    for k in range(count):
        outline = random_path(rng) if k % 3 == 2 else SHAPES[shapes[int(rng.integers(len(shapes)))]]
        eyes = tuple(
            Viewpoint(f"eye {i}", (float(x), float(y))) for i, (x, y) in enumerate(rng.uniform(-6000, 6000, (4, 2)))
        )
        walls = tuple(
            Wall(
                tuple(
                    (float(x), float(y)) for x, y in rng.uniform(-5500, 5500, (1, 2)) + rng.uniform(-900, 900, (3, 2))
                )
            )
            for _ in range(int(rng.integers(0, 4)))
        )
        goes = str(rng.choice(["under", "over"]))
        face = FaceSpec(height=590.0, lap_goes=goes, seam=str(rng.choice(["lap", "butt"])))
        yield site_job(outline, forms[int(rng.integers(len(forms)))], face=face, viewpoints=eyes, walls=walls)
