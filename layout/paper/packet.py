"""The packet: every paper of a plan, bound for its four readers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from layout.face.plan import Plan
from layout.face.revisions import Revision
from layout.face.set_out import SetOut, set_out
from layout.paper.cutout_blanks import draw_cutouts
from layout.paper.cutting import draw_cutting
from layout.paper.die import draw_die
from layout.paper.elevation import draw_elevation
from layout.paper.first_off import draw_first_off
from layout.paper.flex import draw_flex
from layout.paper.forming_table import draw_forming
from layout.paper.frame import DIE, QUOTE, SHOP, SITE, Drawing, Paper, finish
from layout.paper.gauge import draw_gauge
from layout.paper.hanging_order import draw_hanging
from layout.paper.order import draw_order
from layout.paper.press import draw_press
from layout.paper.profile import draw_scallop
from layout.paper.quote import draw_quote
from layout.paper.seam_map import draw_seam_map
from layout.paper.set_out import draw_set_out
from layout.paper.summary import draw_summary
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
    drawings = list(_drawings(plan, revision, set_out(plan) if found is None else found))
    return finish(drawings, plan.job, revision=revision.letter)


def _drawings(plan: Plan, revision: Revision, found: SetOut) -> Iterator[Drawing]:
    """Run through what each reader takes along, in the order in which it is used."""
    readers = {
        QUOTE: draw_quote(plan, revision),
        SHOP: [
            *draw_summary(plan),
            *draw_order(plan),
            *draw_cutting(plan),
            *draw_cutouts(plan),
            *draw_forming(plan),
            *draw_tickets(plan, revision.letter),
        ],
        SITE: [
            *draw_seam_map(plan, found),
            *draw_set_out(plan, found),
            *draw_hanging(plan, found),
            *draw_elevation(plan),
            *draw_flex(plan),
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
