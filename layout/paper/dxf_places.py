"""What a DXF seam map tells of places: openings, zones, cut-outs, corners, viewpoints and walls."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from layout.face.openings import extent_of, gaps_of, leaf_of
from layout.face.places import extent, on_outline, zones_on
from layout.face.plan import Plan
from layout.job.model import Cutout, Opening
from layout.outline.chain import Chain
from layout.outline.segment import Floats, Segment
from layout.outline.tolerances import SAME_STATION, SMOOTH
from layout.paper.dxf_file import DxfFile, Layer
from layout.paper.dxf_layers import CORNERS, CUTOUTS, LEAVES, OPENINGS, VIEWPOINTS, WALLS, ZONES
from layout.paper.sight_words import sight_words
from layout.units import format_length

_OPENING: Final = 5.4
"""letters from the back line towards the viewer, where an opening's name stands: past the seams' numbers"""
_ZONE: Final = -5.4
"""letters, to the wall side: a zone's name, past datum and stretches"""
_CUTOUT: Final = 4.4
"""letters, towards the viewer: a cut-out's name, past the seams' numbers"""


def draw_places(file: DxfFile, plan: Plan) -> None:
    """Draw everything that the job names along its lines and around them."""
    for number, lines in enumerate(plan.lines):
        for opening in (one for one in plan.job.openings if on_outline(plan.job, number, one.outline)):
            _opening(file, lines.back, opening)
        for _, zone in zones_on(plan.job, number):
            words = f"{zone.name}, {format_length(zone.height, plan.job.units)} high"
            _stretch(file, lines.back, extent(zone, lines.back, plan.job.units), words)
        for hole in (one for one in plan.job.cutouts if on_outline(plan.job, number, one.outline)):
            _cutout(file, lines.back, hole, plan.job.units)
        _corners(file, lines.back, plan.job.outlines[number].corner)
    for wall in plan.job.walls:
        file.corners([np.array(point) for point in wall.points], WALLS)
    for place, words in zip(plan.job.viewpoints, sight_words(plan), strict=True):
        at = np.array(place.at)
        file.point(at, VIEWPOINTS)
        file.circle(at, 0.8 * file.letter, VIEWPOINTS)
        file.word(words, at + file.letter * np.array([1.4, 0.0]), VIEWPOINTS, away=(1.0, 0.0))


def beside(line: Chain, station: float) -> tuple[Floats, Floats]:
    """Return a point of a line and the unit vector to the viewer there."""
    heading = float(line.heading(station))
    return line.point(station), np.array([math.sin(heading), -math.cos(heading)])


def stretch_of(line: Chain, start: float, end: float) -> tuple[Segment, ...]:
    """Return a line's segments from one station to another, mm; on a closed line the end may pass the datum.

    Examples
    --------
    >>> from layout.outline.curves import Arc
    >>> ring = Chain((Arc(0.0, 0.0, radius=100.0, start=0.0, sweep=2 * math.pi),), closed=True)
    >>> [round(part.length, 9) for part in stretch_of(ring, ring.length - 10.0, ring.length + 5.0)]
    [10.0, 5.0]
    """
    found: list[Segment] = []
    laps = range(math.floor(start / line.length), math.ceil(end / line.length)) if line.closed else range(1)
    for lap in laps:
        at = lap * line.length
        for segment in line.segments:
            low, high = max(start - at, 0.0), min(end - at, segment.length)
            if high - low > SAME_STATION:
                whole = low == 0.0 and high == segment.length
                found.append(segment if whole else segment.cut(low, high))
            at += segment.length
    return tuple(found)


def _opening(file: DxfFile, back: Chain, opening: Opening) -> None:
    """Draw both jambs, what of the back line has no face, the leaf, and the name."""
    start, end = extent_of(opening, back)
    for station in (start, end):
        _end(file, back, station, OPENINGS)
    for gap in gaps_of([opening], back):
        file.curve(stretch_of(back, gap.start, gap.end), OPENINGS)
    leaf = leaf_of(opening, back)
    if leaf is not None:
        file.curve(stretch_of(back, *leaf), LEAVES)
    words = f"{opening.name}, leaf" if opening.leaf else opening.name
    _name(file, back, (start, end), _OPENING, words, OPENINGS)


def _end(file: DxfFile, back: Chain, station: float, layer: Layer) -> None:
    """Put a point with its station at a place of the back line, and a tick to both sides."""
    within = station % back.length if back.closed else station
    at, out = beside(back, station)
    file.point(at, layer, [(1040, file.number(within / file.size))])
    file.straight(at - 2.0 * file.letter * out, at + 1.6 * file.letter * out, layer)


def _stretch(file: DxfFile, back: Chain, ends: tuple[float, float], words: str) -> None:
    """Draw a zone along the back line, its ends and its name."""
    file.curve(stretch_of(back, *ends), ZONES)
    for station in ends:
        _end(file, back, station, ZONES)
    _name(file, back, ends, _ZONE, words, ZONES)


def _cutout(file: DxfFile, back: Chain, hole: Cutout, units: str) -> None:
    """Put a point at a cut-out's middle, draw its width on the back line, and say what it is."""
    at, _ = beside(back, hole.at)
    file.point(at, CUTOUTS, [(1040, file.number(hole.at / file.size))])
    ends = (hole.at - hole.width / 2, hole.at + hole.width / 2)
    file.curve(stretch_of(back, *ends), CUTOUTS)
    for end in ends:
        place, out = beside(back, end)
        file.straight(place - 0.5 * file.letter * out, place + 0.5 * file.letter * out, CUTOUTS)
    width, height, up = (format_length(mm, units) for mm in (hole.width, hole.height, hole.up))
    _name(file, back, (hole.at, hole.at), _CUTOUT, f"{hole.name}, {width} × {height}, {up} up", CUTOUTS)


def _corners(file: DxfFile, back: Chain, built: str | None) -> None:
    """Ring each sharp corner, and say how far it turns and how it is built."""
    for station, angle in sharp_corners(back):
        at, out = beside(back, min(station, back.length))
        file.circle(at, 0.7 * file.letter, CORNERS)
        words = f"corner {abs(math.degrees(angle)):.1f}°" + (f", {built}" if built else "")
        file.word(words, at + _OPENING * file.letter * out, CORNERS, 0.8, away=out)


def sharp_corners(line: Chain) -> Iterator[tuple[float, float]]:
    """Return station and turn of each joint where a line breaks its direction."""
    return ((station, angle) for station, _, angle in line.breaks if abs(angle) > SMOOTH)


def _name(file: DxfFile, back: Chain, ends: Sequence[float], letters: float, words: str, layer: Layer) -> None:
    """Write a name at the middle of a stretch, some letters off the back line, + towards the viewer."""
    at, out = beside(back, sum(ends) / 2)
    file.word(words, at + letters * file.letter * out, layer, 0.9, away=math.copysign(1.0, letters) * out)
