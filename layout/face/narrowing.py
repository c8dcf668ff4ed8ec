"""By how little which seam-free stretch must be narrowed, so that panels can be made."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from layout.face.costs import SAME_STATION
from layout.face.drafting import Draft, tracks_of
from layout.face.safe_side import LENGTH_STEP, down, up
from layout.job.model import Avoid, Job
from layout.units import format_length
from solver.verify import has_way


@dataclass(frozen=True)
class Narrowing:
    """One seam-free stretch made shorter at one end."""

    index: int
    """of the stretch, in the job"""
    stretch: Avoid
    """as it would be"""
    less: float
    """mm"""


def narrowings(job: Job, draft: Draft) -> Iterator[str]:
    """Yield for each stretch the least by which narrowing it alone would do, at the end where that is less.

    Where none does alone, yield the least by which several must be, all of them together.
    """
    told = False
    for index in range(len(job.seams.avoid)):
        best = _best(job, draft, index, _all_but(draft, index))
        if best is not None:
            told = True
            yield f"Let {_told(job, best)}"
    together = [] if told else _together(job, draft)
    if together:
        yield f"Let {', and '.join(_told(job, one) for one in together)}"


def _told(job: Job, best: Narrowing) -> str:
    avoid = job.seams.avoid[best.index]
    at_start = best.stretch.start != avoid.start
    old, new = (avoid.start, best.stretch.start) if at_start else (avoid.end, best.stretch.end)
    verb, key = ("begin", "from") if at_start else ("end", "to")
    shown = [format_length(station, job.units) for station in (new, old)]
    return (
        f"the seam-free stretch of {avoid.why} {verb} at station {shown[0]} instead of {shown[1]}, "
        f'{format_length(best.less, job.units)} less (seams.avoid[{best.index + 1}].{key} = "{shown[0]}")'
    )


def _all_but(draft: Draft, index: int) -> list[Avoid]:
    return [avoid for k, avoid in enumerate(draft.free) if k != index]


def _best(job: Job, draft: Draft, index: int, others: Sequence[Avoid]) -> Narrowing | None:
    """Return the least narrowing of one stretch beside some others, at the end where that is less."""
    ways = [least_narrowing(job, draft, index, others, at_start=at_start) for at_start in (False, True)]
    return min((way for way in ways if way is not None), key=lambda way: way.less, default=None)


def _together(job: Job, draft: Draft) -> list[Narrowing]:
    """Return narrowings that do together where none does alone; empty where there are none.

    Stretch by stretch as the job gives them, each by the least that does beside those before it and none of those
    after it: so less of any one is not enough.
    """
    standing = list(draft.free[len(job.seams.avoid) :])
    found = []
    for index, avoid in enumerate(job.seams.avoid):
        best = None
        if not _does(draft, job, [*standing, avoid]):
            best = _best(job, draft, index, standing)
            if best is None:
                return []
            found.append(best)
        standing.append(best.stretch if best else avoid)
    return found


def least_narrowing(job: Job, draft: Draft, index: int, others: Sequence[Avoid], *, at_start: bool) -> Narrowing | None:
    """Return the least narrowing of one stretch at one end that lets every run be split; None: none does.

    Parameters
    ----------
    others
        The stretches beside it, as they are to stay.
    """
    stretch = job.seams.avoid[index]
    offsets = _offsets(draft, stretch, at_start=at_start)
    low, high = 0, len(offsets)
    while low < high:
        middle = (low + high) // 2
        narrowed = _freed(job, draft, stretch, offsets[middle], at_start=at_start)
        if narrowed is not None and _does(draft, job, [*others, narrowed.stretch]):
            high = middle
        else:
            low = middle + 1
    if low == len(offsets):
        return None
    best = _freed(job, draft, stretch, offsets[low], at_start=at_start)
    return None if best is None else replace(best, index=index)


def _offsets(draft: Draft, stretch: Avoid, *, at_start: bool) -> list[float]:
    """Return how far each boundary in a stretch lies from one of its ends, rising."""
    found: set[float] = set()
    for run, place in zip(draft.runs, draft.places, strict=True):
        line = draft.lines[run.outline]
        if stretch.outline not in ("", line.name):
            continue
        span = _span(stretch, line.back.length, closed=line.closed)
        for station in place.station.tolist():
            gap = station - stretch.start if at_start else stretch.end - station
            gap = gap % line.back.length if line.closed else gap
            if -SAME_STATION <= gap <= span + SAME_STATION:
                found.add(max(gap, 0.0))
    return sorted(found)


def _span(stretch: Avoid, length: float, *, closed: bool) -> float:
    """Return a stretch's length, past the datum where it wraps."""
    wraps = closed and stretch.start > stretch.end
    return stretch.end - stretch.start + (length if wraps else 0.0)


def _freed(job: Job, draft: Draft, stretch: Avoid, offset: float, *, at_start: bool) -> Narrowing | None:
    """Return a stretch narrowed just past a boundary, to a figure that can be written; None: nothing is left."""
    line = next(one for one in draft.lines if stretch.outline in ("", one.name))
    step, clear = LENGTH_STEP[job.units], 2 * SAME_STATION
    end = stretch.start + offset + clear if at_start else stretch.end - offset - clear
    end = up(end, step) if at_start else down(end, step)
    if math.isclose(end, stretch.start + offset if at_start else stretch.end - offset, abs_tol=SAME_STATION):
        end += step if at_start else -step
    less = end - stretch.start if at_start else stretch.end - end
    if less >= _span(stretch, line.back.length, closed=line.closed):
        return None
    end = end % line.back.length if line.closed else end
    return Narrowing(0, replace(stretch, start=end) if at_start else replace(stretch, end=end), less)


def _does(draft: Draft, job: Job, free: Sequence[Avoid]) -> bool:
    """Tell whether every run can be split with these stretches instead of the draft's."""
    return all(has_way(track) for track in tracks_of(job, draft, tuple(free)))
