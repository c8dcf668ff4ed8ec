"""Lines, datum and runs, walked again."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from layout.face.check_datum import started
from layout.face.check_line import Polyline, sampled, walked_parts
from layout.face.check_scallop import Sums, count_height
from layout.face.check_words import (
    BEND,
    COUNT,
    FINE,
    FLAT,
    LONG,
    PLACE,
    SHARE,
    agree,
    counted,
    differs,
    joined,
    unless,
)
from layout.face.plan import Lines, Plan, Run
from layout.job.model import Job

LOOKS = 24
"""places at which each drawn line is compared with the check's own"""


@dataclass(frozen=True, eq=False)
class Own:
    """The check's own lines of one outline, stations from its own datum."""

    drawn: Polyline
    back: Polyline
    count: Polyline
    crest: Polyline

    @property
    def near(self) -> float:
        """Return how far two of its places may be apart and still be one, mm."""
        return PLACE * max(1.0, self.back.length / LONG)


def own_lines(job: Job, sums: Sums) -> list[Own]:
    """Return the check's own lines of every outline of a job."""
    found = []
    for spec in job.outlines:
        drawn = sampled(started(walked_parts(spec), spec), closed=spec.closed)
        heights = (0.0, count_height(job, sums), sums.depth + job.metal.thickness)
        back, count, crest = (drawn.parallel(height - spec.inset) for height in heights)
        found.append(Own(drawn, back, count, crest))
    return found


def check_lines(plan: Plan, own: Sequence[Own]) -> list[str]:
    """Return what of the planned lines is not as the job's outlines give them."""
    return joined(
        _check_outline(plan.job.outlines[k].name, claimed, lines)
        for k, (claimed, lines) in enumerate(zip(plan.lines, own, strict=True))
    )


def _check_outline(name: str, claimed: Lines, own: Own) -> Iterator[str]:
    where = f"outline {name}" if name else "outline"
    yield from unless(claimed.name == (name or "face"), f"{where}: the plan calls it {claimed.name}")
    yield from unless(claimed.closed == own.drawn.closed, f"{where}: closed in one, open in the other")
    for kind in ("drawn", "back", "count", "crest"):
        line, mine = getattr(claimed, kind), getattr(own, kind)
        yield from unless(not mine.folds, f"{where}: the {kind} line folds")
        yield from unless(line.closed == mine.closed, f"{where}: the {kind} line is closed in one, open in the other")
        yield from differs(f"{where}: {kind} length", line.length, mine.length, SHARE * mine.length)
        looks = np.linspace(0.0, min(line.length, mine.length), LOOKS, endpoint=False)
        apart = float(np.hypot(*(line.point(looks) - mine.point(looks)).T).max())
        yield from differs(f"{where}: {kind} line's places", apart, 0.0, own.near)
    bend = float(np.abs(own.back.curvature).max())
    radius = 1 / bend if bend > FLAT else math.inf
    if not (math.isinf(radius) and math.isinf(claimed.back.smallest_radius)):
        yield from differs(f"{where}: smallest radius", claimed.back.smallest_radius, radius, BEND * radius)
    for axis, value, mine in zip("xy", claimed.datum, own.back.point([0.0])[0], strict=True):
        yield from differs(f"{where}: datum {axis}", value, float(mine), own.near)


def check_runs(plan: Plan, own: Sequence[Own]) -> list[str]:
    """Return what of the runs does not follow from the job: how they fill the lines, and their scallops."""
    found = [finding for k, lines in enumerate(own) for finding in _check_filled(plan, k, lines)]
    found += [finding for run in plan.runs for finding in _check_run(plan, run, own[run.outline])]
    if plan.job.scallop.pitch_range is not None and len(plan.runs) == 1:
        found += differs("take-up where the pitch is chosen", plan.runs[0].take_up, 0.0, FINE)
    return found


def _check_filled(plan: Plan, outline: int, own: Own) -> Iterator[str]:
    """Check that the runs of an outline follow one another, from end to end or once round."""
    runs = [run for run in plan.runs if run.outline == outline]
    where = plan.lines[outline].name
    if not runs:
        yield f"outline {where} has no run"
        return
    for before, after in pairwise(runs):
        yield from differs(f"outline {where}: start of run {after.number}", after.start, before.end, own.near)
    filled = runs[-1].end - runs[0].start
    yield from differs(f"outline {where}: length of its runs", filled, own.back.length, own.near)
    if not own.back.closed:
        yield from differs(f"outline {where}: start of its first run", runs[0].start, 0.0, own.near)
    alone = len(runs) == 1 and own.back.closed
    yield from (f"run {run.number} is closed and shares its line" for run in runs if run.closed and not alone)
    for need in plan.job.seams.require:
        if need.outline in ("", plan.job.outlines[outline].name):
            starts = [abs(_apart(run.start, need.at, own)) for run in runs]
            yield from unless(min(starts) <= own.near, f"no run begins at the required station {need.at:.9g}")


