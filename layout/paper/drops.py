"""What is left of a sheet when its blanks are cut by straight cuts from edge to edge: rectangles."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from layout.face.plan import Cut, SheetCut
from layout.job.model import SheetSpec
from layout.paper.primitives import Box

KEPT: Final = 25.4
"""mm, narrowest piece that is shown as a drop; thinner ones are scrap (assumed)"""
_SAME: Final = 0.01
"""mm within which two cuts lie on one line"""


def drops_of(sheet: SheetCut, stock: SheetSpec | None = None) -> list[Box]:
    """Return the usable drops of a sheet, largest first; x along its length, y across, mm.

    The trims of the stock are not counted in, and every cut takes its kerf off the drop beside it.
    Without a stock there are neither.

    Examples
    --------
    >>> blank = Cut(panel=1, x=0.0, y=0.0, length=600.0, height=400.0)
    >>> sheet = SheetCut(1, 0, length=1000.0, width=500.0, used=0.48, cuts=(blank,))
    >>> for drop in drops_of(sheet):
    ...     print(drop)
    Box(left=600.0, bottom=0.0, right=1000.0, top=400.0)
    Box(left=0.0, bottom=400.0, right=1000.0, top=500.0)
    >>> drops_of(sheet, SheetSpec(length=1000.0, width=500.0, kerf=3.0))[0]
    Box(left=603.0, bottom=0.0, right=1000.0, top=400.0)
    """
    trim, edge_trim, kerf = (stock.trim, stock.edge_trim, stock.kerf) if stock else (0.0, 0.0, 0.0)
    whole = Box(trim, edge_trim, sheet.length - trim, sheet.width - edge_trim)
    turned = any(cut.turned for cut in sheet.cuts)
    found = [
        drop
        for drop in _left(whole, [_box(cut) for cut in sheet.cuts], kerf, upright=turned)
        if min(drop.width, drop.height) >= KEPT
    ]
    return sorted(found, key=lambda drop: (-drop.width * drop.height, drop.left, drop.bottom))


def _box(cut: Cut) -> Box:
    return Box(cut.x, cut.y, cut.x + cut.length, cut.y + cut.height)


def _left(region: Box, blanks: Sequence[Box], kerf: float, *, upright: bool) -> Iterator[Box]:
    """Cut a region along a free line, first in the direction given, until every part is blank or drop."""
    if not blanks:
        yield region
        return
    for way in (upright, not upright):
        saw = _free_cut(region, blanks, kerf, upright=way)
        if saw is not None:
            for part in _parted(region, saw, upright=way):
                inside = [blank for blank in blanks if part.grown(_SAME).holds(blank)]
                yield from _left(part, inside, kerf, upright=upright)
            return


def _parted(region: Box, saw: tuple[float, float], *, upright: bool) -> Iterator[Box]:
    """Return what a cut from one line to the other leaves on its two sides."""
    low, high = saw
    if upright:
        if low > region.left:
            yield Box(region.left, region.bottom, low, region.top)
        if high < region.right:
            yield Box(high, region.bottom, region.right, region.top)
        return
    if low > region.bottom:
        yield Box(region.left, region.bottom, region.right, low)
    if high < region.top:
        yield Box(region.left, high, region.right, region.top)


def _free_cut(region: Box, blanks: Sequence[Box], kerf: float, *, upright: bool) -> tuple[float, float] | None:
    """Return both sides of the first cut along a blank's edge that the region allows; None without one."""
    spans = [(b.left, b.right) if upright else (b.bottom, b.top) for b in blanks]
    low, high = (region.left, region.right) if upright else (region.bottom, region.top)
    cuts = {(start, start - kerf, start) for start, _ in spans} | {(end, end, end + kerf) for _, end in spans}
    for at, near, far in sorted(cuts):
        inside = low + _SAME < at < high - _SAME
        if inside and all(end <= near + _SAME or start >= far - _SAME for start, end in spans):
            return near, far
    return None
