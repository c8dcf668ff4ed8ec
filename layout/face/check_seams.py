"""Seams: where they stand, what they cost, and where they must not be."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from layout.face.check_cutouts import kept_by_cutouts
from layout.face.check_runs import Own, same_place
from layout.face.check_sight import price_of
from layout.face.check_words import BEND, EDGE, FLAT, LIFT, TIGHT, agree, counted, differs, joined, unless
from layout.face.plan import Plan, Run, Seam
from layout.job.model import Avoid, Job

CONCAVE = 0.25
"""share of its lift at which an edge that presses into a concave wall is counted (assumed)"""

HEADING = 1e-6
"""radians that a heading may differ by"""

OFFS = (1e-7, 2e-6, 2e-4)
"""mm beside a seam at which the two sides of a joint are asked: stations agree no better than that"""

Kept = tuple[int, Avoid]
"""a stretch that no seam may fall in, with its outline's index"""


def check_seams(plan: Plan, own: Sequence[Own]) -> list[str]:
    """Return what of the seams does not follow from runs and job."""
    runs = {run.number: run for run in plan.runs}
    free = kept_free(plan, own)
    return joined(
        [
            unless(
                [s.number for s in plan.seams] == list(range(1, len(plan.seams) + 1)),
                "seam numbers are not 1, 2, …",
            ),
            unless(
                [s.run for s in plan.seams] == sorted(s.run for s in plan.seams),
                "seams are not numbered run by run",
            ),
            joined(_check_order(plan, run) for run in plan.runs),
            joined(_check_seam(plan, seam, runs[seam.run], own[seam.outline], free) for seam in plan.seams),
        ]
    )


def _check_order(plan: Plan, run: Run) -> Iterator[str]:
    """Check that a run's seams rise from its start, and that an open run's first and last are its ends."""
    seams = [seam for seam in plan.seams if seam.run == run.number]
    where = f"run {run.number}"
    if not seams:
        yield f"{where} has no seam"
        return
    for before, after in pairwise(seams):
        yield from unless(
            before.boundary < after.boundary,
            f"{where}: seam {after.number} does not follow seam {before.number}",
        )
    places = [seam.boundary for seam in seams]
    yield from unless(len(set(places)) == len(places), f"{where}: two seams at one boundary")
    ends = [seam.boundary for seam in seams if seam.end]
    yield from unless(ends == ([] if run.closed else [0, run.scallops]), f"{where}: its ends are marked at {ends}")


def _check_seam(plan: Plan, seam: Seam, run: Run, own: Own, free: Sequence[Kept]) -> Iterator[str]:
    where = f"seam {seam.number}"
    yield from unless(seam.outline == run.outline, f"{where}: not on the outline of its run")
    most = run.scallops - run.closed
    if not 0 <= seam.boundary <= most:
        yield f"{where}: boundary {seam.boundary} is none of its run's 0 to {most}"
        return
    station = float(run.stations[seam.boundary])
    if not same_place(seam.station, station, own):
        yield f"{where}: station {seam.station:.9g} is not its boundary's {station:.9g}"
    yield from unless(
        0.0 <= seam.station < own.back.length or not own.back.closed,
        f"{where}: station {seam.station:.9g} is off the loop",
    )
    for axis, claimed, mine in zip("xy", (seam.x, seam.y), own.back.point([station])[0], strict=True):
        yield from differs(f"{where}: {axis}", claimed, float(mine), own.near)
    # A run that ends at a corner looks along its own side of it.
    inside = (own.near if seam.boundary == 0 else -own.near) if seam.end and own.back.corners else 0.0
    turned = math.remainder(seam.heading - own.back.heading_at(station + inside), math.tau)
    yield from differs(f"{where}: heading off the line's", turned, 0.0, HEADING)
    shown = shown_at(plan.job, run, seam.boundary, own)
    yield from _check_radius(seam, station, own)
    if seam.end:
        yield from differs(f"{where}: lift at a run's end", seam.lift, 0.0, 0.0)
        yield from counted(f"{where}: cost at a run's end", seam.cost, 0)
        why = run.end_why if seam.boundary else run.start_why
        yield from unless(seam.why == why, f"{where}: an end for {seam.why}, its run says {why}")
        return
    yield from _check_lift(plan, seam, run, shown, own)
    yield from _check_tight(plan, seam, run, shown, own)
    for outline, avoid in free:
        inside = outline == seam.outline and depth_in(avoid, shown, own) > EDGE
        yield from unless(not inside, f"{where}: in the stretch kept free for {avoid.why}")


