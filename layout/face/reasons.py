"""Why each seam falls where it does, in words, the firmest reason first."""

from __future__ import annotations

from dataclasses import dataclass

from layout.face.blanks import PanelLimits
from layout.face.costs import SeamPlaces
from layout.face.plan import Run
from layout.face.sight import told
from solver.problems import Track


@dataclass(frozen=True)
class Way:
    """How one run was split."""

    track: Track
    places: SeamPlaces
    limits: PanelLimits
    chosen: tuple[int, ...]
    """boundaries, rising; a line's ends are among them"""


def end_why(run: Run, boundary: int) -> str:
    """Say why a run begins or ends there."""
    return run.start_why if boundary == 0 else run.end_why


def seam_why(way: Way, boundary: int) -> str:
    """Say why a seam falls at this boundary."""
    if _beside_a_longest(way, boundary):
        return "as far as the sheet reaches" if way.limits.by_sheet else way.limits.by or "as long as a panel may be"
    neighbours = [_step(way.track, boundary, step) for step in (-1, 1)]
    barred = sorted({way.places.why[b] for b in neighbours} - {""})
    if "tight curve" in barred:
        return "kept off the tight curve"
    if barred:
        return f"kept off: {barred[0]}"
    if way.places.sights is not None:
        seen = [told(int(way.places.cost[b]))[0] for b in (boundary, *neighbours)]
        if max(seen) > seen[0]:
            return "where less of it is seen" if seen[0] else "out of sight"
    if any(way.places.cost[b] > way.places.cost[boundary] for b in neighbours):
        return "where the edge lifts less"
    return "free"


def _beside_a_longest(way: Way, boundary: int) -> bool:
    """Tell whether the panel on either side is as long as it may be."""
    track, k = way.track, way.chosen.index(boundary)
    if track.closed:
        ends = (way.chosen[k - 1], way.chosen[(k + 1) % len(way.chosen)])
        spans = [(boundary - ends[0]) % track.size, (ends[1] - boundary) % track.size]
        return track.largest in spans or track.largest == track.size
    last = k + 1 == len(way.chosen) - 1
    longest_after = way.limits.largest_last if last else track.largest
    return track.largest == boundary - way.chosen[k - 1] or longest_after == way.chosen[k + 1] - boundary


def _step(track: Track, boundary: int, step: int) -> int:
    """Return the neighbouring boundary, round a ring."""
    return (boundary + step) % track.size if track.closed else boundary + step
