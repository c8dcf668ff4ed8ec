"""Sight on the seam map: viewpoints, the walls that hide, and what is seen of each seam."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from layout.face.plan import Seam
from layout.paper.frame import SMALLEST
from layout.paper.ink import BLACK, QUIET, WHITE
from layout.paper.labels import Ground, Placed, Wanted
from layout.paper.letters import PT, text_width
from layout.paper.map_face import TICK, Placing
from layout.paper.map_view import View
from layout.paper.primitives import CAP_HEIGHT, XY, Area, Box, Circle, Lines, Points, Primitive, Style, centred, line
from layout.paper.sight_words import worst_view

WALL: Final = Style(QUIET, 2.4)
"""what hides"""
EYE: Final = 1.5
"""mm, radius of a viewpoint's mark"""
_EDGE: Final = 2.5
"""mm inside the field's edge from which on a viewpoint is drawn as off the map"""
_ARROW: Final = 4.5
"""mm, of the arrow to a viewpoint off the map"""
_SIDEWAYS: Final = tuple(sorted((step * 3.0 for step in range(-14, 15)), key=abs))
"""mm along the field's edge at which the arrow is tried"""
_CLOSE: Final = 2.5
"""mm past its mark within which a name still clearly belongs to it (assumed)"""
DOT: Final = 0.9
"""mm, radius of the mark of a seam that is seen"""
_BEHIND: Final = TICK[0] - 1.3
"""mm on paper, on the wall side: where that mark stands"""


@dataclass(frozen=True)
class Sighted:
    """What sight adds to a map."""

    items: tuple[Primitive, ...] = ()

    @property
    def walled(self) -> bool:
        """Whether walls that hide are on the map."""
        return any(item.kind == "wall" for item in self.items)


def draw_sight(view: View, placing: Placing, ground: Ground) -> Sighted:
    """Draw walls, a mark behind each seam that is not hidden, and viewpoints; keep labels off them.

    A part of a map and the map of ties, which bear no panels, show none.
    """
    job = view.plan.job
    if not view.panels or not job.viewpoints:
        return Sighted()
    items: list[Primitive] = []
    for wall in job.walls:
        for path in clipped(placing.on_paper(np.array(wall.points)), ground.room):
            items.append(Lines((path,), WALL, "wall"))
            ground.keep_line(path)
    for seam in view.seams:
        mark = view_mark(worst_view(seam), _behind(seam, placing))
        if mark is not None:
            items.append(mark)
            ground.keep_line(_ring(mark.centre, DOT))
    for place in job.viewpoints:
        items += _viewpoint(place.name, placing.on_paper(np.array([place.at]))[0], ground)
    return Sighted(tuple(items))


def _viewpoint(name: str, at: XY, ground: Ground) -> list[Primitive]:
    """Draw a viewpoint where it is, or an arrow to it at the field's edge, with its name beside it."""
    inner = ground.room.grown(-_EDGE)
    way = _unit((at[0] - inner.centre[0], at[1] - inner.centre[1]))
    if inner.holds(Box(*at, *at)):
        ground.keep_line(_ring(at, EYE))
        return [*eye_mark(at), *(_named(name, at, EYE, way, ground) or [])]
    for tip in _tips(inner, way):
        there = _unit((at[0] - tip[0], at[1] - tip[1]))
        start, middle = ((tip[0] - part * _ARROW * there[0], tip[1] - part * _ARROW * there[1]) for part in (1.0, 0.5))
        if not ground.line_is_free((start, tip)):
            continue
        trial = ground.copy()
        trial.keep_line((start, tip))
        words = _named(name, middle, _ARROW / 2, (-there[0], -there[1]), trial)
        if words is not None:
            ground.take(trial)
            return [*arrow_mark(tip, there), *words]
    return []


def _tips(inner: Box, way: XY) -> Iterator[XY]:
    """Run through places for an arrow's tip: where it points from the middle first, then along that edge."""
    ideal = _on_edge(inner, way)
    level = inner.bottom < ideal[1] < inner.top  # on the left or right edge
    for step in _SIDEWAYS:
        tip = (ideal[0] + (0 if level else step), ideal[1] + (step if level else 0))
        if inner.grown(1e-6).holds(Box(*tip, *tip)):
            yield tip


