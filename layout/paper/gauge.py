"""The full-size gauge: the scallop 1 : 1 to glue on board, with bars that tell whether it printed full size."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely import LineString

from layout.face.plan import Plan
from layout.metal.profile import Profile
from layout.paper.frame import SMALLEST, Drawing, paper_of, room_box
from layout.paper.ink import BLACK, CARE, DIMENSION, EXTENSION, QUIET
from layout.paper.letters import fitted
from layout.paper.primitives import XY, Box, Lines, Points, Primitive, Style, Text, centred, line
from layout.units import format_fine

NAME: Final = "Full-size gauge"
BAR_MM: Final = 100.0
"""mm, the check bar's metric side"""
BAR_IN: Final = 101.6
"""mm: 4 in, its other side"""
_POINTS: Final = 400
"""of a scallop's line: on a radius of 100 mm its chords leave it by some 2 µm"""
_MOST: Final = 3
"""scallops on one paper"""
_LEFT: Final = 30.0
"""mm kept left of the gauge for the upright bar"""
_BELOW: Final = 30.0
"""mm kept below it for the level bar"""
_ABOVE: Final = 15.0
"""mm kept above it for words"""
_OVERLAP: Final = 10.0
"""mm that parts share on each side of a match line"""
_EDGE: Final = Style(BLACK, 0.35)
_MIDDLE: Final = Style(QUIET, 0.25, (4.0, 2.0, 1.0, 2.0))
_TOOL: Final = Style(QUIET, 0.35, (2.5, 1.6))
_MATCH: Final = Style(CARE, 0.5, (6.0, 2.0))


@dataclass(frozen=True)
class Round:
    """A circle beside the scallop: a bar, a tube, a hole."""

    x: float
    """mm, of its centre from the first valley"""
    y: float
    """mm, above mid-metal of the valleys"""
    radius: float
    """mm"""
    words: str


