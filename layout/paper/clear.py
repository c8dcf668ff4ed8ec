"""Room for words in a box that holes take parts of."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from layout.paper.frame import SMALLEST
from layout.paper.ink import BLACK, WHITE
from layout.paper.letters import text_width
from layout.paper.primitives import Box, Primitive, Style, centred, rectangle

CLEAR = 0.5
"""mm kept between words and a hole"""


def largest_free(box: Box, holes: Sequence[Box]) -> Box:
    """Return the largest level part of a box that no hole reaches into; the box itself where none is left.

    Examples
    --------
    >>> largest_free(Box(0, 0, 100, 40), [Box(70, 10, 80, 20)])
    Box(left=0, bottom=0, right=69.5, top=40)
    """
    kept = [hole.grown(CLEAR) for hole in holes]
    xs = sorted({box.left, box.right, *(side for hole in kept for side in (hole.left, hole.right))})
    xs = [x for x in xs if box.left <= x <= box.right]
    parts = []
    for i, left in enumerate(xs):
        for right in xs[i + 1 :]:
            inside = [hole for hole in kept if hole.left < right and left < hole.right]
            levels = [(box.bottom, box.bottom), *sorted((hole.bottom, hole.top) for hole in inside), (box.top, box.top)]
            parts += [Box(left, low, right, high) for low, high in _gaps(levels) if high > low]
    return max(parts, key=lambda part: (part.width * part.height, -part.left, -part.bottom), default=box)


def _gaps(levels: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return what lies between spans sorted by their lower end."""
    gaps, reached = [], levels[0][1]
    for (_, _), (low, high) in pairwise(levels):
        gaps.append((reached, low))
        reached = max(reached, high)
    return gaps


def name_beside(name: str, hole: Box, room: Box, taken: list[Box]) -> list[Primitive]:
    """Set a hole's name in it, over, under or beside it, clear of what is there; nothing where there is no room.

    `taken` grows by the place that the name takes.
    """
    half, tall = text_width(name, SMALLEST) / 2 + 0.6, 1.5
    x, y = hole.centre
    inside = [(x, y)] if hole.width >= 2 * half and hole.height >= 2 * tall else []
    over = [(at, level) for level in (hole.top + tall + 0.2, hole.bottom - tall - 0.2) for at in _across(hole, half)]
    beside = [(hole.right + half + 0.2, y), (hole.left - half - 0.2, y)]
    for k, at in enumerate([*inside, *over, *beside]):
        back = Box(at[0] - half, at[1] - tall, at[0] + half, at[1] + tall)
        others = taken if not (inside and k == 0) else [box for box in taken if box != hole]
        if room.holds(back) and not any(back.overlaps(other) for other in others):
            taken.append(back)
            ground = rectangle(back, Style(WHITE, 0.0, fill=WHITE), kind="backing")
            return [ground, centred(at, name, SMALLEST, ink=BLACK, kind="hole-name")]
    return []


def _across(hole: Box, half: float) -> tuple[float, float, float]:
    """Return middles of a name over a hole: centred, then flush with its left or right side."""
    return hole.centre[0], hole.left + half, hole.right - half
