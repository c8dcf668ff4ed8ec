"""Openings, zones and cut-outs on a map, and where hanging starts and closes: marks, and words to be placed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

import numpy as np

from layout.face.cornered import corner_leg
from layout.job.model import Cutout, Opening, Zone
from layout.outline.tolerances import SAME_STATION
from layout.paper.corner_legs import side_at
from layout.paper.hanging import order_in_run
from layout.paper.ink import BLACK, QUIET, WHITE
from layout.paper.map_face import Placing
from layout.paper.map_view import View, Window, panel_stations
from layout.paper.primitives import XY, Lines, Primitive, Style
from layout.units import format_length

_OVER: Final = Style(WHITE, 4.6, flat=True)
"""wipes the face off where it stops: wider than its heaviest line"""
_GAP: Final = Style(QUIET, 0.5, (2.0, 1.6))
_LEG: Final = Style(BLACK, 0.6)
"""the leg of a return, as the face on a straight"""
_SQUARE: Final = 0.9
"""mm on paper, half of the mark that ends a leg"""
_CROSS: Final = Style(BLACK, 0.9)
_REACH: Final = 1.3
"""mm on paper, half of a cut-out's mark across the face"""


@dataclass(frozen=True)
class Said:
    """Words that want to stand beside a place."""

    words: str
    at: XY
    """mm on paper"""
    normal: XY
    """unit vector to the side where they should stand"""


def place_marks(view: View, placing: Placing) -> list[Primitive]:
    """Wipe the face off openings without a leaf, and mark the middle of each cut-out."""
    items: list[Primitive] = []
    for window in view.windows:
        for opening in _of(view, window, view.plan.job.openings):
            for start, end in _seen(window, opening.start, opening.end) if not opening.leaf else ():
                path = placing.beside(window.lines.back, np.linspace(start, end, 24), 0.0)
                items += [Lines((path,), _OVER, "opening"), Lines((path,), _GAP, "opening")]
        for hole in _of(view, window, view.plan.job.cutouts):
            for at, _ in _seen(window, hole.at, hole.at + 1.0):
                heading = float(window.lines.back.heading(at))
                (x, y), *_ = placing.beside(window.lines.back, np.array([at]), 0.0)
                dx, dy = _REACH * math.cos(heading + math.pi / 4), _REACH * math.sin(heading + math.pi / 4)
                cross = ((x - dx, y - dy), (x + dx, y + dy)), ((x + dy, y - dx), (x - dy, y + dx))
                items.append(Lines(cross, _CROSS, "cut-out"))
    return items


def draw_legs(view: View, placing: Placing) -> list[Lines]:
    """Draw what a return does at its corner: the leg of the run that goes past, the gap before the one that stops."""
    items: list[Lines] = []
    for run in view.plan.runs:
        lines = view.plan.lines[run.outline]
        if view.plan.job.outlines[run.outline].corner != "return" or not any(w.lines is lines for w in view.windows):
            continue
        for at_end in (False, True):
            leg = corner_leg(view.plan, run, 0.0, at_end=at_end)
            if leg is not None and abs(leg) > SAME_STATION:
                items += _leg(placing, *side_at(lines, run, at_end=at_end), leg if at_end else -leg, goes_on=leg > 0)
    return items


def _leg(placing: Placing, corner: XY, heading: float, along: float, *, goes_on: bool) -> list[Lines]:
    """Draw a leg past a corner, or wipe off what of the wall has no face; a square mark ends either."""
    cos, sin = math.cos(heading), math.sin(heading)
    far = (corner[0] + along * cos, corner[1] + along * sin)
    (start, end) = placing.on_paper(np.array([corner, far]))
    mark = (end[0] - _SQUARE * sin, end[1] + _SQUARE * cos), (end[0] + _SQUARE * sin, end[1] - _SQUARE * cos)
    stroke = _LEG if goes_on else Style(WHITE, 2.0, flat=True)
    return [
        Lines(((start, end),), stroke, "return-leg" if goes_on else "return-gap"),
        Lines((mark,), _LEG, "return-end"),
    ]


def place_words(view: View, placing: Placing) -> Iterator[Said]:
    """Run through what is said of openings, zones, cut-outs and the hanging order, most needed first."""
    job, units = view.plan.job, view.plan.job.units
    for window in view.windows:
        for opening in _of(view, window, job.openings):
            words = f"{opening.name}, leaf" if opening.leaf else opening.name
            yield from _beside(window, placing, (opening.start, opening.end), words, 1.0)
        for zone in _of(view, window, job.zones):
            words = f"{zone.name}, {format_length(zone.height, units)} high"
            yield from _beside(window, placing, (zone.start, zone.end), words, 1.0)
        for hole in _of(view, window, job.cutouts):
            yield from _beside(window, placing, (hole.at, hole.at + 1.0), hole.name, -1.0)
    yield from _hanging(view, placing)


def _hanging(view: View, placing: Placing) -> Iterator[Said]:
    """Say at its panel where each run's hanging starts, and at the closing panel that it is last."""
    panels = {panel.number: panel for panel in view.panels}
    for run in view.plan.runs:
        order = order_in_run(view.plan, run)
        for number, words in ((order[0], "hang first"), (order[-1], "closing panel, last")) if len(order) > 1 else ():
            if number in panels:
                window = next(one for one in view.windows if one.lines is view.plan.lines[run.outline])
                yield from _beside(window, placing, panel_stations(view.plan, panels[number]), words, -1.0)


Place = TypeVar("Place", Opening, Zone, Cutout)


def _of(view: View, window: Window, places: Sequence[Place]) -> Iterator[Place]:
    """Return the places on a window's outline; those that name none are on the first."""
    for place in places:
        name = place.outline or view.plan.lines[0].name
        if window.lines.name == name:
            yield place


def _seen(window: Window, start: float, end: float) -> Iterator[tuple[float, float]]:
    """Return what of a stretch lies in a window, on any lap; one that ends before it starts wraps."""
    length = window.lines.back.length
    stop = end + (length if window.lines.closed and end <= start else 0.0)
    for lap in (-length, 0.0, length) if window.lines.closed else (0.0,):
        low, high = max(start + lap, window.start), min(stop + lap, window.end)
        if high > low:
            yield low, high


def _beside(window: Window, placing: Placing, stretch: tuple[float, float], words: str, side: float) -> Iterator[Said]:
    for start, end in _seen(window, *stretch):
        middle = np.array([(start + end) / 2])
        heading = float(window.lines.back.heading(middle)[0])
        normal = (side * math.sin(heading), -side * math.cos(heading))
        yield Said(words, placing.beside(window.lines.back, middle, 0.0)[0], normal)
        return
