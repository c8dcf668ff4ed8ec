"""What viewpoints see of the seams, in words."""

from __future__ import annotations

from layout.face.plan import Plan, Seam
from layout.paper.ranges import ranges


def sight_words(plan: Plan) -> list[str]:
    """Say for every viewpoint which seams it sees, and which it grazes."""
    return [f"{place.name}: {_seen(plan, place.name)}" for place in plan.job.viewpoints]


def _seen(plan: Plan, name: str) -> str:
    parts = []
    for view, verb in (("seen", "sees"), ("grazed", "grazes")):
        numbers = [seam.number for seam in plan.seams if dict(seam.sight).get(name) == view]
        if numbers:
            parts.append(f"{verb} seam{'s' if len(numbers) > 1 else ''} {ranges(numbers)}")
    return ", ".join(parts) or "sees no seam"


def worst_view(seam: Seam) -> str:
    """Return the worst that any viewpoint has of a seam: seen, grazed or hidden; empty where none looks."""
    views = {view for _, view in seam.sight}
    return next((view for view in ("seen", "grazed", "hidden") if view in views), "")
