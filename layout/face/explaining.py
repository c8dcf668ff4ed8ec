"""Why seams cannot be placed, in words of the trade: the stretch, and the least change that would do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layout.errors import NoPlan
from layout.face.blanks import Blanks
from layout.face.costs import SeamPlaces
from layout.face.drafting import Draft
from layout.face.limits import short_limits
from layout.face.plan import Run
from layout.face.safe_side import at_least, at_most
from layout.face.stretch_words import Barred, barred_words
from layout.job.model import Job
from layout.units import format_length
from solver.problems import Track
from solver.why_not import Conflict, explain


def no_seams(job: Job, draft: Draft) -> NoPlan:
    """Return why a draft's runs cannot be split into panels, and each change that alone would do.

    Raises
    ------
    ValueError
        Where they can be split.
    """
    conflict = explain(draft.tracks)
    if conflict is None:
        raise ValueError("these runs can be split")
    return NoPlan(_reason(job, draft, conflict), _remedies(job, draft.runs, draft.places, conflict, draft.blanks))


def _at(job: Job, place: SeamPlaces, boundary: int) -> str:
    return format_length(float(place.station[boundary]), job.units)


def _barred(draft: Draft, index: int, first: int, last: int) -> Barred:
    """Return the boundaries of a run from one to another, round a loop where the last comes first."""
    run, place = draft.runs[index], draft.places[index]
    span = last - first + 1 if last >= first else last - first + 1 + run.scallops
    boundaries = tuple((first + k) % len(place.why) for k in range(span))
    return Barred(draft.lines[run.outline], place, boundaries)


def _reason(job: Job, draft: Draft, conflict: Conflict) -> str:
    """Say what cannot be crossed, or what cannot be split."""
    run, track = draft.runs[conflict.track], draft.tracks[conflict.track]
    barred = _barred(draft, conflict.track, *_widened(track, conflict.start, conflict.end))
    where = barred_words(job, barred, draft.free)
    panels = f"panels of {track.smallest} to {track.largest} scallops"
    whys = sorted({barred.place.why[k] for k in barred.boundaries} - {""})
    why = f" ({', '.join(whys)})" if whys else ""
    return {
        "stretch": f"run {run.name}: {panels} cannot cross {where}",
        "start": f"run {run.name}: {panels} cannot reach past its start, {where}",
        "end": f"run {run.name}: {panels} cannot reach its end across {where}",
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
        needs = [_sheet_for(job, blanks, conflict.largest), *_limits_for(job, conflict.largest)]
        yield f"Allow panels of {conflict.largest} scallops: {', and '.join(needs)}"
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


def _limits_for(job: Job, scallops: int) -> list[str]:
    """Say which limits of a panel must be wider for so many scallops, its lap among them, and how wide."""
    overall = (scallops + (job.face.seam == "lap")) * job.scallop.pitch
    needed = at_least(overall, job.units)
    found = [f"{name} of at least {needed}" for name in short_limits(job, overall)]
    most = job.face.largest_scallops
    return [*found, f"face.largest_panel = {scallops}"] if most is not None and most < scallops else found


def _seams_at(job: Job, run: Run, place: SeamPlaces, chosen: Sequence[int]) -> str:
    """Say which boundaries must be allowed, what bars each, and what radius would let the tight ones be."""
    stations = " and ".join(f"{_at(job, place, b)} ({place.why[b]})" for b in chosen)
    tight = [float(place.tightest[b]) for b in chosen if place.why[b] == "tight curve"]
    words = f"{'a seam' if len(chosen) == 1 else 'seams'} at station {stations} of run {run.name}"
    if tight:
        words += f"; seams.tight_radius of at most {at_most(min(tight), job.units)} lets the tight curve be"
    return words
