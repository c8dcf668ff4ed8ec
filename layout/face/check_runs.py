"""Lines, datum and runs, walked again."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from layout.face.check_corners import corner_changes
from layout.face.check_datum import started
from layout.face.check_ends import Part, parts_of
from layout.face.check_line import Floats, Polyline, sampled, walked_parts
from layout.face.check_scallop import Sums, count_height
from layout.face.check_survey import survey_parts
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
    count_height: float
    """mm that the count line stands off the back line"""
    depth: float
    """mm that the crest line does"""

    @property
    def near(self) -> float:
        """Return how far two of its places may be apart and still be one, mm."""
        return PLACE * max(1.0, self.back.length / LONG)


def own_lines(job: Job, sums: Sums, claimed: Sequence[Lines] = ()) -> list[Own]:
    """Return the check's own lines of every outline of a job; of surveyed ones along the pieces claimed."""
    found = []
    for k, spec in enumerate(job.outlines):
        surveyed = survey_parts(claimed[k]) if claimed else []
        drawn = sampled(started(walked_parts(spec, surveyed), spec), closed=spec.closed)
        heights = (0.0, count_height(job, sums), sums.depth + job.metal.thickness)
        back, count, crest = (drawn.parallel(height - spec.inset) for height in heights)
        found.append(Own(drawn, back, count, crest, heights[1], heights[2]))
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
    found = unless(
        [run.outline for run in plan.runs] == sorted(run.outline for run in plan.runs),
        "runs are not outline by outline",
    )
    found += [finding for k, lines in enumerate(own) for finding in _check_filled(plan, k, lines)]
    if plan.job.scallop.pitch_range is not None:
        found += _check_chosen_pitch(plan, *plan.job.scallop.pitch_range)
    return found


def _check_filled(plan: Plan, outline: int, own: Own) -> Iterator[str]:
    """Check that the runs of an outline are just those that the job's required seams and zones make."""
    runs = [run for run in plan.runs if run.outline == outline]
    wanted = parts_of(plan.job, outline, own.back.length, own.back.corner_stations)
    where = plan.lines[outline].name
    if len(runs) != len(wanted):
        yield f"outline {where} has {len(runs)} runs, by the job {len(wanted)}"
        return
    for run, part in zip(runs, wanted, strict=True):
        yield from _check_part(run, part, own)
        yield from _check_run(plan, run, part, own)


def _check_part(run: Run, part: Part, own: Own) -> list[str]:
    where = f"run {run.number}"
    return joined(
        [
            unless(run.name == part.name, f"{where}: it is called {run.name}, by the job {part.name}"),
            unless(run.closed == part.closed, f"{where}: closed in one, open in the other"),
            differs(f"{where}: start", run.start, part.start, own.near),
            differs(f"{where}: end", run.end, part.end, own.near),
            unless(run.zone == part.zone, f"{where}: in zone {run.zone or 'none'}, by the job {part.zone or 'none'}"),
            differs(f"{where}: blank height", run.height, part.height, FINE),
            unless(set(run.start_why.split("; ")) == part.start_why, f"{where}: it begins for {run.start_why}"),
            unless(set(run.end_why.split("; ")) == part.end_why, f"{where}: it ends for {run.end_why}"),
        ]
    )


def _check_chosen_pitch(plan: Plan, low: float, high: float) -> Iterator[str]:
    """Check that no other pitch of the range is better for these counts.

    A lone run that gives has none to give. Of several the one stretched most falls, and the one crowded
    most rises, with the pitch: the worse is least where they are alike, or at an end of the range.
    """
    giving = [run for run in plan.runs if run.first_part is None and run.last_part is None]
    if len(giving) == 1:
        yield from differs("take-up where the pitch is chosen", giving[0].take_up, 0.0, FINE)
    elif giving:
        pitch, shares = plan.scallop.pitch, [run.take_up / plan.scallop.pitch for run in giving]
        lean = max(shares) + min(shares)
        near = 4 * SHARE + FINE / pitch
        yield from unless(
            (lean <= near or pitch >= high - FINE) and (lean >= -near or pitch <= low + FINE),
            f"pitch {pitch:.9g}: another of the range gives less take-up, its extremes lean by {lean:.3g}",
        )


def _apart(a: float, b: float, own: Own) -> float:
    """Return how far two stations are apart, the short way round a loop."""
    if not own.back.closed:
        return abs(a - b)
    gap = (a - b) % own.back.length
    return min(gap, own.back.length - gap)


def same_place(a: float, b: float, own: Own) -> bool:
    """Tell whether two stations are one place."""
    return _apart(a, b, own) <= own.near


