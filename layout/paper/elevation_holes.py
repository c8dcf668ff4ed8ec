"""Where cut-outs are on the face rolled out flat."""

from __future__ import annotations

import math
from collections.abc import Iterator

from layout.face.plan import Panel, Plan


def holes_on(
    plan: Plan, panel: Panel, span: tuple[float, float, float]
) -> Iterator[tuple[str, float, float, float, float]]:
    """Yield every cut-out of a panel: name, stations of its sides, its lower and upper edge over the face's bottom.

    Parameters
    ----------
    span
        Stations of the panel's edges, rising, and the back line's length where it is a loop, else infinite, mm.
    """
    start, end, lap = span
    asked = {cutout.name: cutout for cutout in plan.job.cutouts}
    for hole in plan.cutouts:
        cutout = asked[hole.name]
        places = [cutout.at] if math.isinf(lap) else [cutout.at, cutout.at + lap]
        at = next((place for place in places if start <= place <= end), None)
        if hole.panel == panel.number and at is not None:
            half = cutout.width / 2
            yield cutout.name, at - half, at + half, cutout.up, cutout.up + cutout.height
