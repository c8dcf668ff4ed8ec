"""Panels shared over the rows of a developed elevation."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from layout.face.plan import Panel, Plan
from layout.paper.map_view import panel_stations

_GAP: Final = 9.0
"""mm between runs that share a row"""


@dataclass(frozen=True)
class Piece:
    """A panel as placed in a row."""

    panel: Panel
    left: float
    """mm on paper from the row's left end"""
    start: float
    """mm, station of its left edge; past the datum it runs on"""
    end: float
    lap: float = math.inf
    """mm, the back line's length where it is a loop: past it stations begin anew"""


def rows_of(plan: Plan, ratio: float, width: float) -> list[list[Piece]]:
    """Share whole panels over the fewest rows, about equally long."""
    rows = _filled(plan, ratio, width)
    for share in (0.5, 0.6, 0.7, 0.8, 0.9):
        shorter = _filled(plan, ratio, width * share)
        if len(shorter) == len(rows):
            return shorter
    return rows


def _filled(plan: Plan, ratio: float, width: float) -> list[list[Piece]]:
    """Fill rows with whole panels; a new run stands off from the one before."""
    rows: list[list[Piece]] = [[]]
    x = 0.0
    for panel in plan.panels:
        start, end = panel_stations(plan, panel)
        row = rows[-1]
        if row and row[-1].panel.run != panel.run:
            x += _GAP
        if row and x + (end - start) / ratio > width:
            rows.append(row := [])
            x = 0.0
        lines = plan.lines[plan.runs[panel.run - 1].outline]
        lap = lines.back.length if lines.closed else math.inf
        row.append(Piece(panel, x, start, end, lap))
        x += (end - start) / ratio
    return rows
