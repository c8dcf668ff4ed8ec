"""What is left of a sheet when its blanks are cut by straight cuts from edge to edge: rectangles."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from layout.face.plan import Cut, SheetCut
from layout.paper.primitives import Box

KEPT: Final = 25.4
"""mm, narrowest piece that is shown as a drop; thinner ones are scrap (assumed)"""
_SAME: Final = 0.01
"""mm within which two cuts lie on one line"""


def drops_of(sheet: SheetCut) -> list[Box]:
    """Return the drops of a sheet, largest first; x along its length, y across, mm.

    Examples
    --------
    >>> blank = Cut(panel=1, x=0.0, y=0.0, length=600.0, height=400.0)
    >>> for drop in drops_of(SheetCut(1, 0, length=1000.0, width=500.0, used=0.48, cuts=(blank,))):
    ...     print(drop)
    Box(left=600.0, bottom=0.0, right=1000.0, top=400.0)
    Box(left=0.0, bottom=400.0, right=1000.0, top=500.0)
    """
    whole = Box(0.0, 0.0, sheet.length, sheet.width)
    turned = any(cut.turned for cut in sheet.cuts)
    found = [
        drop
        for drop in _left(whole, [_box(cut) for cut in sheet.cuts], upright=turned)
        if min(drop.width, drop.height) >= KEPT
    ]
    return sorted(found, key=lambda drop: (-drop.width * drop.height, drop.left, drop.bottom))


def _box(cut: Cut) -> Box:
    return Box(cut.x, cut.y, cut.x + cut.length, cut.y + cut.height)


def _left(region: Box, blanks: Sequence[Box], *, upright: bool) -> Iterator[Box]:
    """Cut a region along a free line, first in the direction given, until every part is blank or drop."""
    if not blanks:
        yield region
        return
    for way in (upright, not upright):
        at = _free_line(region, blanks, upright=way)
        if at is not None:
            near, far = _parted(region, at, upright=way)
            for part in (near, far):
                inside = [blank for blank in blanks if part.grown(_SAME).holds(blank)]
                yield from _left(part, inside, upright=upright)
            return


def _parted(region: Box, at: float, *, upright: bool) -> tuple[Box, Box]:
    if upright:
        return (
            Box(region.left, region.bottom, at, region.top),
            Box(at, region.bottom, region.right, region.top),
        )
    return Box(region.left, region.bottom, region.right, at), Box(region.left, at, region.right, region.top)


def _free_line(region: Box, blanks: Sequence[Box], *, upright: bool) -> float | None:
    """Return the first edge of a blank along which the region can be cut; None where there is none."""
    spans = [(b.left, b.right) if upright else (b.bottom, b.top) for b in blanks]
    low, high = (region.left, region.right) if upright else (region.bottom, region.top)
    for at in sorted({edge for span in spans for edge in span}):
        inside = low + _SAME < at < high - _SAME
        if inside and all(b <= at + _SAME or a >= at - _SAME for a, b in spans):
            return at
    return None
