"""The face in plan on paper: its line by tightness, seam ticks, seam-free hatches, datum and direction."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from layout.face.plan import Lines as PlanLines
from layout.face.plan import Plan, Seam
from layout.outline.chain import Chain
from layout.outline.tolerances import SAME_STATION
from layout.paper.ink import BLACK, END_TICK, HATCH, MATCH_LINE, SEAM_TICK
from layout.paper.map_view import Marked, Window
from layout.paper.primitives import XY, Area, Lines, Points, Primitive, Style, hatch
from layout.units import format_length

Floats = NDArray[np.float64]

TICK: Final = (-1.8, 2.8)
"""mm on paper: a seam's tick from the wall side (negative) to the viewer's"""
END_REACH: Final = (0.0, 2.8)
"""mm on paper: the tick of a run's end, which does not go through the face"""
_LEAN: Final = math.radians(35.0)
"""that the tick of an end leans to its own run where two walls meet in a corner (by eye)"""
ONE_WAY: Final = 0.1
"""radians between headings at which two seams at one place face the same way (assumed)"""
HATCH_BAND: Final = (-2.6, -0.9)
"""mm on paper: where seam-free stretches are hatched, on the wall side"""
MATCH: Final = (-9.0, -2.4)
"""mm on paper: a match line, on the wall side alone, clear of the seam's number"""
_ARROW_AT: Final = (-5.0, -8.0, -11.0, -15.0, 8.0, 11.0, 15.0)
"""mm on paper: where the direction arrow may run, the wall side negative"""
ARROW_LENGTH: Final = 22.0
"""mm on paper"""
SMOOTHNESS: Final = 0.02
"""mm on paper that a drawn chord may leave the line"""
_BAND_RADII: Final = {"in": (609.6, 1524.0, 4572.0), "mm": (600.0, 1500.0, 4500.0)}
"""mm: 2, 5 and 15 ft, or 0.6, 1.5 and 4.5 m; bands of tightness for the eye (assumed)"""
_BAND_WEIGHTS: Final = (3.4, 2.2, 1.3, 0.6)
"""pt, tightest first"""


@dataclass(frozen=True)
class Placing:
    """From plan mm to paper mm."""

    ratio: float
    """plan mm a paper mm"""
    dx: float
    """paper mm of plan x = 0"""
    dy: float

    def on_paper(self, points: Floats) -> Points:
        """Bring plan points, shape (n, 2), to paper."""
        return tuple((float(x) / self.ratio + self.dx, float(y) / self.ratio + self.dy) for x, y in points)

    def beside(self, line: Chain, stations: Floats, away: float) -> Points:
        """Return points beside a line, `away` paper mm towards the viewer (who is on the right of travel)."""
        heading = line.heading(stations)
        normal = np.column_stack([np.sin(heading), -np.cos(heading)])
        return self.on_paper(line.point(stations) + normal * away * self.ratio)


@dataclass(frozen=True)
class Band:
    """One band of tightness."""

    above: float
    """mm, radius"""
    below: float
    style: Style
    words: str


def bands(units: str) -> tuple[Band, ...]:
    """Return the bands of tightness, tightest first.

    Examples
    --------
    >>> [band.words for band in bands("in")]
    ['radius under 2 ft', '2 ft to 5 ft', '5 ft to 15 ft', 'over 15 ft, or straight']
    """
    limits = (0.0, *_BAND_RADII[units], math.inf)
    words = [format_length(limit, units) for limit in limits[1:-1]]
    names = (
        f"radius under {words[0]}",
        f"{words[0]} to {words[1]}",
        f"{words[1]} to {words[2]}",
        f"over {words[2]}, or straight",
    )
    return tuple(
        Band(low, high, Style(BLACK, weight), name)
        for low, high, weight, name in zip(limits[:-1], limits[1:], _BAND_WEIGHTS, names, strict=True)
    )


_BARE = -1
"""instead of a band: no face there"""


def face_by_tightness(
    window: Window, placing: Placing, units: str, faced: Sequence[tuple[float, float]]
) -> list[tuple[int, Points]]:
    """Cut the back line into stretches of one band each: (index into `bands`, points on paper).

    Only what has a face is among them: stations from … to, past the length of a loop where it goes on past the datum.
    """
    back = window.lines.back
    laps = (-back.length, 0.0, back.length) if back.closed else (0.0,)
    runs = [(start + lap, end + lap) for start, end in faced for lap in laps]
    mesh = window.stations(SMOOTHNESS * placing.ratio)
    ends = [at for run in runs for at in run if mesh[0] < at < mesh[-1]]
    mesh = np.unique(np.concatenate([mesh, ends]))
    bend = np.abs(back.curvature((mesh[:-1] + mesh[1:]) / 2))
    limits = np.array(_BAND_RADII[units])
    band = np.searchsorted(limits, 1 / np.maximum(bend, 1e-12), side="right")
    middles = (mesh[:-1] + mesh[1:]) / 2
    band[~np.any([(start < middles) & (middles < end) for start, end in runs], axis=0)] = _BARE
    points = placing.on_paper(back.point(mesh))
    edges = [0, *(np.flatnonzero(np.diff(band)) + 1).tolist(), len(band)]
    return [(int(band[a]), points[a : b + 1]) for a, b in pairwise(edges) if band[a] != _BARE]


