"""What each panel gives within first yield, and what holds it to its curve."""

from __future__ import annotations

import math

from layout.face.forming import PanelFlex
from layout.face.plan import Panel, Plan, Run
from layout.metal.flex import take_up_left
from layout.metal.hold_down import end_pull, rows_needed, wrap_moment
from layout.metal.metals import Metal


def panel_flex(plan: Plan, panel: Panel, metal: Metal, opening: float) -> PanelFlex:
    """Return the flex of one panel.

    Parameters
    ----------
    opening
        Share of first yield at which formed metal sets when it is stretched.
    """
    run = plan.runs[panel.run - 1]
    flex = plan.scallop.flex
    radius = tightest(plan, run, *edges(plan, panel))
    left = take_up_left(flex.take_up_limit, flex.natural_bend_radius, radius)
    held = _end_pull(plan, panel, run, metal)
    hold = plan.job.fixing.pull
    return PanelFlex(
        panel=panel.number,
        radius=radius,
        pre_curve=is_tight(plan, panel),
        take_up=panel.scallops * run.take_up,
        stretch=panel.scallops * left * opening,
        crowd=panel.scallops * left,
        pull=flex.pull_per_mm * abs(run.take_up) * panel.blank_height,
        end_pull=held,
        rows=None if hold is None else rows_needed(held, hold),
    )


def is_tight(plan: Plan, panel: Panel) -> bool:
    """Tell whether a panel's curve is tighter than the metal's natural bend, so that it must be pre-curved."""
    radius = tightest(plan, plan.runs[panel.run - 1], *edges(plan, panel))
    return radius is not None and abs(radius) < plan.scallop.flex.natural_bend_radius


def edges(plan: Plan, panel: Panel) -> tuple[float, float]:
    """Return the back-line stations of a panel's edges, mm; the second is never less than the first."""
    run = plan.runs[panel.run - 1]
    last = panel.first_scallop + panel.scallops
    over = last - run.scallops
    if over <= 0:
        return float(run.stations[panel.first_scallop]), float(run.stations[last])
    return float(run.stations[panel.first_scallop]), float(run.stations[over]) + plan.lines[run.outline].back.length


def tightest(plan: Plan, run: Run, start: float, end: float) -> float | None:
    """Return the tightest radius of the back line between two stations, convex positive; None if straight."""
    least, most = (float(bend) for bend in plan.lines[run.outline].back.extreme_curvature(start, end))
    bend = most if abs(most) >= abs(least) else least
    return None if bend == 0 else 1 / bend


def _end_pull(plan: Plan, panel: Panel, run: Run, metal: Metal) -> float:
    """Return the pull on a panel's last fixings, N: of the tighter convex curve within a pitch of its ends."""
    back, start_end = plan.lines[run.outline].back, edges(plan, panel)
    bends = []
    for station, step in zip(start_end, (run.pitch, -run.pitch), strict=True):
        low, high = sorted((station, station + step))
        if not back.closed:
            low, high = max(low, 0.0), min(high, back.length)
        bends.append(float(back.extreme_curvature(low, high)[1]))
    bend = max(bends)
    if bend <= 0:
        return 0.0
    moment = wrap_moment(plan.scallop.profile, metal, 1 / bend)
    return end_pull(moment, panel.blank_height, plan.job.fixing.every * run.pitch)


def stretched_past_residue(plan: Plan, run: Run, opening: float) -> bool:
    """Tell whether a run's stretch lies between what formed metal bears and first yield itself."""
    flex = plan.scallop.flex
    limit = flex.tight_take_up_limit or flex.take_up_limit
    return limit * opening < run.take_up <= limit and math.isfinite(limit)
