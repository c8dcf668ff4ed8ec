"""Where the seams go: the runs as tracks for the solver, and its answer in words of the trade."""

from __future__ import annotations

import math
from collections.abc import Sequence

from layout.face.blanks import PanelLimits
from layout.face.costs import SeamPlaces
from layout.face.plan import Lines, Run, Seam
from layout.face.reasons import Way, end_why, seam_why
from layout.face.sight import Hand
from layout.outline.chain import Chain
from layout.outline.tolerances import SAME_STATION
from solver.problems import Track


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


def seams_of(
    runs: Sequence[Run],
    lines: Sequence[Lines],
    places: Sequence[SeamPlaces],
    limits: Sequence[PanelLimits],
    tracks: Sequence[Track],
    positions: Sequence[Sequence[int]],
    hand: Hand,
) -> tuple[Seam, ...]:
    """Return all seams, numbered through the job in station order, run by run."""
    seams: list[Seam] = []
    for k, (run, place, chosen) in enumerate(zip(runs, places, positions, strict=True)):
        way = Way(tracks[k], place, limits[k], tuple(chosen))
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
                    station=station % back.length if back.closed else station,
                    x=x,
                    y=y,
                    heading=_heading(run, boundary, back),
                    radius=None if math.isinf(radius) else radius,
                    lift=0.0 if end else float(place.lift[boundary]),
                    cost=0 if end else int(place.cost[boundary]),
                    why=end_why(run, boundary) if end else seam_why(way, boundary),
                    end=end,
                    sight=() if end or place.sights is None else tuple(place.sights.at(boundary, hand).items()),
                )
            )
    return tuple(seams)


def _heading(run: Run, boundary: int, back: Chain) -> float:
    """Return the direction of the line at a boundary; where a run ends at a corner, on its own side of it."""
    station = float(run.stations[boundary])
    if back.cornered and not run.closed and boundary in (0, run.scallops):
        station += SAME_STATION if boundary == 0 else -SAME_STATION
    return float(back.heading(station))
