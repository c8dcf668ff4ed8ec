"""How many whole scallops go into each run, at what pitch, and how far each must give."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from layout.errors import NoPlan
from layout.face.safe_side import at_least, at_most
from layout.job.model import Job
from layout.metal.forms import build_profile
from layout.metal.profile import Profile
from layout.units import format_fine

STILL = 1e-7
"""mm: a take-up smaller than this is none"""


@dataclass(frozen=True)
class Span:
    """A stretch of back line that one run fills, before its scallops are counted."""

    outline: int
    """index of its outline"""
    name: str
    start: float
    """mm, station"""
    end: float
    """mm, station; past the line's length where it wraps"""
    turning: float
    """radians turned between its ends, left positive: a parallel at d is longer by d·turning"""
    closed: bool
    start_why: str = "end"
    end_why: str = "end"

    def length_at(self, height: float) -> float:
        """Return its length on the parallel `height` mm towards the viewer (Steiner)."""
        return self.end - self.start + height * self.turning


@dataclass(frozen=True)
class Fit:
    """One way to fill all spans with one scallop."""

    profile: Profile
    counts: tuple[int, ...]
    take_ups: tuple[float, ...]
    """mm a scallop, stretched positive"""
    last_parts: tuple[float | None, ...]
    """share left of the last scallop where it is cut"""


def count_height(job: Job, profile: Profile) -> float:
    """Return how far the count line stands off the back line, mm (DESIGN: neutral height + t/2)."""
    thickness = job.metal.thickness
    return {
        "neutral": profile.neutral_height + thickness / 2,
        "back": 0.0,
        "crest": profile.depth + thickness,
    }[job.scallop.count_on]


def fits(job: Job, spans: Sequence[Span]) -> list[Fit]:
    """Return every fit that the job allows, nearest the drawn pitch first.

    With one pitch there is one; with a pitch range one for each set of whole counts.

    Raises
    ------
    NoPlan
        Where none is within the take-up that the job allows, with what would do.
    """
    if job.scallop.pitch_range is None:
        fit = _fit_at(job, spans, job.scallop.pitch)
        _refuse_take_up(job, spans, fit)
        return [fit]
    found = _fits_in_range(job, spans, *job.scallop.pitch_range)
    if not found:
        raise _nothing_in_range(job, spans)
    drawn = job.scallop.pitch
    return sorted(found, key=lambda fit: (abs(fit.profile.pitch - drawn), fit.profile.pitch))


def _fit_at(job: Job, spans: Sequence[Span], pitch: float, counts: Sequence[int] | None = None) -> Fit:
    """Fill the spans with scallops of one pitch: the nearest whole counts, or the counts given."""
    profile = build_profile(job.scallop, job.metal.thickness, pitch)
    lengths = [span.length_at(count_height(job, profile)) for span in spans]
    ways: list[tuple[int, float, float | None]] = []
    for k, (span, length) in enumerate(zip(spans, lengths, strict=True)):
        if job.face.ends == "cut" and not span.closed:
            whole = max(1, math.ceil(length / pitch - 1e-9))
            ways.append((whole, 0.0, length / pitch - (whole - 1)))
            continue
        whole = counts[k] if counts is not None else max(1, round(length / pitch))
        ways.append((whole, length / whole - pitch, None))
    whole_counts, take_ups, parts = zip(*ways, strict=True)
    return Fit(profile, whole_counts, take_ups, parts)


def _within(job: Job, fit: Fit) -> bool:
    most = job.scallop.most_take_up * fit.profile.pitch
    return all(abs(e) <= most + STILL for e in fit.take_ups)


def _refuse_take_up(job: Job, spans: Sequence[Span], fit: Fit) -> None:
    """Raise NoPlan where a scallop would have to give more than the job allows."""
    if _within(job, fit):
        return
    pitch, most = fit.profile.pitch, job.scallop.most_take_up
    worst = max(range(len(spans)), key=lambda k: abs(fit.take_ups[k]))
    run, count, e = spans[worst], fit.counts[worst], fit.take_ups[worst]
    length = run.length_at(count_height(job, fit.profile))
    over = count * (abs(e) - most * pitch)
    verb = "stretched" if e > 0 else "crowded"
    shown = _shower(job)
    enough = at_least(over, job.units, fine=True)
    other = f"Or draw a pitch of {shown(length / count)} ({count} scallops)"
    raise NoPlan(
        f"{_named(run)} is {shown(length)} long at the count line: {count} scallops of {shown(pitch)} must "
        f"each be {verb} by {shown(abs(e))}, {abs(e) / pitch:.2%} of the pitch; "
        f"scallop.most_take_up allows {most:.2%}",
        [
            f"Make the wall {'shorter' if e > 0 else 'longer'} by at least {enough} at the count line",
            f"{other}, or give scallop.pitch_range if the die is not made yet",
            f"Or allow it: scallop.most_take_up = {math.ceil(abs(e) / pitch * 10000) / 10000:g}",
        ],
    )