def _apart(a: float, b: float, own: Own) -> float:
    """Return how far two stations are apart, the short way round a loop."""
    if not own.back.closed:
        return abs(a - b)
    gap = (a - b) % own.back.length
    return min(gap, own.back.length - gap)


def same_place(a: float, b: float, own: Own) -> bool:
    """Tell whether two stations are one place."""
    return _apart(a, b, own) <= own.near


def _check_run(plan: Plan, run: Run, own: Own) -> list[str]:
    where = f"run {run.number}"
    start, end = own.back.carried([run.start, run.end], own.count)
    length, pitch = float(end - start), plan.scallop.pitch
    face = plan.job.face
    cut = face.ends == "cut" and not run.closed
    return joined(
        [
            unless(run.closed or not _whole_loop(plan, own), f"{where} goes once round and is not closed"),
            counted(f"{where}: stations given", run.stations.size, run.scallops + 1),
            differs(f"{where}: count length", run.count_length, length, SHARE * length),
            differs(
                f"{where}: blank height",
                run.height,
                face.height + face.top_return + face.bottom_return + face.scribe,
                FINE,
            ),
            _check_cut_fit(run, length, pitch) if cut else _check_whole_fit(plan, run, length, pitch),
            _check_stations(run, own, float(start), pitch if cut else length / run.scallops),
        ]
    )


def _whole_loop(plan: Plan, own: Own) -> bool:
    """Tell whether a lone run on this line must be a loop."""
    return own.back.closed and not plan.job.seams.require


def _check_whole_fit(plan: Plan, run: Run, length: float, pitch: float) -> Iterator[str]:
    where, most = f"run {run.number}", plan.job.scallop.most_take_up * pitch
    take_up = length / run.scallops - pitch
    near = FINE + SHARE * pitch
    yield from differs(f"{where}: take-up", run.take_up, take_up, near)
    yield from unless(abs(take_up) <= most + near, f"{where}: take-up {take_up:.6g} is over the {most:.6g} allowed")
    yield from unless(run.last_part is None, f"{where}: its last scallop is cut where ends are whole")
    if plan.job.scallop.pitch_range is None:
        # Half way between two counts either is nearest.
        nearest = run.scallops == 1 or abs(length / pitch - run.scallops) <= 0.5 + COUNT
        yield from unless(nearest, f"{where}: {length / pitch:.9g} pitches hold {run.scallops} scallops")
    near *= run.scallops
    yield from differs(f"{where}: may be longer", run.may_be_longer, run.scallops * (most - take_up), near)
    yield from differs(f"{where}: may be shorter", run.may_be_shorter, run.scallops * (most + take_up), near)


def _check_cut_fit(run: Run, length: float, pitch: float) -> Iterator[str]:
    """Check a run whose last scallop is cut: no take-up, and as much room as the last scallop leaves."""
    where, near = f"run {run.number}", FINE + SHARE * length
    left = length - (run.scallops - 1) * pitch
    yield from differs(f"{where}: take-up of a run with cut ends", run.take_up, 0.0, FINE)
    yield from unless(-near <= left <= pitch + near, f"{where}: {run.scallops} scallops do not fill {length:.9g}")
    yield from differs(f"{where}: share left of its last scallop", run.last_part or 0.0, left / pitch, near / pitch)
    yield from differs(f"{where}: may be longer", run.may_be_longer, pitch - left, near)
    yield from differs(f"{where}: may be shorter", run.may_be_shorter, left, near)


def _check_stations(run: Run, own: Own, start: float, pitch: float) -> Iterator[str]:
    """Check boundary j at count-line station j·pitch from the run's start, carried along the normal."""
    if run.stations.size != run.scallops + 1:
        return
    where = f"run {run.number}"
    along = start + pitch * np.arange(run.scallops + 1)
    wanted = own.count.carried(along, own.back)
    wanted[-1] = run.end
    yield from differs(f"{where}: first boundary", float(run.stations[0]), run.start, own.near)
    off = np.abs(run.stations - wanted)
    worst = int(np.argmax(np.where(np.isnan(off), np.inf, off)))
    claimed = float(run.stations[worst])
    if not agree(claimed, float(wanted[worst]), own.near):
        yield f"{where}: boundary {worst} stands at {claimed:.9g}, the check finds {float(wanted[worst]):.9g}"
