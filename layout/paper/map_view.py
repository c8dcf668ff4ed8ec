"""What a seam map shows: the whole plan, or a part of it that a paper can hold with all its numbers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from string import ascii_lowercase

import numpy as np
from numpy.typing import NDArray

from layout.face.plan import Lines, Panel, Plan, Seam, Stretch
from layout.job.model import OutlineSpec

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Window:
    """A stretch of one outline."""

    lines: Lines
    spec: OutlineSpec
    start: float
    """mm, station"""
    end: float
    """mm, station; may pass a loop's length"""

    @property
    def length(self) -> float:
        """Length of the stretch on the back line, mm."""
        return self.end - self.start

    @property
    def has_datum(self) -> bool:
        """Whether station 0 is in it."""
        return self.start <= 0.0 or (self.lines.closed and self.end >= self.lines.back.length)

    def stations(self, tolerance: float) -> Floats:
        """Return rising stations for drawing, chords within `tolerance` mm, both ends included."""
        mesh = self.lines.back.mesh(tolerance=tolerance)
        laps = [mesh, mesh + self.lines.back.length] if self.lines.closed else [mesh]
        found = np.concatenate(laps)
        inner = found[(found > self.start) & (found < self.end)]
        even = np.linspace(self.start, self.end, 121)
        return np.unique(np.concatenate([inner, even]))


@dataclass(frozen=True, eq=False)
class Marked:
    """A seam-free stretch as shown: its letter and what of it is seen."""

    letter: str
    stretch: Stretch
    lines: Lines
    start: float
    end: float
    """mm, station; past the datum it runs on"""


@dataclass(frozen=True, eq=False)
class View:
    """What one map shows."""

    plan: Plan
    windows: tuple[Window, ...]
    seams: tuple[Seam, ...]
    panels: tuple[Panel, ...]
    stretches: tuple[Marked, ...]
    beside: tuple[tuple[float, float], ...] = ()
    """mm, places in plan off the face that must be on the paper too"""
    meets: tuple[int | None, int | None] = (None, None)
    """of a part: the parts, 1 first, that its left and its right end go on in; None at an end of a run"""

    @property
    def length(self) -> float:
        """Length of face shown, mm."""
        return sum(window.length for window in self.windows)


def whole_view(plan: Plan) -> View:
    """Show everything."""
    windows = tuple(
        Window(lines, spec, 0.0, lines.back.length) for lines, spec in zip(plan.lines, plan.job.outlines, strict=True)
    )
    marked = (
        Marked(letter, stretch, plan.lines[stretch.outline], *extent_of(plan, stretch))
        for letter, stretch in zip(letters(), plan.stretches, strict=False)
    )
    return View(plan, windows, plan.seams, plan.panels, tuple(marked))


def part_views(plan: Plan, most: int) -> list[View]:
    """Show the plan in parts of at most `most` panels, run by run, about equally long."""
    views: list[View] = []
    for run in plan.runs:
        panels = [panel for panel in plan.panels if panel.run == run.number]
        count = math.ceil(len(panels) / most)
        cuts = [round(i * len(panels) / count) for i in range(count + 1)]
        parts = [_part(plan, panels[a:b]) for a, b in pairwise(cuts)]
        before = len(views)
        for i, part in enumerate(parts):
            left = (i - 1) % count if i or run.closed else None
            right = (i + 1) % count if i + 1 < count or run.closed else None
            meets = tuple(None if k is None or count == 1 else before + k + 1 for k in (left, right))
            views.append(replace(part, meets=(meets[0], meets[1])))
    return views


def _part(plan: Plan, panels: list[Panel]) -> View:
    outline = plan.runs[panels[0].run - 1].outline
    start, end = panel_stations(plan, panels[0])[0], panel_stations(plan, panels[-1])[1]
    window = Window(plan.lines[outline], plan.job.outlines[outline], start, end)
    shown = {panel.left_seam for panel in panels} | {panels[-1].right_seam}
    marked = (
        Marked(letter, stretch, window.lines, *seen)
        for letter, stretch in zip(letters(), plan.stretches, strict=False)
        if stretch.outline == outline
        for seen in _seen(window, *extent_of(plan, stretch))
    )
    return View(
        plan,
        (window,),
        tuple(seam for seam in plan.seams if seam.number in shown),
        tuple(panels),
        tuple(marked),
    )


def _seen(window: Window, start: float, end: float) -> Iterator[tuple[float, float]]:
    """Return what of a stretch lies in a window, on any lap."""
    length = window.lines.back.length
    for lap in (-length, 0.0, length) if window.lines.closed else (0.0,):
        low, high = max(start + lap, window.start), min(end + lap, window.end)
        if high - low > 1.0:
            yield low, high


def extent_of(plan: Plan, stretch: Stretch) -> tuple[float, float]:
    """Return a stretch's stations, rising; past the datum they run on."""
    back = plan.lines[stretch.outline].back
    wraps = back.closed and stretch.end <= stretch.start
    return stretch.start, stretch.end + (back.length if wraps else 0.0)


def panel_stations(plan: Plan, panel: Panel) -> tuple[float, float]:
    """Return the back-line stations of a panel's edges, rising; past the datum they run on."""
    run = plan.runs[panel.run - 1]

    def station(boundary: int) -> float:
        laps, rest = divmod(boundary, run.scallops) if run.closed else (0, boundary)
        return float(run.stations[rest] + laps * (run.stations[-1] - run.stations[0]))

    return station(panel.first_scallop), station(panel.first_scallop + panel.scallops)


def letters() -> Iterator[str]:
    """Run through a, b, … z, aa, ab and so on.

    Examples
    --------
    >>> from itertools import islice
    >>> list(islice(letters(), 25, 28))
    ['z', 'aa', 'ab']
    """
    yield from ascii_lowercase
    for first in ascii_lowercase:
        yield from (first + second for second in ascii_lowercase)
