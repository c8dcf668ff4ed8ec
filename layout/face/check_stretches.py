"""Stretches kept free of seams as the plan tells them: those that the job asks for, and those too tight."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from layout.face.check_cutouts import kept_by_cutouts
from layout.face.check_runs import Own, same_place
from layout.face.check_seams import Kept, bend_near, depth_in, kept_free, shown_at
from layout.face.check_words import BEND, EDGE, TIGHT, joined, unless
from layout.face.plan import Plan, Run, Stretch

Marks = NDArray[np.float64]
"""one figure a boundary, shape (scallops,)"""

TOO_TIGHT = "tight curve"
"""what the plan calls a stretch that no seam may fall in because it bends too much"""


def check_stretches(plan: Plan, own: Sequence[Own]) -> list[str]:
    """Return what of the told stretches is not as the job asks, or not as its lines bend."""
    asked = [
        (k, avoid.start, avoid.end, avoid.why)
        for k, spec in enumerate(plan.job.outlines)
        for avoid in plan.job.seams.avoid
        if avoid.outline in ("", spec.name)
    ]
    told = [(s.outline, s.start, s.end, s.why) for s in plan.stretches]
    holes = kept_by_cutouts(plan, own)
    found = [any(_is_told(stretch, kept, own) for kept in holes) for stretch in plan.stretches]
    pairs = zip(plan.stretches, told, found, strict=True)
    others = [stretch for stretch, key, of_hole in pairs if key not in asked and not of_hole]
    free = kept_free(plan, own)
    marks = {run.number: _marks(plan, run, own[run.outline], free) for run in plan.runs}
    return joined(
        [
            (f"the stretch kept free for {key[3]} is not told" for key in asked if key not in told),
            _untold(plan, holes, own),
            unless(len(set(told)) == len(told), "a stretch is told twice"),
            joined(_check_tight(plan, stretch, own, marks) for stretch in others),
            joined(_check_all_told(plan, run, own[run.outline], others, marks[run.number]) for run in plan.runs),
        ]
    )


def _untold(plan: Plan, holes: Sequence[Kept], own: Sequence[Own]) -> Iterator[str]:
    for kept in holes:
        told = any(_is_told(stretch, kept, own) for stretch in plan.stretches)
        yield from unless(told, f"the stretch kept free for {kept[1].why} is not told")


def _is_told(stretch: Stretch, kept: Kept, own: Sequence[Own]) -> bool:
    """Tell whether a stretch of the plan is one that a cut-out keeps free."""
    outline, avoid = kept
    ends = ((stretch.start, avoid.start), (stretch.end, avoid.end))
    named = (stretch.outline, stretch.why) == (outline, avoid.why)
    return named and all(same_place(a, b, own[outline]) for a, b in ends)


def _marks(plan: Plan, run: Run, own: Own, free: Sequence[Kept]) -> Marks:
    """Return for each boundary that may bear a seam whether it is too tight: 1 yes, 0 no, ½ too near to tell.

    Those in a stretch that the job keeps free are none: they are told as such.
    """
    marks, radius = np.zeros(run.scallops), plan.job.seams.tight_radius
    if radius is None:
        return marks
    pitch = plan.scallop.pitch + run.take_up
    asked = [avoid for outline, avoid in free if outline == run.outline]
    for k in range(0 if run.closed else 1, run.scallops):
        shown = shown_at(plan.job, run, k, own)
        depth = max((depth_in(avoid, shown, own) for avoid in asked), default=-math.inf)
        surely = bend_near(shown, pitch * (1 - TIGHT), own) * radius > 1 + BEND
        maybe = bend_near(shown, pitch * (1 + TIGHT), own) * radius > 1 - BEND
        if depth < EDGE and maybe:
            marks[k] = 1.0 if surely and depth < -EDGE else 0.5
    return marks


def _check_tight(plan: Plan, stretch: Stretch, own: Sequence[Own], marks: dict[int, Marks]) -> Iterator[str]:
    """Check that a stretch that the job does not ask for is a group of boundaries that are all too tight."""
    where = f"the stretch from {stretch.start:.9g} to {stretch.end:.9g}"
    if stretch.why != TOO_TIGHT or plan.job.seams.tight_radius is None:
        yield f"{where} is kept free for {stretch.why}, and the job does not ask for it"
        return
    for run in plan.runs:
        if run.outline == stretch.outline:
            lines = own[run.outline]
            first = _boundary_at(plan, run, lines, stretch.start, -1)
            last = _boundary_at(plan, run, lines, stretch.end, 1)
            if first is not None and last is not None and _is_group(run, marks[run.number], first, last):
                return
    yield f"{where} is not one that is too tight for seams"


def _boundary_at(plan: Plan, run: Run, own: Own, station: float, side: int) -> int | None:
    """Return the boundary that stands half a scallop inside this end of a stretch."""
    half = (plan.scallop.pitch + run.take_up) / 2
    for k in range(run.scallops):
        end = shown_at(plan.job, run, k, own) + side * half
        if not own.back.closed:
            end = min(max(end, 0.0), own.back.length)
        if same_place(end, station, own):
            return k
    return None


def _is_group(run: Run, marks: Marks, first: int, last: int) -> bool:
    """Tell whether boundaries from first to last are all too tight, and those beside them are not."""
    count = last - first + 1 if last >= first or not run.closed else last - first + 1 + run.scallops
    inside = [(first + k) % run.scallops for k in range(count)]
    beside = [first - 1, last + 1]
    if run.closed:
        beside = [k % run.scallops for k in beside]
    out = [k for k in beside if 0 <= k < run.scallops and k not in inside]
    return bool(inside) and all(marks[k] > 0 for k in inside) and all(marks[k] < 1 for k in out)


def _check_all_told(plan: Plan, run: Run, own: Own, told: Sequence[Stretch], marks: Marks) -> Iterator[str]:
    """Check that every boundary that is too tight lies in a stretch that says so."""
    length = own.back.length
    for k in np.flatnonzero(marks == 1):
        shown = shown_at(plan.job, run, int(k), own)
        covered = any(
            stretch.outline == run.outline
            and (shown - stretch.start) % length <= (stretch.end - stretch.start) % length + own.near
            for stretch in told
        )
        if not covered:
            yield f"run {run.number}: the tight curve round boundary {k} is not told"
            return
