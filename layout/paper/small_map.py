"""The whole plan, small: walls and seams, and a panel picked out."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from layout.face.plan import Panel, Plan, Seam
from layout.paper.ink import BLACK, END_TICK, QUIET, RULED, SEAM, WHITE
from layout.paper.map_view import panel_stations
from layout.paper.primitives import Area, Box, Lines, Points, Primitive, Style, rectangle

_WALL = Style(QUIET, 0.5)
_FACE = Style(BLACK, 1.0)
_HERE = Style(SEAM, 3.0)
_TICK = Style(SEAM, 1.2)
_BORDER = 3.0
"""mm left free inside the picture"""


class SmallMap:
    """A plan brought to a picture of one size."""

    def __init__(self, plan: Plan, size: tuple[float, float]) -> None:
        self._plan = plan
        bounds = np.array([lines.back.bounds for lines in plan.lines])
        low, high = bounds[:, :2].min(axis=0), bounds[:, 2:].max(axis=0)
        self._middle = (low + high) / 2
        extent = zip((high - low).tolist(), size, strict=True)
        self._ratio = max(side / (room - _BORDER) for side, room in extent)
        self._walls = [lines.back.sample(tolerance=0.08 * self._ratio) for lines in plan.lines]

    def picked(self, panel: Panel, box: Box) -> Iterator[Primitive]:
        """Draw the walls in a frame, the panel on them, and the datum of its wall."""
        yield rectangle(box, RULED, kind="thumbnail-frame")
        for wall in self._walls:
            yield Lines((self._put(wall, box),), _WALL, "thumbnail")
        outline = self._plan.runs[panel.run - 1].outline
        here = self._plan.lines[outline].back.point(np.linspace(*panel_stations(self._plan, panel), 16))
        yield Lines((self._put(here, box),), _HERE, "thumbnail-panel")
        yield self._datum(outline, box)

    def whole(self, box: Box) -> Iterator[Primitive]:
        """Draw the face with a tick at every seam and every end of a run, and the datum of every wall."""
        for wall in self._walls:
            yield Lines((self._put(wall, box),), _FACE, "thumbnail")
        ticks = [(seam.end, self._tick(seam, box)) for seam in self._plan.seams]
        yield Lines(tuple(tick for end, tick in ticks if not end), _TICK, "thumbnail-seam")
        yield Lines(tuple(tick for end, tick in ticks if end), END_TICK, "thumbnail-end")
        for outline in range(len(self._plan.lines)):
            yield self._datum(outline, box)

    def _tick(self, seam: Seam, box: Box) -> Points:
        """Return a seam's tick across the face; an end of a run has one on the viewer's side alone."""
        ((x, y),) = self._put(np.array([(seam.x, seam.y)]), box)
        across = (1.3 * math.sin(seam.heading), -1.3 * math.cos(seam.heading))
        back = 0.0 if seam.end else 1.0
        return (x - back * across[0], y - back * across[1]), (x + across[0], y + across[1])

    def _datum(self, outline: int, box: Box) -> Primitive:
        back = self._plan.lines[outline].back
        ((x, y),) = self._put(back.point(np.array([0.0])), box)
        return Area(((x, y - 0.9), (x - 0.8, y + 0.6), (x + 0.8, y + 0.6)), Style(BLACK, 0.3, fill=WHITE), "datum")

    def _put(self, points: NDArray[np.float64], box: Box) -> Points:
        x0, y0 = box.centre
        left, low = self._middle.tolist()
        return tuple((x0 + (float(x) - left) / self._ratio, y0 + (float(y) - low) / self._ratio) for x, y in points)
