"""The packet: every paper of a plan, in the order in which it is used."""

from __future__ import annotations

from layout.face.plan import Plan
from layout.paper.cutting import draw_cutting
from layout.paper.elevation import draw_elevation
from layout.paper.frame import Drawing, Paper, finish
from layout.paper.profile import draw_scallop
from layout.paper.seam_map import draw_seam_map
from layout.paper.set_out import draw_set_out
from layout.paper.summary import draw_summary


def draw_packet(plan: Plan) -> tuple[Paper, ...]:
    """Draw all papers of a plan: summary, scallop, seam map, set-out, elevation, cutting.

    The shop and the site both begin with the first three; the title blocks count them through.
    """
    drawings: list[Drawing] = [
        *draw_summary(plan),
        *draw_scallop(plan),
        *draw_seam_map(plan),
        *draw_set_out(plan),
        *draw_elevation(plan),
        *draw_cutting(plan),
    ]
    return finish(drawings, plan.job)
