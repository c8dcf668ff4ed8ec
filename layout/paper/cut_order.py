"""The strips of a sheet and the order of its cuts, as running stops from squared edges."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from layout.face.plan import SheetCut
from layout.job.model import SheetSpec
from layout.units import format_length

_ONE: Final = 1.0
"""mm within which blanks begin on one line of a strip"""
_EVEN: Final = 0.05
"""mm under which two stops are one, and a trim is none"""


@dataclass(frozen=True)
class Strip:
    """Blanks side by side between two long cuts, mm from the sheet's own lower left corner."""

    low: float
    high: float
    edges: tuple[float, ...]
    """where each of its blanks ends along it, rising"""
    start: float
    """where its first blank begins"""


def strips_of(sheet: SheetCut) -> list[Strip]:
    """Return the strips of a sheet from its lower edge up; from its left end where blanks are turned.

    Examples
    --------
    >>> from layout.face.plan import Cut
    >>> cuts = Cut(1, 0.0, 0.0, 600.0, 400.0), Cut(2, 603.0, 0.0, 300.0, 400.0)
    >>> strips_of(SheetCut(1, 0, length=1000.0, width=500.0, used=0.72, cuts=cuts))
    [Strip(low=0.0, high=400.0, edges=(600.0, 903.0), start=0.0)]
    """
    turned = is_turned(sheet)
    spans = sorted(
        (cut.x, cut.x + cut.length, cut.y, cut.y + cut.height)
        if turned
        else (cut.y, cut.y + cut.height, cut.x, cut.x + cut.length)
        for cut in sheet.cuts
    )
    groups: list[list[tuple[float, float, float, float]]] = []
    for span in spans:
        if groups and span[0] - groups[-1][0][0] < _ONE:
            groups[-1].append(span)
        else:
            groups.append([span])
    return [
        Strip(
            group[0][0],
            max(span[1] for span in group),
            tuple(sorted(span[3] for span in group)),
            min(span[2] for span in group),
        )
        for group in groups
    ]


def is_turned(sheet: SheetCut) -> bool:
    """Tell whether the strips of a sheet run across it."""
    return any(cut.turned for cut in sheet.cuts)


def order_of_cuts(sheet: SheetCut, stock: SheetSpec, units: str) -> str:
    """Return the order of cuts in one line: squaring, long cuts, cross cuts.

    Stops run from the squared edges, kerfs counted.

    Examples
    --------
    >>> from layout.face.plan import Cut
    >>> sheet = SheetCut(1, 0, 1000.0, 500.0, 0.48, (Cut(1, 5.0, 0.0, 600.0, 400.0),))
    >>> order_of_cuts(sheet, SheetSpec(length=1000.0, width=500.0, trim=5.0), "mm").split(". ")[:2]
    ['1 trim the left end square, 5 mm', '2 shear the strip at 400 mm from the lower edge']
    """
    strips = strips_of(sheet)
    turned = is_turned(sheet)
    left, lower = stock.trim, stock.edge_trim
    across, along = (left, lower) if turned else (lower, left)
    edge, part = ("left end", "lower edge") if turned else ("lower edge", "left end")
    kerf = f", kerf {format_length(stock.kerf, units)} counted" if stock.kerf > _EVEN else ""
    steps = [_squaring(left, lower, units)]
    if any(abs(strip.high - (sheet.length if turned else sheet.width)) > _EVEN for strip in strips):
        stops = _listed([strip.high - across for strip in strips], units)
        what = "the strip" if len(strips) == 1 else "strips"
        verb = "saw" if kerf else "shear"
        steps.append(f"{verb} {what} at {stops} from the {edge}{kerf}")
    steps.append(_crosscuts(strips, along, units))
    if turned:
        steps[-1] += f" from the {part}"
    return " ".join(f"{i} {step}." for i, step in enumerate(steps, 1))


def _squaring(left: float, lower: float, units: str) -> str:
    trims = [
        f"{name}, {format_length(trim, units)}"
        for name, trim in (("left end square", left), ("lower edge", lower))
        if trim > _EVEN
    ]
    return f"trim the {' and the '.join(trims)}" if trims else "square the left end"


def _crosscuts(strips: list[Strip], along: float, units: str) -> str:
    stops = [_listed([edge - along for edge in strip.edges], units) for strip in strips]
    if len(set(stops)) == 1:
        return f"crosscut {'it' if len(strips) == 1 else 'each strip'} at {stops[0]}"
    rows = [f"strip {i} at {words}" for i, words in enumerate(stops, 1)]
    return f"crosscut {'; '.join(rows)}"


def _listed(stops: list[float], units: str) -> str:
    return ", ".join(format_length(stop, units) for stop in stops)
