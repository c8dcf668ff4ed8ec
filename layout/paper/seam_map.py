"""The numbered seam map: the plan to scale, for whoever hangs the face.

Where one paper is too small for all numbers, a key shows the whole and parts follow at a larger scale.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import takewhile
from typing import Final

import numpy as np

from layout.face.plan import Plan
from layout.face.revisions import FIRST
from layout.face.set_out import SetOut
from layout.paper.frame import Drawing, Paper, finish
from layout.paper.ink import BLACK, CARE, LEADER, QUIET, WHITE
from layout.paper.labels import Ground, Placed, Wanted
from layout.paper.legend import DRAWN, SET_OFF, draw_legend
from layout.paper.letters import PT, text_width
from layout.paper.map_face import (
    SMOOTHNESS,
    Placing,
    arrow_paths,
    bands,
    draw_arrow,
    draw_datum,
    draw_stretch,
    draw_ticks,
    face_by_tightness,
    match_line,
    tick_ends,
)
from layout.paper.map_fit import Fit, fits
from layout.paper.map_numbers import (
    Numbers,
    place_letters,
    place_numbers,
    place_some_numbers,
    place_stretch_ends,
)
from layout.paper.map_places import draw_legs, place_marks, place_words
from layout.paper.map_sight import draw_sight
from layout.paper.map_ties import controls_of, draw_control_points
from layout.paper.map_view import View, Window, part_views, whole_view
from layout.paper.primitives import CAP_HEIGHT, XY, Area, Box, Lines, Points, Primitive, Style, centred

NAME: Final = "Seam map"
TIES: Final = "Ties"
_STATIONS: Final = 44
"""seams, up to which a map gives their stations (assumed)"""
_WORTH: Final = 1.4
"""how much smaller a map may be drawn to give the stations: one standard step (assumed)"""
_NEARBY: Final = 40.0
"""mm on paper from a line within which words still speak of it"""
_MOST: Final = (60, 40, 30, 20, 14, 10, 7)
"""panels a part, tried in this order"""
_TIMES: Final = (2.0, 3.0, 4.0, 6.0, 8.0)
"""sizes of a map for screens and plotters, in papers"""


def draw_seam_map(plan: Plan, found: SetOut | None = None) -> list[Drawing]:
    """Draw the seam map: on one paper where all numbers find room, else a key and its parts.

    With a set-out, a paper with its control points and ties follows.
    """
    return [*_maps(plan), *(draw_ties(plan, found) if found is not None else [])]


def _maps(plan: Plan) -> list[Drawing]:
    whole = _draw(whole_view(plan), NAME)
    if whole is not None:
        return [whole]
    for most in _MOST:
        views = part_views(plan, most)
        parts = _draw_parts(views)
        if parts is not None:
            return [_draw_key(plan, views), *parts]
    return [_draw_crowded(whole_view(plan), NAME)]


def large_seam_map(plan: Plan, revision: str = FIRST) -> Paper:
    """Draw the whole map with all numbers on one paper, as large as it takes: for screens and plotters."""
    for times in _TIMES:
        drawing = _draw(whole_view(plan), NAME, times)
        if drawing is not None:
            return finish([drawing], plan.job, times, revision)[0]
    crowded = _draw_crowded(whole_view(plan), NAME, _TIMES[-1])
    return finish([crowded], plan.job, _TIMES[-1], revision)[0]


def _draw_parts(views: Sequence[View]) -> list[Drawing] | None:
    """Draw every part; None where one of them is too small for its numbers."""
    parts = []
    for i, view in enumerate(views, 1):
        part = _draw(view, f"{NAME}, part {i} of {len(views)}")
        if part is None:
            return None
        parts.append(part)
    return parts


def draw_ties(plan: Plan, found: SetOut) -> list[Drawing]:
    """Draw the control points and the two ties of every seam: on one paper, or in parts as the map."""
    whole = _draw_tied(whole_view(plan), found, TIES)
    if whole is not None:
        return [whole]
    for most in _MOST[::2]:
        views = part_views(plan, most)
        names = (f"{TIES}, part {i} of {len(views)}" for i in range(1, len(views) + 1))
        drawn = (_draw_tied(view, found, name) for view, name in zip(views, names, strict=True))
        parts = [part for part in takewhile(lambda part: part is not None, drawn) if part is not None]
        if len(parts) == len(views):
            return parts
    crowded = _draw_tied(whole_view(plan), found, TIES, crowded=True)
    return [crowded] if crowded is not None else []


def _draw_tied(view: View, found: SetOut, name: str, *, crowded: bool = False) -> Drawing | None:
    """Draw ties at the largest scale at which all numbers stand; None where there is none.

    `crowded`: at the largest of all, with as many numbers as find room.
    """
    seams = frozenset(seam.number for seam in view.seams)
    places = tuple(one.xy for one in controls_of(found, seams))
    view = replace(view, panels=(), beside=places)
    for fit in fits(view):
        drawn = _Map(view, fit)
        items = draw_control_points(found, seams, drawn.placing, drawn.ground, view.plan.job.units)
        numbers = place_numbers(view, drawn.placing, drawn.ground)
        if numbers or crowded:
            shown = numbers.items if numbers else place_some_numbers(view, drawn.placing, drawn.ground)[0]
            for base in (item for item in items if item.kind == "base" and isinstance(item, Lines)):
                drawn.ground.keep_line(base.paths[0])
            note = _note(_TIE_WORDS, drawn.field, QUIET)
            return drawn.drawing(name, [*items, *shown, *drawn.meeting(), *drawn.signs(), *drawn.words(), note])
    return None


_TIE_WORDS: Final = (
    "Control points are set out first; a tie is the straight distance in the set-out, from point to mark."
)


def _faced(view: View, window: Window) -> list[tuple[float, float]]:
    """Return from which station to which the line of a window has a face."""
    return [(run.start, run.end) for run in view.plan.runs if view.plan.lines[run.outline] is window.lines]


class _Map:
    """One map being drawn: how it sits on its paper, and what stands on it already."""

    def __init__(self, view: View, fit: Fit) -> None:
        self.view = view
        self.fit = fit
        self.field, self.placing = fit.field, fit.placing
        self._units = view.plan.job.units
        self._face = [
            part for w in view.windows for part in face_by_tightness(w, self.placing, self._units, _faced(view, w))
        ]
        self._marks, kept = _marks(view, self.placing)
        self.ground = Ground(self.field)
        for path in (*(points for _, points in self._face), *kept):
            self.ground.keep_line(path)
        for leg in draw_legs(view, self.placing):
            self.ground.keep_line(leg.paths[0])
        for seam in view.seams:
            self.ground.keep_line(tick_ends(view.plan, seam, self.placing))
        self._meeting = self._match_lines()
        self._sighted = draw_sight(view, self.placing, self.ground)

    def _match_lines(self) -> list[Lines]:
        """Draw where a part goes on in another, and keep labels off it."""
        (window, *_), (left, right) = self.view.windows, self.view.meets
        stations = [station for station, part in ((window.start, left), (window.end, right)) if part is not None]
        found = [match_line(window, station, self.placing) for station in stations]
        for one in found:
            self.ground.keep_line(one.paths[0])
        return found

    def meeting(self) -> Iterator[Primitive]:
        """Say at each match line which part goes on there."""
        parts = [part for part in self.view.meets if part is not None]
        for one, part in zip(self._meeting, parts, strict=True):
            outer, inner = one.paths[0]
            away = math.dist(outer, inner)
            normal = ((outer[0] - inner[0]) / away, (outer[1] - inner[1]) / away)
            yield from _set(f"goes on in part {part}", outer, normal, self.ground, near=0.8)

    def words(self) -> list[Primitive]:
        """Say directions and sides, where there is room."""
        several = len(self.view.plan.lines) > 1
        said = place_words(self.view, self.placing)
        return [
            *(text for one in said for text in _set(one.words, one.at, one.normal, self.ground, near=3.2)),
            *(
                word
                for window in self.view.windows
                for word in _words(window, self.placing, self.ground, named=several)
            ),
        ]

    def signs(self) -> list[Primitive]:
        """Place letters of the seam-free stretches, and the stations of their ends where there is room."""
        letters = place_letters(self.view, self.placing, self.ground)
        return [*letters, *place_stretch_ends(self.view, self.placing, self.ground)]

    def drawing(self, name: str, items: Sequence[Primitive]) -> Drawing:
        """Put face, ticks, legend and the given items together."""
        fit, all_bands = self.fit, bands(self._units)
        face = [Lines((points,), all_bands[i].style, f"face tightness-{i}") for i, points in self._face]
        used = [all_bands[i] for i in sorted({i for i, _ in self._face})]
        legend = draw_legend(self.view, fit.legend, fit.scale, used, below=fit.below, walled=self._sighted.walled)
        ticks = draw_ticks(self.view.plan, self.view.seams, self.placing)
        places = [*draw_legs(self.view, self.placing), *place_marks(self.view, self.placing)]
        shown = (*self._marks, *self._meeting, *self._sighted.items, *face, *places, *ticks, *items, *legend)
        return Drawing(name, shown, fit.scale.words, fit.portrait)


def _draw(view: View, name: str, times: float = 1.0) -> Drawing | None:
    """Draw a map on which every number stands; None where they do not all find room."""
    found = _best(view, times)
    if found is None:
        return None
    drawn, numbers = found
    return drawn.drawing(name, [*numbers.items, *drawn.meeting(), *drawn.signs(), *drawn.words()])


def _best(view: View, times: float) -> tuple[_Map, Numbers] | None:
    """Return the map at the largest scale at which its numbers find room.

    As many stations stand beside them as can where that costs no more than `_WORTH` in scale.
    """
    found: tuple[_Map, Numbers] | None = None
    smallest = math.inf
    several = len(view.seams) > _STATIONS
    for fit in fits(view, times):
        if fit.scale.ratio > smallest:
            break
        for stations, turns in _SEVERAL if several else _BETTER if found else _FEW:
            drawn = _Map(view, fit)
            numbers = place_numbers(view, drawn.placing, drawn.ground, stations=stations, turns=turns)
            if numbers is None or (found and numbers.stations <= found[1].stations):
                continue
            smallest = min(smallest, _WORTH * fit.scale.ratio)
            found = drawn, numbers
            if several or stations == "all":
                return found
            break
    return found


_SEVERAL: Final = (("some", (False, True)),)
_BETTER: Final = (("all", (False,)), ("some", (False,)))
_FEW: Final = (("all", (False,)), ("some", (False,)), ("all", (True,)), ("none", (True,)))
"""stations and ways of numbers, best first: level ones read better than turned ones that have their station"""


def _draw_crowded(view: View, name: str, times: float = 1.0) -> Drawing:
    """Draw a map with as many numbers as find room, and say how many do not."""
    drawn = _Map(view, fits(view, times)[0])
    numbers, missing = place_some_numbers(view, drawn.placing, drawn.ground)
    words = f"{missing} numbers find no room at this scale: see the set-out and the developed elevation."
    return drawn.drawing(name, [*numbers, *drawn.words(), _note(words, drawn.field, CARE)])


def _draw_key(plan: Plan, parts: Sequence[View]) -> Drawing:
    """Draw the whole with each part's name at its middle and the numbers of the seams where parts meet."""
    meeting = tuple({part.seams[0].number: part.seams[0] for part in parts}.values())
    view = replace(whole_view(plan), panels=(), seams=meeting)
    drawn, items = next(
        ((drawn, items) for drawn, items, whole in _keys(view, parts) if whole),
        next((drawn, items) for drawn, items, _ in reversed(list(_keys(view, parts)))),
    )
    words = "Key to the parts that follow at a larger scale, with all seam and panel numbers."
    return drawn.drawing(f"{NAME}, key", [*items, *drawn.signs(), *drawn.words(), _note(words, drawn.field, QUIET)])


