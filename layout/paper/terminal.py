"""What the terminal shows: what was found, what to buy, where the files are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from layout.face.fit import STILL
from layout.face.plan import Flex, Lines, Plan, Run
from layout.face.sheets import stock_name
from layout.face.takeoff import TakeOff
from layout.metal.profile import Profile
from layout.paper.goals import NO_SEAM, goal_words, proof_values, within_row, worst_words
from layout.paper.sight_words import sight_words
from layout.paper.source_words import source_words
from layout.paper.survey_words import survey_words
from layout.paper.terminal_forming import forming_lines
from layout.units import format_fine, format_length


def plan_text(plan: Plan, files: Sequence[Path]) -> str:
    """Return the summary of a plan."""
    units = plan.job.units
    rows = [plan.job.title, ""]
    rows += _lines_rows(plan.lines, units)
    rows += _scallop_rows(plan.scallop.profile, plan.scallop.drawn_pitch, units)
    rows += _run_rows(plan.runs, plan.scallop.flex, units)
    rows += _panel_rows(plan)
    rows += [_row(what, value) for what, value in forming_lines(plan)]
    rows += ["", "Buy"] + [_order_row(plan, k) for k, line in enumerate(plan.order) if line.buy]
    rows += ["", "Proof"] + [_proof_row(plan, k) for k in range(len(plan.proof))]
    if plan.choices:
        rows += ["", "Choices (plan with another: --choice ROW)", *_choice_rows(plan)]
    if plan.cautions:
        rows += ["", "Cautions", *(f"  ! {caution}" for caution in plan.cautions)]
    return "\n".join([*rows, "", "Files", *(f"  {path}" for path in files)])


def take_off_text(found: TakeOff) -> str:
    """Return the take-off of a job."""
    job, units = found.job, found.job.units
    rows = [job.title, ""]
    rows += _lines_rows(found.lines, units)
    rows += _scallop_rows(found.fit.profile, (job.drawn or job.scallop).pitch, units)
    rows += _run_rows(found.runs, found.flex, units)
    if len(found.counts) > 1:
        rows.append(_row("counts that fit", f"{', '.join(map(str, found.counts))} (the pitch range allows each)"))
    for run, limits in zip(found.runs, found.limits, strict=True):
        name = "panels" if len(found.runs) == 1 else f"panels of {run.name}"
        rows.append(_row(name, f"{limits.smallest} to {limits.largest} scallops from these sheets"))
    rows.append(_row("blank height", format_length(found.blanks.height, units)))
    return "\n".join([*rows, "", "The job reads well. Next: seamwalk plan"])


def _row(what: str, value: str, width: int = 18) -> str:
    return f"  {what:<{width}} {value}"


def _lines_rows(lines: Sequence[Lines], units: str) -> list[str]:
    rows = []
    for line in lines:
        shape = "loop" if line.closed else "open line"
        lengths = f"{format_length(line.back.length, units)} along the back line ({shape})"
        rows.append(_row(line.name, f"{lengths}, {format_length(line.count.length, units)} at the count line"))
        if line.back.smallest_radius < float("inf"):
            rows.append(_row("tightest curve", f"radius {format_length(line.back.smallest_radius, units)}"))
        if line.source:
            words = source_words(line.source, units)
            rows += [_row("drawing" if k == 0 else "", row) for k, row in enumerate(words)]
        if line.survey:
            words = survey_words(line.survey, units)
            rows += [_row("survey" if k == 0 else "", row) for k, row in enumerate(words)]
    return rows


def _scallop_rows(profile: Profile, drawn: float, units: str) -> list[str]:
    pitch = f"pitch {format_fine(profile.pitch, units)}"
    if abs(profile.pitch - drawn) > STILL:
        pitch += f" (drawn {format_fine(drawn, units)})"
    depth = f"depth {format_fine(profile.depth, units)}"
    return [_row("scallop", f"{profile.form}, {pitch}, {depth}, {format_fine(profile.developed, units)} flat")]


def _run_rows(runs: Sequence[Run], flex: Flex, units: str) -> list[str]:
    rows = []
    for run in runs:
        if run.cut_part is not None:
            how = f"the {'last' if run.first_part is None else 'first'} one cut to {run.cut_part:.0%} in the trim"
        elif abs(run.take_up) <= STILL:
            how = "no take-up"
        else:
            verb = "stretched" if run.take_up > 0 else "crowded"
            limit = format_fine(flex.take_up_limit, units)
            how = f"each {verb} {format_fine(abs(run.take_up), units)} (first yield at {limit})"
        rows.append(_row("scallops" if len(runs) == 1 else run.name, f"{run.scallops}, {how}"))
        longer, shorter = (format_length(give, units) for give in (run.may_be_longer, run.may_be_shorter))
        rows.append(_row("wall may be", f"{longer} longer or {shorter} shorter at the count line"))
    return rows


def _panel_rows(plan: Plan) -> list[str]:
    sizes = Counter(panel.scallops for panel in plan.panels)
    shown = ", ".join(f"{count} of {size}" for size, count in sorted(sizes.items(), reverse=True))
    rows = [_row("panels", f"{len(plan.panels)}: {shown} scallops")]
    inner = [seam for seam in plan.seams if not seam.end]
    if inner:
        worst = max(inner, key=lambda seam: (seam.cost, seam.lift, -seam.number))
        lift = format_fine(round(worst.lift * 1000) / 1000, plan.job.units)
        rows.append(_row("worst seam", f"number {worst.number}, edge lift {lift}"))
    rows += [_row("seen from" if k == 0 else "", words) for k, words in enumerate(sight_words(plan))]
    for hung in plan.hanging if plan.job.viewpoints else ():
        words = f"start with panel {hung.order[0]}, close with panel {hung.order[-1]}"
        rows.append(_row("hanging", words if len(plan.runs) == 1 else f"{plan.runs[hung.run - 1].name}: {words}"))
    for hole in plan.cutouts:
        left, bottom = (format_length(place, plan.job.units) for place in (hole.left, hole.bottom))
        rows.append(_row("cut-out", f"{hole.name}, on blank {hole.panel}: {left} from its left, {bottom} up"))
    return rows


def _order_row(plan: Plan, k: int) -> str:
    line = plan.order[k]
    cost = "" if line.cost is None else f", {line.cost:,.2f}"
    parts = f"{line.needed} needed, {line.spare} spare, {line.prove_out} to prove the die"
    if line.from_stock:
        parts += f"; {line.from_stock} from stock"
    return _row(f"{line.to_buy} sheets", f"{stock_name(plan.job, line.stock)} ({parts}){cost}")


def _choice_rows(plan: Plan) -> list[str]:
    """Return the table of choices; the row of this plan is marked."""
    heads = ("row", "cost", "sheets", "panels", "worst seam", "lengths")
    rows = [
        (
            str(row),
            "" if choice.cost is None else f"{choice.cost:,.2f}",
            str(choice.sheets),
            str(choice.panels),
            worst_words(choice.worst_sight, choice.worst_seam, plan.job),
            str(choice.different_lengths),
        )
        for row, choice in enumerate(plan.choices, start=1)
    ]
    widths = [max(len(row[k]) for row in [heads, *rows]) for k in range(len(heads))]
    lines = ["  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)) for row in [heads, *rows]]
    notes = ["", *(f"{choice.note}{' (this plan)' if choice.chosen else ''}" for choice in plan.choices)]
    return [f"  {line}  {note}".rstrip() for line, note in zip(lines, notes, strict=True)]


def _proof_row(plan: Plan, k: int) -> str:
    proof = plan.proof[k]
    value, bound = proof_values(plan, proof)
    within = within_row(plan)
    verdict = f"proved least{within}" if proof.proved else f"not proved: no plan{within} goes below {bound}"
    if value == NO_SEAM:
        return _row(goal_words(proof.goal, plan.job), value, width=42)
    return _row(goal_words(proof.goal, plan.job), f"{value}, {verdict}", width=42)
