"""Holes in the face: where they lie on the blanks in the flat, and what they keep seams off.

A hole is given on the wall, its sides on the normals of two back-line stations. Through the count line
each side falls at a share of one scallop, and along that scallop's pieces at a developed length.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipeinc

from layout.errors import Fault
from layout.face.plan import Hole, Lines, Panel, Run
from layout.job.model import Avoid, Cutout, Job
from layout.metal.pieces import Arc, Piece, Sine, Straight
from layout.metal.profile import Profile
from layout.outline.tolerances import SAME_STATION
from layout.units import format_length

Floats = NDArray[np.float64]

UPRIGHT: Final = 1e-9
"""radians past π/2 by which a flank may seem to overhang from rounding alone"""


def along_profile(profile: Profile, x: float) -> float:
    """Return the developed length from a scallop's left valley to the metal `x` mm along the wall.

    Parameters
    ----------
    profile
        The scallop as formed.
    x
        mm, 0 to the pitch.

    Raises
    ------
    ValueError
        Off the scallop, or where its flanks overhang: a line off the wall then meets the metal thrice.

    Examples
    --------
    >>> from layout.job.model import ScallopSpec
    >>> from layout.metal.forms import build_profile
    >>> half_round = build_profile(ScallopSpec("arc", pitch=100.0, depth=50.0), thickness=1.0)
    >>> round(along_profile(half_round, 50.0) / (50 * math.pi / 2), 12)
    1.0
    """
    if not -SAME_STATION <= x <= profile.pitch + SAME_STATION:
        raise ValueError(f"a scallop runs from 0 to {profile.pitch}, and {x} is off it")
    if profile.steepest > math.pi / 2 + UPRIGHT:
        raise ValueError("flanks overhang: a place on the wall is no one place on the metal")
    walked = math.fsum(_walked(piece, x) for piece in profile.pieces)
    # Where the developed length was measured, the metal between two valleys is that, evenly.
    return walked * profile.developed / math.fsum(piece.length for piece in profile.pieces)


def _walked(piece: Piece, x: float) -> float:
    """Return how much of a piece lies left of `x`, in developed length, mm."""
    if isinstance(piece, Straight):
        return piece.length * _share(x - piece.x0, piece.x1 - piece.x0)
    if isinstance(piece, Arc):
        turned = math.asin(min(max((x - piece.x) / piece.radius, -1.0), 1.0))
        return piece.radius * (min(max(turned, piece.start), piece.end) - piece.start)
    if isinstance(piece, Sine):
        # dx √(1 + k² sin² u), u = 2πx/p: the elliptic integral of the second kind, m = −k² (DLMF §19.2(ii)).
        u = math.tau * _share(x, piece.pitch)
        k = math.pi * piece.depth / piece.pitch
        return piece.pitch / math.tau * float(ellipeinc(u, -(k**2)))
    raise TypeError(f"no way is known along a {type(piece).__name__}")


def _share(part: float, whole: float) -> float:
    """Return part/whole within [0, 1]; an upright straight is all on the left of its own x or past it."""
    if whole <= 0:
        return float(part > 0)
    return min(max(part / whole, 0.0), 1.0)


def flat_place(profile: Profile, scallops: float) -> float:
    """Return the developed length of so many scallops, the last one in part, mm."""
    whole = math.floor(scallops)
    return whole * profile.developed + along_profile(profile, (scallops - whole) * profile.pitch)


def scallops_to(lines: Lines, run: Run, station: float) -> float:
    """Return how many scallops lie between a run's start and a station of the back line, in parts."""
    count = lines.back.carry([run.start, station], lines.count)
    return float(count[1] - count[0]) / run.pitch


def run_of(lines: Lines, runs: Sequence[Run], cutout: Cutout) -> tuple[Run, float] | None:
    """Return the run that a cut-out lies on, and the station of its left side, at or after the run's start.

    None where it lies on none, or across an end of one.

    Parameters
    ----------
    runs
        Those of its outline.
    """
    left = cutout.at - cutout.width / 2
    for run in runs:
        gone = left - run.start
        if lines.closed:
            gone = (gone + SAME_STATION) % lines.back.length - SAME_STATION
        room = run.end - run.start
        if run.closed or (gone >= -SAME_STATION and gone + cutout.width <= room + SAME_STATION):
            return run, run.start + min(max(gone, 0.0), room)
    return None


def holes_of(
    job: Job, lines: Sequence[Lines], runs: Sequence[Run], panels: Sequence[Panel], profile: Profile
) -> tuple[Hole, ...]:
    """Return every cut-out on every blank whose metal it goes through, cut-out by cut-out.

    Where seams keep their clearance of a pitch that is one panel each; closer, a lap's scallop may need
    the hole as well.

    Parameters
    ----------
    job, lines, runs
        Checked by `cutout_faults`.
    panels
        Of all runs.
    profile
        The scallop as formed.
    """
    found: list[Hole] = []
    for cutout in job.cutouts:
        outline = outline_of(job, cutout)
        place = run_of(lines[outline], [run for run in runs if run.outline == outline], cutout)
        if place is None:
            continue
        run, left = place
        sides = [scallops_to(lines[outline], run, station) for station in (left, left + cutout.width)]
        for panel in panels:
            if panel.run == run.number:
                found += _holes_on(job, run, panel, cutout, (sides[0], sides[1], profile))
    return tuple(found)


