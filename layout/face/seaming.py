"""Where the seams go: the runs as tracks for the solver, and its answer in words of the trade."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from layout.face.blanks import Blanks, PanelLimits
from layout.face.costs import SeamPlaces
from layout.face.explaining import no_seams
from layout.face.plan import Lines, Proof, Run, Seam
from layout.face.reasons import Way, end_why, seam_why
from layout.job.model import Job
from solver import breaks
from solver.problems import Track

GOAL_OF = {"panels": "pieces", "worst_seam": "worst", "different_lengths": "different", "seam_cost": "total"}
"""the solver's word for each goal on seams"""


@dataclass(frozen=True)
class Seaming:
    """Chosen boundaries of every run, with the proof."""

    tracks: tuple[Track, ...]
    chosen: tuple[tuple[int, ...], ...]
    """per run, rising; a line's ends are among them"""
    proof: tuple[Proof, ...]


def track_of(run: Run, places: SeamPlaces, limits: PanelLimits) -> Track:
    """Return a run as the solver sees it: positions, prices, and where breaks may fall."""
    end = run.scallops if run.closed else run.scallops + 1
    return Track(
        size=run.scallops,
        closed=run.closed,
        smallest=limits.smallest,
        largest=limits.largest,
        cost=places.cost[:end],
        allowed=places.allowed[:end],
        largest_last=None if run.closed else limits.largest_last,
    )


def solver_goals(job: Job) -> list[str]:
    """Return the job's goals on seams, in order, in the solver's words."""
    return [GOAL_OF[goal] for goal in job.seams.goals if goal in GOAL_OF]


def least_values(job: Job, tracks: Sequence[Track], stage: int) -> tuple[int, ...] | None:
    """Return the best values of the first `stage` goals, or None where there is no plan."""
    result = breaks.solve(tracks, solver_goals(job)[:stage])
    return None if result.positions is None else tuple(met.value for met in result.met)


def choose_seams(
    job: Job,
    runs: Sequence[Run],
    places: Sequence[SeamPlaces],
    tracks: tuple[Track, ...],
    blanks: Blanks,
    progress: Callable[[float], None] | None = None,
) -> Seaming:
    """Choose the seams of all runs by the job's goals, each met exactly before the next.

    Raises
    ------
    NoPlan
        Where no choice exists, with the stretch and the least change that would do.
    """
    result = breaks.solve(tracks, solver_goals(job), progress=progress)
    if result.positions is None:
        raise no_seams(job, runs, places, tracks, blanks)
    goals = [goal for goal in job.seams.goals if goal in GOAL_OF]
    proof = tuple(Proof(goal, met.value, met.bound, met.proved) for goal, met in zip(goals, result.met, strict=True))
    return Seaming(tracks, result.positions, proof)


def seams_of(
    runs: Sequence[Run],
    lines: Sequence[Lines],
    places: Sequence[SeamPlaces],
    limits: Sequence[PanelLimits],
    seaming: Seaming,
) -> tuple[Seam, ...]:
    """Return all seams, numbered through the job in station order, run by run."""
    seams: list[Seam] = []
    for k, (run, place, chosen) in enumerate(zip(runs, places, seaming.chosen, strict=True)):
        way = Way(seaming.tracks[k], place, limits[k], chosen)
        back = lines[run.outline].back
        for boundary in chosen:
            end = not run.closed and boundary in (0, run.scallops)
            station = float(run.stations[boundary])
            x, y = back.point(station).tolist()
            radius = float(place.radius[boundary])
            seams.append(
                Seam(
                    number=len(seams) + 1,
                    run=run.number,
                    outline=run.outline,
                    boundary=boundary,
                    station=station % back.length if run.closed else station,
                    x=x,
                    y=y,
                    heading=float(back.heading(station)),
                    radius=None if math.isinf(radius) else radius,
                    lift=0.0 if end else float(place.lift[boundary]),
                    cost=0 if end else int(place.cost[boundary]),
                    why=end_why(run, boundary) if end else seam_why(way, boundary),
                    end=end,
                )
            )
    return tuple(seams)
