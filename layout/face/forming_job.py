"""The job as its die really makes it: a chosen tool, or what the first-off measured."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from layout.errors import Fault, JobFaults
from layout.job.model import Job, ScallopSpec
from layout.metal.die import BOTTOMED, FREE
from layout.metal.first_off import FirstOff, Measured, first_off
from layout.metal.metals import metal_of
from layout.metal.profile import job_units_first
from layout.metal.stock_tools import parse_tool
from layout.metal.tools import scallop_of

WAYS = {"free": FREE, "bottomed": BOTTOMED}
"""ways of working, by the words of the job file"""


def drawn_scallop(job: Job) -> ScallopSpec:
    """Return the scallop as drawn, whatever the job is planned with."""
    return job.drawn or job.scallop


@contextmanager
def in_job_units(job: Job) -> Iterator[None]:
    """Tell faults with the job's own unit first.

    Raises
    ------
    JobFaults
        Whatever was refused inside.
    """
    try:
        yield
    except JobFaults as error:
        raise JobFaults(
            Fault(fault.key, *(job_units_first(text, job.units) for text in (fault.value, fault.rule, fault.remedy)))
            for fault in error.faults
        ) from error


def measured_off(job: Job) -> FirstOff | None:
    """Return what the first-off measured beside the drawn scallop; None where it was not measured.

    Raises
    ------
    JobFaults
        Where the drawn form cannot be what was measured (``die.measured``).
    """
    given = job.die.measured
    if given is None:
        return None
    measured = Measured(given.scallops, given.length, given.depth, given.flat)
    with in_job_units(job):
        return first_off(measured, drawn_scallop(job), job.metal.thickness)


def formed_job(job: Job) -> Job:
    """Return the job with the scallop that its die makes; the job itself where the die is free.

    What was measured goes before what the tool should give.

    Raises
    ------
    JobFaults
        Where the tool or the first-off gives no scallop of the drawn form (``die.tool``, ``die.measured``).
    """
    drawn = drawn_scallop(job)
    found = measured_off(job)
    if found is not None:
        spec = replace(found.spec, developed=found.profile.developed)
    elif job.die.tool is not None:
        tool, metal = parse_tool(job.die.tool), metal_of(job.metal)
        with in_job_units(job):
            given = scallop_of(tool, drawn, metal, job.metal.thickness, WAYS[job.die.way])
        spec = replace(given.spec, pitch_range=None)
    else:
        return job
    return replace(job, scallop=spec, drawn=drawn)