def _fits_in_range(job: Job, spans: Sequence[Span], low: float, high: float) -> list[Fit]:
    """Return a fit for every set of whole counts that some pitch of the range rounds to."""
    own = _Pitches(job)
    marks = sorted({low, high, *itertools.chain.from_iterable(own.halves(span, low, high) for span in spans)})
    middles = [low] if low == high else [(a + b) / 2 for a, b in itertools.pairwise(marks)]
    found: dict[tuple[int, ...], Fit] = {}
    drawn = _fit_at(job, spans, job.scallop.pitch)
    if not any(drawn.take_ups) and None not in drawn.last_parts:
        found[drawn.counts] = drawn  # every run is cut at its end, so the drawn pitch does as it is
    for middle in middles:
        counts = _fit_at(job, spans, middle).counts
        if counts in found:
            continue
        exact = [own.pitch_for(span, n, low, high) for span, n in zip(spans, counts, strict=True)]
        pitch = min(max((min(exact) + max(exact)) / 2, low), high)
        fit = _fit_at(job, spans, pitch, counts)
        alone = len(spans) == 1
        if all(abs(e) <= STILL for e in fit.take_ups) if alone else _within(job, fit):
            found.setdefault(fit.counts, fit)
    return list(found.values())


class _Pitches:
    """Pitches at which a span holds a given number of scallops; the count line moves with the pitch."""

    def __init__(self, job: Job) -> None:
        self._job = job

    def length(self, span: Span, pitch: float) -> float:
        """Return the span's length at the count line of a scallop of this pitch, mm."""
        profile = build_profile(self._job.scallop, self._job.metal.thickness, pitch)
        return span.length_at(count_height(self._job, profile))

    def pitch_of(self, span: Span, count: int, near: float) -> tuple[float, int]:
        """Return the pitch near `near` at which `count` scallops fill the span, and the count."""
        root = self._root(span, count, near / 2, near * 2)
        return (root if root is not None else self.length(span, near) / count), count

    def _root(self, span: Span, number: float, low: float, high: float) -> float | None:
        """Return the pitch in [low, high] that `number` scallops fill the span at, if there is one."""
        from scipy.optimize import brentq  # noqa: PLC0415 - a quarter second that only pitch ranges need

        def left(pitch: float) -> float:
            return self.length(span, pitch) - number * pitch

        if low == high or left(low) * left(high) > 0:
            return None
        return float(brentq(left, low, high, xtol=1e-12, rtol=8.9e-16))

    def halves(self, span: Span, low: float, high: float) -> list[float]:
        """Return the pitches of the range at which the nearest whole count changes."""
        fewest = math.floor(self.length(span, high) / high)
        most = math.ceil(self.length(span, low) / low)
        roots = (self._root(span, n + 0.5, low, high) for n in range(max(fewest, 0), most + 1))
        return [root for root in roots if root is not None]

    def pitch_for(self, span: Span, count: int, low: float, high: float) -> float:
        """Return the pitch at which `count` scallops fill the span, or the end of the range nearest to it."""
        root = self._root(span, count, low, high)
        if root is not None:
            return root
        return min((low, high), key=lambda pitch: abs(self.length(span, pitch) - count * pitch))


def _nothing_in_range(job: Job, spans: Sequence[Span]) -> NoPlan:
    """Say which pitches nearest the range would do."""
    low, high = job.scallop.pitch_range or (job.scallop.pitch, job.scallop.pitch)
    shown = _shower(job)
    if len(spans) > 1:
        return NoPlan(
            f"no pitch from {shown(low)} to {shown(high)} lets whole scallops fill every run within "
            f"scallop.most_take_up ({job.scallop.most_take_up:.1%} of the pitch)",
            ["Widen scallop.pitch_range, allow more take-up, or move a run's end"],
        )
    own, span = _Pitches(job), spans[0]
    below = own.pitch_of(span, math.floor(own.length(span, low) / low) + 1, low)
    above = own.pitch_of(span, max(1, math.ceil(own.length(span, high) / high) - 1), high)
    fewer, more = at_most(below[0], job.units, fine=True), at_least(above[0], job.units, fine=True)
    return NoPlan(
        f"no whole number of scallops fills {_named(span)} ({shown(own.length(span, low))} at the count "
        f"line) with a pitch from {shown(low)} to {shown(high)}",
        [f"Widen scallop.pitch_range down to {fewer} ({below[1]} scallops) or up to {more} ({above[1]} scallops)"],
    )


def _shower(job: Job) -> Callable[[float], str]:
    return lambda mm: format_fine(mm, job.units)


def _named(span: Span) -> str:
    return f"run {span.name}" if span.name else ("the loop" if span.closed else "the run")
