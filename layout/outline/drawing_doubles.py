"""Pieces drawn twice: whole ones, reversed or not, and straights and arcs that lie partly over each other."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.outline.curves import Arc, Line
from layout.outline.drawing_pieces import XY, Piece, middle_of
from layout.outline.tolerances import SAME_POINT

CELL: Final = 10 * SAME_POINT
"""mm: places that fall into one cell of this size are looked at together"""

SHIFT: Final = 1 / math.pi
"""Cells by which the grid is off the origin, so that no round number lies on an edge of it."""

ALONG: Final = 1e-4
"""radians: directions that fall into one cell of this size are looked at together"""


@dataclass(frozen=True)
class Double:
    """A piece left out because it is drawn elsewhere, wholly or partly."""

    kind: str
    x: float
    """mm, a place on it"""
    y: float


def without_doubles(pieces: Sequence[Piece]) -> tuple[list[Piece], list[Double]]:
    """Return pieces of which no two cover the same stretch, and what was left out for it.

    Straights on one line, and arcs of one circle, that overlap become one piece; of others that are
    alike the first is kept. Pieces that only touch stay as they are.
    """
    lines: list[Piece] = []
    arcs: list[Piece] = []
    others: list[Piece] = []
    for piece in pieces:
        first = piece.segments[0]
        group = lines if isinstance(first, Line) else arcs if isinstance(first, Arc) else others
        (group if len(piece.segments) == 1 else others).append(piece)
    kept, doubles = _once(others)
    for group in _grouped(lines, _line_key):
        found, twice = _merged_lines(group)
        kept, doubles = kept + found, doubles + twice
    for group in _grouped(arcs, _arc_key):
        found, twice = _merged_arcs(group)
        kept, doubles = kept + found, doubles + twice
    return kept, doubles


def cell(*values: float, size: float = CELL) -> tuple[int, ...]:
    """Return which cell of a grid some numbers fall into."""
    return tuple(math.floor(value / size + SHIFT) for value in values)


def _once(pieces: Iterable[Piece]) -> tuple[list[Piece], list[Double]]:
    """Keep the first of pieces that pass the same places."""
    seen: set[Hashable] = set()
    kept, doubles = [], []
    for piece in pieces:
        key = frozenset(cell(*place) for place in (*piece.ends, *(middle_of(s) for s in piece.segments)))
        if piece.closed:  # its start says nothing
            key = frozenset(cell(*middle_of(s)) for s in piece.segments)
        if key in seen:
            doubles.append(_double(piece))
        else:
            seen.add(key)
            kept.append(piece)
    return kept, doubles


def _double(piece: Piece) -> Double:
    return Double(piece.kind, *piece.middle)


def _grouped(pieces: Iterable[Piece], key: object) -> list[list[Piece]]:
    groups: dict[Hashable, list[Piece]] = defaultdict(list)
    for piece in pieces:
        groups[key(piece.segments[0])].append(piece)  # type: ignore[operator]
    return list(groups.values())


def _line_key(line: Line) -> Hashable:
    """Direction without sense, and distance from the origin."""
    cos, sin = _sense(line)
    return (*cell(math.atan2(sin, cos), size=ALONG), *cell(line.y * cos - line.x * sin))


def _sense(line: Line) -> XY:
    """Return a straight's direction, turned so that it and its reverse have one."""
    cos, sin = math.cos(line.direction), math.sin(line.direction)
    against = cos < -1e-9 or (abs(cos) <= 1e-9 and sin < 0)
    return (-cos, -sin) if against else (cos, sin)


def _arc_key(arc: Arc) -> Hashable:
    return cell(arc.cx, arc.cy, arc.radius)


def _merged_lines(group: Sequence[Piece]) -> tuple[list[Piece], list[Double]]:
    """Join straights that lie over each other; all of one group are nearly on one line."""
    if len(group) == 1:
        return list(group), []
    cos, sin = _sense(group[0].segments[0])  # type: ignore[arg-type]

    def along(place: XY) -> float:
        return place[0] * cos + place[1] * sin

    ordered = sorted(group, key=lambda piece: min(map(along, piece.ends)))
    kept, doubles = [ordered[0]], []
    for piece in ordered[1:]:
        last = kept[-1]
        reach, start = max(map(along, last.ends)), min(map(along, piece.ends))
        if start > reach - SAME_POINT or not _on_one_line(last, piece):
            kept.append(piece)
            continue
        doubles.append(_double(piece))
        end = max(piece.ends, key=along)
        if along(end) > reach + SAME_POINT:
            kept[-1] = _straight(min(last.ends, key=along), end, last)
    return kept, doubles


def _on_one_line(one: Piece, other: Piece) -> bool:
    """Whether the shorter lies on the longer's line."""
    shorter, longer = sorted((one, other), key=lambda piece: math.dist(*piece.ends))
    (x, y), line = longer.ends[0], longer.segments[0]
    assert isinstance(line, Line)  # noqa: S101 - lines alone are grouped here
    cos, sin = math.cos(line.direction), math.sin(line.direction)
    return all(abs((py - y) * cos - (px - x) * sin) <= SAME_POINT for px, py in shorter.ends)


def _straight(start: XY, end: XY, like: Piece) -> Piece:
    heading = math.atan2(end[1] - start[1], end[0] - start[0])
    return Piece((Line(*start, heading, math.dist(start, end)),), like.kind, like.heights)


def _merged_arcs(group: Sequence[Piece]) -> tuple[list[Piece], list[Double]]:
    """Join arcs that lie over each other; all of one group are of one circle."""
    if len(group) == 1:
        return list(group), []
    arcs = [piece.segments[0] for piece in group]
    spans = sorted((_span(arc), k) for k, arc in enumerate(arcs) if isinstance(arc, Arc))
    slack = SAME_POINT / spans_radius(arcs)
    chains: list[tuple[float, float, int]] = []
    doubles = []
    for (start, end), k in spans:
        if chains and start < chains[-1][1] - slack:
            low, high, first = chains[-1]
            chains[-1] = (low, max(high, end), first)
            doubles.append(_double(group[k]))
        else:
            chains.append((start, end, k))
    while len(chains) > 1 and chains[0][0] + math.tau < chains[-1][1] - slack:  # the last laps round onto the first
        low, high, first = chains.pop()
        start, end, k = chains.pop(0)
        chains.append((low, max(high, end + math.tau), first))
        doubles.append(_double(group[k]))
    return [_spanned(group[k], start, end) for start, end, k in chains], doubles


def spans_radius(arcs: Sequence[object]) -> float:
    """Return the least radius of arcs of one circle, mm."""
    return min(arc.radius for arc in arcs if isinstance(arc, Arc))


def _span(arc: Arc) -> XY:
    """Return where an arc starts, within one turn from 0, and ends, anticlockwise, radians."""
    start = (arc.start if arc.sweep > 0 else arc.start + arc.sweep) % math.tau
    return start, start + abs(arc.sweep)


def _spanned(piece: Piece, start: float, end: float) -> Piece:
    """Return an arc of the same circle from one direction to another; the arc itself where that is its own."""
    arc = piece.segments[0]
    assert isinstance(arc, Arc)  # noqa: S101 - arcs alone are grouped here
    if np.allclose(_span(arc), (start, end), rtol=0.0, atol=1e-12):
        return piece
    sweep = min(end - start, math.tau)
    kind = "circle" if sweep == math.tau else piece.kind
    return Piece((Arc(arc.cx, arc.cy, arc.radius, start, sweep),), kind, piece.heights)
