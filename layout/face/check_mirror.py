"""Seams that mirror one another, where the job asks for it: about an axis that the line itself has."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from layout.face.check_runs import Own
from layout.face.check_words import unless
from layout.face.plan import Plan, Run

LOOKS = 97
"""places on either side of an axis at which headings are compared"""

TURN = 1e-5
"""radians by which mirrored headings may miss one another"""


def check_mirrored(plan: Plan, own: Sequence[Own]) -> Iterator[str]:
    """Yield the runs whose seams mirror one another about no axis of their line, where the job asks for it."""
    for run in plan.runs if plan.job.seams.symmetric else ():
        seams = {seam.boundary for seam in plan.seams if seam.run == run.number}
        yield from unless(
            any(_about(run, seams, number, own[run.outline]) for number in _numbers(run)),
            f"run {run.number}: its seams do not mirror one another about an axis of its line",
        )


def _numbers(run: Run) -> Sequence[int]:
    """Return the sums that two mirrored boundaries may have: any round a loop, its scallops on an open run."""
    return range(run.scallops) if run.closed else [run.scallops]


def _about(run: Run, seams: set[int], number: int, own: Own) -> bool:
    """Tell whether seams at j stand with seams at number − j, and whether the line mirrors itself there."""
    mirrored = {number - j for j in seams}
    if run.closed:
        mirrored = {j % run.scallops for j in mirrored}
    return mirrored == seams and _bends_alike(run, number, own)


def _bends_alike(run: Run, number: int, own: Own) -> bool:
    """Tell whether the line turns as much after the axis as before it, at every distance.

    Headings by arc length are the whole line but for its place, so this is a mirror, and never half a turn.
    """
    last = (number + 1) // 2
    middle = (float(run.stations[number // 2]) + float(run.stations[last])) / 2
    off = np.linspace(0.0, (run.end - run.start) / 2, LOOKS)
    here = own.back.heading_at(middle)
    turned = [own.back.heading_at(middle + d) + own.back.heading_at(middle - d) - 2 * here for d in off.tolist()]
    return all(abs(math.remainder(turn, math.tau)) <= TURN for turn in turned)