def _keys(view: View, parts: Sequence[View]) -> Iterator[tuple[_Map, list[Primitive], bool]]:
    """Run through keys from the largest scale down: the map, names and numbers, and whether all stand."""
    for fit in fits(view):
        drawn = _Map(view, fit)
        names = [_part_name(part.windows[0], f"part {i}", drawn) for i, part in enumerate(parts, 1)]
        numbers = place_numbers(view, drawn.placing, drawn.ground)
        shown = numbers.items if numbers else place_some_numbers(view, drawn.placing, drawn.ground)[0]
        items = [item for name in names for item in name] + shown
        yield drawn, items, bool(numbers) and all(names)


def _part_name(window: Window, name: str, drawn: _Map) -> list[Primitive]:
    """Name a part at its middle, with a line to it."""
    middle = window.start + window.length / 2
    heading = float(window.lines.back.heading(middle))
    at = drawn.placing.beside(window.lines.back, np.array([middle]), 0.0)[0]
    size = (text_width(name, 10.0, bold=True) + 0.6, CAP_HEIGHT * 10.0 * PT + 2.2)
    to_wall = (-math.sin(heading), math.cos(heading))
    sides = (to_wall, (-to_wall[0], -to_wall[1]))
    tried = (drawn.ground.place(Wanted(at, side, *size, near=5.0)) for side in sides)
    placed = next((spot for spot in tried if spot), None)
    if placed is None:
        return []
    placed = replace(placed, leader=placed.leader or (at, _nearest(placed, at)))
    drawn.ground.keep(placed)
    leader = [Lines((placed.leader,), LEADER, "leader")] if placed.leader else []
    return [*leader, centred(placed.centre, name, 10.0, bold=True, ink=BLACK, kind="word")]