def _holes_on(job: Job, run: Run, panel: Panel, cutout: Cutout, place: tuple[float, float, Profile]) -> Iterator[Hole]:
    """Yield a cut-out on one panel; on a loop it may lie a whole lap before or past the panel's start."""
    left, right, profile = place
    metal = panel.scallops + panel.lapped
    for lap in (-run.scallops, 0, run.scallops) if run.closed else (0,):
        a, b = left - panel.first_scallop + lap, right - panel.first_scallop + lap
        first, last = max(a, 0.0), min(b, float(metal))
        if last - first <= SAME_STATION / profile.pitch:
            continue
        begin, end = flat_place(profile, first), flat_place(profile, last)
        yield Hole(
            name=cutout.name,
            panel=panel.number,
            left=job.face.form_trim + begin,
            bottom=job.face.scribe + job.face.bottom_return + cutout.up,
            width=end - begin,
            height=cutout.height,
            whole=first == a and last == b,
        )


def cutout_stretches(job: Job, pitch: float, lengths: Sequence[float], closed: Sequence[bool]) -> list[Avoid]:
    """Return the stretches that cut-outs keep seams off: their width and the clearance on either side.

    The clearance is one pitch where the job gives none (assumed): a lap's second layer, which reaches one
    scallop past its seam, then stays clear of the hole too.

    Parameters
    ----------
    pitch
        mm, as hung; the longest of the runs.
    lengths, closed
        Of every outline's back line, mm, and whether it is a loop.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from layout.job.model import FaceSpec, MetalSpec, OutlineSpec, ScallopSpec
    >>> job = Job("Bar", "mm", (OutlineSpec("", "circle"),), ScallopSpec("arc", 70.0, 16.0),
    ...           MetalSpec("steel", 0.6), FaceSpec(900.0), (), cutouts=(Cutout("socket", 30.0, 300.0, 80.0, 80.0),))
    >>> [(a.start, a.end, a.why) for a in cutout_stretches(job, 70.0, [5000.0], [True])]
    [(4920.0, 140.0, 'socket')]
    """
    found = []
    for cutout in job.cutouts:
        k = outline_of(job, cutout)
        reach = cutout.width / 2 + (pitch if cutout.clearance is None else cutout.clearance)
        start, end = cutout.at - reach, cutout.at + reach
        if closed[k] and end - start < lengths[k]:
            start, end = start % lengths[k], end % lengths[k]
        found.append(Avoid(max(start, 0.0), min(end, lengths[k]), cutout.name, job.outlines[k].name))
    return found


def outline_of(job: Job, cutout: Cutout) -> int:
    """Return the index of a cut-out's outline: the one it names, or else the first."""
    names = [spec.name for spec in job.outlines]
    return names.index(cutout.outline) if cutout.outline in names else 0


def cutout_faults(job: Job, lines: Sequence[Lines], runs: Sequence[Run], profile: Profile) -> list[Fault]:
    """Return the faults of cut-outs: off the face or higher than it, across an end of a run, no one place."""
    found: list[Fault] = []
    for k, cutout in enumerate(job.cutouts, start=1):
        outline = outline_of(job, cutout)
        own = [run for run in runs if run.outline == outline]
        found += _place_faults(job, lines[outline], own, cutout, k)
    if job.cutouts and profile.steepest > math.pi / 2 + UPRIGHT:
        rule = "flanks must not overhang where the face has cut-outs: a place on the wall is no one place on the metal"
        found.append(Fault("scallop", job.scallop.form, rule, "Draw a shallower scallop, or cut the holes on site"))
    return found


def _place_faults(job: Job, lines: Lines, runs: Sequence[Run], cutout: Cutout, number: int) -> Iterator[Fault]:
    """Yield the faults of one cut-out's place."""
    key, shown = f"cutout[{number}]", partial(format_length, units=job.units)
    length = lines.back.length
    if not 0 <= cutout.at <= length + SAME_STATION:
        rule = f"the back line ends at station {shown(length)}"
        yield Fault(f"{key}.at", shown(cutout.at), rule, "Give a station on the line")
        return
    if lines.closed and cutout.width >= length:
        yield Fault(f"{key}.width", shown(cutout.width), "a cut-out is shorter than its loop", "Give it less width")
        return
    place = run_of(lines, runs, cutout)
    if place is None:
        ends = f"{shown(cutout.at - cutout.width / 2)} to {shown(cutout.at + cutout.width / 2)}"
        rule = f"a cut-out lies within one run of the face, and this one reaches from station {ends}"
        yield Fault(f"{key}.at", shown(cutout.at), rule, "Move it off the ends of runs and out of openings")
        return
    more = job.face.top_return + job.face.bottom_return + job.face.scribe
    height = place[0].height - more
    if cutout.up + cutout.height > height + SAME_STATION:
        rule = f"its top, {shown(cutout.up + cutout.height)} up, must not be above the face, {shown(height)} high there"
        yield Fault(f"{key}.height", shown(cutout.height), rule, "Give a lower or smaller cut-out")
