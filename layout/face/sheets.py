"""Panels out of sheets: blanks for the solver, and its cuttings as numbered sheets."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from layout.errors import CheckFailed, NoPlan
from layout.face.blanks import MICRO, micro, usable
from layout.face.plan import Cut, Panel, Proof, SheetCut
from layout.job.model import Job, SheetSpec
from layout.units import format_length
from solver import cutting
from solver.problems import Cutting, Piece, Stock
from solver.verify_cutting import verify_cutting


@dataclass(frozen=True)
class Sheeting:
    """Sheets as cut, the panels with their sheets, and the proof of their number."""

    sheets: tuple[SheetCut, ...]
    panels: tuple[Panel, ...]
    proof: Proof


def stock_of(sheet: SheetSpec) -> Stock:
    """Return a stock size as the solver sees it, between its trims."""
    length, width = usable(sheet)
    return Stock(
        length=micro(length),
        width=micro(width),
        count=sheet.count,
        kerf=micro(sheet.kerf),
        along=sheet.scallops != "along",
        across=sheet.scallops != "across",
    )


def cut_sheets(job: Job, panels: Sequence[Panel]) -> Sheeting:
    """Cut all blanks from the fewest sheets.

    Raises
    ------
    NoPlan
        Where the sheets on hand do not do.
    CheckFailed
        Where the solver's own check disagrees with its cutting: a defect of the program.
    """
    kinds: dict[tuple[int, int], list[int]] = defaultdict(list)
    for panel in panels:
        kinds[micro(panel.blank_length), micro(panel.blank_height)].append(panel.number)
    sizes = sorted(kinds, reverse=True)
    pieces = [Piece(length, height, len(kinds[length, height])) for length, height in sizes]
    stocks = [stock_of(sheet) for sheet in job.sheets]
    objectives = [[1] * len(stocks)]
    result = cutting.cut(pieces, stocks, objectives)
    if result.cuttings is None:
        raise NoPlan(
            "the sheets on hand are not enough for these panels",
            ["Allow more sheets (sheet.count), or give another [[sheet]] size"],
        )
    findings = verify_cutting(pieces, stocks, objectives, result)
    if findings:
        raise CheckFailed(findings)
    waiting = {index: list(kinds[size]) for index, size in enumerate(sizes)}
    drafts = [_sheet(job, panels, one, waiting) for one in result.cuttings for _ in range(one.times)]
    drafts.sort(key=lambda sheet: min(cut.panel for cut in sheet.cuts))
    sheets = tuple(replace(sheet, number=k + 1) for k, sheet in enumerate(drafts))
    home = {cut.panel: sheet.number for sheet in sheets for cut in sheet.cuts}
    met = result.met[0]
    return Sheeting(
        sheets,
        tuple(replace(panel, sheet=home[panel.number]) for panel in panels),
        Proof("sheets", met.value, met.bound, met.proved),
    )


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
