"""The packet: every paper of a plan, bound for its four readers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from layout.face.plan import Plan
from layout.face.revisions import Revision
from layout.face.set_out import SetOut
from layout.face.set_out import set_out as find_set_out
from layout.paper import flex, hanging_order, order, set_out, summary
from layout.paper.cutout_blanks import draw_cutouts
from layout.paper.cutting import draw_cutting
from layout.paper.die import draw_die
from layout.paper.elevation import draw_elevation
from layout.paper.first_off import draw_first_off
from layout.paper.flow import Flow
from layout.paper.forming_table import draw_forming
from layout.paper.frame import DIE, QUOTE, SHOP, SITE, Drawing, Paper, finish, paper_of
from layout.paper.gauge import draw_gauge
from layout.paper.press import draw_press
from layout.paper.profile import draw_scallop
from layout.paper.quote import draw_quote
from layout.paper.seam_map import draw_seam_map
from layout.paper.tickets import draw_tickets
from layout.paper.workings import draw_workings

ONE = Revision()
"""of a packet that stands alone"""


def draw_packet(plan: Plan, revision: Revision = ONE, found: SetOut | None = None) -> tuple[Paper, ...]:
    """Draw all papers of a plan, one reader's after another's; the title blocks count them through.

    Parameters
    ----------
    found
        The set-out; worked out from the plan where it is not given.
    """
    drawings = list(_drawings(plan, revision, find_set_out(plan) if found is None else found))
    return finish(drawings, plan.job, revision=revision.letter)


def _drawings(plan: Plan, revision: Revision, found: SetOut) -> Iterator[Drawing]:
    """Run through what each reader takes along, in the order in which it is used."""
    readers = {
        QUOTE: draw_quote(plan, revision),
        SHOP: [
            *_ordering(plan),
            *draw_cutting(plan),
            *draw_cutouts(plan),
            *draw_forming(plan),
            *draw_tickets(plan, revision.letter),
        ],
        SITE: [
            *draw_seam_map(plan, found),
            *_hanging(plan, found),
            *draw_elevation(plan),
        ],
        DIE: [
            *draw_scallop(plan),
            *draw_gauge(plan),
            *draw_die(plan),
            *draw_first_off(plan),
            *draw_press(plan),
            *draw_workings(plan),
        ],
    }
    for reader, drawings in readers.items():
        yield from (replace(drawing, reader=reader) for drawing in drawings)


def _ordering(plan: Plan) -> list[Drawing]:
    """Draw summary and order, one below the other where a paper has room."""
    flow = Flow(summary.NAME, paper_of(plan.job))
    summary.write_summary(plan, flow)
    if plan.buying is not None:
        flow.begin(order.NAME)
        order.write_order(plan, plan.buying, flow)
    return flow.drawings()


def _hanging(plan: Plan, found: SetOut) -> list[Drawing]:
    """Draw set-out, hanging order and flex; flex below the set-out where that takes no paper more."""
    first = _set_out(plan, found, with_flex=False)
    both = _set_out(plan, found, with_flex=True)
    if len(both) == len(first):
        return [*both, *hanging_order.draw_hanging(plan, found)]
    flow = Flow(hanging_order.NAME, paper_of(plan.job))
    hanging_order.write_hanging(plan, found, flow)
    _add_flex(plan, flow)
    return [*first, *flow.drawings()]


def _set_out(plan: Plan, found: SetOut, *, with_flex: bool) -> list[Drawing]:
    flow = Flow(set_out.NAME, paper_of(plan.job))
    set_out.write_set_out(plan, found, flow)
    if with_flex:
        _add_flex(plan, flow)
    return flow.drawings()


def _add_flex(plan: Plan, flow: Flow) -> None:
    if plan.forming is not None:
        flow.begin(flex.NAME)
        flex.write_flex(plan, plan.forming, flow)
