"""What ovens, doors, elevators and trucks allow: the least of them, by name."""

from __future__ import annotations

from dataclasses import dataclass

from layout.errors import Fault, JobFaults
from layout.job.model import Job
from layout.units import format_length


@dataclass(frozen=True)
class Overall:
    """The longest that a panel may be overall, lap included, and what says so."""

    key: str
    """of the job file"""
    length: float
    """mm"""
    words: str
    """why a seam falls where a panel is that long"""


def least_overall(job: Job) -> Overall | None:
    """Return what binds a panel's overall length most; of equals the first. None where nothing does."""
    found = [
        Overall(f"limits.{one.name}", one.length, f"as far as the {one.name} allows") for one in job.limits.openings
    ]
    if job.face.largest_overall is not None:
        found.insert(0, Overall("face.largest_panel", job.face.largest_overall, "as long as a panel may be"))
    return min(found, key=lambda one: one.length, default=None)


def short_limits(job: Job, length: float) -> list[str]:
    """Return the keys of all limits under an overall length, mm."""
    found = [f"limits.{one.name}" for one in job.limits.openings if one.length < length]
    largest = job.face.largest_overall
    return (["face.largest_panel"] if largest is not None and largest < length else []) + found


def refuse_height(job: Job, height: float) -> None:
    """Refuse blanks that are higher than something they must pass through.

    Raises
    ------
    JobFaults
        With every limit that is too low (``limits.oven`` and so on).
    """
    units = job.units
    faults = [
        Fault(
            f"limits.{one.name}",
            format_length(one.height, units),
            f"panels are {format_length(height, units)} high with returns and scribe, and must pass through upright",
            f"Find a larger {one.name}, or leave its height out if panels may be turned there",
        )
        for one in job.limits.openings
        if one.height is not None and height > one.height
    ]
    if faults:
        raise JobFaults(faults)
