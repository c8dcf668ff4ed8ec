"""What a shop should know of a plan before metal is cut, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from layout.face.accessible import accessible_notes
from layout.face.cornered import corner_words
from layout.face.forming_flex import is_tight
from layout.face.plan import Plan, Run
from layout.face.sight import told
from layout.metal.flex import LAP_CAUTION, lap_caution
from layout.units import format_fine, format_force, format_length

SLIVER = 0.15
"""share of a pitch; less of a cut scallop earns a caution (assumed)"""


def cautions_of(plan: Plan) -> Plan:
    """Return the plan with its cautions, those that it brings along first.

    Raises
    ------
    JobFaults
        Where its panels are to lap and their flanks are too steep for it.
    """
    found = [
        *plan.cautions,
        *plan.scallop.profile.cautions,
        *_survey(plan),
        *_lap(plan),
        *_pre_curve(plan),
        *(text for run in plan.runs for text in _take_up(plan, run)),
        *(text for run in plan.runs for text in _sliver(plan, run)),
        *_short_panels(plan),
        *corner_words(plan),
        *accessible_notes(plan),
        *_lifted_seams(plan),
        *_unproved(plan),
    ]
    return replace(plan, cautions=tuple(found))


def _survey(plan: Plan) -> Iterator[str]:
    """Say of surveyed lines which marks were left out, and where the marks don't tell the line."""
    units = plan.job.units
    for line in plan.lines:
        if line.survey is None:
            continue
        for suspect in line.survey.suspects:
            off, how = format_length(abs(suspect.off), units), "left out" if suspect.left_out else "kept"
            yield f"survey of {line.name}: mark {suspect.mark} is {off} off the line, and was {how}: measure it again"
        if not line.survey.explained:
            yield (
                f"survey of {line.name}: its marks are further off the line than their stated error explains; "
                "measure again before metal is cut"
            )
        if line.survey.unseen is not None:
            first, second, _ = line.survey.unseen
            yield f"survey of {line.name}: from mark {first} to mark {second} it bends unseen; measure between them"


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
            f"pre-curve them first{_curved(plan)}"
        )


def _curved(plan: Plan) -> str:
    """Name the panels that lie on a curve tighter than the natural bend."""
    found = [panel.number for panel in plan.panels if is_tight(plan, panel)]
    return f" (panels {', '.join(map(str, found))})" if found else ""


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
    part = run.cut_part
    if part is None or part >= SLIVER:
        return
    width = format_length(part * run.pitch, plan.job.units)
    which = "last" if run.first_part is None else "first"
    yield (
        f"run {run.name}: its {which} scallop is cut to {part:.0%} of its width, {width}: too little "
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
    """Say which goals are open; where another row than the best was asked for, that alone says so."""
    asked_for = any(caution.startswith("planned with row ") for caution in plan.cautions)
    for proof in plan.proof:
        if not proof.proved and not asked_for:
            found, least = (_goal_value(plan, proof.goal, value) for value in (proof.value, proof.bound))
            goal = proof.goal.replace("_", " ")
            yield f"the goal {goal} is not proved: {found} found, no plan can go below {least}"


def _goal_value(plan: Plan, goal: str, value: float) -> str:
    """Show a goal's value: edge lift as a length, all else as a count."""
    if goal in ("worst_seam", "seam_cost"):
        sight, lift = told(round(value)) if plan.job.viewpoints else (0, value)
        seen = f"sight {sight}, " if plan.job.viewpoints else ""
        return f"{seen}{format_fine(lift / 1000, plan.job.units)}"
    return f"{value:g}"
