"""Other stock sizes, each planned again alone with all else alike."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from layout.errors import JobFaults, NoPlan
from layout.face.buying import Comparison
from layout.face.plan import Plan
from layout.job.model import Job, SheetSpec

MOST_OWN = 4
"""sizes of the job's own that are compared without being asked (assumed): each is planned again"""


def sizes_to_compare(job: Job) -> tuple[SheetSpec, ...]:
    """Return the sizes to plan again with: those asked for, else each of the job's own where it has a few."""
    if job.order.compare:
        return job.order.compare
    bought = tuple(sheet for sheet in job.sheets if not sheet.remnant)
    return tuple(replace(sheet, count=None) for sheet in bought) if 1 < len(bought) <= MOST_OWN else ()


def with_comparisons(plan: Plan, make: Callable[[Job], Plan]) -> Plan:
    """Return the plan with what every other size would come to.

    Parameters
    ----------
    make
        Plans a job, without comparing any further.
    """
    if plan.buying is None:
        return plan
    found = tuple(_compare(plan.job, sheet, make) for sheet in sizes_to_compare(plan.job))
    return replace(plan, buying=replace(plan.buying, comparisons=found))


def _compare(job: Job, sheet: SheetSpec, make: Callable[[Job], Plan]) -> Comparison:
    other = replace(job, sheets=(sheet,), order=replace(job.order, compare=()))
    try:
        return comparison_of(make(other), sheet)
    except (NoPlan, JobFaults) as refused:
        return Comparison(sheet, 0, 0, 0, 0.0, None, _first_words(refused))


def comparison_of(plan: Plan, sheet: SheetSpec) -> Comparison:
    """Return what a plan comes to, for comparing."""
    return Comparison(
        sheet=sheet,
        seams=seams_between(plan),
        panels=len(plan.panels),
        buy=sum(row.buy for row in plan.order),
        weight=math.fsum(row.weight for row in plan.order),
        total=None if plan.buying is None or _unpriced(plan) else plan.buying.total,
    )


def seams_between(plan: Plan) -> int:
    """Return how many seams lie between panels."""
    return sum(not seam.end for seam in plan.seams)


def _unpriced(plan: Plan) -> bool:
    return any(row.buy and row.cost is None for row in plan.order)


def _first_words(refused: NoPlan | JobFaults) -> str:
    if isinstance(refused, NoPlan):
        return refused.reason
    return refused.faults[0].rule
