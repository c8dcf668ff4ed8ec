"""Where seams may fall and what each would cost: the one place that turns lift into integers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.face.plan import Lines, Run, Stretch
from layout.face.sight import Sights, hand_of, priced
from layout.job.model import Avoid, Job
from layout.metal.flex import edge_lift

Floats = NDArray[np.float64]

SAME_STATION = 1e-6
"""mm: stations closer than this are one place"""

TIGHT = 1e-9
"""share by which a curve may seem too tight from rounding alone"""


@dataclass(frozen=True, eq=False)
class SeamPlaces:
    """What is known of every boundary of one run; arrays have shape (scallops + 1,)."""

    station: Floats
    """mm on the back line: where a seam at this boundary shows"""
    radius: Floats
    """mm at the boundary itself, signed, convex positive; inf on a straight"""
    lift: Floats
    """mm"""
    cost: NDArray[np.int64]
    """µm of lift; with viewpoints how much a seam is seen before that (`sight.priced`)"""
    allowed: NDArray[np.bool_]
    tightest: Floats
    """mm, the tightest convex radius within one pitch of where a seam shows; inf where there is none"""
    why: tuple[str, ...]
    """why no seam may fall here; empty where it may"""
    sights: Sights | None = None
    """what viewpoints see of every boundary; None where there are none"""


@dataclass(frozen=True, eq=False)
class Site:
    """What the site asks of a run's seams beside its own lines."""

    free: Sequence[Avoid] = ()
    """stretches of all outlines that no seam may fall in"""
    sights: Sights | None = None
    """what viewpoints see of the run; None where there are none"""
    seams: int = 1
    """that all runs together may have at most"""


def seam_places(job: Job, lines: Lines, run: Run, site: Site) -> SeamPlaces:
    """Judge every boundary of a run where its seam would show.

    A lap tucked over its right-hand neighbour shows one scallop further right, and is judged there.
    """
    shift = int(job.face.seam == "lap" and job.face.lap_goes == "over")
    shown = np.append(run.stations[shift:], run.stations[1 : 1 + shift] + lines.back.length)
    if not run.closed:
        shown = np.minimum(shown, run.stations[-1])
    least, most = lines.back.extreme_curvature(shown, shown)
    lift = _worst_lift(job, run, least, most)
    tightest = _tightest_near(lines, shown, run.pitch)
    why = _reasons(job, lines, run, (shown, tightest), site.free)
    return SeamPlaces(
        station=np.mod(shown, lines.back.length) if lines.closed else shown,
        radius=_radii(lines, run.stations),
        lift=lift,
        cost=_costs(job, lift, site),
        allowed=np.array([not reason for reason in why]),
        tightest=tightest,
        why=why,
        sights=site.sights,
    )


def _costs(job: Job, lift: Floats, site: Site) -> NDArray[np.int64]:
    """Return what a seam at each boundary costs: µm of lift, and before that how much it is seen."""
    if site.sights is None:
        return np.rint(lift * 1000).astype(np.int64)
    return priced(lift, site.sights.scores(hand_of(job)), site.seams)


def _radii(lines: Lines, stations: Floats) -> Floats:
    """Return the signed radius at each station, the tighter side of a joint."""
    ends = np.clip(stations, 0.0, None if lines.closed else lines.back.length)
    least, most = lines.back.extreme_curvature(ends, ends)
    curvature = np.where(np.abs(most) >= np.abs(least), most, least)
    with np.errstate(divide="ignore"):
        return np.asarray(np.where(curvature == 0, np.inf, 1 / curvature), dtype=np.float64)


def _worst_lift(job: Job, run: Run, least: Floats, most: Floats) -> Floats:
    """Return the greater lift of both sides of each place (a joint of straight and arc has two)."""
    spacing = job.fixing.every * run.pitch
    either = [edge_lift(curvature, job.fixing.edge, spacing) for curvature in (least, most)]
    return np.asarray(np.maximum(*either), dtype=np.float64)


def _reasons(job: Job, lines: Lines, run: Run, places: tuple[Floats, Floats], free: Sequence[Avoid]) -> tuple[str, ...]:
    """Say for each place, given as where it shows and what is tightest near it, why no seam may fall there."""
    shown, tightest = places
    why = np.full(shown.shape, "", dtype=object)
    if job.seams.tight_radius is not None:
        why[job.seams.tight_radius > tightest * (1 + TIGHT)] = "tight curve"
    for avoid in free:
        if avoid.outline in ("", lines.name):
            why[inside(avoid, shown, lines)] = avoid.why
    if not run.closed:
        past = (run.stations <= run.start + SAME_STATION) | (run.stations >= run.end - SAME_STATION)
        why[past] = "past the corner"
        why[[0, -1]] = ""
    return tuple(str(reason) for reason in why)


def _tightest_near(lines: Lines, shown: Floats, pitch: float) -> Floats:
    """Return the tightest radius that the back line bends to, towards the viewer, within one pitch."""
    first, last = shown - pitch, shown + pitch
    if not lines.closed:
        first, last = np.maximum(first, 0.0), np.minimum(last, lines.back.length)
    _, most = lines.back.extreme_curvature(first, last)
    with np.errstate(divide="ignore"):
        return np.asarray(np.where(most > 0, 1 / most, np.inf), dtype=np.float64)


def inside(avoid: Avoid, shown: Floats, lines: Lines) -> NDArray[np.bool_]:
    """Tell which places lie in a seam-free stretch, its ends included."""
    if not lines.closed:
        return np.asarray((shown >= avoid.start - SAME_STATION) & (shown <= avoid.end + SAME_STATION))
    length = lines.back.length
    if avoid.end - avoid.start >= length - SAME_STATION:
        return np.full(shown.shape, True)
    span = avoid.end - avoid.start + (0.0 if avoid.end >= avoid.start else length)
    offset = np.mod(shown - avoid.start + SAME_STATION, length)
    return np.asarray(offset <= span + 2 * SAME_STATION)


def asked_stretches(free: Sequence[Avoid], outline: int, lines: Lines) -> list[Stretch]:
    """Return the seam-free stretches that a job asks for, and those of its cut-outs, on an outline."""
    return [Stretch(outline, avoid.start, avoid.end, avoid.why) for avoid in free if avoid.outline in ("", lines.name)]


def tight_stretches(lines: Lines, run: Run, places: SeamPlaces) -> list[Stretch]:
    """Return the stretches of a run that are too tight for seams."""
    tight = np.array([why == "tight curve" for why in places.why[: run.scallops]])
    ends = _groups(run, lines, places, tight)
    return [Stretch(run.outline, float(start), float(end), "tight curve") for start, end in ends]


def _groups(run: Run, lines: Lines, places: SeamPlaces, marked: NDArray[np.bool_]) -> list[tuple[float, float]]:
    """Return the stretches that neighbouring marked boundaries make, half a scallop past the outermost."""
    if not marked.any():
        return []
    half = run.pitch / 2
    indices = np.flatnonzero(marked)
    pieces = np.split(indices, np.flatnonzero(np.diff(indices) > 1) + 1)
    if run.closed and len(pieces) > 1 and pieces[0][0] == 0 and pieces[-1][-1] == len(marked) - 1:
        pieces = [*pieces[1:-1], np.concatenate([pieces[-1], pieces[0]])]
    ends = [(places.station[p[0]] - half, places.station[p[-1]] + half) for p in pieces]
    if lines.closed:
        return [(a % lines.back.length, b % lines.back.length) for a, b in ends]
    return [(max(a, 0.0), min(b, lines.back.length)) for a, b in ends]
