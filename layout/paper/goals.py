"""Goals in words, and their values as a shop reads them: one table for terminal and paper."""

from __future__ import annotations

from typing import Final

from layout.face.choices import BEST
from layout.face.plan import Plan, Proof
from layout.face.sight import told
from layout.job.model import Job
from layout.paper.shop_words import money
from layout.units import format_fine

GOAL_WORDS: Final = {
    "cost": "least cost",
    "panels": "fewest panels",
    "worst_seam": "least edge lift at the worst seam",
    "different_lengths": "fewest different panel lengths",
    "seam_cost": "least edge lift in all",
    "sheets": "fewest sheets",
    "even": "longest less shortest panel, scallops",
}
"""by the name that job file and plan.json use"""

_SIGHTED: Final = {
    "worst_seam": "worst seam least seen, then least edge lift",
    "seam_cost": "all seams least seen, then least edge lift",
}
"""the same where people look on"""

_LIFTS: Final = frozenset({"worst_seam", "seam_cost"})
"""goals that the solver counts in µm of edge lift"""

NO_SEAM: Final = "no seam"
"""value of edge lift where no two panels meet"""

_MICRO: Final = 1000
"""µm a mm"""


def goal_words(goal: str, job: Job) -> str:
    """Say a goal in words: with viewpoints, seams are seen before they lift."""
    return (_SIGHTED if job.viewpoints else {}).get(goal) or GOAL_WORDS.get(goal, goal)


def goal_value(goal: str, value: float, units: str, *, sighted: bool = False) -> str:
    """Write a goal's value: counts whole, money to the cent, edge lift as a length of the job's units.

    Where the job has viewpoints (`sighted`) it also says how much is seen.

    Examples
    --------
    >>> goal_value("panels", 6.0, "in"), goal_value("cost", 1467.2, "in")
    ('6', '1,467.20')
    >>> goal_value("worst_seam", 254, "in"), goal_value("worst_seam", 254, "mm")
    ('0.0100 in', '0.254 mm')
    >>> goal_value("worst_seam", 20000254, "mm", sighted=True)
    'sight 2, lift 0.254 mm'
    """
    if goal in _LIFTS and sighted:
        seen, lift = told(round(value))
        return f"sight {seen}, lift {format_fine(lift / _MICRO, units)}"
    if goal in _LIFTS:
        return format_fine(value / _MICRO, units)
    return money(value) if goal == "cost" else f"{value:g}"


def worst_words(seen: int, lift: float, job: Job) -> str:
    """Write the worst seam of a choice, its lift in mm: with viewpoints how much it is seen comes first."""
    words = format_fine(lift, job.units)
    return f"sight {seen}, {words}" if job.viewpoints else words


def proof_values(plan: Plan, proof: Proof) -> tuple[str, str]:
    """Write a goal's value and its bound; edge lift of a plan without seams is `NO_SEAM`."""
    if proof.goal in _LIFTS and all(seam.end for seam in plan.seams):
        return NO_SEAM, NO_SEAM
    units, sighted = plan.job.units, bool(plan.job.viewpoints)
    value, bound = (goal_value(proof.goal, at, units, sighted=sighted) for at in (proof.value, proof.bound))
    return value, bound


def within_row(plan: Plan) -> str:
    """Return what a proof is limited to: a row chosen that is not the best holds only within its own numbers."""
    other = any(choice.chosen and not choice.note.startswith(BEST) for choice in plan.choices)
    return " within this row" if other else ""
