"""What the metal does at corners: in a return one run goes on straight past the corner, the other stops short.

Crest lines meet in mitres whatever is built; here each panel's crest ends where its metal does.
"""

from __future__ import annotations

import math

import numpy as np

from layout.face.plan import Lines, Panel, Plan, Run
from layout.outline.chain import Chain
from layout.outline.corners import ends_at
from layout.outline.curves import Line
from layout.outline.segment import Segment
from layout.outline.tolerances import SAME_STATION, SMOOTH
from layout.paper.dxf_places import stretch_of
from layout.paper.map_view import panel_stations


def corner_leg(plan: Plan, run: Run, offset: float, *, at_end: bool) -> float | None:
    """Return how far past its corner a run's metal goes on along its own wall, mm; negative: it stops short.

    None where the run does not meet another in a corner there.

    Parameters
    ----------
    offset
        mm towards the viewer at which it is asked: a mitre is cut across.
    """
    kind, lines = plan.job.outlines[run.outline].corner, plan.lines[run.outline]
    if not lines.back.cornered or not _met(plan, run, at_end=at_end):
        return None
    turn = _turn(lines.back, run.end if at_end else run.start)
    if not turn:
        return None
    stop, start = ends_at(kind or "mitre", turn, plan.scallop.depth + plan.job.metal.thickness)
    return (stop if at_end else start).change(offset)


def _met(plan: Plan, run: Run, *, at_end: bool) -> bool:
    """Tell whether another run begins where this one ends, or ends where it begins."""
    back = plan.lines[run.outline].back
    here = run.end if at_end else run.start
    return any(
        _apart(back, here, other.start if at_end else other.end) <= SAME_STATION
        for other in plan.runs
        if other.outline == run.outline and other is not run
    )


def _apart(back: Chain, a: float, b: float) -> float:
    gap = abs(a - b)
    return min(gap % back.length, -gap % back.length) if back.closed else gap


def _turn(back: Chain, station: float) -> float:
    """Return how far a line turns at a corner, radians, left positive; 0 where there is none."""
    corners = (turn for at, _, turn in back.breaks if abs(turn) > SMOOTH and _apart(back, at, station) <= SAME_STATION)
    return next(corners, 0.0)


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
