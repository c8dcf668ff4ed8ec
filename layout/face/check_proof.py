"""The goals' values, counted again from the plan, beside what is claimed of them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from layout.face.check_words import MONEY, agree, differs, joined, unless
from layout.face.plan import Choice, Plan, Proof


def check_proof(plan: Plan) -> list[str]:
    """Return what of the proof and the choices does not follow from the plan."""
    own = _values(plan)
    claimed = [proof.goal for proof in plan.proof]
    wanted = {goal for goal in plan.job.seams.goals if goal != "cost"} | {"sheets"}
    chosen = [choice for choice in plan.choices if choice.chosen]
    return joined(
        [
            unless(len(set(claimed)) == len(claimed), "a goal is proved twice"),
            (f"goal {goal} has no proof" for goal in sorted(wanted - set(claimed))),
            joined(_check_goal(proof, own) for proof in plan.proof),
            unless(len(chosen) == bool(plan.choices), "not just one choice is the chosen one"),
            joined(_check_choice(choice, own) for choice in chosen),
        ]
    )


def _values(plan: Plan) -> dict[str, float]:
    """Return the value of every goal."""
    job = plan.job
    seams = [seam for seam in plan.seams if not seam.end]
    prices = [job.sheets[sheet.stock].price or 0.0 for sheet in plan.sheets]
    priced = any(sheet.price for sheet in job.sheets) or job.seams.panel_price > 0
    sheets = float(len(plan.sheets))
    return {
        "sheets": sheets,
        "cost": math.fsum(prices) + job.seams.panel_price * len(plan.panels) if priced else sheets,
        "panels": float(len(plan.panels)),
        "worst_seam": float(max((seam.cost for seam in seams), default=0)),
        "different_lengths": float(len({panel.scallops for panel in plan.panels})),
        "seam_cost": float(sum(seam.cost for seam in seams)),
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
    yield from differs("chosen plan: worst seam", choice.worst_seam * 1000, own["worst_seam"], 1.0)
    if choice.cost is not None:
        yield from differs("chosen plan: cost", choice.cost, own["cost"], MONEY * (1 + own["cost"]))
