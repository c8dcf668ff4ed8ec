"""Panels out of sheets: the solver's cuttings as numbered sheets with every blank in its place."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from layout.face.blanks import MICRO, micro
from layout.face.plan import Cut, Panel, SheetCut
from layout.job.model import Job
from layout.units import format_length
from solver.problems import Cutting, Piece


@dataclass(frozen=True)
class Sheeting:
    """Sheets as cut, and the panels with their sheets."""

    sheets: tuple[SheetCut, ...]
    panels: tuple[Panel, ...]


def sheets_of(job: Job, panels: Sequence[Panel], pieces: Sequence[Piece], cuttings: Sequence[Cutting]) -> Sheeting:
    """Lay the panels into the cuttings, in the order of their numbers, and number the sheets by their first panel.

    `pieces` are the sizes that the cuttings speak of, µm.
    """
    sizes: dict[tuple[int, int], list[int]] = defaultdict(list)
    for panel in panels:
        sizes[micro(panel.blank_length), micro(panel.blank_height)].append(panel.number)
    waiting = {index: sizes[piece.length, piece.height] for index, piece in enumerate(pieces)}
    drafts = [_sheet(job, panels, one, waiting) for one in cuttings for _ in range(one.times)]
    drafts.sort(key=lambda sheet: min(cut.panel for cut in sheet.cuts))
    sheets = tuple(replace(sheet, number=k + 1) for k, sheet in enumerate(drafts))
    home = {cut.panel: sheet.number for sheet in sheets for cut in sheet.cuts}
    return Sheeting(sheets, tuple(replace(panel, sheet=home[panel.number]) for panel in panels))


def _sheet(job: Job, panels: Sequence[Panel], way: Cutting, waiting: dict[int, list[int]]) -> SheetCut:
    """Lay the next waiting panels on one sheet cut this way."""
    spec = job.sheets[way.stock]
    cuts = []
    for strip in way.strips:
        for kind, start in zip(strip.pieces, strip.starts, strict=True):
            panel = panels[waiting[kind].pop(0) - 1]
            along, over = start / MICRO, strip.offset / MICRO
            x, y = (over, along) if way.turned else (along, over)
            size = (panel.blank_length, panel.blank_height)
            length, height = size[::-1] if way.turned else size
            cuts.append(Cut(panel.number, spec.trim + x, spec.edge_trim + y, length, height, way.turned))
    used = sum(cut.length * cut.height for cut in cuts) / (spec.length * spec.width)
    return SheetCut(0, way.stock, spec.length, spec.width, used, tuple(cuts))


def stock_name(job: Job, stock: int) -> str:
    """Return a stock size in words for people, length × width; remnants say so."""
    sheet = job.sheets[stock]
    name = f"{format_length(sheet.length, job.units)} × {format_length(sheet.width, job.units)}"
    return f"{name} remnant" if sheet.remnant else name