def outward_of(plan: Plan, seam: Seam) -> XY:
    """Return the unit vector off the face at a seam; at a sharp corner leaning to the seam's own run.

    Square off one wall it would lie along the other one there.
    """
    lean = 0.0
    if seam.end and any(_corners_with(seam, other) for other in plan.seams):
        lean = _LEAN if seam.boundary == 0 else -_LEAN
    return math.sin(seam.heading + lean), -math.cos(seam.heading + lean)


def _corners_with(seam: Seam, other: Seam) -> bool:
    """Tell whether two ends of runs meet at one place, and face different ways."""
    near = (
        other.end and other.outline == seam.outline and math.dist((other.x, other.y), (seam.x, seam.y)) < SAME_STATION
    )
    return near and abs(math.remainder(other.heading - seam.heading, math.tau)) > ONE_WAY


def tick_ends(plan: Plan, seam: Seam, placing: Placing) -> tuple[XY, XY]:
    """Return a seam's tick across the face, from the wall side to the viewer's; an end's begins at the face."""
    normal = outward_of(plan, seam)
    x, y = placing.on_paper(np.array([[seam.x, seam.y]]))[0]
    near, far = END_REACH if seam.end else TICK
    return (x + normal[0] * near, y + normal[1] * near), (x + normal[0] * far, y + normal[1] * far)


def draw_ticks(plan: Plan, seams: Iterable[Seam], placing: Placing) -> Iterator[Lines]:
    """Draw every seam across the face; ends of runs are thinner, and on the viewer's side alone."""
    for seam in seams:
        style, kind = (END_TICK, "run-end") if seam.end else (SEAM_TICK, "seam")
        yield Lines((tick_ends(plan, seam, placing),), style, kind, f"tick-{seam.number}")


def draw_stretch(marked: Marked, placing: Placing) -> tuple[list[Primitive], list[Points]]:
    """Hatch a seam-free stretch along the wall side; also return its long edges, which labels keep off."""
    back = marked.lines.back
    count = max(3, math.ceil((marked.end - marked.start) / placing.ratio / 1.5))
    stations = np.linspace(marked.start, marked.end, count)
    outer = placing.beside(back, stations, HATCH_BAND[0])
    inner = placing.beside(back, stations, HATCH_BAND[1])
    ring = (*outer, *reversed(inner))
    return [hatch(ring, 0.75, 45.0, HATCH, kind="seam-free"), Area(ring, HATCH, "seam-free")], [outer, inner]


def stretch_middle(marked: Marked, placing: Placing) -> tuple[XY, XY]:
    """Return the middle of a stretch on its hatch's outer edge, and the unit vector to the wall side."""
    return hatch_edge(marked, (marked.start + marked.end) / 2, placing)


def hatch_edge(marked: Marked, station: float, placing: Placing) -> tuple[XY, XY]:
    """Return a station on a stretch's hatch's outer edge, and the unit vector to the wall side."""
    back = marked.lines.back
    heading = float(back.heading(station))
    at = placing.beside(back, np.array([station]), HATCH_BAND[0])[0]
    return at, (-math.sin(heading), math.cos(heading))


def match_line(window: Window, station: float, placing: Placing) -> Lines:
    """Draw the line at which a part of a map ends, square across the face."""
    near, far = MATCH
    at = np.array([station])
    ends = (placing.beside(window.lines.back, at, away)[0] for away in (near, far))
    return Lines((tuple(ends),), MATCH_LINE, "match-line")


def draw_datum(lines: PlanLines, placing: Placing) -> Area:
    """Mark station 0 with a wedge against the face from the wall side."""
    back = lines.back
    tip = placing.beside(back, np.array([0.0]), -0.4)[0]
    heading = float(back.heading(0.0))
    normal, along = (-math.sin(heading), math.cos(heading)), (math.cos(heading), math.sin(heading))
    left, right = (
        (tip[0] + 3.4 * normal[0] + side * along[0], tip[1] + 3.4 * normal[1] + side * along[1]) for side in (-1.3, 1.3)
    )
    return Area((tip, left, right), Style(BLACK, 0.5, fill=BLACK), "datum")


def arrow_paths(window: Window, placing: Placing) -> Iterator[Points]:
    """Run through places for the arrow of rising stations: at the window's start and near the face first."""
    back = window.lines.back
    length = min(ARROW_LENGTH * placing.ratio, window.length * (0.2 if back.closed else 0.4))
    for share in (0.0, 0.5, 0.25, 0.75):
        start = window.start + min(share * window.length + 0.1 * length, window.length * 0.95 - length)
        stations = np.linspace(start, start + length, 24)
        for away in _ARROW_AT:
            yield placing.beside(back, stations, away)


def draw_arrow(path: Points) -> list[Primitive]:
    """Draw an arrow along a path."""
    head = _arrow_head(path[-3], path[-1])
    return [
        Lines((path,), Style(BLACK, 0.8), "direction"),
        Area(head, Style(BLACK, 0.4, fill=BLACK), "direction"),
    ]


def _arrow_head(before: XY, tip: XY) -> Points:
    heading = math.atan2(tip[1] - before[1], tip[0] - before[0])
    return tuple(
        (tip[0] + reach * math.cos(heading + turn), tip[1] + reach * math.sin(heading + turn))
        for reach, turn in ((1.9, 0.0), (1.1, math.radians(125)), (1.1, math.radians(-125)))
    )
