"""How a map sits on its paper: upright or lying, its legend beside or below, and at which scale."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.paper.frame import Scale, choose_scale, paper_of, room_box
from layout.paper.legend import FOOT, SIDE
from layout.paper.map_face import Placing
from layout.paper.map_view import View, Window
from layout.paper.primitives import Box

_LEAST: Final = (5.0, 5.0)
"""mm beside and above the face at the largest scale that is tried (assumed)"""
_AMPLE: Final = (40.0, 34.0)
"""mm beside and above the face at the smallest scale that is tried: three rows of numbers (assumed)"""
_NOTE: Final = 4.0
"""mm under the field, for a note"""
_GAP: Final = 3.0
"""mm between map and legend"""


@dataclass(frozen=True)
class Fit:
    """One way to lay a map on paper."""

    scale: Scale
    placing: Placing
    field: Box
    """where face and numbers may stand, mm"""
    legend: Box
    """where the legend may stand, mm"""
    below: bool
    """the legend stands under the map, in columns"""
    portrait: bool


def fits(view: View, times: float = 1.0) -> list[Fit]:
    """Return the ways to lay a map on a paper, largest scale first; of equals, lying and beside first."""
    ways = [(below, False) for below in (False, True)]
    low, high = _extent(view)
    if high[1] - low[1] > high[0] - low[0]:
        ways += [(below, True) for below in (False, True)]
    found = [fit for way in ways for fit in _fits_one_way(view, times, *way)]
    return sorted(found, key=lambda fit: fit.scale.ratio)


def _fits_one_way(view: View, times: float, below: bool, portrait: bool) -> Iterator[Fit]:
    room = room_box(paper_of(view.plan.job), times, portrait=portrait)
    if below:
        legend = Box(room.left, room.bottom, room.right, room.bottom + FOOT)
        field = Box(room.left, legend.top + _GAP + _NOTE, room.right, room.top)
    else:
        legend = Box(room.right - SIDE, room.bottom, room.right, room.top)
        field = Box(room.left, room.bottom + _NOTE, legend.left - _GAP, room.top)
    low, high = _extent(view)
    extent = (high[0] - low[0], high[1] - low[1])
    for scale in _scales(extent, field, view.plan.job.units):
        middle = ((low[0] + high[0]) / 2 / scale.ratio, (low[1] + high[1]) / 2 / scale.ratio)
        placing = Placing(scale.ratio, field.centre[0] - middle[0], field.centre[1] - middle[1])
        yield Fit(scale, placing, field, legend, below, portrait)


def _scales(extent: tuple[float, float], field: Box, units: str) -> Iterator[Scale]:
    """Run through the scales from the largest that holds the face to one with ample room around it."""

    def with_margin(margin: tuple[float, float]) -> Scale:
        room = (field.width - 2 * margin[0], field.height - 2 * margin[1])
        return choose_scale(extent, room, units)

    scale, last = with_margin(_LEAST), with_margin(_AMPLE)
    yield scale
    while scale.ratio < last.ratio:
        scale = choose_scale((scale.ratio * 1.001, 0.0), (1.0, 1.0), units)
        yield scale


def _extent(view: View) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the lower left and the upper right corner of what is shown, plan mm."""
    beside = np.array(view.beside, dtype=np.float64).reshape(-1, 2)
    corners = np.concatenate([*(_points(window) for window in view.windows), beside])
    (left, bottom), (right, top) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    return (left, bottom), (right, top)


def _points(window: Window) -> np.ndarray:
    """Return points of crest line and outline as drawn that span a window, shape (n, 2)."""
    lines = window.lines
    if window.start <= 0.0 and window.end >= lines.back.length:
        bounds = np.array([chain.bounds for chain in (lines.crest, lines.drawn)])
        return np.concatenate([bounds[:, :2], bounds[:, 2:]])
    stations = np.linspace(window.start, window.end, 241)
    chains = (lines.crest, lines.drawn)
    return np.concatenate([chain.point(lines.back.carry(stations, onto=chain)) for chain in chains])
