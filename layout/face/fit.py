"""How many whole scallops go into each run, at what pitch, and how far each must give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from layout.face.fit_refused import nothing_in_range, too_much_take_up
from layout.face.pitches import Pitches
from layout.face.spans import STILL, Span, count_height
from layout.job.model import Job
from layout.metal.forms import build_profile
from layout.metal.profile import Profile

__all__ = ["STILL", "Fit", "Span", "count_height", "fits"]


@dataclass(frozen=True)
class Fit:
    """One way to fill all spans with one scallop."""

    profile: Profile
    counts: tuple[int, ...]
    take_ups: tuple[float, ...]
    """mm a scallop, stretched positive"""
    last_parts: tuple[float | None, ...]
    """share left of the scallop that is cut, at the end that the span says"""


def fits(job: Job, spans: Sequence[Span]) -> list[Fit]:
    """Return every fit that the job allows, nearest the drawn pitch first.

    With one pitch there is one; with a pitch range one for each set of whole counts.

    Raises
    ------
    NoPlan
        Where none is within the take-up that the job allows, with what would do.
    """
    found = found_fits(job, spans)
    if found:
        return found
    if job.scallop.pitch_range is None:
        fit = _fit_at(job, spans, job.scallop.pitch)
        raise too_much_take_up(job, spans, fit.profile, fit.counts, fit.take_ups)
    raise nothing_in_range(job, spans)


def found_fits(job: Job, spans: Sequence[Span]) -> list[Fit]:
    """Return every fit that the job allows, nearest the drawn pitch first; none where it allows none."""
    drawn = job.scallop.pitch
    if job.scallop.pitch_range is None:
        fit = _fit_at(job, spans, drawn)
        return [fit] if _within(job, fit) else []
    found = _fits_in_range(job, spans, *job.scallop.pitch_range)
    return sorted(found, key=lambda fit: (abs(fit.profile.pitch - drawn), fit.profile.pitch))


def _giving(spans: Sequence[Span]) -> list[Span]:
    """Return the spans whose scallops must give: all but those that are cut at an end."""
    return [span for span in spans if span.gives]


def _fit_at(job: Job, spans: Sequence[Span], pitch: float, counts: Sequence[int] | None = None) -> Fit:
    """Fill the spans with scallops of one pitch: the nearest whole counts, or those given to spans that give."""
    profile = build_profile(job.scallop, job.metal.thickness, pitch)
    given = iter(counts or ())
    ways: list[tuple[int, float, float | None]] = []
    for span in spans:
        length = span.length_at(count_height(job, profile))
        if not span.gives:
            whole = max(1, math.ceil(length / pitch - 1e-9))
            ways.append((whole, 0.0, length / pitch - (whole - 1)))
            continue
        whole = next(given, None) or max(1, round(length / pitch))
        ways.append((whole, length / whole - pitch, None))
    whole_counts, take_ups, parts = zip(*ways, strict=True)
    return Fit(profile, whole_counts, take_ups, parts)


def _within(job: Job, fit: Fit) -> bool:
    most = job.scallop.most_take_up * fit.profile.pitch
    return all(abs(e) <= most + STILL for e in fit.take_ups)


def _fits_in_range(job: Job, spans: Sequence[Span], low: float, high: float) -> list[Fit]:
    """Return a fit for each set of whole counts that give least at some pitch of the range.

    A lone run that gives takes a pitch without take-up; several share the one at which the worst gives least.
    """
    giving = _giving(spans)
    found = []
    if not giving:
        # All are cut at their end, so any pitch does: the drawn one, or one that leaves a last scallop whole.
        found = [_fit_at(job, spans, job.scallop.pitch)]
        ways = [_fit_at(job, spans, way.pitch) for way in Pitches(job, spans).together(low, high)]
        return found + [fit for k, fit in enumerate(ways) if fit.counts not in {w.counts for w in found + ways[:k]}]
    for way in Pitches(job, giving).together(low, high):
        fit = _fit_at(job, spans, way.pitch, way.counts)
        if all(abs(e) <= STILL for e in fit.take_ups) if len(giving) == 1 else _within(job, fit):
            found.append(fit)
    return found
