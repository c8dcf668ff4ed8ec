"""Seam-free stretches in words: as the job file gives them, not as the boundaries of a run happen to fall in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layout.face.costs import SeamPlaces, inside
from layout.face.plan import Lines
from layout.job.model import Avoid, Job
from layout.units import format_length


@dataclass(frozen=True, eq=False)
class Barred:
    """Boundaries of one run that seams are barred from, one after another."""

    lines: Lines
    """of the run's outline"""
    place: SeamPlaces
    """what is known of the run's boundaries"""
    boundaries: tuple[int, ...]
    """their numbers along the run"""


def stretches_in(barred: Barred, free: Sequence[Avoid]) -> list[int]:
    """Return the indices of the stretches that bar any of these boundaries."""
    stations = barred.place.station[list(barred.boundaries)]
    barring = np.array([bool(barred.place.why[boundary]) for boundary in barred.boundaries])

    def bars(avoid: Avoid) -> bool:
        return avoid.outline in ("", barred.lines.name) and bool(
            (inside(avoid, stations, barred.lines) & barring).any()
        )

    return [k for k, avoid in enumerate(free) if bars(avoid)]


def stretch_named(job: Job, avoid: Avoid) -> str:
    """Name a stretch by its reason and its stations as the job gives them.

    >>> from layout.job.model import FaceSpec, MetalSpec, ScallopSpec
    >>> job = Job("Bar", "in", (), ScallopSpec("arc", 70.0, 16.0), MetalSpec("steel", 0.6), FaceSpec(900.0), ())
    >>> stretch_named(job, Avoid(36 * 25.4, 84 * 25.4, "till"))
    'till, from station 3 ft to 7 ft'
    """
    start, end = (format_length(station, job.units) for station in (avoid.start, avoid.end))
    return f"{avoid.why}, from station {start} to {end}"


def barred_words(job: Job, barred: Barred, free: Sequence[Avoid]) -> str:
    """Say which stretch bars these boundaries: by name where the job gives one, else by the boundaries themselves.

    What bars some of them beside, a tight curve or a corner, stands in brackets behind.
    """
    own = [free[k] for k in stretches_in(barred, free)]
    others = sorted({barred.place.why[k] for k in barred.boundaries} - {"", *(avoid.why for avoid in own)})
    behind = f" ({', '.join(others)})" if others else ""
    if own:
        return f"the stretch of {' and of '.join(stretch_named(job, avoid) for avoid in own)}{behind}"
    ends = (barred.boundaries[0], barred.boundaries[-1])
    first, last = (format_length(float(barred.place.station[k]), job.units) for k in ends)
    return f"the stretch from station {first} to {last}{behind}"
