"""What a shop should know of a plan before metal is cut, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from layout.face.plan import Plan, Run
from layout.metal.flex import LAP_CAUTION, lap_caution
from layout.units import format_fine, format_force, format_length

SLIVER = 0.15
"""share of a pitch; less of a cut scallop earns a caution (assumed)"""


def cautions_of(plan: Plan) -> Plan:
    """Return the plan with its cautions.

    Raises
    ------
    JobFaults
        Where its panels are to lap and their flanks are too steep for it.
    """
    found = [
        *plan.scallop.profile.cautions,
        *_lap(plan),
        *_pre_curve(plan),
        *(text for run in plan.runs for text in _take_up(plan, run)),
        *(text for run in plan.runs for text in _sliver(plan, run)),
        *_short_panels(plan),
        *_lifted_seams(plan),
        *_unproved(plan),
    ]
    return replace(plan, cautions=tuple(found))


def _lap(plan: Plan) -> Iterator[str]:
    if any(panel.lapped for panel in plan.panels):
        caution = lap_caution(plan.scallop.profile)
        if caution:
            yield caution


def _pre_curve(plan: Plan) -> Iterator[str]:
    tightest = min(line.back.smallest_radius for line in plan.lines)
    natural = plan.scallop.flex.natural_bend_radius
    if tightest < natural:
        units = plan.job.units
        yield (
            f"pre-curve: the tightest curve (radius {format_length(tightest, units)}) is under the natural "
            f"bend of this metal ({format_length(natural, units)}), so panels there take a set; roll or "
            "pre-curve them first"
        )


def _take_up(plan: Plan, run: Run) -> Iterator[str]:
    """Say where take-up goes past first yield, with the pull it needs."""
    flex, units = plan.scallop.flex, plan.job.units
    e = abs(run.take_up)
    # At the tightest curve the wrap may use all of the limit: that is told once, as pre-curving.
    limit = flex.tight_take_up_limit or flex.take_up_limit
    if e <= limit:
        return
    where = "on the straight" if e > flex.take_up_limit else "at the tightest curve"
    verb = "stretched" if run.take_up > 0 else "crowded"
    force = flex.pull_per_mm * e * run.height
    yield (
        f"run {run.name}: each scallop is {verb} by {format_fine(e, units)}, past first yield {where} "
        f"({format_fine(limit, units)}): the metal takes a set; it needs a pull of "
        f"{format_force(force, units)} over the face's height, evenly spread"
    )


def _sliver(plan: Plan, run: Run) -> Iterator[str]:
    """Say where a run is cut to a sliver that no trim holds."""
    if run.last_part is None or run.last_part >= SLIVER:
        return
    width = format_length(run.last_part * run.pitch, plan.job.units)
    yield (
        f"run {run.name}: its last scallop is cut to {run.last_part:.0%} of its width, {width}: too little "
        'for a trim to hold; ends = "whole", or a pitch that little longer, leaves it out'
    )


def _short_panels(plan: Plan) -> Iterator[str]:
    for panel in plan.panels:
        if panel.scallops < plan.job.face.smallest_panel:
            yield (
                f"panel {panel.number} has {panel.scallops} scallops, fewer than the smallest panel "
                f"({plan.job.face.smallest_panel}): it is a whole run by itself"
            )


def _lifted_seams(plan: Plan) -> Iterator[str]:
    lifted = [seam for seam in plan.seams if not seam.end and seam.lift > LAP_CAUTION]
    if lifted:
        worst = max(seam.lift for seam in lifted)
        numbers = ", ".join(str(seam.number) for seam in lifted)
        units = plan.job.units
        which = "seam" if len(lifted) == 1 else "seams"
        yield (
            f"edges spring off by more than {format_fine(LAP_CAUTION, units)} at {which} {numbers} "
            f"(most {format_fine(worst, units)}): fix closer to the edge there, or pre-curve the panel's end"
        )


def _unproved(plan: Plan) -> Iterator[str]:
    for proof in plan.proof:
        if not proof.proved:
            found, least = (_goal_value(plan, proof.goal, value) for value in (proof.value, proof.bound))
            goal = proof.goal.replace("_", " ")
            yield f"the goal {goal} is not proved: {found} found, no plan can go below {least}"


def _goal_value(plan: Plan, goal: str, value: float) -> str:
    """Show a goal's value: edge lift as a length, all else as a count."""
    if goal in ("worst_seam", "seam_cost"):
        return format_fine(value / 1000, plan.job.units)
    return f"{value:g}"
