"""The goals' values, counted again from the plan, beside what is claimed of them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from layout.face.check_sight import STEP
from layout.face.check_words import MONEY, agree, differs, joined, unless
from layout.face.plan import Choice, Plan, Proof

BEST = "best by the goals"
"""how the note of the best choice ends"""

COUNTED = ("panels", "different_lengths", "sheets")
"""goals that are whole numbers; others are sums that rounding may touch"""


def check_proof(plan: Plan) -> list[str]:
    """Return what of the proof and the choices does not follow from the plan."""
    own = _values(plan)
    claimed = [proof.goal for proof in plan.proof]
    wanted = {*plan.job.seams.goals, "sheets", *(["even"] if plan.job.seams.even else [])}
    chosen = [choice for choice in plan.choices if choice.chosen]
    return joined(
        [
            unless(len(set(claimed)) == len(claimed), "a goal is proved twice"),
            (f"goal {goal} has no proof" for goal in sorted(wanted - set(claimed))),
            joined(_check_goal(proof, own) for proof in plan.proof),
            unless(len(chosen) == bool(plan.choices), "not just one choice is the chosen one"),
            joined(_check_choice(choice, own) for choice in chosen),
            joined(_check_row(choice) for choice in plan.choices),
            _check_best(plan),
        ]
    )


def _values(plan: Plan) -> dict[str, float]:
    """Return the value of every goal."""
    job = plan.job
    seams = [seam for seam in plan.seams if not seam.end]
    prices = [job.sheets[sheet.stock].price or 0.0 for sheet in plan.sheets]
    priced = any(sheet.price for sheet in job.sheets) or job.seams.panel_price > 0
    sheets = float(len(plan.sheets))
    scallops = [panel.scallops for panel in plan.panels]
    return {
        "sheets": sheets,
        "cost": math.fsum(prices) + job.seams.panel_price * len(plan.panels) if priced else sheets,
        "panels": float(len(plan.panels)),
        "worst_seam": float(max((seam.cost for seam in seams), default=0)),
        "different_lengths": float(len({panel.scallops for panel in plan.panels})),
        "seam_cost": float(sum(seam.cost for seam in seams)),
        "even": float(max(scallops, default=0) - min(scallops, default=0)),
    }


def _check_goal(proof: Proof, own: dict[str, float]) -> Iterator[str]:
    where = f"goal {proof.goal}"
    if proof.goal not in own:
        yield f"{where} is no goal"
        return
    near = MONEY * (1 + own["cost"]) if proof.goal == "cost" else 0.0
    yield from differs(f"{where}: value", proof.value, own[proof.goal], near)
    yield from unless(proof.bound <= proof.value + near, f"{where}: its bound {proof.bound} is over its value")
    yield from unless(
        proof.proved == agree(proof.bound, proof.value, near), f"{where}: proved, or not, against its bound"
    )


def _check_choice(choice: Choice, own: dict[str, float]) -> Iterator[str]:
    for goal, claimed in (
        ("sheets", choice.sheets),
        ("panels", choice.panels),
        ("different_lengths", choice.different_lengths),
    ):
        yield from differs(f"chosen plan: {goal}", claimed, own[goal], 0.0)
    yield from differs("chosen plan: worst seam", choice.worst_seam * 1000, own["worst_seam"] % STEP, 1.0)
    yield from differs("chosen plan: sight of its worst seam", choice.worst_sight, own["worst_seam"] // STEP, 0.0)
    if choice.cost is None:
        yield from unless(own["cost"] == own["sheets"], "chosen plan: no cost, and its sheets have prices")
    else:
        yield from differs("chosen plan: cost", choice.cost, own["cost"], MONEY * (1 + own["cost"]))


def _check_best(plan: Plan) -> Iterator[str]:
    """Check that the row told to be the best is there once, and that none is better by the goals proved."""
    best = [choice for choice in plan.choices if choice.note.endswith(BEST)]
    if len(best) != 1:
        yield from unless(not plan.choices, f"{len(best)} choices are told to be the {BEST}")
        return
    proved = {proof.goal for proof in plan.proof if proof.proved} if best[0].chosen else set()
    for other in plan.choices:
        for goal in plan.job.seams.goals:
            value, least = (_told(choice, goal) for choice in (other, best[0]))
            if goal not in proved or value is None or least is None:
                break
            if abs(value - least) > (0.0 if goal in COUNTED else MONEY * (1 + least)):
                better = f"the choice of {other.panels} panels and {other.sheets} sheets is better by the goal {goal}"
                yield from unless(value > least, better)
                break


def _told(choice: Choice, goal: str) -> float | None:
    """Return a goal's value as a choice tells it, if it does; without prices sheets are the cost."""
    if goal == "cost" and choice.cost is None:
        return float(choice.sheets)
    if goal == "worst_seam":
        return choice.worst_sight * STEP + choice.worst_seam * 1000
    value = getattr(choice, goal, None)
    return None if value is None else float(value)


def _check_row(choice: Choice) -> Iterator[str]:
    """Check that the figures of a choice can be those of a plan."""
    counts = (choice.sheets, choice.panels, choice.different_lengths)
    fine = 1 <= choice.different_lengths <= choice.panels and 1 <= choice.sheets <= choice.panels
    fine = fine and choice.worst_seam >= 0 and choice.worst_sight >= 0 and (choice.cost is None or choice.cost >= 0)
    yield from unless(
        fine, f"a choice has {counts} sheets, panels and lengths, lift {choice.worst_seam}, {choice.cost}"
    )
    yield from unless(bool(choice.note), f"the choice of {choice.panels} panels does not say what it is")
