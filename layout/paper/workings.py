"""The workings: every figure of the shop's pages with formula, inputs, result and source."""

from __future__ import annotations

from typing import Final

from layout.face.plan import Plan
from layout.paper.flow import Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.ink import QUIET
from layout.paper.workings_die import die_workings
from layout.paper.workings_order import order_workings
from layout.paper.workings_press import press_workings
from layout.paper.workings_rows import Working, rows_of, units_of

NAME: Final = "Workings"

_COLUMNS: Final = (
    Column("figure", bold=True, wraps=True),
    Column("formula", wraps=True),
    Column("inputs", wraps=True),
    Column("result", "end"),
    Column("source", wraps=True),
)
_SMALL: Final = 7.5
"""pt"""


def draw_workings(plan: Plan) -> list[Drawing]:
    """Draw the workings of die, press, flex and order; nothing where these are not worked out."""
    if plan.forming is None or plan.buying is None:
        return []
    flow = Flow(NAME, paper_of(plan.job))
    units = units_of(plan.job)
    flow.paragraph(
        f"To follow with a calculator: lengths in {units.length}, stresses in {units.stress}, forces in {units.force},"
        f" weights in {units.weight}, angles in radians. Six digits here only so that sums can be checked; the pages"
        " round to what is known.",
        8.0,
        ink=QUIET,
    )
    for heading, workings in (
        ("Die", die_workings(plan, plan.forming, units)),
        ("Press and flex", press_workings(plan, plan.forming, units)),
        ("Order", order_workings(plan, plan.buying, units)),
    ):
        flow.heading(heading)
        flow.table(_COLUMNS, rows_of(workings), _SMALL, fill=True)
    flow.paragraph(f"Metal: {plan.forming.metal.source}.", 8.0, ink=QUIET)
    return flow.drawings()


def all_workings(plan: Plan) -> list[Working]:
    """Return every working of a plan; none where forming and buying are not worked out."""
    if plan.forming is None or plan.buying is None:
        return []
    units = units_of(plan.job)
    return [
        *die_workings(plan, plan.forming, units),
        *press_workings(plan, plan.forming, units),
        *order_workings(plan, plan.buying, units),
    ]