def _nearest(placed: Placed, at: XY) -> XY:
    """Return the point of a level label's edge that is nearest to a place."""
    (left, bottom), _, (right, top), _ = placed.corners
    return min(max(at[0], left), right), min(max(at[1], bottom), top)


def _marks(view: View, placing: Placing) -> tuple[list[Primitive], list[Points]]:
    """Draw outlines, hatches and datums; also return the lines that labels keep off."""
    items: list[Primitive] = []
    kept: list[Points] = []
    for window in view.windows:
        lines = window.lines
        if abs(window.spec.inset) > SET_OFF:
            stations = lines.back.carry(window.stations(SMOOTHNESS * placing.ratio), onto=lines.drawn)
            items.append(Lines((placing.on_paper(lines.drawn.point(stations)),), DRAWN, "outline"))
        if window.has_datum:
            wedge = draw_datum(lines, placing)
            items.append(wedge)
            kept.append((*wedge.points, wedge.points[0]))
    for marked in view.stretches:
        hatched, around = draw_stretch(marked, placing)
        items += hatched
        kept += around
    return items, kept


def _words(window: Window, placing: Placing, ground: Ground, *, named: bool) -> Iterator[Primitive]:
    """Say which way stations run, which side is which, and which outline it is, where there is room."""
    for path in arrow_paths(window, placing):
        if ground.line_is_free(path):
            ground.keep_line(path)
            yield from draw_arrow(path)
            middle, after = path[len(path) // 2], path[len(path) // 2 + 1]
            turn = math.atan2(after[1] - middle[1], after[0] - middle[0])
            yield from _set("stations rise", middle, (-math.sin(turn), math.cos(turn)), ground)
            break
    yield from _somewhere(window, placing, ground, "viewer's side", 1.0)
    yield from _somewhere(window, placing, ground, "wall side", -1.0)
    if named:
        yield from _somewhere(window, placing, ground, window.lines.name, -1.0, bold=True)


def _set(words: str, at: XY, normal: XY, ground: Ground, near: float = 1.0, *, bold: bool = False) -> list[Primitive]:
    """Set words beside a place where there is room close by; no words otherwise."""
    size, ink = (10.0, BLACK) if bold else (8.5, QUIET)
    wanted = Wanted(
        at,
        normal,
        text_width(words, size, bold=bold) + 0.6,
        CAP_HEIGHT * size * PT + 2.2,
        near=near,
        led=False,
    )
    placed = ground.place(wanted)
    if not placed or math.dist(placed.centre, at) > _NEARBY:
        return []
    ground.keep(placed)
    # Ties pass behind it.
    back = Area(placed.corners, Style(WHITE, 0.0, fill=WHITE), "backing")
    return [back, centred(placed.centre, words, size, bold=bold, ink=ink, kind="word")]


def _somewhere(
    window: Window, placing: Placing, ground: Ground, words: str, side: float, *, bold: bool = False
) -> list[Primitive]:
    """Set words on one side of a line, at the first of a few places with room."""
    for share in (0.5, 0.25, 0.75, 0.4, 0.6, 0.1, 0.9):
        station = np.array([window.start + share * window.length])
        heading = float(window.lines.back.heading(station)[0])
        normal = (side * math.sin(heading), -side * math.cos(heading))
        set_ = _set(words, placing.beside(window.lines.back, station, 0.0)[0], normal, ground, near=8.0, bold=bold)
        if set_:
            return set_
    return []


def _note(words: str, field: Box, ink: str) -> Primitive:
    return centred((field.centre[0], field.bottom - 2.0), words, 8.0, ink=ink, kind="note")
