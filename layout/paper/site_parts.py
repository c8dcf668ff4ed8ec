"""What the site adds to the summary: what is seen of the seams, in which order to hang, the cut-outs."""

from __future__ import annotations

from layout.face.plan import Plan
from layout.paper.flow import Column, Part
from layout.paper.hanging import order_in_run
from layout.paper.sight_words import sight_words
from layout.units import format_length


def site_parts(plan: Plan) -> list[Part]:
    """Return the tables that a plan has anything for."""
    parts = []
    if plan.job.viewpoints:
        parts.append(Part("Seen from", *_sight(plan)))
    if plan.cutouts:
        parts.append(Part("Cut-outs, on the flat blanks", *_cutouts(plan)))
    if plan.hanging:
        parts.append(Part("Hanging", *_hanging(plan)))
    return parts


def _sight(plan: Plan) -> tuple[tuple[Column, ...], list[tuple[str, ...]]]:
    columns = (Column("viewpoint", wraps=True), Column("what it sees", wraps=True))
    return columns, [(words.rpartition(": ")[0], words.rpartition(": ")[2]) for words in sight_words(plan)]


def _cutouts(plan: Plan) -> tuple[tuple[Column, ...], list[tuple[str, ...]]]:
    columns = (
        Column("cut-out", wraps=True),
        Column("panel", "end", bold=True),
        Column("from the left", "end"),
        Column("from the bottom", "end"),
        Column("width, flat", "end"),
        Column("height", "end"),
    )
    units = plan.job.units
    rows = [
        (
            hole.name if hole.whole else f"{hole.name} (notch)",
            str(hole.panel),
            *(format_length(mm, units) for mm in (hole.left, hole.bottom, hole.width, hole.height)),
        )
        for hole in plan.cutouts
    ]
    return columns, rows


def _hanging(plan: Plan) -> tuple[tuple[Column, ...], list[tuple[str, ...]]]:
    columns = (Column("run", wraps=True), Column("start with panel", "end"), Column("close with panel", "end"))
    orders = [(run.name or "face", order_in_run(plan, run)) for run in plan.runs]
    return columns, [(name, str(order[0]), str(order[-1])) for name, order in orders if order]