def _check_run(plan: Plan, run: Run, part: Part, own: Own) -> list[str]:
    where, pitch = f"run {run.number}", plan.scallop.pitch
    stations, gone = own.back.between(part.start, part.end, own.count)
    before, after = _changes(plan, run, part, own)
    length = float(gone[-1]) + before + after
    laid = (stations, gone + before)
    return joined(
        [
            counted(f"{where}: stations given", run.stations.size, run.scallops + 1),
            differs(f"{where}: count length", run.count_length, length, SHARE * length),
            _check_cut_fit(run, part.cut, length, pitch) if part.cut else _check_whole_fit(plan, run, length, pitch),
            _check_stations(run, own, part.cut, laid, pitch if part.cut else length / run.scallops),
        ]
    )


def _changes(plan: Plan, run: Run, part: Part, own: Own) -> tuple[float, float]:
    """Return what corners add to a run at the count line before and after its normals, mm."""
    kind = plan.job.outlines[run.outline].corner or "mitre"

    def change(turn: float, which: int) -> float:
        return corner_changes(kind, turn, own.count_height, own.depth)[which] if turn else 0.0

    return change(part.start_turn, 1), change(part.end_turn, 0)


def _check_whole_fit(plan: Plan, run: Run, length: float, pitch: float) -> Iterator[str]:
    where, most = f"run {run.number}", plan.job.scallop.most_take_up * pitch
    take_up = length / run.scallops - pitch
    near = FINE + SHARE * pitch
    yield from differs(f"{where}: take-up", run.take_up, take_up, near)
    yield from unless(abs(take_up) <= most + near, f"{where}: take-up {take_up:.6g} is over the {most:.6g} allowed")
    whole = run.first_part is None and run.last_part is None
    yield from unless(whole, f"{where}: a scallop is cut where ends are whole")
    if plan.job.scallop.pitch_range is None:
        # Half way between two counts either is nearest.
        nearest = run.scallops == 1 or abs(length / pitch - run.scallops) <= 0.5 + COUNT
        yield from unless(nearest, f"{where}: {length / pitch:.9g} pitches hold {run.scallops} scallops")
    near *= run.scallops
    yield from differs(f"{where}: may be longer", run.may_be_longer, run.scallops * (most - take_up), near)
    yield from differs(f"{where}: may be shorter", run.may_be_shorter, run.scallops * (most + take_up), near)


def _check_cut_fit(run: Run, cut: str, length: float, pitch: float) -> Iterator[str]:
    """Check a run whose last scallop at one end is cut: no take-up, and as much room as that scallop leaves."""
    where, near = f"run {run.number}", FINE + SHARE * length
    left = length - (run.scallops - 1) * pitch
    yield from differs(f"{where}: take-up of a run with cut ends", run.take_up, 0.0, FINE)
    yield from unless(-near <= left <= pitch + near, f"{where}: {run.scallops} scallops do not fill {length:.9g}")
    part, other = (run.first_part, run.last_part)[:: 1 if cut == "left" else -1]
    yield from unless(other is None, f"{where}: a scallop is cut at both ends, or at the wrong one")
    yield from differs(f"{where}: share left of its cut scallop", part or 0.0, left / pitch, near / pitch)
    yield from differs(f"{where}: may be longer", run.may_be_longer, pitch - left, near)
    yield from differs(f"{where}: may be shorter", run.may_be_shorter, left, near)


def _check_stations(run: Run, own: Own, cut: str, laid: tuple[Floats, Floats], pitch: float) -> Iterator[str]:
    """Check boundary j at j·pitch from the run's start along the count line, carried along the normal.

    What stands past a corner's normal is at the corner; where the first scallop is cut all are as much nearer.
    """
    if run.stations.size != run.scallops + 1:
        return
    where = f"run {run.number}"
    along = pitch * np.arange(run.scallops + 1)
    if cut == "left":
        along -= (1 - (run.first_part or 0.0)) * pitch
    wanted = np.interp(along, laid[1], laid[0])
    wanted[0], wanted[-1] = run.start, run.end
    yield from differs(f"{where}: first boundary", float(run.stations[0]), run.start, own.near)
    off = np.abs(run.stations - wanted)
    worst = int(np.argmax(np.where(np.isnan(off), np.inf, off)))
    claimed = float(run.stations[worst])
    if not agree(claimed, float(wanted[worst]), own.near):
        yield f"{where}: boundary {worst} stands at {claimed:.9g}, the check finds {float(wanted[worst]):.9g}"
