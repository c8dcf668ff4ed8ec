"""The plan's independent check: what the plan claims, worked out again from the job by other means.

It walks dense polylines and sums of its own, never the code that made the plan: scallop → lines → flex →
runs → seams → panels → sheets → order → proof. What agrees is not spoken of.
"""

from __future__ import annotations

from collections.abc import Iterator

from layout.face.check_buying import check_buying
from layout.face.check_cutouts import check_cutouts
from layout.face.check_flex import check_flex
from layout.face.check_forming import check_forming
from layout.face.check_hanging import check_hanging
from layout.face.check_mirror import check_mirrored
from layout.face.check_panels import check_panels
from layout.face.check_places import check_places
from layout.face.check_proof import check_proof
from layout.face.check_runs import check_lines, check_runs, own_lines
from layout.face.check_scallop import check_scallop, scallop_sums
from layout.face.check_seams import check_seams
from layout.face.check_sheets import check_order, check_sheets
from layout.face.check_sight import check_sight
from layout.face.check_stretches import check_stretches
from layout.face.check_survey import check_survey
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
    own = own_lines(job, sums, plan.lines)
    found = (
        *check_scallop(plan, sums),
        *check_survey(plan),
        *check_lines(plan, own),
        *check_flex(plan, sums, own),
        *check_places(plan, own),
        *check_runs(plan, own),
        *check_seams(plan, own),
        *check_mirrored(plan, own),
        *check_panels(plan, sums),
        *check_sheets(plan),
        *check_order(plan),
        *check_proof(plan),
        *check_stretches(plan, own),
    )
    # What is seen and cut out is told of sound seams and panels, and what is hung, formed and bought of these;
    # of others it means nothing.
    found = found or (*check_cutouts(plan, sums, own), *check_sight(plan, own))
    return found or (*check_hanging(plan, own), *check_forming(plan, sums, own), *check_buying(plan))


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
    yield from _odd(plan)


def _lost(plan: Plan) -> Iterator[str]:
    """Find seams, panels and sheets of runs, outlines and sizes that are none."""
    for seam in plan.seams:
        if not (1 <= seam.run <= len(plan.runs) and 0 <= seam.outline < len(plan.lines)):
            yield f"seam {seam.number}: there is no run {seam.run} on outline {seam.outline}"
    for panel in plan.panels:
        if not 1 <= panel.run <= len(plan.runs):
            yield f"panel {panel.number}: there is no run {panel.run}"
    for stretch in plan.stretches:
        if not 0 <= stretch.outline < len(plan.lines):
            yield f"a stretch is kept free on outline {stretch.outline}, which is none"
    for sheet in plan.sheets:
        if not 0 <= sheet.stock < len(plan.job.sheets):
            yield f"sheet {sheet.number}: there is no size {sheet.stock + 1}"


def _odd(plan: Plan) -> Iterator[str]:
    """Find holes in panels that are none, and laps of which a plan does not say how they go."""
    for hole in plan.cutouts:
        if hole.panel not in [panel.number for panel in plan.panels]:
            yield f"cut-out {hole.name}: there is no panel {hole.panel}"
    if plan.job.face.lap_goes not in ("under", "over"):
        yield f"laps go {plan.job.face.lap_goes}, which is no way"
