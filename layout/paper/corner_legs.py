"""What the metal does at corners: in a return one run goes on straight past the corner, the other stops short.

Crest lines meet in mitres whatever is built; here each panel's crest ends where its metal does.
"""

from __future__ import annotations

import math

import numpy as np

from layout.face.cornered import corner_leg
from layout.face.plan import Lines, Panel, Plan, Run
from layout.outline.curves import Line
from layout.outline.segment import Segment
from layout.outline.tolerances import SAME_STATION
from layout.paper.dxf_places import stretch_of
from layout.paper.map_view import panel_stations


def side_at(lines: Lines, run: Run, *, at_end: bool) -> tuple[tuple[float, float], float]:
    """Return where a run's wall ends, mm, and the heading of its own side there."""
    station, within = (run.end, run.end - SAME_STATION) if at_end else (run.start, run.start + SAME_STATION)
    laps = lines.back.length if lines.closed else math.inf
    x, y = lines.back.point(np.array([station % laps]))[0].tolist()
    return (x, y), float(lines.back.heading(within % laps))


def crest_of(plan: Plan, panel: Panel) -> tuple[Segment, ...]:
    """Return a panel's crest from where its metal begins to where it ends."""
    run = plan.runs[panel.run - 1]
    lines = plan.lines[run.outline]
    depth = plan.scallop.depth + plan.job.metal.thickness
    start, end = panel_stations(plan, panel)
    legs = (
        corner_leg(plan, run, depth, at_end=False) if panel.first_scallop == 0 else None,
        corner_leg(plan, run, depth, at_end=True) if panel.first_scallop + panel.scallops == run.scallops else None,
    )
    within = np.array([start + (legs[0] is not None) * SAME_STATION, end - (legs[1] is not None) * SAME_STATION])
    parts = list(stretch_of(lines.crest, *lines.back.carry(within, onto=lines.crest).tolist()))
    for k, leg in zip((0, -1), legs, strict=True):
        if leg is not None:
            parts[k] = _ended(lines, run, parts[k], (leg, depth), at_end=k == -1)
    return tuple(parts)


def _ended(lines: Lines, run: Run, part: Segment, leg: tuple[float, float], *, at_end: bool) -> Segment:
    """Return the straight beside a corner as long as its run's metal; any other part as it is."""
    if not isinstance(part, Line):
        return part
    (x, y), heading = side_at(lines, run, at_end=at_end)
    along, depth = leg if at_end else (-leg[0], leg[1])
    end = (
        x + depth * math.sin(heading) + along * math.cos(heading),
        y - depth * math.cos(heading) + along * math.sin(heading),
    )
    other = part.point(np.array([0.0 if at_end else part.length]))[0].tolist()
    start = other if at_end else end
    return Line(start[0], start[1], part.direction, math.dist(other, end))
