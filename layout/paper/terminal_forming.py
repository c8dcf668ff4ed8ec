"""What the terminal says of forming and buying."""

from __future__ import annotations

from layout.face.plan import Plan
from layout.paper.shop_words import force_words, money, rough
from layout.units import format_weight


def forming_lines(plan: Plan) -> list[tuple[str, str]]:
    """Return names and values: die, press, handling, cost; none where they are not worked out."""
    forming, buying, units = plan.forming, plan.buying, plan.job.units
    if forming is None or buying is None:
        return []
    die = forming.die
    tool = f"{plan.job.die.tool}, " if plan.job.die.tool else ""
    share = "" if forming.press.share is None else f", {forming.press.share:.0%} of the press"
    heaviest = format_weight(buying.weights[buying.heaviest - 1], units)
    hands = "one person" if buying.hands == 1 else f"{buying.hands} people"
    punch, groove, spacing = (rough(size, units) for size in (die.punch_radius, die.groove_radius, die.spacing))
    words = f"{tool}{die.way}, punch radius {punch}, groove {groove}, spacing {spacing}; the first-off decides"
    found = [
        ("die, start with", words),
        ("press", f"{forming.strokes_in_all} strokes of about {force_words(forming.press.force, units)}{share}"),
        ("heaviest panel", f"number {buying.heaviest}, {heaviest}, {hands}"),
    ]
    if buying.total is not None:
        found.append(("priced in all", money(buying.total)))
    return found