def draw_gauge(plan: Plan, rounds: Sequence[Round] | None = None) -> list[Drawing]:
    """Draw the scallop at full size; in parts with match lines where one paper is too small.

    Parameters
    ----------
    rounds
        Circles to draw with it; None draws those that lie in the formed crest and in the groove between.
    """
    profile = plan.scallop.profile
    shown = rounds_of(profile, plan.job.units) if rounds is None else tuple(rounds)
    field = _field(paper_of(plan.job))
    width, height = _extent(profile, 1)
    if width > field.width or height > field.height:
        return _parts(plan, shown, field)
    scallops = min(_MOST, int((field.width - width) // profile.pitch) + 1)
    at = (field.centre[0] - scallops * profile.pitch / 2, field.centre[1] - profile.depth / 2)
    strokes = _strokes(profile, shown, scallops)
    items = (*_around(plan), *_words(shown, paper_of(plan.job)), *_clipped(strokes, field, at))
    return [Drawing(NAME, items, "full size")]


def rounds_of(profile: Profile, units: str) -> tuple[Round, ...]:
    """Return the circles that lie against the formed metal: in a crest from inside, in a valley from the face."""
    half = profile.thickness / 2
    found = []
    if profile.crest_radius is not None and profile.crest_radius > half:
        inside = profile.crest_radius - half
        words = f"in the crest: {format_fine(2 * inside, units)} across"
        found.append(Round(profile.pitch / 2, profile.depth - profile.crest_radius, inside, words))
    if profile.valley_radius is not None and profile.valley_radius > half:
        inside = profile.valley_radius - half
        words = f"in the valley: {format_fine(2 * inside, units)} across"
        found.append(Round(profile.flat / 2, profile.valley_radius, inside, words))
    return tuple(found)


def _field(paper: str) -> Box:
    """Return what the gauge may fill, mm."""
    room = room_box(paper)
    return Box(room.left + _LEFT, room.bottom + _BELOW, room.right, room.top - _ABOVE)


def _extent(profile: Profile, scallops: int) -> tuple[float, float]:
    """Return width and height of the metal, mm, with half a scallop's run of wall line at both ends."""
    return scallops * profile.pitch + 2 * profile.thickness + 10.0, profile.depth + profile.thickness + 12.0


def _strokes(profile: Profile, rounds: Sequence[Round], scallops: int) -> Iterator[tuple[Points, Style, str]]:
    """Run through the metal's edge, its mid-metal, the wall and the circles, mm from the first valley."""
    for ring in metal_rings(profile, scallops):
        yield (*ring, ring[0]), _EDGE, "metal"
    yield mid_metal(profile, scallops), _MIDDLE, "mid-metal"
    low = -profile.thickness / 2
    yield ((-5.0, low), (scallops * profile.pitch + 5.0, low)), EXTENSION, "back-line"
    for one in rounds:
        yield _circle(one), _TOOL, "tool"
        yield ((one.x - 1.5, one.y), (one.x + 1.5, one.y)), EXTENSION, "tool-centre"
        yield ((one.x, one.y - 1.5), (one.x, one.y + 1.5)), EXTENSION, "tool-centre"


def _clipped(strokes: Iterable[tuple[Points, Style, str]], window: Box, at: XY) -> Iterator[Primitive]:
    """Put strokes on paper, the first valley at a place; what lies outside the window, on paper, is left out."""
    seen = shapely.box(window.left, window.bottom, window.right, window.top)
    for points, style, kind in strokes:
        placed = LineString([(x + at[0], y + at[1]) for x, y in points])
        for piece in shapely.get_parts(shapely.intersection(placed, seen)):
            if isinstance(piece, LineString) and not piece.is_empty:
                yield Lines((tuple((float(x), float(y)) for x, y in piece.coords),), style, kind)


def _words(rounds: Sequence[Round], paper: str) -> Iterator[Primitive]:
    """Say what the circles are, right of the level bar."""
    room = room_box(paper)
    for i, one in enumerate(rounds):
        place = (room.left + BAR_IN + 34.0, room.bottom + 10.0 - 4.0 * i)
        yield Text(place, f"broken circle {one.words}", 8.0, ink=QUIET, kind="tool-words")


def mid_metal(profile: Profile, scallops: int) -> Points:
    """Return the line of mid-metal over some scallops, mm from the first valley."""
    one = profile.points(_POINTS)
    steps = [np.array([k * profile.pitch, 0.0]) for k in range(scallops)]
    points = np.concatenate([*(one[:-1] + step for step in steps), one[-1:] + steps[-1]])
    return tuple((float(x), float(y)) for x, y in points)


def metal_rings(profile: Profile, scallops: int) -> list[Points]:
    """Return the metal's edge over some scallops as closed rings, mm from the first valley's mid-metal.

    Half the thickness to both sides of mid-metal; a sharp valley is mitred.
    """
    metal = shapely.buffer(
        LineString(mid_metal(profile, scallops)), profile.thickness / 2, cap_style="flat", join_style="mitre"
    )
    rings = [ring for part in shapely.get_parts(metal) for ring in (part.exterior, *part.interiors)]
    return [tuple((float(x), float(y)) for x, y in ring.coords[:-1]) for ring in rings]


def _around(plan: Plan, part: str = "") -> Iterator[Primitive]:
    """Draw the check bars both ways and say what the gauge is for."""
    room, units = room_box(paper_of(plan.job)), plan.job.units
    profile = plan.scallop.profile
    head = (
        f"Scallop at full size{part}: pitch {format_fine(profile.pitch, units)}, depth "
        f"{format_fine(profile.depth, units)}, metal {format_fine(profile.thickness, units)}"
    )
    yield Text((room.left, room.top - 4.0), fitted(head, room.width, 11.0, bold=True), 11.0, bold=True, kind="heading")
    words = (
        "Print at 100 %, not fitted to the paper, and measure both bars both ways before it is glued on board. "
        "The upper line is the metal's face, the lower one its wall side."
    )
    yield Text((room.left, room.top - 9.5), fitted(words, room.width, 8.5), 8.5, ink=QUIET, kind="note")
    yield from _bar((room.left + 22.0, room.bottom + 8.0), upright=False)
    yield from _bar((room.left + 8.0, room.bottom + 22.0), upright=True)


def _bar(start: XY, *, upright: bool) -> Iterator[Primitive]:
    """Draw a check bar: 100 mm on one side, 4 in on the other, from one end."""

    def at(along: float, aside: float) -> XY:
        return (start[0] - aside, start[1] + along) if upright else (start[0] + along, start[1] + aside)

    angle = 90.0 if upright else 0.0
    for side, length, step, words in ((1.0, BAR_MM, 10.0, "100 mm"), (-1.0, BAR_IN, 12.7, "4 in")):
        yield line(at(0.0, side * 0.6), at(length, side * 0.6), style=DIMENSION, kind="check-bar")
        for i in range(round(length / step) + 1):
            tall = 3.2 if i in {0, round(length / step)} else 1.8
            yield line(at(i * step, side * 0.6), at(i * step, side * tall), style=DIMENSION, kind="check-tick")
        yield centred(at(length / 2, side * 4.4), words, SMALLEST + 1, angle=angle, ink=BLACK, kind="check-words")


# A scallop larger than the paper.


def _parts(plan: Plan, rounds: Sequence[Round], field: Box) -> list[Drawing]:
    """Draw one scallop in parts that are glued side by side along their match lines."""
    profile = plan.scallop.profile
    width, height = _extent(profile, 1)
    left, low = -(width - profile.pitch) / 2, -profile.thickness / 2 - 6.0
    across, up = (_count(size, room) for size, room in ((width, field.width), (height, field.height)))
    names = [f"{chr(65 + row)}{column + 1}" for row in range(up) for column in range(across)]
    strokes, drawings = list(_strokes(profile, rounds, 1)), []
    for i, name in enumerate(names):
        row, column = divmod(i, across)
        cell = Box(
            left + column * width / across,
            low + row * height / up,
            left + (column + 1) * width / across,
            low + (row + 1) * height / up,
        )
        words = f", part {name} of {names[0]} to {names[-1]}"
        items = (*_around(plan, words), *_words(rounds, paper_of(plan.job)), *_part(strokes, cell, field))
        drawings.append(Drawing(f"{NAME}, part {name}", items, "full size"))
    return drawings


def _count(size: float, room: float) -> int:
    return max(1, math.ceil(size / (room - 2 * _OVERLAP)))


def _part(strokes: Sequence[tuple[Points, Style, str]], cell: Box, field: Box) -> Iterator[Primitive]:
    """Draw what falls in a cell and a little beyond, with the cell's sides as match lines."""
    dx, dy = (f - c for f, c in zip(field.centre, cell.centre, strict=True))
    corners = tuple((x + dx, y + dy) for x, y in cell.corners())
    frame = Box(*corners[0], *corners[2])
    yield from _clipped(strokes, frame.grown(_OVERLAP / 2), (dx, dy))
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        yield line(a, b, style=_MATCH, kind="match-line")
    yield Text((frame.left + 1.5, frame.bottom + 1.5), "match line", SMALLEST, ink=CARE, kind="match-words")


def _circle(one: Round) -> Points:
    turns = np.linspace(0.0, math.tau, 361)
    return tuple(
        zip((one.x + one.radius * np.cos(turns)).tolist(), (one.y + one.radius * np.sin(turns)).tolist(), strict=True)
    )