def _named(name: str, at: XY, near: float, way: XY, ground: Ground) -> list[Primitive] | None:
    """Set a name close to a mark and keep it; None where there is no room."""
    size = (text_width(name, SMALLEST + 1) + 0.6, CAP_HEIGHT * (SMALLEST + 1) * PT + 1.6)
    sides: tuple[XY, ...] = ((0.0, 1.0), (0.0, -1.0), (1.0, 0.0), (-1.0, 0.0))
    for normal in sorted(sides, key=lambda side: -side[0] * way[0] - side[1] * way[1]):
        placed = ground.place(Wanted(at, normal, *size, near=near + 0.6, led=False))
        if placed is not None and _gap(placed, at) < near + _CLOSE:
            ground.keep(placed)
            return [centred(placed.centre, name, SMALLEST + 1, ink=BLACK, kind="viewpoint-name")]
    return None


def _gap(placed: Placed, at: XY) -> float:
    """Return how far a level label is from a place, mm."""
    (left, bottom), _, (right, top), _ = placed.corners
    return math.dist(at, (min(max(at[0], left), right), min(max(at[1], bottom), top)))


def view_mark(view: str, at: XY) -> Circle | None:
    """Return the mark of a seam that is seen (full) or grazed (hollow); hidden has none."""
    if view not in ("seen", "grazed"):
        return None
    return Circle(at, DOT, Style(BLACK, 0.5, fill=BLACK if view == "seen" else WHITE), view)


def eye_mark(at: XY) -> list[Primitive]:
    """Draw a viewpoint: a ring with a dot."""
    return [
        Circle(at, EYE, Style(BLACK, 0.6, fill=WHITE), "viewpoint"),
        Circle(at, EYE * 0.4, Style(BLACK, 0.0, fill=BLACK), "viewpoint"),
    ]


def arrow_mark(tip: XY, way: XY) -> list[Primitive]:
    """Draw an arrow to a viewpoint that is off the map; `way` is the unit vector to it."""
    start = (tip[0] - _ARROW * way[0], tip[1] - _ARROW * way[1])
    left, right = (
        (tip[0] - 1.8 * way[0] - side * way[1], tip[1] - 1.8 * way[1] + side * way[0]) for side in (0.9, -0.9)
    )
    return [
        line(start, tip, style=Style(BLACK, 0.7), kind="viewpoint"),
        Area((tip, left, right), Style(BLACK, 0.4, fill=BLACK), "viewpoint"),
    ]


def _unit(vector: XY) -> XY:
    long = math.hypot(*vector)
    return (vector[0] / long, vector[1] / long) if long else (1.0, 0.0)


def _on_edge(box: Box, way: XY) -> XY:
    """Return where a line from a box's middle leaves it."""
    x, y = box.centre
    across = box.width / 2 / abs(way[0]) if way[0] else math.inf
    up = box.height / 2 / abs(way[1]) if way[1] else math.inf
    reach = min(across, up)
    return (
        min(max(x + reach * way[0], box.left), box.right),
        min(max(y + reach * way[1], box.bottom), box.top),
    )


def _behind(seam: Seam, placing: Placing) -> XY:
    """Return the place behind a seam's tick, on the wall side."""
    x, y = placing.on_paper(np.array([[seam.x, seam.y]]))[0]
    return x + _BEHIND * math.sin(seam.heading), y - _BEHIND * math.cos(seam.heading)


def _ring(at: XY, radius: float) -> Points:
    turns = np.linspace(0.0, math.tau, 9)
    return tuple((at[0] + radius * math.cos(turn), at[1] + radius * math.sin(turn)) for turn in turns.tolist())


def clipped(path: Points, box: Box) -> Iterator[Points]:
    """Yield the parts of a line that lie in a box.

    Examples
    --------
    >>> list(clipped(((-5.0, 1.0), (5.0, 1.0), (5.0, 9.0)), Box(0.0, 0.0, 10.0, 4.0)))
    [((0.0, 1.0), (5.0, 1.0), (5.0, 4.0))]
    """
    part: list[XY] = []
    for a, b in pairwise(path):
        inside = _inside(a, b, box)
        if inside is None or (part and part[-1] != inside[0]):
            if len(part) > 1:
                yield tuple(part)
            part = []
        if inside is not None:
            part = [*(part or [inside[0]]), inside[1]]
    if len(part) > 1:
        yield tuple(part)


def _inside(a: XY, b: XY, box: Box) -> tuple[XY, XY] | None:
    """Return what of a straight lies in a box (Liang and Barsky 1984); None where nothing does."""
    low, high = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for run, gap in ((-dx, a[0] - box.left), (dx, box.right - a[0]), (-dy, a[1] - box.bottom), (dy, box.top - a[1])):
        if run == 0:
            if gap < 0:
                return None
        elif run < 0:
            low = max(low, gap / run)
        else:
            high = min(high, gap / run)
    if low >= high:
        return None
    start = a if low == 0.0 else (a[0] + low * dx, a[1] + low * dy)
    end = b if high == 1.0 else (a[0] + high * dx, a[1] + high * dy)
    return start, end
