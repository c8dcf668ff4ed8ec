"""Panels and sheets as one problem of the solver: what each run, blank, stock size and price becomes there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from layout.face.blanks import Blanks, micro, usable
from layout.face.plan import Run
from layout.job.model import Job, SheetSpec
from solver.problems import Charge, Joint, Piece, Stock, Track

GOAL_OF = {
    "cost": "cost",
    "panels": "pieces",
    "worst_seam": "worst",
    "different_lengths": "different",
    "seam_cost": "total",
    "sheets": "sheets",
    "even": "spread",
}
"""the solver's word for each goal"""


def stock_of(sheet: SheetSpec, shear_length: float | None) -> Stock:
    """Return a stock size as the solver sees it, between its trims."""
    length, width = usable(sheet)
    return Stock(
        length=micro(length),
        width=micro(width),
        count=sheet.count,
        kerf=micro(sheet.kerf),
        along=sheet.scallops != "along",
        across=sheet.scallops != "across",
        longest_cut=None if shear_length is None else micro(shear_length),
    )


def goals_of(job: Job) -> tuple[str, ...]:
    """Return every goal of a job in the order in which it is met.

    The number of sheets comes last where the job does not name it, so that every plan says it; evenness is
    sought only within all of these.
    """
    named = job.seams.goals if "sheets" in job.seams.goals else (*job.seams.goals, "sheets")
    return (*named, "even") if job.seams.even else named


def money_unit(job: Job) -> int:
    """Return how many whole units of money one is counted as, so that every price is a whole number.

    >>> from layout.job.model import FaceSpec, MetalSpec, ScallopSpec
    >>> sheet = SheetSpec(length=3048.0, width=1219.2, price=71.5)
    >>> money_unit(Job("Bar", "in", (), ScallopSpec("arc", 70, 16), MetalSpec("steel", 0.6), FaceSpec(1000), (sheet,)))
    10
    """
    prices = [job.seams.panel_price, *(sheet.price or 0.0 for sheet in job.sheets)]
    return int(10 ** max(max(0, -int(Decimal(repr(price)).normalize().as_tuple().exponent)) for price in prices))


def is_priced(job: Job) -> bool:
    """Tell whether anything in a job has a price; else its cost is the number of sheets."""
    return job.seams.panel_price > 0 or any(sheet.price for sheet in job.sheets)


def charges_of(job: Job) -> tuple[Charge, ...]:
    """Return what sheets and panels are charged, firmest first: the later ones only break ties.

    Of plans that are equal by the goals, the one that buys fewest sheets is kept, remnants being used first, and
    of these the one of least area.
    """
    unit = money_unit(job)
    count = Charge("sheets", (1,) * len(job.sheets))
    money = Charge(
        "cost", tuple(_whole(sheet.price or 0.0, unit) for sheet in job.sheets), _whole(job.seams.panel_price, unit)
    )
    return (
        money if is_priced(job) else Charge("cost", count.stocks),
        count,
        Charge("bought", tuple(int(not sheet.remnant) for sheet in job.sheets)),
        Charge("area", tuple(round(sheet.length) * round(sheet.width) for sheet in job.sheets)),
    )


def _whole(price: float, unit: int) -> int:
    return int(Decimal(repr(price)) * unit)


def joint_of(job: Job, runs: Sequence[Run], tracks: Sequence[Track], blanks: Blanks) -> Joint:
    """Return the whole choice of a job as one problem."""
    lapped = job.face.seam == "lap"
    return Joint(
        tracks=tuple(tracks),
        lengths=tuple(_lengths(track, blanks, lapped=lapped) for track in tracks),
        last_lengths=tuple(_lengths(track, blanks, lapped=lapped and track.closed) for track in tracks),
        heights=tuple(micro(run.height) for run in runs),
        stocks=tuple(stock_of(sheet, job.face.shear_length) for sheet in job.sheets),
        charges=charges_of(job),
    )


def _lengths(track: Track, blanks: Blanks, *, lapped: bool) -> NDArray[np.int64]:
    """Return the blank's length in µm for every panel of 0, 1, 2, … scallops that a run may have."""
    most = max(track.largest, track.largest_last or 0)
    return np.array([micro(blanks.length(n, lapped=lapped)) for n in range(most + 1)], dtype=np.int64)


def pieces_of(problem: Joint, positions: Sequence[Sequence[int]]) -> tuple[Piece, ...]:
    """Return the blanks that given boundaries ask for, equal ones counted, longest first."""
    sizes: Counter[tuple[int, int]] = Counter()
    for k, (track, way) in enumerate(zip(problem.tracks, positions, strict=True)):
        for start, steps in gaps_of(track, way):
            last = not track.closed and start + steps == track.size
            sizes[int((problem.last_lengths if last else problem.lengths)[k][steps]), problem.heights[k]] += 1
    return tuple(Piece(length, height, count) for (length, height), count in sorted(sizes.items(), reverse=True))


def gaps_of(track: Track, way: Sequence[int]) -> list[tuple[int, int]]:
    """Return (first boundary, scallops) of each panel; a ring's last goes past its first boundary.

    >>> gaps_of(Track(9, True, 2, 9, np.zeros(9, int), np.full(9, True)), [1, 4])
    [(1, 3), (4, 6)]
    """
    after = [*way[1:], way[0] + track.size] if track.closed else list(way[1:])
    return [(a, b - a) for a, b in zip(way, after, strict=False)]
