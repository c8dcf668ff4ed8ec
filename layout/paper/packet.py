"""The packet: every paper of a plan, in the order in which it is used."""

from __future__ import annotations

from layout.face.plan import Plan
from layout.paper.cutting import draw_cutting
from layout.paper.elevation import draw_elevation
from layout.paper.frame import Drawing, Paper, finish
from layout.paper.seam_map import draw_seam_map
from layout.paper.set_out import draw_set_out
from layout.paper.summary import draw_summary


def draw_packet(plan: Plan) -> tuple[Paper, ...]:
    """Draw all papers of a plan: summary, cutting, seam map, set-out, developed elevation.

    The shop's papers come first, then the installer's; the title blocks count them through.
    """
    drawings: list[Drawing] = [
        *draw_summary(plan),
        *draw_cutting(plan),
        *draw_seam_map(plan),
        *draw_set_out(plan),
        *draw_elevation(plan),
    ]
    return finish(drawings, plan.job)
