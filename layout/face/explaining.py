"""Why seams cannot be placed, in words of the trade: the stretch, and the least change that would do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layout.errors import NoPlan
from layout.face.blanks import Blanks
from layout.face.costs import SeamPlaces
from layout.face.plan import Run
from layout.face.safe_side import at_least, at_most
from layout.job.model import Job
from layout.units import format_length
from solver.problems import Track
from solver.why_not import Conflict, explain


def no_seams(
    job: Job, runs: Sequence[Run], places: Sequence[SeamPlaces], tracks: Sequence[Track], blanks: Blanks
) -> NoPlan:
    """Return why these runs cannot be split into panels, and each change that alone would do.

    Parameters
    ----------
    job
        The job.
    runs, places, tracks
        The runs, what is known of their boundaries, and the runs as the solver saw them.
    blanks
        The rule that turns scallops into flat metal, for the length of sheet that would do.
    """
    conflict = explain(tracks)
    if conflict is None:
        raise ValueError("these runs can be split")
    run, place, track = runs[conflict.track], places[conflict.track], tracks[conflict.track]
    return NoPlan(_reason(job, run, place, track, conflict), _remedies(job, runs, places, conflict, blanks))


def _at(job: Job, place: SeamPlaces, boundary: int) -> str:
    return format_length(float(place.station[boundary]), job.units)


def _barred(run: Run, place: SeamPlaces, first: int, last: int) -> str:
    """Return why seams are barred from boundary `first` to `last`, in brackets; empty where none is."""
    span = last - first + 1 if last >= first else last - first + 1 + run.scallops
    reasons = sorted({place.why[(first + k) % len(place.why)] for k in range(span)} - {""})
    return f" ({', '.join(reasons)})" if reasons else ""


def _reason(job: Job, run: Run, place: SeamPlaces, track: Track, conflict: Conflict) -> str:
    """Say what cannot be crossed, or what cannot be split."""
    first, last = _widened(track, conflict.start, conflict.end)
    where = f"from station {_at(job, place, first)} to {_at(job, place, last)}"
    why = _barred(run, place, first, last)
    panels = f"panels of {track.smallest} to {track.largest} scallops"
    return {
        "stretch": f"run {run.name}: {panels} cannot cross the stretch {where}{why}",
        "start": f"run {run.name}: {panels} cannot reach past its start, the stretch {where}{why}",
        "end": f"run {run.name}: {panels} cannot reach its end across the stretch {where}{why}",
        "count": f"run {run.name}: no number of {panels} makes up {run.scallops} scallops",
        "short": f"run {run.name}: its {run.scallops} scallops are too few for {panels}",
        "whole": f"run {run.name}: {panels} cross every part of it, but not all parts together{why}",
    }[conflict.kind]


def _widened(track: Track, first: int, last: int) -> tuple[int, int]:
    """Return the whole barred stretch of a conflict: what the solver names may be one reach of it."""
    if track.allowed[first] or track.allowed[last]:
        return first, last
    size = len(track.allowed)
    for _ in range(size):
        before, after = first - 1, last + 1
        if track.closed:
            before, after = before % size, after % size
        if before >= 0 and not track.allowed[before] and before != last:
            first = before
        elif after < size and not track.allowed[after] and after != first:
            last = after
        else:
            break
    return first, last


def _remedies(
    job: Job, runs: Sequence[Run], places: Sequence[SeamPlaces], conflict: Conflict, blanks: Blanks
) -> Iterator[str]:
    """Yield each change that alone would do, the least of its kind."""
    if conflict.places is not None:
        yield "Allow " + " and ".join(
            _seams_at(job, runs[track], places[track], chosen)
            for track, chosen in zip(conflict.tracks, conflict.places, strict=True)
        )
    if conflict.largest is not None:
        panels = f"Allow panels of {conflict.largest} scallops"
        yield f"{panels}: {_sheet_for(job, blanks, conflict.largest)}, and a face.largest_panel to match"
    if conflict.smallest is not None:
        yield f"Allow panels of {conflict.smallest} scallops: face.smallest_panel = {conflict.smallest}"


def _sheet_for(job: Job, blanks: Blanks, scallops: int) -> str:
    """Say which sheet gives a panel of so many scallops, and which shear parts it."""
    blank = blanks.length(scallops, lapped=job.face.seam == "lap")
    lying = [sheet for sheet in job.sheets if sheet.scallops != "along"]
    trim = min(sheet.trim for sheet in lying) if lying else min(sheet.edge_trim for sheet in job.sheets)
    sheet = f"a sheet {at_least(blank + 2 * trim, job.units)} {'long' if lying else 'wide'}"
    if job.face.shear_length is not None and blank > job.face.shear_length:
        return f"{sheet}, a shear that cuts {at_least(blank, job.units)}"
    return sheet


def _seams_at(job: Job, run: Run, place: SeamPlaces, chosen: Sequence[int]) -> str:
    """Say which boundaries must be allowed, what bars each, and what radius would let the tight ones be."""
    stations = " and ".join(f"{_at(job, place, b)} ({place.why[b]})" for b in chosen)
    tight = [float(place.tightest[b]) for b in chosen if place.why[b] == "tight curve"]
    words = f"{'a seam' if len(chosen) == 1 else 'seams'} at station {stations} of run {run.name}"
    if tight:
        words += f"; seams.tight_radius of at most {at_most(min(tight), job.units)} lets the tight curve be"
    return words