def shown_at(job: Job, run: Run, boundary: int, own: Own) -> float:
    """Return the station where the edge is seen: one scallop further right where laps go over."""
    over = job.face.seam == "lap" and job.face.lap_goes == "over"
    place = boundary + over
    if place <= run.scallops:
        return float(run.stations[place])
    return float(run.stations[place - run.scallops]) + own.back.length if run.closed else run.end


def _check_radius(seam: Seam, station: float, own: Own) -> Iterator[str]:
    """Check the radius against both sides of the seam."""
    claimed = 0.0 if seam.radius is None else 1 / seam.radius if seam.radius else math.nan
    sides = [side for off in OFFS for side in own.back.sides(station, off)]
    if not any(agree(claimed, side, BEND * abs(side) + FLAT) for side in sides):
        yield f"seam {seam.number}: curvature {claimed:.9g}, the check finds {sides[0]:.9g} or {sides[1]:.9g}"


def _lift(bend: float, edge: float, spacing: float) -> float:
    """Return κ·a·(a/2 + b/(2√3)), a quarter of it where the wall is concave, mm."""
    lift = abs(bend) * edge * (edge / 2 + spacing / (2 * math.sqrt(3)))
    return lift if bend > 0 else CONCAVE * lift


def _check_lift(plan: Plan, seam: Seam, run: Run, shown: float, own: Own) -> Iterator[str]:
    fixing = plan.job.fixing
    spacing = fixing.every * (plan.scallop.pitch + run.take_up)
    lifts = [max(_lift(side, fixing.edge, spacing) for side in own.back.sides(shown, off)) for off in OFFS]
    if not any(agree(seam.lift, lift, LIFT + BEND * lift) for lift in lifts):
        yield f"seam {seam.number}: lift {seam.lift:.9g}, the check finds {lifts[0]:.9g}"
    yield from differs(f"seam {seam.number}: cost, of its sight and lift", seam.cost, price_of(plan, seam), 0.5 + 1e-6)
    yield from unless(seam.cost == int(seam.cost), f"seam {seam.number}: its cost is not whole")


def _check_tight(plan: Plan, seam: Seam, run: Run, shown: float, own: Own) -> Iterator[str]:
    """Check that the edge shows near no tight curve."""
    where, radius = f"seam {seam.number}", plan.job.seams.tight_radius
    if radius is not None:
        most = bend_near(shown, (plan.scallop.pitch + run.take_up) * (1 - TIGHT), own)
        yield from unless(
            most * radius <= 1 + BEND, f"{where}: a radius of {1 / most if most else 0:.6g} within one pitch"
        )


def kept_free(plan: Plan, own: Sequence[Own]) -> list[Kept]:
    """Return every stretch that the job and its cut-outs keep free, with its outline's index."""
    asked = [
        (k, avoid)
        for k, spec in enumerate(plan.job.outlines)
        for avoid in plan.job.seams.avoid
        if avoid.outline in ("", spec.name)
    ]
    return asked + kept_by_cutouts(plan, own)


def depth_in(avoid: Avoid, shown: float, own: Own) -> float:
    """Return how far inside a stretch a station lies, mm; negative where it lies outside."""
    gone, span, length = shown - avoid.start, avoid.end - avoid.start, own.back.length
    if own.back.closed:
        gone, span = gone % length, span + length if span < 0 else span
        gone = gone - length if gone - span > length - gone else gone
    return min(gone, span - gone)


def bend_near(shown: float, near: float, own: Own) -> float:
    """Return the greatest curvature of the back line within `near` mm of a station, 1/mm."""
    length = own.back.length
    if own.back.closed:
        return own.back.most_bend(shown % length - near, shown % length + near)
    return own.back.most_bend(max(shown - near, 0), min(shown + near, length))
