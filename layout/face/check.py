"""The plan's independent check: what the plan claims, worked out again from the job by other means.

It walks dense polylines and sums of its own, never the code that made the plan: scallop → lines → flex →
runs → seams → panels → sheets → order → proof. What agrees is not spoken of.
"""

from __future__ import annotations

from collections.abc import Iterator

from layout.face.check_flex import check_flex
from layout.face.check_panels import check_panels
from layout.face.check_proof import check_proof
from layout.face.check_runs import check_lines, check_runs, own_lines
from layout.face.check_scallop import check_scallop, scallop_sums
from layout.face.check_seams import check_seams
from layout.face.check_sheets import check_order, check_sheets
from layout.face.plan import Plan

__all__ = ["check_plan"]


def check_plan(plan: Plan) -> tuple[str, ...]:
    """Return what in a plan does not follow from its job, in words; nothing where all of it agrees.

    Lengths are compared to `check_words.SHARE`, places to `check_words.PLACE`, counts exactly.
    """
    broken = tuple(_broken(plan))
    if broken:
        return broken
    job = plan.job
    sums = scallop_sums(job.scallop, job.metal.thickness, plan.scallop.pitch)
    own = own_lines(job, sums)
    return (
        *check_scallop(plan, sums),
        *check_lines(plan, own),
        *check_flex(plan, sums, own),
        *check_runs(plan, own),
        *check_seams(plan, own),
        *check_panels(plan, sums),
        *check_sheets(plan),
        *check_order(plan),
        *check_proof(plan),
        *_check_stretches(plan),
    )


def _broken(plan: Plan) -> Iterator[str]:
    """Find what points nowhere; without these nothing else can be asked."""
    if len(plan.lines) != len(plan.job.outlines):
        yield f"the plan has {len(plan.lines)} outlines, the job {len(plan.job.outlines)}"
        return
    if [run.number for run in plan.runs] != list(range(1, len(plan.runs) + 1)):
        yield "run numbers are not 1, 2, …"
    if not plan.scallop.pitch > 0:
        yield f"pitch {plan.scallop.pitch} is none"
    for run in plan.runs:
        if not 0 <= run.outline < len(plan.lines):
            yield f"run {run.number}: there is no outline {run.outline}"
        if run.scallops < 1 or run.stations.size != run.scallops + 1:
            yield f"run {run.number}: {run.scallops} scallops with {run.stations.size} boundaries"
    yield from _lost(plan)


def _lost(plan: Plan) -> Iterator[str]:
    """Find seams, panels and sheets of runs, outlines and sizes that are none."""
    for seam in plan.seams:
        if not (1 <= seam.run <= len(plan.runs) and 0 <= seam.outline < len(plan.lines)):
            yield f"seam {seam.number}: there is no run {seam.run} on outline {seam.outline}"
    for panel in plan.panels:
        if not 1 <= panel.run <= len(plan.runs):
            yield f"panel {panel.number}: there is no run {panel.run}"
    for sheet in plan.sheets:
        if not 0 <= sheet.stock < len(plan.job.sheets):
            yield f"sheet {sheet.number}: there is no size {sheet.stock + 1}"


def _check_stretches(plan: Plan) -> Iterator[str]:
    """Check that every stretch that the job keeps free is told in the plan."""
    told = {(s.outline, s.start, s.end, s.why) for s in plan.stretches}
    for k, spec in enumerate(plan.job.outlines):
        for avoid in plan.job.seams.avoid:
            if avoid.outline in ("", spec.name) and (k, avoid.start, avoid.end, avoid.why) not in told:
                yield f"the stretch kept free for {avoid.why} is not told"
