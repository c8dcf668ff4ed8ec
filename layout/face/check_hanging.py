"""The order of hanging: every panel once, the way its laps ask, and closed where least is seen and it is flattest."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from layout.face.check_runs import Own
from layout.face.check_sight import score_of
from layout.face.check_words import BEND, FLAT
from layout.face.plan import Plan, Run

ASIDE = 1.0
"""mm beside a panel's edges in which a change of curvature may count for either panel"""


def check_hanging(plan: Plan, own: Sequence[Own]) -> list[str]:
    """Return what of the order of hanging does not follow from laps, sight and curves."""
    if [hung.run for hung in plan.hanging] != [run.number for run in plan.runs]:
        return ["the order of hanging is not told run by run"]
    found: list[str] = []
    for hung, run in zip(plan.hanging, plan.runs, strict=True):
        found += _check_run(plan, run, hung.order, own[run.outline])
    return found


def _check_run(plan: Plan, run: Run, order: Sequence[int], own: Own) -> Iterator[str]:
    where = f"run {run.number}, hanging"
    numbers = [panel.number for panel in plan.panels if panel.run == run.number]
    if sorted(order) != sorted(numbers):
        yield f"{where}: panels {list(order)}, the run has {numbers}"
        return
    ways = _ways(plan, run, numbers)
    if list(order) not in ways:
        yield f"{where}: panels {list(order)} are not in the order that its seams ask for"
        return
    claimed = _shown_and_bent(plan, run, order[-1], own, -ASIDE)
    for way in ways:
        seen, bend = _shown_and_bent(plan, run, way[-1], own, ASIDE)
        better = seen < claimed[0] or (seen == claimed[0] and bend * (1 + BEND) + FLAT < claimed[1])
        if better:
            yield f"{where}: panel {way[-1]} closes it where less is seen or it is flatter than at {order[-1]}"
            return


def _ways(plan: Plan, run: Run, numbers: list[int]) -> list[list[int]]:
    """Return the orders that laps allow: rightwards under, leftwards over; a loop may start anywhere."""
    face = plan.job.face
    rising, falling = numbers, numbers[::-1]
    if face.seam == "lap":
        base = [rising] if face.lap_goes == "under" else [falling]
    else:
        base = [rising] if run.closed else [rising, falling]
    if not run.closed:
        return base
    return [way[k:] + way[:k] for way in base for k in range(len(way))]


def _shown_and_bent(plan: Plan, run: Run, number: int, own: Own, wider: float) -> tuple[int, float]:
    """Return how much a panel's two edges are seen, and the greatest |κ| under it, its ends moved out by `wider`."""
    panel = next(panel for panel in plan.panels if panel.number == number)
    seams = {seam.number: seam for seam in plan.seams}
    seen = sum(score_of(plan.job, dict(seams[k].sight)) for k in (panel.left_seam, panel.right_seam))
    last = panel.first_scallop + panel.scallops
    lap = own.back.length * (run.closed and last >= run.scallops)
    start = float(run.stations[panel.first_scallop]) - wider
    end = float(run.stations[last - run.scallops if lap else last]) + lap + wider
    return seen, _most_bent(own, start, max(end, start))


def _most_bent(own: Own, start: float, end: float) -> float:
    back = own.back
    laps = (-back.length, 0.0, back.length) if back.closed else (0.0,)
    inside = np.zeros(back.x.size, dtype=np.bool_)
    for lap in laps:
        inside |= (back.station + lap >= start) & (back.station + lap <= end)
    bends = np.abs(back.curvature[inside])
    return float(bends.max(initial=0.0)) if bends.size else -math.inf
