"""The strips of a sheet and the order of its cuts, as running stops from squared edges, each cut with its number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from layout.face.plan import SheetCut
from layout.job.model import SheetSpec
from layout.units import format_length

_ONE: Final = 1.0
"""mm within which blanks begin on one line of a strip"""
_EVEN: Final = 0.05
"""mm under which two stops are one, and a trim is none"""

SQUARE: Final = "square"
LONG: Final = "long"
CROSS: Final = "cross"
TRIM: Final = "trim"


@dataclass(frozen=True)
class Strip:
    """Blanks side by side between two long cuts, mm from the sheet's own lower left corner."""

    low: float
    high: float
    edges: tuple[float, ...]
    """where each of its blanks ends along it, rising"""
    start: float
    """where its first blank begins"""
    lower: tuple[tuple[int, float, float], ...] = ()
    """panel, where its blank begins along it, and its height, of blanks that are lower than the strip"""


@dataclass(frozen=True)
class Pass:
    """One cut of a shear or a saw."""

    number: int
    """1 first"""
    kind: str
    """square · long · cross · trim"""
    strip: int
    """strip that it is made on, 0 the lowest; of a long cut, the one that it cuts off"""
    at: float
    """mm from the sheet's own edge: the left end or the lower edge, whichever its strips are counted from"""
    stop: float
    """mm from the squared edge"""
    panel: int = 0
    """whose blank a trim makes lower"""


def strips_of(sheet: SheetCut) -> list[Strip]:
    """Return the strips of a sheet from its lower edge up; from its left end where blanks are turned.

    Examples
    --------
    >>> from layout.face.plan import Cut
    >>> cuts = Cut(1, 0.0, 0.0, 600.0, 400.0), Cut(2, 603.0, 0.0, 300.0, 400.0)
    >>> strips_of(SheetCut(1, 0, length=1000.0, width=500.0, used=0.72, cuts=cuts))
    [Strip(low=0.0, high=400.0, edges=(600.0, 903.0), start=0.0, lower=())]
    """
    turned = is_turned(sheet)
    spans = sorted(
        (cut.x, cut.x + cut.length, cut.y, cut.y + cut.height, cut.panel)
        if turned
        else (cut.y, cut.y + cut.height, cut.x, cut.x + cut.length, cut.panel)
        for cut in sheet.cuts
    )
    groups: list[list[tuple[float, float, float, float, int]]] = []
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
            _lower(group),
        )
        for group in groups
    ]


def _lower(group: Sequence[tuple[float, float, float, float, int]]) -> tuple[tuple[int, float, float], ...]:
    """Return panel, beginning and height of the blanks of a strip that are lower than it."""
    high = max(span[1] for span in group)
    blanks = sorted((span[2], span[4], span[1] - span[0]) for span in group if high - span[1] > _EVEN)
    return tuple((panel, start, height) for start, panel, height in blanks)


def is_turned(sheet: SheetCut) -> bool:
    """Tell whether the strips of a sheet run across it."""
    return any(cut.turned for cut in sheet.cuts)


def passes_of(sheet: SheetCut, stock: SheetSpec) -> list[Pass]:
    """Return the cuts of a sheet in their order: square one end off one straight edge, long cuts, cross cuts.

    An edge that is the sheet's own is not cut again. Last, blanks that are lower than their strip are cut to height.

    Examples
    --------
    >>> from layout.face.plan import Cut
    >>> sheet = SheetCut(1, 0, 1000.0, 500.0, 0.48, (Cut(1, 5.0, 0.0, 600.0, 400.0),))
    >>> [(one.number, one.kind, one.stop) for one in passes_of(sheet, SheetSpec(length=1000.0, width=500.0, trim=5.0))]
    [(1, 'square', 5.0), (2, 'long', 400.0), (3, 'cross', 600.0)]
    """
    strips, turned = strips_of(sheet), is_turned(sheet)
    across, along = (stock.trim, stock.edge_trim) if turned else (stock.edge_trim, stock.trim)
    whole, end = (sheet.length, sheet.width) if turned else (sheet.width, sheet.length)
    squares = [stock.trim] + ([stock.edge_trim] if stock.edge_trim > _EVEN else [])
    found: list[tuple[str, int, float, float]] = [(SQUARE, k, trim, trim) for k, trim in enumerate(squares)]
    found += [
        (LONG, k, strip.high, strip.high - across) for k, strip in enumerate(strips) if abs(strip.high - whole) > _EVEN
    ]
    found += [
        (CROSS, k, edge, edge - along)
        for k, strip in enumerate(strips)
        for edge in strip.edges
        if abs(edge - end) > _EVEN
    ]
    lower = [
        (k, strip.low + height, height, panel) for k, strip in enumerate(strips) for panel, _, height in strip.lower
    ]
    passes = [Pass(i, *one) for i, one in enumerate(found, 1)]
    return [*passes, *(Pass(i, TRIM, *one) for i, one in enumerate(lower, len(found) + 1))]


def order_of_cuts(sheet: SheetCut, stock: SheetSpec, units: str) -> str:
    """Return the order of cuts in words: squaring, long cuts, cross cuts, each with its number and its stop.

    Stops run from the squared edges, kerfs counted.

    Examples
    --------
    >>> from layout.face.plan import Cut
    >>> sheet = SheetCut(1, 0, 1000.0, 500.0, 0.48, (Cut(1, 5.0, 0.0, 600.0, 400.0),))
    >>> order_of_cuts(sheet, SheetSpec(length=1000.0, width=500.0, trim=5.0), "mm").split(". ")[:2]
    ['Square: 1 the left end, 5 mm off', 'Shear from the lower edge: 2 at 400 mm']
    """
    passes, turned = passes_of(sheet, stock), is_turned(sheet)
    edge, part = ("left end", "lower edge") if turned else ("lower edge", "left end")
    squares, longs, crosses = ([one for one in passes if one.kind == kind] for kind in (SQUARE, LONG, CROSS))
    kerf = f", kerf {format_length(stock.kerf, units)} counted" if stock.kerf > _EVEN else ""
    parts = [f"Square: {', '.join(_squaring(one, units) for one in squares)}"]
    if longs:
        parts.append(f"{'Saw' if kerf else 'Shear'} from the {edge}: {_stops(longs, units)}{kerf}")
    several = len(strips_of(sheet)) > 1
    for strip in sorted({one.strip for one in crosses}):
        mine = [one for one in crosses if one.strip == strip]
        named = f" strip {strip + 1}" if several else ""
        parts.append(f"Crosscut{named} from the {part}: {_stops(mine, units)}")
    parts += [
        f"Then {one.number} panel {one.panel} to {format_length(one.stop, units)} high, from its {edge}"
        for one in passes
        if one.kind == TRIM
    ]
    return " ".join(f"{words}." for words in parts)


def _squaring(one: Pass, units: str) -> str:
    name = "the lower edge" if one.strip else "the left end"
    return f"{one.number} {name}" + (f", {format_length(one.at, units)} off" if one.at > _EVEN else "")


def _stops(passes: Sequence[Pass], units: str) -> str:
    return ", ".join(f"{one.number} at {format_length(one.stop, units)}" for one in passes)
